"""How the sections lie on the line that they were made of, for drawing. SI: m."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import accumulate

import numpy as np
from numpy.typing import NDArray

from gearplan.bike.circuit import Circuit
from gearplan.plan.lines.centreline import CentreLine, circuit_of
from gearplan.plan.lines.points import Floats
from gearplan.plan.lines.racing import moved_aside
from gearplan.plan.lines.sections import found_sections


@dataclass(frozen=True, eq=False)
class Preview:
    """A circuit of a line: the line ridden, the track's edges (closed, None without a width), where it is in a turn.

    `marks` are (index of the point in the middle of a turn, its number), `start` is that where the lap begins.
    """

    circuit: Circuit
    x: Floats
    y: Floats
    edges: tuple[tuple[Floats, Floats], ...]
    turn: NDArray[np.bool_]
    marks: tuple[tuple[int, str], ...]
    start: int


def preview(line: CentreLine, fineness: float, name: str = "") -> Preview:
    """The circuit of a line as `circuit_of` makes it, and how it lies; LineError as there."""
    circuit = circuit_of(line, fineness, name)
    _, begins = found_sections(line.turning, line.track.step, fineness)
    count = len(line.x)
    turn = np.zeros(count, bool)
    marks: list[tuple[int, str]] = []
    ends = list(accumulate((section.length_m for section in circuit.sections), initial=begins))
    for section, start, end in zip(circuit.sections, ends[:-1], ends[1:], strict=True):
        if section.kind == "corner":
            here = np.arange(round(start / line.track.step), round(end / line.track.step) + 1)
            turn[here % count] = True
            marks.append((int(here[len(here) // 2]) % count, str(len(marks) + 1)))
    edges: tuple[tuple[Floats, Floats], ...] = ()
    if line.left.any() or line.right.any():
        edges = tuple(_closed(*moved_aside(line.track.x, line.track.y, side)) for side in (line.left, 0.0 - line.right))
    x, y = _closed(line.x, line.y)
    return Preview(
        circuit, x, y, edges, np.append(turn, turn[0]), tuple(marks), round(begins / line.track.step) % count
    )


def _closed(x: Floats, y: Floats) -> tuple[Floats, Floats]:
    return np.append(x, x[0]), np.append(y, y[0])
