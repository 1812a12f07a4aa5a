"""How far the motorcycle leans, as recorded or from where and how fast it rides; for a leaned tyre rolls less a turn.

In a steady corner the lean φ balances the turn: tan φ = v·ω/g with the speed v and the rate ω at which the heading
turns (rigid body on a thin wheel; a wide tyre leans some degrees more).
"""

from __future__ import annotations

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
    kernel = np.ones(reach + 1) / (reach + 1)
    east, north = (np.convolve(np.interp(grid, time, line), kernel, "same") for line in (x, y))
    dx, dy = east[2 * reach :] - east[: -2 * reach], north[2 * reach :] - north[: -2 * reach]
    heading = np.unwrap(np.arctan2(dy, dx))
    speed = np.hypot(dx, dy) / (2 * reach * _STEP)
    rate = np.gradient(heading, _STEP)
    rate = np.convolve(rate, kernel, "same")
    leaned = np.arctan(speed * rate / STANDARD_GRAVITY)
    middle = grid[reach:-reach]
    last = np.searchsorted(time, middle, "right") - 1
    pause = time[np.minimum(last + 1, len(time) - 1)] - time[last]
    leaned[(pause > _LOST) | (speed < _SLOW)] = np.nan
    return np.asarray(np.interp(log.time, middle, leaned, np.nan, np.nan))
