"""`gearplan numbers`: the numbers of the fitted and a proposed set."""

from __future__ import annotations

import argparse
from dataclasses import replace
from pathlib import Path

from gearplan.bike.enginecurve import CurveError, read_curve, read_text
from gearplan.bike.files.bikefile import BikeFile
from gearplan.bike.profile import with_value
from gearplan.commands.asked import Refused, chosen_set, json_argument, opened, print_json, set_arguments
from gearplan.commands.output.numbersjson import numbers
from gearplan.commands.output.numberstext import numbers_text
from gearplan.language import tr
from gearplan.plan.pull.words import pull_text


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Tell the parser of this command."""
    parser = commands.add_parser("numbers", help=tr("print the numbers of the fitted and a proposed set"))
    set_arguments(parser)
    parser.add_argument(
        "--curve", metavar="TABLE", help=tr("take the engine curve from a CSV file: engine speed and torque or power")
    )
    json_argument(parser)
    parser.set_defaults(command=_run)


def _run(asked: argparse.Namespace) -> None:
    file = opened(asked.file)
    if asked.curve is not None:
        file = _with_curve(file, Path(asked.curve))
    chosen = chosen_set(file, asked)
    if asked.json:
        print_json(numbers(file.bike, chosen) | {"notices": list(file.notices)})
        return
    print(numbers_text(file.bike, chosen))
    print(f"\n{pull_text(file.bike, chosen)}")
    for notice in file.notices:
        print(tr("Notice: {notice}", notice=notice))


def _with_curve(file: BikeFile, path: Path) -> BikeFile:
    """The bike with the engine curve of a table; Refused if that is none."""
    try:
        read = read_curve(read_text(path))
    except CurveError as failed:
        raise Refused(f"{path}: {failed}") from failed
    notes = tuple(tr("Engine curve: {note}", note=note) for note in read.notes)
    return replace(file, bike=with_value(file.bike, "engine", "torque", read.points), notices=(*file.notices, *notes))
