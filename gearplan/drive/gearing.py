"""Ratios, road speed and engine speed, and the saw of a run through the gears. SI: m, m/s, rad/s."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from gearplan.bike.entries import Ratio
from gearplan.drive.sprocket import Values

Floats = NDArray[np.float64]


def ratio_value(entered: Ratio) -> float:
    """Driven over driver of an entered ratio (dimensionless).

    ValueError while one of the two tooth counts is missing.
    """
    if not isinstance(entered, tuple):
        return float(entered)
    driver, driven = entered
    if driver is None or driven is None:
        raise ValueError("a tooth count is missing")
    return driven / driver


def nearest_teeth(ratio: float, low: int = 10, high: int = 60) -> tuple[int, int]:
    """The (driver, driven) pair of tooth counts in [low, high] whose ratio is closest; the smallest of equals."""
    driver = np.arange(low, high + 1)
    driven = np.clip(np.rint(driver * ratio), low, high)
    best = int(np.argmin(np.abs(driven / driver - ratio)))
    return int(driver[best]), int(driven[best])


def overall_ratios(primary: Values, gears: Values, front: Values, rear: Values) -> Floats:
    """Engine turns per wheel turn in each gear: primary · gear · rear / front.

    `gears` has shape [gear]; the others broadcast; the result has shape [..., gear].
    """
    final = np.asarray(primary, float) * np.asarray(rear, float) / np.asarray(front, float)
    return np.asarray(final[..., None] * np.asarray(gears, float))


def road_speed(engine_speed: Values, overall: Values, radius: Values) -> Floats:
    """Road speed v = n·R/i in m/s, without slip; n in rad/s, R the rolling radius in m. Broadcasts."""
    return np.asarray(np.asarray(engine_speed, float) * radius / np.asarray(overall, float))


def engine_speed(speed: Values, overall: Values, radius: Values) -> Floats:
    """Engine speed n = v·i/R in rad/s, without slip; v in m/s, R the rolling radius in m. Broadcasts."""
    return np.asarray(np.asarray(speed, float) * overall / np.asarray(radius, float))


def step_percent(gears: Values) -> Floats:
    """How much shorter each gear is than the next, in per cent: (g_i / g_{i+1} − 1)·100; length gears − 1."""
    g = np.asarray(gears, float)
    return np.asarray((g[:-1] / g[1:] - 1) * 100)


def after_shift(engine_speed: Values, gears: Values) -> Floats:
    """Engine speed (unit of the argument) just after each up-shift made at `engine_speed`: n·g_{i+1}/g_i.

    `engine_speed` is one for all shifts or one for each; the result has length gears − 1.
    """
    g = np.asarray(gears, float)
    return np.asarray(np.asarray(engine_speed, float) * g[1:] / g[:-1])


def run_path(overall: Values, radius: float, idle: float, shift_at: Values, top: float) -> tuple[Floats, Floats]:
    """The corners of a run through the gears as (road speeds m/s, engine speeds rad/s), 2·gears points.

    From idle in first gear up to `shift_at` (rad/s; one for all up-shifts or one for each), down to the next
    gear at the same road speed, and so on up to `top` in the last gear.
    """
    i = np.asarray(overall, float)
    shifts = np.broadcast_to(np.asarray(shift_at, float), (len(i) - 1,))
    ends = np.append(shifts, top)
    starts = np.concatenate([[idle], after_shift(shifts, i)])
    engine = np.column_stack([starts, ends]).ravel()
    speeds = np.column_stack([road_speed(starts, i, radius), road_speed(ends, i, radius)]).ravel()
    return speeds, engine


def rear_for_same_ratio(front: Values, rear: Values, other_front: Values) -> Floats:
    """The (real) number of rear teeth that gives `other_front` the final ratio of front/rear."""
    return np.asarray(np.asarray(rear, float) * other_front / np.asarray(front, float))
