"""The map of a circuit from its lengths and turns, for drawing. SI: m.

What the entered turns lack to a whole turn is spread over the turning sections; what the line then misses its start
by is spread evenly along it, the compass rule of surveying (Bowditch, 1808).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from gearplan.bike.circuit import Circuit
from gearplan.bike.text.units import DEGREE
from gearplan.language import tr

Floats = NDArray[np.float64]
Ints = NDArray[np.int_]

_MOST_TURN_ADDED = 60 * DEGREE
_MOST_MISSED = 0.2
_LEAST_POINTS = 2


@dataclass(frozen=True, eq=False)
class CircuitMap:
    """Points of the line, the first at the start of the lap, driving to the right of the page (x).

    `distance` is that along the lap, `section` the index of each point's section. `closed` says whether the line was
    closed; `missed` is by how many metres it did not close of itself, `note` says so where it matters.
    """

    x: Floats
    y: Floats
    distance: Floats
    section: Ints
    closed: bool
    missed: float
    note: str

    def at(self, distance: Floats) -> tuple[Floats, Floats]:
        """Where distances along the lap lie on the map."""
        return np.interp(distance, self.distance, self.x), np.interp(distance, self.distance, self.y)


@lru_cache(maxsize=8)
def circuit_map(circuit: Circuit, step: float = 4.0) -> CircuitMap:
    """The map with a point every `step` metres or closer. ValueError for a circuit without sections."""
    if not circuit.sections:
        raise ValueError(tr("a map needs at least one section"))
    lengths = np.array([s.length_m for s in circuit.sections])
    turns = np.array([s.turn_deg for s in circuit.sections]) * DEGREE
    whole = math.tau * round(float(turns.sum()) / math.tau)
    lacking = whole - float(turns.sum())
    closes = abs(lacking) <= _MOST_TURN_ADDED and bool(np.any(turns != 0))
    if closes and lacking:
        turns = turns + lacking * np.abs(turns) / np.abs(turns).sum()
    counts = np.maximum(np.ceil(lengths / step).astype(int), _LEAST_POINTS)
    section = np.repeat(np.arange(len(lengths)), counts)
    ds = np.repeat(lengths / counts, counts)
    turn = np.repeat(turns / counts, counts)
    heading = np.concatenate([[0.0], np.cumsum(turn)])
    middle = heading[:-1] + turn / 2
    # A chord of the arc: shorter than the arc by sin(t/2)/(t/2).
    chord = ds * np.sinc(turn / math.tau)
    x = np.concatenate([[0.0], np.cumsum(chord * np.cos(middle))])
    y = np.concatenate([[0.0], np.cumsum(chord * np.sin(middle))])
    distance = np.concatenate([[0.0], np.cumsum(ds)])
    missed = math.hypot(x[-1], y[-1])
    closes = closes and missed <= _MOST_MISSED * distance[-1]
    note = ""
    if closes:
        x, y = x - x[-1] * distance / distance[-1], y - y[-1] * distance / distance[-1]
        if missed > 0.02 * distance[-1]:
            note = tr("The line missed its start by {missed:.0f} m; that is spread along it.", missed=missed)
    elif not np.any(turns != 0):
        note = tr("No turns are entered, so the map is a straight line.")
    else:
        note = tr("Lengths and turns do not lead back to the start, so the map is open.")
    return CircuitMap(x, y, distance, np.append(section, section[-1]), closes, missed, note)
