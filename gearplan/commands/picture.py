"""`gearplan picture`: the speed chart as a file."""

from __future__ import annotations

import argparse
from pathlib import Path

from gearplan.bike.files.ordinary import reason
from gearplan.commands.asked import Refused, chosen_set, opened, set_arguments
from gearplan.language import tr


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Tell the parser of this command."""
    parser = commands.add_parser("picture", help=tr("draw the speed chart to a PNG, SVG or PDF file"))
    set_arguments(parser)
    parser.add_argument("-o", "--output", required=True, metavar="PICTURE", help=".png, .svg or .pdf")
    parser.add_argument("--mph", action="store_true", help=tr("speeds in mph instead of km/h"))
    parser.set_defaults(command=_run)


def _run(asked: argparse.Namespace) -> None:
    file = opened(asked.file)
    chosen = chosen_set(file, asked)
    # The painter needs Qt; nothing else on the command line does.
    from gearplan.sheet import painter

    target = Path(asked.output)
    try:
        painter.save_speed_picture(file.bike, chosen, target, asked.mph)
    except (OSError, ValueError) as failed:
        # Its own words name a file beside the target.
        raise Refused(f"{target}: {reason(failed)}") from failed
    print(tr("Written: {target}", target=target))
