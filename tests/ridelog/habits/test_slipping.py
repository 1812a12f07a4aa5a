"""What gives way under pull, told apart over an outside generator's rides; healthy ones are not suspected."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from gearplan.bike.demo import demo_bike
from gearplan.bike.profile import with_value
from gearplan.ridelog.habits.shifts import quick_shifter, up_shifts
from gearplan.ridelog.learning.gears import infer_gears
from gearplan.ridelog.log import RideLog
from gearplan.ridelog.telling.evidence import evidence
from gearplan.ridelog.telling.learned import as_numbers, learn
from gearplan.ridelog.telling.words import remarks
from tests.ridelog.circling import Course, as_profile, recorded, ridden, ring, road, roamed
from tests.ridelog.invented import invent

BRINDLE = demo_bike("Brindle 650").bike
#: The same bike with the speed sensed at the front.
FRONT = with_value(BRINDLE, "speedometer", "sensor", "front wheel")


def course(seed: int) -> tuple[Course, np.ndarray]:
    """A road, and the acceleration along it."""
    rng = np.random.default_rng(seed)
    found = ridden(BRINDLE, replace(as_profile(BRINDLE), lateral=0.6), road(rng), 0, rng, 0.02)
    return found, np.convolve(np.gradient(found.speed, 0.02), np.ones(15) / 15, "same")


def logged(one: Course, *, gps: bool = True) -> RideLog:
    return recorded(one, as_profile(BRINDLE), np.random.default_rng(1), gps=gps)


@pytest.mark.parametrize("gps", [True, False])
@pytest.mark.parametrize("slip", [0.03, 0.12])
def test_a_clutch_that_slips_is_no_other_bike(slip: float, gps: bool) -> None:
    """Ahead by so much for each m/s² beyond half a one: with 12 % three in nine peaks are gears, the rest none."""
    one, pulls = course(1)
    log = logged(replace(one, engine=one.engine * (1 + slip * np.maximum(pulls - 0.5, 0))), gps=gps)
    learned = learn(log, BRINDLE)
    assert learned.slip is not None
    assert learned.slip.what == "clutch"
    assert learned.slip.pulling > 0.5 > 5 * learned.slip.steady
    assert learned.gears is not None
    assert learned.gears.most_likely is not None
    assert (learned.gears.most_likely.front, learned.gears.most_likely.rear) == (15, 46)
    told = {remark.about: remark.text for remark in remarks(learned, BRINDLE)}
    assert "another bike" not in told
    assert "so the clutch slips" in told["slip"]
    assert as_numbers(learned, ())["slip"]["what"] == "clutch"
    drawn = evidence(learned, "slip")
    assert drawn is not None
    assert np.median(drawn.y[drawn.x > 1.5]) > 3 * abs(np.median(drawn.y[drawn.x < 0.3]))


def test_a_wheel_that_spins_is_told_by_the_wheel_or_left_open() -> None:
    one, pulls = course(2)
    rng = np.random.default_rng(4)
    bursts = np.repeat(rng.random(len(pulls) // 40 + 1) < 0.5, 40)[: len(pulls)]
    spin = 1 + np.where((pulls > 2) & bursts & (one.gear <= 3), 0.15, 0.0)
    spin = 1 + np.convolve(spin - 1, np.ones(9) / 9, "same")
    log = logged(replace(one, engine=one.engine * spin))
    assert log.road is not None
    behind = replace(log, road=log.road * np.interp(log.time, one.time, spin))
    found = learn(behind, BRINDLE).slip
    assert found is not None
    assert found.what == "wheel"
    assert found.by_wheels
    # A front wheel does not spin: then only the gears could tell, and hardly any high one was ridden.
    open_ = learn(log, FRONT)
    assert open_.slip is not None
    assert open_.slip.what == "either"
    text = next(remark.text for remark in remarks(open_, FRONT) if remark.about == "slip")
    assert "To decide it" in text


@pytest.mark.parametrize("seed", range(12))
def test_a_healthy_ride_is_not_suspected(seed: int) -> None:
    log, _ = roamed(BRINDLE, seed) if seed % 2 else invent(BRINDLE, seed)
    learned = learn(log, BRINDLE)
    assert learned.slip is None
    assert as_numbers(learned, ())["slip"] is None


@pytest.mark.parametrize(("seconds", "cuts"), [(0.05, True), (0.1, True), (0.3, False)])
def test_a_quick_shifter_is_told_from_shifts_by_hand_and_from_slip(seconds: float, cuts: bool) -> None:
    bike = replace(BRINDLE, engine=replace(BRINDLE.engine, shift_time_s=seconds))
    rng = np.random.default_rng(3)
    one = ridden(bike, as_profile(bike), ring(rng, 2500, 7), 3, rng, 0.01)
    log = recorded(one, as_profile(bike), rng, rate=50)
    learned = learn(log, BRINDLE)
    assert learned.slip is None
    true = np.flatnonzero(np.diff(one.gear) == 1)
    assert len(learned.shifts) == pytest.approx(len(true), abs=2)
    assert {shift.gear for shift in learned.shifts} == {int(gear) for gear in one.gear[true]}
    # The clutch or the cut lets the engine fall within the shift: it took no less than the drive was away.
    assert np.median([shift.took for shift in learned.shifts]) >= 0.5 * seconds
    assert (quick_shifter(learned.shifts) is not None) == cuts
    assert any(remark.about == "quick-shifter" for remark in remarks(learned, BRINDLE)) == cuts
    assert up_shifts(log.rows_where(slice(None, None, 10)), infer_gears(log, BRINDLE)) == ()


def test_leaning_that_nothing_tells_is_no_clutch_that_slips() -> None:
    """Laps ridden at 45 degrees of lean, by satellite speed alone: the leaned tyre turns faster under pull."""
    true = replace(as_profile(BRINDLE), lateral=1.0)
    one = ridden(BRINDLE, true, ring(np.random.default_rng(8), 3500, 9), 3, np.random.default_rng(3), 0.004)
    whole = recorded(one, true, np.random.default_rng(3))
    alone = replace(whole, road=None, latitude=None, longitude=None)
    learned = learn(alone, BRINDLE)
    told = {remark.about: remark.text for remark in remarks(learned, BRINDLE)}
    assert learned.slip is None or learned.slip.what == "lean"
    assert "so the clutch slips" not in told.get("slip", "")
    assert "the clutch slips." not in told.get("slip", "")
    assert "Nothing in this log tells the lean" in told["lean"]
    # What braking in no gear would ask of the tyres is no coasting.
    assert learned.coast is None or learned.coast.rolling > 0
    placed = learn(replace(whole, road=None), BRINDLE)
    assert placed.slip is None
    assert "lean" not in {remark.about for remark in remarks(placed, BRINDLE)}


def test_another_bike_is_one_at_steady_speed_too() -> None:
    log = logged(course(1)[0])
    corvid = demo_bike("Corvid 1000").bike
    learned = learn(log, corvid)
    assert learned.slip is None
    assert any(remark.about == "another bike" for remark in remarks(learned, corvid))
