"""Circuits made of public centre lines (f1-circuits by Tomislav Bacinger, MIT) against their published lengths.

Turns are checked by geometry: a closed line that does not cross itself turns by 360° in all, a figure of eight by 0°.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from gearplan.bike.demo import demo_bike
from gearplan.plan.choices.space import default_space
from gearplan.plan.laps.centreline import centre_line
from gearplan.plan.laps.ranking import LapRanking, rank_laps
from gearplan.plan.laps.trackmap import circuit_map
from tests.reference.tables import rows

_EARTH = 6371008.8  # m, mean radius (IUGG)
_ROWS = rows("circuit_centre_lines.csv")
_NAMES = sorted({row["id"] for row in _ROWS})


def line(name: str) -> tuple[np.ndarray, np.ndarray, float]:
    mine = [row for row in _ROWS if row["id"] == name]
    longitude, latitude = (np.radians([float(row[key]) for row in mine]) for key in ("longitude", "latitude"))
    x = _EARTH * (longitude - longitude[0]) * math.cos(latitude.mean())
    return x, _EARTH * (latitude - latitude[0]), float(mine[0]["published_length_m"])


@pytest.mark.parametrize("name", _NAMES)
def test_length_and_turns_of_a_public_circuit(name: str) -> None:
    x, y, length = line(name)
    found = centre_line(x, y, name)
    assert found.circuit.length_m == pytest.approx(length, rel=0.005)
    crosses = name == "jp-1962"
    assert abs(found.circuit.turned_deg) == pytest.approx(0.0 if crosses else 360.0, abs=0.5)
    assert any("crosses itself" in note for note in found.notes) == crosses
    assert 10 <= len(found.circuit.corners) <= 40
    drawn = circuit_map(found.circuit)
    assert drawn.closed
    assert drawn.missed < length / 15


def test_sets_are_ranked_on_a_public_circuit() -> None:
    x, y, _ = line("it-1914")
    bike = demo_bike("Corvid 1000").bike
    space = default_space(bike, fronts=(15, 17), rears=(39, 46))
    ranking = rank_laps(bike, centre_line(x, y).circuit, space)
    assert isinstance(ranking, LapRanking)
    best = ranking.best(1)[0].time
    # Record laps of superbikes there are about 1:49 (from memory); radii are those of the track's middle.
    assert 100 < best < 140
