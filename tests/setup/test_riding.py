"""What a rider's habits make of the rules of a lap, and what is taken where they are not known."""

from __future__ import annotations

import math

import pytest

from gearplan.bike.demo import demo_bike
from gearplan.bike.profile import with_value
from gearplan.bike.rider import NOBODY, Rider
from gearplan.setup import riding

BIKE = demo_bike("Corvid 1000").bike


def test_second_gear_is_the_lowest_in_corners_from_five_gears_on() -> None:
    assert riding.lowest_gear(BIKE, NOBODY).value == 2
    assert riding.lowest_gear(BIKE, NOBODY).assumed is not None
    for count, lowest in ((5, 2), (4, 1), (1, 1)):
        fewer = with_value(BIKE, "gearbox", "gears", (BIKE.gearbox.gears or ())[:count])
        assert riding.lowest_gear(fewer, NOBODY).value == lowest
    own = riding.lowest_gear(BIKE, Rider(lowest_gear=1))
    assert (own.value, own.assumed) == (1, None)


def test_habits_become_rules_in_si() -> None:
    rider = Rider("", 3, 72.0, (4,), 30.0, 600.0, 0.25, 3000.0)
    rules = riding.rules(BIKE, rider, wind=2.0)
    assert rules.first_below == pytest.approx(20.0)
    assert rules.no_shift_beyond == pytest.approx(math.pi / 6)
    assert rules.short_shift == pytest.approx(600 * math.tau / 60)
    assert rules.apex_engine_min == pytest.approx(3000 * math.tau / 60)
    assert (rules.lowest_gear, rules.skips, rules.down_shift, rules.wind) == (3, (4,), 0.25, 2.0)
    free = riding.rules(BIKE)
    assert (free.first_below, free.no_shift_beyond, free.short_shift, free.down_shift) == (math.inf, math.inf, 0, 0)


def test_a_rider_brings_mass_and_braking() -> None:
    other = riding.ridden_by(BIKE, Rider(rider_kg=60.0, braking_mps2=8.0))
    assert (other.load.rider_kg, other.load.braking_mps2) == (60.0, 8.0)
    assert riding.ridden_by(BIKE, NOBODY) is BIKE
