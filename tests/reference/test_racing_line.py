"""The line of least curvature on public tracks against scipy's bounded least squares, with curvature by circles.

There the curvature at a point is that of the circle through it and its neighbours (Menger), its change with the
offsets taken by differences: nothing is shared with the program.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import lsq_linear

from gearplan.plan.lines.racing import least_curvature, moved_aside
from tests.reference.test_circuits import line

_HALF = 5.5


def even(name: str, count: int = 256) -> tuple[np.ndarray, np.ndarray]:
    x, y, _ = line(name)
    along = np.concatenate([[0.0], np.cumsum(np.hypot(np.diff(x), np.diff(y)))])
    at = np.arange(count) * along[-1] / count
    return np.interp(at, along, x), np.interp(at, along, y)


def bending(p: np.ndarray) -> np.ndarray:
    """Curvature of the circle through three points, weighed by the root of the length."""
    a, b = p - np.roll(p, 1, axis=0), np.roll(p, -1, axis=0) - p
    la, lb, lc = (np.hypot(*d.T) for d in (a, b, a + b))
    return np.asarray(2 * (a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]) / (la * lb * lc) * np.sqrt((la + lb) / 2))


def least(x: np.ndarray, y: np.ndarray) -> np.ndarray:
    p = np.column_stack([x, y])
    ahead = np.roll(p, -1, axis=0) - np.roll(p, 1, axis=0)
    normal = np.column_stack([-ahead[:, 1], ahead[:, 0]]) / np.hypot(*ahead.T)[:, None]
    n, offset, small = len(x), np.zeros(len(x)), 1e-4
    for _ in range(3):
        now = bending(p + offset[:, None] * normal)
        change = np.zeros((n, n))
        for colour in range(4):
            # Every fourth point at once: each touches only its neighbours.
            moved = offset + small * (np.arange(n) % 4 == colour)
            column = (bending(p + moved[:, None] * normal) - now) / small
            for k in range(colour, n, 4):
                rows = np.array([k - 1, k, k + 1]) % n
                change[rows, k] = column[rows]
        found = lsq_linear(change, change @ offset - now, (-_HALF, _HALF), tol=1e-12, lsmr_tol=1e-12)
        offset = found.x
    return np.asarray(offset)


@pytest.mark.parametrize("name", ["it-1914", "de-1927", "es-1991"])
def test_the_line_is_the_one_that_bends_least_within_the_track(name: str) -> None:
    x, y = even(name)
    half = np.full(len(x), _HALF)
    found, other = least_curvature(x, y, half, half), least(x, y)
    assert np.abs(found).max() <= _HALF
    bends = [
        float((bending(np.column_stack(moved_aside(x, y, offset))) ** 2).sum()) for offset in (0 * x, found, other)
    ]
    assert bends[1] < 0.9 * bends[0]
    # The program leaves out how the offsets change the lengths between the points.
    assert bends[1] == pytest.approx(bends[2], rel=0.04)
