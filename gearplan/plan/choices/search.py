"""From wishes to a short list of sets: searches a whole space, drops what misses a limit, ranks what is left."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from gearplan.bike.profile import Bike
from gearplan.bike.stock import Stock
from gearplan.language import tr
from gearplan.plan.choices import words as choicewords
from gearplan.plan.choices.aims import aims, in_tie_order, not_beaten, one_chain_each, rating
from gearplan.plan.choices.candidates import Candidates, candidates
from gearplan.plan.choices.limits import judge
from gearplan.plan.choices.space import Space
from gearplan.plan.choices.stockcost import prices
from gearplan.plan.choices.verdicts import Judged, Unjudged
from gearplan.plan.choices.wishes import Wish, contradictions
from gearplan.plan.driveset import DriveSet
from gearplan.plan.findings import LEVELS, Level
from gearplan.plan.set.evaluate import evaluate
from gearplan.plan.set.words import typical_words
from gearplan.plan.words import Speed, teeth

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

#: Sets whose engine speeds differ by less are alike to a rider: common practice, no source.
ALIKE = 0.01
_MOST_ALIKE = 4
_MOST_DROPPED = 4


@dataclass(frozen=True, slots=True)
class Choice:
    """A set that meets the wishes. `revs` is the change of engine speed at any road speed, a fraction.

    `line` says its trade-offs; `alike` are sets that gear just as it does and that need no fewer
    new parts. `price` is that of the new parts, `lap_s` its lap on the circuit, each None where not known.
    """

    set: DriveSet
    level: Level
    rating: float
    revs: float | None
    new_parts: tuple[str, ...]
    price: float | None
    lap_s: float | None
    line: str
    alike: tuple[DriveSet, ...] = ()


@dataclass(frozen=True, slots=True)
class Dropped:
    """A set that dropped out by one wish alone (None: it does not fit), and why: "14/48 needs 116 links, …"."""

    set: DriveSet
    wish: Wish | None
    text: str
    rating: float


@dataclass(frozen=True, slots=True)
class Choices:
    """The answer to wishes.

    `considered` counts the sets searched, `met` those that meet every limit. `notes` are what was taken for granted
    or is missing; `unjudged` the wishes that could not be judged. When nothing meets the limits, `costly` says which
    wish costs the most and `nearest` is the set that misses least, `misses` what it misses.
    """

    wishes: tuple[Wish, ...]
    ranked: tuple[Choice, ...]
    dropped: tuple[Dropped, ...]
    considered: int
    met: int
    notes: tuple[str, ...] = ()
    unjudged: tuple[Unjudged, ...] = ()
    costly: str = ""
    nearest: Choice | None = None
    misses: tuple[str, ...] = ()

    @property
    def count(self) -> str:
        """How many sets meet what was asked for, as far as that can be judged."""
        if not self.ranked:
            return tr("None of {considered} sets meets every wish.", considered=self.considered)
        if len(self.unjudged) < len(self.wishes):
            rest = tr(" that can be judged") if self.unjudged else ""
            return tr(
                "{met} of {considered} sets meet the wishes{rest}.", met=self.met, considered=self.considered, rest=rest
            )
        return tr("None of the wishes can be judged yet.") if self.wishes else ""


def search(
    bike: Bike,
    wishes: tuple[Wish, ...],
    space: Space,
    *,
    stock: Stock | None = None,
    lap_times: Floats | None = None,
    most: int = 8,
    cruise: Speed | None = None,
) -> Choices:
    """The short list for the wishes on a bike, at most `most` sets, the best first.

    `lap_times` are seconds for each of `candidates(bike, space)`, in their order, for the wish "quickest on this
    circuit". `cruise` is a speed at which each line tells the engine's. Of sets that gear alike only the
    best is listed; the others stand beside it.
    """
    return _Search(bike, wishes, space, stock, lap_times, cruise).answer(most)


def why_not(
    bike: Bike,
    wishes: tuple[Wish, ...],
    space: Space,
    front: int,
    rear: int,
    *,
    stock: Stock | None = None,
    lap_times: Floats | None = None,
) -> tuple[str, ...]:
    """Why a pair of sprockets is not on the short list, in sentences; empty if it meets every wish."""
    return _Search(bike, wishes, space, stock, lap_times).why_not(front, rear)


class _Search:
    """One search: the candidates with every wish judged. Lives only as long as the answer is made."""

    def __init__(
        self,
        bike: Bike,
        wishes: tuple[Wish, ...],
        space: Space,
        stock: Stock | None,
        lap_times: Floats | None,
        cruise: Speed | None = None,
    ) -> None:
        self.bike, self.wishes, self.stock, self.laps, self.cruise = bike, wishes, stock, lap_times, cruise
        self.found: Candidates = candidates(bike, space)
        judged = [judge(self.found, wish, stock) for wish in wishes if wish.limit]
        self.limits = [j for j in judged if isinstance(j, Judged)]
        self.aims, lacking = aims(self.found, wishes, stock, lap_times)
        self.unjudged = tuple(dict.fromkeys([*(j for j in judged if isinstance(j, Unjudged)), *lacking]))

    @cached_property
    def goes(self) -> Bools:
        """Which sets can be fitted at all, with a link count that is allowed."""
        fits = self.found.level < LEVELS.index("does not fit")
        if not self.found.fits_known:
            # Nothing is known of the length, so nothing speaks against any.
            return np.asarray(fits)
        allowed = self.found.space.links
        if allowed is None:
            return np.asarray(fits)
        return np.asarray(fits & (self.found.links >= allowed[0]) & (self.found.links <= allowed[1]))

    @cached_property
    def table(self) -> NDArray[np.bool_]:
        """Who meets what: a row for whether it goes in, then one for each limit."""
        return np.stack([self.goes, *(limit.met for limit in self.limits)])

    @cached_property
    def prices(self) -> Floats | None:
        """What the new parts of every candidate cost; None without a stock list."""
        return None if self.stock is None else prices(self.found, self.stock)

    def answer(self, most: int) -> Choices:
        """The whole answer."""
        every = one_chain_each(self.found, np.asarray(self.table.all(axis=0)))
        considered = self.found.count + self.found.unfitting
        if not len(every):
            costly, nearest, misses = self._nothing()
            return Choices(self.wishes, (), (), considered, 0, self._notes(), self.unjudged, costly, nearest, misses)
        ranked, listed = self._ranked(every, most)
        notes = self._notes()
        if not ranked[0].new_parts:
            notes += (tr("The fitted set meets these wishes as well as any other does."),)
        dropped = self._dropped(every, listed)
        return Choices(self.wishes, ranked, dropped, considered, len(every), notes, self.unjudged)

    def why_not(self, front: int, rear: int) -> tuple[str, ...]:
        """The reasons against a pair of sprockets."""
        pair = np.nonzero((self.found.front == front) & (self.found.rear == rear))[0]
        if not len(pair):
            space, on = self.found.space, self.found.on.set
            if front not in space.fronts or rear not in space.rears:
                return (tr("{front}/{rear} lies outside the ranges searched.", front=front, rear=rear),)
            result = evaluate(self.bike, DriveSet(front, rear, on.links, space.chains[0], space.tyres[0]))
            return tuple(f.text for f in result.findings if f.about == "chain length")
        missed = sum((limit.miss[pair] for limit in self.limits), np.zeros(len(pair)))
        far = np.abs(self.found.links[pair] - (self.found.on.set.links or 0))
        best = pair[np.lexsort((far, missed, (~self.table[:, pair]).sum(axis=0)))[0]]
        return tuple(self._said(row, int(best)) for row in np.nonzero(~self.table[:, best])[0].tolist())

    def _said(self, row: int, k: int) -> str:
        """Why a set fails one row of the table."""
        if row > 0:
            return f"{self.limits[row - 1].said(k)}."
        chosen, allowed = self.found.set_at(k), self.found.space.links
        against = [f for f in evaluate(self.bike, chosen).findings if f.level == "does not fit"]
        if not against and allowed is not None:
            return tr(
                "{teeth} needs {links} links, you asked for {allowed} to {allowed2}.",
                teeth=teeth(chosen),
                links=chosen.links,
                allowed=allowed[0],
                allowed2=allowed[1],
            )
        return f"{teeth(chosen)}: {' '.join(f.text for f in against[:1])}"

    def _ranked(self, every: NDArray[np.int_], most: int) -> tuple[tuple[Choice, ...], list[int]]:
        best = not_beaten(self.found, self.aims, every)
        order = self._by_rating(best, every)
        everything = in_tie_order(self.found, every)
        listed: list[int] = []
        taken: set[int] = set()
        for k in order:
            if k not in taken and len(listed) < most:
                listed.append(k)
                taken.update(self._alike(k, everything, []))
        chosen = [self._choice(k, every, listed) for k in listed]
        return tuple(chosen), listed

    def _by_rating(self, which: NDArray[np.int_], scale: NDArray[np.int_]) -> list[int]:
        order = in_tie_order(self.found, which)
        rated = np.round(rating(self.aims, scale, order), 9)
        return [int(k) for k in order[np.argsort(-rated, kind="stable")]]

    def _alike(self, k: int, every: NDArray[np.int_], without: list[int]) -> list[int]:
        """Sets of the same chain and tyre that turn nearly alike and need no fewer parts; those with few come first."""
        found = self.found
        turns = found.ratio / found.circumference if not np.isnan(found.circumference).any() else found.ratio
        same = (
            (np.abs(turns[every] / turns[k] - 1) <= ALIKE)
            & (found.chain[every] == found.chain[k])
            & (found.tyre[every] == found.tyre[k])
            & (found.new_parts[every] >= found.new_parts[k])
        )
        alike = every[same & (every != k)]
        alike = alike[~np.isin(alike, without)]
        return [int(i) for i in alike[np.argsort(found.new_parts[alike], kind="stable")]]

    def _choice(self, k: int, every: NDArray[np.int_], listed: list[int]) -> Choice:
        found = self.found
        revs = float(found.revs[k]) - 1
        price = np.nan if self.prices is None else float(self.prices[k])
        currency = "" if self.stock is None else self.stock.currency
        lap = np.nan if self.laps is None else float(self.laps[k])
        everything = in_tie_order(found, every)
        return Choice(
            set=found.set_at(k),
            level=found.level_at(k),
            rating=float(rating(self.aims, every, np.array([k]))[0]) if len(every) else 0.0,
            revs=None if np.isnan(revs) else revs,
            new_parts=choicewords.new_parts(found, k),
            price=None if np.isnan(price) else price,
            lap_s=None if np.isnan(lap) else lap,
            line=choicewords.line(found, k, self.wishes, price, currency, lap, self._best_in(k, listed), self.cruise),
            alike=tuple(found.set_at(i) for i in self._alike(k, everything, listed)[:_MOST_ALIKE]),
        )

    def _best_in(self, k: int, listed: list[int]) -> tuple[Wish, ...]:
        """The aims that a listed set serves best of all listed, if they differ in it."""
        best = []
        for aim in self.aims:
            values = aim.value[listed] if listed else np.zeros(0)
            if aim.wish is not None and len(values) > 1 and values.min() < values.max():
                best += [aim.wish] if aim.value[k] == values.min() else []
        return tuple(best)

    def _dropped(self, every: NDArray[np.int_], listed: list[int]) -> tuple[Dropped, ...]:
        """For each limit the set that would rank best without it, if it would make the list."""
        failing = (~self.table).sum(axis=0)
        # Another link count of a pair that is left is no loss.
        pairs = self.found.pair
        failing[np.isin(pairs, pairs[every])] = 0
        least = float(rating(self.aims, every, np.array(listed[-1:])).min())
        found = []
        for row in range(len(self.table)):
            near = one_chain_each(self.found, (failing == 1) & ~self.table[row])
            if not len(near):
                continue
            k = self._by_rating(near, every)[0]
            rated = float(rating(self.aims, every, np.array([k]))[0])
            if rated >= least:
                wish = None if row == 0 else self.limits[row - 1].wish
                found.append(Dropped(self.found.set_at(k), wish, self._said(row, k), rated))
        return tuple(sorted(found, key=lambda d: -d.rating)[:_MOST_DROPPED])

    def _nothing(self) -> tuple[str, Choice | None, tuple[str, ...]]:
        """(Which wish costs the most, the nearest set, what it misses) when no set meets every limit."""
        if not self.goes.any():
            return tr("No set in these ranges can be fitted: widen the ranges of teeth or links."), None, ()
        total = np.where(self.goes, sum((limit.miss for limit in self.limits), np.zeros(self.found.count)), np.inf)
        order = in_tie_order(self.found, np.nonzero(total == total.min())[0])
        k = int(order[0])
        misses = tuple(self._said(row, k) for row in np.nonzero(~self.table[:, k])[0].tolist())
        return self._costly(), self._choice(k, np.zeros(0, int), []), misses

    def _costly(self) -> str:
        wishes = [limit.wish for limit in self.limits]
        without = [int(np.delete(self.table, row, axis=0).all(axis=0).sum()) for row in range(1, len(self.table))]
        if without and max(without) > 0:
            k = int(np.argmax(without))
            many = tr("{without} sets would do", without=without[k]) if without[k] > 1 else tr("one set would do")
            return tr("“{words}” costs the most: without it {many}.", words=wishes[k].words, many=many)
        for limit in self.limits:
            if not (limit.met & self.goes).any():
                return tr("No set in these ranges meets “{words}”.", words=limit.wish.told)
        for one, other in combinations(self.limits, 2):
            if not (one.met & other.met & self.goes).any():
                return tr(
                    "No set in these ranges meets both “{words}” and “{words2}”.",
                    words=one.wish.told,
                    words2=other.wish.told,
                )
        return tr("No set in these ranges meets all wishes; it takes three of them to see why: leave one out.")

    def _notes(self) -> tuple[str, ...]:
        notes = list(contradictions(self.wishes))
        if not self.found.fits_known:
            about = [f for f in self.found.on.findings if f.about == "chain length"]
            notes += [tr("Whether a chain fits is not known yet. {text}", text=f.text) for f in about[:1]]
        elif self.found.unfitting:
            notes.append(
                tr(
                    "{unfitting} of the pairs of sprockets have no link count at all that the adjuster takes.",
                    unfitting=self.found.unfitting,
                )
                if self.found.unfitting > 1
                else tr("One of the pairs of sprockets has no link count at all that the adjuster takes.")
            )
        if kind := typical_words(self.found.on):
            notes.append(kind)
        return (*notes, *choicewords.taken_for_granted(self.wishes))
