"""The set to take, its ties and its lap's range, held to a Monte Carlo; `lapmontecarlo` does it at length."""

from __future__ import annotations

import math

import numpy as np
import pytest

from gearplan.bike.circuit import Circuit, Section
from gearplan.bike.demo import demo_bike
from gearplan.bike.files.circuitfile import demo_circuit
from gearplan.plan.choices.space import default_space
from gearplan.plan.laps.draws import Doubts
from gearplan.plan.laps.ranking import LapRanking, rank_laps
from gearplan.plan.laps.spread import plateau
from tests.reference.lapmontecarlo import Floats, held, laps_of_a_draw

#: Straight (m), then a corner's radius (m) and turn (°).
_CORNERS = (
    (304.0, 51.0, 58.0),
    (162.0, 75.0, 129.0),
    (437.0, 87.0, 75.0),
    (401.0, 39.0, 119.0),
)


@pytest.mark.parametrize(
    ("name", "place", "seed"),
    [("Brindle 650", "Heronfleet", 1), ("Corvid 1000", "Marlpit Lane", 2), ("Corvid 1000", "Cairn Brae hill climb", 3)],
)
def test_no_set_that_is_not_tied_beats_the_one_to_take(name: str, place: str, seed: int) -> None:
    """In more than one of twenty cases; three standard errors more for the count of draws."""
    bike, draws = demo_bike(name).bike, 60
    found = held(bike, demo_circuit(place).circuit, default_space(bike, fronts=(14, 17), rears=(36, 48)), draws, seed)
    assert found.share <= 0.05 + 3 * math.sqrt(0.05 * 0.95 / draws), found.which
    # Both ends of the range come from 64 cases, and the draws here are 60.
    assert 0.95 - 3 * math.sqrt(2 * 0.05 * 0.95 / draws) <= found.inside


def test_a_grip_between_its_ends_counts_as_well() -> None:
    """Corners by radius, 16 sets, grip alone ± 10 %: at both ends a set looks sure to lose that wins in between.

    What each set gains or loses at the ends is worked out here; 15 grips between them are ridden in a plain loop.
    """
    bike, grip = demo_bike("Brindle 650").bike, Doubts(grip=0.1)
    circuit = Circuit("by radius", tuple(part for corner in _CORNERS for part in _sections(*corner)))
    space = default_space(bike, fronts=(14, 17), rears=(44, 47))
    ranking = rank_laps(bike, circuit, space)
    assert isinstance(ranking, LapRanking)
    sets = ranking.sets.ranked
    taken = ranking.time[:sets]

    def ridden(part: float) -> Floats:
        return laps_of_a_draw(bike, circuit, space, grip, np.array([part, 0.0, 0.0, 0.0, 0.0, 0.0]))

    best = int(taken.argmin())
    gap = taken - taken[best]
    at_ends = np.max([abs(lap - lap[best] - gap) for lap in (ridden(-1.0), ridden(1.0))], axis=0)
    between = np.array([ridden(float(part)) for part in np.random.default_rng(5).uniform(-1, 1, 15)])
    looks_sure = gap > np.maximum(at_ends, 0.02)
    assert ((between < between[:, [best]]).mean(axis=0)[looks_sure]).max() >= 0.15
    tied = plateau(ranking, grip)
    assert tied is not None
    beats = (between < between[:, [tied.chosen]]).mean(axis=0)
    beats[tied.tied] = 0.0
    assert beats.max() <= 0.08


def _sections(straight: float, radius: float, turn: float) -> tuple[Section, Section]:
    length = radius * math.radians(turn)
    return Section("straight", straight), Section("corner", length, radius_m=radius, turn_deg=turn)
