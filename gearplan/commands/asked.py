"""What the commands share: the file and the set that were asked for, and how a refusal is said."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any, NoReturn

from gearplan.bike.demo import demo_bike
from gearplan.bike.files import bikefile
from gearplan.bike.files.ordinary import reason
from gearplan.bike.stock import Stock
from gearplan.bike.stocklist.reading import read_stock
from gearplan.bike.stocklist.table import StockError
from gearplan.bike.text.numbertext import NumberTextError, parse_number, parse_whole
from gearplan.language import tr
from gearplan.plan.choices.space import SpaceError, parse_range
from gearplan.plan.driveset import DriveSet, fitted, plainly, refusal


class Refused(Exception):
    """What was asked for cannot be done; the message is the one line for standard error."""


class Parser(argparse.ArgumentParser):
    """Refuses in one line instead of printing the usage."""

    def error(self, message: str) -> NoReturn:
        """Refuse instead of leaving the process."""
        raise Refused(tr("{message} ({prog} --help lists what can be given)", message=message, prog=self.prog))


def opened(file: str | None) -> bikefile.BikeFile:
    """The named bike file, or the demo bike; BikeFileError if it cannot be read."""
    return demo_bike() if file is None else bikefile.read_bike(Path(file))


def chosen_set(file: bikefile.BikeFile, asked: argparse.Namespace) -> DriveSet:
    """The fitted set with what the arguments change; Refused if that is no set."""
    given: dict[str, Any] = {
        key: getattr(asked, key)
        for key in ("front", "rear", "links", "tyre", "chain")
        if getattr(asked, key, None) is not None
    }
    chosen = plainly(file.bike, replace(fitted(file.bike), **given, new_chain=getattr(asked, "new_chain", False)))
    if text := refusal(chosen):
        raise Refused(text)
    return chosen


def whole(text: str) -> int:
    """A whole number as an argument's type."""
    try:
        return parse_whole(text)
    except NumberTextError as refused:
        raise argparse.ArgumentTypeError(str(refused)) from refused


def number(text: str) -> float:
    """A number as an argument's type."""
    try:
        return parse_number(text)
    except NumberTextError as refused:
        raise argparse.ArgumentTypeError(str(refused)) from refused


def span(text: str) -> tuple[int, int]:
    """A range of whole numbers, such as 13-18, as an argument's type."""
    try:
        return parse_range(text)
    except SpaceError as refused:
        raise argparse.ArgumentTypeError(str(refused)) from refused


def stock_list(path: str | None) -> tuple[Stock | None, tuple[str, ...]]:
    """The stock list of a file, and what was wrong with single lines of it; Refused if it is none."""
    if path is None:
        return None, ()
    try:
        read = read_stock(Path(path))
    except StockError as refused:
        raise Refused(str(refused)) from refused
    return read.stock, tuple(f"{path}: {problem}" for problem in read.problems)


def set_arguments(parser: argparse.ArgumentParser) -> None:
    """The bike file and what may be changed of its fitted set."""
    parser.add_argument("file", nargs="?", metavar="FILE", help=tr("a .bike.toml file; a demo bike without one"))
    parser.add_argument("--front", type=whole, metavar="N", help=tr("teeth of the proposed front sprocket"))
    parser.add_argument("--rear", type=whole, metavar="N", help=tr("teeth of the proposed rear sprocket"))
    parser.add_argument("--links", type=whole, metavar="N", help=tr("links of the proposed chain"))
    told = tr("the proposed set takes a new chain, even where the one on the bike would do")
    parser.add_argument("--new-chain", action="store_true", help=told)
    parser.add_argument("--tyre", metavar="SIZE", help=tr('another rear tyre, such as "190/50-17"'))


def paper(text: str) -> str:
    """The size of a page as an argument's type."""
    try:
        return {"a4": "A4", "letter": "Letter"}[text.lower()]
    except KeyError:
        raise argparse.ArgumentTypeError(tr("“{text}” is no paper here; give a4 or letter", text=text)) from None


def drawn(output: str, draw: Callable[[Path], None]) -> None:
    """Have a page drawn into a file and say so; Refused if it cannot be written."""
    target = Path(output)
    try:
        draw(target)
    except (OSError, ValueError) as failed:
        raise Refused(f"{target}: {reason(failed)}") from failed
    print(tr("Written: {target}", target=target))


def json_argument(parser: argparse.ArgumentParser) -> None:
    """The switch from text for people to JSON."""
    parser.add_argument("--json", action="store_true", help=tr("print JSON; the unit is in the key's name"))


def print_json(answer: dict[str, Any]) -> None:
    """One line of JSON; every number in it is finite, and any output can hold its signs."""
    wide = (sys.stdout.encoding or "").lower().startswith("utf")
    print(json.dumps(answer, ensure_ascii=not wide, allow_nan=False))
