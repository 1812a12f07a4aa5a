"""Sets that gear alike: the same ratio within a tolerance, told apart by what else they are good for."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from gearplan.bike.profile import Bike
from gearplan.bike.stock import Stock
from gearplan.language import tr
from gearplan.plan.choices.aims import in_tie_order, one_chain_each
from gearplan.plan.choices.candidates import candidates
from gearplan.plan.choices.space import Space
from gearplan.plan.choices.stockcost import prices
from gearplan.plan.choices.words import new_parts
from gearplan.plan.driveset import DriveSet
from gearplan.plan.findings import LEVELS, Level
from gearplan.plan.set.doubts import judged
from gearplan.plan.set.evaluate import evaluate
from gearplan.plan.set.grid import front_exchanges
from gearplan.plan.set.verdict import verdict


@dataclass(frozen=True, slots=True)
class Equivalent:
    """A set that gears like another. `off` is by what fraction its engine speed differs from the other's.

    `chordal_dip` is a fraction, `meets_again` turns of the rear, `mass` kg of chain and sprockets, `clearance` m from
    the boss round the pivot, each None where not known.
    """

    set: DriveSet
    level: Level
    off: float
    chordal_dip: float
    meets_again: int
    mass: float | None
    clearance: float | None
    price: float | None
    new_parts: tuple[str, ...]


def equivalents(
    bike: Bike, chosen: DriveSet, space: Space, tolerance: float = 0.01, stock: Stock | None = None
) -> tuple[Equivalent, ...]:
    """The sets of a space that turn the engine as `chosen` does, within `tolerance` (a fraction), itself included.

    Ordered by smoothness (larger sprockets, then rarer meetings of tooth and link), mass and clearance. Sets that do
    not fit are left out.
    """
    found, target = candidates(bike, space), evaluate(bike, chosen)
    if target.final_ratio is None:
        return ()
    turns, wanted = found.ratio, target.final_ratio
    if target.rolling_circumference is not None and not np.isnan(found.circumference).any():
        turns, wanted = turns / found.circumference, wanted / target.rolling_circumference
    off = turns / wanted - 1
    goes = (found.level < LEVELS.index("does not fit")) & (np.abs(off) <= tolerance + 1e-12)
    cost = None if stock is None else prices(found, stock)
    return tuple(
        Equivalent(
            set=found.set_at(k),
            level=found.level_at(k),
            off=float(off[k]),
            chordal_dip=float(found.chordal_dip[k]),
            meets_again=int(found.meets_again[k]),
            mass=_known(found.mass[k]),
            clearance=_known(found.clearance[k]),
            price=None if cost is None else _known(cost[k]),
            new_parts=new_parts(found, k),
        )
        for k in in_tie_order(found, one_chain_each(found, goes)).tolist()
    )


def verdict_on(bike: Bike, one: Equivalent) -> str:
    """The state and how many cautions there are, as of any set: "Fits, 2 cautions"."""
    return verdict(judged(bike, evaluate(bike, one.set))).head


def exchange_sentence(chosen: DriveSet) -> str:
    """The rule of thumb beside the exact exchange for these sprockets; empty while one is not known."""
    exchanges = front_exchanges(chosen)
    if not exchanges:
        return ""
    fewer, more = exchanges
    return tr(
        "The rule of thumb says one front tooth is worth two at the rear. On {front}/{rear} one front "
        "tooth fewer is worth {rear_worth:.1f} rear teeth more, and one more is worth {rear_worth2:.1f} "
        "fewer; the rule holds only where the rear has about twice the teeth of the front.",
        front=chosen.front,
        rear=chosen.rear,
        rear_worth=abs(fewer.rear_worth),
        rear_worth2=abs(more.rear_worth),
    )


def _known(value: float) -> float | None:
    return None if np.isnan(value) else float(value)
