"""What a ride tells, in sentences for people: all of them, and those on speeds, road load, time and laps."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from gearplan.bike.profile import Bike
from gearplan.bike.text.units import KMH, RPM
from gearplan.bike.text.written import counted, lap_time, percent, signed_percent, speed
from gearplan.language import decimal, tr, trn
from gearplan.ridelog.habits.shifts import quick_shifter
from gearplan.ridelog.learning.coastdown import CoastDown
from gearplan.ridelog.learning.speeds import SpeedError
from gearplan.ridelog.learning.times import Times
from gearplan.ridelog.reading.columns import UNITS
from gearplan.ridelog.telling.gearwords import of_gears, of_steps
from gearplan.ridelog.telling.habitwords import of_cuts, of_driving, of_slip
from gearplan.ridelog.telling.history import of_history
from gearplan.ridelog.telling.learned import Learned
from gearplan.ridelog.telling.remark import Remark

#: A share of the time that is worth a sentence.
_WORTH_TELLING = 0.02
#: What may be told first.
_FIRST = (tr("another bike"), tr("speed unit"), "slip", tr("final drive"), "history", "gearbox", "gears", "laps")


def remarks(learned: Learned, bike: Bike, unit: str = "km/h") -> tuple[Remark, ...]:
    """Every statement about a ride, what is fitted first; speeds are said in a unit of road speed."""
    found: list[Remark] = []
    if learned.gears is None:
        # A log of positions alone is meant for its laps.
        found.append(Remark("check" if learned.log.engine is not None else "fits", "gears", learned.lacking))
    else:
        lean_unknown = learned.log.road is None and learned.log.lean is None and not learned.log.placed
        found += of_gears(learned.gears, bike, counted=learned.counted is not None, lean_unknown=lean_unknown)
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
        found.append(
            Remark("fits", "log", tr("The log has {counted}, left out.", counted=counted(gaps, "gap", "gaps")))
        )
    return tuple(found)


def finding(told: Sequence[Remark]) -> Remark:
    """The statement that is told first: what is to be checked before what agrees, and what bears on all else first."""
    ranks = {about: rank for rank, about in enumerate(_FIRST)}
    return min(told, key=lambda one: (one.about not in ranks, one.level != "check", ranks.get(one.about, 0)))


def _of_speeds(speeds: SpeedError, bike: Bike, unit: str) -> Iterator[Remark]:
    low, high = speeds.low - 1, speeds.high - 1
    off = speeds.quotient - 1
    text = tr(
        "At {at} the recorded wheel speed shows {off} against the satellites",
        at=speed(speeds.at, unit),
        off=signed_percent(off),
    )
    text += tr(" ({low} to {high}).", low=signed_percent(low), high=signed_percent(high))
    yield Remark(
        "fits",
        "speedometer",
        text,
        speeds.quotient,
        speeds.low,
        speeds.high,
        source=tr("satellite speed, steady riding"),
        field="speedometer.indicated_over_true",
    )
    if speeds.growth is not None:
        fast = round(200 * KMH / UNITS["road"][unit], -1) * UNITS["road"][unit]
        grown, least, most = (100 * g * fast**2 for g in (speeds.growth, speeds.growth_low, speeds.growth_high))
        text = (
            tr(
                "The tyre grows with speed: {grown:.1f} % ({least:.1f} to {most:.1f}) at {fast}.",
                grown=grown,
                least=least,
                most=most,
                fast=speed(fast, unit),
            )
            if speeds.grows
            else tr("No growth of the tyre with speed can be told.")
        )
        sensor = bike.speedometer.sensor
        if speeds.grows and sensor == "front wheel":
            text += tr(" The sensor is at the front wheel, so it is the front tyre's.")
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
    text = tr(
        "{counted}, {seconds:.0f} s in all: drag area {drag_area:.2f} m² ({drag_low:.2f} to "
        "{drag_high:.2f}), rolling coefficient {rolling:.3f} ({rolling_low:.3f} to {rolling_high:.3f}), "
        "for {mass:.0f} kg and still air",
        counted=counted(coast.runs, "coast-down", "coast-downs"),
        seconds=coast.seconds,
        drag_area=coast.drag_area,
        drag_low=coast.drag_low,
        drag_high=coast.drag_high,
        rolling=coast.rolling,
        rolling_low=coast.rolling_low,
        rolling_high=coast.rolling_high,
        mass=coast.mass,
    )
    text += tr(" on a level road. Coast both ways to take out wind and slope.") if coast.level else "."
    return Remark(
        "check" if coast.level else "fits",
        "road load",
        text,
        coast.drag_area,
        coast.drag_low,
        coast.drag_high,
        "m²",
        tr("robust line of force over speed squared"),
        "load.drag_area_m2",
    )


def _of_times(times: Times, bike: Bike, unit: str) -> Iterator[Remark]:
    share = tr(
        "{in_gear} of the time in gear, {between} between gears or coasting, ",
        in_gear=percent(times.in_gear),
        between=percent(times.between),
    )
    most = max(times.bands, key=lambda band: band.share, default=None)
    text = share + tr("{standing} standing.", standing=percent(times.standing))
    if times.unjudged >= _WORTH_TELLING:
        text = share + tr(
            "{standing} standing; {unjudged} cannot be judged, as values are ",
            standing=percent(times.standing),
            unjudged=percent(times.unjudged),
        )
        text += tr("missing or too rare and coarse.")
    if most is not None:
        text += tr(
            " The engine ran mostly from {low:.0f} to {high:.0f} rpm ({share}).",
            low=most.low / RPM,
            high=most.high / RPM,
            share=percent(most.share),
        )
    yield Remark("fits", "time", text, times.in_gear)
    limit = bike.engine.end_rpm
    if times.hits and limit is not None:
        together = sum(hit.duration for hit in times.hits)
        fastest = max(times.hits, key=lambda hit: hit.speed or 0.0)
        text = trn(
            "The limiter ({limit:.0f} rpm) was reached once, for {together:.1f} s",
            "The limiter ({limit:.0f} rpm) was reached {n} times, together {together:.1f} s",
            len(times.hits),
            limit=limit,
            together=together,
        )
        if fastest.speed is not None:
            text += tr(", at up to {speed}", speed=speed(fastest.speed, unit))
        yield Remark("check", "limiter", text + ".", float(len(times.hits)))


def _of_laps(learned: Learned, unit: str) -> Iterator[Remark]:
    laps = learned.laps
    if laps is not None and laps.best is not None and laps.median is not None:
        best, usual = laps.best, laps.median
        text = tr(
            "{counted}; the best {time}",
            counted=counted(len(laps.whole), "whole lap", "whole laps"),
            time=lap_time(best.time),
        )
        text += tr(", the one in the middle {time}", time=lap_time(usual.time))
        rough = tr("; told by the pattern of the speed, without positions, which is rougher") if laps.rough else ""
        yield Remark("fits", "laps", f"{text}{rough}.", best.time, unit="s")
    if learned.circuit is not None:
        circuit = learned.circuit.circuit
        slowest = min(learned.circuit.apexes, key=lambda apex: apex.speed)
        text = tr(
            "The best lap as a circuit: {length_m:.0f} m, {counted}",
            length_m=circuit.length_m,
            counted=counted(len(circuit.corners), "corner", "corners"),
        )
        text += tr(
            ", the slowest at {speed}, {at:.0f} m after the line.", speed=speed(slowest.speed, unit), at=slowest.at
        )
        yield Remark("fits", "circuit", " ".join((text, *learned.circuit.notes)), circuit.length_m, unit="m")
    elif learned.no_laps and (learned.log.placed or laps is not None):
        yield Remark("fits", "laps", learned.no_laps)


def text_for_people(learned: Learned, bike: Bike) -> str:
    """The answer of the command: the ratios as a table, then every statement."""
    log = learned.log
    lines = [tr("{name}: {used_rows} of {rows} rows used", name=log.name, used_rows=log.used_rows, rows=log.rows)]
    if log.timed:
        lines[0] += tr(", {time:.1f} minutes", time=log.time[-1] / 60)
    if learned.gears is not None:
        lines += ["", tr("gear   overall ratio          rpm per km/h   share of time")]
        for gear in learned.gears.gears:
            name = str(gear.number or "?")
            if gear.overall is None or gear.low is None or gear.high is None:
                ratio = tr("not known")
            else:
                ratio = decimal(f"{gear.overall:.3f} ({gear.low:.3f}–{gear.high:.3f})")
            per = gear.cluster.ratio / RPM * KMH
            lines.append(f"{name:<7}{ratio:<23}{per:<15.2f}{percent(gear.share)}")
    lines += ["", *(f"{(tr('Check: ') if r.level == 'check' else '')}{r.text}" for r in remarks(learned, bike))]
    lines += [tr("Notice: {note}", note=note) for note in log.notes]
    return "\n".join(lines)
