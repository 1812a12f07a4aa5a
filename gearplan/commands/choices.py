"""`gearplan choices`: from wishes to a short list of sets."""

from __future__ import annotations

import argparse
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from gearplan.bike.circuit import refusal
from gearplan.bike.files.circuitfile import CircuitFileError
from gearplan.bike.profile import Bike
from gearplan.bike.stock import Stock
from gearplan.commands.asked import Refused, json_argument, opened, print_json, span, stock_list, whole
from gearplan.commands.output.choicestext import choices_text, choices_values
from gearplan.language import tr
from gearplan.plan.choices.candidates import candidates
from gearplan.plan.choices.search import Choices, search, why_not
from gearplan.plan.choices.space import Space, SpaceError, default_space, parse_range, with_sizes
from gearplan.plan.choices.wishes import KINDS, Wish
from gearplan.plan.choices.wishtext import WishError, wishes_in
from gearplan.plan.laps.ranking import lap_times_of
from gearplan.plan.lines.opening import read_circuit_or_line
from gearplan.plan.lines.points import LineError
from gearplan.plan.words import Speed

Floats = NDArray[np.float64]


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Tell the parser of this command."""
    parser = commands.add_parser(
        "choices",
        help=tr("print the sets that meet wishes best"),
        formatter_class=argparse.RawDescriptionHelpFormatter,
        epilog=tr("A wish is said in words:\n")
        + "\n".join(tr('  --wish "{example}"', example=kind.example) for kind in KINDS.values()),
    )
    parser.add_argument("file", nargs="?", metavar="FILE", help=tr("a .bike.toml file; a demo bike without one"))
    parser.add_argument("--wish", action="append", default=[], metavar="WORDS", help=tr("a limit or an aim, in words"))
    parser.add_argument("--front", type=span, metavar="A-B", help=tr("front teeth to search"))
    parser.add_argument("--rear", type=span, metavar="A-B", help=tr("rear teeth to search"))
    parser.add_argument("--links", type=span, metavar="A-B", help=tr("links that are allowed"))
    parser.add_argument("--chain", action="append", default=[], metavar="SIZE", help=tr("another chain size to search"))
    parser.add_argument("--tyre", action="append", default=[], metavar="SIZE", help=tr("another rear tyre to search"))
    parser.add_argument("--stock", metavar="FILE", help=tr("a stock list, as CSV, XLSX or ODS"))
    circuit = tr("a .circuit.toml file or the line of a track, for “quickest on this circuit”")
    parser.add_argument("--circuit", metavar="FILE", help=circuit)
    parser.add_argument("--why", metavar="FRONT/REAR", help=tr("also tell why this pair is not on the list"))
    parser.add_argument("--most", type=whole, default=8, metavar="N", help=tr("how many sets to list at most"))
    json_argument(parser)
    parser.set_defaults(command=_run)


def _run(asked: argparse.Namespace) -> None:
    file = opened(asked.file)
    try:
        wishes, cruise = _wishes(asked.wish)
        space = default_space(
            file.bike,
            fronts=asked.front,
            rears=asked.rear,
            links=asked.links,
            chains=tuple(asked.chain),
            tyres=tuple(asked.tyre),
        )
        space = with_sizes(space, wishes)
    except (WishError, SpaceError) as error:
        raise Refused(str(error)) from error
    if not 1 <= asked.most <= 100:
        raise Refused(tr("--most {most}: list 1 to 100 sets", most=asked.most))
    stock, problems = stock_list(asked.stock)
    laps = None if asked.circuit is None else _laps(file.bike, Path(asked.circuit), space)
    answer: Choices = search(file.bike, wishes, space, stock=stock, lap_times=laps, most=asked.most, cruise=cruise)
    why = _why(file.bike, wishes, space, stock, asked.why)
    notices = [*file.notices, *problems]
    if asked.json:
        print_json(choices_values(answer) | {"why": list(why), "notices": notices})
        return
    print(choices_text(file.bike, answer))
    for reason in why:
        print(tr("Why not {why}: {reason}", why=asked.why, reason=reason))
    for notice in notices:
        print(tr("Notice: {notice}", notice=notice))


def _wishes(sentences: list[str]) -> tuple[tuple[Wish, ...], Speed | None]:
    """All wishes, and the last cruising speed that was named; WishError for words that are neither."""
    found: dict[Wish, None] = {}
    cruise = None
    for sentence in sentences:
        wishes, speed, wrong = wishes_in(sentence)
        if wrong or not (wishes or speed):
            raise WishError(" ".join(wrong) or tr("--wish: say what you want, such as “calmer”"))
        found |= dict.fromkeys(wishes)
        cruise = speed or cruise
    return tuple(found), cruise


def _laps(bike: Bike, path: Path, space: Space) -> Floats | None:
    try:
        circuit = read_circuit_or_line(path).circuit
    except (CircuitFileError, LineError) as error:
        raise Refused(str(error)) from error
    if text := refusal(circuit):
        raise Refused(f"{path}: {text}")
    return lap_times_of(bike, circuit, candidates(bike, space))


def _why(bike: Bike, wishes: tuple[Wish, ...], space: Space, stock: Stock | None, pair: str | None) -> tuple[str, ...]:
    if pair is None:
        return ()
    try:
        front, rear = (parse_range(part)[0] for part in pair.split("/"))
    except (SpaceError, ValueError) as error:
        raise Refused(tr("--why {pair}: write a pair of sprockets like 14/48", pair=pair)) from error
    return why_not(bike, wishes, space, front, rear, stock=stock) or (tr("{pair} meets every wish.", pair=pair),)
