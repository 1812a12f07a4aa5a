"""The same answers without a window: reads files, writes text for people or JSON.

Exit code 0, or 2 with one line on standard error that says what is wrong and where; 130 after Ctrl+C.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence

from gearplan import __version__
from gearplan.bike.files.bikefile import BikeFileError
from gearplan.commands import (
    bikes,
    board,
    book,
    choices,
    customer,
    jobs,
    lap,
    log,
    numbers,
    picture,
    season,
    sessions,
    sheet,
)
from gearplan.commands.asked import Parser, Refused

#: Each command is a module of gearplan/commands, named as it is called.
_MODULES = (numbers, choices, lap, season, board, book, sessions, customer, log, sheet, jobs, bikes, picture)

COMMANDS = tuple(module.__name__.rpartition(".")[2] for module in _MODULES)


def run(arguments: Sequence[str]) -> int:
    """Carry out one command; returns the exit code."""
    try:
        asked = parser().parse_args(arguments)
        asked.command(asked)
    except (Refused, BikeFileError) as refused:
        print(f"gearplan: {refused}", file=sys.stderr)
        return 2
    except KeyboardInterrupt:
        print("gearplan: stopped", file=sys.stderr)
        return 130
    except BrokenPipeError:
        # The reader of the output has gone (a pager was closed): nothing more to say.
        sys.stderr.close()
        return 0
    return 0


def parser() -> argparse.ArgumentParser:
    """The program's arguments: a command, and what each can be given."""
    parser = Parser(
        prog="gearplan",
        description="Final-drive gearing for motorcycles. Without a command the window opens, "
        "on FILE if one is named, otherwise on a demo bike.",
    )
    parser.add_argument("--version", action="version", version=f"gearplan {__version__}")
    commands = parser.add_subparsers(required=True, metavar=" | ".join(COMMANDS))
    for module in _MODULES:
        module.add(commands)
    return parser
