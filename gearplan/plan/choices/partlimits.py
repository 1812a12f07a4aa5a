"""Limits on the parts themselves: what is kept, how many teeth, what is in stock, what it costs."""

from __future__ import annotations

import math

import numpy as np

from gearplan.bike.stock import Stock
from gearplan.bike.text.written import listed
from gearplan.language import tr
from gearplan.plan.choices.candidates import Candidates
from gearplan.plan.choices.stockcost import not_in_stock, prices
from gearplan.plan.choices.verdicts import PART_MISSED, Judged, Unjudged, between, bounded, named
from gearplan.plan.choices.wishes import Wish
from gearplan.plan.money import exact, money

_FIELDS = {
    "front sprocket": "final_drive.front",
    "rear sprocket": "final_drive.rear",
    "chain": "final_drive.links",
    "links": "final_drive.links",
    "chain size": "final_drive.chain",
    "tyre": "tyre.size",
}


def keep(found: Candidates, wish: Wish, _stock: Stock | None) -> Judged | Unjudged:
    """A part that is to stay as it is fitted."""
    on, tyre = found.on.set, found.bike.tyre
    measured = tr("the fitted one") if tyre.rolling_circumference_mm is not None else None
    changed, had = {
        "front sprocket": (found.new_front, on.front),
        "rear sprocket": (found.new_rear, on.rear),
        "chain": (found.new_chain, on.links),
        "links": (found.links != (on.links or 0), on.links),
        "chain size": (found.other_size, on.chain),
        "tyre": (found.new_tyre, tyre.size or measured),
    }[wish.part]
    if had is None:
        return Unjudged(wish, tr("which {part} is fitted has not been entered", part=wish.part), _FIELDS[wish.part])

    def said(k: int) -> str:
        chosen = found.set_at(k)
        if wish.part == "tyre":
            return tr(
                "{named} is with the tyre {tyre}, you asked to keep {had}",
                named=named(found, k),
                tyre=chosen.tyre,
                had=had,
            )
        if wish.part == "chain size" or (wish.part == "chain" and chosen.chain != on.chain):
            return tr(
                "{named} needs a {chain} chain, you asked to keep the {chain2}",
                named=named(found, k),
                chain=chosen.chain,
                chain2=on.chain,
            )
        if wish.part in ("chain", "links"):
            return tr(
                "{named} needs {links} links, you asked to keep {had}",
                named=named(found, k),
                links=chosen.links,
                had=had,
            )
        side = "front" if wish.part == "front sprocket" else "rear"
        count = chosen.front if side == "front" else chosen.rear
        return tr(
            "{named} has {count} teeth at the {side}, you asked to keep {had}",
            named=named(found, k),
            count=count,
            side=side,
            had=had,
        )

    return Judged(wish, ~changed, np.where(changed, PART_MISSED, 0.0), said)


def teeth(found: Candidates, wish: Wish, _stock: Stock | None) -> Judged | Unjudged:
    """Teeth of one sprocket."""
    side = wish.part.removesuffix(" sprocket")
    count, asked = (found.front if side == "front" else found.rear), wish.value or 0.0

    def said(k: int) -> str:
        return tr(
            "{named} has {count} teeth at the {side}, you asked for {bound} {asked:g}",
            named=named(found, k),
            count=count[k],
            side=side,
            bound=wish.bound,
            asked=asked,
        )

    return bounded(wish, count.astype(float), asked, said)


def tooth(found: Candidates, wish: Wish, _stock: Stock | None) -> Judged | Unjudged:
    """So many teeth more or fewer than are fitted."""
    front = wish.part == "front sprocket"
    count, on = (found.front, found.on.set.front) if front else (found.rear, found.on.set.rear)
    if on is None:
        return Unjudged(wish, tr("which {part} is fitted has not been entered", part=wish.part), _FIELDS[wish.part])
    asked = on + int(wish.value or 0)

    def said(k: int) -> str:
        return tr(
            "{named} has {count} teeth at the {split}, you asked for {asked}",
            named=named(found, k),
            count=count[k],
            split=wish.part.split()[0],
            asked=asked,
        )

    return between(wish, count.astype(float), asked, asked, asked, said)


def size(found: Candidates, wish: Wish, _stock: Stock | None) -> Judged | Unjudged:
    """A chain of one size."""
    met = np.array([size == wish.size for size in found.space.chains])[found.chain]

    def said(k: int) -> str:
        return tr(
            "{named} is with a {chain} chain, you asked for {size}",
            named=named(found, k),
            chain=found.set_at(k).chain,
            size=wish.size,
        )

    return Judged(wish, met, np.where(met, 0.0, PART_MISSED), said)


def in_stock(found: Candidates, wish: Wish, stock: Stock | None) -> Judged | Unjudged:
    """Only new parts that the stock list has."""
    if stock is None:
        return Unjudged(wish, tr("no stock list is open"))
    lacking = not_in_stock(found, stock)
    count = np.array([len(parts) for parts in lacking], float)

    def said(k: int) -> str:
        return tr("{named}: {listed} in stock", named=named(found, k), listed=listed(lacking[k]))

    return Judged(wish, count == 0, count * PART_MISSED, said)


def cost(found: Candidates, wish: Wish, stock: Stock | None) -> Judged | Unjudged:
    """What the new parts may cost."""
    if stock is None:
        return Unjudged(wish, tr("no stock list with prices is open"))
    price, asked = prices(found, stock), wish.value or 0.0

    def said(k: int) -> str:
        if math.isnan(price[k]):
            return tr("{named}: not all of its new parts have a price in the stock list", named=named(found, k))
        costs = money(exact(float(price[k])), stock.currency)
        return tr(
            "{named} costs {costs}, you asked for at most {asked:g}", named=named(found, k), costs=costs, asked=asked
        )

    return between(wish, price, -np.inf, asked, asked or 1.0, said)
