"""Circuits made of public centre lines (f1-circuits by Tomislav Bacinger, MIT) against their published lengths.

Turns are checked by geometry: a closed line that does not cross itself turns by 360° in all, a figure of eight by 0°.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from gearplan.bike.demo import demo_bike
from gearplan.plan.choices.space import default_space
from gearplan.plan.driveset import fitted
from gearplan.plan.laps.ownlap import OwnLap, own_lap
from gearplan.plan.laps.ranking import LapRanking, Wanted, rank_laps
from gearplan.plan.laps.trackmap import circuit_map
from gearplan.plan.laps.view import LapView, lap_view
from gearplan.plan.lines.centreline import centre_line, circuit_of
from gearplan.plan.lines.points import Points
from tests.reference.tables import rows

_EARTH = 6371008.8  # m, mean radius (IUGG)
_ROWS = rows("circuit_centre_lines.csv")
_SAID = {row["id"]: {key: float(row[key]) for key in ("turns", "lap_s")} for row in rows("circuit_turns.csv")}
_NAMES = sorted({row["id"] for row in _ROWS})


def line(name: str) -> tuple[np.ndarray, np.ndarray, float]:
    mine = [row for row in _ROWS if row["id"] == name]
    longitude, latitude = (np.radians([float(row[key]) for row in mine]) for key in ("longitude", "latitude"))
    x = _EARTH * (longitude - longitude[0]) * math.cos(latitude.mean())
    return x, _EARTH * (latitude - latitude[0]), float(mine[0]["published_length_m"])


@pytest.mark.parametrize("name", _NAMES)
def test_length_and_turns_of_a_public_circuit(name: str) -> None:
    x, y, length = line(name)
    found = centre_line(Points(x, y))
    circuit = circuit_of(found)
    # Two lines are themselves longer than what is published, by 1.1 and 0.7 %.
    assert circuit.length_m == pytest.approx(length, rel=0.014 if name in ("fr-1960", "qa-2004") else 0.005)
    crosses = name == "jp-1962"
    assert abs(circuit.turned_deg) == pytest.approx(0.0 if crosses else 360.0, abs=0.5)
    assert any("crosses itself" in note for note in found.notes) == crosses
    drawn = circuit_map(circuit)
    assert drawn.closed
    assert drawn.missed < length / 15


@pytest.mark.parametrize("name", _NAMES)
def test_turns_are_counted_as_they_are_said_to_be(name: str) -> None:
    x, y, _ = line(name)
    said = _SAID[name]["turns"]
    made = centre_line(Points(x, y))
    assert len(circuit_of(made).corners) == pytest.approx(said, rel=0.25)
    counts = [len(circuit_of(made, share).corners) for share in np.linspace(0, 1, 11)]
    assert counts == sorted(counts)
    assert counts[0] < counts[-1]


@pytest.mark.parametrize("name", _NAMES)
def test_a_lap_is_near_that_of_such_a_motorcycle(name: str) -> None:
    x, y, _ = line(name)
    bike = demo_bike("Corvid 1000").bike
    ranking = rank_laps(bike, circuit_of(centre_line(Points(x, y))), default_space(bike))
    assert isinstance(ranking, LapRanking)
    # Whoever rode that lap was geared for the circuit.
    lap = ranking.best(1, Wanted(fitting=True))[0].time
    # Banked turns are quicker than the same ones flat.
    banked = name == "nl-1948"
    assert lap == pytest.approx(_SAID[name]["lap_s"], rel=0.12 if banked else 0.08)


@pytest.mark.parametrize("name", _NAMES)
def test_an_own_lap_is_then_the_computed_one(name: str) -> None:
    x, y, _ = line(name)
    bike, wanted = demo_bike("Corvid 1000").bike, _SAID[name]["lap_s"]
    found = own_lap(bike, circuit_of(centre_line(Points(x, y))), wanted)
    assert isinstance(found, OwnLap)
    lap = lap_view(bike, fitted(bike), found.circuit)
    assert isinstance(lap, LapView)
    assert lap.row.time == pytest.approx(wanted, abs=0.01)
    assert 1.0 < found.factor < 1.2
