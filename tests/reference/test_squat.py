"""Anti-squat, clearances and runs against other routes to the same number."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import LineString, Point

from gearplan.drive.chain import chainrun, squat
from gearplan.drive.sprocket import pitch_radius

PITCH = 0.015875


def test_a_squat_ratio_computed_by_two_independent_routes() -> None:
    """Squat ratio after Cossalter (from memory), computed apart from this program by lines and by moments.

    Rear axle (0, 0.315), pivot (0.580, 0.400), sprocket (0.665, 0.415), 16/43 at 15.875 mm, h 0.65, w 1.40:
    R = 1.0748944; chain 2.7436°, swingarm 8.3374°, σ 23.3613°, crossing (1.10377, 0.47676).
    """
    length, angle = math.hypot(0.58, 0.085), math.atan2(0.085, 0.58)
    upper, _ = squat.runs(length, angle, 0.085, 0.015, 16, 43, PITCH)
    slope = squat.squat_slope(upper, length, angle, 43, PITCH, 0.315)
    assert (0.65 / 1.40) / slope == pytest.approx(1.0748944, abs=5e-8)
    assert math.degrees(math.atan(slope)) == pytest.approx(23.3613, abs=5e-5)
    x, z = squat.crossing(upper, angle)
    assert (x + 0.58, z + 0.4) == pytest.approx((1.10377, 0.47676), abs=6e-6)
    run = math.atan2(upper.front_z - upper.rear_z, upper.front_x - upper.rear_x)
    assert math.degrees(run) == pytest.approx(2.7436, abs=5e-5)


ARMS = st.tuples(st.floats(0.45, 0.7), st.floats(-0.1, 0.25), st.floats(0.03, 0.12), st.floats(-0.02, 0.05))


@given(ARMS, st.integers(12, 18), st.integers(35, 55), st.floats(0.28, 0.34))
def test_moments_and_lines_agree(arm: tuple[float, float, float, float], front: int, rear: int, radius: float) -> None:
    """Slope from the contact point to the crossing of the two lines, wherever they cross."""
    length, angle, forward, up = arm
    upper, _ = squat.runs(length, angle, forward, up, front, rear, PITCH)
    x, z = squat.crossing(upper, angle)
    contact_x, contact_z = -length * math.cos(angle), -length * math.sin(angle) - radius
    if not math.isfinite(x) or abs(x - contact_x) < 1e-3:
        return
    slope = squat.squat_slope(upper, length, angle, rear, PITCH, radius)
    assert slope == pytest.approx((z - contact_z) / (x - contact_x), rel=1e-6, abs=1e-9)


def test_it_is_continuous_where_the_lines_are_parallel() -> None:
    """Through the travel the crossing runs to infinity and back; the slope must not notice."""
    angle = np.linspace(-0.3, 0.4, 4001)
    upper, _ = squat.runs(0.58, angle, 0.085, 0.06, 16, 43, PITCH)
    slope = squat.squat_slope(upper, 0.58, angle, 43, PITCH, 0.315)
    # Smooth to the second order of the step: a pole would show as a jump many times that.
    assert np.abs(np.diff(slope, 2)).max() < 20 * (angle[1] - angle[0]) ** 2
    assert np.abs(squat.crossing(upper, angle)[0]).max() > 50


@given(ARMS, st.integers(12, 18), st.integers(35, 55))
def test_runs_touch_both_pitch_circles_and_are_as_long_as_the_tangent(
    arm: tuple[float, float, float, float], front: int, rear: int
) -> None:
    """Shapely: the distance of each centre from the run is its pitch radius."""
    length, angle, forward, up = arm
    axle = Point(-length * math.cos(angle), -length * math.sin(angle))
    centre = chainrun.centre_distance(length, angle, forward, up)
    for run in squat.runs(length, angle, forward, up, front, rear, PITCH):
        line = LineString([(run.rear_x, run.rear_z), (run.front_x, run.front_z)])
        assert line.length == pytest.approx(float(chainrun.tangent_length(centre, front, rear, PITCH)))
        assert line.distance(axle) == pytest.approx(float(pitch_radius(rear, PITCH)))
        assert line.distance(Point(forward, up)) == pytest.approx(float(pitch_radius(front, PITCH)))


@given(ARMS, st.integers(12, 18), st.integers(35, 55))
def test_distance_of_the_pivot(arm: tuple[float, float, float, float], front: int, rear: int) -> None:
    """Shapely's distance to the run drawn out beyond its ends; the sign says above or below."""
    length, angle, forward, up = arm
    for run in squat.runs(length, angle, forward, up, front, rear, PITCH):
        ux, uz = run.front_x - run.rear_x, run.front_z - run.rear_z
        line = LineString([(run.rear_x - 9 * ux, run.rear_z - 9 * uz), (run.rear_x + 9 * ux, run.rear_z + 9 * uz)])
        found = float(squat.distance_to_pivot(run))
        assert abs(found) == pytest.approx(line.distance(Point(0, 0)), abs=1e-12)
        height_over_pivot = run.rear_z - run.rear_x * uz / ux
        assert found * height_over_pivot >= -1e-15
