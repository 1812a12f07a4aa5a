"""The proposals of a bike: kept, and found again.

The window's start passes through here: nothing is imported that computes.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from gearplan.bike.profile import Bike
from gearplan.bike.work.proposal import STATES, Proposal
from gearplan.language import tr
from gearplan.plan.driveset import DriveSet, fitted, plainly
from gearplan.plan.money import exact, money
from gearplan.plan.words import teeth

#: So many are shown side by side.
MOST_PINNED = 4
_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


def set_of(proposal: Proposal) -> DriveSet:
    """The set that is proposed."""
    renewed = proposal.new_chain == "yes"
    return DriveSet(proposal.front, proposal.rear, proposal.links, proposal.chain, proposal.tyre, new_chain=renewed)


def name_of(proposal: Proposal) -> str:
    """What it is called; its teeth where it has no name."""
    return proposal.name or teeth(set_of(proposal))


def price_words(proposal: Proposal) -> str:
    """What it costs the customer, as it was quoted."""
    if proposal.price is None:
        return ""
    return tr("Price {money}", money=money(exact(proposal.price), proposal.currency or ""))


def pinned(bike: Bike) -> tuple[int, ...]:
    """The places of the open proposals that stand side by side: the last ones, as many as can be shown."""
    return tuple(place for place, one in enumerate(bike.proposals) if one.open)[-MOST_PINNED:]


def place_of(bike: Bike, chosen: DriveSet) -> int | None:
    """The place of the open proposal of a set; None where it is none."""
    found = [place for place, one in enumerate(bike.proposals) if one.open and _is_of(bike, one, chosen)]
    return found[0] if found else None


def _is_of(bike: Bike, proposal: Proposal, chosen: DriveSet) -> bool:
    return plainly(bike, set_of(proposal)) == plainly(bike, chosen)


def at_start(bike: Bike) -> Proposal | None:
    """The proposal with which work on a bike goes on: the last that was agreed, else the last offered."""
    waiting = [one for one in bike.proposals if one.open]
    return next((one for one in reversed(waiting) if one.state == "agreed"), waiting[-1] if waiting else None)


def with_proposal(
    bike: Bike, chosen: DriveSet, day: date, *, wishes: tuple[str, ...] = (), cruise_kmh: float | None = None
) -> Bike:
    """The bike with a set kept among its proposals, under the next free name; the same bike where it is kept already.

    `wishes` are in words, `cruise_kmh` is the cruising speed that the customer named.
    """
    if place_of(bike, chosen) is not None:
        return bike
    taken = {one.name for one in bike.proposals}
    name = next((tr("Set {letter}", letter=letter) for letter in _LETTERS if f"Set {letter}" not in taken), None)
    new = Proposal(
        name=name,
        date=day.isoformat(),
        state="offered",
        chain=chosen.chain,
        front=chosen.front,
        rear=chosen.rear,
        links=chosen.links,
        tyre=chosen.tyre,
        new_chain="yes" if chosen.new_chain else None,
        cruise_kmh=None if cruise_kmh is None else round(cruise_kmh, 2),
        wishes=wishes,
    )
    return replace(bike, proposals=(*bike.proposals, new))


def without(bike: Bike, place: int) -> Bike:
    """The bike without the proposal at a place."""
    return replace(bike, proposals=bike.proposals[:place] + bike.proposals[place + 1 :])


def open_words(bike: Bike) -> str:
    """How many proposals wait, and for what: "1 agreed, 2 offered"; empty for none."""
    counts = {state: sum((one.state or "offered") == state for one in bike.proposals) for state in STATES}
    return ", ".join(f"{counts[state]} {state}" for state in ("agreed", "offered") if counts[state])


def is_kept(bike: Bike, chosen: DriveSet) -> bool:
    """Whether nothing is lost of a proposed set: it is on the bike, or among the proposals, whatever became of them."""
    return chosen == fitted(bike) or any(_is_of(bike, one, chosen) for one in bike.proposals)
