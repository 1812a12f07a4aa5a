"""Which of many sets ride which draws of what is in doubt, so that few laps are ridden and no set is missed. SI.

Within a gearbox and tyre a lap hangs on how short a set is geared, in every draw. So in each draw one of every few
sets that are geared alike rides, another one in the next draw, and the laps of those between are expected on the
straight line between their neighbours'. Sets that are out of reach in the first draws ride no more. Of the others
those that are expected to lose least ride every draw, and in each draw so do those that may be its quickest. Where it
is not plain whether a set is tied with the best one, it rides the draws in which that is likeliest. The tests hold it
to riding everything.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gearplan.drive.lap.lap import lap_times
from gearplan.plan.laps.draws import Draws
from gearplan.plan.laps.ranking import LapRanking
from gearplan.plan.laps.search import Cancelled, Progress
from gearplan.plan.laps.sets import machines

Floats = NDArray[np.float64]
Ints = NDArray[np.int_]
Bools = NDArray[np.bool_]

#: Slower than the advised set by less than this is as quick (s).
NEAR_ENOUGH = 0.02
#: Losses that differ by less cannot be told apart (s).
SAME_LOSS = 0.005

_CHUNK = 2400
#: Of the sets whose gearing differs by less than this share one rides in each draw.
_ALIKE = 0.03
#: After so many draws the sets that are out of reach ride no more.
_FIRST = 8
#: Out of reach: a set that in each of the first draws was slower than the quickest by this (s), by as much as its own
#: gap varied and by so many times what the steadiest set lost at most.
_FAR, _STEADIEST = 0.03, 3.0
#: So many sets that are expected to lose least ride every draw, at each turn.
_FULL = 3
#: An expected lap may be off by this (s) and by this share of what the neighbours differ by.
_OFF, _OF_STEP = 0.015, 0.5
#: It is not plain whether a set is tied that may be from this share to this many times the draws that it takes.
_HARDLY, _SURELY = 0.15, 3.0
#: So many draws of such a set are ridden at once, and so often.
_TRIED, _TURNS = 5, 2
#: So many sets are tried, at each turn, in each draw that may be its quickest: expected to be at most this much above
#: it, in how far off that may be.
_MAYBE_QUICKEST, _MAY_BE = 2, 1.5
#: One that is still in between is tied from this share on: rather one too many on the list than one too few.
_LIKELY = 0.75
#: How far apart gearboxes stand on the line along which laps are expected: no set is between two of them.
_APART = 1e4
#: Members of a group take turns by the golden section, so that no draw goes with a member.
_TURN = (5**0.5 - 1) / 2
#: Laps that riding takes for each set, about: for the progress.
_USUAL_RIDES = 14


@dataclass(frozen=True, eq=False)
class Ridden:
    """What was ridden. `rows` are the sets, `time` [draw, set] their laps, NaN where not ridden.

    `slope` [doubt, set] is how far a doubt at the upper end of its range moves a set's gap (s). `best` is the place in
    `rows` of the set with the least loss, `loss` what each set loses at its worst twentieth (NaN unless it rode every
    draw), `near` in how many draws each was found to be quicker than the best or within `NEAR_ENOUGH`, `tied` whether
    it is so in one of twenty, as far as can be told. `laps` is `time`, with the lap to be expected where none was
    ridden; NaN for a set that is out of reach.
    """

    rows: Ints
    time: Floats
    slope: Floats
    best: int
    loss: Floats
    near: Ints
    tied: Bools
    laps: Floats


def ride(
    ranking: LapRanking,
    rows: Ints,
    drawn: Draws,
    may: Bools,
    better: Callable[[Ints], int],
    progress: Progress | None = None,
) -> Ridden:
    """Ride sets of a ranking; `may` marks those that can be advised (if none does, all can).

    Of those (places in `rows`) whose loss is the same `better` picks one. The last of `rows` is ridden in every draw,
    but is not one of those from which a loss is counted, if it is the ranking's fitted set. Cancelled if `progress`
    returns False.
    """
    return _Rides(ranking, rows, drawn, may if may.any() else np.ones(len(rows), bool), better, progress).ridden()


class _Rides:
    def __init__(
        self,
        ranking: LapRanking,
        rows: Ints,
        drawn: Draws,
        may: Bools,
        better: Callable[[Ints], int],
        progress: Progress | None,
    ) -> None:
        self.ranking, self.rows, self.drawn, self.may, self.better = ranking, rows, drawn, may, better
        self.progress, self.done = progress, 0
        self.time = np.full((drawn.count, len(rows)), np.nan)
        self.nominal = ranking.time[rows]
        #: The fitted set is compared, but is no set of the ranking.
        self.counts = rows < ranking.sets.ranked
        self.live = self.counts.copy()
        self.mass = machines(ranking.sets, rows[:1]).mass
        self.line = _line(ranking, rows)
        #: What was expected when so many laps were ridden.
        self.known: tuple[int, tuple[Floats, Floats]] | None = None

    def ridden(self) -> Ridden:
        able = self.may & self.counts
        if not self.drawn.keys:
            self.time[0] = self.nominal
            best = self._best(np.nonzero(able)[0])
            return self._told(self._near(best) >= 1, best, self.time)
        self._ride(self._in_turn(0, _FIRST) | self._all(np.nonzero(~self.counts)[0]))
        self.live, self.known = self._within_reach(), None
        able &= self.live
        self._ride(self._in_turn(_FIRST, self.drawn.count))
        for _ in range(_TURNS):
            # All at once, for a call costs as much as many laps.
            least = self._least_losing(able)
            self._ride(self._all(least) | self._quickest_expected() | self._unclear(int(least[0])))
        best = self._best(np.nonzero(~np.isnan(self.time).any(axis=0) & able)[0])
        expected, off = self._expected()
        near = self._near(best)
        tied = (near >= self.drawn.twentieth) | (self._count(best, expected, off) >= _LIKELY * self.drawn.twentieth)
        tied &= self.live | ~self.counts
        return self._told(tied, best, expected)

    # -- riding --------------------------------------------------------------------------------------------------

    def _all(self, places: Ints) -> Bools:
        """Every draw of some sets [draw, set]."""
        wanted = np.zeros(self.time.shape, bool)
        wanted[:, places] = True
        return wanted

    def _in_turn(self, first: int, end: int) -> Bools:
        """One of the sets that are geared alike in each of some draws, all of them in turn; the outermost always."""
        wanted = np.zeros(self.time.shape, bool)
        order = np.nonzero(self.live)[0]
        order = order[np.argsort(self.line[order], kind="stable")]
        line = self.line[order]
        begins = np.append(True, np.diff(line) > _APART / 2)
        own = np.maximum.accumulate(np.where(begins, np.arange(len(line)), 0))
        group = np.floor((line - line[own]) / _ALIKE) + 2 * own
        starts = np.append(True, np.diff(group) != 0)
        which = np.cumsum(starts) - 1
        size = np.bincount(which)
        rank = np.arange(len(line)) - np.nonzero(starts)[0][which]
        draw = np.arange(first, end)[:, None]
        turn = np.floor((_TURN * (draw + 1) + _TURN**2 * (which + 1)) % 1.0 * size[which])
        wanted[first:end, order] = (turn == rank) | begins | np.append(begins[1:], True)
        return wanted

    def _ride(self, wanted: Bools) -> None:
        """Ride the wanted pairs [draw, set] that have not been ridden."""
        draw, place = np.nonzero(wanted & np.isnan(self.time))
        for first in range(0, len(draw), _CHUNK):
            usual = _USUAL_RIDES * len(self.rows)
            if self.progress is not None and not self.progress(min(self.done, usual - 1), usual):
                raise Cancelled
            some = slice(first, first + _CHUNK)
            made = machines(self.ranking.sets, self.rows[place[some]], varied=self.drawn.varied(draw[some], self.mass))
            laps = lap_times(made, self.ranking.circuit, self.ranking.rules).time
            # A lap that could not be computed is never quick.
            self.time[draw[some], place[some]] = np.where(np.isnan(laps), np.inf, laps)
            self.done += len(made.radius)

    def _within_reach(self) -> Bools:
        """Sets that are not far from the quickest in each of the first draws and as entered.

        How far that is depends on the steadiest set that can be advised: its loss decides what is tied.
        """
        known = np.vstack([self.nominal, self._expected()[0][:_FIRST]])
        known = np.minimum(known, 1e6)
        behind = known - known[:, self.counts].min(axis=1, keepdims=True)
        least, most = behind.min(axis=0), behind.max(axis=0)
        steadiest = most[self.counts & self.may].min(initial=np.inf)
        return np.asarray(self.counts & (least - (most - least) <= _FAR + _STEADIEST * steadiest))

    def _least_losing(self, able: Bools) -> Ints:
        """The few sets that are expected to lose least, the one with the least loss first."""
        expected, _ = self._expected()
        places = np.nonzero(able)[0]
        loss = np.sort(expected[:, places] - self._quickest()[:, None], axis=0)[-self.drawn.twentieth]
        return np.asarray(places[np.argsort(loss, kind="stable")[:_FULL]])

    def _quickest_expected(self) -> Bools:
        """The few sets of each draw that may well be quicker than all that rode it, the likeliest first."""
        expected, off = self._expected()
        below = np.where(self.live & np.isnan(self.time), expected - _MAY_BE * off - self._quickest()[:, None], np.inf)
        place = np.argsort(np.argsort(below, axis=1, kind="stable"), axis=1)
        return (place < _MAYBE_QUICKEST) & (below < 0)

    def _unclear(self, best: int) -> Bools:
        """The likeliest draws of the sets of which it is not plain whether they are tied."""
        expected, off = self._expected()
        wanted = self.drawn.twentieth
        count = self._count(best, expected, off)
        unclear = (count > _HARDLY * wanted) & (count < _SURELY * wanted) & (self._near(best) < wanted) & self.live
        above = np.where(np.isnan(self.time) & unclear, _above(best, expected, off), np.inf)
        place = np.argsort(np.argsort(above, axis=0, kind="stable"), axis=0)
        return (place < _TRIED) & np.isfinite(above)

    # -- what is known -------------------------------------------------------------------------------------------

    def _expected(self) -> tuple[Floats, Floats]:
        """(Lap, how far off it may be) of each live [draw, set], from the sets on either side that rode the draw.

        What is taken to lie on the straight line is by how much the lap differs from the one as entered, for that is
        known of every set.
        """
        if self.known is not None and self.known[0] == self.done:
            return self.known[1]
        expected, off = self.time.copy(), np.full(self.time.shape, _OFF)
        order = np.argsort(self.line, kind="stable")
        order = order[self.live[order]]
        line = self.line[order]
        for draw, time in enumerate(self.time):
            there = np.nonzero(np.isfinite(time[order]))[0]
            if not len(there):
                continue
            at, laps = line[there], (time - self.nominal)[order[there]]
            missing = np.isnan(time[order])
            places = order[missing]
            expected[draw, places] = np.interp(line[missing], at, laps) + self.nominal[places]
            after = np.clip(np.searchsorted(at, line[missing]), 1, max(len(at) - 1, 1))
            if len(at) > 1:
                near = at[after] - at[after - 1] < _APART / 2
                off[draw, places] += _OF_STEP * np.where(near, np.abs(laps[after] - laps[after - 1]), 0.0)
        found = np.where(np.isnan(expected), np.inf, expected), off
        self.known = self.done, found
        return found

    def _quickest(self) -> Floats:
        """The quickest known lap of each draw."""
        return np.asarray(np.fmin.reduce(self.time[:, self.counts], axis=1))

    def _loss(self, among: Ints) -> Floats:
        """What sets that rode every draw lose at their worst twentieth."""
        loss = np.sort(self.time[:, among] - self._quickest()[:, None], axis=0)
        return np.asarray(loss[-self.drawn.twentieth])

    def _best(self, among: Ints) -> int:
        loss = self._loss(among)
        return self.better(among[loss <= loss.min() + SAME_LOSS])

    def _near(self, best: int) -> Ints:
        return np.asarray((self.time < self.time[:, best : best + 1] + NEAR_ENOUGH).sum(axis=0))

    def _count(self, best: int, expected: Floats, off: Floats) -> Floats:
        """In how many draws each set comes near the best, those not ridden by how likely they are."""
        # A logistic curve of the normal distribution's spread.
        likely = 1 / (1 + np.exp(np.clip(1.702 * _above(best, expected, off), -50, 50)))
        return np.asarray(self._near(best) + (likely * np.isnan(self.time)).sum(axis=0))

    def _slope(self, expected: Floats) -> Floats:
        """How far each doubt at its upper end moves each set's lap, as a straight line in all of them [doubt, set]."""
        every = np.column_stack([np.ones(self.drawn.count), self.drawn.at])
        known = np.where(np.isfinite(expected).all(axis=0), expected, 0.0)
        return np.asarray(np.linalg.lstsq(every, known, rcond=None)[0][1:])

    def _told(self, tied: Bools, best: int, expected: Floats) -> Ridden:
        loss = np.full(len(self.rows), np.nan)
        whole = np.nonzero(~np.isnan(self.time).any(axis=0))[0]
        loss[whole] = self._loss(whole)
        laps = np.where(self.live | ~self.counts, np.where(np.isnan(self.time), expected, self.time), np.nan)
        return Ridden(self.rows, self.time, self._slope(expected), best, loss, self._near(best), tied, laps)


def _above(best: int, expected: Floats, off: Floats) -> Floats:
    """How far each [draw, set] is expected above what is near the best, in how far off it may be."""
    with np.errstate(invalid="ignore"):
        above = (expected - expected[:, best : best + 1] - NEAR_ENOUGH) / off
    # Neither could be computed: nothing is near.
    return np.where(np.isnan(above), np.inf, above)


def _line(ranking: LapRanking, rows: Ints) -> Floats:
    """Where each row stands on one line: how short it is geared (the logarithm of engine turns per metre in the last
    gear), every gearbox and tyre a long way from the others."""
    sets = ranking.sets
    geared = np.log(sets.ratio[rows] / sets.circumference[rows] * sets.boxes[sets.box[rows], -1])
    _, kind = np.unique(np.stack([sets.box[rows], sets.tyre[rows]]), axis=1, return_inverse=True)
    return np.asarray(geared + _APART * kind.reshape(-1))
