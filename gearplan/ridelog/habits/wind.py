"""Wind and slope in the pull, told apart as far as a ride can tell them. SI.

Under full pull the computed thrust less what the motion asks is what wind and slope take. A head wind's share grows
with the speed and turns with the heading: one vector for the whole ride. A slope's does not grow with speed and belongs
to its place. Where heights were recorded the slope is known; else it is sought beside the wind: a hillside, that is one
slope for the whole ride, turns with the heading too and differs by the speed alone. What rises and falls from place to
place is scatter. So it is fitted over the headings of many places, and where that leaves the wind open, it is said why.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gearplan.bike.text.units import STANDARD_GRAVITY
from gearplan.drive.motion.roadload import Road
from gearplan.language import tr
from gearplan.ridelog.learning import robust
from gearplan.ridelog.log import Floats

#: Beforehand (one standard deviation each): thrust and drag area are as well known as this (relative), the air moves by
#: this to each side (m/s), and the whole ride leans by this to each side, by recorded heights and without (rise over
#: length). Common experience, no source.
_THRUST, _DRAG, _AIR, _TILT, _TILT_UNKNOWN = 0.15, 0.2, 5.0, 0.001, 0.02
#: Rows within so many metres and so far alike in heading (eighths of a turn) are one reading; so many rows make one.
_PLACE, _EIGHTHS, _LEAST_ROWS = 60.0, 8, 4
#: A pause from so many seconds on ends a stretch; stretches whose middles are as near as this (m) are one.
_PAUSE, _SAME = 2.0, 120.0
#: The least readings and stretches; the wind is told if it is known to this (95 %, m/s).
_LEAST, _LEAST_STRETCHES, _KNOWN = 12, 6, 3.0
#: Headings fill a plane if they are on average so far from one line (mean square of the sine; 0.5 is all round).
_ALL_ROUND = 0.12
_ROUNDS = 12
_CAUCHY = 2.385


@dataclass(frozen=True, slots=True, eq=False)
class Wind:
    """How the air moved (m/s to the east and to the north), with the covariance; how fast, with its 95 % interval.

    `bearing` is where it comes from (rad, clockwise from north) within `off`, None where that is not known.
    `by_heights` says that the slope was known by recorded heights. The evidence is what the air took at each place (N)
    over the heading there (rad, clockwise from north), the usual `pace` (m/s), and what resists in still air.
    """

    east: float
    north: float
    covariance: tuple[tuple[float, float], tuple[float, float]]
    low: float
    high: float
    bearing: float | None
    off: float
    by_heights: bool
    headings: Floats
    forces: Floats
    pace: float
    road: Road

    @property
    def speed(self) -> float:
        """How fast the air moved (m/s)."""
        return math.hypot(self.east, self.north)

    def taken(self, headings: Floats) -> Floats:
        """What this wind takes at the usual pace (N) by headings (rad, clockwise from north)."""
        pace = np.full(len(headings), self.pace)
        return drag_of(self.road, pace, np.sin(headings), np.cos(headings), (self.east, self.north))


#: Why the wind is not told.
Untold = str
NO_PLACES, ONE_LINE = tr("no positions"), tr("one line only")
NO_HEIGHTS, TOO_LITTLE = tr("no heights"), tr("too little full pull")


@dataclass(frozen=True, slots=True, eq=False)
class Pulled:
    """Rows under full pull in which the engine alone limits it, in order: when (s), where (m), heading (cosines to east
    and north), speed (m/s), computed thrust and what the motion asked in still air (N)."""

    time: Floats
    x: Floats
    y: Floats
    east: Floats
    north: Floats
    speed: Floats
    computed: Floats
    measured: Floats


def drag_of(road: Road, speed: Floats, east: Floats, north: Floats, air: tuple[float, float]) -> Floats:
    """What moving air adds to the drag (N): ½ρ·CdA·(|v − w|·(v − w) along the heading − v²)."""
    along = speed - (air[0] * east + air[1] * north)
    across = air[0] * north - air[1] * east
    return np.asarray(road.square * (np.hypot(along, across) * along - speed**2))


def find_wind(rows: Pulled, road: Road, *, by_heights: bool) -> Wind | Untold:
    """The wind over a ride, or why it is not told."""
    one, stretches = _readings(rows)
    count = len(set(stretches.tolist()))
    if len(stretches) < _LEAST or count < _LEAST_STRETCHES:
        return TOO_LITTLE
    tilt = _TILT if by_heights else _TILT_UNKNOWN
    prior = np.diag(1 / np.array([_THRUST, _DRAG, _AIR, _AIR, tilt, tilt]) ** 2)
    asks = one.measured - one.computed
    at, weights = np.zeros(6), np.ones(len(asks))
    scale, design = 1.0, np.zeros((len(asks), 6))
    for _ in range(_ROUNDS):
        design = _design(one, road, (float(at[2]), float(at[3])))
        left = asks - _said(one, road, at)
        scale = max(robust.spread(left) * math.sqrt(len(left) / max(len(left) - 5, 1)), 1.0)
        weights = 1 / (1 + (left / (_CAUCHY * scale)) ** 2)
        normal = design.T @ (design * weights[:, None]) / scale**2 + prior
        step = np.linalg.solve(normal, design.T @ (weights * left) / scale**2 - prior @ at)
        at = at + step
        if float(np.abs(step[2:4]).max()) < 1e-3:
            break
    left = asks - _said(one, road, at)
    covariance = _covariance(design, (weights / scale**2, _carried(weights) / scale**2), left, prior, stretches)
    covariance *= (robust.student(count - 4) / robust.Z) ** 2
    if robust.Z * math.sqrt(float(np.linalg.eigvalsh(covariance)[-1])) > _KNOWN:
        return _why(one, by_heights=by_heights)
    still = at * np.array([1, 1, 0, 0, 1, 1])
    headings, forces = np.arctan2(one.east, one.north) % math.tau, _said(one, road, still) - asks
    evidence = headings, forces, float(np.median(one.speed)), road
    return Wind(*_told(float(at[2]), float(at[3]), covariance), by_heights, *evidence)


def _readings(rows: Pulled) -> tuple[Pulled, NDArray[np.intp]]:
    """Means of the rows of one place, heading and stretch, and the stretch of each."""
    stretch = _stretches(rows)
    eighth = np.round(np.arctan2(rows.north, rows.east) / math.tau * _EIGHTHS) % _EIGHTHS
    cell = np.column_stack([np.floor(rows.x / _PLACE), np.floor(rows.y / _PLACE), eighth, stretch])
    cells, which, counts = np.unique(cell, axis=0, return_inverse=True, return_counts=True)
    which = which.ravel()
    enough = counts >= _LEAST_ROWS
    lines = (rows.time, rows.x, rows.y, rows.east, rows.north, rows.speed, rows.computed, rows.measured)
    means = [np.bincount(which, line, len(counts))[enough] / counts[enough] for line in lines]
    means[3:5] = [part / np.maximum(np.hypot(means[3], means[4]), 1e-9) for part in means[3:5]]
    return Pulled(*means), cells[enough, 3].astype(np.intp)


def _stretches(rows: Pulled) -> NDArray[np.intp]:
    """For each row the stretch that it belongs to; those of other laps, or back, at the same place are the same."""
    run = np.concatenate([[0], np.cumsum(np.diff(rows.time) > _PAUSE)]) if len(rows.time) else np.zeros(0, int)
    counts = np.bincount(run)
    x, y = (np.bincount(run, line) / counts for line in (rows.x, rows.y))
    same = np.full(len(counts), -1)
    for at in range(len(counts)):
        near = np.flatnonzero(np.hypot(x[:at] - x[at], y[:at] - y[at]) < _SAME)
        same[at] = same[near[0]] if len(near) else at
    return np.asarray(same[run], np.intp)


def _said(one: Pulled, road: Road, at: Floats) -> Floats:
    """What thrust, drag, air and tilt say that the motion asked beyond what was computed."""
    thrust, drag, east, north, tilt_east, tilt_north = at.tolist()
    air = drag_of(road, one.speed, one.east, one.north, (east, north))
    hill = road.mass * STANDARD_GRAVITY * (tilt_east * one.east + tilt_north * one.north)
    return np.asarray(thrust * one.computed - air - drag * (air + road.square * one.speed**2) - hill)


def _design(one: Pulled, road: Road, air: tuple[float, float]) -> Floats:
    """The derivatives of that by each."""
    nudge = 0.01
    here = drag_of(road, one.speed, one.east, one.north, air)
    east = drag_of(road, one.speed, one.east, one.north, (air[0] + nudge, air[1]))
    north = drag_of(road, one.speed, one.east, one.north, (air[0], air[1] + nudge))
    weight = road.mass * STANDARD_GRAVITY
    return np.column_stack(
        [
            one.computed,
            -(here + road.square * one.speed**2),
            -(east - here) / nudge,
            -(north - here) / nudge,
            -weight * one.east,
            -weight * one.north,
        ]
    )


def _carried(weights: Floats) -> Floats:
    """What each reading carries the estimate with: the derivative of Cauchy's ψ, never so little that it flees."""
    return np.asarray(np.maximum(robust.slopes(weights), 0.2 * weights))


def _covariance(
    design: Floats, weights: tuple[Floats, Floats], left: Floats, prior: Floats, stretches: NDArray[np.intp]
) -> Floats:
    """Covariance of the air's motion: by the readings' scatter, or where it is more by what the fit moves when each
    stretch in turn is left out (the jackknife by clusters), with what is not known beforehand."""
    pulls, carries = weights
    normal = design.T @ (design * carries[:, None]) + prior
    inverse = np.linalg.inv(normal)
    moved = []
    for stretch in np.unique(stretches):
        rows = stretches == stretch
        own = design[rows]
        without = normal - own.T @ (own * carries[rows, None])
        moved.append(np.linalg.solve(without, -own.T @ (pulls[rows] * left[rows])))
    by_stretch = np.array(moved).T @ np.array(moved) * (len(moved) - 1) / len(moved) + inverse @ prior @ inverse
    plain, clustered = inverse[2:4, 2:4], by_stretch[2:4, 2:4]
    return np.asarray(clustered if np.trace(clustered) > np.trace(plain) else plain)


def _why(one: Pulled, *, by_heights: bool) -> Untold:
    """What a wind that stays open lacks."""
    spread = np.cov(np.vstack([one.east, one.north]), bias=True) + np.outer(
        means := np.array([one.east.mean(), one.north.mean()]), means
    )
    if float(np.linalg.eigvalsh(spread)[0]) < _ALL_ROUND:
        return ONE_LINE
    return TOO_LITTLE if by_heights else NO_HEIGHTS


def _told(
    east: float, north: float, covariance: Floats
) -> tuple[float, float, tuple[tuple[float, float], tuple[float, float]], float, float, float | None, float]:
    """The wind with the ranges of its speed and bearing; no bearing where the air may have stood still."""
    here = np.array([east, north])
    # Points all round and outwards of the two-dimensional normal distribution, evenly by probability.
    away = np.sqrt(-2 * np.log1p(-(np.arange(40) + 0.5) / 40))
    around = (np.arange(72) + 0.5) / 72 * math.tau
    unit = np.column_stack([np.outer(away, np.cos(around)).ravel(), np.outer(away, np.sin(around)).ravel()])
    points = here + unit @ np.linalg.cholesky(covariance).T
    speeds = np.hypot(*points.T)
    low, high = np.quantile(speeds, [0.025, 0.975]).tolist()
    still = float(here @ np.linalg.solve(covariance, here)) < -2 * math.log(0.05)
    if still:
        low, high = 0.0, float(np.quantile(speeds, 0.95))
    turned = np.abs((np.arctan2(points[:, 1], points[:, 0]) - math.atan2(north, east) + math.pi) % math.tau - math.pi)
    bearing = None if still else math.atan2(-east, -north) % math.tau
    (a, b), (c, d) = covariance.tolist()
    return east, north, ((a, b), (c, d)), low, high, bearing, float(np.quantile(turned, 0.95))
