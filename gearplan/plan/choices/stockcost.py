"""What the shop's stock list says of the new parts of every candidate."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from gearplan.bike.stock import Stock
from gearplan.language import tr
from gearplan.plan.choices.candidates import Candidates

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]


def prices(found: Candidates, stock: Stock) -> Floats:
    """What the new parts of every candidate cost; NaN where one of them has no price, 0 where nothing is new."""
    total = np.zeros(found.count)
    for side, size, count, needing in _new_parts(found):
        part = stock.chain_for(size, count) if side == "chain" else stock.part(size, side, count)
        price = None if part is None else part.price
        total[needing] += np.nan if price is None else price
    total[found.new_tyre] = np.nan
    return total


def not_in_stock(found: Candidates, stock: Stock) -> list[list[str]]:
    """For every candidate the new parts that are not in stock, in words; a longer chain can be cut."""
    lacking: list[list[str]] = [[] for _ in range(found.count)]
    for side, size, count, needing in _new_parts(found):
        part = stock.chain_for(size, count, there=True) if side == "chain" else stock.part(size, side, count)
        if part is not None and part.quantity > 0:
            continue
        name = (
            tr("{size} chain of {count} links", size=size, count=count)
            if side == "chain"
            else tr("{size} {side} sprocket of {count}", size=size, side=side, count=count)
        )
        for k in np.nonzero(needing)[0].tolist():
            lacking[k].append(tr("no {name}", name=name))
    return lacking


def _new_parts(
    found: Candidates,
) -> Iterator[tuple[Literal["front", "rear", "chain"], str | None, int, Bools]]:
    """Every part that some candidate needs new: (side, chain size, teeth or links, which candidates need it)."""
    sides: tuple[tuple[Literal["front", "rear", "chain"], Bools, NDArray[np.int_]], ...] = (
        ("front", found.new_front, found.front),
        ("rear", found.new_rear, found.rear),
        ("chain", found.new_chain, found.links),
    )
    for side, new, counts in sides:
        for c, size in enumerate(found.space.chains):
            here = new & (found.chain == c)
            for count in np.unique(counts[here]).tolist():
                yield side, size, count, here & (counts == count)
