"""Which of many sets ride which draws of what is in doubt, so that few laps are ridden and no set is missed. SI.

Every set rides the first four draws. Those that come within reach of the quickest ride four more, from which each
one's gap is known as a straight line in every doubt, with slopes that hang smoothly on the gearing and what is left
over; of the others it is known as even. The few that lose least, and the few that were the quickest in some draw, ride
all draws. In how many draws another comes near the advised set follows from those that it rode and from how likely it
is in the others; where that is not plain either way it rides the likeliest of them. The tests hold it to riding
everything.
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
_FIRST, _NEXT = 4, 8
#: So many sets ride every draw.
_FULL = 3
#: So do so many that were the quickest in one.
_QUICKEST = 3
#: So many draws of a set are ridden at once to tell whether it is tied, and this often.
_TRIED, _TURNS = 3, 2
#: Where what is left over is mostly more than this (s), laps jump: more is ridden then, of every set.
_JUMPS, _TURNS_JUMPING = 0.08, 5
#: A set whose draws near the best, those not ridden counted by how likely each is, are so many times what makes it tied
#: is taken to be tied; with fewer than this share of it, it is taken not to be.
_SURELY, _HARDLY = 2.5, 0.35
#: What is found in the draws ridden counts against what was expected of them as if this much had been found besides.
_A_PRIORI = 0.3
#: One that is in between after all turns is tied from this share on: rather one too many on the list than one too few.
_LIKELY = 0.65
#: So many sets are tried, twice, in each draw that may be its quickest.
_MAYBE_QUICKEST = 1
#: Out of reach: a set that in each of the first draws was slower than the quickest by this (s), by as much as its own
#: gap varied and by so many times what the steadiest set lost at most.
_FAR, _STEADIEST = 0.03, 1.5
#: What is left over of a straight line is never taken to be less than this (s).
_LEAST_LEFT_OVER = 0.01
#: So many times what is left over of the middle set counts for every set.
_OF_THE_MIDDLE = 4 / 3
_DAMPING = 0.05
#: Slopes are a polynomial of the gearing with so many coefficients.
_SHAPE = 4
#: Laps that riding takes for each set, about: for the progress.
_USUAL_RIDES = 13


@dataclass(frozen=True, eq=False)
class Ridden:
    """What was ridden. `rows` are the sets, `time` [draw, set] their laps, NaN where not ridden.

    `slope` [doubt, set] is how far a doubt at the upper end of its range moves a set's gap (s). `best` is the place in
    `rows` of the set with the least loss, `loss` what each set loses at its worst twentieth (NaN unless it rode every
    draw), `near` in how many draws each was found to be quicker than the best or within `NEAR_ENOUGH`, `tied` whether
    it is so in one of twenty, as far as can be told.
    """

    rows: Ints
    time: Floats
    slope: Floats
    best: int
    loss: Floats
    near: Ints
    tied: Bools


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
        self.live = np.ones(len(rows), bool)
        self.mass = machines(ranking.sets, rows[:1]).mass

    def ridden(self) -> Ridden:
        if not self.drawn.keys:
            self.time[0] = self.nominal
            among = np.nonzero(self.may & self.counts)[0]
            best = self._best(among)
            return self._told(np.zeros((0, len(self.rows))), self._near(best) >= 1, best)
        self._ride(self._block(np.ones(len(self.rows), bool), 0, _FIRST))
        self.live = live = self._within_reach() | ~self.counts
        self._ride(self._block(live, _FIRST, _NEXT))
        full = self._least_losing(live)
        # The quickest of a draw need not be one of those; whoever has been it once may be it again.
        self._ride(self._block(full | self._once_quickest() | ~self.counts, 0, self.drawn.count))
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
        count, _ = self._likely_near(was, expected, left_over)
        near = self._near(was)
        tied = (near >= self.drawn.twentieth) | (count >= _LIKELY * self.drawn.twentieth)
        tied &= ~(np.isfinite(self.time).all(axis=0) & (near < self.drawn.twentieth))
        return self._told(slope, tied, was)

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

    def _once_quickest(self) -> Bools:
        """The sets that were most often the quickest so far, a few."""
        known = np.where(np.isnan(self.time) | ~self.counts, np.inf, self.time)[:_NEXT]
        often = np.bincount(known.argmin(axis=1), minlength=len(self.rows))
        found = np.zeros(len(self.rows), bool)
        found[np.argsort(-often, kind="stable")[:_QUICKEST]] = True
        return found & (often > 0)

    def _straight(self, live: Bools, full: Bools) -> tuple[Floats, Floats, Floats]:
        """(Slope, expected lap, what is left over) of each set as a straight line in every doubt."""
        middle = np.minimum(self.time[:, full], 1e6).mean(axis=1)
        known = ~np.isnan(self.time)
        gap = np.where(known, np.minimum(self.time - middle[:, None], 1e3), 0.0)
        mean, slopes = self._pooled(gap, known & live)
        straight = mean + self.drawn.at @ slopes
        off = np.where(known, gap - straight, 0.0)
        left = np.sqrt((off**2).sum(axis=0) / np.maximum(known.sum(axis=0) - 1, 1))
        # One set's few draws may miss a jump that others show.
        left = np.maximum(np.maximum(left, _OF_THE_MIDDLE * np.median(left[live])), _LEAST_LEFT_OVER)
        # The sets that rode every draw are much alike and may jump together, which the others need not.
        smooth = np.minimum(middle, _smooth(middle, self.drawn.at))[:, None]
        # Sets out of reach may come near where the best one jumps; their gap is known as even only.
        first = np.minimum(self.time[:_FIRST] - middle[:_FIRST, None], 1e3)
        left = np.where(live, left, np.maximum(left, first.std(axis=0)))
        return slopes, smooth + np.where(live, straight, first.mean(axis=0)), left

    def _pooled(self, gap: Floats, known: Bools) -> tuple[Floats, Floats]:
        """(Mean, slope in each doubt [doubt, set]) of the gaps that are known [draw, set].

        Slopes hang smoothly on how short a set is geared, so all sets tell them together.
        """
        sets = self.ranking.sets
        geared = np.log(sets.ratio[self.rows] / sets.circumference[self.rows] * sets.boxes[sets.box[self.rows], -1])
        place = (geared - geared.mean()) / max(float(np.ptp(geared)), 1e-9)
        shape = place[None] ** np.arange(_SHAPE)[:, None]
        draw, which = np.nonzero(known)
        count = np.maximum(known.sum(axis=0), 1)
        # Every set has its own mean: only what differs from it tells of the slopes.
        at = np.zeros((len(self.drawn.keys), len(self.rows)))
        for k in range(len(at)):
            at[k] = (known * self.drawn.at[:, [k]]).sum(axis=0) / count
        own = (known * gap).sum(axis=0) / count
        parts = (self.drawn.at[draw].T - at[:, which])[:, None] * shape[None, :, which]
        a = parts.reshape(-1, len(draw))
        damped = _DAMPING * len(draw) / len(self.rows) * np.eye(len(a))
        found = np.linalg.solve(a @ a.T + damped, a @ (gap[draw, which] - own[which]))
        slopes = found.reshape(len(self.drawn.keys), _SHAPE) @ shape
        return own - (at * slopes).sum(axis=0), slopes

    def _loss(self, among: Ints) -> Floats:
        """What sets that rode every draw lose at their worst twentieth."""
        loss = np.sort(self.time[:, among] - self._quickest()[:, None], axis=0)
        return np.asarray(loss[-self.drawn.twentieth])

    def _best(self, among: Ints) -> int:
        loss = self._loss(among)
        return self.better(among[loss <= loss.min() + SAME_LOSS])

    def _near(self, best: int) -> Ints:
        return np.asarray((self.time < self.time[:, best : best + 1] + NEAR_ENOUGH).sum(axis=0))

    def _likely_near(self, best: int, expected: Floats, left_over: Floats) -> tuple[Floats, Floats]:
        """In how many draws each set comes near the best, those not ridden by how likely they are; and how far above
        the best it is expected in each [draw, set], in what is left over."""
        bar = self.time[:, best : best + 1] + NEAR_ENOUGH
        above = (expected - bar) / left_over
        # A logistic curve of the normal distribution's spread.
        likely = 1 / (1 + np.exp(np.clip(1.702 * above, -50, 50)))
        ridden, near = ~np.isnan(self.time), self._near(best)
        # Where fewer of the draws ridden came near than were to be expected, fewer of the others will.
        found = (near + _A_PRIORI) / ((likely * ridden).sum(axis=0) + _A_PRIORI)
        return near + np.minimum(found, 2.0) * (likely * ~ridden).sum(axis=0), above

    def _ride_near(self, best: int, expected: Floats, left_over: Floats) -> None:
        """Ride the draws in which sets may come near the best, the likeliest first, where it is not plain."""
        wanted = self.drawn.twentieth
        jumps = float(np.median(left_over[self.live])) > _JUMPS
        for _ in range(_TURNS_JUMPING if jumps else _TURNS):
            count, above = self._likely_near(best, expected, left_over)
            hardly = 0.0 if jumps else _HARDLY
            unclear = (count < _SURELY * wanted) & (count > hardly * wanted) & (self._near(best) < wanted)
            could = np.isnan(self.time) & (unclear | ~self.counts)
            place = np.argsort(np.argsort(np.where(could, above, np.inf), axis=0), axis=0)
            self._ride(could & (place < _TRIED))

    def _ride_quickest(self, live: Bools, expected: Floats, left_over: Floats) -> None:
        """Ride in each draw the few sets that may well be quicker than all known, the likeliest first."""
        for _ in range(2):
            before = expected - self._quickest()[:, None]
            could = (before < left_over) & np.isnan(self.time) & live
            place = np.argsort(np.argsort(np.where(could, before, np.inf), axis=1), axis=1)
            self._ride(could & (place < _MAYBE_QUICKEST))

    def _told(self, slope: Floats, tied: Bools, best: int) -> Ridden:
        loss = np.full(len(self.rows), np.nan)
        whole = np.nonzero(~np.isnan(self.time).any(axis=0))[0]
        loss[whole] = self._loss(whole)
        return Ridden(self.rows, self.time, slope, best, loss, self._near(best), tied)


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
