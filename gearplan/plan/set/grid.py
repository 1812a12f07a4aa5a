"""Many sets at a glance: front × rear teeth with ratio, change, links and verdict."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from gearplan.bike import library
from gearplan.bike.profile import Bike
from gearplan.drive import gearing
from gearplan.plan.chain import fit as fitting
from gearplan.plan.chain import fitwords
from gearplan.plan.chain.kept import KEPT, beyond_if_kept
from gearplan.plan.chain.reach import LENGTH, TIGHTEST, UPPER_RUN, reach
from gearplan.plan.chain.wear import WEAR, kept_chain_findings
from gearplan.plan.driveset import DriveSet, keeps_chain
from gearplan.plan.findings import LEVELS, Finding, Level, worst
from gearplan.plan.set.evaluate import evaluate, front_findings
from gearplan.plan.set.speedometer import SPEEDOMETER, speedometer_levels
from gearplan.plan.set.strength import STRENGTH, safeties, strength_levels

#: What the findings that change from cell to cell are about; all others are the same in every cell.
PER_SET = (
    LENGTH,
    "chain as fitted",
    "front sprocket",
    "sprockets",
    "adjuster",
    TIGHTEST,
    "wrap",
    UPPER_RUN,
    "lower run",
    STRENGTH,
    SPEEDOMETER,
    WEAR,
    KEPT,
)


@dataclass(frozen=True, slots=True)
class Grid:
    """Sets of every front (columns) and rear (rows) count; two-dimensional values are [rear][front].

    `change` is the final ratio's change against the fitted one, a fraction, None without a fitted set.
    `links` is the even count to order: the chain at hand if it fits, else the nearest that does, else None.
    """

    chosen: DriveSet
    fronts: tuple[int, ...]
    rears: tuple[int, ...]
    ratio: NDArray[np.float64]
    change: NDArray[np.float64] | None
    links: list[list[int | None]]
    levels: list[list[Level]]

    def set_at(self, row: int, column: int) -> DriveSet:
        """The set of one cell: these teeth, the rest as chosen."""
        return replace(self.chosen, front=self.fronts[column], rear=self.rears[row])

    def cell_of(self, front: int | None, rear: int | None) -> tuple[int, int] | None:
        """(row, column) of a set's teeth, None if they lie outside the grid."""
        if front in self.fronts and rear in self.rears:
            return self.rears.index(rear), self.fronts.index(front)
        return None

    def near(self, ratio: float, tolerance: float) -> NDArray[np.bool_]:
        """Which cells have nearly this final ratio: within `tolerance`, a fraction."""
        return np.abs(self.ratio / ratio - 1) <= tolerance


@lru_cache(maxsize=16)
def evaluate_grid(bike: Bike, chosen: DriveSet, fronts: tuple[int, ...], rears: tuple[int, ...]) -> Grid:
    """Every set of the ranges; only the chain, links and tyre of `chosen` matter.

    The levels are those that `evaluate` gives for each single set.
    """
    z1, z2 = np.array(fronts, float)[None, :], np.array(rears, float)[:, None]
    ratio = z2 / z1
    on = bike.final_drive
    change = ratio / (on.rear / on.front) - 1 if on.front and on.rear else None
    links, levels = _cells(bike, replace(chosen, front=fronts[0], rear=rears[0]), fronts, rears)
    grid = Grid(chosen, fronts, rears, ratio, change, links, levels)
    if cell := grid.cell_of(on.front, on.rear):
        # Only the fitted set can disagree with the axle position entered.
        row, column = cell
        levels[row][column] = evaluate(bike, grid.set_at(row, column)).verdict
    return grid


def _cells(
    bike: Bike, any_set: DriveSet, fronts: tuple[int, ...], rears: tuple[int, ...]
) -> tuple[list[list[int | None]], list[list[Level]]]:
    """(links to order, level) of every cell, [rear][front]."""
    own = [f for f in evaluate(bike, any_set).findings if f.about not in PER_SET]
    own += kept_chain_findings(bike, any_set)
    per_front: list[Level] = [worst([*own, *front_findings(bike, replace(any_set, front=z))]) for z in fronts]
    size = library.chain_sizes().get(any_set.chain or "")
    arm = reach(bike)
    z1, z2 = np.array(fronts)[None, :], np.array(rears)[:, None]
    moved = np.zeros((len(rears), len(fronts)))
    if size is None or isinstance(arm, Finding):
        everywhere = worst(f for f in evaluate(bike, any_set).findings if f.about == LENGTH)
        links: list[list[int | None]] = [[None] * len(fronts) for _ in rears]
        chain: list[list[Level]] = [[everywhere] * len(fronts) for _ in rears]
    else:
        placed = fitting.fit(arm, z1, z2, any_set.links, size)
        moved = np.nan_to_num(fitting.moved(arm, placed.axle))
        cells = placed.rows()
        links = [[fitting.links_to_order(c, any_set.links) for c in row] for row in cells]
        if any_set.links is None:
            chain = [[worst(fitwords.findings(arm, c, None)) for c in row] for row in cells]
        else:
            told = fitting.levels(arm, placed, np.full(placed.axle.shape, any_set.links))
            if keeps_chain(bike, any_set):
                told = np.maximum(told, beyond_if_kept(bike, arm, placed.axle))
            chain = [[LEVELS[k] for k in row] for row in told.tolist()]
    safety = safeties(bike, any_set, z1, z2, moved)
    others = np.maximum(strength_levels(safety), speedometer_levels(bike, z2 / z1, any_set.tyre))
    others = np.maximum(others, z2 <= z1)
    worst_of = [[LEVELS[k] for k in row] for row in others.tolist()]
    levels = [
        [max(triple, key=LEVELS.index) for triple in zip(per_front, *rows, strict=True)]
        for rows in zip(chain, worst_of, strict=True)
    ]
    return links, levels


@dataclass(frozen=True, slots=True)
class Exchange:
    """What another front sprocket is worth.

    `rear_worth` is how many rear teeth more (or, negative, fewer) would change the ratio as this front does;
    `rear_nearest` goes with this front to come nearest to the chosen ratio, `off` by how much it misses it
    (a fraction).
    """

    front: int
    rear_worth: float
    rear_nearest: int
    off: float


def front_exchanges(chosen: DriveSet) -> tuple[Exchange, ...]:
    """The exact exchange for one front tooth fewer and one more; the rule of thumb holds only at ratio 2."""
    if chosen.front is None or chosen.rear is None:
        return ()
    front, rear = chosen.front, chosen.rear
    found = []
    for other in (front - 1, front + 1):
        # Rear teeth on the chosen front that give what `other` gives with the chosen rear.
        alike = float(gearing.rear_for_same_ratio(other, rear, front))
        nearest = round(float(gearing.rear_for_same_ratio(front, rear, other)))
        found.append(Exchange(other, alike - rear, nearest, (nearest / other) / (rear / front) - 1))
    return tuple(found)
