"""How far the motorcycle leans, as recorded or from where and how fast it rides; for a leaned tyre rolls less a turn.

In a steady corner the lean φ balances the turn: tan φ = v·ω/g with the speed v and the rate ω at which the heading
turns (rigid body on a thin wheel; a wide tyre leans some degrees more).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from gearplan.bike.text.units import DEGREE, STANDARD_GRAVITY
from gearplan.ridelog.laps.laps import track
from gearplan.ridelog.log import Flags, Floats, LogError, RideLog

#: Up to here a tyre's crown shortens its way by less than about 0.3 % (rad).
_UPRIGHT = 8 * DEGREE
#: Grid of the positions, and half the time over which a heading is taken (s).
_STEP, _HALF = 0.25, 0.75
#: Positions further apart than this tell no heading (s); slower than this it is not told either (m/s).
_LOST, _SLOW = 2.5, 3.0


def upright(log: RideLog) -> Flags | None:
    """For each row whether the motorcycle stands upright, as far as it can be told; None where nothing tells it."""
    leaned = lean(log)
    if leaned is None:
        return None
    with np.errstate(invalid="ignore"):
        return np.asarray(np.abs(leaned) < _UPRIGHT)


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
