"""What a ride tells, in sentences for people."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from gearplan.bike.profile import Bike
from gearplan.bike.text.units import KMH, MM, RPM
from gearplan.bike.text.written import counted, lap_time, listed, percent, signed_percent, speed
from gearplan.ridelog.habits.shifts import quick_shifter
from gearplan.ridelog.learning.coastdown import CoastDown
from gearplan.ridelog.learning.gears import SURE, Gears
from gearplan.ridelog.learning.speeds import SpeedError
from gearplan.ridelog.learning.sprockets import Range, Rolled, Teeth
from gearplan.ridelog.learning.steps import Steps
from gearplan.ridelog.learning.times import Times
from gearplan.ridelog.reading.columns import UNITS
from gearplan.ridelog.telling.habitwords import of_cuts, of_driving, of_slip
from gearplan.ridelog.telling.history import of_history
from gearplan.ridelog.telling.learned import Learned
from gearplan.ridelog.telling.remark import Level, Remark

#: From this likelihood on the profile's set is said to agree.
_LIKELY = 0.4
#: The final ratio seldom changes by more than this on one bike (common practice, no source).
_SELDOM = 0.18
#: A share of the time, and a lag (s), that is worth a sentence.
_WORTH_TELLING, _LATE = 0.02, 0.1
#: A step so near one is whole.
_WHOLE = 0.02
#: What may be told first.
_FIRST = ("another bike", "speed unit", "slip", "final drive", "history", "gearbox", "gears", "laps")
_LIKELIHOOD = "likelihood over sprockets near the profile's"
#: Where the range over all sets is no wider than this times the likeliest set's own, one of them is told.
_ALIKE = 1.3


def remarks(learned: Learned, bike: Bike, unit: str = "km/h") -> tuple[Remark, ...]:
    """Every statement about a ride, what is fitted first; speeds are said in a unit of road speed."""
    found: list[Remark] = []
    if learned.gears is None:
        # A log of positions alone is meant for its laps.
        found.append(Remark("check" if learned.log.engine is not None else "fits", "gears", learned.lacking))
    else:
        lean_unknown = learned.log.road is None and learned.log.lean is None and not learned.log.placed
        found += _of_gears(learned.gears, bike, counted=learned.counted is not None, lean_unknown=lean_unknown)
    if learned.steps is not None:
        found += of_steps(learned.steps, learned.log.road_unit)
    if learned.slip is not None:
        found.append(of_slip(learned.slip))
    if (cuts := quick_shifter(learned.shifts)) is not None:
        found.append(of_cuts(*cuts))
    if learned.drove is not None:
        found += of_driving(learned.drove, unit)
    if learned.speeds is not None:
        found += _of_speeds(learned.speeds, bike, unit)
    if learned.coast is not None:
        found.append(of_coast(learned.coast))
    if learned.times is not None:
        found += _of_times(learned.times, bike, unit)
    found += _of_laps(learned, unit)
    if (changed := of_history(learned, bike)) is not None:
        found.append(changed)
    gaps = learned.log.gaps()
    if gaps:
        found.append(Remark("fits", "log", f"The log has {counted(gaps, 'gap')}, left out."))
    return tuple(found)


def finding(told: Sequence[Remark]) -> Remark:
    """The statement that is told first: what is to be checked before what agrees, and what bears on all else first."""
    ranks = {about: rank for rank, about in enumerate(_FIRST)}
    return min(told, key=lambda one: (one.about not in ranks, one.level != "check", ranks.get(one.about, 0)))


def _of_gears(gears: Gears, bike: Bike, *, counted: bool, lean_unknown: bool) -> Iterator[Remark]:
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
    if gears.ratios.in_turn:
        text = "Engine and road speed were read in turn; each is taken at its own moment."
        yield Remark("fits", "in turn", text)
    lag = gears.ratios.lag
    if abs(lag) >= _LATE:
        first, second = ("road", "engine") if lag > 0 else ("engine", "road")
        text = f"The {first} speed comes {abs(lag):.1f} s after the {second} speed; that is put right."
        yield Remark("fits", "lag", text, lag, unit="s")
    if gears.most_likely is not None:
        yield of_teeth(gears, gears.most_likely, bike, counted=counted)
        yield from _of_sets(gears)
    if gears.rolled is not None and gears.most_likely is not None:
        yield of_circumference(gears.rolled, gears.most_likely)
    if gears.undecided:
        yield of_undecided(gears)
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


def _of_speeds(speeds: SpeedError, bike: Bike, unit: str) -> Iterator[Remark]:
    low, high = speeds.low - 1, speeds.high - 1
    off = speeds.quotient - 1
    text = f"At {speed(speeds.at, unit)} the recorded wheel speed shows {signed_percent(off)} against the satellites"
    text += f" ({signed_percent(low)} to {signed_percent(high)})."
    yield Remark(
        "fits",
        "speedometer",
        text,
        speeds.quotient,
        speeds.low,
        speeds.high,
        source="satellite speed, steady riding",
        field="speedometer.indicated_over_true",
    )
    if speeds.growth is not None:
        fast = round(200 * KMH / UNITS["road"][unit], -1) * UNITS["road"][unit]
        grown, least, most = (100 * g * fast**2 for g in (speeds.growth, speeds.growth_low, speeds.growth_high))
        text = (
            f"The tyre grows with speed: {grown:.1f} % ({least:.1f} to {most:.1f}) at {speed(fast, unit)}."
            if speeds.grows
            else "No growth of the tyre with speed can be told."
        )
        sensor = bike.speedometer.sensor
        if speeds.grows and sensor == "front wheel":
            text += " The sensor is at the front wheel, so it is the front tyre's."
        yield Remark(
            "fits",
            "tyre growth",
            text,
            speeds.growth,
            speeds.growth_low,
            speeds.growth_high,
            "s²/m²",
            field="tyre.growth_per_mps2",
        )


def of_coast(coast: CoastDown) -> Remark:
    """The road load from coast-downs."""
    text = (
        f"{counted(coast.runs, 'coast-down')}, {coast.seconds:.0f} s in all: drag area "
        f"{coast.drag_area:.2f} m² ({coast.drag_low:.2f} to {coast.drag_high:.2f}), rolling coefficient "
        f"{coast.rolling:.3f} ({coast.rolling_low:.3f} to {coast.rolling_high:.3f}), "
        f"for {coast.mass:.0f} kg and still air"
    )
    text += " on a level road. Coast both ways to take out wind and slope." if coast.level else "."
    return Remark(
        "check" if coast.level else "fits",
        "road load",
        text,
        coast.drag_area,
        coast.drag_low,
        coast.drag_high,
        "m²",
        "robust line of force over speed squared",
        "load.drag_area_m2",
    )


def _of_times(times: Times, bike: Bike, unit: str) -> Iterator[Remark]:
    share = f"{percent(times.in_gear)} of the time in gear, {percent(times.between)} between gears or coasting, "
    most = max(times.bands, key=lambda band: band.share, default=None)
    text = share + f"{percent(times.standing)} standing."
    if times.unjudged >= _WORTH_TELLING:
        text = share + f"{percent(times.standing)} standing; {percent(times.unjudged)} cannot be judged, as values are "
        text += "missing or too rare and coarse."
    if most is not None:
        text += (
            f" The engine ran mostly from {most.low / RPM:.0f} to {most.high / RPM:.0f} rpm ({percent(most.share)})."
        )
    yield Remark("fits", "time", text, times.in_gear)
    limit = bike.engine.end_rpm
    if times.hits and limit is not None:
        together = sum(hit.duration for hit in times.hits)
        fastest = max(times.hits, key=lambda hit: hit.speed or 0.0)
        often = "once, for" if len(times.hits) == 1 else f"{len(times.hits)} times, together"
        text = f"The limiter ({limit:.0f} rpm) was reached {often} {together:.1f} s"
        if fastest.speed is not None:
            text += f", at up to {speed(fastest.speed, unit)}"
        yield Remark("check", "limiter", text + ".", float(len(times.hits)))


def _of_laps(learned: Learned, unit: str) -> Iterator[Remark]:
    laps = learned.laps
    if laps is not None and laps.best is not None and laps.median is not None:
        best, usual = laps.best, laps.median
        text = f"{counted(len(laps.whole), 'whole lap')}; the best {lap_time(best.time)}"
        text += f", the one in the middle {lap_time(usual.time)}"
        rough = "; told by the pattern of the speed, without positions, which is rougher" if laps.rough else ""
        yield Remark("fits", "laps", f"{text}{rough}.", best.time, unit="s")
    if learned.circuit is not None:
        circuit = learned.circuit.circuit
        slowest = min(learned.circuit.apexes, key=lambda apex: apex.speed)
        text = f"The best lap as a circuit: {circuit.length_m:.0f} m, {counted(len(circuit.corners), 'corner')}"
        text += f", the slowest at {speed(slowest.speed, unit)}, {slowest.at:.0f} m after the line."
        yield Remark("fits", "circuit", " ".join((text, *learned.circuit.notes)), circuit.length_m, unit="m")
    elif learned.no_laps and (learned.log.placed or laps is not None):
        yield Remark("fits", "laps", learned.no_laps)


def text_for_people(learned: Learned, bike: Bike) -> str:
    """The answer of the command: the ratios as a table, then every statement."""
    log = learned.log
    lines = [f"{log.name}: {log.used_rows} of {log.rows} rows used"]
    if log.timed:
        lines[0] += f", {log.time[-1] / 60:.1f} minutes"
    if learned.gears is not None:
        lines += ["", "gear   overall ratio          rpm per km/h   share of time"]
        for gear in learned.gears.gears:
            name = str(gear.number or "?")
            if gear.overall is None or gear.low is None or gear.high is None:
                ratio = "not known"
            else:
                ratio = f"{gear.overall:.3f} ({gear.low:.3f}–{gear.high:.3f})"
            per = gear.cluster.ratio / RPM * KMH
            lines.append(f"{name:<7}{ratio:<23}{per:<15.2f}{percent(gear.share)}")
    lines += ["", *(f"{'Check: ' if r.level == 'check' else ''}{r.text}" for r in remarks(learned, bike))]
    lines += [f"Notice: {note}" for note in log.notes]
    return "\n".join(lines)
