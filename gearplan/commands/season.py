"""`gearplan season`: one set for several circuits."""

from __future__ import annotations

import argparse
from pathlib import Path

from gearplan.bike.files.circuitfile import CircuitFileError
from gearplan.commands.asked import Refused, json_argument, opened, print_json, span, whole
from gearplan.commands.lapoptions import add_doubts, add_pairs, doubts_of, pairs_of
from gearplan.language import tr
from gearplan.plan.choices.space import SpaceError, default_space
from gearplan.plan.findings import Finding
from gearplan.plan.laps.sets import GearboxError
from gearplan.plan.lines.opening import read_circuit_or_line
from gearplan.plan.lines.points import LineError
from gearplan.plan.season.series import rank_season
from gearplan.plan.season.text import season_text, season_values


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Tell the parser of this command."""
    parser = commands.add_parser("season", help=tr("rank every set over several circuits: which loses least in all"))
    parser.add_argument("file", metavar="BIKE", help=tr("a .bike.toml file"))
    parser.add_argument("circuits", nargs="+", metavar="CIRCUIT", help=".circuit.toml files, or lines of tracks")
    parser.add_argument("--front", type=span, metavar="A-B", help=tr("front teeth to rank"))
    parser.add_argument("--rear", type=span, metavar="A-B", help=tr("rear teeth to rank"))
    add_pairs(parser)
    add_doubts(parser)
    parser.add_argument("--most", type=whole, metavar="N", help=tr("how many sets to print; all with --json"))
    json_argument(parser)
    parser.set_defaults(command=_run)


def _run(asked: argparse.Namespace) -> None:
    file = opened(asked.file)
    if asked.most is not None and asked.most < 1:
        raise Refused(tr("--most {most}: print at least one set", most=asked.most))
    try:
        circuits = [read_circuit_or_line(Path(path)) for path in asked.circuits]
        space = default_space(file.bike, fronts=asked.front, rears=asked.rear)
    except (CircuitFileError, LineError, SpaceError) as refused:
        raise Refused(str(refused)) from refused
    doubts, pairs = doubts_of(asked, file.bike), pairs_of(file.bike, asked.pairs)
    try:
        season = rank_season(
            file.bike, [circuit.circuit for circuit in circuits], space, alternatives=pairs, doubts=doubts
        )
    except GearboxError as refused:
        raise Refused(tr("--pairs: {refused}", refused=refused)) from refused
    if isinstance(season, Finding):
        raise Refused(f"{asked.file}: {season.for_file}" if season.field else season.text)
    notices = [*file.notices, *(notice for circuit in circuits for notice in circuit.notices)]
    if asked.json:
        print_json(season_values(season, asked.most) | {"notices": notices})
        return
    print(season_text(season, asked.most or 20))
    for notice in notices:
        print(tr("Notice: {notice}", notice=notice))
