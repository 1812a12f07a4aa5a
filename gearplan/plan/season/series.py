"""One set for several circuits: which loses least over all of them together, and which circuit pays for it. Times in s.

A set's loss on a circuit is its lap less the quickest set's there; over the season it is the sum, one lap of each.
What is in doubt is drawn as for one circuit (`plan.laps.draws`), in each draw alike for all circuits. All draws are
ridden by all sets, of very many by those that lose least as entered and the quickest of each circuit; the loss in a
draw is counted from the quickest of those. Between two sets that leaves out nothing, for it is the same for both.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gearplan.bike.circuit import Circuit
from gearplan.bike.profile import Bike
from gearplan.drive.lap.lap import lap_times
from gearplan.drive.lap.rules import LapRules
from gearplan.language import tr
from gearplan.plan.choices.space import Space
from gearplan.plan.findings import Finding
from gearplan.plan.laps.draws import Doubts, Draws, draws, names, usual_doubts
from gearplan.plan.laps.ranking import LapRanking, rank_laps
from gearplan.plan.laps.rides import NEAR_ENOUGH, SAME_LOSS
from gearplan.plan.laps.search import Cancelled, Progress
from gearplan.plan.laps.sets import Alternatives, machines

Floats = NDArray[np.float64]
Ints = NDArray[np.int_]

#: At most so many sets ride every draw, those that lose least as entered: a lap may jump, so no smaller reach is safe.
_MOST = 600
#: So many of the quickest of each circuit ride too, for the losses to be counted from.
_OF_EACH = 4
_CHUNK = 900


@dataclass(frozen=True, eq=False)
class Season:
    """Sets over several circuits; rows are indices of every ranking's `sets`, which are the same.

    `loss` [circuit, row] is as entered, infinite where there is no lap. `order` lists the rows that can be ridden
    everywhere, the least total loss first. `worst` is the total at the worst twentieth of the draws, NaN for sets that
    did not ride them. `chosen` is the one to take, `tied` those that nobody can tell from it, itself among them;
    `leave`: the fitted set is one of them. `doubts` are in words, and so is in `note` what was not looked at.
    """

    rankings: tuple[LapRanking, ...]
    loss: Floats
    order: Ints
    worst: Floats
    chosen: int
    tied: Ints
    leave: bool
    doubts: tuple[str, ...]
    note: str

    @property
    def total(self) -> Floats:
        """The loss of each row over all circuits, as entered."""
        return np.asarray(self.loss.sum(axis=0))

    @property
    def fitted(self) -> int | None:
        """The fitted set's own row; None where it has no lap on some circuit."""
        sets = self.rankings[0].sets
        last = sets.count - 1
        return last if sets.has_fitted and np.isfinite(self.loss[:, last]).all() else None

    def listed(self, most: int) -> list[int]:
        """The rows with the least total, the one to take and the fitted one among them wherever they stand."""
        rows = [int(row) for row in self.order[:most]]
        more = [self.chosen, *([] if self.fitted is None else [self.fitted])]
        return rows + [row for row in more if row not in rows]

    def payer(self, row: int) -> int:
        """The circuit (from 0) on which a row loses most."""
        return int(np.argmax(self.loss[:, row]))


def rank_season(
    bike: Bike,
    circuits: Sequence[Circuit],
    space: Space,
    rules: LapRules | None = None,
    alternatives: Alternatives | None = None,
    doubts: Doubts | None = None,
    progress: Progress | None = None,
) -> Season | Finding:
    """All sets of a space over several circuits; the finding names what one of them or the profile lacks.

    Without `rules` each circuit is ridden by its own rider.

    ValueError without a circuit; Cancelled if `progress` returns False.
    """
    if not circuits:
        raise ValueError(tr("a season has at least one circuit"))
    rankings = []
    for circuit in circuits:
        ranking = rank_laps(bike, circuit, space, rules, alternatives, progress)
        if isinstance(ranking, Finding):
            where = f"{circuit.name or tr('Unnamed circuit')}: " if ranking.about == "circuit" else ""
            return Finding(ranking.level, ranking.about, where + ranking.text, field=ranking.field, also=ranking.also)
        rankings.append(ranking)
    sets = rankings[0].sets
    time = np.array([np.where(np.isnan(ranking.time), np.inf, ranking.time) for ranking in rankings])
    quickest = time[:, : sets.ranked].min(axis=1, keepdims=True)
    if not np.isfinite(quickest).all():
        return Finding("check", "lap", tr("On one of the circuits no set's lap could be computed."))
    loss = time - quickest
    total = loss.sum(axis=0)
    stuck = np.any([ranking.stuck for ranking in rankings], axis=0)
    able = np.isfinite(total[: sets.ranked]) & (sets.level[: sets.ranked] < 2) & ~stuck[: sets.ranked]
    if not able.any():
        able = np.isfinite(total[: sets.ranked])
    if not able.any():
        return Finding("check", "lap", tr("No set gets round all of the circuits."))
    shifts = np.sum([ranking.up_shifts for ranking in rankings], axis=0)
    order = np.lexsort((shifts, np.round(total, 6)))
    order = order[order < sets.ranked]
    order = order[able[order]]
    has_fitted = sets.has_fitted and bool(np.isfinite(total[-1]))
    doubts = usual_doubts(bike) if doubts is None else doubts
    for ranking in rankings:
        doubts = doubts.of(ranking.rules)
    drawn = draws(doubts)
    ridden = _ridden(rankings, order[:_MOST], has_fitted)
    totals = _totals(rankings, ridden, drawn, progress)
    worst = np.full(sets.count, np.nan)
    worst[ridden] = np.sort(totals, axis=0)[-drawn.twentieth]
    among = np.nonzero(np.isin(ridden, order[:_MOST]))[0]
    least = worst[ridden[among]].min()
    same = among[worst[ridden[among]] <= least + SAME_LOSS * len(rankings)]
    best = int(same[np.lexsort((total[ridden[same]], shifts[ridden[same]]))[0]])
    near = (totals < totals[:, [best]] + NEAR_ENOUGH * len(rankings)).sum(axis=0) >= drawn.twentieth
    tied = ridden[near & np.isin(ridden, order)]
    return Season(
        rankings=tuple(rankings),
        loss=loss,
        order=order,
        worst=worst,
        chosen=int(ridden[best]),
        tied=tied[np.argsort(total[tied], kind="stable")],
        leave=has_fitted and bool(near[-1]),
        doubts=tuple(names(doubts).values()),
        note=""
        if len(order) <= _MOST
        else tr(
            "{order} sets are ranked; ties were looked for among the {most} that lose least as entered.",
            order=len(order),
            most=_MOST,
        ),
    )


def _ridden(rankings: Sequence[LapRanking], most: Ints, has_fitted: bool) -> Ints:
    """The rows that ride every draw, the fitted set's last."""
    quick = [ranking.order[:_OF_EACH] for ranking in rankings]
    rows = np.unique(np.concatenate([most, *quick]))
    return np.append(rows, rankings[0].sets.count - 1) if has_fitted else rows


def _totals(rankings: Sequence[LapRanking], rows: Ints, drawn: Draws, progress: Progress | None) -> Floats:
    """Total loss of each row in each draw [draw, row], from the quickest of the rows."""
    if not drawn.keys:
        time = np.array([ranking.time[rows] for ranking in rankings])
        return np.asarray((time - time.min(axis=1, keepdims=True)).sum(axis=0)[None])
    found = np.zeros((drawn.count, len(rows)))
    draw, place = (axis.ravel() for axis in np.indices(found.shape))
    mass = machines(rankings[0].sets, rows[:1]).mass
    of = len(rankings) * len(draw)
    for done, ranking in enumerate(rankings):
        time = np.empty(found.shape)
        for first in range(0, len(draw), _CHUNK):
            if progress is not None and not progress(done * len(draw) + first, of):
                raise Cancelled
            some = slice(first, first + _CHUNK)
            varied = drawn.varied(draw[some], mass)
            laps = lap_times(machines(ranking.sets, rows[place[some]], varied=varied), ranking.circuit, ranking.rules)
            time[draw[some], place[some]] = np.where(np.isnan(laps.time), np.inf, laps.time)
        found += time - time.min(axis=1, keepdims=True)
    return found
