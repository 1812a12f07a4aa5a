"""What the profile gives to a photograph, and what the photograph gives back to it."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from gearplan.bike import library
from gearplan.bike.profile import Bike, entry, value, with_value, with_within
from gearplan.bike.text import written
from gearplan.bike.text.units import DEGREE, MM
from gearplan.language import tr
from gearplan.photo.points import HEAD, Doubted, Sight
from gearplan.photo.told import Quantity, Told, Value
from gearplan.setup import doubt
from gearplan.setup.ratios import rolling

#: Standard doubts in half a range that holds 95 of 100.
_IN_RANGE = 1.96
#: What each quantity is called, its field of the chassis, the part of a pair, and its unit.
_FIELDS: dict[Quantity, tuple[str, str, int | None, float]] = {
    "shaft forward": (tr("Sprocket shaft ahead of the pivot"), "sprocket_from_pivot_mm", 0, MM),
    "shaft up": (tr("Sprocket shaft above the pivot"), "sprocket_from_pivot_mm", 1, MM),
    "pivot to axle": (tr("Pivot to axle now"), "axle_now_mm", None, MM),
    "angle": (tr("Swingarm below horizontal"), "swingarm_angle_deg", None, DEGREE),
    "wheelbase": (tr("Wheelbase"), "wheelbase_mm", None, MM),
}
_SECTION = "chassis"


@dataclass(frozen=True, slots=True)
class Row:
    """A field beside what the picture says: in words, and the number that would be taken; None where it is not told."""

    quantity: Quantity
    label: str
    before: str
    after: str
    doubt: str
    number: float | None
    why: str
    off: float = 0.0


def lacking(bike: Bike) -> tuple[str, ...]:
    """The fields ("section.key") without which the chain is no ruler."""
    return tuple(f"final_drive.{key}" for key in ("chain", "front", "rear") if value(bike, "final_drive", key) is None)


def sight(bike: Bike, size: tuple[int, int], focal: float | None, head_mm: float) -> Sight | None:
    """What is known of picture and chain; None while something is `lacking`. `focal` in px."""
    drive = bike.final_drive
    chain = library.chain_sizes().get(drive.chain or "")
    if chain is None or drive.front is None or drive.rear is None:
        return None
    worn = doubt.inputs(bike, ["final_drive.elongation_percent"])[0]
    rolls = rolling(bike)
    return Sight(
        size,
        chain.pitch_mm * MM,
        drive.front,
        drive.rear,
        Doubted(worn.value / 100, (worn.high - worn.low) / 2 / 100 / _IN_RANGE),
        focal,
        Doubted(head_mm * MM, HEAD.doubt),
        None if rolls is None else rolls.circumference / math.tau,
    )


def rows(bike: Bike, told: Told) -> tuple[Row, ...]:
    """Each quantity before and after, with as many figures as its doubt lets it have."""
    return tuple(_row(bike, one) for one in told.values)


def taken(bike: Bike, told: Told, wanted: Iterable[Quantity]) -> Bike:
    """The profile with the wanted quantities as the picture tells them; those that it does not tell stay."""
    if told.contradiction:
        return bike
    chosen = set(wanted)
    for row in rows(bike, told):
        if row.quantity in chosen and row.number is not None:
            _label, key, part, _unit = _FIELDS[row.quantity]
            new: object = row.number
            if part is not None:
                pair = list(value(bike, _SECTION, key) or (None, None))
                pair[part] = row.number
                new = tuple(pair)
            bike = with_value(bike, _SECTION, key, new)
            place = f"{_SECTION}.{key}" if part is None else f"{_SECTION}.{key}.{part}"
            bike = with_within(bike, place, row.number, row.off)
    return bike


def _row(bike: Bike, one: Value) -> Row:
    label, key, part, unit = _FIELDS[one.quantity]
    what, before = entry(_SECTION, key), value(bike, _SECTION, key)
    if part is not None:
        before = (before or (None, None))[part]
    said = written.NONE if before is None else f"{written.shortest(before)} {what.unit}"
    if one.value is None:
        return Row(one.quantity, label, said, written.NONE, "", None, one.why)
    off = _IN_RANGE * one.doubt / unit
    digits = 0 if off >= 1 else 1
    number = round(one.value / unit, digits) + 0.0
    off = math.ceil(off * 10**digits - 0.05) / 10**digits
    return Row(
        one.quantity,
        label,
        said,
        f"{written.number(number, 1, digits)} {what.unit}",
        f"± {written.number(max(off, 10.0**-digits), 1, digits)}",
        number if what.low <= number <= what.high else None,
        one.why,
        max(off, 10.0**-digits),
    )
