"""What a ride offers to take over into the profile, each as one edit."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from gearplan.bike.checks import check_value
from gearplan.bike.profile import Bike, value
from gearplan.bike.text.units import MM
from gearplan.language import tr
from gearplan.ridelog.learning.gears import TOO_WIDE, Gears
from gearplan.ridelog.learning.sprockets import Rolled, Teeth, with_circumference
from gearplan.ridelog.telling.gearwords import about_set
from gearplan.ridelog.telling.learned import Learned


@dataclass(frozen=True, slots=True)
class Offer:
    """An edit that a remark (of the same `about`) offers: what the button says, and the edit of the profile.

    `counted` is the set that a person says to have counted by pressing it.
    """

    about: str
    label: str
    applied: Callable[[Bike], Bike]
    counted: tuple[int, int] | None = None


def offers(learned: Learned, bike: Bike) -> tuple[Offer, ...]:
    """The edits that would change this profile, and that its bounds allow."""
    return tuple(offer for offer in _all(learned, bike) if _would_change(offer, bike))


def _all(learned: Learned, bike: Bike) -> Iterator[Offer]:
    gears, speeds, coast = learned.gears, learned.speeds, learned.coast
    if gears is not None and gears.most_likely is not None:
        likely = gears.most_likely
        yield Offer(
            tr("final drive"), tr("Take {front}/{rear} as fitted", front=likely.front, rear=likely.rear), likely.applied
        )
        for one in gears.teeth:
            if one is not likely:
                yield Offer(about_set(one), tr("Take {front}/{rear}", front=one.front, rear=one.rear), one.applied)
            if not learned.counted:
                set_ = (one.front, one.rear)
                yield Offer(
                    about_set(one),
                    tr("I counted {front}/{rear}", front=one.front, rear=one.rear),
                    _counted(learned, one),
                    set_,
                )
        if gears.rolled is not None:
            yield _circumference(gears, likely, gears.rolled)
    if gears is not None and gears.gearbox is not None:
        yield Offer(
            "gearbox", tr("Take the {gears} ridden gears", gears=len(gears.gearbox.gears)), gears.gearbox.applied
        )
    if speeds is not None:
        yield Offer(
            "speedometer", tr("Take {quotient:.3f} as indicated / true", quotient=speeds.quotient), speeds.applied
        )
        if speeds.grows and bike.speedometer.sensor != "front wheel":
            yield Offer("tyre growth", tr("Take the growth"), speeds.growth_applied)
    if coast is not None:
        yield Offer(
            "road load",
            tr("Take {drag_area:.2f} m² and {rolling:.3f}", drag_area=coast.drag_area, rolling=coast.rolling),
            coast.applied,
        )


def typed_set(text: str) -> tuple[int, int] | str:
    """Front and rear teeth of a text such as 15/45, or in one line what would be right."""
    told = re.fullmatch(r"(\d{1,3})\s*/\s*(\d{1,3})", text.strip())
    front, rear = (int(told[1]), int(told[2])) if told else (0, 0)
    if not told:
        return tr("Give front and rear teeth, such as 15/45.")
    for key, teeth, where in (("front", front, tr("In front")), ("rear", rear, tr("Behind"))):
        if reason := check_value("final_drive", key, teeth):
            return tr("{where}: {reason} Give front and rear teeth, such as 15/45.", where=where, reason=reason)
    return front, rear


def of_counted(learned: Learned) -> Offer | str:
    """The edit by the set that was counted, for which the ride was told; or in words why it cannot be that one."""
    gears, on = learned.gears, learned.counted
    assert on is not None
    said = f"{on[0]}/{on[1]}"
    if gears is None or (gears.matched != "yes" and not gears.teeth):
        return tr(
            "This ride tells nothing that {said} could be held against; enter the set on the Bike page.", said=said
        )
    if gears.most_likely is None:
        quotient = gears.final_over_rolled
        rolls = (
            ""
            if quotient is None
            else tr(", as the tyre would roll {on:.0f} mm a turn", on=on[1] / on[0] / quotient / MM)
        )
        return tr(
            "With {said} the ridden ratios cannot be{rolls}: count again, and look at the unit of the speed.",
            said=said,
            rolls=rolls,
        )
    return Offer(tr("final drive"), tr("I counted {said}", said=said), _counted(learned, gears.most_likely), on)


def _circumference(gears: Gears, likely: Teeth, rolled: Rolled) -> Offer:
    """The circumference; where the sprockets are not decided, together with those that it holds for."""
    label = tr("Take {circumference:.0f} mm", circumference=rolled.circumference / MM)
    if "sprockets" not in gears.undecided:
        return Offer("circumference", label, rolled.applied)

    def both(bike: Bike) -> Bike:
        return rolled.applied(likely.applied(bike))

    return Offer(
        "circumference", tr("{label} and {front}/{rear}", label=label, front=likely.front, rear=likely.rear), both
    )


def _counted(learned: Learned, one: Teeth) -> Callable[[Bike], Bike]:
    """The edit by a set that was counted: with it all that follows, tyre, speedometer and growth.

    What stays open even then is left as it is.
    """

    def applied(bike: Bike) -> Bike:
        bike = one.applied(bike)
        if one.rolled.high / one.rolled.low < TOO_WIDE:
            bike = with_circumference(bike, one.rolled.value)
        speeds = learned.speeds
        if speeds is None:
            return bike
        grows = speeds.grows and bike.speedometer.sensor != "front wheel"
        return speeds.growth_applied(speeds.applied(bike)) if grows else speeds.applied(bike)

    return applied


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
    possible = all(check_value(s, key, value(after, s, key)) is None for s, key in changed)
    return possible and bool(changed or offer.counted)
