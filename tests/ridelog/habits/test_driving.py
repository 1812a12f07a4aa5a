"""Full pull, changes up and the measured thrust, against a motorcycle whose law of force is written anew here."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import partial

import numpy as np
import pytest
from scipy.optimize import brentq

from gearplan.bike.demo import demo_bike
from gearplan.bike.profile import Bike, with_value
from gearplan.bike.text.units import RPM
from gearplan.ridelog.log import RideLog
from gearplan.ridelog.telling.evidence import evidence
from gearplan.ridelog.telling.learned import Learned, as_numbers, learn
from gearplan.ridelog.telling.words import remarks
from tests.ridelog.circling import Ridden, as_profile, recorded, ridden
from tests.ridelog.invented import quotient
from tests.ridelog.rides import lapped

BRINDLE = demo_bike("Brindle 650").bike


def line() -> tuple[np.ndarray, np.ndarray]:
    """Three straights of 500 m with tight half circles between them: each is ridden from slow to fast."""
    bend = np.concatenate([np.concatenate([np.zeros(500), np.full(47, side / 15)]) for side in (1, -1, 1)])
    heading = np.cumsum(np.convolve(bend, np.ones(9) / 9, "same"))
    return np.cumsum(np.cos(heading)), np.cumsum(np.sin(heading))


def pulled(true: Ridden, bike: Bike = BRINDLE, *, throttle: bool = True) -> tuple[RideLog, Learned]:
    rng = np.random.default_rng(1)
    one = ridden(bike if bike.engine.torque else BRINDLE, true, line(), 0, rng)
    log = recorded(one, true, rng, rate=50)
    pulls = np.interp(log.time, one.time, np.gradient(one.speed, 0.02))
    if throttle:
        log = replace(log, throttle=np.where(pulls > 0.2, 1.0, 0.0))
    return log, learn(log, bike)


def geared(gear: int, bike: Bike) -> tuple[float, float]:
    """Overall ratio of a gear (from 1) and how far the tyre's centre is from the road."""
    own = as_profile(bike)
    ratio = quotient(bike.gearbox.primary) * quotient((bike.gearbox.gears or ())[gear - 1]) * own.rear / own.front
    return ratio, own.rolls / math.tau


def force(gear: int, speed: float, bike: Bike) -> float:
    """What the engine pushes with in a gear (from 1), N."""
    assert bike.engine.torque is not None
    ratio, radius = geared(gear, bike)
    points = np.array(bike.engine.torque)
    torque = float(np.interp(speed * ratio / radius * 60 / math.tau, points[:, 0], points[:, 1]))
    return torque * ratio * (bike.engine.efficiency or 0) / radius


def gains(gear: int, speed: float, bike: Bike, *, lifts: bool = True) -> float:
    """The acceleration in a gear (from 1) under full pull by Newton's law, m/s²; `lifts`: a front wheel may."""
    own, load, chassis = as_profile(bike), bike.load, bike.chassis
    ratio, radius = geared(gear, bike)
    most = own.mass * 9.81 * (chassis.com_ahead_of_rear_axle_mm or 0) / (chassis.com_height_mm or math.inf)
    pull = min(force(gear, speed, bike), most if lifts else math.inf)
    resists = 0.6 * own.drag * speed**2 + (load.rolling_coefficient or 0) * own.mass * 9.81
    turning = (load.wheel_inertia_kg_m2 or 0) / radius**2 + (bike.engine.inertia_kg_m2 or 0) * (ratio / radius) ** 2
    return (pull - resists) / (own.mass + turning)


def seconds(gear: int, low: float, high: float, bike: Bike = BRINDLE) -> float:
    """From one speed to another in a gear (from 1), in fine steps."""
    speed = np.linspace(low, high, 1000)
    return float(np.trapezoid([1 / gains(gear, float(v), bike) for v in speed], speed))


def test_a_change_that_comes_early_costs_what_the_lower_gear_would_have_gained() -> None:
    log, learned = pulled(replace(as_profile(BRINDLE), up=0.65))
    drove = learned.drove
    assert drove is not None
    assert learned.gears is not None
    assert learned.gears.most_likely is not None
    early = [one for one in drove.changes if one[2] > 0.05]
    assert len(early) > 3
    for shift, advised, lost in early:
        assert shift.engine < advised
        per = learned.gears.gears[[gear.number for gear in learned.gears.gears].index(shift.gear)].cluster.ratio
        low = shift.engine / per
        # Up to where it got within the time that counts, at most to the advised speed.
        assert log.gps is not None
        after = log.gps[(log.time >= shift.at) & (log.time < shift.at + 8)]
        high = min(advised / per, float(after.max()))
        assert seconds(shift.gear + 1, low, high) - seconds(shift.gear, low, high) == pytest.approx(lost, abs=0.07)
    text = {remark.about: remark.text for remark in remarks(learned, BRINDLE)}["full pull"]
    assert "came early and lost" in text
    assert as_numbers(learned, ())["full_pull"]["lost_by_changes_s"] == pytest.approx(drove.lost)


def test_a_change_that_comes_late_costs_what_the_higher_gear_would_have_gained() -> None:
    """An engine that fades from 7000 rpm on, turned to 0.97 of its redline all the same."""
    fading = ((2000.0, 41.0), (4000.0, 55.0), (7000.0, 64.0), (8500.0, 46.0), (10800.0, 22.0))
    bike = with_value(BRINDLE, "engine", "torque", fading)
    _, learned = pulled(as_profile(bike), bike)
    drove = learned.drove
    assert drove is not None
    assert learned.gears is not None
    late = [one for one in drove.changes if one[2] > 0.05]
    assert len(late) > 3
    for shift, advised, lost in late:
        assert shift.engine > advised
        per = learned.gears.gears[[gear.number for gear in learned.gears.gears].index(shift.gear)].cluster.ratio
        low, high = advised / per, shift.engine / per
        in_both = [seconds(gear, low, high, bike) for gear in (shift.gear, shift.gear + 1)]
        assert in_both[0] - in_both[1] == pytest.approx(lost, rel=0.08, abs=0.02)
        # The advice itself: from where on the next gear gains more, as a root of the difference has it.
        both = [(partial(gains, gear, bike=bike, lifts=False)) for gear in (shift.gear, shift.gear + 1)]
        even = brentq(lambda v, low=both[0], high=both[1]: low(v) - high(v), 0.8 * low, 1.2 * low)
        assert even == pytest.approx(low, rel=3e-3)
    text = {remark.about: remark.text for remark in remarks(learned, bike)}["full pull"]
    assert "came late and lost" in text
    assert as_numbers(learned, ())["full_pull"]["lost_by_changes_s"] == pytest.approx(drove.lost)


def test_changes_at_the_advised_speed_cost_nothing() -> None:
    _, early = pulled(replace(as_profile(BRINDLE), up=0.65))
    _, learned = pulled(as_profile(BRINDLE))
    assert learned.drove is not None
    assert early.drove is not None
    assert learned.drove.changes
    assert learned.drove.lost < 0.2 * early.drove.lost
    # Ridden higher up, as the engine was turned higher.
    assert learned.drove.low > early.drove.low
    assert 5000 < learned.drove.low / RPM < learned.drove.high / RPM < 10800


def test_without_a_throttle_the_acceleration_tells_full_pull() -> None:
    _, learned = pulled(replace(as_profile(BRINDLE), up=0.65), throttle=False)
    assert learned.drove is not None
    assert learned.drove.changes
    # But then the pull cannot be held against itself.
    assert learned.drove.share is None


@pytest.mark.parametrize("mass", [1.0, 1.2])
def test_the_measured_pull_is_the_truth_s_share_of_the_computed(mass: float) -> None:
    """A motorcycle that is a fifth heavier than its profile accelerates as if it pulled less."""
    own = as_profile(BRINDLE)
    _, learned = pulled(replace(own, mass=own.mass * mass))
    assert learned.drove is not None
    assert learned.drove.share is not None
    value, low, high = learned.drove.share
    told = {remark.about: remark for remark in remarks(learned, BRINDLE)}["pull"]
    assert "on a road taken as level. Wind is in it" in told.text
    if mass == 1.0:
        assert low - 0.01 <= 1 <= high + 0.01
        assert told.level == "fits"
    else:
        assert 1 / mass - 0.03 < value < 0.92
        assert told.level == "check"
    assert evidence(learned, "pull") is not None


def test_a_profile_without_a_torque_curve_tells_none_of_it() -> None:
    bare = with_value(BRINDLE, "engine", "torque", None)
    _, learned = pulled(as_profile(BRINDLE), bare)
    assert learned.drove is None
    assert as_numbers(learned, ())["full_pull"] is None


def test_rows_without_a_value_are_left_out() -> None:
    log, whole = pulled(replace(as_profile(BRINDLE), up=0.65))
    rng = np.random.default_rng(3)
    assert log.engine is not None
    assert log.gps is not None
    holed = replace(
        log,
        engine=np.where(rng.random(len(log.time)) < 0.1, np.nan, log.engine),
        gps=np.where(rng.random(len(log.time)) < 0.1, np.nan, log.gps),
    )
    learned = learn(holed, BRINDLE)
    assert learned.drove is not None
    assert whole.drove is not None
    assert learned.drove.low == pytest.approx(whole.drove.low, rel=0.05)
    assert all(remark.text for remark in remarks(learned, BRINDLE))


def test_the_pull_in_corners_is_not_held_against_that_of_the_engine() -> None:
    """The demo's laps, on the bike as its profile is: drive out of corners is what the tyre leaves."""
    log = lapped(1, 3)[1]
    drove = learn(log, BRINDLE).drove
    assert drove is not None
    assert drove.share is not None
    assert drove.share[0] == pytest.approx(1, abs=0.03)
    unknown = learn(replace(log, latitude=None, longitude=None), BRINDLE).drove
    assert unknown is None or unknown.share is None
