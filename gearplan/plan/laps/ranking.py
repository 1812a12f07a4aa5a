"""Many sets on one circuit: each one's lap, and which are quickest. Times in s; speeds and engine speeds in SI.

Cost: `drive.lap`'s for the sets, 600 of them on 4 km well within 50 ms; gearboxes multiply the sets, which `search`
rides on all cores.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from gearplan.bike import circuit as circuits
from gearplan.bike.circuit import Circuit
from gearplan.bike.profile import Bike
from gearplan.bike.sections.doubts import doubts
from gearplan.bike.stock import Stock
from gearplan.bike.text.units import KMH, RPM
from gearplan.bike.text.written import counted
from gearplan.drive.lap.lap import Lap, lap_times
from gearplan.drive.lap.rules import LapRules, apex_speed
from gearplan.drive.lap.state import Laps
from gearplan.drive.lap.trace import Trace, lap_trace, ridden_trace
from gearplan.language import tr, trn
from gearplan.plan.choices.candidates import Candidates
from gearplan.plan.choices.space import Space
from gearplan.plan.choices.stockcost import not_in_stock
from gearplan.plan.driveset import DriveSet
from gearplan.plan.findings import Finding, Level
from gearplan.plan.laps.gearboxes import pair_doubts
from gearplan.plan.laps.search import Progress, Searched, Watch, search
from gearplan.plan.laps.sets import Alternatives, LapSets, lap_assumptions, lap_sets, machines
from gearplan.plan.set.evaluate import evaluate
from gearplan.plan.set.speedometer import on_track
from gearplan.setup import riding
from gearplan.setup.assumed import assumptions_text, listed
from gearplan.setup.limits import friction
from gearplan.setup.ratios import gear_ratios

Floats = NDArray[np.float64]
Ints = NDArray[np.int_]
Bools = NDArray[np.bool_]

#: Where not every set's details are kept, those of so many of the quickest are.
_LISTED = 600
#: An apex speed counts as reached from this share of it.
_REACHED = 0.995


@dataclass(frozen=True, slots=True)
class Use:
    """How a section is ridden: `section` from 0, `gear` from 1; in a corner at the apex, else at the greatest speed."""

    section: int
    speed: float
    gear: int
    engine: float

    @property
    def rpm(self) -> float:
        """Engine speed in rpm."""
        return self.engine / RPM


@dataclass(frozen=True, slots=True)
class LapRow:
    """One set's lap. `gap` is its time less the fitted set's (None without one), `box` its gear ratios, `besides` in
    what else than teeth and links it differs from the fitted set, in words.

    `margin` is how much faster than its greatest speed the last gear goes at the limiter, a fraction. `fits` says
    whether some chain goes in, `at_hand` whether the chain at hand does. `stuck` lists sections (from 0) that it
    cannot climb.
    """

    index: int
    set: DriveSet
    box: tuple[float, ...]
    besides: str
    ratio: float
    time: float
    gap: float | None
    up_shifts: int
    leaned_shifts: int
    limiter: float
    margin: float
    level: Level
    fits: bool
    at_hand: bool
    apex: tuple[Use, ...]
    straight: tuple[Use, ...]
    stuck: tuple[int, ...]

    @property
    def least_apex_engine(self) -> float:
        """The lowest engine speed at an apex (rad/s); infinite without corners."""
        return min((use.engine for use in self.apex), default=np.inf)


@dataclass(frozen=True)
class Wanted:
    """Which sets are shown: with the chain at hand only, in stock only, with a margin below the limiter."""

    chain_at_hand: bool = False
    fitting: bool = False
    stock: Stock | None = None
    margin: float = -1.0


EVERY = Wanted()


@dataclass(frozen=True, eq=False)
class LapRanking:
    """Every set's lap; arrays over the rows of `sets`.

    `order` lists the ranked rows, the quickest first, equal times by fewer shifts; a row whose lap could not be
    computed has the time NaN and is not among them. `detailed` are the rows whose sections are known, in the order of
    `laps`; `ridden` is the state of the ride, kept for a few sets only. `whole` is False where the search was stopped
    before all were ridden.
    """

    circuit: Circuit
    rules: LapRules
    sets: LapSets
    time: Floats
    up_shifts: Ints
    leaned_shifts: Ints
    limiter: Floats
    margin: Floats
    stuck: Bools
    order: Ints
    detailed: Ints
    laps: Laps
    notes: tuple[str, ...]
    ridden: Lap | None = None
    whole: bool = True

    @cached_property
    def _place(self) -> dict[int, int]:
        return {int(row): place for place, row in enumerate(self.detailed)}

    @property
    def fitted(self) -> LapRow | None:
        """The fitted set's lap; None while its sprockets are not entered, or where it could not be computed."""
        return None if self.fitted_time is None else self.row(self.sets.count - 1)

    @property
    def fitted_time(self) -> float | None:
        """The fitted set's lap time; None as for `fitted`."""
        return float(self.time[-1]) if self.sets.has_fitted and np.isfinite(self.time[-1]) else None

    def has_details(self, k: int) -> bool:
        """Whether a row's details were kept, so that `row` gives it."""
        return k in self._place

    def row(self, k: int) -> LapRow:
        """A row by its index in `sets`; KeyError if its details were not kept."""
        laps, place, m = self.laps, self._place[k], self.sets
        on = self.fitted_time
        uses = [
            Use(n, float(laps.peak[n, place]), int(laps.peak_gear[n, place]) + 1, float(laps.peak_engine[n, place]))
            for n in range(len(self.circuit.sections))
        ]
        level = m.level_at(k)
        return LapRow(
            index=k,
            set=m.set_at(k),
            box=tuple(m.boxes[m.box[k]].tolist()),
            besides=m.besides(k),
            ratio=float(m.ratio[k]),
            time=float(self.time[k]),
            gap=None if on is None else float(self.time[k]) - on,
            up_shifts=int(self.up_shifts[k]),
            leaned_shifts=int(self.leaned_shifts[k]),
            limiter=float(self.limiter[k]),
            margin=float(self.margin[k]),
            level=level,
            fits=level != "does not fit",
            at_hand=bool(m.at_hand[k]),
            apex=tuple(uses[n] for n in self.circuit.corners),
            straight=tuple(uses[n] for n in self.circuit.straights),
            stuck=tuple(np.nonzero(laps.cannot_climb[:, place])[0].tolist()),
        )

    def best(self, most: int | None = None, wanted: Wanted = EVERY) -> tuple[LapRow, ...]:
        """The quickest rows that are wanted, at most so many."""
        rows = self.rows(wanted)
        return tuple(self.row(int(k)) for k in rows[:most] if int(k) in self._place)

    def rows(self, wanted: Wanted = EVERY) -> Ints:
        """Indices of the rows that are wanted, the quickest first."""
        keep = self.margin >= wanted.margin
        if wanted.chain_at_hand:
            keep &= self.sets.at_hand
        if wanted.fitting:
            keep &= self.sets.level < 2
        if wanted.stock is not None:
            keep &= self._in_stock(wanted.stock)
        return np.asarray(self.order[keep[self.order]])

    def _in_stock(self, stock: Stock) -> Bools:
        there = np.array([not lacking for lacking in not_in_stock(self.sets.found, stock)] + [False])
        return np.asarray(there[self.sets.candidate])

    def findings(self, k: int) -> tuple[Finding, ...]:
        """Everything that is judged of a row's set, for the track."""
        return on_track(evaluate(self.sets.bike, self.sets.set_at(k)).findings)

    def curve(self) -> tuple[Floats, Floats]:
        """(Engine turns in top gear per metre, lap time): the quickest at each, ascending; the plateau as a curve."""
        rows = self.order
        m = self.sets
        turns = m.ratio[rows] / m.circumference[rows] * m.boxes[m.box[rows], -1]
        kinds, which = np.unique(np.round(turns, 9), return_inverse=True)
        best = np.full(len(kinds), np.inf)
        np.minimum.at(best, which, self.time[rows])
        return kinds, best

    def ratio_curve(self) -> tuple[Floats, Floats]:
        """(Final ratio, lap time) of the quickest set at each ratio, ascending."""
        kinds, which = np.unique(np.round(self.sets.ratio[self.order], 9), return_inverse=True)
        best = np.full(len(kinds), np.inf)
        np.minimum.at(best, which, self.time[self.order])
        return kinds, best

    def trace(self, k: int, step: float = 5.0) -> Trace:
        """A row's lap as it goes; its lap time is the ranking's."""
        if self.ridden is not None:
            return ridden_trace(self.ridden, self.laps, k, step)
        return lap_trace(machines(self.sets, np.array([k])), self.circuit, self.rules, step)


def rank_laps(
    bike: Bike,
    circuit: Circuit,
    space: Space,
    rules: LapRules | None = None,
    alternatives: Alternatives | None = None,
    progress: Progress | None = None,
    sofar: Watch | None = None,
) -> LapRanking | Finding:
    """The laps of all sets of a space on a circuit, with every gearbox of `alternatives` if given.

    Ridden by the circuit's rider; without `rules` by the rider's own, in still air.
    The finding names what the circuit or the profile lacks. Cancelled if `progress` returns False; where `sofar` does,
    what has been ridden is ranked. GearboxError for alternatives that make no gearbox.
    """
    if text := circuits.refusal(circuit):
        return Finding("check", "circuit", text)
    bike = riding.ridden_by(bike, circuit.rider)
    rules = riding.rules(bike, circuit.rider) if rules is None else rules
    sets = lap_sets(bike, space, alternatives)
    if isinstance(sets, Finding):
        return sets
    found = search(sets, circuit, rules, progress, sofar)
    kept, total = found.figures, sets.count
    order = np.lexsort(
        (kept.leaned_shifts[: sets.ranked], kept.up_shifts[: sets.ranked], np.round(kept.time[: sets.ranked], 6))
    )
    order = order[np.isfinite(kept.time[order])]
    detailed, laps = found.detailed, found.laps
    if laps is None:
        own = np.arange(sets.ranked, total)
        detailed = np.concatenate([order[:_LISTED], own[found.ridden[own]]])
        laps = lap_times(machines(sets, detailed), circuit, rules)
    if progress is not None:
        progress(total, total)
    return LapRanking(
        circuit=circuit,
        rules=rules,
        sets=sets,
        time=kept.time,
        up_shifts=kept.up_shifts,
        leaned_shifts=kept.leaned_shifts,
        limiter=kept.limiter,
        margin=kept.margin,
        stuck=kept.stuck,
        order=order,
        detailed=detailed,
        laps=laps,
        notes=(
            *_not_listed(found, sets.ranked, int((detailed < sets.ranked).sum())),
            *pair_doubts(bike, alternatives),
            *_notes(sets, circuit, rules),
            *_not_computed(kept.time[found.ridden]),
            *_unreached(sets, circuit, laps, order, detailed),
        ),
        ridden=found.ride,
        whole=found.whole,
    )


def lap_times_of(bike: Bike, circuit: Circuit, found: Candidates) -> Floats | None:
    """Lap time of each candidate in their order, for `plan.choices.search`; None where no lap can be computed.

    Ridden by the circuit's rider.

    NaN for a candidate whose own lap could not be computed.
    """
    if circuits.refusal(circuit) is not None or isinstance(found.pulled, Finding) or not found.count:
        return None
    bike = riding.ridden_by(bike, circuit.rider)
    rules = riding.rules(bike, circuit.rider)
    own = LapSets(
        bike,
        found,
        _own_box(bike),
        np.zeros(found.count, int),
        found.front,
        found.rear,
        found.links,
        found.chain,
        found.tyre,
        np.arange(found.count),
        found.level,
        np.zeros(found.count, bool),
        found.circumference,
        np.nan_to_num(found.moved),
        has_fitted=False,
    )
    return search(own, circuit, rules).figures.time


def _own_box(bike: Bike) -> Floats:
    return np.array([gear_ratios(bike) or ()])


def _unreached(sets: LapSets, circuit: Circuit, laps: Laps, order: Ints, detailed: Ints) -> Iterator[str]:
    """Corners whose apex speed not even the quickest set reaches, in words."""
    if not len(order):
        return
    friction = machines(sets, order[:1]).friction
    place = int(np.nonzero(detailed == order[0])[0][0])
    for n in circuit.corners:
        apex, found = apex_speed(circuit.sections[n], friction), float(laps.peak[n, place])
        if found < _REACHED * apex:
            yield (
                tr(
                    "Section {n}: its apex speed of {apex:.0f} km/h is out of reach; the quickest set rides it "
                    "at {found:.0f} km/h.",
                    n=n + 1,
                    apex=apex / KMH,
                    found=found / KMH,
                )
            )


def _not_computed(time: Floats) -> Iterator[str]:
    """How many laps are left out because their numbers contradict each other, in words."""
    if count := int(np.isnan(time).sum()):
        yield trn(
            "The lap of {n} set could not be computed: a section quicker than any of the gears goes. Left out.",
            "The laps of {n} sets could not be computed: a section quicker than any of the gears goes. Left out.",
            count,
        )


def _not_listed(found: Searched, ranked: int, kept: int) -> Iterator[str]:
    """That of many sets only the quickest are listed, or that the others were never ridden, in words."""
    ridden = int(found.ridden[:ranked].sum())
    if not found.whole:
        listed = tr("; the quickest {kept} are listed", kept=kept) if kept < ridden else ""
        yield tr(
            "Stopped: {ridden} of {ranked} sets are ranked{listed}. A quicker one may be among the others.",
            ridden=ridden,
            ranked=ranked,
            listed=listed,
        )
    elif kept < ranked:
        yield tr(
            "{ranked} sets are ranked; the quickest {kept} are listed. What is tied was looked for among all.",
            ranked=ranked,
            kept=kept,
        )


def _notes(sets: LapSets, circuit: Circuit, rules: LapRules) -> tuple[str, ...]:
    notes = [doubt.text for doubt in doubts(circuit, friction(sets.bike).value)]
    by_radius = sum(circuit.sections[n].apex_kmh is None for n in circuit.corners)
    if by_radius:
        corners = counted(len(circuit.corners), "corner", "corners")
        notes.insert(
            0,
            tr(
                "The speed of {by_radius} of {corners} follows from the radius entered; enter that of the line "
                "ridden, which is wider than that of a track's middle.",
                by_radius=by_radius,
                corners=corners,
            ),
        )
    lowest = riding.lowest_gear(sets.bike, circuit.rider)
    by_rule = lowest if rules.lowest_gear == lowest.value else None
    if assumed := listed(*lap_assumptions(sets), by_rule):
        notes.append(tr("Assumed: {assumptions_text}.", assumptions_text=assumptions_text(assumed)))
    return tuple(notes)
