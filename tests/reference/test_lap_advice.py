"""The set to take and its ties, held to a Monte Carlo: other random numbers, one bike and circuit a draw, a plain loop.

Nothing here is shared with how the program draws and leaves out laps, but the lap of a set itself.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from gearplan.bike.circuit import Circuit
from gearplan.bike.demo import demo_bike
from gearplan.bike.files.circuitfile import demo_circuit
from gearplan.bike.profile import Bike, with_value
from gearplan.drive.lap.rules import USUAL
from gearplan.plan.choices.space import Space, default_space
from gearplan.plan.laps.ranking import LapRanking, rank_laps
from gearplan.plan.laps.spread import plateau


def laps_of_a_draw(bike: Bike, circuit: Circuit, space: Space, at: np.ndarray) -> np.ndarray:
    """Every set's lap with each doubt somewhere in its usual range, −1 to 1."""
    grip, wind, mass, shift_time, braking, apex = at
    changed = with_value(bike, "load", "bike_kg", (bike.load.bike_kg or math.nan) + 5.0 * mass)
    changed = with_value(changed, "tyre", "grip", (bike.tyre.grip or 1.1) * (1 + 0.1 * grip))
    changed = with_value(changed, "load", "braking_mps2", (bike.load.braking_mps2 or 9.0) * (1 + 0.1 * braking))
    changed = with_value(changed, "engine", "shift_time_s", (bike.engine.shift_time_s or 0.15) + 0.03 * shift_time)
    sections = []
    for s in circuit.sections:
        lean = s.lean_deg and math.degrees(math.atan((1 + 0.1 * grip) * math.tan(math.radians(s.lean_deg))))
        side = s.grip and s.grip * (1 + 0.1 * grip)
        sections.append(replace(s, lean_deg=lean, grip=side, apex_kmh=s.apex_kmh and s.apex_kmh * (1 + 0.03 * apex)))
    found = rank_laps(changed, replace(circuit, sections=tuple(sections)), space, replace(USUAL, wind=2.0 * wind))
    assert isinstance(found, LapRanking)
    return found.time[: found.sets.ranked]


def share_of_the_best_left_out(bike: Bike, circuit: Circuit, space: Space, draws: int, seed: int) -> tuple[float, str]:
    """In how many of some draws a set that is not called tied beats the one to take, at most; and its name."""
    ranking = rank_laps(bike, circuit, space)
    assert isinstance(ranking, LapRanking)
    tied = plateau(ranking)
    assert tied is not None
    random = np.random.default_rng(seed)
    laps = np.array([laps_of_a_draw(bike, circuit, space, random.uniform(-1, 1, 6)) for _ in range(draws)])
    beats = (laps < laps[:, [tied.chosen]]).mean(axis=0)
    beats[tied.tied] = 0.0
    worst = int(beats.argmax())
    return float(beats[worst]), f"{ranking.sets.front[worst]}/{ranking.sets.rear[worst]}"


@pytest.mark.parametrize(
    ("name", "place", "seed"),
    [("Brindle 650", "Heronfleet", 1), ("Corvid 1000", "Marlpit Lane", 2), ("Corvid 1000", "Cairn Brae hill climb", 3)],
)
def test_no_set_that_is_not_tied_beats_the_one_to_take(name: str, place: str, seed: int) -> None:
    """In more than one of twenty cases; three standard errors more for the count of draws."""
    bike, draws = demo_bike(name).bike, 60
    space = default_space(bike, fronts=(14, 17), rears=(36, 48))
    share, which = share_of_the_best_left_out(bike, demo_circuit(place).circuit, space, draws, seed)
    assert share <= 0.05 + 3 * math.sqrt(0.05 * 0.95 / draws), which
