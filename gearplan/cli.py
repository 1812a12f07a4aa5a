"""The same answers without a window: reads files, writes text for people or JSON.

Exit code 0, or 2 with one line on standard error that says what is wrong and where; 130 after Ctrl+C.
"""

from __future__ import annotations

import argparse
import contextlib
import difflib
import io
import os
import sys
from collections.abc import Sequence
from pathlib import Path

from gearplan import STOPPED, __version__
from gearplan.bike.files.bikefile import BikeFileError
from gearplan.bike.text.written import shortened
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
    if isinstance(sys.stdout, io.TextIOWrapper):
        # Where the output has no ± or °, a question mark stands for it.
        sys.stdout.reconfigure(errors="replace")
    try:
        asked = parser().parse_args(arguments)
        asked.command(asked)
        sys.stdout.flush()
    except (Refused, BikeFileError) as refused:
        return _refused(str(refused))
    except KeyboardInterrupt:
        print(STOPPED, file=sys.stderr)
        return 130
    except BrokenPipeError:
        # The reader of the output has gone (a pager was closed): nothing more to say.
        _let_output_go()
        return 0
    except OSError as failed:
        _let_output_go()
        place = "the output cannot be written" if failed.filename is None else failed.filename
        return _refused(f"{place}: {failed.strerror or failed}")
    return 0


def told_apart(argument: str) -> str:
    """What is wrong with the only argument where it is neither a command nor a file; empty for a file, there or not."""
    if Path(argument).suffix or os.sep in argument or Path(argument).exists():
        return ""
    near = difflib.get_close_matches(argument, COMMANDS, 1, 0.6)
    guess = f"; did you mean {near[0]}?" if near else ""
    return f"“{argument}” is neither a command nor a file{guess} (gearplan --help lists the commands)"


def _refused(text: str) -> int:
    print(f"gearplan: {shortened(text)}", file=sys.stderr)
    return 2


def _let_output_go() -> None:
    """What is still to be written goes nowhere, so that the end of the process does not fail on it."""
    with contextlib.suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


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
