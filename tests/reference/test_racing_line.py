"""The line of least curvature on public tracks against scipy's bounded least squares, with curvature by circles.

There the curvature at a point is that of the circle through it and its neighbours (Menger), its change with the
offsets taken by differences: nothing is shared with the program.

The lap of the sections is held to that of a point mass which follows the curvature of the line from step to step,
with the bike's greatest thrust over all gears, without shifts: it shares the line with the program, and nothing of the
lap.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.optimize import lsq_linear

from gearplan.bike.demo import demo_bike
from gearplan.plan.driveset import fitted
from gearplan.plan.laps.view import LapView, lap_view
from gearplan.plan.lines.centreline import centre_line, circuit_of
from gearplan.plan.lines.points import Points
from gearplan.plan.lines.racing import least_curvature, moved_aside
from tests.reference.test_circuits import line

_HALF = 5.5
_G, _AIR = 9.80665, 1.2041  # air at 20 °C and 1013.25 hPa (ISO 2533)


def even(name: str, count: int = 256) -> tuple[np.ndarray, np.ndarray]:
    x, y, _ = line(name)
    along = np.concatenate([[0.0], np.cumsum(np.hypot(np.diff(x), np.diff(y)))])
    at = np.arange(count) * along[-1] / count
    return np.interp(at, along, x), np.interp(at, along, y)


def bending(p: np.ndarray) -> np.ndarray:
    """Curvature of the circle through three points, weighed by the root of the length."""
    a, b = p - np.roll(p, 1, axis=0), np.roll(p, -1, axis=0) - p
    la, lb, lc = (np.hypot(*d.T) for d in (a, b, a + b))
    return np.asarray(2 * (a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]) / (la * lb * lc) * np.sqrt((la + lb) / 2))


def least(x: np.ndarray, y: np.ndarray) -> np.ndarray:
    p = np.column_stack([x, y])
    ahead = np.roll(p, -1, axis=0) - np.roll(p, 1, axis=0)
    normal = np.column_stack([-ahead[:, 1], ahead[:, 0]]) / np.hypot(*ahead.T)[:, None]
    n, offset, small = len(x), np.zeros(len(x)), 1e-4
    for _ in range(3):
        now = bending(p + offset[:, None] * normal)
        change = np.zeros((n, n))
        for colour in range(4):
            # Every fourth point at once: each touches only its neighbours.
            moved = offset + small * (np.arange(n) % 4 == colour)
            column = (bending(p + moved[:, None] * normal) - now) / small
            for k in range(colour, n, 4):
                rows = np.array([k - 1, k, k + 1]) % n
                change[rows, k] = column[rows]
        found = lsq_linear(change, change @ offset - now, (-_HALF, _HALF), tol=1e-12, lsmr_tol=1e-12)
        offset = found.x
    return np.asarray(offset)


@pytest.mark.parametrize("name", ["it-1914", "de-1927", "es-1991"])
def test_the_line_is_the_one_that_bends_least_within_the_track(name: str) -> None:
    x, y = even(name)
    half = np.full(len(x), _HALF)
    found, other = least_curvature(x, y, half, half), least(x, y)
    assert np.abs(found).max() <= _HALF
    bends = [
        float((bending(np.column_stack(moved_aside(x, y, offset))) ** 2).sum()) for offset in (0 * x, found, other)
    ]
    assert bends[1] < 0.9 * bends[0]
    # The program leaves out how the offsets change the lengths between the points.
    assert bends[1] == pytest.approx(bends[2], rel=0.04)


def point_mass(bending_at: np.ndarray, step: float) -> float:
    """Lap time (s) of the litre bike along a line of that curvature (1/m)."""
    bike = demo_bike("Corvid 1000").bike
    e, load, chassis = bike.engine, bike.load, bike.chassis
    rpm, torque = np.array(e.torque, float).T
    radius = float(bike.tyre.rolling_circumference_mm) / 1000 / math.tau  # type: ignore[arg-type]
    grip = float(bike.tyre.grip)  # type: ignore[arg-type]
    mass = float(load.bike_kg) + float(load.rider_kg)  # type: ignore[arg-type]
    ratios = [76 / 47 * b / a * 43 / 16 for a, b in ((16, 39), (18, 36), (21, 36), (22, 33), (24, 32), (26, 32))]
    speeds = np.arange(0.5, 100, 0.5)
    thrust = np.zeros_like(speeds)
    for ratio in ratios:
        turns = speeds * ratio / radius * 60 / math.tau
        pull = np.interp(turns, rpm, torque) * ratio / radius * float(e.efficiency)  # type: ignore[arg-type]
        thrust = np.maximum(thrust, np.where(turns <= float(e.limiter_rpm), pull, 0))  # type: ignore[arg-type]
    lift = _G * float(chassis.com_ahead_of_rear_axle_mm) / float(chassis.com_height_mm)  # type: ignore[arg-type]
    inertia = 1.0 / radius**2

    def forward(v: float, bend: float) -> float:
        left = math.sqrt(max(0.0, 1 - (v * v * bend / (grip * _G)) ** 2))
        push = min(float(np.interp(v, speeds, thrust)), mass * min(lift, grip * _G * left))
        drag = _AIR / 2 * float(load.drag_area_m2) * v * v + mass * _G * 0.018  # type: ignore[arg-type]
        return (push - drag) / (mass + inertia)

    def backward(v: float, bend: float) -> float:
        return 10.0 * math.sqrt(max(0.0, 1 - (v * v * bend / (grip * _G)) ** 2))

    v = np.minimum(np.sqrt(grip * _G / np.maximum(bending_at, 1e-5)), 95.0)
    for way, change in ((1, forward), (-1, backward)):
        order = np.arange(len(v))[::way]
        for k in (*order, *order):
            v[(k + way) % len(v)] = min(
                v[(k + way) % len(v)], math.sqrt(max(1.0, v[k] ** 2 + 2 * step * change(v[k], bending_at[k])))
            )
    return float((2 * step / (v + np.roll(v, -1))).sum())


@pytest.mark.parametrize("name", ["it-1914", "de-1927", "es-1991", "jp-1962"])
def test_the_lap_of_the_sections_is_near_that_of_the_line(name: str) -> None:
    x, y, _ = line(name)
    made = centre_line(Points(x, y))
    bike = demo_bike("Corvid 1000").bike
    lap = lap_view(bike, fitted(bike), circuit_of(made))
    assert isinstance(lap, LapView)
    bend = np.abs(made.turning)
    bend = (np.roll(bend, 1) + 2 * bend + np.roll(bend, -1)) / 4
    assert lap.row.time == pytest.approx(point_mass(bend, made.track.step), rel=0.03)
