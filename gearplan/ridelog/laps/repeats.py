"""Whether what lies between two crossings of a line is ridden again: a lap is, a road home is not. Pure; SI.

With positions the measure is the share of a lap's places that another part of the ride passes in the same direction;
without, how alike the speeds are along it and along the lap before or after (correlation, 1 alike).
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from gearplan.ridelog.log import Floats

#: From so much on a lap is one. A rider's laps lie far above, roads that cross by chance far below: common experience.
REPEATED_FROM, ALIKE_FROM = 0.8, 0.85
#: A place is passed again this near (m), heading within this of the same direction (rad).
_NEAR, _SAME_WAY = 20.0, math.pi / 4
#: Places of a lap that are looked at, steps between those of the ride (m), and points of a lap's speed.
_PLACES, _STEP, _POINTS = 120, 10.0, 300
#: More squares than lie side by side from north to south.
_COLUMN = 1 << 32
#: Without positions so much of a lap must lie on one side of it to be held against.
_OVERLAP = 0.5


def repeated(x: Floats, y: Floats, walked: Floats, begins: Floats, ends: Floats) -> list[float]:
    """For each lap, from `begins` to `ends` along the ride (m), the share of it that is ridden elsewhere too.

    The ride's places are sorted into squares as wide as is near, so that a lap's place meets those about it only.
    """
    places = np.arange(0.0, walked[-1], _STEP)
    all_x, all_y, all_way = _course(x, y, walked, places)
    squares = _square(all_x, all_y)
    order = np.argsort(squares, kind="stable")
    squares = squares[order]
    shares = []
    for begin, end in zip(begins.tolist(), ends.tolist(), strict=True):
        own_x, own_y, own_way = _course(x, y, walked, np.linspace(begin, end, _PLACES, endpoint=False))
        again = np.zeros(_PLACES, bool)
        for column in (-1, 0, 1):
            middle = _square(own_x + column * _NEAR, own_y)
            low = np.searchsorted(squares, middle - 1, "left")
            count = np.searchsorted(squares, middle + 1, "right") - low
            own = np.repeat(np.arange(_PLACES), count)
            at = order[np.arange(len(own)) + np.repeat(low - np.cumsum(count) + count, count)]
            near = (own_x[own] - all_x[at]) ** 2 + (own_y[own] - all_y[at]) ** 2 < _NEAR**2
            near &= np.cos(own_way[own] - all_way[at]) > math.cos(_SAME_WAY)
            near &= (places[at] < begin) | (places[at] > end)
            again[own[near]] = True
        shares.append(float(again.mean()))
    return shares


def _square(x: Floats, y: Floats) -> NDArray[np.int64]:
    """The number of the square in which places lie; those north and south of it have the next numbers."""
    return np.asarray(np.floor(x / _NEAR).astype(np.int64) * _COLUMN + np.floor(y / _NEAR).astype(np.int64))


def _course(x: Floats, y: Floats, walked: Floats, places: Floats) -> tuple[Floats, Floats, Floats]:
    """Where the ride is at places along it, and where it heads."""
    x0, y0, x1, y1 = (np.interp(places + ahead, walked, line) for ahead in (-_STEP, _STEP) for line in (x, y))
    return (x0 + x1) / 2, (y0 + y1) / 2, np.arctan2(y1 - y0, x1 - x0)


def alike(speed: Floats, starts: Floats) -> list[float]:
    """For each lap, between two `starts` in steps of the even line `speed`, its best likeness to a neighbour."""
    found = []
    for begin, end in zip(starts[:-1].tolist(), starts[1:].tolist(), strict=True):
        length = end - begin
        likeness = [0.0]
        for other in (begin - length, end):
            low, high = max(other, 0.0), min(other + length, float(len(speed) - 1))
            if high - low < _OVERLAP * length:
                continue
            there = np.linspace(low, high, _POINTS)
            here = there - other + begin
            pair = np.array([np.interp(at, np.arange(len(speed)), speed) for at in (here, there)])
            if float(pair.std(1).min()) > 0:
                likeness.append(float(np.corrcoef(pair)[0, 1]))
        found.append(max(likeness))
    return found
