"""The same answers without a window: reads files, writes text for people or JSON.

Exit code 0, or 2 with one line on standard error that says what is wrong and where.
"""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any, NoReturn

from gearplan import __version__
from gearplan.bike import bikefile
from gearplan.bike.demo import demo_bike
from gearplan.bike.numbertext import NumberTextError, parse_whole
from gearplan.plan.driveset import DriveSet, fitted, refusal
from gearplan.plan.numbers import numbers
from gearplan.plan.pullwords import pull_text
from gearplan.plan.sentences import numbers_text

COMMANDS = ("numbers", "picture")


class Refused(Exception):
    """What was asked for cannot be done; the message is the one line for standard error."""


def run(arguments: Sequence[str]) -> int:
    """Carry out one command; returns the exit code."""
    try:
        asked = _parser().parse_args(arguments)
        asked.command(asked)
    except (Refused, bikefile.BikeFileError) as refused:
        print(f"gearplan: {refused}", file=sys.stderr)
        return 2
    except BrokenPipeError:
        # The reader of the output has gone (a pager was closed): nothing more to say.
        sys.stderr.close()
        return 0
    return 0


def _opened(file: str | None) -> bikefile.BikeFile:
    return demo_bike() if file is None else bikefile.read_bike(Path(file))


def _numbers(asked: argparse.Namespace) -> None:
    file = _opened(asked.file)
    chosen = _chosen(file, asked)
    answer = numbers(file.bike, chosen)
    if asked.json:
        answer["notices"] = list(file.notices)
        print(json.dumps(answer, ensure_ascii=False, allow_nan=False))
        return
    print(numbers_text(file.bike, chosen))
    print(f"\n{pull_text(file.bike, chosen)}")
    for notice in file.notices:
        print(f"Notice: {notice}")


def _picture(asked: argparse.Namespace) -> None:
    file = _opened(asked.file)
    chosen = _chosen(file, asked)
    # The painter needs Qt; nothing else on the command line does.
    from gearplan.sheet import painter

    target = Path(asked.output)
    try:
        painter.save_speed_picture(file.bike, chosen, target, asked.mph)
    except (OSError, ValueError) as failed:
        raise Refused(f"{target}: {failed}") from failed
    print(f"Written: {target}")


def _chosen(file: bikefile.BikeFile, asked: argparse.Namespace) -> DriveSet:
    given: dict[str, Any] = {
        key: getattr(asked, key) for key in ("front", "rear", "links", "tyre") if getattr(asked, key) is not None
    }
    chosen = replace(fitted(file.bike), **given)
    if text := refusal(chosen):
        raise Refused(text)
    return chosen


class _Parser(argparse.ArgumentParser):
    def error(self, message: str) -> NoReturn:
        raise Refused(f"{message} ({self.prog} --help lists what can be given)")


def _whole(text: str) -> int:
    try:
        return parse_whole(text)
    except NumberTextError as refused:
        raise argparse.ArgumentTypeError(str(refused)) from refused


def _parser() -> argparse.ArgumentParser:
    parser = _Parser(
        prog="gearplan",
        description="Final-drive gearing for motorcycles. Without a command the window opens, "
        "on FILE if one is named, otherwise on a demo bike.",
    )
    parser.add_argument("--version", action="version", version=f"gearplan {__version__}")
    commands = parser.add_subparsers(required=True, metavar="numbers | picture")
    of_numbers = commands.add_parser("numbers", help="print the numbers of the fitted and a proposed set")
    _set_arguments(of_numbers)
    of_numbers.add_argument("--json", action="store_true", help="print JSON; the unit is in the key's name")
    of_numbers.set_defaults(command=_numbers)
    of_picture = commands.add_parser("picture", help="draw the speed chart to a PNG, SVG or PDF file")
    _set_arguments(of_picture)
    of_picture.add_argument("-o", "--output", required=True, metavar="PICTURE", help=".png, .svg or .pdf")
    of_picture.add_argument("--mph", action="store_true", help="speeds in mph instead of km/h")
    of_picture.set_defaults(command=_picture)
    return parser


def _set_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", nargs="?", metavar="FILE", help="a .bike.toml file; a demo bike without one")
    parser.add_argument("--front", type=_whole, metavar="N", help="teeth of the proposed front sprocket")
    parser.add_argument("--rear", type=_whole, metavar="N", help="teeth of the proposed rear sprocket")
    parser.add_argument("--links", type=_whole, metavar="N", help="links of the proposed chain")
    parser.add_argument("--tyre", metavar="SIZE", help='another rear tyre, such as "190/50-17"')
