"""The plateau of a lap ranking: which set to take while not everything is known exactly, and which are tied with it.

The set to take is the one that loses least against the quickest when things are at their worst twentieth; of sets
that lose the same the one with fewer shifts, more left to the limiter, fewer parts to buy. Tied with it is every set
that is quicker than it, or as quick within `NEAR_ENOUGH`, in one of twenty draws of what is in doubt; `Draws.twentieth`
says how many that are.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gearplan.bike.text.written import listed
from gearplan.language import tr, trn
from gearplan.plan.laps.draws import Doubts, draws, names, usual_doubts
from gearplan.plan.laps.otherlowest import with_first_gear
from gearplan.plan.laps.ranges import LapRange, lap_range
from gearplan.plan.laps.ranking import EVERY, LapRanking, Wanted
from gearplan.plan.laps.rides import NEAR_ENOUGH, Ridden, ride
from gearplan.plan.laps.search import Progress, left_text
from gearplan.plan.words import teeth

Floats = NDArray[np.float64]
Ints = NDArray[np.int_]
Bools = NDArray[np.bool_]

#: Sets slower than the quickest by more, as entered, are taken to be out (a share of the lap).
_NEAR = 0.04


@dataclass(frozen=True, slots=True)
class Fitted:
    """The fitted set among what is in doubt: what it loses at its worst twentieth (s), and in how many draws it is
    quicker than the advised set or within `NEAR_ENOUGH`; `itself`: it is the advised set; `range` its lap's."""

    loss: float
    near: int
    itself: bool
    range: LapRange | None


@dataclass(frozen=True, eq=False)
class Plateau:
    """Which set to take, and the sets that nobody can tell from it. Rows are indices of the ranking.

    `tied` are the tied rows, the quickest first, `chosen` is the one to take (one of them), `loss` what it loses
    against the quickest at its worst twentieth (s). `fitted` is None where no lap of the fitted set is known; `leave`:
    it is tied, so that a change gains nothing. `names` are the doubts in words by their field, `worth` by how much
    each may move a tied set against the one to take (s), `draws` how many cases were looked at, `range` where the
    lap of the set to take lies. `otherwise` is what another lowest gear in corners would change, in words, where
    that is assumed. `laps` [case, place] are those of all `rows` that were looked at, where a case was not
    ridden the lap to be expected; `on_time` the fitted set's.
    """

    tied: Ints
    chosen: int
    loss: float
    fitted: Fitted | None
    leave: bool
    names: dict[str, str]
    worth: dict[str, float]
    draws: int
    range: LapRange | None
    otherwise: str
    rows: Ints
    laps: Floats
    on_time: Floats | None

    def range_of(self, row: int) -> LapRange | None:
        """Where a row's lap lies; None for one that was not looked at, or with a lap that could not be computed."""
        place = np.nonzero(self.rows == row)[0]
        return lap_range(self.laps[:, place[0]], self.on_time) if len(place) else None

    @property
    def word(self) -> str:
        """What the set to take is called in a table."""
        return chosen_word(leave=self.leave)

    @property
    def sentence(self) -> str:
        """What the plateau means, in words."""
        if not self.names:
            if len(self.tied) <= 1:
                return tr("No set is within {seconds:g} s of it with nothing in doubt.", seconds=NEAR_ENOUGH)
            return trn(
                "{n} more is within {seconds:g} s of it with nothing in doubt: they are tied.",
                "{n} more are within {seconds:g} s of it with nothing in doubt: they are tied.",
                len(self.tied) - 1,
                seconds=NEAR_ENOUGH,
            )
        doubted = listed(self.names.values())
        if len(self.tied) <= 1:
            return tr("One set is quickest whatever is true of {doubted}.", doubted=doubted)
        return tr("{tied} sets are tied: which is quickest hangs on {doubted}.", tied=len(self.tied), doubted=doubted)


def chosen_word(*, leave: bool) -> str:
    """What the set with the least loss is called: "take", but where the fitted one is left on by what tells it."""
    return tr("least loss") if leave else tr("take")


#: As long as `because` and `Plateau.sentence` mostly become.
LONGEST_BECAUSE = tr(
    "Nothing that can be told apart is gained; in 19 of 20 cases the fitted 16/46 is at most 0.13 s behind the "
    "quickest set, 18/46 (2nd gear 33/20) at most 0.04 s."
)
LONGEST_TIED = tr(
    "78 sets are tied: which is quickest hangs on grip ±10 %, wind ±7.2 km/h, mass ±5 kg, shift time ±0.03 s, "
    "braking ±10 % and apex speeds ±3 %."
)


def advice(ranking: LapRanking, tied: Plateau) -> str:
    """What to do and why, what the plateau means, and what another lowest gear would change, in words."""
    return " ".join(filter(None, (reason(ranking, tied), tied.sentence, tied.otherwise)))


def reason(ranking: LapRanking, tied: Plateau) -> str:
    """Which set to take, or that the fitted one stays, in one sentence with its numbers."""
    if not tied.leave:
        return tr("Take {named}: {because}.", named=_named(ranking, tied.chosen), because=_because(ranking, tied))
    return tr("Leave it: {because}.", because=_because(ranking, tied))


def headline(ranking: LapRanking, tied: Plateau) -> str:
    """What to do, in the fewest words: "Take 17/42", or "Leave it at 15/46"."""
    return f"{(tr('Leave it at') if tied.leave else tr('Take'))} {teeth(ranking.sets.set_at(advised(ranking, tied)))}"


def because(ranking: LapRanking, tied: Plateau) -> str:
    """The numbers behind the headline, as a sentence of its own."""
    told = _because(ranking, tied)
    besides = "" if tied.leave else ranking.sets.besides(tied.chosen)
    return tr("With {besides}: {told}.", besides=besides, told=told) if besides else f"{told[0].upper()}{told[1:]}."


def advised(ranking: LapRanking, tied: Plateau) -> int:
    """The row that is to be on the motorcycle: the fitted one where it is left."""
    return ranking.sets.count - 1 if tied.leave else tied.chosen


def _named(ranking: LapRanking, row: int) -> str:
    besides = ranking.sets.besides(row)
    return f"{teeth(ranking.sets.set_at(row))}{f' ({besides})' if besides else ''}"


def _because(ranking: LapRanking, tied: Plateau) -> str:
    on = "" if tied.fitted is None else teeth(ranking.sets.set_at(ranking.sets.count - 1))
    if tied.fitted is None:
        return _behind(tied, tied.loss)
    if not tied.leave:
        loses = tr("the fitted {on} loses {seconds}", on=on, seconds=_at_most(tied, tied.fitted.loss))
        return f"{_behind(tied, tied.loss)}, {loses}"
    told = tr("nothing that can be told apart is gained")
    if tied.fitted.itself:
        return f"{told}; {_fitted_behind(tied, on, tied.loss)}"
    fitted = _fitted_behind(tied, on, tied.fitted.loss)
    return f"{told}; {fitted}, {_named(ranking, tied.chosen)} {_at_most(tied, tied.loss)}"


def _behind(tied: Plateau, loss: float) -> str:
    if tied.names:
        return tr("in 19 of 20 cases it is at most {loss:.2f} s behind the quickest set", loss=loss)
    return tr("it is {loss:.2f} s behind the quickest set", loss=loss)


def _fitted_behind(tied: Plateau, on: str, loss: float) -> str:
    if tied.names:
        return tr("in 19 of 20 cases the fitted {on} is at most {loss:.2f} s behind the quickest set", on=on, loss=loss)
    return tr("the fitted {on} is {loss:.2f} s behind the quickest set", on=on, loss=loss)


def _at_most(tied: Plateau, loss: float) -> str:
    return tr("at most {loss:.2f} s", loss=loss) if tied.names else tr("{loss:.2f} s", loss=loss)


def plateau(
    ranking: LapRanking,
    doubts: Doubts | None = None,
    wanted: Wanted = EVERY,
    progress: Progress | None = None,
) -> Plateau | None:
    """The plateau among the wanted sets; None where no set is wanted. Costs some ten rankings.

    `search.Cancelled` if `progress` returns False.
    """
    doubts = (usual_doubts(ranking.sets.bike) if doubts is None else doubts).of(ranking.rules)
    rows = ranking.rows(wanted)
    if not len(rows):
        return None
    rows = rows[ranking.time[rows] <= ranking.time[rows[0]] * (1 + _NEAR)]
    has_fitted = ranking.fitted_time is not None
    every = np.append(rows, ranking.sets.count - 1) if has_fitted else rows
    drawn = draws(doubts)

    def better(places: Ints) -> int:
        return int(places[_preferred(ranking, every[places])])

    ridden = ride(ranking, every, drawn, _may_be_taken(ranking, every), better, progress)
    tied = ridden.tied[: len(rows)]
    chosen = int(every[ridden.best])
    fitted, on_time = None, ridden.time[:, -1] if has_fitted else None
    if on_time is not None:
        itself = _same(ranking, chosen, ranking.sets.count - 1)
        on = lap_range(on_time, on_time)
        fitted = Fitted(max(float(ridden.loss[-1]), 0.0), int(ridden.near[-1]), itself, on)
    leave = fitted is not None and (fitted.itself or bool(ridden.tied[-1]))
    loss = float(ridden.loss[ridden.best])
    stays, loses = (ranking.sets.count - 1, fitted.loss) if leave and fitted is not None else (chosen, loss)
    otherwise = "" if doubts.lowest_gear else with_first_gear(ranking, rows, stays, loses)
    return Plateau(
        tied=rows[tied],
        chosen=chosen,
        loss=loss,
        fitted=fitted,
        leave=leave,
        names=names(doubts),
        worth=_worth(ridden, drawn.keys, np.nonzero(tied)[0], names(doubts)),
        draws=drawn.count,
        range=lap_range(ridden.time[:, ridden.best], on_time),
        otherwise=otherwise,
        rows=every,
        laps=ridden.laps,
        on_time=on_time,
    )


def _worth(ridden: Ridden, keys: tuple[str, ...], tied: Ints, known: dict[str, str]) -> dict[str, float]:
    moved = np.abs(ridden.slope[:, tied] - ridden.slope[:, [ridden.best]])
    by = {key: float(moved[k].max()) for k, key in enumerate(keys)}
    return {key: by[key] for key in known}


def _may_be_taken(ranking: LapRanking, rows: Ints) -> Bools:
    """Whether each row can be ridden round and some chain fits it."""
    return np.asarray((ranking.sets.level[rows] < 2) & ~ranking.stuck[rows])


def _preferred(ranking: LapRanking, rows: Ints) -> int:
    """Place of the row that a mechanic would take of those that lose the same."""
    ranked = np.lexsort(
        (
            ranking.time[rows],
            _parts_to_buy(ranking, rows),
            -np.round(ranking.margin[rows], 2),
            ranking.up_shifts[rows],
            ranking.leaned_shifts[rows],
        )
    )
    return int(ranked[0])


def _parts_to_buy(ranking: LapRanking, rows: Ints) -> Ints:
    """How many parts of each row are not those on the bike: sprockets, chain, tyre and gear pairs."""
    sets, on = ranking.sets, ranking.sets.count - 1
    if not sets.has_fitted:
        return np.zeros(len(rows), int)
    pairs = (sets.boxes[sets.box[rows]] != sets.boxes[0]).sum(axis=1)
    return np.asarray(
        (sets.front[rows] != sets.front[on])
        + (sets.rear[rows] != sets.rear[on]).astype(int)
        + ~sets.at_hand[rows]
        + (sets.tyre[rows] != sets.tyre[on])
        + pairs
    )


def _same(ranking: LapRanking, row: int, other: int) -> bool:
    """Whether two rows are the same set."""
    sets = ranking.sets
    one, two = sets.set_at(row), sets.set_at(other)
    parts = [(s.front, s.rear, s.chain, s.tyre) for s in (one, two)]
    return parts[0] == parts[1] and bool(sets.box[row] == sets.box[other])


def doubted_text(share: float, seconds: float) -> str:
    """How far the riding of what is in doubt is after so many seconds, in words."""
    left = left_text(share, seconds)
    if left:
        return tr("Ranked as entered. Which sets are tied is being looked for, {left}.", left=left)
    return tr("Ranked as entered. Which sets are tied is being looked for.")
