"""Engine and road speed that a logger read in turn, once in a while and in whole km/h: the lag is taken out."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from gearplan.bike.text.units import KMH
from gearplan.ridelog.demolog import Logger
from gearplan.ridelog.learning.gears import infer_gears
from gearplan.ridelog.learning.turns import apart
from gearplan.ridelog.log import RideLog
from gearplan.ridelog.telling.learned import learn
from gearplan.ridelog.telling.words import remarks
from tests.ridelog.rides import BRINDLE, ride


def in_turn(log: RideLog, every: int) -> RideLog:
    """One row in so many, engine speed new in the even ones, road speed in the odd ones and in whole km/h."""
    assert log.engine is not None
    assert log.road is not None
    at = np.arange(0, log.used_rows, every)
    row = np.arange(len(at))
    engine = log.engine[at][row // 2 * 2]
    road = np.round(log.road[at] / KMH)[np.maximum((row - 1) // 2 * 2 + 1, 0)] * KMH
    return RideLog("turns", log.time[at], engine=engine, road=road, rows=len(at))


@pytest.mark.parametrize(("seed", "every"), [(2, 4), (2, 10), (4, 10), (6, 20)])
def test_speeds_read_in_turn_tell_what_they_tell_side_by_side(seed: int, every: int) -> None:
    log = in_turn(ride(BRINDLE, seed, 20.0, Logger(rate=20, lag=0.0, drop_outs=0)), every)
    learned = learn(log, BRINDLE)
    found = learned.gears
    assert found is not None
    assert found.matched == "yes"
    assert found.ratios.in_turn
    assert found.ratios.lag == pytest.approx(0, abs=0.05)
    assert found.rolled is not None
    assert found.rolled.circumference == pytest.approx(1.955, rel=3e-3)
    # What was not to be judged stands apart from what was ridden out of gear.
    times = learned.times
    assert times is not None
    assert times.in_gear + times.between + times.standing + times.unjudged == pytest.approx(1, abs=0.01)
    assert any("read in turn" in remark.text for remark in remarks(learned, BRINDLE))


def test_a_stop_is_no_slow_ride_between_two_values() -> None:
    log = in_turn(ride(BRINDLE, 4, 20.0, Logger(rate=20, lag=0.0, drop_outs=0)), 10)
    found = apart(log)
    assert log.road is not None
    assert found.road is not None
    assert np.mean(found.road < 0.7) == pytest.approx(np.mean(log.road < 0.7), abs=5e-3)


def test_other_logs_stay_as_they_are() -> None:
    for logger in (Logger(), Logger(rate=1.0), Logger(rate=10, speed_step=1 * KMH, engine_step=50 * np.pi / 30)):
        log = ride(BRINDLE, 3, 8.0, logger)
        assert apart(log) is log
    assert log.road is not None
    held = replace(log, road=log.road[np.arange(log.used_rows) // 5 * 5])
    assert apart(held) is held


def test_rows_once_a_second_tell_apart_what_cannot_be_judged() -> None:
    whole = ride(BRINDLE, 2, 20.0, Logger(rate=20, lag=0.0, drop_outs=0))
    rare = whole.rows_where(slice(None, None, 20))
    dense, found = learn(whole, BRINDLE).times, learn(rare, BRINDLE).times
    assert dense is not None
    assert found is not None
    assert found.unjudged > 0.03
    assert found.between < dense.between + 0.02
    assert dense.unjudged < 0.01
    assert infer_gears(rare, BRINDLE).matched == "yes"
