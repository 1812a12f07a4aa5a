"""What each doubt is worth, against the lap of a bike file that was changed by it."""

from __future__ import annotations

import numpy as np
import pytest

from gearplan.bike.circuit import Circuit, Section
from gearplan.bike.demo import demo_bike
from gearplan.bike.profile import Bike, with_value
from gearplan.plan.choices.space import default_space
from gearplan.plan.laps.ranking import LapRanking, rank_laps
from gearplan.plan.laps.spread import Doubts, plateau

#: Short, so that a strong engine is held by the lifting front wheel nearly all the time.
HAIRPINS = Circuit(
    "a",
    (
        Section("straight", 160.0),
        Section("corner", 30.0, apex_kmh=45.0),
        Section("straight", 90.0),
        Section("corner", 30.0, apex_kmh=50.0),
    ),
)


def strong() -> Bike:
    bike = demo_bike("Corvid 1000").bike
    return with_value(bike, "engine", "torque", tuple((n, 1.5 * t) for n, t in bike.engine.torque or ()))


def ranked(bike: Bike) -> LapRanking:
    found = rank_laps(bike, HAIRPINS, default_space(bike, fronts=(15, 17), rears=(40, 44)))
    assert isinstance(found, LapRanking)
    return found


def test_the_doubt_of_the_mass_is_that_of_another_weight_in_the_file() -> None:
    """Lift and grip go with the weight, so that it says next to nothing of sets that they hold back."""
    bike, doubt = strong(), 20.0
    ranking = ranked(bike)
    found = plateau(ranking, Doubts(0.0, 0.0, doubt, 0.0))
    assert found is not None
    assert found.names == ("mass ±20 kg",)
    by_hand = []
    for by in (-doubt, doubt):
        laps = ranked(with_value(bike, "load", "bike_kg", (bike.load.bike_kg or 0.0) + by)).time[found.rows]
        by_hand.append(np.abs(laps - laps[0] - found.behind))
    assert found.by[0] == pytest.approx(np.max(by_hand, axis=0), abs=1e-6)
    assert len(found.rows) > 3
