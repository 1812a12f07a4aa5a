"""Which of many sets ride which draws of what is in doubt, so that few laps are ridden and no set is missed. SI.

Every set rides the first four draws. Those that come within reach of the quickest ride eight more, from which each
one's gap is known as a straight line in every doubt with what is left over; of the others it is known as even. The
few that lose least ride all draws. Of the rest each rides the draws in which it may come near the advised set, until
it has done so often enough. What is left out is thus shown to be out of reach but for a gap that jumps; the tests
hold it to riding everything.
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

_CHUNK = 900
#: Draws that all sets ride, and those that all ride which are not out of reach after these.
_FIRST, _NEXT = 4, 12
#: So many sets ride every draw.
_FULL = 6
#: So many draws are tried at first for each in which a set must still come near.
_TRIED = 2
#: So many sets are tried, twice, in each draw that may be its quickest.
_MAYBE_QUICKEST = 2
#: Out of reach: a set that in each of the first draws was slower than the quickest by this (s), by as much as its own
#: gap varied and by so many times what the steadiest set lost at most.
_FAR, _STEADIEST = 0.03, 1.5
#: A gap lies within so many of what is left over of its straight line, but never closer than this (s).
_LEFT_OVER, _LEAST_LEFT_OVER = 3.0, 0.01
#: So many times what is left over of the middle set counts for every set.
_OF_THE_MIDDLE = 4 / 3
_DAMPING = 0.05
#: Laps that riding takes for each set, about: for the progress.
_USUAL_RIDES = 18


@dataclass(frozen=True, eq=False)
class Ridden:
    """What was ridden. `rows` are the sets, `time` [draw, set] their laps, NaN where not ridden.

    `slope` [doubt, set] is how far a doubt at the upper end of its range moves a set's gap (s). `best` is the place in
    `rows` of the set with the least loss, `loss` what each set loses at its worst twentieth (NaN unless it rode every
    draw), `near` in how many draws each was found to be quicker than the best or within `NEAR_ENOUGH`.
    """

    rows: Ints
    time: Floats
    slope: Floats
    best: int
    loss: Floats
    near: Ints


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
        self.mass = machines(ranking.sets, rows[:1]).mass

    def ridden(self) -> Ridden:
        if not self.drawn.keys:
            self.time[0] = self.nominal
            return self._told(np.zeros((0, len(self.rows))), np.nonzero(self.may & self.counts)[0])
        self._ride(self._block(np.ones(len(self.rows), bool), 0, _FIRST))
        live = self._within_reach() | ~self.counts
        self._ride(self._block(live, _FIRST, _NEXT))
        full = self._least_losing(live)
        self._ride(self._block(full | ~self.counts, 0, self.drawn.count))
        slope, expected, left_over = self._straight(live, full)
        among = np.nonzero(full)[0]
        self._ride_quickest(live, expected, left_over)
        was = -1
        # What is ridden on the way may be quicker than all before, and so another set lose least.
        for _ in range(3):
            best = self._best(among)
            if best == was:
                break
            was = best
            self._ride_near(best, expected, left_over)
        return self._told(slope, among, was)

    def _block(self, sets: Bools, first: int, end: int) -> Bools:
        wanted = np.zeros(self.time.shape, bool)
        wanted[first:end] = sets
        return wanted

    def _ride(self, wanted: Bools) -> None:
        """Ride the wanted pairs [draw, set] that have not been ridden."""
        draw, place = np.nonzero(wanted & np.isnan(self.time))
        for first in range(0, len(draw), _CHUNK):
            if self.progress is not None and not self.progress(
                min(self.done, _USUAL_RIDES * len(self.rows) - 1), _USUAL_RIDES * len(self.rows)
            ):
                raise Cancelled
            some = slice(first, first + _CHUNK)
            made = machines(self.ranking.sets, self.rows[place[some]], varied=self.drawn.varied(draw[some], self.mass))
            laps = lap_times(made, self.ranking.circuit, self.ranking.rules).time
            # A lap that could not be computed is never quick.
            self.time[draw[some], place[some]] = np.where(np.isnan(laps), np.inf, laps)
            self.done += len(made.radius)

    def _quickest(self) -> Floats:
        """The quickest known lap of each draw."""
        return np.asarray(np.fmin.reduce(self.time[:, self.counts], axis=1))

    def _within_reach(self) -> Bools:
        """Sets that are not far from the quickest in each of the first draws and as entered.

        How far that is depends on the steadiest set that can be advised: its loss decides what is tied.
        """
        known = np.vstack([self.nominal, self.time[:_FIRST]])
        behind = np.minimum(known - known[:, self.counts].min(axis=1, keepdims=True), 1e6)
        least = behind.min(axis=0)
        most = behind.max(axis=0)
        return np.asarray(least - (most - least) <= _FAR + _STEADIEST * most[self.counts & self.may].min())

    def _least_losing(self, live: Bools) -> Bools:
        """The few sets that lose least in the draws that all have ridden."""
        able = np.nonzero(live & self.may & self.counts)[0]
        if not len(able):
            able = np.nonzero(self.may & self.counts)[0]
        known = self.time[:_NEXT, able] if live[able].all() else self.time[:_FIRST, able]
        loss = np.sort(known - self._quickest()[: len(known), None], axis=0)
        found = np.zeros(len(self.rows), bool)
        found[able[np.argsort(loss[-1] + loss[-2], kind="stable")[:_FULL]]] = True
        return found

    def _straight(self, live: Bools, full: Bools) -> tuple[Floats, Floats, Floats]:
        """(Slope, expected lap, what is left over) of each set as a straight line in every doubt."""
        middle = np.minimum(self.time[:, full], 1e6).mean(axis=1)
        at = np.hstack([np.ones((self.drawn.count, 1)), self.drawn.at])
        gap = np.where(live, np.minimum(self.time[:_NEXT] - middle[:_NEXT, None], 1e3), 0.0)
        a = at[:_NEXT]
        damped = _DAMPING * _NEXT * np.diag([0.0] + [1.0] * len(self.drawn.keys))
        line = np.linalg.solve(a.T @ a + damped, a.T @ gap)
        left = np.sqrt(((gap - a @ line) ** 2).sum(axis=0) / max(_NEXT - at.shape[1] // 2 - 1, 2))
        # One set's twelve draws may miss a jump that others show.
        left = np.maximum(np.maximum(left, _OF_THE_MIDDLE * np.median(left[live])), _LEAST_LEFT_OVER)
        # The sets that rode every draw are much alike and may jump together, which the others need not.
        smooth = np.minimum(middle, _smooth(middle, self.drawn.at))[:, None]
        # Sets out of reach may come near where the best one jumps; their gap is known as even only.
        first = np.minimum(self.time[:_FIRST] - middle[:_FIRST, None], 1e3)
        left = np.where(live, left, np.maximum(left, first.std(axis=0)))
        return line[1:], smooth + np.where(live, at @ line, first.mean(axis=0)), left

    def _loss(self, among: Ints) -> Floats:
        """What sets that rode every draw lose at their worst twentieth."""
        loss = np.sort(self.time[:, among] - self._quickest()[:, None], axis=0)
        return np.asarray(loss[-self.drawn.twentieth])

    def _best(self, among: Ints) -> int:
        loss = self._loss(among)
        return self.better(among[loss <= loss.min() + SAME_LOSS])

    def _near(self, best: int) -> Ints:
        return np.asarray((self.time < self.time[:, best : best + 1] + NEAR_ENOUGH).sum(axis=0))

    def _ride_near(self, best: int, expected: Floats, left_over: Floats) -> None:
        """Ride the draws in which sets may come near the best, the likeliest first, until they have often enough."""
        bar = self.time[:, best : best + 1] + NEAR_ENOUGH
        above = (expected - bar) / left_over
        for each in (_TRIED, self.drawn.count):
            lacking = self.drawn.twentieth - self._near(best)
            could = (above < _LEFT_OVER) & np.isnan(self.time) & (lacking > 0)
            place = np.argsort(np.argsort(np.where(could, above, np.inf), axis=0), axis=0)
            self._ride(could & (place < each * lacking))

    def _ride_quickest(self, live: Bools, expected: Floats, left_over: Floats) -> None:
        """Ride in each draw the few sets that may well be quicker than all known, the likeliest first."""
        for _ in range(2):
            before = expected - self._quickest()[:, None]
            could = (before < left_over) & np.isnan(self.time) & live
            place = np.argsort(np.argsort(np.where(could, before, np.inf), axis=1), axis=1)
            self._ride(could & (place < _MAYBE_QUICKEST))

    def _told(self, slope: Floats, among: Ints, best: int | None = None) -> Ridden:
        best = self._best(among) if best is None else best
        loss = np.full(len(self.rows), np.nan)
        whole = np.nonzero(~np.isnan(self.time).any(axis=0))[0]
        loss[whole] = self._loss(whole)
        return Ridden(self.rows, self.time, slope, best, loss, self._near(best))


def _smooth(laps: Floats, at: Floats) -> Floats:
    """Laps of every draw without their jumps: what they are with each doubt by itself.

    Fitted again without those that lie far above it, which are the jumps.
    """
    every = np.column_stack([np.ones(len(at)), at, at**2])
    kept = np.ones(len(laps), bool)
    for _ in range(3):
        line = every @ np.linalg.lstsq(every[kept], laps[kept], rcond=None)[0]
        above = laps - line
        kept = above <= 2 * np.median(np.abs(above))
    return np.asarray(line)
