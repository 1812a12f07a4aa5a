"""Which of many sets ride which draws of what is in doubt, so that few laps are ridden and no set is missed. SI.

Every set rides the first four draws. Those that come within reach of the quickest ride four more, from which each
one's gap is known as a straight line in every doubt, with slopes that hang smoothly on the gearing and what is left
over; of the others it is known as even. The few that lose least ride all draws, and so do some that come near the
quickest, each geared otherwise: between those the lap of any set in any draw is foreseen. Where a set may be the
quickest of a draw, so that more is lost there, or it is not plain whether it is tied with the advised set, it rides
the likeliest draws. The tests hold it to riding everything.
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
#: So do so many whose gearing differs by this share at least, which are behind by at most this in most draws (s).
_QUICKEST, _APART, _BEHIND, _OFTEN = 9, 0.02, 0.3, 4
#: So many draws of a set are ridden at once to tell whether it is tied, and this often.
_TRIED, _TRIED_FAR, _TURNS = 4, 2, 2
#: A set whose draws near the best, those not ridden counted by how likely each is, are so many times what makes it tied
#: is taken to be tied; with fewer than this share of it, it is taken not to be.
_SURELY, _HARDLY = 2.5, 0.15
#: What is found in the draws ridden counts against what was expected of them as if this much had been found besides.
_A_PRIORI = 0.3
#: Where what is left over is mostly more than this (s), laps jump.
_JUMPS = 0.08
#: One that is in between after all turns is tied from this share on: rather one too many on the list than one too few.
_LIKELY, _LIKELY_JUMPING = 0.65, 0.4
#: So many sets are tried, at each turn, in each draw that may be its quickest: expected to be at most this much above
#: it, in what is left over.
_MAYBE_QUICKEST, _MAY_BE = 2, 1.0
#: Sets whose gearing differs by this share are alike by 1/e; a set's straight line counts as much as this many of those
#: that are quite alike, and what a set like it does in the same draw is taken to be off by at most this (s).
_ALIKE, _ALONE, _MOST_OFF, _TRUST = 0.015, 0.7, 0.5, 0.7
#: Out of reach: a set that in each of the first draws was slower than the quickest by this (s), by as much as its own
#: gap varied and by so many times what the steadiest set lost at most.
_FAR, _STEADIEST = 0.03, 3.0
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
    it is so in one of twenty, as far as can be told. `laps` is `time`, with the lap to be
    expected where none was ridden; NaN for a set that rode few draws.
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
        self.live = np.ones(len(rows), bool)
        self.mass = machines(ranking.sets, rows[:1]).mass
        self.tried = np.zeros(len(rows), bool)
        self.geared = _geared(ranking, rows)
        # Sets geared alike share a place, of which there are no more than a few hundred.
        places, self.place = np.unique(np.round(self.geared / _ALIKE * 3), return_inverse=True)
        self.alike = np.exp(-np.abs(places[:, None] - places[None]) / 3)

    def ridden(self) -> Ridden:
        if not self.drawn.keys:
            self.time[0] = self.nominal
            among = np.nonzero(self.may & self.counts)[0]
            best = self._best(among)
            return self._told(np.zeros((0, len(self.rows))), self._near(best) >= 1, best, self.time)
        self._ride(self._block(np.ones(len(self.rows), bool), 0, _FIRST))
        self.live = live = self._within_reach() | ~self.counts
        self._ride(self._block(live, _FIRST, _NEXT))
        least = self._least_losing(live)
        full = self._apart(least)
        self._ride(self._block(full | ~self.counts, 0, self.drawn.count))
        slope, straight, left_over = self._straight(live, least)
        among = np.nonzero(least)[0]
        best = self._best(among)
        turn = 0
        for _ in range(2 * _TURNS):
            # What is ridden on the way may be quicker than all before, and so another set lose least.
            self._ride_likely(best, straight, left_over)
            was, best = best, self._best(among)
            turn += best == was
            if not self.rode or turn >= _TURNS:
                break
        count, _ = self._likely_near(best, straight, left_over)
        near = self._near(best)
        jumps = self._jumps(left_over)
        tied = (near >= self.drawn.twentieth) | (
            count >= (_LIKELY_JUMPING if jumps else _LIKELY) * self.drawn.twentieth
        )
        if not jumps:
            tied &= ~self.tried | (near > 0) | (count > 2 * self.drawn.twentieth)
        tied &= ~(np.isfinite(self.time).all(axis=0) & (near < self.drawn.twentieth))
        return self._told(slope, tied, best, self._local(straight, left_over)[0])

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

    def _apart(self, full: Bools) -> Bools:
        """The few sets besides that come nearest to the quickest, each geared otherwise than the others."""
        known = np.minimum(np.nan_to_num(self.time[:_NEXT] - self._quickest()[:_NEXT, None], nan=np.inf), 1e6)
        behind = np.where(self.live & self.counts, np.sort(known, axis=0)[:_OFTEN].mean(axis=0), np.inf)
        found = full.copy()
        for _ in range(_QUICKEST):
            near = np.abs(self.geared[:, None] - self.geared[None, found]).min(axis=1) < _APART
            best = int(np.where(near, np.inf, behind).argmin())
            if near[best] or behind[best] > _BEHIND:
                break
            found[best] = True
        return found

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
        geared = self.geared
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

    def _local(self, straight: Floats, left_over: Floats) -> tuple[Floats, Floats]:
        """(Expected lap, what is left over) of each [draw, set], by what sets geared alike did in the same draw."""
        ridden = ~np.isnan(self.time)
        off = np.where(ridden, np.clip(np.where(ridden, self.time, 0.0) - straight, -_MOST_OFF, _MOST_OFF), 0.0)
        weight = self._about(ridden.astype(float))
        moved = self._about(off) / (weight + _ALONE)
        return straight + moved, left_over * np.sqrt(1 - _TRUST * weight / (weight + _ALONE))

    def _about(self, values: Floats) -> Floats:
        """Values [draw, set] summed over the sets that are geared alike, the more alike the more."""
        order = np.argsort(self.place, kind="stable")
        begins = np.searchsorted(self.place[order], np.arange(len(self.alike)))
        each = np.add.reduceat(values[:, order], begins, axis=1)
        # Not `@`: for so few numbers its threads wait longer for each other than they work.
        return np.asarray(np.einsum("dp,pq->dq", each, self.alike)[:, self.place])

    def _likely_near(self, best: int, straight: Floats, left_over: Floats) -> tuple[Floats, Floats]:
        """In how many draws each set comes near the best, those not ridden by how likely they are; and how far above
        the best it is expected in each [draw, set], in what is left over."""
        expected, left = self._local(straight, left_over)
        above = (expected - self.time[:, best : best + 1] - NEAR_ENOUGH) / left
        # A logistic curve of the normal distribution's spread.
        likely = 1 / (1 + np.exp(np.clip(1.702 * above, -50, 50)))
        ridden, near = ~np.isnan(self.time), self._near(best)
        # Where fewer of the draws ridden came near than were to be expected, fewer of the others will.
        alone = 1 / (
            1 + np.exp(np.clip(1.702 * (straight - self.time[:, best : best + 1] - NEAR_ENOUGH) / left_over, -50, 50))
        )
        found = (near + _A_PRIORI) / ((alone * ridden).sum(axis=0) + _A_PRIORI)
        return near + np.minimum(found, 2.0) * (likely * ~ridden).sum(axis=0), above

    def _jumps(self, left_over: Floats) -> bool:
        """Whether laps jump: a straight line leaves much over of most sets."""
        return float(np.median(left_over[self.live])) > _JUMPS

    def _ride_likely(self, best: int, straight: Floats, left_over: Floats) -> None:
        """Ride the draws in which sets may come near the best where it is not plain whether they are tied, and in each
        draw those that may well be its quickest; the likeliest first."""
        expected, left = self._local(straight, left_over)
        count, above = self._likely_near(best, straight, left_over)
        wanted = self.drawn.twentieth
        unclear = (count > _HARDLY * wanted) & (count < _SURELY * wanted) & (self._near(best) < wanted)
        # Whoever was not near where it was likeliest is not likely to be so elsewhere, unless laps jump.
        if not self._jumps(left_over):
            unclear &= ~self.tried | (self._near(best) > 0) | (count > wanted)
        could = np.isnan(self.time) & (unclear | ~self.counts)
        place = np.argsort(np.argsort(np.where(could, above, np.inf), axis=0), axis=0)
        near = could & (place < np.where(self.live, _TRIED, _TRIED_FAR))
        self.tried |= near.any(axis=0)
        expected, left = self._local(straight, left_over)
        told = self._loss(np.array([best]))[0]
        before = (expected - np.minimum(self._quickest(), self.time[:, best] - told)[:, None]) / left
        could = (before < _MAY_BE) & np.isnan(self.time) & self.live
        place = np.argsort(np.argsort(np.where(could, before, np.inf), axis=1), axis=1)
        near |= could & (place < _MAYBE_QUICKEST)
        self.rode = bool(near.any())
        self._ride(near)

    def _told(self, slope: Floats, tied: Bools, best: int, expected: Floats) -> Ridden:
        loss = np.full(len(self.rows), np.nan)
        whole = np.nonzero(~np.isnan(self.time).any(axis=0))[0]
        loss[whole] = self._loss(whole)
        ridden = ~np.isnan(self.time)
        laps = np.where(ridden, self.time, np.where(ridden.sum(axis=0) >= _NEXT, expected, np.nan))
        return Ridden(self.rows, self.time, slope, best, loss, self._near(best), tied, laps)


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


def _geared(ranking: LapRanking, rows: Ints) -> Floats:
    """How short each row is geared: the logarithm of engine turns per metre in the last gear."""
    sets = ranking.sets
    return np.asarray(np.log(sets.ratio[rows] / sets.circumference[rows] * sets.boxes[sets.box[rows], -1]))
