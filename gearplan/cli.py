"""The same answers without a window: reads files, writes text for people or JSON.

Exit code 0, or 2 with one line on standard error that says what is wrong and where; 130 after Ctrl+C.
"""

from __future__ import annotations

import argparse
import contextlib
import io
import os
import sys
from collections.abc import Sequence
from importlib import import_module

from gearplan import STOPPED, __version__
from gearplan.bike.files.bikefile import BikeFileError
from gearplan.bike.text.written import shortened
from gearplan.commands import COMMANDS
from gearplan.commands.asked import Parser, Refused
from gearplan.language import tr


def run(arguments: Sequence[str]) -> int:
    """Carry out one command; returns the exit code."""
    if isinstance(sys.stdout, io.TextIOWrapper):
        # Where the output has no ± or °, a question mark stands for it.
        sys.stdout.reconfigure(errors="replace")
    try:
        asked = parser(*(name for name in arguments[:1] if name in COMMANDS)).parse_args(arguments)
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
        place = tr("the output cannot be written") if failed.filename is None else failed.filename
        return _refused(f"{place}: {failed.strerror or failed}")
    return 0


def _refused(text: str) -> int:
    print(tr("gearplan: {shortened}", shortened=shortened(text)), file=sys.stderr)
    return 2


def _let_output_go() -> None:
    """What is still to be written goes nowhere, so that the end of the process does not fail on it."""
    with contextlib.suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def parser(*some: str) -> argparse.ArgumentParser:
    """The program's arguments: a command, and what each can be given; only `some` commands where they are named."""
    parser = Parser(
        prog="gearplan",
        description=tr(
            "Final-drive gearing for motorcycles. Without a command the window opens, "
            "on FILE if one is named, otherwise on a demo bike."
        ),
    )
    parser.add_argument("--version", action="version", version=tr("gearplan {version}", version=__version__))
    commands = parser.add_subparsers(required=True, metavar=" | ".join(COMMANDS))
    for name in some or COMMANDS:
        import_module(f"gearplan.commands.{name}").add(commands)
    return parser
