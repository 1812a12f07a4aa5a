"""What a bike that has just been begun tells already, what is still blank, and what would help next."""

from __future__ import annotations

from gearplan.bike.profile import Bike, entry
from gearplan.bike.text.units import KMH, MPH
from gearplan.bike.text.written import inside, listed
from gearplan.language import tr
from gearplan.plan.set.doubts import set_doubts
from gearplan.plan.set.evaluate import SetResult
from gearplan.plan.set.measurenext import measure_next
from gearplan.setup.assumed import assumptions_text
from gearplan.setup.basics import KIND, blank_basics

#: Speeds that are only typical are told to so many km/h or mph.
_ROUND = 5


def begun(bike: Bike, result: SetResult, unit: str) -> tuple[str, ...]:
    """What there is to say of a bike's set, in the order in which it is wanted; speeds in a unit."""
    lines = []
    if result.speed_at_redline is not None:
        lines.append(_fastest(bike, result, unit))
    if blank := [_short(place) for place in blank_basics(bike)]:
        lines.append(tr("Still blank: {fields}.", fields=listed(blank)))
        return tuple(lines)
    asked = next(iter(measure_next(bike, result)), None)
    if asked is None:
        lines.append(tr("Nothing would make these answers surer."))
    else:
        lines.append(tr("Next: {measurement}", measurement=asked.text))
    return tuple(lines)


def _fastest(bike: Bike, result: SetResult, unit: str) -> str:
    assert result.speed_at_redline is not None
    speed, factor = result.speed_at_redline[-1], KMH if unit == "km/h" else MPH
    gear = len(result.speed_at_redline)
    box = [one for one in result.assumed if one.field.startswith("gearbox.")]
    found = set_doubts(bike, result).get("speed_at_redline")
    if not box or found is None:
        return tr("Gear {gear} reaches {speed:.0f} {unit} at the redline.", gear=gear, speed=speed / factor, unit=unit)
    low, high = (_ROUND * round(speed * end / factor / _ROUND) for end in (found.low, found.high))
    return tr(
        "Gear {gear} reaches {low} to {high} {unit} at the redline. Assumed: {assumed}.",
        gear=gear,
        low=low,
        high=high,
        unit=unit,
        assumed=assumptions_text(box),
    )


def _short(place: str) -> str:
    if place == KIND:
        return tr("kind")
    return inside(entry(*place.split(".")).label)
