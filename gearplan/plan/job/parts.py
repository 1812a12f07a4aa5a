"""What to order for a job, what is looked up first, and what is reused; the shop adds its own numbers and prices."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from gearplan.bike.profile import Bike
from gearplan.bike.stock import Stock, StockItem
from gearplan.bike.work.job import Job, JobPart
from gearplan.language import marked, tr
from gearplan.plan.chain.wear import worn_out
from gearplan.plan.job.kept import bike_of
from gearplan.plan.job.steps.scope import INSPECTED, chain_comes_off, inspected, swingarm_out, wheel_out
from gearplan.plan.money import exact, summed, times

#: The keys of all parts that a list may hold, in its order.
PART_KEYS = (
    "front", "rear", "chain", "link", "rings", "front_nut", "locker", "plate", "rear_nuts", "axle", "pivot", "grease",
    "lubricant", *(key for key, _ in INSPECTED), "bearings",
)  # fmt: skip

Action = Literal["order", "look up", "reuse"]
#: In the list's order; `tr` tells them.
ACTIONS: tuple[Action, ...] = (marked("order"), marked("look up"), marked("reuse"))


@dataclass(frozen=True, slots=True)
class Part:
    """One line of the list. `quantity` is what the job needs, None where that is for the shop to say.

    `listed` is the same part in the shop's stock list, `entered` what the shop wrote down for this job.
    """

    key: str
    action: Action
    name: str
    quantity: float | None = None
    why: str = ""
    listed: StockItem | None = None
    entered: JobPart | None = None

    @property
    def wanted(self) -> float | None:
        """The shop's quantity, or that which the job needs."""
        return self.entered.quantity if self.entered and self.entered.quantity is not None else self.quantity

    @property
    def price(self) -> float | None:
        """The price of one: the shop's own for this job, or the stock list's."""
        if self.entered and self.entered.price is not None:
            return self.entered.price
        return None if self.listed is None else self.listed.price

    @property
    def number(self) -> str:
        """The part number: the shop's own for this job, or the stock list's."""
        if self.entered and self.entered.number:
            return self.entered.number
        return "" if self.listed is None else self.listed.number


def parts(bike: Bike, job: Job, stock: Stock | None = None) -> tuple[Part, ...]:
    """The list: to order, to look up, then what is reused."""
    bike = bike_of(bike, job)
    entered = {one.part: one for one in job.parts}
    found = [*_drive(bike, job, stock or Stock()), *_small(bike, job)]
    found.sort(key=lambda part: ACTIONS.index(part.action))
    return tuple(Part(p.key, p.action, p.name, p.quantity, p.why, p.listed, entered.get(p.key)) for p in found)


def total(listed: tuple[Part, ...]) -> tuple[Decimal, int]:
    """(the exact sum of quantity × price of what is ordered, how many lines have no price yet)."""
    ordered = [part for part in listed if part.action == "order"]
    known = [(part.wanted, part.price) for part in ordered]
    amounts = (
        times(exact(quantity), exact(price)) for quantity, price in known if quantity is not None and price is not None
    )
    return summed(amounts), sum(None in pair for pair in known)


def _drive(bike: Bike, job: Job, stock: Stock) -> Iterator[Part]:
    size = job.chain or tr("chain size?")
    for side, name in (("front", tr("Front sprocket")), ("rear", tr("Rear sprocket"))):
        teeth = getattr(job, side)
        words = tr("{name}, {teeth} teeth, for {size}", name=name, teeth=teeth or "?", size=size)
        if getattr(job, f"new_{side}") == "yes":
            old = getattr(job, f"old_{side}")
            why = ""
            if old != teeth:
                why = tr("instead of {old}", old=old)
            elif job.chain != job.old_chain:
                why = tr("for another chain size")
            yield Part(side, "order", words, 1, why, stock.part(job.chain, side, teeth))
        else:
            yield Part(side, "reuse", words, None, tr("if its teeth are not worn"))
    links = tr("{links} links", links=job.links or "?")
    if job.new_chain != "yes":
        if job.links is not None and job.old_links is not None and job.links < job.old_links:
            links = tr("shortened to {links} links", links=job.links)
        # A used chain wears new sprockets out: what the customer is told.
        sprockets = (job.front, job.rear) != (job.old_front, job.old_rear)
        good = tr("only if it is nearly new") if sprockets else tr("if it is not worn")
        why = tr("worn out by the wear log: renew it") if worn_out(bike) else good
        yield Part("chain", "reuse", tr("{size} chain, {links}", size=size, links=links), None, why)
    else:
        listed = stock.chain_for(job.chain, job.links) if job.links is not None else None
        why = ""
        if listed is not None and listed.teeth != job.links:
            why = tr("cut from {links} links", links=listed.teeth)
        if (job.chain, job.links) == (job.old_chain, job.old_links) and worn_out(bike):
            why = tr("instead of the worn one")
        if job.closed == "endless":
            name = tr("{size} chain, {links}, endless", size=size, links=links)
        elif job.links is not None and not why:
            name = tr("{size} chain, {links} or longer, cut to length, open", size=size, links=links)
        else:
            name = tr("{size} chain, {links}, open", size=size, links=links)
        yield Part("chain", "order", name, 1, why, listed)
    if chain_comes_off(job) and not (job.closed == "endless" and job.new_chain == "yes"):
        if job.closed == "clip link":
            name = tr("Clip link for this {size} chain, of its own make and type", size=size)
        else:
            name = tr("Rivet link for this {size} chain, of its own make and type", size=size)
        yield Part("link", "order", name, 2, tr("one and a spare"))
        if bike.service.chain_sealed != "no":
            action: Action = "order" if bike.service.chain_sealed == "yes" else "look up"
            why = tr("with the link, if its maker packs them") if action == "order" else tr("if the chain has them")
            yield Part("rings", action, tr("Sealing rings for the link"), 4, why)


def _small(bike: Bike, job: Job) -> Iterator[Part]:
    service = bike.service
    if job.new_front == "yes":
        words = (
            tr("Front nut or washer") if service.front_nut_locked_by != "tab washer" else tr("Front nut's tab washer")
        )
        yield _single(service.front_nut_single_use, "front_nut", words, 1, tr("single-use"))
        if service.front_nut_locked_by == "thread locker":
            yield Part("locker", "order", tr("Thread locker of the strength that the manual names"), None)
        if service.front_nut_locked_by == "retainer plate":
            yield Part("plate", "look up", tr("Front sprocket's retainer plate and bolts"), 1, tr("see the manual"))
    if job.new_rear == "yes":
        count = service.rear_nuts
        name = (
            tr("Rear sprocket's nuts, self-locking")
            if service.rear_nuts_self_locking == "yes"
            else tr("Rear sprocket's nuts")
        )
        yield _single(service.rear_nuts_self_locking, "rear_nuts", name, count, tr("self-locking nuts lock once"))
    yield Part("axle", "look up", tr("Axle's split pin or nut"), 1, tr("if it is single-use: see the manual"))
    if swingarm_out(job):
        yield Part("pivot", "look up", tr("Swingarm pivot's seals and single-use nuts"), None, tr("see the manual"))
    if chain_comes_off(job):
        yield Part("grease", "order", tr("Grease for sealing rings and splines"), None, tr("as the makers name it"))
    yield Part("lubricant", "order", tr("Chain lubricant that the chain's maker allows"), None)
    found = dict(job.readings)
    replaced = [(key, name) for key, name in inspected(job) if found.get(key) == "replaced"]
    if "yes" in (job.new_front, job.new_rear):
        # Those stand on the list already.
        replaced = [(key, name) for key, name in replaced if key != "look_sprockets"]
    for key, name in replaced:
        yield Part(key, "order", name, None, tr("replaced on inspection"))
    if wheel_out(job) and len(replaced) < len(inspected(job)):
        yield Part("bearings", "reuse", tr("Bearings, cush rubbers, studs, pads"), None, tr("if they are found good"))


def _single(known: str | None, key: str, name: str, quantity: float | None, why: str) -> Part:
    if known == "yes":
        return Part(key, "order", name, quantity, why)
    if known == "no":
        return Part(key, "reuse", name, None, tr("not single-use by the service data"))
    return Part(key, "look up", name, quantity, tr("{why}? See the manual", why=why))
