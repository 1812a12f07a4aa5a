"""Engine and road speed that a logger asked for in turn: each value is held until its turn comes again.

Side by side such values never belong to one moment. Each is taken at the row where it was new, and between its turns
from the values on either side.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from gearplan.ridelog.log import Flags, Floats, RideLog

_MOVES = 3.0
#: In turn: each is new in at least so many of the moving rows, and both are in at most this share of those.
_OFTEN, _TOGETHER = 0.2, 0.25
_LEAST_ROWS = 40


def apart(log: RideLog) -> RideLog:
    """The log with engine and road speed that were read in turn put on one clock; any other log as it is."""
    if log.engine is None or log.road is None:
        return log
    moving = (log.road > _MOVES) & np.isfinite(log.engine)
    if np.count_nonzero(moving) < _LEAST_ROWS:
        return log
    engine, road = _new(log.engine), _new(log.road)
    seldom = min(np.count_nonzero(engine & moving), np.count_nonzero(road & moving))
    both = np.count_nonzero(engine & road & moving)
    # Where each changes by chance, both do by chance too: in turn is less than half of that.
    share = float((engine & moving).sum()) * float((road & moving).sum()) / float(moving.sum())
    if seldom < _OFTEN * moving.sum() or both > min(_TOGETHER * seldom, 0.5 * share):
        return log
    return replace(log, engine=_between(log.time, log.engine, engine), road=_between(log.time, log.road, road))


def _new(line: Floats) -> Flags:
    """The rows with another value than the row before."""
    with np.errstate(invalid="ignore"):
        return np.asarray(np.concatenate([[True], np.diff(line) != 0]))


def _between(time: Floats, line: Floats, new: Flags) -> Floats:
    """The line from its new values; one that stays the same counts as new each time its turn has come."""
    at = np.flatnonzero(new & np.isfinite(line))
    if len(at) < 2:
        return line
    period = max(1, int(np.median(np.diff(at))))
    since = np.arange(len(line)) - at[np.maximum(np.searchsorted(at, np.arange(len(line)), "right") - 1, 0)]
    fresh = np.flatnonzero((since >= 0) & (since % period == 0) & np.isfinite(line))
    found = np.interp(time, time[fresh], line[fresh])
    return np.asarray(np.where(np.isfinite(line), found, np.nan))
