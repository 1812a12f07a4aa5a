"""How a motorcycle was ridden, and what gave way, in sentences for people."""

from __future__ import annotations

import math
from collections.abc import Iterator

from gearplan.bike.text.units import DEGREE, RPM
from gearplan.bike.text.written import percent
from gearplan.language import tr, trn
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
    NO_PLACES: tr(
        "without positions nobody knows which way it was ridden. Record them, or ride both ways to take it out."
    ),
    ONE_LINE: tr(
        "it was ridden along one line, and there wind and slope both help one way and hinder the other. Ride "
        "both ways to take it out, or in all directions to tell it."
    ),
    NO_HEIGHTS: tr(
        "no heights were recorded, and a slope looks like wind. Record heights, or ride both ways to take it out."
    ),
    TOO_LITTLE: tr("too little full pull in too few places tells it. Ride both ways to take it out."),
}
_ROSE = (
    tr("the north"),
    tr("the north-east"),
    tr("the east"),
    tr("the south-east"),
    tr("the south"),
    tr("the south-west"),
    tr("the west"),
    tr("the north-west"),
)
#: Engine speeds are told in steps of this (rpm).
_ROUND = 50
#: Bearings are told in steps of this (°).
_BEARING = 5


def of_slip(slip: Slip) -> Remark:
    """What gives way under pull, its evidence, and what would tell where that is open."""
    by_wheel = slip.by_wheels and slip.what == "wheel"
    shares = {"pulling": percent(slip.pulling), "steady": percent(slip.steady)}
    if by_wheel:
        text = tr(
            "Under pull the rear wheel runs ahead of the road: by 3 % or more in {pulling} of the time in which it "
            "accelerates, in {steady} at steady speed. ",
            **shares,
        )
    else:
        text = tr(
            "Under pull the engine runs ahead of its gear: by 3 % or more in {pulling} of the time in which it "
            "accelerates, in {steady} at steady speed. ",
            **shares,
        )
    if slip.what == "clutch" and slip.by_wheels:
        text += tr("The speed is sensed behind the clutch, so the clutch slips.")
    elif slip.what == "clutch":
        text += tr("It is so in high gears too, where no wheel spins: the clutch slips.")
    elif by_wheel:
        text += tr("The wheel spins.")
    elif slip.what == "lean":
        text += tr(
            "The clutch slips, the rear wheel spins, or it only pulls while leaned: a leaned tyre rolls less a turn. "
            "To decide it: record positions, the lean or the rear wheel's speed."
        )
    elif slip.what == "wheel":
        text += tr("It is so in the low gears, hardly in high ones: the rear wheel spins.")
    else:
        text += tr(
            "The clutch slips, or the rear wheel spins. To decide it: pull hard in fourth gear or higher, or record "
            "the rear wheel's speed beside the satellites'."
        )
    return Remark("check", "slip", text, slip.pulling, source=tr("engine over road speed, pulling against steady"))


def of_cuts(cuts: int, of: int, took: float) -> Remark:
    """The changes up of a quick-shifter."""
    text = tr(
        "{cuts} of {of} changes up take about {took:.2f} s: a quick-shifter cuts the drive; nothing slips in them.",
        cuts=cuts,
        of=of,
        took=took,
    )
    return Remark("fits", "quick-shifter", text, took, unit="s")


def of_driving(drove: Driving, unit: str = "km/h") -> Iterator[Remark]:
    """Where in the rev range it was ridden under full pull, what changes up cost, the pull itself, and the wind."""
    text = tr(
        "Under full pull ({seconds:.0f} s) the engine ran half of the time from {rpm} to {rpm2} rpm.",
        seconds=drove.seconds,
        rpm=_rpm(drove.low),
        rpm2=_rpm(drove.high),
    )
    if drove.changes:
        best = [advised for _, advised, _ in drove.changes]
        first, last = _rpm(min(best)), _rpm(max(best))
        text += tr(
            " Changing up is advised at {first} rpm.",
            first=first if first == last else tr("{first} to {last}", first=first, last=last),
        )
    costly = [one for one in drove.changes if one[2] >= _LOST]
    if costly and drove.lost >= _TOGETHER:
        early = sum(shift.engine < advised for shift, advised, _ in costly)
        shift, advised, most = max(costly, key=lambda one: one[2])
        how = tr("early") if early == len(costly) else tr("late") if not early else tr("early or late")
        text += trn(
            " {n} change up came {how} and lost {lost:.1f} s together; the most, {most:.1f} s, the one from "
            "gear {gear} at {at} rpm instead of {advised}.",
            " {n} changes up came {how} and lost {lost:.1f} s together; the most, {most:.1f} s, the one from "
            "gear {gear} at {at} rpm instead of {advised}.",
            len(costly),
            how=how,
            lost=drove.lost,
            most=most,
            gear=shift.gear,
            at=_rpm(shift.engine),
            advised=_rpm(advised),
        )
    elif drove.changes:
        text += trn(
            " The {n} change up lost nothing to speak of.",
            " The {n} changes up lost nothing to speak of.",
            len(drove.changes),
        )
    yield Remark("fits", tr("full pull"), text, drove.lost, unit="s", source=tr("thrust of the profile in both gears"))
    if drove.share is None:
        return
    value, low, high = drove.share
    off = not low - _PULL_AS_KNOWN <= 1 <= high + _PULL_AS_KNOWN
    slope = tr("on a road taken as level") if drove.level else tr("with the slope by the recorded heights taken out")
    text = tr(
        "By its acceleration it pulls {value} ({low} to {high}) of what is computed, ",
        value=percent(value),
        low=percent(low),
        high=percent(high),
    )
    if isinstance(drove.wind, str):
        text += tr("{slope}. Wind is in it: {no_wind}", slope=slope, no_wind=_NO_WIND[drove.wind])
    else:
        text += (
            tr("{slope}, and the wind too.", slope=slope)
            if not drove.level
            else tr("{slope}, with the wind taken out.", slope=slope)
        )
    if off:
        text += tr(" Check torque, mass and drag area in the profile.")
    yield Remark(
        "check" if off else "fits", "pull", text, value, low, high, source=tr("acceleration with the throttle open")
    )
    if not isinstance(drove.wind, str):
        yield _of_wind(drove.wind, unit)


def _of_wind(wind: Wind, unit: str) -> Remark:
    """How the air moved over the ride."""
    one = UNITS["road"][unit]
    value, low, high = (part / one for part in (wind.speed, wind.low, wind.high))
    slope = tr("the slope is known by the heights") if wind.by_heights else tr("no slope grows with speed as wind does")
    if wind.bearing is None:
        text = tr("Hardly any wind: at most {high:.0f} {unit}", high=high, unit=unit)
    else:
        text = tr(
            "Wind of about {value:.0f} {unit} ({low:.0f} to {high:.0f}) from {from_}",
            value=value,
            unit=unit,
            low=low,
            high=high,
            from_=_from(wind.bearing),
        )
        text += tr(
            " ({bearing}°, within {part}°)",
            bearing=round(wind.bearing / DEGREE / 5) * 5 % 360,
            part=max(5, math.ceil(wind.off / DEGREE / 5) * 5),
        )
    text += tr(", by the pull in all directions; {slope}.", slope=slope)
    return Remark("fits", "wind", text, wind.speed, wind.low, wind.high, "m/s", tr("pull over heading and speed"))


def _from(bearing: float) -> str:
    return _ROSE[round(bearing / math.tau * len(_ROSE)) % len(_ROSE)]


def _rpm(engine: float) -> int:
    return round(engine / RPM / _ROUND) * _ROUND
