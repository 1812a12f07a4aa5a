"""How far the motorcycle leans, as recorded or from where and how fast it rides; for a leaned tyre rolls less a turn.

In a steady corner the lean φ balances the turn: tan φ = v·ω/g with the speed v and the rate ω at which the heading
turns (rigid body on a thin wheel; a wide tyre leans some degrees more).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from gearplan.bike.text.units import DEGREE, STANDARD_GRAVITY
from gearplan.ridelog.laps.laps import track
from gearplan.ridelog.learning import robust
from gearplan.ridelog.log import Flags, Floats, LogError, RideLog

#: Up to here a tyre's crown shortens its way by less than about 0.3 % (rad).
_UPRIGHT = 8 * DEGREE
#: Grid of the positions, and half the time over which a heading is taken (s).
_STEP, _HALF = 0.25, 0.75
#: Positions further apart than this tell no heading (s); slower than this it is not told either (m/s).
_LOST, _SLOW = 2.5, 3.0
#: Wheel against satellites: slower than this it scatters (m/s); over so long it is taken (s); so many rows tell; bins
#: of its logarithm, and how far from the upright riding's a row may lie beside its noise.
_FAST, _OVER, _LEAST_ROWS, _BIN, _NEAR = 6.0, 0.5, 100, 0.001, 0.003
#: What stands upright is ridden for at least this share as long as what is ridden most.
_STANDS = 0.25


def upright(log: RideLog) -> Flags | None:
    """For each row whether the motorcycle stands upright, as far as it can be told; None where nothing tells it."""
    leaned = lean(log)
    if leaned is None:
        return None
    with np.errstate(invalid="ignore"):
        return np.asarray(np.abs(leaned) < _UPRIGHT)


def upright_by_speeds(log: RideLog) -> Flags | None:
    """For each row whether the wheel's speed against the satellites' is that of riding upright; None without both.

    A leaned tyre rolls less a turn, so the wheel shows more in bends and never less: upright is where it shows least,
    after the lag between the two, which grows with a/v, and the tyre's growth with v² are taken out.
    """
    if log.road is None or log.gps is None or not log.timed:
        return None
    with np.errstate(invalid="ignore"):
        rows = np.flatnonzero((log.road > _FAST) & (log.gps > _FAST))
    half = max(1, round(_OVER / 2 / max(log.step, 1e-3)))
    if len(rows) < max(_LEAST_ROWS, 4 * half):
        return None
    # Neighbours tell the same: one row stands for some.
    every = max(1, half // 2)
    ratio = np.log(log.road[rows] / log.gps[rows])
    raw, ratio = ratio[::every], _mean(ratio, half, every)
    noise = robust.spread(raw - ratio) / np.sqrt(2 * half + 1)
    time, gps = log.time[rows[::every]], _mean(log.gps[rows], half, every)
    pull = np.gradient(gps) / np.maximum(np.gradient(time), 1e-6) / gps
    late = robust.line_fit(pull, ratio, (time // 5).astype(np.int64))
    rest = ratio - (0.0 if late is None else late.slope) * pull
    near = np.abs(rest - _lowest(rest, noise)) < 2 * _NEAR + 3 * noise
    for _ in range(3):
        grown = robust.line_fit(gps[near] ** 2, rest[near], (time[near] // 10).astype(np.int64))
        if grown is None:
            break
        near = np.abs(rest - grown.constant - grown.slope * gps**2) < _NEAR + 3 * noise
    found = np.zeros(len(log.time), bool)
    found[rows] = np.repeat(near, every)[: len(rows)]
    return found if np.count_nonzero(found) >= _LEAST_ROWS else None


def _lowest(values: Floats, noise: float) -> float:
    """The least of the values that many rows have."""
    low, high = np.quantile(values, [0.005, 0.995])
    counts, edges = np.histogram(values, max(8, int((high - low) / _BIN) + 1), (low - _BIN, high + _BIN))
    reach = max(1, round(2 * noise / _BIN))
    dense = np.convolve(counts, np.ones(2 * reach + 1), "same")
    padded = np.concatenate([[-1.0], dense, [-1.0]])
    peaks = np.flatnonzero((dense >= padded[:-2]) & (dense >= padded[2:]) & (dense >= _STANDS * dense.max()))
    return float(edges[peaks[0]] + edges[peaks[0] + 1]) / 2


def _mean(values: Floats, half: int, every: int) -> Floats:
    """The mean of the rows about each of some."""
    total = np.concatenate([[0.0], np.cumsum(values)])
    here = np.arange(0, len(values), every)
    first, last = np.maximum(here - half, 0), np.minimum(here + half + 1, len(values))
    return np.asarray((total[last] - total[first]) / (last - first))


def lean(log: RideLog) -> Floats | None:
    """The lean in each row (rad, NaN where it is not known): as recorded, else from positions; None without both."""
    if log.lean is not None:
        return log.lean
    found = course(log)
    if found is None:
        return None
    rate = np.gradient(found.heading, _STEP)
    rate = np.convolve(rate, _kernel(), "same")
    leaned = np.arctan(found.speed * rate / STANDARD_GRAVITY)
    leaned[~found.known] = np.nan
    return np.asarray(np.interp(log.time, found.time, leaned, np.nan, np.nan))


@dataclass(frozen=True, slots=True, eq=False)
class Course:
    """Where it went by its positions, in even steps of time (s): place (m to the east and north of the middle), speed
    (m/s), heading (rad, from east, counter-clockwise, without leaps), and where that is known."""

    time: Floats
    x: Floats
    y: Floats
    speed: Floats
    heading: Floats
    known: Flags


def course(log: RideLog) -> Course | None:
    """The course by the positions; None where there are none or too few."""
    if not log.placed or not log.timed:
        return None
    try:
        time, x, y, _ = track(log)
    except LogError:
        return None
    if len(time) < 20 or time[-1] - time[0] < 20 * _STEP or time[-1] - time[0] > 1e6:
        return None
    grid = np.arange(time[0], time[-1], _STEP)
    reach = round(_HALF / _STEP)
    # A mean over as long as the heading is taken keeps the positions' steps out of it.
    east, north = (np.convolve(np.interp(grid, time, line), _kernel(), "same") for line in (x, y))
    dx, dy = east[2 * reach :] - east[: -2 * reach], north[2 * reach :] - north[: -2 * reach]
    speed = np.hypot(dx, dy) / (2 * reach * _STEP)
    middle = grid[reach:-reach]
    last = np.searchsorted(time, middle, "right") - 1
    pause = time[np.minimum(last + 1, len(time) - 1)] - time[last]
    known = (pause <= _LOST) & (speed >= _SLOW)
    return Course(middle, east[reach:-reach], north[reach:-reach], speed, np.unwrap(np.arctan2(dy, dx)), known)


def _kernel() -> Floats:
    reach = round(_HALF / _STEP)
    return np.ones(reach + 1) / (reach + 1)
