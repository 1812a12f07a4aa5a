"""Lean told from positions and speed, and kept out of what is told of the tyre: against circles of known radius."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from gearplan.ridelog.learning.lean import lean, upright
from gearplan.ridelog.learning.speeds import compare_speeds
from gearplan.ridelog.log import RideLog

_CROWN, _RADIUS = 0.094, 0.3127


def ridden(seed: int = 1, *, rate: float = 10.0) -> tuple[RideLog, np.ndarray]:
    """Rounds of a stadium of two straights of 120 m and two half circles, slow to fast, and the true lean.

    tan φ = v²/(r·g) (rigid body); a tyre with a round crown of radius c leaned by φ rolls on R − c·(1 − cos φ).
    """
    rng = np.random.default_rng(seed)
    time = np.arange(0, 600, 0.02)
    speed = 22 + 8 * np.sin(time / 45)
    along = np.cumsum(speed) * 0.02
    arc, straight = np.pi * 60.0, 120.0
    on = along % (arc + straight)
    bent = on < arc
    heading = np.cumsum(np.where(bent, speed / 60.0, 0.0)) * 0.02
    x, y = np.cumsum(speed * np.cos(heading)) * 0.02, np.cumsum(speed * np.sin(heading)) * 0.02
    true = np.where(bent, np.arctan(speed**2 / 60.0 / 9.81), 0.0)
    road = speed / (1 - _CROWN / _RADIUS * (1 - np.cos(true)))
    keep = slice(None, None, round(50 / rate))
    x, y = (line[keep] + rng.normal(0, 0.3, len(time[keep])) for line in (x, y))
    count = len(time[keep])
    log = RideLog(
        "stadium",
        time[keep],
        road=road[keep] + rng.normal(0, 0.03, count),
        gps=speed[keep] + rng.normal(0, 0.05, count),
        latitude=45 + y / 111_132.0,
        longitude=-30 + x / 78_847.0,
    )
    return log, true[keep]


@pytest.mark.parametrize("rate", [5.0, 10.0, 50.0])
def test_the_lean_is_that_of_the_circle(rate: float) -> None:
    log, true = ridden(rate=rate)
    found = lean(log)
    assert found is not None
    middle = np.convolve(true > 0.1, np.ones(round(4 * rate)) / round(4 * rate), "same") > 0.99
    assert np.median(np.abs(found[middle]) / true[middle]) == pytest.approx(1, abs=0.06)
    stands = np.convolve(true < 0.01, np.ones(round(4 * rate)) / round(4 * rate), "same") > 0.99
    straight = upright(log)
    assert straight is not None
    assert np.mean(straight[stands]) > 0.9
    assert np.mean(straight[middle]) < 0.05


def test_a_leaned_tyre_is_not_taken_for_an_error_or_for_growth() -> None:
    log, _ = ridden()
    taken = compare_speeds(log)
    assert taken is not None
    assert taken.quotient > 1.01
    put_right = compare_speeds(log, upright(log))
    assert put_right is not None
    assert put_right.quotient == pytest.approx(1, abs=3e-3)
    assert put_right.low <= 1.001
    assert not put_right.grows


def test_without_positions_or_time_nothing_is_told_of_the_lean() -> None:
    log, _ = ridden()
    assert lean(replace(log, latitude=None)) is None
    assert lean(replace(log, timed=False)) is None
    own = np.full(len(log.time), 0.3)
    assert lean(replace(log, lean=own)) is own
