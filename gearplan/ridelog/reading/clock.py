"""One clock for a recorded ride: times that rise, from whatever the logger wrote."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from gearplan.language import tr, trn
from gearplan.ridelog.log import Floats

#: A step back of more than this is a new start, not a slip of the clock (s).
_RESTART = 2.0
#: The pause that is put between two rides in one file (s).
_PAUSE = 30.0
_DAY = 86400.0
#: No stamp lies beyond this many seconds of any day zero that a logger counts from (some 3,000 years).
_SENSE = 1e11
#: From this share of rows with the time of the row before on, the stamps are taken as rounded.
_ROUNDED = 0.2


def in_order(time: Floats, notes: list[str], *, wraps: bool = False) -> tuple[NDArray[np.intp], Floats]:
    """The rows to keep and their times from 0, strictly rising (s).

    Rows without a time, or with one that cannot be, are left out. A clock that passes midnight (`wraps`) goes on; one
    that starts again, or leaps by more than half a day, goes on after a pause; rows that share a rounded stamp are
    spread evenly; what still goes back is left out. Each is said.
    """
    kept = np.flatnonzero(np.abs(time) < _SENSE)
    if len(kept) < len(time):
        notes.append(
            trn("1 row has no time and is left out.", "{n} rows have no time and are left out.", len(time) - len(kept))
        )
    t = time[kept]
    if len(t) < 2:
        return kept[:0], t[:0]
    spike = np.zeros(len(t), bool)
    before, here, after = t[:-2], t[1:-1], t[2:]
    spike[1:-1] = (before <= after) & (after - before < 60) & ((here < before - _RESTART) | (here > after + _RESTART))
    if spike.any():
        notes.append(
            trn(
                "1 row has a time that does not belong there and is left out.",
                "{n} rows have a time that does not belong there and are left out.",
                int(np.count_nonzero(spike)),
            )
        )
        kept, t = kept[~spike], t[~spike]
    steps = np.diff(t)
    if wraps and (steps < -_DAY / 2).any():
        t = t + _DAY * np.concatenate([[0], np.cumsum(steps < -_DAY / 2)])
        steps = np.diff(t)
    leaps = steps > _DAY / 2
    if leaps.any():
        notes.append(
            trn(
                "Time leaps by more than half a day once; it goes on after a pause.",
                "Time leaps by more than half a day {n} times; it goes on after a pause.",
                int(np.count_nonzero(leaps)),
            )
        )
        t = t - np.concatenate([[0.0], np.cumsum(np.where(leaps, steps - _PAUSE, 0.0))])
        steps = np.diff(t)
    again = steps < -_RESTART
    if again.any():
        notes.append(
            trn(
                "Time starts again once; each start is taken as a new ride after it.",
                "Time starts again {n} times; each start is taken as a new ride after it.",
                int(np.count_nonzero(again)),
            )
        )
        t = t + np.concatenate([[0.0], np.cumsum(np.where(again, _PAUSE - steps, 0.0))])
        steps = np.diff(t)
    same = steps == 0
    if np.count_nonzero(same) > _ROUNDED * len(steps):
        t = _spread(t)
        notes.append(tr("Several rows share one rounded time; they are spread evenly over it."))
    del steps, same
    # From the start on, so that two stamps that differ by less than can be told are one.
    t -= t[0]
    highest = np.maximum.accumulate(t)
    rises = np.concatenate([[True], t[1:] > highest[:-1]])
    if not rises.all():
        notes.append(
            trn(
                "1 row does not go on in time and is left out.",
                "{n} rows do not go on in time and are left out.",
                int(np.count_nonzero(~rises)),
            )
        )
        kept, t = kept[rises], t[rises]
    return (kept, t) if len(t) > 1 else (kept[:0], t[:0])


def _spread(t: Floats) -> Floats:
    """Times with the rows between two new stamps spread evenly."""
    new = np.flatnonzero(np.concatenate([[True], np.diff(t) > 0]))
    if len(new) < 2:
        return t
    usual = float(np.median(np.diff(t[new]) / np.diff(new)))
    ends = np.append(new, len(t))
    stamps = np.append(t[new], t[new[-1]] + usual * (len(t) - new[-1]))
    return np.asarray(np.interp(np.arange(len(t)), ends, stamps))
