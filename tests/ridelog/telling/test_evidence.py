"""The evidence of each statement: its points lie about its line, and the line says what the statement says."""

from __future__ import annotations

import numpy as np
import pytest

from gearplan.bike.text.units import KMH, MPH, RPM
from gearplan.ridelog.demolog import Logger
from gearplan.ridelog.log import RideLog
from gearplan.ridelog.telling.evidence import EVIDENT, Evidence, evidence
from gearplan.ridelog.telling.learned import Learned, learn
from tests.ridelog.rides import BRINDLE, ride, truly


@pytest.fixture(scope="module")
def learned() -> Learned:
    return learn(ride(truly(BRINDLE), 7, 12.0, Logger(rate=20, gps=True, shown_over_true=1.06, growth=4e-6)), BRINDLE)


def shown(learned: Learned, about: str, unit: str = "km/h", factor: float = KMH) -> Evidence:
    found = evidence(learned, about, unit, factor)
    assert found is not None
    return found


def test_the_line_through_the_speeds_is_the_error_that_is_told(learned: Learned) -> None:
    found, told = shown(learned, "speedometer"), learned.speeds
    assert told is not None
    assert found.line is not None
    at = np.interp(told.at / KMH, *found.line)
    assert at == pytest.approx(100 * (told.quotient - 1), abs=0.01)
    assert np.median(found.y - np.interp(found.x, *found.line)) == pytest.approx(0, abs=0.1)
    miles = shown(learned, "speedometer", "mph", MPH)
    assert miles.x == pytest.approx(found.x * KMH / MPH)
    assert miles.across == "mph"


def test_the_line_through_the_coasts_is_the_road_load_that_is_told(learned: Learned) -> None:
    found, told = shown(learned, "road load"), learned.coast
    assert told is not None
    assert found.line is not None
    v = found.line[0] * KMH
    # Textbook road load: rolling resistance of the weight, and drag with the square of the speed.
    drag = 0.5 * told.density * told.drag_area * v**2
    assert found.line[1] == pytest.approx(told.rolling * told.mass * 9.80665 + drag)
    assert abs(np.median(found.y - np.interp(found.x, *found.line))) < 0.1 * np.median(found.y)


def test_bands_and_limiter_stand_as_sticks() -> None:
    time = np.arange(0, 60, 0.05)
    engine = np.where((time > 20) & (time < 21), 10790.0, 6100.0) * RPM
    told = learn(RideLog("x", time, engine=engine, road=engine / 25), BRINDLE)
    bands, limiter = shown(told, "time"), shown(told, "limiter")
    assert bands.sticks
    assert bands.x.tolist() == pytest.approx([6500, 10500])
    assert bands.y.sum() == pytest.approx(100)
    assert limiter.x[0] * 60 == pytest.approx(20, abs=0.1)
    assert limiter.y[0] == pytest.approx(1, abs=0.06)


def test_a_ride_without_any_has_none() -> None:
    time = np.arange(0, 60, 0.05)
    told = learn(RideLog("x", time, road=np.full(len(time), 20.0)), BRINDLE)
    assert [evidence(told, about) for about in (*EVIDENT, "laps")] == [None] * (len(EVIDENT) + 1)
