"""`gearplan board`: the pit board of a lap."""

from __future__ import annotations

import argparse
from pathlib import Path

from gearplan.bike.files.circuitfile import CircuitFileError
from gearplan.commands.asked import Refused, chosen_set, drawn, opened, set_arguments
from gearplan.language import tr
from gearplan.plan.findings import Finding
from gearplan.plan.laps.view import lap_view
from gearplan.plan.lines.opening import read_circuit_or_line
from gearplan.plan.lines.points import LineError


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Tell the parser of this command."""
    parser = commands.add_parser("board", help=tr("draw the pit board: gear and engine speed in each corner, on A4"))
    set_arguments(parser)
    parser.add_argument(
        "--circuit", required=True, metavar="CIRCUIT", help=tr("a .circuit.toml file, or a track's line")
    )
    parser.add_argument("-o", "--output", required=True, metavar="PAGE", help=tr("the .pdf, .png or .svg to write"))
    parser.set_defaults(command=_run)


def _run(asked: argparse.Namespace) -> None:
    file = opened(asked.file)
    chosen = chosen_set(file, asked)
    try:
        circuit = read_circuit_or_line(Path(asked.circuit))
    except (CircuitFileError, LineError) as refused:
        raise Refused(str(refused)) from refused
    lap = lap_view(file.bike, chosen, circuit.circuit)
    if isinstance(lap, Finding):
        raise Refused(f"{asked.circuit if lap.about == 'circuit' else asked.file}: {lap.for_file}")
    # The painter needs Qt; little else on the command line does.
    from gearplan.sheet import painter
    from gearplan.sheet.circuit.pitboard import pit_board

    made = pit_board(file.bike, chosen, lap)
    drawn(asked.output, lambda target: painter.save_pit_board(made, target))
    for notice in (*file.notices, *circuit.notices, *lap.ranking.notes):
        print(tr("Notice: {notice}", notice=notice))
