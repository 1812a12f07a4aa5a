"""The closed middle of a track at even steps, from points: a curve through them, what is doubtful said. SI: m."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from gearplan.bike.text.units import DEGREE
from gearplan.language import tr
from gearplan.plan.lines.points import Floats, LineError, Points

_SHORTEST, _LONGEST = 100.0, 50_000.0
#: Metres between steps at most; their number is a power of two, as `racing` wants it.
_STEP, _FEWEST, _MOST = 6.0, 128, 8192
_CROSSING_POINTS, _OVERLAP = 900, 40.0
#: A wider step than this (m) is looked at, and turns by less than this (rad) where nothing lacks.
_WIDE, _STRAIGHT_ON = 120.0, 45 * DEGREE
#: A recorded ride has come round once it is back within so many metres of its start.
_BACK, _AWAY = 30.0, 100.0


@dataclass(frozen=True, eq=False)
class Track:
    """The middle at even steps and the room to both sides of it (m; None where the width is not known)."""

    x: Floats
    y: Floats
    step: float
    left: Floats | None
    right: Floats | None
    name: str
    notes: tuple[str, ...]

    @property
    def length(self) -> float:
        """Length of the closed middle (m)."""
        return self.step * len(self.x)


def track(points: Points) -> Track:
    """The closed track of points. LineError for points that make none."""
    notes = list(points.notes)
    x, y, left, right = points.x, points.y, points.left, points.right
    if points.ride:
        x, y, note = _one_lap(x, y)
        notes += note
    apart = np.append(True, np.hypot(np.diff(x), np.diff(y)) > 1e-6)
    closes = len(x) > 1 and math.hypot(x[0] - x[-1], y[0] - y[-1]) < 1e-6
    if closes and apart.sum() > 1:
        apart[np.nonzero(apart)[0][-1]] = False
    x, y = x[apart], y[apart]
    if len(x) < 5:
        raise LineError(tr("{x} different points make no circuit; give at least five, better one every 5 m", x=len(x)))
    gap = math.hypot(x[0] - x[-1], y[0] - y[-1])
    spacing = np.hypot(np.diff(x), np.diff(y))
    usual = float(np.median(spacing))
    _check_length(float(spacing.sum()) + gap)
    if not closes and gap > max(0.02 * (float(spacing.sum()) + gap), 3 * usual):
        notes.append(
            tr(
                "The line does not close: {gap:.0f} m lack between its end and its start. A straight joins them.",
                gap=gap,
            )
        )
    notes += _lacking(x, y, spacing, usual)
    along, x, y, sides = _curve(x, y, [None if side is None else side[apart] for side in (left, right)])
    count = int(np.clip(2 ** math.ceil(math.log2(along[-1] / _STEP)), _FEWEST, _MOST))
    at = np.arange(count) * (along[-1] / count)
    even = [None if one is None else np.interp(at, along, np.append(one, one[0])) for one in (x, y, *sides)]
    assert even[0] is not None
    assert even[1] is not None
    made = Track(even[0], even[1], float(along[-1]) / count, even[2], even[3], points.name, tuple(notes))
    if _crosses(made.x, made.y, made.step):
        notes.append(tr("The line crosses itself: right for a track with a bridge only."))
    return Track(made.x, made.y, made.step, made.left, made.right, made.name, tuple(notes))


def _lacking(x: Floats, y: Floats, spacing: Floats, usual: float) -> list[str]:
    """A wide step between two points that does not go on as the line went, in words; along a straight it is none."""
    far = int(np.argmax(spacing))
    if spacing[far] <= max(10 * usual, _WIDE):
        return []
    heading = np.arctan2(np.diff(y), np.diff(x))[max(far - 1, 0) : far + 2]
    if float(np.abs(np.angle(np.exp(1j * np.diff(heading)))).sum()) <= _STRAIGHT_ON:
        return []
    return [
        tr(
            "{spacing:.0f} m lie between points {far} and {far2}, and they turn: does a part lack?",
            spacing=spacing[far],
            far=far + 1,
            far2=far + 2,
        )
    ]


def _one_lap(x: Floats, y: Floats) -> tuple[Floats, Floats, list[str]]:
    """The first lap of a recorded ride: to where it is nearest to its start again, once it has been away."""
    away = np.hypot(x - x[0], y - y[0])
    gone = np.nonzero(away > _AWAY)[0]
    if not len(gone):
        return x, y, []
    back = gone[0] + np.nonzero(away[gone[0] :] < _BACK)[0]
    if not len(back):
        return x, y, []
    breaks = np.nonzero(np.diff(back) > 1)[0]
    first = back[: breaks[0] + 1] if len(breaks) else back
    end = int(first[np.argmin(away[first])])
    if not (away[first[-1] :] > _AWAY).any():
        return x[: end + 1], y[: end + 1], []
    note = tr("The track holds more than one lap: the first was taken. The Ride log page reads whole rides.")
    return x[: end + 1], y[: end + 1], [note]


def _check_length(length: float) -> None:
    if _SHORTEST <= length <= _LONGEST:
        return
    hint = ""
    if _SHORTEST <= 1000 * length <= _LONGEST:
        hint = tr(" Are they in kilometres?")
    elif _SHORTEST <= length / 1000 <= _LONGEST:
        hint = tr(" Are they in millimetres?")
    raise LineError(
        tr(
            "the line is {length:.6g} m long; a circuit has {shortest:.0f} to {longest:.0f} m.{hint} Give metres.",
            length=length,
            shortest=_SHORTEST,
            longest=_LONGEST,
            hint=hint,
        )
    )


def _curve(x: Floats, y: Floats, sides: list[Floats | None]) -> tuple[Floats, Floats, Floats, list[Floats | None]]:
    """(Distance with that of the end, x, y, sides) of a smooth closed curve through points that stand wide apart.

    Cubic pieces that run at each point midway between the ways to it and on from it.
    """
    p = np.column_stack([x, y])
    ahead = np.roll(p, -1, axis=0) - p
    h = np.hypot(*ahead.T)
    slope = ahead / h[:, None]
    before = np.roll(slope, 1, axis=0)
    tangent = before + slope
    tangent = tangent / np.maximum(np.hypot(*tangent.T), 1e-9)[:, None]
    pieces = np.maximum(np.ceil(h / _STEP).astype(int), 1)
    piece = np.repeat(np.arange(len(p)), pieces)
    t = (np.arange(len(piece)) - np.repeat(np.cumsum(pieces) - pieces, pieces)) / pieces[piece]
    after = (piece + 1) % len(p)
    t1, hh = t[:, None], h[piece][:, None]
    q = (
        (1 + 2 * t1) * (1 - t1) ** 2 * p[piece]
        + t1 * (1 - t1) ** 2 * hh * tangent[piece]
        + t1**2 * (3 - 2 * t1) * p[after]
        - t1**2 * (1 - t1) * hh * tangent[after]
    )
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*(np.roll(q, -1, axis=0) - q).T))])
    wide = [None if side is None else side[piece] * (1 - t) + side[after] * t for side in sides]
    return along, q[:, 0], q[:, 1], wide


def _crosses(x: Floats, y: Floats, step: float) -> bool:
    """Whether the closed line crosses itself, judged on at most some hundred points."""
    every = max(1, math.ceil(len(x) / _CROSSING_POINTS))
    p = np.column_stack([x[::every], y[::every]])
    # Uneven shares between neighbours: a crossing seldom lies on such a point.
    p = 0.618 * p + 0.382 * np.roll(p, -1, axis=0)
    q = np.roll(p, -1, axis=0)
    d = q - p

    def side(points: Floats) -> Floats:
        away = points[None, :, :] - p[:, None, :]
        area = d[:, None, 0] * away[..., 1] - d[:, None, 1] * away[..., 0]
        # On one straight line with a segment is on neither side of it.
        return np.where(np.abs(area) < 1e-6, 0.0, np.sign(area))

    one = side(p) * side(q) < 0
    both = one & one.T
    n = len(p)
    near = np.abs(np.arange(n)[:, None] - np.arange(n)[None, :])
    # Where the end overlaps the start by some metres is no crossing.
    least = max(1, math.ceil(_OVERLAP / (every * step)))
    return bool((both & (near > least) & (near < n - least)).any())
