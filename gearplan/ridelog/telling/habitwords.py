"""How a motorcycle was ridden, and what gave way, in sentences for people."""

from __future__ import annotations

import math
from collections.abc import Iterator

from gearplan.bike.text.units import DEGREE, RPM
from gearplan.bike.text.written import counted, percent
from gearplan.ridelog.habits.driving import Driving
from gearplan.ridelog.habits.slipping import Slip
from gearplan.ridelog.habits.wind import NO_HEIGHTS, NO_PLACES, ONE_LINE, TOO_LITTLE, Wind
from gearplan.ridelog.reading.columns import UNITS
from gearplan.ridelog.telling.remark import Remark

#: A change is worth telling if it lost so much, and all together from so much on (s).
_LOST, _TOGETHER = 0.05, 0.1
#: So far off the computed pull is as well known as the profile's torque and mass (relative; common experience).
_PULL_AS_KNOWN = 0.05
#: Why the wind is not told, and what would tell it.
_NO_WIND = {
    NO_PLACES: "without positions nobody knows which way it was ridden. Record them, or ride both ways to take it out.",
    ONE_LINE: "it was ridden along one line, and there wind and slope both help one way and hinder the other. Ride "
    "both ways to take it out, or in all directions to tell it.",
    NO_HEIGHTS: "no heights were recorded, and a slope looks like wind. Record heights, or ride both ways to take it "
    "out.",
    TOO_LITTLE: "too little full pull in too few places tells it. Ride both ways to take it out.",
}
_ROSE = (
    "the north",
    "the north-east",
    "the east",
    "the south-east",
    "the south",
    "the south-west",
    "the west",
    "the north-west",
)
#: Engine speeds are told in steps of this (rpm).
_ROUND = 50
#: Bearings are told in steps of this (°).
_BEARING = 5


def of_slip(slip: Slip) -> Remark:
    """What gives way under pull, its evidence, and what would tell where that is open."""
    by_wheel = slip.by_wheels and slip.what == "wheel"
    runs = "rear wheel runs ahead of the road" if by_wheel else "engine runs ahead of its gear"
    text = (
        f"Under pull the {runs}: by 3 % or more in {percent(slip.pulling)} of the time in which it accelerates, in "
        f"{percent(slip.steady)} at steady speed. "
    )
    if slip.what == "clutch" and slip.by_wheels:
        text += "The speed is sensed behind the clutch, so the clutch slips."
    elif slip.what == "clutch":
        text += "It is so in high gears too, where no wheel spins: the clutch slips."
    elif by_wheel:
        text += "The wheel spins."
    elif slip.what == "lean":
        text += (
            "The clutch slips, the rear wheel spins, or it only pulls while leaned: a leaned tyre rolls less a turn. "
            "To decide it: record positions, the lean or the rear wheel's speed."
        )
    elif slip.what == "wheel":
        text += "It is so in the low gears, hardly in high ones: the rear wheel spins."
    else:
        text += (
            "The clutch slips, or the rear wheel spins. To decide it: pull hard in fourth gear or higher, or record "
            "the rear wheel's speed beside the satellites'."
        )
    return Remark("check", "slip", text, slip.pulling, source="engine over road speed, pulling against steady")


def of_cuts(cuts: int, of: int, took: float) -> Remark:
    """The changes up of a quick-shifter."""
    text = f"{cuts} of {of} changes up take about {took:.2f} s: a quick-shifter cuts the drive; nothing slips in them."
    return Remark("fits", "quick-shifter", text, took, unit="s")


def of_driving(drove: Driving, unit: str = "km/h") -> Iterator[Remark]:
    """Where in the rev range it was ridden under full pull, what changes up cost, the pull itself, and the wind."""
    text = (
        f"Under full pull ({drove.seconds:.0f} s) the engine ran half of the time from {_rpm(drove.low)} to "
        f"{_rpm(drove.high)} rpm."
    )
    if drove.changes:
        best = [advised for _, advised, _ in drove.changes]
        first, last = _rpm(min(best)), _rpm(max(best))
        text += f" Changing up is advised at {first if first == last else f'{first} to {last}'} rpm."
    costly = [one for one in drove.changes if one[2] >= _LOST]
    if costly and drove.lost >= _TOGETHER:
        early = sum(shift.engine < advised for shift, advised, _ in costly)
        shift, advised, most = max(costly, key=lambda one: one[2])
        how = "early" if early == len(costly) else "late" if not early else "early or late"
        text += (
            f" {counted(len(costly), 'change')} up came {how} and lost {drove.lost:.1f} s together; the most, "
            f"{most:.1f} s, the one from gear {shift.gear} at {_rpm(shift.engine)} rpm instead of {_rpm(advised)}."
        )
    elif drove.changes:
        text += f" The {counted(len(drove.changes), 'change')} up lost nothing to speak of."
    yield Remark("fits", "full pull", text, drove.lost, unit="s", source="thrust of the profile in both gears")
    if drove.share is None:
        return
    value, low, high = drove.share
    off = not low - _PULL_AS_KNOWN <= 1 <= high + _PULL_AS_KNOWN
    slope = "on a road taken as level" if drove.level else "with the slope by the recorded heights taken out"
    text = f"By its acceleration it pulls {percent(value)} ({percent(low)} to {percent(high)}) of what is computed, "
    if isinstance(drove.wind, str):
        text += f"{slope}. Wind is in it: {_NO_WIND[drove.wind]}"
    else:
        text += f"{slope}, and the wind too." if not drove.level else f"{slope}, with the wind taken out."
    if off:
        text += " Check torque, mass and drag area in the profile."
    yield Remark(
        "check" if off else "fits", "pull", text, value, low, high, source="acceleration with the throttle open"
    )
    if not isinstance(drove.wind, str):
        yield _of_wind(drove.wind, unit)


def _of_wind(wind: Wind, unit: str) -> Remark:
    """How the air moved over the ride."""
    one = UNITS["road"][unit]
    value, low, high = (part / one for part in (wind.speed, wind.low, wind.high))
    slope = "the slope is known by the heights" if wind.by_heights else "no slope grows with speed as wind does"
    if wind.bearing is None:
        text = f"Hardly any wind: at most {high:.0f} {unit}"
    else:
        text = f"Wind of about {value:.0f} {unit} ({low:.0f} to {high:.0f}) from {_from(wind.bearing)}"
        text += (
            f" ({round(wind.bearing / DEGREE / 5) * 5 % 360}°, within {max(5, math.ceil(wind.off / DEGREE / 5) * 5)}°)"
        )
    text += f", by the pull in all directions; {slope}."
    return Remark("fits", "wind", text, wind.speed, wind.low, wind.high, "m/s", "pull over heading and speed")


def _from(bearing: float) -> str:
    return _ROSE[round(bearing / math.tau * len(_ROSE)) % len(_ROSE)]


def _rpm(engine: float) -> int:
    return round(engine / RPM / _ROUND) * _ROUND
