"""What a ride tells of gears, sprockets and tyre, in sentences for people."""

from __future__ import annotations

from collections.abc import Iterator

from gearplan.bike.profile import Bike
from gearplan.bike.text.units import MM
from gearplan.bike.text.written import listed, percent, signed_percent
from gearplan.ridelog.learning.gears import SURE, Gears
from gearplan.ridelog.learning.sprockets import Range, Rolled, Teeth
from gearplan.ridelog.learning.steps import Steps
from gearplan.ridelog.reading.columns import UNITS
from gearplan.ridelog.telling.remark import Level, Remark

#: From this likelihood on the profile's set is said to agree.
_LIKELY = 0.4
#: The final ratio seldom changes by more than this on one bike (common practice, no source).
_SELDOM = 0.18
#: A lag (s) that is worth a sentence, and a step so near one that it is whole.
_LATE, _WHOLE = 0.1, 0.02
_LIKELIHOOD = "likelihood over sprockets near the profile's"
#: Where the range over all sets is no wider than this times the likeliest set's own, one of them is told.
_ALIKE = 1.3


def of_gears(gears: Gears, bike: Bike, *, counted: bool, lean_unknown: bool) -> Iterator[Remark]:
    """All on the gears; `counted` says that a person counted the teeth, `lean_unknown` that nothing tells the lean."""
    yield from _of_match(gears, bike)
    yield from _of_clock(gears)
    if gears.most_likely is not None:
        yield of_teeth(gears, gears.most_likely, bike, counted=counted)
        yield from _of_sets(gears)
    if gears.rolled is not None and gears.most_likely is not None:
        yield of_circumference(gears.rolled, gears.most_likely)
    if gears.undecided:
        yield of_undecided(gears)
    yield from _of_sensor(gears, lean_unknown=lean_unknown)


def _of_match(gears: Gears, bike: Bike) -> Iterator[Remark]:
    """Whether these are the profile's gears, and which were ridden."""
    if gears.unit_asked is not None:
        yield Remark(
            "check",
            "speed unit",
            f"Is the road speed in {gears.unit_asked}? Then the gears are those of this bike; as it was read they are "
            "off by the factor between the units. Nothing is concluded about sprockets and tyre until that is said.",
        )
    if gears.matched == "no":
        yield Remark(
            "check",
            "another bike",
            f"This looks like the log of another bike: the steps between the {len(gears.gears)} ridden ratios are not "
            f"those of {bike.name or 'this profile'}'s gearbox, and no clutch that slips under pull makes them so. "
            "Check the bike, or the gears in the profile.",
            field="gearbox.gears",
        )
    if gears.matched == "unknown":
        yield Remark(
            "check",
            "gearbox",
            f"{len(gears.gears)} gears were ridden. Enter primary and gears to tell sprockets and tyre from them"
            + ("; the ridden ratios can be taken over." if gears.gearbox is not None else "."),
            field="gearbox.gears",
        )
    if gears.matched == "yes":
        box = bike.gearbox.gears or ()
        told = ", ".join(str(gear.number) for gear in gears.gears)
        perhaps = "perhaps " if "gear" in gears.undecided else ""
        level: Level = "check" if perhaps else "fits"
        yield Remark(level, "gears", f"Gears ridden: {perhaps}{told} of {len(box)}.", float(len(gears.gears)))
        own = {c.ratio: number for c, number in zip(gears.ratios.clusters, gears.recorded, strict=False)}
        other = [g for g in gears.gears if own.get(g.cluster.ratio) not in (None, g.number)]
        if other:
            text = ", ".join(f"{own[gear.cluster.ratio]} where the ratio is that of {gear.number}" for gear in other)
            yield Remark(
                "check", "gear column", f"The log's own gear column says {text}. The ratios are believed here."
            )


def _of_clock(gears: Gears) -> Iterator[Remark]:
    """What was put right in the time of the two speeds."""
    if gears.ratios.in_turn:
        text = "Engine and road speed were read in turn; each is taken at its own moment."
        yield Remark("fits", "in turn", text)
    lag = gears.ratios.lag
    if abs(lag) >= _LATE:
        first, second = ("road", "engine") if lag > 0 else ("engine", "road")
        text = f"The {first} speed comes {abs(lag):.1f} s after the {second} speed; that is put right."
        yield Remark("fits", "lag", text, lag, unit="s")


def _of_sensor(gears: Gears, *, lean_unknown: bool) -> Iterator[Remark]:
    """What the speed is taken from, and what that leaves unseen."""
    if gears.sensor == "output shaft" and not gears.by_satellite and gears.teeth:
        yield Remark(
            "check",
            "speed sensor",
            "The profile says that the speed is sensed at the output shaft. If the log's road speed comes from that "
            "sensor it does not depend on sprockets and tyre; a speed by satellite would show them.",
            field="speedometer.sensor",
        )
    elif gears.sensor == "rear wheel" and not gears.by_satellite and gears.teeth:
        yield Remark(
            "check",
            "speed sensor",
            "The speed is sensed at the rear wheel: it counts turns of the wheel with the circumference that is set in "
            "the instrument. A speed by satellite would show the tyre's own.",
            field="speedometer.sensor",
        )
    if gears.by_satellite and lean_unknown:
        text = (
            "Nothing in this log tells the lean, and by satellite speed a leaned tyre looks like a shorter gear. Where "
            "a gear shows two ratios the longer one is taken as upright; the likelihoods allow for a ride that was "
            "leaned throughout. To decide it: record positions or the lean."
        )
        yield Remark("check", "lean", text)
    if gears.by_satellite:
        yield Remark("fits", "true speed", "Sprockets and tyre are computed from the speed by satellite.")


def of_steps(steps: Steps, unit: str) -> Iterator[Remark]:
    """A speed that was cut off, or may have been."""
    size = steps.step / UNITS["road"][unit]
    what = f"whole {unit}" if abs(size - 1) < _WHOLE else f"steps of {size:.2g} {unit}"
    half = f"{size / 2:.2g} {unit}"
    if steps.decided:
        text = f"The recorded speed is in {what}, cut off instead of rounded; {half} is added to it."
        yield Remark("fits", "speed steps", text, steps.cut, source="speed against engine speed at many speeds")
    elif steps.decided is None:
        text = (
            f"The recorded speed is in {what}. Whether it was rounded or cut off, which would be {half} too little on "
            "average, this ride does not tell: the ranges hold both. Ride at more different speeds in one gear to "
            "decide it."
        )
        yield Remark("check", "speed steps", text, steps.cut, source="speed against engine speed at many speeds")


def of_teeth(gears: Gears, likely: Teeth, bike: Bike, *, counted: bool = False) -> Remark:
    """What is fitted, and how sure that is."""
    on = bike.final_drive
    said = f"{likely.front}/{likely.rear}"
    if counted:
        return Remark("fits", "final drive", f"{said} as counted; all else is told for that set.", 1.0)
    sure = f"{percent(likely.likelihood)} likely"
    value, source = likely.likelihood, _LIKELIHOOD
    others = [f"{t.front}/{t.rear} ({percent(t.likelihood)})" for t in gears.teeth[1:4]]
    next_best = f" Next: {', '.join(others)}." if others and likely.likelihood < SURE else ""
    if on.front is None or on.rear is None:
        text = f"The final ratio looks like {said}, {sure}.{next_best} Count the teeth to be sure."
        return Remark("check", "final drive", text, value, unit="", source=source, field="final_drive.front")
    if (likely.front, likely.rear) == (on.front, on.rear):
        if value < _LIKELY:
            text = f"The final ratio may be that of {said} as in the profile, but it is no more than {sure}.{next_best}"
            return Remark("check", "final drive", text, value, source=source)
        text = f"The final ratio agrees with {said} as in the profile, {sure}.{next_best}"
        return Remark("fits", "final drive", text, value, source=source)
    text = (
        f"The final ratio looks like {said}, not {on.front}/{on.rear}; {sure}.{next_best} Count the teeth to be sure."
    )
    change = likely.rear / likely.front / (on.rear / on.front) - 1
    if abs(change) > _SELDOM:
        off = signed_percent(change, 0)
        text += f" That is {off} against the profile: another unit of speed or another bike's log?"
    return Remark("check", "final drive", text, value, source=source, field="final_drive.front")


def _of_sets(gears: Gears) -> Iterator[Remark]:
    """Each set that may be fitted, with what then holds; one alone is told already."""
    if len(gears.teeth) < 2:
        return
    for one in gears.teeth:
        mm, low, high = one.rolled.value / MM, one.rolled.low / MM, one.rolled.high / MM
        text = (
            f"{one.front}/{one.rear}, {percent(one.likelihood)}: the tyre rolls {mm:.0f} mm ({low:.0f} to {high:.0f})"
        )
        if gears.indicated is not None:
            text += f", the recorded speed shows {_range_of(one.indicated)}"
        yield Remark("fits", about_set(one), f"{text}.", one.likelihood, source=_LIKELIHOOD, one_of=True)


def about_set(one: Teeth) -> str:
    """What the statement on a set of sprockets is about."""
    return f"set {one.front}/{one.rear}"


def _range_of(shown: Range) -> str:
    """How much more than the true speed is shown, between what bounds."""
    return f"{signed_percent(shown.value - 1)} ({signed_percent(shown.low - 1)} to {signed_percent(shown.high - 1)})"


def of_circumference(rolled: Rolled, likely: Teeth) -> Remark:
    """How far the tyre rolls over all sets, and with the likeliest, against the profile."""
    mm, low, high = rolled.circumference / MM, rolled.low / MM, rolled.high / MM
    own = likely.rolled.low / MM, likely.rolled.high / MM
    text = f"The rear tyre rolls {low:.0f} to {high:.0f} mm a turn, over all sprockets that may be fitted"
    text += f"; with {likely.front}/{likely.rear} {mm:.0f} mm ({own[0]:.0f} to {own[1]:.0f})"
    alike = high - low < _ALIKE * (own[1] - own[0])
    if alike:
        text = f"With {likely.front}/{likely.rear} the rear tyre rolls {mm:.0f} mm a turn ({low:.0f} to {high:.0f})"
    if rolled.profile is None:
        text += "; the profile has no circumference yet."
        return Remark("check", "circumference", text, mm, low, high, "mm", field="tyre.rolling_circumference_mm")
    said = rolled.profile / MM
    where = "measured" if rolled.profile_from == "measured" else "by the size"
    off = rolled.circumference / rolled.profile - 1
    agrees = rolled.low <= rolled.profile <= rolled.high or abs(off) < 0.003
    if agrees and not alike:
        text += f". The {said:.0f} mm of the profile ({where}) may be right."
        return Remark("fits", "circumference", text, mm, low, high, "mm", field="tyre.rolling_circumference_mm")
    text += f", {'as the' if agrees else f'{signed_percent(off)} against the'} {said:.0f} mm of the profile ({where})."
    field = "tyre.rolling_circumference_mm"
    return Remark("fits" if agrees else "check", "circumference", text, mm, low, high, "mm", field=field)


def of_undecided(gears: Gears) -> Remark:
    """What this ride leaves open, between what, and what would decide it."""
    names = {
        "gear": "which gear it was",
        "sprockets": "the sprockets",
        "circumference": "the tyre's circumference",
        "speed": "the error of the recorded speed",
    }
    text = f"This ride does not decide {listed([names[what] for what in gears.undecided])}"
    text += ": several of them together give the same ratios."
    if "gear" in gears.undecided:
        ways = [f"{_named(numbers)} ({percent(chance)})" for numbers, chance in gears.gearing[:3]]
        text += f" {'The gear' if len(gears.gears) == 1 else 'The gears'} may be {' or '.join(ways)}."
    decides = ["count the teeth"]
    if not gears.by_satellite:
        decides.append("record the speed by satellite too")
    if "gear" in gears.undecided:
        decides.append("ride through the gears")
    decides.append("count the wheel's turns over a measured distance")
    return Remark("check", "undecided", f"{text} To decide it: {listed(decides, 'or')}.")


def _named(numbers: tuple[int | None, ...]) -> str:
    return ", ".join(str(number) for number in numbers if number is not None)
