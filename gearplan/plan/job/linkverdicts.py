"""What the readings at the closing link say: the links counted, the plate pressed on, the pins riveted. SI."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from gearplan.bike.profile import Bike
from gearplan.bike.text.units import MM
from gearplan.bike.work.job import Job
from gearplan.language import tr
from gearplan.plan.findings import Finding
from gearplan.plan.job.steps.readings import ROUNDING, Reading, shown
from gearplan.plan.job.steps.targets import PINS, allowed

_WIDTH = "press-on width"


def count_findings(job: Job, readings: Mapping[str, Reading]) -> Iterator[Finding]:
    """Whether as many links were counted as the job wants."""
    counted = readings.get("links")
    if counted is None or job.links is None:
        return
    given = {"counted": counted.value, "wanted": job.links}
    figures = (counted.value, job.links, "links", tr("this job"))
    if counted.value == job.links:
        yield Finding("fits", "links", tr("{counted:g} links counted, {wanted} wanted.", **given), *figures)
    else:
        text = tr("{counted:g} links counted, {wanted} wanted: count again before cutting.", **given)
        yield Finding("does not fit", "links", text, *figures)


def press_findings(bike: Bike, readings: Mapping[str, Reading]) -> Iterator[Finding]:
    """The new link's width against the links beside it, and against what the chain maker says."""
    service, new = bike.service, readings.get("press_width")
    beside = [readings[key] for key in ("press_beside_1", "press_beside_2") if key in readings]
    if new is None:
        return
    tolerance, source = allowed(bike, "press_tolerance_mm")
    against = [(r.value, False, source) for r in beside]
    if service.press_width_mm is not None:
        named = service.press_width_mm_from or tr("as entered")
        both = tr("{maker}; tolerance: {source}", maker=named, source=source)
        against.append((service.press_width_mm * MM, True, both))
    if not against:
        return
    value, by_maker, where = max(against, key=lambda other: abs(new.value - other[0]))
    by, limit = new.value - value, shown(tolerance, new.unit)
    figures = (abs(by) / MM, tolerance / MM, "mm", where)
    if abs(by) < ROUNDING:
        text = tr("As wide as the links beside it: accepted ({limit} is allowed). Is the link free?", limit=limit)
        yield Finding("fits", _WIDTH, text, *figures)
        return
    told = _compared(shown(abs(by), new.unit), wider=by > 0, by_maker=by_maker)
    if abs(by) <= tolerance + ROUNDING:
        text = tr("{told}: accepted ({limit} is allowed). Is the link free?", told=told, limit=limit)
        yield Finding("fits", _WIDTH, text, *figures)
    elif by > 0:
        text = tr(
            "{told}, {limit} is allowed: press the plate on a little further and measure again.", told=told, limit=limit
        )
        yield Finding("does not fit", _WIDTH, text, *figures)
    else:
        text = tr(
            "{told}, {limit} is allowed: pressed too far. If the link is stiff, fit a new one; it cannot be undone.",
            told=told,
            limit=limit,
        )
        yield Finding("does not fit", _WIDTH, text, *figures)


def _compared(by: str, *, wider: bool, by_maker: bool) -> str:
    if by_maker and wider:
        return tr("{by} wider than the chain maker says", by=by)
    if by_maker:
        return tr("{by} narrower than the chain maker says", by=by)
    if wider:
        return tr("{by} wider than the link beside it", by=by)
    return tr("{by} narrower than the link beside it", by=by)


def rivet_findings(bike: Bike, readings: Mapping[str, Reading]) -> Iterator[Finding]:
    """How far each pin's end was flared, against the chain maker's range."""
    least, most = bike.service.rivet_flare_mm or (None, None)
    source = bike.service.rivet_flare_mm_from or tr("as entered")
    any_read = False
    for pin in range(1, PINS + 1):
        before, after = readings.get(f"flare_{pin}_before"), readings.get(f"flare_{pin}_after")
        if after is None:
            continue
        any_read, about = True, f"rivet, pin {pin}"
        told, figures = _pin(pin, before, after), (after.value / MM, least, "mm", source)
        if before is not None and after.value <= before.value:
            text = tr("{told}: it has not flared. Were before and after swapped? Press again and measure.", told=told)
            yield Finding("does not fit", about, text)
        elif least is not None and after.value < least * MM - ROUNDING:
            at_least = shown(least * MM, after.unit)
            text = tr("{told}; at least {least}: flare on in small steps.", told=told, least=at_least)
            yield Finding("does not fit", about, text, *figures)
        elif most is not None and after.value > most * MM + ROUNDING:
            at_most = shown(most * MM, after.unit)
            text = tr("{told}; at most {most}: overpressed, it can crack. Fit a new link.", told=told, most=at_most)
            yield Finding("does not fit", about, text, after.value / MM, most, "mm", source)
        elif least is not None and most is not None:
            ends = {"least": shown(least * MM, after.unit), "most": shown(most * MM, after.unit)}
            text = tr("{told}; within {least} to {most}.", told=told, **ends)
            yield Finding("fits", about, text, after.value / MM, most, "mm", source)
        else:
            yield Finding("fits", about, f"{told}.", after.value / MM, None, "mm")
    if any_read and (least is None or most is None):
        text = tr("The chain maker's range for the flared rivet is not entered: compare with its paper.")
        yield Finding("check", "rivet", text, field="service.rivet_flare_mm")


def _pin(pin: int, before: Reading | None, after: Reading) -> str:
    width = shown(after.value, after.unit)
    if before is None:
        return tr("Pin {pin}: {width}", pin=pin, width=width)
    grown = shown(after.value - before.value, after.unit)
    return tr("Pin {pin}: {width}, grown by {grown}", pin=pin, width=width, grown=grown)
