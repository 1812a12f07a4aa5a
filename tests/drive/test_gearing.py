"""Road and engine speed with a tyre that grows, against the equation solved by another solver."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from gearplan.drive import gearing

ENGINE, OVERALL, RADIUS = st.floats(50, 1500), st.floats(3, 30), st.floats(0.2, 0.4)
GROWTH = st.floats(1e-8, 2e-5)


@given(ENGINE, OVERALL, RADIUS, GROWTH)
def test_road_speed_of_a_growing_tyre(engine: float, overall: float, radius: float, growth: float) -> None:
    """Brent's method on n = v·i/(R·(1 + g·v²)), up to where the radius is doubled."""
    most = growth**-0.5

    def off(v: float) -> float:
        return v * overall / (radius * (1 + growth * v * v)) - engine

    if off(most) < 0:
        return
    found = float(gearing.road_speed(engine, overall, radius, growth))
    assert found == pytest.approx(brentq(off, 0.0, most, xtol=1e-12, rtol=1e-14), rel=1e-7)
    assert float(gearing.engine_speed(found, overall, radius, growth)) == pytest.approx(engine, rel=1e-7)


def test_a_growing_tyre_by_hand() -> None:
    """R 0.3 m, 1e-6 s²/m², 100 m/s: the radius is 0.303 m, and 10 turns to one turn at 1000/0.303 rad/s."""
    assert float(gearing.engine_speed(100.0, 10.0, 0.3, 1e-6)) == pytest.approx(1000 / 0.303)
    assert float(gearing.road_speed(1000 / 0.303, 10.0, 0.3, 1e-6)) == pytest.approx(100.0)


def test_the_radius_is_at_most_doubled() -> None:
    """No engine speed is without a road speed, however absurd the growth."""
    assert float(gearing.grown(1000.0, 1e-3)) == 2.0
    assert np.isfinite(gearing.road_speed(1500.0, 3.0, 0.4, 1e-3))


def test_without_growth_two_points_a_gear_else_as_many_as_asked() -> None:
    overall = np.array([12.0, 8.0])
    speed, engine = gearing.run_path(overall, 0.3, 100.0, 900.0, 1000.0)
    assert speed.tolist() == pytest.approx([2.5, 22.5, 22.5, 37.5])
    assert engine.tolist() == pytest.approx([100.0, 900.0, 600.0, 1000.0])
    speed, engine = gearing.run_path(overall, 0.3, 100.0, 900.0, 1000.0, growth=2e-6, points=5)
    assert len(speed) == 10
    assert speed[4] == pytest.approx(speed[5])
    assert engine.tolist() == pytest.approx(gearing.engine_speed(speed, np.repeat(overall, 5), 0.3, 2e-6).tolist())
