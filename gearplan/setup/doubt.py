"""How sure a result is: what each input may be off by, carried to the results. Pure.

Every input has a range in which it lies 95 times of 100: a measured one by its reading error, an assumed one by its
usual range. Ranges are carried to first order, each input by itself from one end to the other, and add up by the root
of the sum of squares, upward and downward apart (JCGM 100:2008, 5.1.2, inputs independent of each other).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

from gearplan.bike.profile import Bike, entry, value, with_value
from gearplan.bike.text.units import DEGREE, KMH, RPM
from gearplan.language import tr
from gearplan.setup import assumed, wornchain
from gearplan.setup.air import air_temperature
from gearplan.setup.assumed import Known
from gearplan.setup.kinds import GEAR_SHARE
from gearplan.setup.ratios import gearbox
from gearplan.setup.torque import EngineTorque, engine_torque

Results = Mapping[str, float | None]

#: Section and key: by how much a careful reading may be off, in the unit of the entry; common practice, no source.
_READ: dict[tuple[str, str], float] = {
    ("final_drive", "elongation_percent"): 0.1,
    ("chassis", "adjuster_left_mm"): 0.5,
    ("chassis", "centre_distance_mm"): 2.0,
    ("chassis", "axle_now_mm"): 1.0,
    ("chassis", "axle_range_mm"): 1.0,
    ("chassis", "sprocket_from_pivot_mm"): 1.0,
    ("chassis", "swingarm_angle_deg"): 0.5,
    ("chassis", "pivot_boss_radius_mm"): 1.0,
    ("chassis", "wheelbase_mm"): 3.0,
    ("chassis", "com_height_mm"): 20.0,
    ("chassis", "com_ahead_of_rear_axle_mm"): 10.0,
    ("tyre", "rolling_factor"): 0.01,
    ("tyre", "grip"): 0.1,
    ("engine", "efficiency"): 0.02,
    ("load", "rider_kg"): 2.0,
    ("conditions", "temperature_c"): 3.0,
    ("conditions", "altitude_m"): 50.0,
    ("conditions", "pressure_hpa"): 2.0,
    ("speedometer", "indicated_over_true"): 0.01,
}
#: The same as a share of what is read.
_READ_SHARE: dict[tuple[str, str], float] = {
    ("tyre", "rolling_circumference_mm"): 0.005,
    ("tyre", "growth_per_mps2"): 0.30,
    ("load", "bike_kg"): 0.02,
    ("load", "drag_area_m2"): 0.10,
    ("load", "rolling_coefficient"): 0.20,
    ("load", "wheel_inertia_kg_m2"): 0.10,
    ("engine", "inertia_kg_m2"): 0.20,
    ("engine", "launch_rpm"): 0.10,
    ("engine", "shift_time_s"): 0.30,
    ("load", "braking_mps2"): 0.10,
}
#: The torque as a whole, curve or peaks, as a share: what dynamometers differ by, and what peaks leave open.
_TORQUE_SHARE, _PEAKS_SHARE = 0.05, 0.10
_TORQUE_KEYS = ("torque", "peak_torque_nm", "peak_power_kw")
#: A new chain may be longer than its links by this share: +0.15 %, −0, ISO 606 (from memory).
_LONGER_NEW = 0.0015

#: Of a lap, what stands in no field of the bike, each way (m/s; a share; m/s, rad/s, rad, s): the wind round the lap,
#: apex speeds as entered, and how exactly a rider keeps a habit. Common practice, no source.
WIND, APEX_SHARE = 2.0, 0.03
FIRST_BELOW, SHORT_SHIFT, NO_SHIFT_BEYOND, DOWN_SHIFT = 10 * KMH, 200 * RPM, 5 * DEGREE, 0.05

#: The field of a new chain's length, which nobody enters.
NEW_CHAIN = tr("new chain")
#: The field that stands for the torque as a whole.
TORQUE = "engine.torque"


@dataclass(frozen=True, slots=True)
class Input:
    """One number that results rest on: its field ("section.key", a pair's part as "section.key.0"), value and range.

    All are in the unit of the entry; of the torque, and of a new chain's length, they are factors. `measured` says
    that it was entered.
    """

    field: str
    label: str
    value: float
    low: float
    high: float
    measured: bool

    @property
    def entry(self) -> str:
        """The field without the part of a pair."""
        return entry_of(self.field)


@dataclass(frozen=True, slots=True)
class Doubtful:
    """A result with the range in which it lies 95 times of 100; `parts` are each input's (field, down, up)."""

    value: float
    low: float
    high: float
    parts: tuple[tuple[str, float, float], ...] = ()

    @property
    def half(self) -> float:
        """The larger of both sides."""
        return max(self.high - self.value, self.value - self.low)

    @property
    def sides(self) -> tuple[float, float]:
        """By how much the result may be less, and more."""
        return self.value - self.low, self.high - self.value

    def share(self, fields: Iterable[str], left: float = 0.0) -> float:
        """By how much (0 to 1) the range shrinks when these fields' part of it shrinks to `left` of what it is."""
        these = set(fields)
        whole = sum(down**2 + up**2 for _, down, up in self.parts)
        kept = sum((down**2 + up**2) * (left**2 if field in these else 1.0) for field, down, up in self.parts)
        return 1 - math.sqrt(kept / whole) if whole else 0.0


def entry_of(field: str) -> str:
    """The field ("section.key") of an input, without the part of a pair."""
    return ".".join(field.split(".")[:2])


def inputs(bike: Bike, fields: Iterable[str]) -> tuple[Input, ...]:
    """The inputs ("section.key") with their ranges; those that are neither entered nor assumed are left out."""
    found: list[Input] = []
    for field in fields:
        if field == TORQUE:
            found += _torque(bike)
        elif field == NEW_CHAIN:
            found.append(Input(NEW_CHAIN, tr("the new chain's length"), 1.0, 1.0, 1.0 + _LONGER_NEW, measured=False))
        else:
            found += _one(bike, *field.split("."))
    return tuple(found)


def gearbox_shares(bike: Bike) -> tuple[tuple[str, float, float], ...]:
    """What of a gearbox is only typical of the kind: (field, down, up) as shares of an overall ratio."""
    found = []
    box = gearbox(bike)
    for one in box.assumed:
        if one.value is not None and one.low is not None and one.high is not None:
            found.append((one.field, 1 - one.low / one.value, one.high / one.value - 1))
        elif len(box.gears) > 1:
            found.append((one.field, GEAR_SHARE, GEAR_SHARE))
    return tuple(found)


def varied(bike: Bike, one: Input, to: float) -> Bike:
    """The bike with an input at another value; a new chain's length stands in no field and leaves the bike as it is."""
    if one.field == NEW_CHAIN:
        return bike
    if one.field == TORQUE:
        for key in _TORQUE_KEYS:
            bike = with_value(bike, "engine", key, _scaled(value(bike, "engine", key), to))
        return bike
    section, key, *part = one.field.split(".")
    if not part:
        return with_value(bike, section, key, to)
    pair = list(value(bike, section, key))
    pair[int(part[0])] = to
    return with_value(bike, section, key, tuple(pair))


def carried(results: Callable[[Input | None, float], Results], found: Iterable[Input]) -> dict[str, Doubtful]:
    """Each result with its range.

    `results` gives the named results with one input at a value, or, for None, with all inputs as they are. A result
    that is None, or becomes so, has no range.
    """
    middle = {key: number for key, number in results(None, 0.0).items() if number is not None}
    parts: dict[str, list[tuple[str, float, float]]] = {key: [] for key in middle}
    for one in found:
        ends = [results(one, end) if end != one.value else middle for end in (one.low, one.high)]
        for key, number in middle.items():
            moved = [end.get(key) for end in ends]
            if key not in parts or None in moved:
                parts.pop(key, None)
                continue
            by = [at - number for at in moved if at is not None]
            parts[key].append((one.field, max(0.0, *(-b for b in by)), max(0.0, *by)))
    return {
        key: Doubtful(
            middle[key],
            middle[key] - math.hypot(*(down for _, down, _ in each)),
            middle[key] + math.hypot(*(up for _, _, up in each)),
            tuple(each),
        )
        for key, each in parts.items()
    }


def reading_error(field: str, at: float) -> float | None:
    """By how much a careful reading of a field ("section.key") may be off at a value; None where nobody reads it."""
    section, key = field.split(".")[:2]
    if (section, key) in _READ_SHARE:
        return _READ_SHARE[section, key] * abs(at)
    return _READ.get((section, key))


def entered_within(bike: Bike, field: str, at: float) -> float:
    """By how much an entered value of a field may be off: as its measurement said, else as a careful reading may."""
    measured = next((off for place, number, off in bike.within if (place, number) == (field, at)), None)
    return measured if measured is not None else reading_error(field, at) or 0.0


def half_range(bike: Bike, *fields: str) -> float:
    """By how much the sum of some inputs ("section.key") may be off, either way, in the unit of the entries."""
    return math.hypot(*((one.high - one.low) / 2 for one in inputs(bike, fields)))


def share_range(bike: Bike, field: str) -> float:
    """By which share of itself an input may be off, either way; 0 for one that is not known, or nothing."""
    found = inputs(bike, [field])
    return half_range(bike, field) / abs(found[0].value) if found and found[0].value else 0.0


def _one(bike: Bike, section: str, key: str) -> list[Input]:
    field, label, given = f"{section}.{key}", entry(section, key).label, value(bike, section, key)
    if isinstance(given, tuple):
        parts = zip(entry(section, key).parts, given, strict=True)
        named = [(f"{field}.{i}", f"{label}, {part}", number) for i, (part, number) in enumerate(parts)]
        return [_read(bike, field, text, number) for field, text, number in named if number is not None]
    if given is not None:
        return [_read(bike, field, label, float(given))]
    known = _known(bike, section, key)
    if known is None:
        return []
    taken = known.assumed
    if taken is None:
        return [_read(bike, field, label, known.value)]
    if taken.low is None or taken.high is None:
        return []
    return [Input(field, label, known.value, taken.low, taken.high, measured=False)]


def _known(bike: Bike, section: str, key: str) -> Known | None:
    """What is taken for a field that is not entered; None for nothing."""
    if (section, key) == ("final_drive", "elongation_percent"):
        return wornchain.elongation(bike)
    if (section, key) == ("engine", "launch_rpm"):
        end = bike.engine.end_rpm
        return None if end is None else assumed.launch(bike, end)
    if (section, key) == ("engine", "inertia_kg_m2"):
        gives = engine_torque(bike.engine)
        return assumed.inertia(bike, gives.peak) if isinstance(gives, EngineTorque) else None
    if (section, key) == ("conditions", "temperature_c"):
        return air_temperature(bike)
    try:
        return assumed.known(bike, section, key)
    except KeyError:
        return None


def _read(bike: Bike, field: str, label: str, number: float) -> Input:
    off = entered_within(bike, field, number)
    return Input(field, label, number, number - off, number + off, measured=True)


def _torque(bike: Bike) -> list[Input]:
    share = _TORQUE_SHARE if bike.engine.torque else _PEAKS_SHARE
    if all(value(bike, "engine", key) is None for key in _TORQUE_KEYS):
        return []
    return [Input(TORQUE, tr("the torque"), 1.0, 1 - share, 1 + share, measured=bool(bike.engine.torque))]


def _scaled(given: object, factor: float) -> object:
    if isinstance(given, tuple):
        return tuple((rpm, torque * factor) for rpm, torque in given)
    return given * factor if isinstance(given, (int, float)) else None
