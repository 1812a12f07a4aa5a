"""Changes up while the engine pulls: how long each takes, at what engine speed, and whether a quick-shifter cuts. SI.

A quick-shifter cuts the drive for some hundredths of a second and the throttle stays open; by hand and clutch it takes
some tenths (common experience, no source). A log tells the time between the last row in one gear and the first in the
next, so it has to be quick itself.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from gearplan.ridelog.learning.gears import Gears
from gearplan.ridelog.log import RideLog

#: Rows are no further apart, a change takes no longer, one of a quick-shifter no longer than this (s).
_ROWS, _LONGEST, _CUT = 0.05, 1.5, 0.16
#: Rows are looked at about so often (s).
_OFTEN = 0.02
#: A row that stays in a gear is followed by others of it for so long (s).
_STAYS = 0.3
#: Within so much of a gear's ratio (log) the clutch grips.
_GRIPS = 0.02
#: The least changes up for a statement, and the share that are cuts.
_LEAST, _MOSTLY = 4, 0.6
#: A throttle that stays open further than this, where it is recorded.
_OPEN = 0.4


@dataclass(frozen=True, slots=True)
class UpShift:
    """A change up: when the lower gear was left (s), how long until the higher one gripped (s), from which gear, at
    what engine speed (rad/s); and whether the throttle stayed open (None where it was not recorded)."""

    at: float
    took: float
    gear: int
    engine: float
    opened: bool | None


def up_shifts(log: RideLog, gears: Gears) -> tuple[UpShift, ...]:
    """The changes up by one gear, as far as the log is quick enough to tell them."""
    if not log.timed or log.step > _ROWS:
        return ()
    log = log.rows_where(slice(None, None, max(1, round(_OFTEN / log.step))))
    engine, speed = log.engine, log.speed
    if engine is None or speed is None:
        return ()
    turns = np.interp(log.time - gears.ratios.lag, log.time, engine)
    with np.errstate(divide="ignore", invalid="ignore"):
        over = np.log(turns / speed)
    known = [(n, np.log(c.ratio)) for n, c in zip(gears.numbers, gears.ratios.clusters, strict=True) if n is not None]
    if len(known) < 2:
        return ()
    numbers, centres = np.array([n for n, _ in known]), np.array([centre for _, centre in known])
    grips = np.full(len(over), 0)
    told = np.isfinite(over) & (speed > 5)
    # The ratios fall from gear to gear.
    nearest = np.searchsorted(-(centres[1:] + centres[:-1]) / 2, -over[told])
    grips[told] = np.where(np.abs(over[told] - centres[nearest]) < _GRIPS, numbers[nearest], 0)
    rows = np.flatnonzero(grips)
    if len(rows) < 2:
        return ()
    found = []
    changes = (np.diff(grips[rows]) == 1) & (np.diff(log.time[rows]) <= _LONGEST)
    for place in np.flatnonzero(changes).tolist():
        before, after = int(rows[place]), int(rows[place + 1])
        took = float(log.time[after] - log.time[before])
        opened = None
        if log.throttle is not None:
            opened = bool(np.nanmin(log.throttle[before : after + 1]) > _OPEN)
        # A row that only passes through the next gear's ratio is no change: it must stay there.
        last = int(np.searchsorted(log.time, log.time[after] + _STAYS))
        stays = rows[place + 2 : np.searchsorted(rows, last)]
        if len(stays) and np.all(grips[stays] == grips[after]):
            found.append(UpShift(float(log.time[before]), took, int(grips[before]), float(turns[before]), opened))
    return tuple(found)


def quick_shifter(shifts: tuple[UpShift, ...]) -> tuple[int, int, float] | None:
    """How many of how many changes up are cuts with the throttle open, their usual time (s); None if done by hand."""
    cuts = [one for one in shifts if one.took <= _CUT and one.opened is not False]
    if len(shifts) < _LEAST or len(cuts) < _MOSTLY * len(shifts):
        return None
    return len(cuts), len(shifts), float(np.median([one.took for one in cuts]))
