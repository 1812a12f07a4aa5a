"""What a ride offers to take over into the profile, each as one edit."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from gearplan.bike.checks import check_value
from gearplan.bike.profile import Bike, value
from gearplan.bike.units import MM
from gearplan.ridelog.learning.learned import Learned


@dataclass(frozen=True, slots=True)
class Offer:
    """An edit that a remark (of the same `about`) offers: what the button says, and the edit of the profile."""

    about: str
    label: str
    applied: Callable[[Bike], Bike]


def offers(learned: Learned, bike: Bike) -> tuple[Offer, ...]:
    """The edits that would change this profile, and that its bounds allow."""
    return tuple(offer for offer in _all(learned, bike) if _would_change(offer, bike))


def _all(learned: Learned, bike: Bike) -> Iterator[Offer]:
    gears, speeds, coast = learned.gears, learned.speeds, learned.coast
    if gears is not None and gears.most_likely is not None:
        likely = gears.most_likely
        yield Offer("final drive", f"Take {likely.front}/{likely.rear} as fitted", likely.applied)
        if gears.rolled is not None:
            yield Offer("circumference", f"Take {gears.rolled.circumference / MM:.0f} mm", gears.rolled.applied)
    if gears is not None and gears.gearbox is not None:
        yield Offer("gearbox", f"Take the {len(gears.gearbox.gears)} ridden gears", gears.gearbox.applied)
    if speeds is not None:
        yield Offer("speedometer", f"Take {speeds.quotient:.3f} as indicated / true", speeds.applied)
        if speeds.grows and bike.speedometer.sensor != "front wheel":
            yield Offer("tyre growth", "Take the growth", speeds.growth_applied)
    if coast is not None:
        yield Offer("road load", f"Take {coast.drag_area:.2f} m² and {coast.rolling:.3f}", coast.applied)


_FIELDS = (
    ("final_drive", "front"),
    ("final_drive", "rear"),
    ("tyre", "rolling_circumference_mm"),
    ("tyre", "growth_per_mps2"),
    ("gearbox", "gears"),
    ("speedometer", "indicated_over_true"),
    ("load", "drag_area_m2"),
    ("load", "rolling_coefficient"),
)


def _would_change(offer: Offer, bike: Bike) -> bool:
    after = offer.applied(bike)
    changed = [(section, key) for section, key in _FIELDS if value(bike, section, key) != value(after, section, key)]
    return bool(changed) and all(check_value(s, key, value(after, s, key)) is None for s, key in changed)
