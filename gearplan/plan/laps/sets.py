"""Which sets ride a lap, and how each of them pulls: from a bike's profile to what `drive.lap` takes. SI."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gearplan.bike.entries import Ratio
from gearplan.bike.profile import Bike
from gearplan.bike.text.units import MM
from gearplan.bike.text.written import gear
from gearplan.drive import gearing
from gearplan.drive.motion.machines import Machines, Varied
from gearplan.language import tr
from gearplan.plan.choices.candidates import Candidates, candidates
from gearplan.plan.choices.space import Space, SpaceError, default_space
from gearplan.plan.driveset import DriveSet, fitted
from gearplan.plan.findings import LEVELS, Finding, Level, missing, worst
from gearplan.plan.pull.pull import lacking
from gearplan.plan.set.evaluate import evaluate
from gearplan.plan.set.speedometer import on_track
from gearplan.setup import assumed
from gearplan.setup.assumed import Assumed
from gearplan.setup.machine import Basis, basis
from gearplan.setup.machine import machines as setup_machines
from gearplan.setup.ratios import crown_radius, gearbox, whole_ratio

Floats = NDArray[np.float64]
Ints = NDArray[np.int_]
Bools = NDArray[np.bool_]

#: Every gear's possible ratios, first gear first, for a race gearbox.
Alternatives = tuple[tuple[Ratio, ...], ...]


class GearboxError(ValueError):
    """Alternatives that make no gearbox; the message says what would be right."""


@dataclass(frozen=True, eq=False)
class LapSets:
    """The sets of a ranking, one chain for each pair of sprockets; the last row is the fitted set where it is known.

    `links` is 0 where none is known, `candidate` the row of `found`, −1 for a pair that no chain fits. `level` indexes
    `LEVELS`. `box` indexes `boxes`, the gear ratios of the gearboxes, and `gearboxes`, the same as entered; the first
    is the bike's own. `at_hand`: the chain at hand goes on.
    """

    bike: Bike
    found: Candidates
    boxes: Floats
    box: Ints
    front: Ints
    rear: Ints
    links: Ints
    chain: Ints
    tyre: Ints
    candidate: Ints
    level: Ints
    at_hand: Bools
    circumference: Floats
    moved: Floats
    has_fitted: bool
    gearboxes: tuple[tuple[Ratio, ...], ...] = ()

    @property
    def count(self) -> int:
        """How many rows there are, the fitted set's included."""
        return len(self.front)

    @property
    def ranked(self) -> int:
        """How many rows are ranked: all but the fitted set's own."""
        return self.count - self.has_fitted

    @property
    def ratio(self) -> Floats:
        """Final ratio of each row."""
        return np.asarray(self.rear / self.front)

    def set_at(self, k: int) -> DriveSet:
        """The drive set of a row."""
        if self.has_fitted and k == self.count - 1:
            return fitted(self.bike)
        space = self.found.space
        links = int(self.links[k]) or None
        return DriveSet(
            int(self.front[k]),
            int(self.rear[k]),
            links,
            space.chains[self.chain[k]],
            space.tyres[self.tyre[k]],
            self.gearbox_at(k),
        )

    def gearbox_at(self, k: int) -> tuple[Ratio, ...] | None:
        """The gearbox of a row, None if it is the bike's own."""
        return self.gearboxes[self.box[k]] if self.box[k] else None

    def besides(self, k: int) -> str:
        """In what a row differs from the fitted set but for teeth and links, in words; empty if in nothing."""
        own, told = gearbox(self.bike).gears, []
        one = self.set_at(k)
        if one.chain != self.bike.final_drive.chain and one.chain:
            told.append(tr("{chain} chain", chain=one.chain))
        if one.tyre:
            told.append(one.tyre)
        for number, (was, now) in enumerate(zip(own, self.gearbox_at(k) or own, strict=True), 1):
            if now != was:
                told.append(tr("gear {number} {now}", number=number, now=gear(now)))
        return ", ".join(told)

    def level_at(self, k: int) -> Level:
        """The verdict on a row, for the track."""
        return LEVELS[int(self.level[k])]


def lap_sets(bike: Bike, space: Space, alternatives: Alternatives | None = None) -> LapSets | Finding:
    """All pairs of sprockets of a space, chains and tyres; with `alternatives` also every gearbox they make.

    A pair takes the chain at hand if that fits, else the fitting count nearest to it; pairs that no chain fits are
    kept and marked. The finding names what is missing. GearboxError for alternatives that make no gearbox.
    """
    found = candidates(bike, space)
    if isinstance(found.pulled, Finding):
        one = DriveSet(space.fronts[0], space.rears[0], None, space.chains[0], space.tyres[0])
        return missing("lap", tr("The lap"), lacking(bike, one), aside=True)
    boxes, gearboxes = _boxes(bike, alternatives)
    rows = _one_chain(found)
    without = _unfitting(found)
    on = evaluate(bike, fitted(bike))
    has_fitted = on.overall_ratio is not None and on.rolling_circumference is not None
    hand = on.set.links or 0
    own_size = ~found.other_size
    columns: dict[str, list[NDArray[np.generic]]] = {
        "front": [found.front[rows], without[0]],
        "rear": [found.rear[rows], without[1]],
        "links": [found.links[rows], np.full(len(without[0]), hand)],
        "chain": [found.chain[rows], without[2]],
        "tyre": [found.tyre[rows], without[3]],
        "candidate": [rows, np.full(len(without[0]), -1)],
        "level": [found.track_level[rows], np.full(len(without[0]), LEVELS.index("does not fit"))],
        "at_hand": [
            (found.links[rows] == hand) & own_size[rows] & (hand > 0) & found.fits_known,
            np.zeros(len(without[0]), bool),
        ],
        "circumference": [found.circumference[rows], _circumferences(bike, space)[without[3]]],
        "moved": [np.nan_to_num(found.moved[rows]), np.zeros(len(without[0]))],
    }
    many = len(columns["front"][0]) + len(columns["front"][1])
    box = np.repeat(np.arange(len(boxes)), many)
    tiled = {name: np.tile(np.concatenate(parts), len(boxes)) for name, parts in columns.items()}
    if has_fitted:
        own = on.set
        last = {
            "front": own.front,
            "rear": own.rear,
            "links": hand,
            "chain": space.chains.index(own.chain) if own.chain in space.chains else 0,
            "tyre": 0,
            "candidate": -1,
            "level": LEVELS.index(worst(on_track(on.findings))),
            "at_hand": True,
            "circumference": on.rolling_circumference,
            "moved": on.run.moved,
        }
        tiled = {name: np.append(values, np.array([last[name]], values.dtype)) for name, values in tiled.items()}
        box = np.append(box, 0)
    return LapSets(bike, found, boxes, box, has_fitted=has_fitted, gearboxes=gearboxes, **tiled)


def machines(
    sets: LapSets, which: Ints | slice = slice(None), *, grip: float = 1.0, varied: Varied | None = None
) -> Machines:
    """How some rows pull; `grip` multiplies that of the tyre, `varied` is what differs between the rows."""
    bike = sets.bike
    on = basis(bike)
    assert isinstance(on, Basis)
    radius = sets.circumference[which] / math.tau
    primary = gearbox(bike).primary or 1.0
    final = primary * sets.ratio[which] / radius
    crown = _crowns(bike, sets.found.space)[sets.tyre[which]]
    over_radius = final[:, None] * sets.boxes[sets.box[which]]
    return setup_machines(on, over_radius, radius, crown, sets.moved[which], grip, varied)


def lap_assumptions(sets: LapSets) -> tuple[Assumed, ...]:
    """What was assumed because it is not entered."""
    on = basis(sets.bike)
    assert isinstance(on, Basis)
    crown = crown_radius(sets.bike, sets.found.space.tyres[0])
    return assumed.listed(*on.assumed, *on.lap_assumed, crown)


def _boxes(bike: Bike, alternatives: Alternatives | None) -> tuple[Floats, tuple[tuple[Ratio, ...], ...]]:
    """Gear ratios of every gearbox, the fitted one first, and the gearboxes as entered."""
    fitted_box = tuple(gear for gear in gearbox(bike).gears if gear is not None)
    own = np.array([whole_ratio(gear) or math.nan for gear in gearbox(bike).gears])
    if alternatives is None:
        return own[None], (fitted_box,)
    if len(alternatives) != len(own) or not all(alternatives):
        raise GearboxError(tr("give at least one ratio for each of the {own} gears", own=len(own)))
    values = [[float(gearing.ratio_value(pair)) for pair in options] for options in alternatives]
    every = np.array(list(itertools.product(*values)))
    falls = (np.diff(every, axis=1) < 0).all(axis=1)
    if not falls.any():
        raise GearboxError(tr("no choice of these pairs makes a gearbox whose ratios fall from gear to gear"))
    others = np.nonzero(falls & ~np.isclose(every, own).all(axis=1))[0]
    pairs = list(itertools.product(*alternatives))
    return np.concatenate([own[None], every[others]]), (fitted_box, *(pairs[k] for k in others.tolist()))


def _one_chain(found: Candidates) -> Ints:
    """For each pair of sprockets the row of the chain at hand if it fits, else of the fitting count nearest to it."""
    hand = found.on.set.links or 0
    order = np.lexsort((np.abs(found.links - hand), found.pair))
    pairs = found.pair[order]
    first = np.append(True, pairs[1:] != pairs[:-1]) if len(pairs) else np.zeros(0, bool)
    return np.asarray(np.sort(order[first]))


def _unfitting(found: Candidates) -> tuple[Ints, Ints, Ints, Ints]:
    """(Front, rear, chain, tyre) of the pairs that no link count fits."""
    space = found.space
    tyre, chain, front, rear = (
        axis.ravel()
        for axis in np.meshgrid(
            np.arange(len(space.tyres)),
            np.arange(len(space.chains)),
            np.array(space.fronts),
            np.array(space.rears),
            indexing="ij",
        )
    )
    pair = ((tyre * len(space.chains) + chain) * 1000 + front) * 1000 + rear
    lacking = ~np.isin(pair, found.pair)
    return front[lacking], rear[lacking], chain[lacking], tyre[lacking]


def _circumferences(bike: Bike, space: Space) -> Floats:
    some = [evaluate(bike, DriveSet(space.fronts[0], space.rears[0], None, None, tyre)) for tyre in space.tyres]
    return np.array([math.nan if r.rolling_circumference is None else r.rolling_circumference for r in some])


def _crowns(bike: Bike, space: Space) -> Floats:
    """Crown radius with each tyre of a space (m)."""
    return np.array([crown_radius(bike, tyre).value * MM for tyre in space.tyres])


def fitted_machines(bike: Bike) -> Callable[[float], Machines] | Finding:
    """What gives the fitted set with the tyre's grip times a factor; or the finding that names what is missing."""
    on = bike.final_drive
    if on.front is None or on.rear is None:
        return missing(
            "lap",
            tr("The lap"),
            [("final_drive.front", tr("Front sprocket")), ("final_drive.rear", tr("Rear sprocket"))],
        )
    try:
        space = default_space(bike, fronts=(on.front, on.front), rears=(on.rear, on.rear))
    except SpaceError as refused:
        return Finding("check", "lap", str(refused))
    sets = lap_sets(bike, space)
    if isinstance(sets, Finding):
        return sets

    def made(grip: float) -> Machines:
        return machines(sets, slice(0, 1), grip=grip)

    return made
