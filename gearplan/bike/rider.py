"""How one rider rides a lap, as a person enters it: habits that hold for every corner of a circuit."""

from __future__ import annotations

from dataclasses import dataclass, field, fields
from functools import lru_cache
from typing import Any

from gearplan.bike import values
from gearplan.bike.entries import Entry, entry_in
from gearplan.language import tr

#: As many riders as are compared with each other on one circuit.
MOST_RIDERS = 2
#: As many gears as any motorcycle has.
MOST_GEARS = 8


def _entered(entry: Entry, default: Any = None) -> Any:
    return field(default=default, metadata={"entry": entry})


@dataclass(frozen=True, slots=True)
class Rider:
    """The habits of one rider; None where nothing is entered.

    Gears count from 1. `first_below_kmh`: first gear is used below this speed only. `skips` are gears that are passed
    over, `short_shift_rpm` by how much earlier than at the best engine speed one shifts up, `downshift_time_s` what
    each down-shift before a corner takes. `rider_kg` and `braking_mps2` stand for the bike's own where they are given.
    """

    name: str = _entered(Entry(tr("Name"), "text"), "")
    lowest_gear: int | None = _entered(Entry(tr("Lowest gear in corners"), "whole", "", 1, MOST_GEARS, "2"))
    first_below_kmh: float | None = _entered(Entry(tr("First gear only below"), "number", "km/h", 5, 300, "60"))
    skips: tuple[int, ...] = field(default=())
    no_shift_beyond_deg: float | None = _entered(Entry(tr("No up-shift leaned beyond"), "number", "°", 0, 90, "35"))
    short_shift_rpm: float | None = _entered(Entry(tr("Shifts up early by"), "number", "rpm", 0, 8000, "500"))
    downshift_time_s: float | None = _entered(Entry(tr("Each down-shift takes"), "number", "s", 0, 1, "0.2"))
    apex_rpm_min: float | None = _entered(Entry(tr("Engine at an apex at least"), "number", "rpm", 0, 30_000, "4000"))
    rider_kg: float | None = _entered(Entry(tr("Rider with gear"), "number", "kg", 30, 200, "80"))
    braking_mps2: float | None = _entered(Entry(tr("Braking used"), "number", "m/s²", 1, 15, "9"))


NOBODY = Rider()


@lru_cache(maxsize=1)
def rider_keys() -> tuple[str, ...]:
    """The fields of a rider in their order in the file."""
    return tuple(f.name for f in fields(Rider))


def check_rider_value(key: str, value: object) -> str | None:
    """Why a value cannot stand in this field of a rider, with what would be right; None if it can."""
    if value is None:
        return None
    if key == "skips":
        gears = value if isinstance(value, (tuple, list)) else None
        if gears is None or not all(type(gear) is int and 1 <= gear <= MOST_GEARS for gear in gears):
            return tr("expected gears from 1 to {most_gears}, such as [3]", most_gears=MOST_GEARS)
        return None
    return values.check_entry(entry_in(Rider, key), value)
