"""A drive set: the parts whose choice is the question."""

from __future__ import annotations

from dataclasses import dataclass, replace

from gearplan.bike import checks, profile
from gearplan.bike.entries import Ratio
from gearplan.language import tr


@dataclass(frozen=True, slots=True)
class DriveSet:
    """Sprockets, chain, tyre and gears of one choice; None means the profile's own tyre and gears.

    `new_chain` says that a new chain goes on where the one on the bike would do by its size and count.
    """

    front: int | None
    rear: int | None
    links: int | None
    chain: str | None
    tyre: str | None = None
    gears: tuple[Ratio, ...] | None = None
    new_chain: bool = False


def fitted(bike: profile.Bike) -> DriveSet:
    """The set that is on the bike now."""
    on = bike.final_drive
    return DriveSet(on.front, on.rear, on.links, on.chain)


def without_sprockets(chosen: DriveSet) -> DriveSet:
    """The parts of a choice that a grid of sprockets depends on: the same whatever sprockets are tried."""
    return DriveSet(None, None, chosen.links, chosen.chain, chosen.tyre, new_chain=chosen.new_chain)


def geared(bike: profile.Bike, chosen: DriveSet) -> profile.Bike:
    """The bike with the gears of a choice in its gearbox."""
    return bike if chosen.gears is None else profile.with_value(bike, "gearbox", "gears", chosen.gears)


def keeps_chain(bike: profile.Bike, chosen: DriveSet) -> bool:
    """Whether the chain that is on the bike stays on: of the same size, with as many links, and none new asked for."""
    return not chosen.new_chain and does_by_count(bike, chosen)


def does_by_count(bike: profile.Bike, chosen: DriveSet) -> bool:
    """Whether the chain on the bike has the size and the links of a choice."""
    on = bike.final_drive
    return (chosen.chain, chosen.links) == (on.chain, on.links)


def plainly(bike: profile.Bike, chosen: DriveSet) -> DriveSet:
    """The same choice, without asking for a new chain where its size or count needs one anyhow."""
    return chosen if does_by_count(bike, chosen) else replace(chosen, new_chain=False)


def refusal(chosen: DriveSet) -> str | None:
    """Why a chosen set cannot be meant, in words that name the part; None if it can."""
    for key in ("front", "rear", "links", "chain"):
        value = getattr(chosen, key)
        if value is not None and (text := checks.check_value("final_drive", key, value)):
            return f"{profile.entry('final_drive', key).label}: {text}"
    if chosen.tyre is not None and (text := checks.check_value("tyre", "size", chosen.tyre)):
        return tr("Tyre: {why}", why=text)
    return None
