"""Sections of a line by its curvature: turns as a person would count them, straights between. SI: m, 1/m.

A turn is where the line bends one way; bends of one way with little between them are one turn. What belongs to a turn
is where the curvature stays near its peak; the rest, which is ridden while braking or standing up, is left to the
straights. All that a bend turns is counted to its turn, as a person would say it.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np

from gearplan.bike.circuit import Section, turn_name
from gearplan.bike.text.units import DEGREE
from gearplan.language import tr
from gearplan.plan.lines.points import Floats

#: Coarsest to finest: metres over which the curvature is smoothed (a Gaussian's standard deviation), the least turn
#: that is one (°), and how far the curvature may fall between two bends of one turn, as a share of the lesser one.
_SMOOTH, _LEAST_TURN, _VALLEY = (30.0, 3.0), (22.0, 3.0), (0.3, 0.95)
#: Wider bends than this (m) are no turns: they are ridden flat out (common practice, no source).
_WIDEST = 600.0
_CORE = 0.5
_FINE_STEP = 2.0
USUAL_FINENESS = 0.5


@dataclass(frozen=True, slots=True)
class _Turn:
    """A bend from its beginning to its end, and the core near its peak; steps, the first may lie before 0."""

    begins: int
    core: int
    after_core: int
    ends: int

    def moved(self, steps: int) -> _Turn:
        return _Turn(*(at + steps for at in (self.begins, self.core, self.after_core, self.ends)))


def found_sections(turning: Floats, step: float, fineness: float = USUAL_FINENESS) -> tuple[tuple[Section, ...], float]:
    """The sections of a closed line from what it turns each metre (1/m), and where the first begins (m).

    `fineness` goes from 0, only the great turns, to 1, every bend. The lap begins with the straight in which the
    line begins, or the turn; then it begins before 0.
    """
    many = max(1, round(step / _FINE_STEP))
    n = len(turning) * many
    fine = np.repeat(turning, many)
    small = step / many
    smooth = _smoothed(fine, small, _between(_SMOOTH, fineness))
    turns = _turns(smooth, small, fineness)
    if not turns:
        return (Section("straight", round(n * small, 1), turn_deg=_degrees(smooth, 0, n, small)),), 0.0
    return _sections(fine, smooth, turns, small)


def _between(ends: tuple[float, float], share: float) -> float:
    """Evenly by factors from one end to the other."""
    return float(ends[0] * (ends[1] / ends[0]) ** min(max(share, 0.0), 1.0))


def _smoothed(turning: Floats, step: float, width: float) -> Floats:
    waves = np.fft.rfftfreq(len(turning), step)
    return np.asarray(np.fft.irfft(np.fft.rfft(turning) * np.exp(-2 * (np.pi * waves * width) ** 2), len(turning)))


def _turns(smooth: Floats, step: float, fineness: float) -> list[_Turn]:
    """The turns in order of the line; the last may end after it."""
    n = len(smooth)
    change = np.nonzero(np.sign(smooth) != np.sign(np.roll(smooth, 1)))[0]
    if not len(change):
        # All round one way: cut where it bends least.
        change = np.array([int(np.argmin(np.abs(smooth)))])
    valley, least = _between(_VALLEY, fineness), _between(_LEAST_TURN, fineness) * DEGREE
    found: list[_Turn] = []
    for first, after in zip(change.tolist(), [*change[1:].tolist(), int(change[0]) + n], strict=True):
        lobe = np.abs(smooth[np.arange(first, after) % n])
        for a, b in _bends(lobe, valley):
            part = lobe[a:b]
            if part.max() < 1 / _WIDEST or float(part.sum()) * step < least:
                continue
            inside = np.nonzero(part >= _CORE * part.max())[0]
            found.append(_Turn(a, a + int(inside[0]), a + int(inside[-1]) + 1, b).moved(first))
    return found


def _bends(lobe: Floats, valley: float) -> list[tuple[int, int]]:
    """A stretch that bends one way, cut where the curvature falls below that share of the lesser peak beside it."""
    if len(lobe) < 3:
        return [(0, len(lobe))]
    inner = lobe[1:-1]
    lows = (np.nonzero((inner < lobe[:-2]) & (inner <= lobe[2:]))[0] + 1).tolist()
    while lows:
        edges = [0, *lows, len(lobe)]
        peaks = [float(lobe[a:b].max()) for a, b in itertools.pairwise(edges)]
        depth = [float(lobe[low]) / min(peaks[k], peaks[k + 1]) for k, low in enumerate(lows)]
        flattest = int(np.argmax(depth))
        if depth[flattest] < valley:
            break
        lows.pop(flattest)
    edges = [0, *lows, len(lobe)]
    return list(itertools.pairwise(edges))


def _sections(fine: Floats, smooth: Floats, turns: list[_Turn], step: float) -> tuple[tuple[Section, ...], float]:
    n = len(fine)
    # The lap begins with what the line begins in.
    turns = sorted((turn.moved(-n) if turn.after_core > n else turn for turn in turns), key=lambda turn: turn.core)
    before = turns[-1].moved(-n)
    begins = before.after_core if turns[0].core > 0 else turns[0].core
    last = before
    sections: list[Section] = []
    for number, turn in enumerate(turns, 1):
        if turn.core > max(last.after_core, begins):
            sections.append(_straight(smooth, last, turn, step, number))
        sections.append(_corner(fine, smooth, turn, step, number))
        last = turn
    after = turns[0].moved(n)
    if begins + n > last.after_core:
        sections.append(_straight(smooth, last, after, step, 1))
    return tuple(sections), begins * step


def _degrees(turning: Floats, first: int, after: int, step: float) -> float:
    return round(float(turning[np.arange(first, after) % len(turning)].sum()) * step / DEGREE, 1)


def _straight(smooth: Floats, last: _Turn, turn: _Turn, step: float, number: int) -> Section:
    length = round((turn.core - last.after_core) * step, 1)
    left = _degrees(smooth, last.ends, turn.begins, step) + 0.0
    return Section("straight", length, turn_deg=left, note=tr("To turn {number}", number=number))


def _corner(fine: Floats, smooth: Floats, turn: _Turn, step: float, number: int) -> Section:
    """The core is what is held at the apex speed; all that the bend turns is the turn's."""
    length = (turn.after_core - turn.core) * step
    core = float(fine[np.arange(turn.core, turn.after_core) % len(fine)].sum()) * step
    radius = float(np.clip(length / max(abs(core), 1e-9), 2.0, 20_000.0))
    turned = _degrees(smooth, turn.begins, turn.ends, step)
    name = turn_name(number)
    return Section("corner", round(length, 1), radius_m=round(radius, 1), turn_deg=turned, note=name)
