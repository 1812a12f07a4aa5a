"""Chain run, sprocket, ratios and tyre by plain geometry: shapely, scipy's root finding, fractions and pint."""

from __future__ import annotations

import math
from fractions import Fraction

import numpy as np
import pytest
from scipy.optimize import brentq
from shapely.geometry import LineString, Point, Polygon

from gearplan.drive import gearing, tyre
from gearplan.drive.chain import chainrun
from gearplan.drive.sprocket import outline, pitch_radius
from tests.pintunits import REGISTRY

PITCH = 0.015875
SETS = [(13, 48, 0.55), (15, 46, 0.62), (17, 38, 0.7), (16, 16, 0.6)]


@pytest.mark.parametrize(("front", "rear", "centre"), SETS)
def test_wraps_by_the_tangent_that_touches_both_circles(front: int, rear: int, centre: float) -> None:
    """The line that has both pitch circles on one side: its touching points by root finding on its angle."""
    r1, r2 = (PITCH / (2 * math.sin(math.pi / z)) for z in (front, rear))

    def off(angle: float) -> float:
        """Distance of the rear centre from the line that touches the front circle at this angle, less r₂."""
        normal = np.array([math.cos(angle), math.sin(angle)])
        return float(np.dot(normal, [centre, 0.0]) - r1 + r2)

    touch = brentq(off, math.pi / 2 - 0.9, math.pi / 2 + 0.9, xtol=1e-14)
    outwards = np.array([math.cos(touch), math.sin(touch)])
    on_front, on_rear = (np.array([x, 0.0]) + r * outwards for x, r in ((0.0, r1), (centre, r2)))
    run = LineString([on_front, on_rear])
    assert chainrun.tangent_length(centre, front, rear, PITCH) == pytest.approx(run.length, rel=1e-12)
    # What lies away from the other sprocket is wrapped: from the upper touching point round to the lower.
    wraps = chainrun.wrap_angles(centre, front, rear, PITCH)
    assert [float(w) for w in wraps] == pytest.approx([2 * (math.pi - touch), 2 * touch], rel=1e-12)


@pytest.mark.parametrize("angle", [0.0, 0.148, -0.1])
@pytest.mark.parametrize("centre", [0.58, 0.66])
def test_the_axle_where_the_arm_crosses_a_circle_about_the_sprocket(angle: float, centre: float) -> None:
    """shapely: the arm from the pivot backwards, and a fine polygon of the circle."""
    forward, up = 0.062, 0.021
    arm = LineString([(0, 0), (-2 * math.cos(angle), -2 * math.sin(angle))])
    circle = Point(forward, up).buffer(centre, quad_segs=20_000).exterior
    axle = arm.intersection(circle)
    found = chainrun.axle_at_centre_distance(centre, angle, forward, up)
    assert found == pytest.approx(math.hypot(axle.x, axle.y), abs=1e-8)


def test_the_axle_for_a_chain_has_that_chain() -> None:
    """Root finding on the number of links, from the angles and lengths above."""
    front, rear, links, slack, angle, forward, up = 15, 46, 112, 0.03, 0.148, 0.062, 0.021

    def off(axle: float) -> float:
        x, y = -axle * math.cos(angle) - forward, -axle * math.sin(angle) - up
        centre = math.hypot(x, y)
        r1, r2 = (PITCH / (2 * math.sin(math.pi / z)) for z in (front, rear))
        alpha = math.asin((r2 - r1) / centre)
        run = math.sqrt(centre**2 - (r2 - r1) ** 2)
        wraps = front * (math.pi - 2 * alpha) / math.tau + rear * (math.pi + 2 * alpha) / math.tau
        return (run + math.hypot(run, slack)) / PITCH + wraps - links

    found = chainrun.axle_for_links(links, front, rear, PITCH, slack, angle, forward, up)
    assert found == pytest.approx(brentq(off, 0.4, 0.8, xtol=1e-14), rel=1e-10)


def test_slack_and_the_length_that_it_takes() -> None:
    """A run of 3 and a movement of 4 in all take 5 − 3: the half movement over the half run is a 3-4-5 triangle."""
    assert chainrun.excess_length(3.0, 4.0) == pytest.approx(2.0)
    assert chainrun.slack_for_excess(3.0, 2.0) == pytest.approx(4.0)


def test_even_counts_of_every_interval() -> None:
    for low in np.arange(100, 104, 0.25):
        for high in np.arange(100, 108, 0.25):
            by_hand = tuple(n for n in range(90, 120) if n % 2 == 0 and low <= n <= high)
            assert chainrun.even_links_between(float(low), float(high)) == by_hand


@pytest.mark.parametrize("ratio", [1.744186, 2.461538, 0.9583333, 3.0])
def test_the_nearest_pair_of_teeth_of_all_pairs(ratio: float) -> None:
    every = [(abs(Fraction(b, a) - Fraction(ratio)), a, b) for a in range(10, 61) for b in range(10, 61)]
    _, driver, driven = min(every)
    assert gearing.nearest_teeth(ratio) == (driver, driven)
    assert gearing.ratio_value((driver, driven)) == float(Fraction(driven, driver))


def test_engine_speed_with_units() -> None:
    """pint: 100 km/h on a tyre of 2 m round, 5 engine turns to one of the wheel."""
    unit = REGISTRY
    wheel = 100 * unit.kilometer / unit.hour / (2 * unit.meter / unit.turn)
    expected = (5 * wheel).to(unit.radian / unit.second).magnitude
    speed = (100 * unit.kilometer / unit.hour).to(unit.meter / unit.second).magnitude
    radius = tyre.rolling_radius(2.0)
    assert radius == pytest.approx(2 / (2 * math.pi))
    assert float(gearing.engine_speed(speed, 5.0, radius)) == pytest.approx(expected)
    assert float(gearing.road_speed(expected, 5.0, radius)) == pytest.approx(speed)


def test_a_run_through_two_gears_by_hand() -> None:
    """10 and 8 turns to one, 1 m a turn: up at 100 turns/s is 10 m/s, and 80 turns/s in the next gear."""
    turn = math.tau
    speeds, engine = gearing.run_path(np.array([10.0, 8.0]), 1 / math.tau, 20 * turn, 100 * turn, 120 * turn)
    assert speeds == pytest.approx([2.0, 10.0, 10.0, 15.0])
    assert engine / turn == pytest.approx([20.0, 100.0, 80.0, 120.0])
    assert gearing.after_shift(100.0, np.array([10.0, 8.0])) == pytest.approx([80.0])


def test_rear_teeth_of_the_same_ratio() -> None:
    assert float(gearing.rear_for_same_ratio(15, 46, 16)) == pytest.approx(float(Fraction(46, 15) * 16))


@pytest.mark.parametrize("teeth", [13, 15, 46])
def test_a_drawn_sprocket(teeth: int) -> None:
    """Outside diameter p·(0.6 + cot(180°/z)), Machinery's Handbook on roller chain sprockets (from memory).

    By hand for 15 teeth of 15.875 mm: 15.875 · (0.6 + 4.7046) = 84.21 mm.
    """
    roller = 0.01016
    x, y = outline(teeth, PITCH, roller)
    shape = Polygon(np.column_stack([x, y]))
    far = np.hypot(x, y)
    assert shape.is_valid
    assert 2 * far.max() == pytest.approx(PITCH * (0.6 + 1 / math.tan(math.pi / teeth)), rel=1e-12)
    if teeth == 15:
        assert 2e3 * far.max() == pytest.approx(84.21, abs=0.005)
    # Each roller lies in its seat: it overlaps it by what six chords cut off a half circle, (π − 3)·r²/2.
    r = float(pitch_radius(teeth, PITCH))
    for k in range(teeth):
        angle = math.tau * k / teeth
        seat = Point(r * math.cos(angle), r * math.sin(angle)).buffer(roller / 2, quad_segs=64)
        assert seat.intersection(shape).area < 1.01 * (math.pi - 3) / (2 * math.pi) * seat.area
        assert seat.distance(shape) < 1e-6
    assert int((np.abs(far - (r - roller / 2)) < 1e-9).sum()) >= teeth
