"""What a ride tells of gears, sprockets and tyre, in sentences for people."""

from __future__ import annotations

from collections.abc import Iterator

from gearplan.bike.profile import Bike
from gearplan.bike.text.units import MM
from gearplan.bike.text.written import listed, percent, signed_percent
from gearplan.language import decimal, tr
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
_LIKELIHOOD = tr("likelihood over sprockets near the profile's")
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
            tr("speed unit"),
            tr(
                "Is the road speed in {unit_asked}? Then the gears are those of this bike; as it was read they "
                "are off by the factor between the units. Nothing is concluded about sprockets and tyre until "
                "that is said.",
                unit_asked=gears.unit_asked,
            ),
        )
    if gears.matched == "no":
        yield Remark(
            "check",
            tr("another bike"),
            tr(
                "This looks like the log of another bike: the steps between the {gears} ridden ratios are not "
                "those of {name}'s gearbox, and no clutch that slips under pull makes them so. Check the bike, "
                "or the gears in the profile.",
                gears=len(gears.gears),
                name=bike.name or tr("this profile"),
            ),
            field="gearbox.gears",
        )
    if gears.matched == "unknown":
        yield Remark(
            "check",
            "gearbox",
            tr(
                "{gears} gears were ridden. Enter primary and gears to tell sprockets and tyre from them",
                gears=len(gears.gears),
            )
            + (tr("; the ridden ratios can be taken over.") if gears.gearbox is not None else "."),
            field="gearbox.gears",
        )
    if gears.matched == "yes":
        box = bike.gearbox.gears or ()
        told = ", ".join(str(gear.number) for gear in gears.gears)
        perhaps = "perhaps " if "gear" in gears.undecided else ""
        level: Level = "check" if perhaps else "fits"
        yield Remark(
            level,
            "gears",
            tr("Gears ridden: {perhaps}{told} of {box}.", perhaps=perhaps, told=told, box=len(box)),
            float(len(gears.gears)),
        )
        own = {c.ratio: number for c, number in zip(gears.ratios.clusters, gears.recorded, strict=False)}
        other = [g for g in gears.gears if own.get(g.cluster.ratio) not in (None, g.number)]
        if other:
            text = ", ".join(
                tr("{own} where the ratio is that of {number}", own=own[gear.cluster.ratio], number=gear.number)
                for gear in other
            )
            yield Remark(
                "check",
                tr("gear column"),
                tr("The log's own gear column says {text}. The ratios are believed here.", text=text),
            )


def _of_clock(gears: Gears) -> Iterator[Remark]:
    """What was put right in the time of the two speeds."""
    if gears.ratios.in_turn:
        text = tr("Engine and road speed were read in turn; each is taken at its own moment.")
        yield Remark("fits", tr("in turn"), text)
    lag = gears.ratios.lag
    if abs(lag) >= _LATE:
        first, second = ("road", "engine") if lag > 0 else ("engine", "road")
        text = tr(
            "The {first} speed comes {lag:.1f} s after the {second} speed; that is put right.",
            first=first,
            lag=abs(lag),
            second=second,
        )
        yield Remark("fits", "lag", text, lag, unit="s")


def _of_sensor(gears: Gears, *, lean_unknown: bool) -> Iterator[Remark]:
    """What the speed is taken from, and what that leaves unseen."""
    if gears.sensor == "output shaft" and not gears.by_satellite and gears.teeth:
        yield Remark(
            "check",
            tr("speed sensor"),
            tr(
                "The profile says that the speed is sensed at the output shaft. If the log's road speed comes "
                "from that "
                "sensor it does not depend on sprockets and tyre; a speed by satellite would show them."
            ),
            field="speedometer.sensor",
        )
    elif gears.sensor == "rear wheel" and not gears.by_satellite and gears.teeth:
        yield Remark(
            "check",
            tr("speed sensor"),
            tr(
                "The speed is sensed at the rear wheel: it counts turns of the wheel with the circumference "
                "that is set in "
                "the instrument. A speed by satellite would show the tyre's own."
            ),
            field="speedometer.sensor",
        )
    if gears.by_satellite and lean_unknown:
        text = tr(
            "Nothing in this log tells the lean, and by satellite speed a leaned tyre looks like a shorter gear. Where "
            "a gear shows two ratios the longer one is taken as upright; the likelihoods allow for a ride that was "
            "leaned throughout. To decide it: record positions or the lean."
        )
        yield Remark("check", "lean", text)
    if gears.by_satellite:
        yield Remark("fits", tr("true speed"), tr("Sprockets and tyre are computed from the speed by satellite."))


def of_steps(steps: Steps, unit: str) -> Iterator[Remark]:
    """A speed that was cut off, or may have been."""
    size = steps.step / UNITS["road"][unit]
    what = (
        tr("whole {unit}", unit=unit)
        if abs(size - 1) < _WHOLE
        else tr("steps of {size:.2g} {unit}", size=size, unit=unit)
    )
    half = decimal(f"{size / 2:.2g} {unit}")
    if steps.decided:
        text = tr(
            "The recorded speed is in {what}, cut off instead of rounded; {half} is added to it.", what=what, half=half
        )
        yield Remark("fits", tr("speed steps"), text, steps.cut, source=tr("speed against engine speed at many speeds"))
    elif steps.decided is None:
        text = tr(
            "The recorded speed is in {what}. Whether it was rounded or cut off, which would be {half} too "
            "little on average, this ride does not tell: the ranges hold both. Ride at more different "
            "speeds in one gear to decide it.",
            what=what,
            half=half,
        )
        yield Remark(
            "check", tr("speed steps"), text, steps.cut, source=tr("speed against engine speed at many speeds")
        )


def of_teeth(gears: Gears, likely: Teeth, bike: Bike, *, counted: bool = False) -> Remark:
    """What is fitted, and how sure that is."""
    on = bike.final_drive
    said = f"{likely.front}/{likely.rear}"
    if counted:
        return Remark(
            "fits", tr("final drive"), tr("{said} as counted; all else is told for that set.", said=said), 1.0
        )
    sure = tr("{likelihood} likely", likelihood=percent(likely.likelihood))
    value, source = likely.likelihood, _LIKELIHOOD
    others = [f"{t.front}/{t.rear} ({percent(t.likelihood)})" for t in gears.teeth[1:4]]
    next_best = tr(" Next: {join}.", join=", ".join(others)) if others and likely.likelihood < SURE else ""
    if on.front is None or on.rear is None:
        text = tr(
            "The final ratio looks like {said}, {sure}.{next_best} Count the teeth to be sure.",
            said=said,
            sure=sure,
            next_best=next_best,
        )
        return Remark("check", tr("final drive"), text, value, unit="", source=source, field="final_drive.front")
    if (likely.front, likely.rear) == (on.front, on.rear):
        if value < _LIKELY:
            text = tr(
                "The final ratio may be that of {said} as in the profile, but it is no more than {sure}.{next_best}",
                said=said,
                sure=sure,
                next_best=next_best,
            )
            return Remark("check", tr("final drive"), text, value, source=source)
        text = tr(
            "The final ratio agrees with {said} as in the profile, {sure}.{next_best}",
            said=said,
            sure=sure,
            next_best=next_best,
        )
        return Remark("fits", tr("final drive"), text, value, source=source)
    text = tr(
        "The final ratio looks like {said}, not {front}/{rear}; {sure}.{next_best} Count the teeth to be sure.",
        said=said,
        front=on.front,
        rear=on.rear,
        sure=sure,
        next_best=next_best,
    )
    change = likely.rear / likely.front / (on.rear / on.front) - 1
    if abs(change) > _SELDOM:
        off = signed_percent(change, 0)
        text += tr(" That is {off} against the profile: another unit of speed or another bike's log?", off=off)
    return Remark("check", tr("final drive"), text, value, source=source, field="final_drive.front")


def _of_sets(gears: Gears) -> Iterator[Remark]:
    """Each set that may be fitted, with what then holds; one alone is told already."""
    if len(gears.teeth) < 2:
        return
    for one in gears.teeth:
        mm, low, high = one.rolled.value / MM, one.rolled.low / MM, one.rolled.high / MM
        text = tr(
            "{front}/{rear}, {likelihood}: the tyre rolls {mm:.0f} mm ({low:.0f} to {high:.0f})",
            front=one.front,
            rear=one.rear,
            likelihood=percent(one.likelihood),
            mm=mm,
            low=low,
            high=high,
        )
        if gears.indicated is not None:
            text += tr(", the recorded speed shows {range_of}", range_of=_range_of(one.indicated))
        yield Remark("fits", about_set(one), f"{text}.", one.likelihood, source=_LIKELIHOOD, one_of=True)


def about_set(one: Teeth) -> str:
    """What the statement on a set of sprockets is about."""
    return tr("set {front}/{rear}", front=one.front, rear=one.rear)


def _range_of(shown: Range) -> str:
    """How much more than the true speed is shown, between what bounds."""
    return tr(
        "{value} ({low} to {high})",
        value=signed_percent(shown.value - 1),
        low=signed_percent(shown.low - 1),
        high=signed_percent(shown.high - 1),
    )


def of_circumference(rolled: Rolled, likely: Teeth) -> Remark:
    """How far the tyre rolls over all sets, and with the likeliest, against the profile."""
    mm, low, high = rolled.circumference / MM, rolled.low / MM, rolled.high / MM
    own = likely.rolled.low / MM, likely.rolled.high / MM
    text = tr(
        "The rear tyre rolls {low:.0f} to {high:.0f} mm a turn, over all sprockets that may be fitted",
        low=low,
        high=high,
    )
    text += tr(
        "; with {front}/{rear} {mm:.0f} mm ({own:.0f} to {own2:.0f})",
        front=likely.front,
        rear=likely.rear,
        mm=mm,
        own=own[0],
        own2=own[1],
    )
    alike = high - low < _ALIKE * (own[1] - own[0])
    if alike:
        text = tr(
            "With {front}/{rear} the rear tyre rolls {mm:.0f} mm a turn ({low:.0f} to {high:.0f})",
            front=likely.front,
            rear=likely.rear,
            mm=mm,
            low=low,
            high=high,
        )
    if rolled.profile is None:
        text += tr("; the profile has no circumference yet.")
        return Remark("check", "circumference", text, mm, low, high, "mm", field="tyre.rolling_circumference_mm")
    said = rolled.profile / MM
    where = tr("measured") if rolled.profile_from == "measured" else tr("by the size")
    off = rolled.circumference / rolled.profile - 1
    agrees = rolled.low <= rolled.profile <= rolled.high or abs(off) < 0.003
    if agrees and not alike:
        text += tr(". The {mm:.0f} mm of the profile ({where}) may be right.", mm=said, where=where)
        return Remark("fits", "circumference", text, mm, low, high, "mm", field="tyre.rolling_circumference_mm")
    if agrees:
        text += tr(", as the {mm:.0f} mm of the profile ({where}).", mm=said, where=where)
    else:
        off_by = signed_percent(off)
        text += tr(", {off} against the {mm:.0f} mm of the profile ({where}).", off=off_by, mm=said, where=where)
    field = "tyre.rolling_circumference_mm"
    return Remark("fits" if agrees else "check", "circumference", text, mm, low, high, "mm", field=field)


def of_undecided(gears: Gears) -> Remark:
    """What this ride leaves open, between what, and what would decide it."""
    names = {
        "gear": tr("which gear it was"),
        "sprockets": tr("the sprockets"),
        "circumference": tr("the tyre's circumference"),
        "speed": tr("the error of the recorded speed"),
    }
    text = tr("This ride does not decide {listed}", listed=listed([names[what] for what in gears.undecided]))
    text += tr(": several of them together give the same ratios.")
    if "gear" in gears.undecided:
        ways = [f"{_named(numbers)} ({percent(chance)})" for numbers, chance in gears.gearing[:3]]
        told = listed(ways, tr("or")) if len(ways) < 3 else tr(" or ").join(ways)
        text += (
            tr(" The gear may be {gears}.", gears=told)
            if len(gears.gears) == 1
            else tr(" The gears may be {gears}.", gears=told)
        )
    decides = [tr("count the teeth")]
    if not gears.by_satellite:
        decides.append(tr("record the speed by satellite too"))
    if "gear" in gears.undecided:
        decides.append(tr("ride through the gears"))
    decides.append(tr("count the wheel's turns over a measured distance"))
    return Remark(
        "check", "undecided", tr("{text} To decide it: {listed}.", text=text, listed=listed(decides, tr("or")))
    )


def _named(numbers: tuple[int | None, ...]) -> str:
    return ", ".join(str(number) for number in numbers if number is not None)
