"""How surely road speeds are known: the tyre's circumference, and how it grows with the speed."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from uncertainties import ufloat, umath  # type: ignore[import-untyped]

from gearplan.bike.demo import demo_bike
from gearplan.bike.profile import with_value
from gearplan.bike.text.units import KMH
from gearplan.commands.output.numbersjson import numbers
from gearplan.drive.gearing import road_speed
from gearplan.plan.driveset import fitted
from gearplan.plan.set.compare import speed_lines
from gearplan.plan.set.doubts import speed_band, speed_doubt
from gearplan.plan.set.evaluate import evaluate

BIKE = demo_bike().bike


@pytest.mark.parametrize(("rev", "entered"), [(900.0, None), (900.0, 2e-6), (1150.0, None)])
def test_a_growing_tyre_is_in_the_range_of_every_speed(rev: float, entered: float | None) -> None:
    """The `uncertainties` library on v = n·U·(1 + g·v²)/(2π·i), solved for v; an assumed growth is one-sided."""
    bike = with_value(BIKE, "tyre", "growth_per_mps2", entered)
    around, off = 1.955, 0.005 * 1.955
    low, taken, high = (0.0, 0.0, 3e-6) if entered is None else (0.7 * entered, entered, 1.3 * entered)
    overall = 6.0

    def speed(u: object, g: object) -> Any:
        rest = rev * u / (math.tau * overall)  # type: ignore[operator]
        return 2 * rest / (1 + umath.sqrt(1 - 4 * g * rest * rest))  # type: ignore[operator]

    for end, side in ((low, 0), (high, 1)):
        theirs = speed(ufloat(around, off), ufloat(taken, abs(end - taken)) if end != taken else taken)
        v = theirs.nominal_value
        found = speed_doubt(bike, None, v)
        assert found is not None
        ours = (1 - found.low, found.high - 1)[side]
        assert ours == pytest.approx(theirs.std_dev / v, rel=0.02)


def test_a_growing_tyre_holds_random_draws_of_every_speed() -> None:
    """JCGM 101:2008: 4000 draws of circumference and growth, each normal with 95 % in its range."""
    rng = np.random.default_rng(7)
    bike = with_value(BIKE, "tyre", "growth_per_mps2", 3e-6)
    around = 1.955 * (1 + 0.005 / 1.96 * rng.standard_normal(4000))
    growth = 3e-6 * (1 + 0.3 / 1.96 * rng.standard_normal(4000))
    speeds = road_speed(1400.0, 6.0, around / math.tau, growth)
    v = float(road_speed(1400.0, 6.0, 1.955 / math.tau, 3e-6))
    found = speed_doubt(bike, None, v)
    assert found is not None
    assert v > 70
    inside = (speeds >= v * found.low) & (speeds <= v * found.high)
    assert 0.94 <= inside.mean() <= 0.96


def test_what_is_printed_and_drawn_grows_with_the_speed() -> None:
    """1.955 m to 0.5 %, and an assumed growth of up to 3e-6 s²/m²: 0.23 % at 100 km/h, four times that at 200."""
    bike = with_value(BIKE, "tyre", "growth_per_mps2", None)
    answer = numbers(bike, fitted(bike))["proposed"]
    (low, high), speeds = answer["doubt"]["speed_at_redline_kmh"], answer["speed_at_redline_kmh"]
    for least, most, v in zip(low, high, speeds, strict=True):
        assert least / v == pytest.approx(1 - 0.005)
        assert most / v == pytest.approx(1 + math.hypot(0.005, 3e-6 * (v * KMH) ** 2))
    slow, fast = answer["doubt"]["rpm_at_100_kmh"]
    for least, most, n in zip(slow, fast, answer["rpm_at_100_kmh"], strict=True):
        assert n / least == pytest.approx(1 + math.hypot(0.005, 3e-6 * (100 * KMH) ** 2))
        assert n / most == pytest.approx(1 - 0.005)
    lines = speed_lines(bike, evaluate(bike, fitted(bike)))
    assert lines is not None
    band = speed_band(bike, None, lines.run_speed)
    assert band is not None
    assert band[1][-1] == pytest.approx(high[-1] * KMH)
    unknown = replace(bike, tyre=replace(bike.tyre, size=None, rolling_circumference_mm=None))
    assert speed_band(unknown, None, lines.run_speed) is None
