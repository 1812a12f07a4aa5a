"""`gearplan lap`: every set's lap of a circuit, ranked."""

from __future__ import annotations

import argparse
import re
from dataclasses import replace
from pathlib import Path

from gearplan.bike.circuit import Circuit
from gearplan.bike.files.atomic import replace_file
from gearplan.bike.files.bookfile import BookFileError, beside, read_book
from gearplan.bike.files.circuitfile import CircuitFile, CircuitFileError, save_circuit
from gearplan.bike.files.ordinary import reason
from gearplan.bike.profile import Bike
from gearplan.bike.rider import check_rider_value
from gearplan.bike.text.numbertext import NumberTextError, parse_lap_time, parse_whole
from gearplan.bike.text.units import KMH
from gearplan.bike.text.written import lap_time
from gearplan.commands.asked import Refused, json_argument, number, opened, print_json, span, stock_list, whole
from gearplan.commands.lapoptions import add_doubts, add_pairs, doubts_of, pairs_of
from gearplan.commands.watched import Watched
from gearplan.drive.lap.rules import LapRules
from gearplan.language import tr
from gearplan.plan.choices.space import Space, SpaceError, default_space
from gearplan.plan.findings import Finding
from gearplan.plan.laps.draws import Doubts
from gearplan.plan.laps.ownlap import OwnLap, own_lap
from gearplan.plan.laps.ranking import LapRanking, Wanted, rank_laps
from gearplan.plan.laps.riders import Side, of_rider, riders_told, riders_values
from gearplan.plan.laps.sets import GearboxError
from gearplan.plan.laps.spread import Plateau, plateau
from gearplan.plan.laps.text import ranking_csv, ranking_text, ranking_values
from gearplan.plan.lines.centreline import MOST_WIDTH
from gearplan.plan.lines.opening import holds_line, read_circuit_or_line
from gearplan.plan.lines.points import LineError
from gearplan.plan.lines.sections import USUAL_FINENESS
from gearplan.plan.season.near import today_of
from gearplan.plan.season.start import Start, start_from
from gearplan.plan.season.text import start_values
from gearplan.plan.season.wet import USUAL_WET, WET_BOUNDS, wet
from gearplan.setup import riding

#: Field of the circuit's rider, placeholder and help of the options that stand for it.
_RIDER = {
    "lowest-gear": (
        "lowest_gear",
        "N",
        tr("lowest gear in corners that name none (2 where there are five gears or more)"),
    ),
    "first-below": ("first_below_kmh", "KMH", tr("first gear only below this speed")),
    "skip-gears": ("skips", "N,N", tr("gears that are passed over")),
    "no-shift-beyond": ("no_shift_beyond_deg", "DEGREES", tr("no up-shift beyond this lean")),
    "short-shift": ("short_shift_rpm", "RPM", tr("by how much up-shifts come early")),
    "downshift-time": ("downshift_time_s", "SECONDS", tr("what each down-shift before a corner takes")),
    "apex-rpm-min": ("apex_rpm_min", "RPM", tr("least engine speed at an apex")),
}


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Tell the parser of this command."""
    parser = commands.add_parser("lap", help=tr("rank every set on a circuit by its lap time"))
    parser.add_argument("file", metavar="BIKE", help=tr("a .bike.toml file"))
    parser.add_argument("circuit", metavar="CIRCUIT", help=tr("a .circuit.toml file, or the line of a track"))
    parser.add_argument("--front", type=span, metavar="A-B", help=tr("front teeth to rank"))
    parser.add_argument("--rear", type=span, metavar="A-B", help=tr("rear teeth to rank"))
    parser.add_argument("--chain", action="append", default=[], metavar="SIZE", help=tr("another chain size to rank"))
    parser.add_argument("--tyre", action="append", default=[], metavar="SIZE", help=tr("another rear tyre to rank"))
    add_pairs(parser)
    parser.add_argument("--chain-at-hand", action="store_true", help=tr("only sets that the fitted chain fits"))
    parser.add_argument("--fitting", action="store_true", help=tr("only sets that some chain fits"))
    parser.add_argument("--stock", metavar="FILE", help=tr("only sets whose new parts are in this stock list"))
    parser.add_argument(
        "--margin", type=number, metavar="PERCENT", help=tr("least margin below the limiter in top gear")
    )
    parser.add_argument(
        "--wet",
        nargs="?",
        type=number,
        const=USUAL_WET,
        metavar="SHARE",
        help=tr(
            "a wet track, with this share of the dry grip ({usual_wet:g}, common practice, no source: give your own)",
            usual_wet=USUAL_WET,
        ),
    )
    parser.add_argument("--wind", type=number, default=0.0, metavar="KMH", help=tr("head wind all round"))
    parser.add_argument("--no-lean", action="store_true", help=tr("engine speed by the upright rolling radius"))
    parser.add_argument(
        "--no-shared-grip", action="store_true", help=tr("the whole grip for the drive also while leaned")
    )
    for option, (key, metavar, words) in _RIDER.items():
        kind = _gears if key == "skips" else whole if key == "lowest_gear" else number
        parser.add_argument(f"--{option}", dest=key, type=kind, metavar=metavar, help=words)
    add_doubts(parser)
    parser.add_argument("--lap-time", type=_lap_time, metavar="M:SS.S", help=tr("your own: sets the apex speeds to it"))
    parser.add_argument("--fineness", type=number, metavar="SHARE", help=tr("turns of a line: 0 the great ones, 1 all"))
    parser.add_argument("--track-width", type=number, metavar="METRES", help=tr("about a line; 0 if it is as ridden"))
    parser.add_argument("--save-circuit", metavar="FILE", help=tr("also write the circuit as ranked to this file"))
    parser.add_argument("--most", type=whole, metavar="N", help=tr("how many sets to print; all with --json"))
    parser.add_argument("--csv", metavar="FILE", help=tr("also write the table of all sets to this file"))
    json_argument(parser)
    parser.set_defaults(command=_run)


def _gears(text: str) -> tuple[int, ...]:
    try:
        return tuple(sorted({parse_whole(part) for part in re.split(r"[,;\s]+", text.strip()) if part}))
    except NumberTextError as error:
        raise argparse.ArgumentTypeError(str(error)) from error


def _lap_time(text: str) -> float:
    try:
        return parse_lap_time(text)
    except NumberTextError as error:
        raise argparse.ArgumentTypeError(str(error)) from error


def _circuit(asked: argparse.Namespace) -> CircuitFile:
    """The circuit asked for; of a line as wide and as fine as asked."""
    path = Path(asked.circuit)
    if not holds_line(path):
        for option in ("fineness", "track_width"):
            if getattr(asked, option) is not None:
                raise Refused(
                    tr(
                        "--{part}: {circuit} is no line of a track",
                        part=option.replace("_", "-"),
                        circuit=asked.circuit,
                    )
                )
        return read_circuit_or_line(path)
    fineness = USUAL_FINENESS if asked.fineness is None else asked.fineness
    if not 0 <= fineness <= 1:
        raise Refused(tr("--fineness {fineness:g}: give 0 to 1", fineness=fineness))
    if asked.track_width is not None and not 0 <= asked.track_width <= MOST_WIDTH:
        raise Refused(
            tr(
                "--track-width {track_width:g}: give 0 to {most_width:g} m",
                track_width=asked.track_width,
                most_width=MOST_WIDTH,
            )
        )
    return read_circuit_or_line(path, asked.track_width, fineness)


def _with_own_lap(asked: argparse.Namespace, bike: Bike, circuit: Circuit) -> tuple[Circuit, OwnLap | None]:
    if asked.lap_time is None:
        return circuit, None
    found = own_lap(bike, circuit, asked.lap_time, _rules(asked, bike, circuit))
    if isinstance(found, Finding):
        place = asked.file if found.field else tr("--lap-time {lap_time}", lap_time=lap_time(asked.lap_time))
        raise Refused(f"{place}: {found.for_file}")
    return found.circuit, found


def _save(path: str, circuit: Circuit) -> None:
    try:
        save_circuit(Path(path), circuit, None)
    except (OSError, CircuitFileError) as error:
        raise Refused(tr("{path}: cannot be written: {reason}", path=path, reason=reason(error))) from error


def _run(asked: argparse.Namespace) -> None:
    file = opened(asked.file)
    try:
        circuit = _circuit(asked)
        space = default_space(
            file.bike, fronts=asked.front, rears=asked.rear, chains=tuple(asked.chain), tyres=tuple(asked.tyre)
        )
    except (CircuitFileError, LineError, SpaceError) as error:
        raise Refused(str(error)) from error
    if asked.most is not None and asked.most < 1:
        raise Refused(tr("--most {most}: print at least one set", most=asked.most))
    doubts = doubts_of(asked, file.bike)
    ridden, own = _with_own_lap(asked, file.bike, _ridden(asked, circuit.circuit))
    bike, at, rain = _weather(asked, file.bike, ridden)
    try:
        with Watched() as watched:
            ranking = rank_laps(
                bike, at, space, _rules(asked, bike, at), pairs_of(bike, asked.pairs), sofar=watched.told
            )
    except GearboxError as error:
        raise Refused(tr("--pairs: {error}", error=error)) from error
    if isinstance(ranking, Finding):
        place = asked.circuit if ranking.about == "circuit" else asked.file
        raise Refused(f"{place}: {ranking.for_file}")
    stock, problems = stock_list(asked.stock)
    wanted = Wanted(asked.chain_at_hand, asked.fitting, stock, -1.0 if asked.margin is None else asked.margin / 100)
    # Who stops the search wants what there is.
    tied = plateau(ranking, doubts, wanted) if ranking.whole else None
    two = _two_riders(asked, bike, at, Side(ranking, tied), space, doubts, wanted)
    start, odd = _from_the_book(asked, ranking, tied)
    notices = [*file.notices, *circuit.notices, *([] if own is None else [own.told]), *rain, *problems, *odd]
    if asked.save_circuit is not None:
        _save(asked.save_circuit, ridden)
    rows = ranking.best(asked.most, wanted)
    if asked.csv is not None:
        try:
            text = ranking_csv(ranking, ranking.rows(wanted), tied)
            replace_file(Path(asked.csv), text.encode())
        except OSError as error:
            raise Refused(tr("{csv}: cannot be written: {strerror}", csv=asked.csv, strerror=error.strerror)) from error
    if asked.json:
        known = None if own is None else {"apex_speeds_times": own.factor, "before_s": own.before, "lap_s": own.after}
        riders = None if two is None else riders_values(*two)
        besides = {"own_lap": known, "book": start_values(start), "two_riders": riders, "notices": notices}
        print_json(ranking_values(ranking, rows, tied) | besides)
        return
    print(ranking_text(ranking, rows[: asked.most or 20], tied))
    for line in () if two is None else riders_told(*two):
        print(line)
    if start is not None:
        print(start.text)
    for notice in notices:
        print(tr("Notice: {notice}", notice=notice))


def _weather(asked: argparse.Namespace, bike: Bike, circuit: Circuit) -> tuple[Bike, Circuit, list[str]]:
    """Bike and circuit as they are ridden today, and what is said of the weather."""
    share = asked.wet
    if share is None:
        return bike, circuit, []
    low, high = WET_BOUNDS
    if not low <= share <= high:
        raise Refused(
            tr(
                "--wet {share:g}: give {low:g} to {high:g}, the grip in the wet over that in the dry",
                share=share,
                low=low,
                high=high,
            )
        )
    rainy = wet(bike, circuit, None if share == USUAL_WET else share)
    return rainy.bike, rainy.circuit, [rainy.told]


def _from_the_book(
    asked: argparse.Namespace, ranking: LapRanking, tied: Plateau | None
) -> tuple[Start | None, tuple[str, ...]]:
    """Where the book beside the bike's file says to start, and what is odd in it; a broken book does not stop a lap."""
    try:
        book = read_book(beside(Path(asked.file)))
    except BookFileError as refused:
        return None, (str(refused),)
    track = None if asked.wet is None else "wet"
    today = today_of(ranking.sets.bike, ranking.circuit.name, track=track)
    return start_from(book.entries, today, ranking, tied), book.notices


def _two_riders(
    asked: argparse.Namespace, bike: Bike, circuit: Circuit, one: Side, space: Space, doubts: Doubts, wanted: Wanted
) -> tuple[Side, Side] | None:
    """Both riders' rankings; None where the circuit has one rider, or none."""
    if len(circuit.riders) < 2:
        return None
    alone = of_rider(circuit, 1)
    ranking = rank_laps(bike, alone, space, _rules(asked, bike, alone), pairs_of(bike, asked.pairs))
    return None if isinstance(ranking, Finding) else (one, Side(ranking, plateau(ranking, doubts, wanted)))


def _ridden(asked: argparse.Namespace, circuit: Circuit) -> Circuit:
    """The circuit, its rider changed as asked."""
    given = {}
    for option, (key, _, _) in _RIDER.items():
        value = getattr(asked, key)
        if value is None:
            continue
        if text := check_rider_value(key, value):
            raise Refused(f"--{option}: {text}")
        given[key] = value
    return replace(circuit, riders=(replace(circuit.rider, **given), *circuit.riders[1:])) if given else circuit


def _rules(asked: argparse.Namespace, bike: Bike, circuit: Circuit) -> LapRules:
    if abs(asked.wind) > 200:
        raise Refused(
            tr("--wind {wind:g}: give a head wind of at most 200 km/h, a tail wind with a minus", wind=asked.wind)
        )
    return riding.rules(
        bike,
        circuit.rider,
        wind=asked.wind * KMH,
        share_grip=not asked.no_shared_grip,
        lean=not asked.no_lean,
    )
