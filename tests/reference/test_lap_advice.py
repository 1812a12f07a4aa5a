"""The set to take, its ties and its lap's range, held to a Monte Carlo; `lapmontecarlo` does it at length."""

from __future__ import annotations

import math

import pytest

from gearplan.bike.demo import demo_bike
from gearplan.bike.files.circuitfile import demo_circuit
from gearplan.plan.choices.space import default_space
from tests.reference.lapmontecarlo import held


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
