"""A ride that was read, as the bike file keeps it: what it told of sprockets, tyre and speedometer at which odometer.

Immutable, like the rest of the profile. Nothing of where was ridden is kept, nor the name of the file. In the bike
file each is a [[rides]].
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Any

from gearplan.bike.entries import entered
from gearplan.language import tr

from .tables import entries_from

#: Whose speed the ride was told by: the satellites' is true, the instrument's is off by a share that stays.
SPEEDS = ("satellites", "instrument")


@dataclass(frozen=True, slots=True)
class Ride:
    """One ride. The circumference and its 95 % range hold with `front` and `rear`, which are so likely (0 to 1).

    `final_over_rolled_per_m` is what was ridden, whatever the sprockets: the final ratio over the circumference and,
    by the instrument's speed, over what that shows of the true one; 95 % of it within `…_off`, relative. `read_from`
    tells the same file again.
    """

    date: str | None = entered(tr("Ridden on"), "text", example="2026-05-31")
    odometer_km: float | None = entered(tr("Odometer"), "number", "km", 0, 1_000_000)
    front: int | None = entered(tr("Front sprocket"), "whole", "teeth", 9, 60)
    rear: int | None = entered(tr("Rear sprocket"), "whole", "teeth", 9, 150)
    likelihood: float | None = entered(tr("Likelihood"), "number", "", 0, 1)
    rolling_circumference_mm: float | None = entered(tr("Rolling circumference"), "number", "mm", 400, 5000)
    rolling_circumference_low_mm: float | None = entered(
        tr("Rolling circumference, least"), "number", "mm", 200, 10_000
    )
    rolling_circumference_high_mm: float | None = entered(
        tr("Rolling circumference, most"), "number", "mm", 200, 10_000
    )
    indicated_over_true: float | None = entered(tr("Indicated / true speed"), "number", "", 0.2, 5)
    speed_by: str | None = entered(tr("Speed by"), "choice", choices=SPEEDS)
    final_over_rolled_per_m: float | None = entered(tr("Final ratio over circumference"), "number", "1/m", 0.1, 20)
    final_over_rolled_off: float | None = entered(tr("That is off by"), "number", "", 0, 1)
    read_from: str | None = entered(tr("Read from"), "text")


def ride_from_table(table: Mapping[str, Any]) -> tuple[Ride, list[str], list[str]]:
    """(ride, faults, notices) of one [[rides]] as read from TOML; with faults the ride lacks what is wrong."""
    faults: list[str] = []
    values = entries_from(Ride, table, faults, days=("date",))
    known = {f.name for f in fields(Ride)}
    return (
        Ride(**values),
        faults,
        [tr("“{key}” is not known and is left as it is", key=key) for key in table if key not in known],
    )
