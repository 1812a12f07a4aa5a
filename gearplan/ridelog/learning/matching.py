"""Ridden ratios held against the steps of a gearbox: which gear each is. Pure; logarithms of k throughout.

By satellite speed a leaned tyre looks like a shorter gear. Where nothing tells the lean, a gear may show two ratios,
upright and in bends, of which the longer is the upright one: nothing makes a gear longer.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from gearplan.bike.text.units import KMH, MPH
from gearplan.ridelog.learning.sprockets import Ridden
from gearplan.ridelog.log import Floats

#: A ridden ratio this far (relative) from every gear of the profile is none of them.
_OF_NO_GEAR = 0.012
#: The profile's gearbox must explain this share of what was ridden.
_EXPLAINED = 0.7
_RADIANS_AWAY = 0.12
#: How well ridden ratios keep the steps of the right gearbox (relative), and how often a log's gear column errs.
_STEPS_FIT, _COLUMN_ERRS = 0.003, 0.02
#: A leaned tyre shortens a gear by this at most (relative): R − c·(1 − cos φ) with a crown c of 0.1 m on R = 0.3 m, at
#: φ = 45°.
_MOST_LEANED = 0.1
#: How well a ratio that was ridden leaned, and one that is none at all, fits beside one that keeps the steps; and what
#: such a ratio costs beside one that is at its gear (0) or nowhere (9): common sense, no source.
_LEANED_FITS, _NONE_FITS, _LEANED_COSTS = 0.08, 0.003, 1.0
#: The chance that all that was ridden evenly was ridden leaned, where no gear shows two ratios, and by how much that
#: may have shortened the gears (relative), each as likely: common sense, no source.
_ALL_LEANED, _LEANED_BY = 0.1, (0.01, 0.02, 0.035, 0.05, 0.07)


@dataclass(frozen=True, slots=True)
class Way:
    """One way to take the clusters for gears: the offset of their logarithms, the gears, and how well they fit.

    `leaned` is the chance that none of them was ridden upright.
    """

    offset: float
    numbers: tuple[int | None, ...]
    chance: float
    leaned: float = 0.0


@dataclass(frozen=True, slots=True)
class Match:
    """The offset between ridden ratios and the gearbox's, each one's gear (from 1) and how far off it is.

    `matched` is "yes", "no" or "unknown" (no gearbox), `unit` the unit that explains the road speed better, if one
    does.
    """

    offset: float | None
    numbers: tuple[int | None, ...]
    off: tuple[float | None, ...]
    matched: str
    unit: str | None = None


def match(
    known: Floats, weights: Floats, box: Floats | None, expected: float | None, *, lean_open: bool, leans: bool = False
) -> Match:
    """The gears of ridden ratios.

    All pairings of a ridden ratio with a gear are tried as offsets; the best explains most with the least, and lies
    near the expected one, or near it in another unit of speed. `lean_open` says that nothing tells the lean, `leans`
    that the ride is known to be this motorcycle's, much of it in bends.
    """
    nothing = (None,) * len(known)
    if box is None:
        return Match(None, nothing, nothing, "unknown")
    gears = np.log(box)
    tries = (known[:, None] - gears[None, :]).ravel()
    misses = known[None, :, None] - gears[None, None, :] - tries[:, None, None]
    each = np.minimum(np.abs(misses).min(2) / 0.01, 3.0) ** 2
    if lean_open:
        each = np.where(((misses > 0) & (misses < _MOST_LEANED)).any(2), np.minimum(each, _LEANED_COSTS), each)
    cost = (each @ weights) / weights.sum()
    units = {None: 0.0, "mph": math.log(MPH / KMH), "m/s": math.log(1 / KMH), "km/h": -math.log(MPH / KMH)}
    far = np.zeros((len(tries), 1))
    if expected is not None:
        # k is too high by the factor that the speed is too low.
        away = np.abs(tries[:, None] - expected - np.array(list(units.values()))[None, :])
        far = 0.5 * (away / _RADIANS_AWAY) ** 2 + np.array([0.0, 1.5, 1.5, 1.5])
    total = cost + far.min(1)
    best = int(np.argmin(total))
    unit = list(units)[int(np.argmin(far[best]))]
    numbers, off = _nearest(known, gears, float(tries[best]))
    good = np.abs(off) < _OF_NO_GEAR
    explained = good
    if lean_open:
        # A bend shows beside its own gear; alone it would let any gearbox be the profile's.
        own = gears if leans else gears[sorted({n for n, fine in zip(numbers, good, strict=True) if fine})]
        explained = good | _leaned(known, own, float(tries[best]))
    few = np.count_nonzero(good) < min(2, len(known)) and not leans
    if few or _share(explained, weights) < _EXPLAINED or float(far.min(1)[best]) > 6:
        return Match(None, nothing, nothing, "no")
    offset = float(tries[best]) + float(np.dot(weights[good], off[good]) / weights[good].sum())
    told = tuple(number + 1 if fine else None for number, fine in zip(numbers, good, strict=True))
    rest = known - gears[numbers] - offset
    return Match(
        offset, told, tuple(float(one) if fine else None for one, fine in zip(rest, good, strict=True)), "yes", unit
    )


def ways(
    known: Floats, weights: Floats, gears: Floats, recorded: list[int | None], best: Match, *, lean_open: bool
) -> list[Way]:
    """The best way and every other that explains as many clusters nearly as well: one gear alone may be any.

    Where nothing tells the lean, a way may also leave ratios to bends.
    """
    assert best.offset is not None
    found = {best.numbers: best.offset}
    for attempt in (known[:, None] - gears[None, :]).ravel().tolist():
        numbers, off = _nearest(known, gears, attempt)
        good = np.abs(off) < _OF_NO_GEAR
        told = tuple(n + 1 if fine else None for n, fine in zip(numbers, good, strict=True))
        named = [n for n in told if n is not None]
        as_many = len(named) == sum(n is not None for n in best.numbers)
        if len(set(named)) == len(named) and (as_many or lean_open):
            found.setdefault(told, attempt + float(np.dot(weights[good], off[good]) / weights[good].sum()))
    made = []
    for told, offset in found.items():
        misses = [one - gears[n - 1] - offset for one, n in zip(known, told, strict=True) if n is not None]
        against = sum(r is not None and n is not None and r != n for r, n in zip(recorded, told, strict=True))
        chance = math.exp(-0.5 * sum((miss / _STEPS_FIT) ** 2 for miss in misses)) * _COLUMN_ERRS**against
        leaned = 0.0
        if lean_open:
            left = np.array([n is None for n in told])
            bends = int(np.count_nonzero(left & _leaned(known, gears, offset)))
            chance *= _LEANED_FITS**bends * _NONE_FITS ** (int(np.count_nonzero(left)) - bends)
            leaned = 0.0 if bends else _ALL_LEANED
        made.append(Way(offset, told, max(chance, 1e-12), leaned))
    made.sort(key=lambda way: -way.chance)
    return [way for way in made if way.chance > 1e-4 * made[0].chance]


def leaned_cases(way: Ridden, leaned: float) -> tuple[Ridden, ...]:
    """One way to take the ridden ratios as upright ones, and as leaned ones by so much, with the chances of each."""
    each = way.chance * leaned / len(_LEANED_BY)
    bent = [replace(way, quotient=way.quotient * math.exp(-by), chance=max(each, 1e-12)) for by in _LEANED_BY]
    return replace(way, chance=way.chance * (1 - leaned)), *bent


def _nearest(known: Floats, gears: Floats, offset: float) -> tuple[list[int], Floats]:
    """The nearest gear of each ratio (from 0) and how far above it the ratio lies."""
    numbers = [int(np.argmin(np.abs(one - gears - offset))) for one in known]
    return numbers, known - gears[numbers] - offset


def _leaned(known: Floats, gears: Floats, offset: float) -> np.ndarray:
    """Which ratios a gear of the box shows in bends."""
    above = known[:, None] - gears[None, :] - offset
    return np.asarray(((above > 0) & (above < _MOST_LEANED)).any(1))


def _share(which: np.ndarray, weights: Floats) -> float:
    """The share of the ratios, by weight or by number, whichever is less."""
    return float(min(weights[which].sum() / weights.sum(), which.mean()))
