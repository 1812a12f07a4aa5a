"""Long recordings drawn short: for any stretch as many points as the eye can see, and every peak kept."""

from __future__ import annotations

import warnings

import numpy as np

from gearplan.ridelog.log import Floats

_STEP = 4


class Pyramid:
    """One channel over time at ever coarser steps; each step holds the least and the greatest of what it spans.

    A stretch without a value stays without one.
    """

    def __init__(self, time: Floats, values: Floats) -> None:
        self._levels: list[tuple[Floats, Floats, Floats]] = [(time, values, values)]
        with warnings.catch_warnings():
            # Steps that hold nothing but NaN give NaN, which is meant.
            warnings.simplefilter("ignore", RuntimeWarning)
            while len(self._levels[-1][0]) > 2 * _STEP:
                t, low, high = self._levels[-1]
                begins = np.arange(0, len(t), _STEP)
                lows, highs = np.fmin.reduceat(low, begins), np.fmax.reduceat(high, begins)
                self._levels.append((t[begins], lows, highs))

    def seen(self, first: float, last: float, most: int) -> tuple[Floats, Floats]:
        """(time, value) of a stretch with about `most` points, and one point beyond at each end."""
        chosen = self._levels[0]
        for level in self._levels:
            low, high = np.searchsorted(level[0], [first, last])
            chosen = level
            if 2 * (high - low) <= most:
                break
        low, high = max(int(low) - 1, 0), min(int(high) + 1, len(chosen[0]))
        time, lows, highs = (line[low:high] for line in chosen)
        if chosen is self._levels[0]:
            return time, lows
        # Least and greatest of a step side by side, a quarter and three quarters into it.
        width = np.diff(time, append=time[-1:] + (time[-1] - time[-2] if len(time) > 1 else 0.0))
        both = np.column_stack([lows, highs]).ravel()
        return np.column_stack([time + 0.25 * width, time + 0.75 * width]).ravel(), both
