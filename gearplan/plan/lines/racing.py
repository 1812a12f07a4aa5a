"""The line of least curvature within the width of a closed track. SI: m, 1/m.

The sum of squared curvature, linear in the offset to the side near a given line, is least subject to bounds: a
quadratic programme, solved some times, each about the last line (F. Braghin and others: Race driver model, Computers
& Structures 86, 2008; A. Heilmeier and others, Vehicle System Dynamics 58, 2020). Each is solved by an interior-point
method (S. Mehrotra's step with a fixed centring; J. Nocedal, S. Wright: Numerical Optimization, ch. 16.6); its systems
are cyclic and five diagonals wide, and are halved until one block is left. Cost: the points, some 0.1 s for 1000.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from gearplan.plan.lines.points import Floats

_ROUNDS = 3
_MOST_STEPS = 40
_CENTRING, _SHORT_OF_BOUND = 0.1, 0.97
_GAP = 1e-7
#: Room to the inside of a bend in radii of it: farther in, neighbouring normals would cross.
_INSIDE = 0.7


def least_curvature(x: Floats, y: Floats, left: Floats, right: Floats) -> Floats:
    """Offset (m, left positive) of the line of least curvature from each point of the middle, within its bounds.

    The points stand evenly; their number is a power of two, eight at least. `left` and `right` are 0 or more.
    """
    p = np.column_stack([x, y])
    normal = _normals(p)
    bend = _bend(p)
    with np.errstate(divide="ignore"):
        room = np.where(bend != 0, _INSIDE / np.abs(bend), np.inf)
    high = np.where(bend > 0, np.minimum(left, room), left)
    low = -np.where(bend < 0, np.minimum(right, room), right)
    # Nowhere shut: a point between bounds that touch has no inside.
    high, low = np.maximum(high, 1e-3), np.minimum(low, -1e-3)
    offset = np.zeros(len(x))
    for _ in range(_ROUNDS):
        offset = _least(*_linear(p, normal, offset), low, high)
    return offset


def moved_aside(x: Floats, y: Floats, offset: Floats) -> tuple[Floats, Floats]:
    """The line that lies to the side of a closed one by its offsets (left positive)."""
    p = np.column_stack([x, y])
    q = p + offset[:, None] * _normals(p)
    return q[:, 0], q[:, 1]


def _normals(p: Floats) -> Floats:
    ahead = np.roll(p, -1, axis=0) - np.roll(p, 1, axis=0)
    # Where the line turns back on itself there is no side.
    ahead = ahead / np.maximum(np.hypot(*ahead.T), 1e-9)[:, None]
    return np.column_stack([-ahead[:, 1], ahead[:, 0]])


def _bend(p: Floats) -> Floats:
    """Curvature at each point (1/m, left positive)."""
    d = np.roll(p, -1, axis=0) - p
    heading, h = np.arctan2(d[:, 1], d[:, 0]), np.hypot(*d.T)
    turn = np.angle(np.exp(1j * (heading - np.roll(heading, 1))))
    return np.asarray(2 * turn / (h + np.roll(h, 1)))


def _linear(p: Floats, normal: Floats, offset: Floats) -> tuple[Floats, Floats]:
    """(rows [3, n], curvature [n]): curvature of the middle's own points seen on the line at hand, and what the offsets
    of the point before, the point itself and the one after add to it each metre; weighed by the root of the length.
    """
    q = p + offset[:, None] * normal
    across = _normals(q)
    h = np.hypot(*(np.roll(q, -1, axis=0) - q).T)
    h_before = np.roll(h, 1)
    middle = (h + h_before) / 2
    before, after = 1 / (h_before * middle), 1 / (h * middle)
    weight = np.sqrt(middle)
    rows = []
    value = np.zeros(len(p))
    for factor, by in ((before, 1), (-(before + after), 0), (after, -1)):
        rows.append(weight * factor * np.sum(across * np.roll(normal, by, axis=0), axis=1))
        value = value + weight * factor * np.sum(across * np.roll(p, by, axis=0), axis=1)
    return np.array(rows), value


def _least(rows: Floats, value: Floats, low: Floats, high: Floats) -> Floats:
    """The offsets within their bounds for which the sum of squares of value + rows·offsets is least."""
    n = len(value)
    before, own, after = rows
    # The five diagonals of the normal equations, scaled to about 1.
    scale = 1 / float(np.mean(own**2))
    main = scale * (own**2 + np.roll(after, 1) ** 2 + np.roll(before, -1) ** 2) + 1e-9
    one = scale * (own * after + np.roll(own, -1) * np.roll(before, -1))
    two = scale * np.roll(before, -1) * np.roll(after, -1)
    slope = scale * (own * value + np.roll(after * value, 1) + np.roll(before * value, -1))

    def times(e: Floats) -> Floats:
        found = main * e + one * np.roll(e, -1) + np.roll(one * e, 1)
        return np.asarray(found + two * np.roll(e, -2) + np.roll(two * e, 2))

    e = (low + high) / 2
    down = up = np.full(n, float(np.abs(slope).max()) + 1e-12)
    for _ in range(_MOST_STEPS):
        to_low, to_high = e - low, high - e
        gap = float(to_low @ down + to_high @ up) / (2 * n)
        rest = times(e) + slope
        if gap < _GAP * float(np.abs(slope).mean()) and float(np.abs(rest - down + up).max()) < _GAP:
            break
        wanted = _CENTRING * gap
        move = _solve(main + down / to_low + up / to_high, one, two, wanted / to_low - wanted / to_high - rest)
        move_down = (wanted - down * move) / to_low - down
        move_up = (wanted + up * move) / to_high - up
        share = 1.0
        for stands, moves in ((to_low, move), (to_high, -move), (down, move_down), (up, move_up)):
            falls = moves < 0
            if falls.any():
                share = min(share, _SHORT_OF_BOUND * float((-stands[falls] / moves[falls]).min()))
        e, down, up = e + share * move, down + share * move_down, up + share * move_up
    return e


def _solve(main: Floats, one: Floats, two: Floats, right: Floats) -> Floats:
    """Solve a cyclic symmetric system by its diagonals, in blocks of two, every other block taken out at a time."""
    a, b, c, d = _blocks(main, one, two, right)
    kept: list[tuple[NDArray[np.float64], ...]] = []
    while len(b) > 1:
        ao, bo, co, do = a[1::2], b[1::2], c[1::2], d[1::2]
        solved = np.linalg.solve(bo, np.concatenate([ao, co, do[..., None]], axis=2))
        left, onward, own = solved[..., :2], solved[..., 2:4], solved[..., 4]
        kept.append((left, onward, own))
        ae, ce = a[0::2], c[0::2]
        left_p, onward_p, own_p = (np.roll(part, 1, axis=0) for part in (left, onward, own))
        b = b[0::2] - ae @ onward_p - ce @ left
        d = d[0::2] - np.einsum("nij,nj->ni", ae, own_p) - np.einsum("nij,nj->ni", ce, own)
        a, c = -ae @ left_p, -ce @ onward
    x = np.linalg.solve(a + b + c, d[..., None])[..., 0]
    for left, onward, own in reversed(kept):
        odd = own - np.einsum("nij,nj->ni", left, x) - np.einsum("nij,nj->ni", onward, np.roll(x, -1, axis=0))
        x = np.stack([x, odd], axis=1).reshape(-1, 2)
    return np.asarray(x.reshape(-1))


def _blocks(main: Floats, one: Floats, two: Floats, right: Floats) -> tuple[Floats, Floats, Floats, Floats]:
    """(Blocks before, on and after the diagonal, right side) of the system, two rows to a block."""
    n = len(main) // 2
    a, b, c = (np.zeros((n, 2, 2)) for _ in range(3))
    b[:, 0, 0], b[:, 1, 1] = main[0::2], main[1::2]
    b[:, 0, 1] = b[:, 1, 0] = one[0::2]
    c[:, 0, 0], c[:, 1, 1] = two[0::2], two[1::2]
    c[:, 1, 0] = one[1::2]
    a[:] = np.roll(c, 1, axis=0).transpose(0, 2, 1)
    return a, b, c, right.reshape(n, 2)
