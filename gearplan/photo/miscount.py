"""Pins that were counted wrong: a numbering that the points fit far better."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from gearplan.bike.text import written
from gearplan.language import tr
from gearplan.photo.fit import Fit, fit, slopes
from gearplan.photo.model import CLICK, Model
from gearplan.photo.points import PINS, Group, Point, Sight, of, shifted

#: Numberings are compared where the mean square miss is so many times what clicks explain, or a pin misses by so many
#: clicks' doubts.
_SUSPICIOUS, _FAR_OFF = 1.8, 4.0
#: Another numbering is named if the sum of squares falls by this, to less than that share.
_BETTER, _SHARE = 25.0, 0.5
#: So many numberings are fitted, those that promise most: a fit takes far longer than to foresee it.
_FITTED = 3

_WHERE: dict[Group, str] = {
    "rear": tr("on the rear sprocket"),
    "front": tr("on the front sprocket"),
    "run": tr("on the upper run"),
}


@dataclass(frozen=True, slots=True)
class Miscount:
    """Another numbering of the pins, and what was counted wrong, in words."""

    points: tuple[Point, ...]
    text: str


def miscount(points: tuple[Point, ...], sight: Sight, found: Fit) -> Miscount | None:
    """The numbering that fits far better than the given one; None if this one is good, or none is better."""
    off = np.hypot(*found.misses.T)
    pins = np.array([p.group in PINS for p in found.model.points])
    good = found.squares <= _SUSPICIOUS * found.model.freedom
    if good and (off[pins] <= _FAR_OFF * CLICK).all():
        return None
    best: tuple[float, Miscount] | None = None
    for other in _likeliest(tuple(_others(points, sight)), sight, found):
        tried = fit(other.points, sight, quick=True)
        if tried is not None and (best is None or tried.squares < best[0]):
            best = tried.squares, other
    if best is None or found.squares - best[0] < _BETTER or best[0] > _SHARE * found.squares:
        return None
    return best[1]


def _likeliest(others: tuple[Miscount, ...], sight: Sight, found: Fit) -> list[Miscount]:
    """The few numberings that would fit best if the points went with the unknowns in a straight line."""
    at = found.minima[:1]
    across = np.linalg.qr(slopes(found.model, at)[0])[0]
    left = []
    for other in others:
        off = Model(other.points, sight, found.model.start).residuals(at)[0]
        left.append(off @ off - ((across.T @ off) ** 2).sum())
    return [others[place] for place in np.argsort(left)[:_FITTED]]


def _others(points: tuple[Point, ...], sight: Sight) -> Iterator[Miscount]:
    """Every numbering with one gap a pin longer or shorter, and with each second pin of a group left out."""
    most = {"rear": sight.rear, "front": sight.front}
    for group in PINS:
        pins = of(points, group)
        for a, b in pairwise(pins):
            for by in (1, -1):
                if b.number - a.number + by < 1 or pins[-1].number - pins[0].number + by >= most.get(group, 1000):
                    continue
                counted = b.number - a.number
                links = written.counted(counted + by, "link", "links")
                text = tr(
                    "From pin {number} to pin {number2} {where} it is {links}, not {counted}",
                    number=a.number,
                    number2=b.number,
                    where=_WHERE[group],
                    links=links,
                    counted=counted,
                )
                yield Miscount(shifted(points, group, by, behind=a.number), text)
        if len(pins) > 1 and 2 * (pins[-1].number - pins[0].number) < most.get(group, 1000):
            doubled = tuple(replace(p, number=2 * p.number - 1) if p.group == group else p for p in points)
            yield Miscount(doubled, tr("The pins {where} seem to be every second one", where=_WHERE[group]))
