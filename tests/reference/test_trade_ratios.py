"""Ratios that the trade quotes: common practice, no source."""

from __future__ import annotations

import numpy as np
import pytest

from gearplan.bike.text.units import KMH, RPM
from gearplan.drive import gearing


@pytest.mark.parametrize(("front", "rear", "ratio"), [(15, 43, 2.87), (15, 45, 3.00), (14, 43, 3.07)])
def test_final_ratio(front: int, rear: int, ratio: float) -> None:
    assert gearing.overall_ratios(1.0, np.ones(1), front, rear)[0] == pytest.approx(ratio, abs=0.005)


def test_change_of_a_popular_swap() -> None:
    """From 16/42 to 15/43 is 9.2 per cent shorter."""
    before, after = (gearing.overall_ratios(1.0, np.ones(1), *teeth)[0] for teeth in ((16, 42), (15, 43)))
    assert 100 * (after / before - 1) == pytest.approx(9.2, abs=0.05)


def test_engine_speed_of_a_published_gearing_table() -> None:
    """UN GTR No. 2, worked example of gear shifting (from memory): rpm per km/h 133.66 … 54.04 over six gears.

    The steps between neighbouring gears follow: 1.408, 1.246, 1.159, 1.116, 1.089.
    """
    per_kmh = [133.66, 94.91, 76.16, 65.69, 58.85, 54.04]
    steps = 1 + gearing.step_percent(np.array(per_kmh)) / 100
    assert steps == pytest.approx([1.408, 1.246, 1.159, 1.116, 1.089], abs=0.0006)


def test_road_speeds_of_a_published_gear_shift_example() -> None:
    """The same worked example prints the road speeds of its up-shifts: 28.5, 51.3, 63.9, 74.1 and 82.7 km/h.

    Engine speed at them: k·(s − idle) + idle, k = 0.5753·exp(−1.9·Pn/(mk + 75)), less 0.1 of the span in first;
    72 kW, 199 kg, s = 11800, idle = 1150 (inputs and formula from memory).
    """
    per_kmh = np.array([133.66, 94.91, 76.16, 65.69, 58.85])
    radius = 0.31
    overall = per_kmh * RPM * radius / KMH
    k = 0.5753 * np.exp(-1.9 * 72 / (199 + 75)) - np.array([0.1, 0, 0, 0, 0])
    at = k * (11800 - 1150) + 1150
    speeds = gearing.road_speed(at * RPM, overall, radius) / KMH
    assert speeds == pytest.approx([28.5, 51.3, 63.9, 74.1, 82.7], abs=0.05)
