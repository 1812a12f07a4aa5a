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


def grows(growth: Values) -> bool:
    """Whether some tyre grows at all; numpy takes its time to say so of a single number."""
    return growth != 0.0 if isinstance(growth, float) else bool(np.any(growth))


def grown(speed: Values, growth: Values) -> Floats:
    """Rolling radius at a road speed (m/s) over that at rest, 1 + g·v²; `growth` g in s²/m².

    At most 2, which no tyre survives, so that every engine speed has a road speed.
    """
    return np.asarray(1 + np.minimum(np.asarray(growth, float) * np.asarray(speed, float) ** 2, 1.0))


def road_speed(engine_speed: Values, overall: Values, radius: Values, growth: Values = 0.0) -> Floats:
    """Road speed v = n·R·(1 + g·v²)/i in m/s, without slip, solved for v. Broadcasts.

    n in rad/s, R the rolling radius at rest in m, `growth` g the tyre's in s²/m².
    """
    at_rest = np.asarray(np.asarray(engine_speed, float) * radius / np.asarray(overall, float))
    if not grows(growth):
        return at_rest
    return np.asarray(2 * at_rest / (1 + np.sqrt(np.maximum(1 - 4 * np.asarray(growth) * at_rest**2, 0.0))))


def engine_speed(speed: Values, overall: Values, radius: Values, growth: Values = 0.0) -> Floats:
    """Engine speed n = v·i/(R·(1 + g·v²)) in rad/s, without slip. Broadcasts.

    v in m/s, R the rolling radius at rest in m, `growth` g the tyre's in s²/m².
    """
    turning = np.asarray(np.asarray(speed, float) * overall / np.asarray(radius, float))
    return np.asarray(turning / grown(speed, growth)) if grows(growth) else turning


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


def run_path(
    overall: Values,
    radius: float,
    idle: float,
    shift_at: Values,
    top: float,
    *,
    growth: float = 0.0,
    points: int = 2,
) -> tuple[Floats, Floats]:
    """A run through the gears as (road speeds m/s, engine speeds rad/s), `points` to each gear.

    From idle in first gear up to `shift_at` (rad/s; one for all up-shifts or one for each), down to the next
    gear at the same road speed, and so on up to `top` in the last gear. Two points do, unless the tyre grows.
    """
    i = np.asarray(overall, float)
    shifts = np.broadcast_to(np.asarray(shift_at, float), (len(i) - 1,))
    ends = np.append(shifts, top)
    starts = np.concatenate([[idle], after_shift(shifts, i)])
    engine = np.linspace(starts, ends, points, axis=1)
    return road_speed(engine, i[:, None], radius, growth).ravel(), engine.ravel()


def rear_for_same_ratio(front: Values, rear: Values, other_front: Values) -> Floats:
    """The (real) number of rear teeth that gives `other_front` the final ratio of front/rear."""
    return np.asarray(np.asarray(rear, float) * other_front / np.asarray(front, float))


def counted_final(crank_turns: float, wheel_turns: float, primary: float, gear: float) -> float:
    """Final ratio from turns counted at the crank and at the wheel in a gear: (n/m)/(primary · gear)."""
    return crank_turns / wheel_turns / (primary * gear)


def pairs_near(ratio: float, off: float, fronts: range, rears: range) -> tuple[tuple[int, int], ...]:
    """The (front, rear) pairs whose ratio differs from a final ratio by at most `off`, the nearest first."""
    found = [(abs(rear / front - ratio), (front, rear)) for front in fronts for rear in rears]
    return tuple(pair for away, pair in sorted(found) if away <= off)
