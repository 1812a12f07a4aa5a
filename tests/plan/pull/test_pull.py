"""Slope, counter, climb and shift habit, by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from gearplan.bike.demo import demo_bike
from gearplan.bike.profile import Bike, with_value
from gearplan.bike.text.units import RPM
from gearplan.plan.driveset import fitted
from gearplan.plan.pull.pull import Pull, counter_factor, pull
from gearplan.plan.pull.shifts import habit, habit_sentence
from gearplan.plan.pull.table import climb

BRINDLE = demo_bike("Brindle 650").bike


def pulled(bike: Bike, slope: float = 0.0) -> Pull:
    found = pull(bike, fitted(bike), slope)
    assert isinstance(found, Pull)
    return found


def test_a_slope_lessens_what_lift_and_grip_allow() -> None:
    """Only the part of the weight that stands on the road holds: cos 15° = 0.96593."""
    level, steep = pulled(BRINDLE), pulled(BRINDLE, math.radians(15))
    assert steep.machine.lift == pytest.approx(0.96593 * level.machine.lift, rel=1e-5)
    assert steep.machine.grip == pytest.approx(0.96593 * level.machine.grip, rel=1e-5)
    assert steep.road.slope == pytest.approx(math.radians(15))


def test_the_counter_has_its_own_error() -> None:
    """Right on average as fitted; 2 % too much if so entered, and with the sensor on the shaft by the ratio."""
    bike = with_value(BRINDLE, "speedometer", "sensor", "output shaft")
    other = replace(fitted(bike), rear=48)
    assert counter_factor(bike, fitted(bike)) == pytest.approx(1.0)
    assert counter_factor(bike, other) == pytest.approx(48 / 46)
    wrong = with_value(bike, "speedometer", "distance_over_true", 1.02)
    assert counter_factor(wrong, fitted(wrong)) == pytest.approx(1.02)
    assert counter_factor(wrong, other) == pytest.approx(1.02 * 48 / 46)
    flatters = with_value(wrong, "speedometer", "indicated_over_true", 1.1)
    assert counter_factor(flatters, other) == pytest.approx(1.02 * 48 / 46)
    assert counter_factor(with_value(wrong, "speedometer", "sensor", None), other) is None


def test_the_steepest_further_slope_holds_the_spare_thrust() -> None:
    """A spare of 0.6 of the weight holds sin a = 0.6, a 3-4-5 triangle: 75 %."""
    found = pulled(BRINDLE)
    weight = found.road.mass * 9.80665
    assert climb(found, 0.6 * weight) == pytest.approx(0.75)
    assert climb(found, -0.28 * weight) == pytest.approx(-0.28 / 0.96)


def test_a_habit_is_early_or_late_from_half_a_percent_on() -> None:
    found = pulled(BRINDLE)
    best = habit(found, None).shifts
    assert [shift.best for shift in best] == pytest.approx(found.shift_engine)
    for shift, was, now in zip(best, found.machine.overall, found.machine.overall[1:], strict=False):
        assert shift.falls_to == pytest.approx(shift.best * now / was)
        assert shift.speed == pytest.approx(shift.best * found.machine.radius / was)
    lowest = min(shift.best for shift in best)
    early = habit_sentence(habit(found, 0.97 * lowest))
    assert "early out of gears 1, 2, 3, 4 and 5" in early
    assert "late" not in early


def test_an_own_shift_beyond_the_limiter_is_made_at_the_limiter() -> None:
    found = pulled(BRINDLE)
    assert {shift.own for shift in habit(found, 20000 * RPM).shifts} == {found.machine.limiter}
