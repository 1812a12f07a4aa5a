"""`gearplan sessions`: the sheet on which a day's sessions are written down by hand."""

from __future__ import annotations

import argparse

from gearplan.commands.asked import chosen_set, drawn, opened, paper, set_arguments
from gearplan.language import tr


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Tell the parser of this command."""
    parser = commands.add_parser("sessions", help=tr("draw the sheet on which sessions are written down by hand"))
    set_arguments(parser)
    parser.add_argument("--circuit", default="", metavar="NAME", help=tr("the circuit's name, printed on it"))
    parser.add_argument("-o", "--output", required=True, metavar="PAGE", help=tr("the .pdf, .png or .svg to write"))
    parser.add_argument("--paper", type=paper, default="A4", metavar="a4|letter", help=tr("size of the page"))
    parser.set_defaults(command=_run)


def _run(asked: argparse.Namespace) -> None:
    file = opened(asked.file)
    from gearplan.sheet import painter
    from gearplan.sheet.session.content import session_sheet

    sheet = session_sheet(file.bike, chosen_set(file, asked), asked.circuit, paper=asked.paper)
    drawn(asked.output, lambda target: painter.save_session_sheet(sheet, target))
