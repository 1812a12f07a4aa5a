"""Every set of a search space with its numbers, all at once; each number is the one that `evaluate` gives. SI."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from gearplan.bike import library
from gearplan.bike.profile import Bike
from gearplan.bike.text.units import MM
from gearplan.drive import gearing, sprocket
from gearplan.plan.chain import fit as fitting
from gearplan.plan.chain.kept import beyond_if_kept
from gearplan.plan.chain.reach import Reach, reach
from gearplan.plan.chain.wear import kept_chain_findings
from gearplan.plan.choices.space import Space
from gearplan.plan.driveset import DriveSet, fitted
from gearplan.plan.findings import LEVELS, Finding, Level, worst
from gearplan.plan.pull.pull import Pull, pull
from gearplan.plan.set.conversion import sprocket_masses
from gearplan.plan.set.evaluate import SetResult, evaluate, front_findings
from gearplan.plan.set.grid import PER_SET
from gearplan.plan.set.speedometer import on_track, shown_over_true, speedometer_levels
from gearplan.plan.set.strength import mass_per_metre, safeties, strength_levels
from gearplan.setup.limits import tyre_limits
from gearplan.setup.machine import thrust_limits

Floats = NDArray[np.float64]
Ints = NDArray[np.int_]

#: An adjuster takes one or two even counts, a long one three; more than this no adjuster does.
_MOST_COUNTS = 30


@dataclass(frozen=True, eq=False)
class Candidates:
    """All sets of a space that go round their sprockets within the adjuster's range, as arrays of one length.

    `links` is 0 where none is known; `chain` and `tyre` index the space's. Figures that lack their inputs are NaN.
    `clearance` is the lesser of both runs' from the boss round the pivot; `mass` that of chain and sprockets.
    `level` indexes `LEVELS`; `track_level` leaves out the rule for speedometers, which is one for the road. `bound` is
    the tyre's limit of the thrust. `fits_known` says whether the swingarm is entered; `unfitting` counts the pairs of
    sprockets (for each size and tyre) for which no link count fits at all.
    """

    bike: Bike
    space: Space
    on: SetResult
    pulled: Pull | Finding
    fits_known: bool
    unfitting: int
    front: Ints
    rear: Ints
    links: Ints
    chain: Ints
    tyre: Ints
    circumference: Floats
    overall: Floats | None
    axle: Floats
    moved: Floats
    level: Ints
    track_level: Ints
    clearance: Floats
    safety: Floats
    mass: Floats
    bound: Floats

    @property
    def count(self) -> int:
        """How many sets there are."""
        return len(self.front)

    @property
    def pair(self) -> Ints:
        """A number for each pair of sprockets with its chain size and tyre, whatever the links."""
        pair = (self.tyre * len(self.space.chains) + self.chain) * 1000 + self.front
        return np.asarray(pair * 1000 + self.rear)

    @property
    def ratio(self) -> Floats:
        """Final ratio of each set."""
        return np.asarray(self.rear / self.front)

    @property
    def radius(self) -> Floats:
        """Rolling radius (m)."""
        return np.asarray(self.circumference / math.tau)

    @property
    def revs(self) -> Floats:
        """Engine speed at any road speed in any gear, over the fitted set's; also the pull at any engine speed."""
        on = self.on
        if on.final_ratio is None:
            return np.full(self.count, np.nan)
        if on.rolling_circumference is None:
            return np.asarray(self.ratio / on.final_ratio)
        return np.asarray(self.ratio / self.circumference / (on.final_ratio / on.rolling_circumference))

    @property
    def new_front(self) -> NDArray[np.bool_]:
        """Whether the front sprocket is not the fitted one; another chain size changes it too."""
        return np.asarray(self.front != self.on.set.front) | self.other_size

    @property
    def new_rear(self) -> NDArray[np.bool_]:
        """The same of the rear sprocket."""
        return np.asarray(self.rear != self.on.set.rear) | self.other_size

    @property
    def new_chain(self) -> NDArray[np.bool_]:
        """The same of the chain."""
        return np.asarray(self.links != (self.on.set.links or 0)) | self.other_size

    @property
    def new_tyre(self) -> NDArray[np.bool_]:
        """The same of the tyre."""
        return np.asarray(np.array([t is not None for t in self.space.tyres])[self.tyre])

    @property
    def other_size(self) -> NDArray[np.bool_]:
        """Whether the chain is of another size than the fitted one."""
        return np.asarray(np.array([size != self.on.set.chain for size in self.space.chains])[self.chain])

    @property
    def new_parts(self) -> Ints:
        """How many parts are new: front, rear, chain, tyre."""
        parts = (self.new_front, self.new_rear, self.new_chain, self.new_tyre)
        return np.asarray(sum(part.astype(int) for part in parts))

    @property
    def meets_again(self) -> Ints:
        """Turns of the rear until the same tooth meets the same link; the more the better. 0 without links."""
        return np.asarray(np.lcm(self.rear, self.links) // self.rear)

    @property
    def chordal_dip(self) -> Floats:
        """How far the chain's speed dips at the front sprocket, a fraction."""
        return sprocket.chordal_dip(self.front)

    @property
    def speedometer(self) -> Floats:
        """Indicated over true speed; NaN while sensor or error are not entered."""
        shown = shown_over_true(self.bike, self.ratio, self.circumference)
        return np.broadcast_to(np.nan if shown is None else shown, (self.count,))

    def set_at(self, index: int) -> DriveSet:
        """One of the sets."""
        return DriveSet(
            int(self.front[index]),
            int(self.rear[index]),
            int(self.links[index]) or None,
            self.space.chains[self.chain[index]],
            self.space.tyres[self.tyre[index]],
        )

    def level_at(self, index: int) -> Level:
        """The verdict on one of the sets."""
        return LEVELS[int(self.level[index])]

    def engine_speed(self, speed: float, gear: int) -> Floats:
        """Engine speed (rad/s) at a road speed (m/s) in a gear (from 0, −1 the last)."""
        assert self.overall is not None
        return gearing.engine_speed(speed, self.overall[:, gear], self.radius, self.on.tyre_growth)


@lru_cache(maxsize=8)
def candidates(bike: Bike, space: Space) -> Candidates:
    """All sets of a space on a bike. Pure, so kept by value: wishes are judged anew without computing it again."""
    on = evaluate(bike, fitted(bike))
    blocks = [_block(bike, space, on, t, c) for t in range(len(space.tyres)) for c in range(len(space.chains))]
    arrays = {name: np.concatenate([block.arrays[name] for block in blocks]) for name in blocks[0].arrays}
    chain, tyre = arrays.pop("chain"), arrays.pop("tyre")
    some = DriveSet(space.fronts[0], space.rears[0], on.set.links, space.chains[0], space.tyres[0])
    known = evaluate(bike, some)
    overall = None
    if known.primary_ratio is not None and known.gear_ratios is not None:
        overall = gearing.overall_ratios(
            known.primary_ratio, np.array(known.gear_ratios), arrays["front"], arrays["rear"]
        )
    pulled = pull(bike, fitted(bike))
    if isinstance(pulled, Finding):
        pulled = pull(bike, some)
    return Candidates(
        bike=bike,
        space=space,
        on=on,
        pulled=pulled,
        fits_known=all(block.fits_known for block in blocks),
        unfitting=sum(block.unfitting for block in blocks),
        chain=chain,
        tyre=tyre,
        overall=overall,
        bound=np.minimum(*thrust_limits(tyre_limits(bike), arrays["moved"])),
        **arrays,
    )


@dataclass(frozen=True, eq=False)
class _Block:
    """The sets of one chain size and one tyre."""

    arrays: dict[str, NDArray[np.generic]]
    fits_known: bool
    unfitting: int


def _block(bike: Bike, space: Space, on: SetResult, tyre: int, chain: int) -> _Block:
    any_set = DriveSet(space.fronts[0], space.rears[0], on.set.links, space.chains[chain], space.tyres[tyre])
    base = evaluate(bike, any_set)
    size = library.chain_sizes().get(any_set.chain or "")
    arm = reach(bike)
    fronts, rears = np.array(space.fronts), np.array(space.rears)
    z1, z2 = (grid.ravel() for grid in np.meshgrid(fronts, rears))
    known = size is not None and not isinstance(arm, Finding)
    unfitting = 0
    if size is None or isinstance(arm, Finding):
        links = np.full(z1.shape, on.set.links or 0)
        axle = moved = clearance = np.full(z1.shape, np.nan)
        about_chain = worst(f for f in base.findings if f.about == "chain length")
        run_level = np.full(z1.shape, LEVELS.index(about_chain))
    else:
        pair, links = _counts(arm, z1, z2, size, on.set.links, any_set.chain == on.set.chain)
        unfitting = len(z1) - len(np.unique(pair))
        z1, z2 = z1[pair], z2[pair]
        placed = fitting.fit(arm, z1, z2, links, size)
        axle = placed.axle
        moved = np.broadcast_to(np.asarray(fitting.moved(arm, axle), float), axle.shape)
        clearance = np.minimum(placed.upper, placed.lower)
        run_level = fitting.levels(arm, placed, links)
    circumference = base.rolling_circumference
    kept = (links == (on.set.links or 0)) & (any_set.chain == on.set.chain)
    # A new chain of the fitted size may be another make.
    another = replace(any_set, links=None)
    safety = np.where(kept, safeties(bike, any_set, z1, z2, moved), safeties(bike, another, z1, z2, moved))
    per_front = [_level(front_findings(bike, replace(any_set, front=z))) for z in space.fronts]
    front_level = np.array(per_front)[np.searchsorted(fronts, z1)]
    common = _level([f for f in base.findings if f.about not in PER_SET])
    instrument = speedometer_levels(bike, z2 / z1, any_set.tyre)
    swapped = (z2 <= z1).astype(int)
    strong = strength_levels(safety)
    worn = kept * _level(kept_chain_findings(bike, on.set))
    if not isinstance(arm, Finding):
        worn = np.maximum(worn, kept & beyond_if_kept(bike, arm, axle))
    common_level = np.full(z1.shape, common)
    track = np.maximum.reduce([run_level, front_level, strong, swapped, worn, common_level])
    level = np.maximum(track, instrument)
    if any_set.chain == on.set.chain and any_set.tyre is None:
        # Only the fitted set can disagree with the axle position entered.
        same = (z1 == on.set.front) & (z2 == on.set.rear) & (links == (on.set.links or 0))
        level[same] = LEVELS.index(on.verdict)
        track[same] = _level(on_track(on.findings))
    old, new = (mass_per_metre(bike, one)[0] or np.nan for one in (any_set, another))
    mass = np.full(z1.shape, np.nan)
    if size is not None:
        q = np.where(kept, old, new)
        mass = np.where(links > 0, q * links * size.pitch_mm * MM, np.nan) + sum(sprocket_masses(size, z1, z2))
    return _Block(
        {
            "front": z1,
            "rear": z2,
            "links": links,
            "chain": np.full(z1.shape, chain),
            "tyre": np.full(z1.shape, tyre),
            "circumference": np.full(z1.shape, np.nan if circumference is None else circumference),
            "axle": axle,
            "moved": moved,
            "clearance": clearance,
            "level": level,
            "track_level": track,
            "safety": safety,
            "mass": mass,
        },
        known,
        unfitting,
    )


def _counts(
    arm: Reach, z1: Ints, z2: Ints, size: library.ChainSize, at_hand: int | None, own_size: bool
) -> tuple[Ints, Ints]:
    """(index of the pair, links) of every count that fits: the even ones, and an odd one at hand."""
    ends = fitting.fit(arm, z1, z2, None, size)
    with np.errstate(invalid="ignore"):
        first = 2 * np.ceil((ends.shortest - 1e-9) / 2)
        last = 2 * np.floor((ends.longest + 1e-9) / 2)
    pairs, links = [], []
    for k in range(_MOST_COUNTS):
        fits = np.nonzero(first + 2 * k <= last)[0]
        if not len(fits):
            break
        pairs.append(fits)
        links.append(first[fits].astype(int) + 2 * k)
    if at_hand is not None and at_hand % 2 and own_size and arm.offset_link:
        fits = np.nonzero((ends.shortest <= at_hand) & (at_hand <= ends.longest))[0]
        pairs.append(fits)
        links.append(np.full(fits.shape, at_hand))
    if not pairs:
        none = np.zeros(0, int)
        return none, none
    return np.concatenate(pairs), np.concatenate(links)


def _level(findings: Iterable[Finding]) -> int:
    return LEVELS.index(worst(findings))
