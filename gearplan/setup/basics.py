"""What is asked first of a motorcycle: enough for speeds and for whether a chain fits, read off it in two minutes."""

from __future__ import annotations

from gearplan.bike.profile import KINDS, Bike, value
from gearplan.setup.kinds import gear_count

#: The place of the kind, which stands above the sections.
KIND = "kind"
#: What is asked, in the order in which a person walks round the motorcycle: "section.key", and the kind.
BASICS = (
    KIND,
    "tyre.size",
    "final_drive.front",
    "final_drive.rear",
    "final_drive.links",
    "final_drive.chain",
    "engine.redline_rpm",
    "gearbox.count",
)


def blank_basics(bike: Bike) -> tuple[str, ...]:
    """What of it is not entered yet; nothing is asked for that something else entered already tells."""
    return tuple(place for place in BASICS if not _told(bike, place))


def _told(bike: Bike, place: str) -> bool:
    if place == KIND:
        return bike.kind != KINDS[0]
    if place == "gearbox.count":
        return gear_count(bike) is not None
    if place == "tyre.size" and bike.tyre.rolling_circumference_mm is not None:
        return True
    return value(bike, *place.split(".")) is not None
