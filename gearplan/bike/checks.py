"""What is wrong with entered values, in words that say what would be right.

`check_value` judges one field by itself: its kind and the bounds of sense; such a value is refused.
`check_bike` finds contradictions between fields; those are kept and shown, for the work may be unfinished.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from gearplan.bike.profile import Bike, Engine, entry
from gearplan.bike.text.units import RPM
from gearplan.bike.text.unitset import METRIC, UnitSet
from gearplan.bike.values import check_entry
from gearplan.language import tr

#: Outside this a centre of mass is asked about: common practice, no source.
_USUAL_HEIGHT_MM = (300, 1000)
#: Peaks that are rounded to their last figures contradict each other by less than this.
_PEAKS_AGREE = 1.01


@dataclass(frozen=True, slots=True)
class Problem:
    """A contradiction, told at one field; `index` is the gear or the point it concerns, from 0."""

    section: str
    key: str
    text: str
    index: int | None = None


def check_value(section: str, key: str, value: object, *, units: UnitSet = METRIC) -> str | None:
    """Why a value cannot stand in this field, with what would be right; None if it can. None is always right."""
    return check_entry(entry(section, key), value, units)


@lru_cache(maxsize=64)
def check_bike(bike: Bike) -> tuple[Problem, ...]:
    """All contradictions between the fields of a profile; fields that are not entered contradict nothing."""
    return (*_engine_problems(bike), *_gear_problems(bike), *_chassis_problems(bike), *_service_problems(bike))


def _engine_problems(bike: Bike) -> Iterator[Problem]:
    e = bike.engine
    top = e.end_rpm
    if e.idle_rpm is not None and e.redline_rpm is not None and e.idle_rpm >= e.redline_rpm:
        text = tr(
            "The idle of {idle_rpm:g} rpm must lie below the redline of {redline_rpm:g} rpm.",
            idle_rpm=e.idle_rpm,
            redline_rpm=e.redline_rpm,
        )
        yield Problem("engine", "idle_rpm", text)
    if e.limiter_rpm is not None and e.redline_rpm is not None and e.limiter_rpm < e.redline_rpm:
        text = tr(
            "The limiter at {limiter_rpm:g} rpm must not lie below the redline of {redline_rpm:g} rpm.",
            limiter_rpm=e.limiter_rpm,
            redline_rpm=e.redline_rpm,
        )
        yield Problem("engine", "limiter_rpm", text)
    if e.launch_rpm is not None and top is not None and e.launch_rpm > top:
        text = tr(
            "The launch speed of {launch_rpm:g} rpm must not lie above {top:g} rpm, where the engine ends.",
            launch_rpm=e.launch_rpm,
            top=top,
        )
        yield Problem("engine", "launch_rpm", text)
    yield from _peak_problems(bike)
    if problem := peak_problem(e):
        yield problem
    for index, (one, other) in enumerate(itertools.pairwise(e.torque or ())):
        if one[0] >= other[0]:
            text = tr(
                "Torque point {index} at {other:g} rpm must come after {one:g} rpm: sort the points.",
                index=index + 2,
                other=other[0],
                one=one[0],
            )
            yield Problem("engine", "torque", text, index + 1)


def _peak_problems(bike: Bike) -> Iterator[Problem]:
    """Peaks where the engine never gets: a curve of another engine, or a misread unit."""
    e = bike.engine
    top = e.end_rpm
    if top is None:
        return
    if e.torque:
        peak = max(e.torque, key=lambda point: point[1])
        if peak[0] > top:
            text = tr(
                "The curve peaks at {peak:g} rpm, outside the rev range that ends at {top:g} rpm.",
                peak=peak[0],
                top=top,
            )
            yield Problem("engine", "torque", text, e.torque.index(peak))
        low = e.idle_rpm
        if low is not None and peak[0] < low:
            text = tr("The curve peaks at {peak:g} rpm, below the idle of {low:g} rpm.", peak=peak[0], low=low)
            yield Problem("engine", "torque", text, e.torque.index(peak))
    for key in ("peak_torque_rpm", "peak_power_rpm"):
        at = getattr(e, key)
        if at is not None and at > top:
            yield Problem(
                "engine", key, tr("{at:g} rpm lies outside the rev range, which ends at {top:g} rpm.", at=at, top=top)
            )


def peak_problem(engine: Engine) -> Problem | None:
    """What peak torque and peak power contradict each other in; None while all agree, or not all are entered."""
    e = engine
    if e.peak_torque_rpm and e.peak_power_rpm and e.peak_torque_rpm > e.peak_power_rpm:
        text = tr(
            "Peak torque at {peak_torque_rpm:g} rpm must not come after peak power at {peak_power_rpm:g} "
            "rpm: are they swapped?",
            peak_torque_rpm=e.peak_torque_rpm,
            peak_power_rpm=e.peak_power_rpm,
        )
        return Problem("engine", "peak_torque_rpm", text)
    if not (e.peak_torque_nm and e.peak_power_kw):
        return None
    least = e.peak_torque_nm * (e.peak_torque_rpm or 0.0) * RPM / 1e3
    if least > _PEAKS_AGREE * e.peak_power_kw:
        text = tr(
            "The peak power of {peak_power_kw:g} kW is less than the {least:.1f} kW that "
            "{peak_torque_nm:g} N·m at {peak_torque_rpm:g} rpm already give.",
            peak_power_kw=e.peak_power_kw,
            least=least,
            peak_torque_nm=e.peak_torque_nm,
            peak_torque_rpm=e.peak_torque_rpm,
        )
        return Problem("engine", "peak_power_kw", text)
    needs = e.peak_power_kw * 1e3 / (e.peak_power_rpm * RPM) if e.peak_power_rpm else 0.0
    if needs > _PEAKS_AGREE * e.peak_torque_nm:
        text = tr(
            "A peak power of {peak_power_kw:g} kW at {peak_power_rpm:g} rpm needs {needs:.1f} N·m there, "
            "more than the peak torque of {peak_torque_nm:g} N·m.",
            peak_power_kw=e.peak_power_kw,
            peak_power_rpm=e.peak_power_rpm,
            needs=needs,
            peak_torque_nm=e.peak_torque_nm,
        )
        return Problem("engine", "peak_power_kw", text)
    return None


def _gear_problems(bike: Bike) -> Iterator[Problem]:
    primary, gears = bike.gearbox.primary, bike.gearbox.gears or ()
    values = [_value(gear) for gear in gears]
    if (ratio := _value(primary)) is not None and ratio < 1:
        yield Problem("gearbox", "primary", _below_one(tr("The primary ratio"), primary, ratio))
    if values and values[0] is not None and values[0] < 1:
        yield Problem("gearbox", "gears", _below_one(tr("Gear 1"), gears[0], values[0]), 0)
    count = bike.gearbox.count
    if count is not None and len(gears) > count:
        text = tr(
            "{gears} gears are entered, but the number of gears says {count}: which of them is right?",
            gears=len(gears),
            count=count,
        )
        yield Problem("gearbox", "count", text)
    front, rear = bike.final_drive.front, bike.final_drive.rear
    if front is not None and rear is not None and front >= rear:
        text = tr(
            "A front sprocket of {front} teeth is not smaller than the rear one of {rear}: are they swapped?",
            front=front,
            rear=rear,
        )
        yield Problem("final_drive", "front", text)
    for index, (one, other) in enumerate(itertools.pairwise(values)):
        if one is not None and other is not None and other >= one:
            text = tr(
                "Gear {index} ({other:.3f}) must have a smaller ratio than gear {index2} ({one:.3f}): is "
                "the order or the driver and driven wheel swapped?",
                index=index + 2,
                other=other,
                index2=index + 1,
                one=one,
            )
            yield Problem("gearbox", "gears", text, index + 1)


def _below_one(name: str, entered: object, ratio: float) -> str:
    """Workshop manuals often print the driven count first."""
    if not isinstance(entered, tuple):
        return tr(
            "{name} is {ratio:.3f}, below 1. Are driver and driven swapped? The ratio is driven ÷ driver teeth.",
            name=name,
            ratio=ratio,
        )
    driver, driven = entered
    return tr(
        "{name} of {driver}/{driven} teeth is {ratio:.3f}, below 1. Are driver and driven swapped? The "
        "driving gear comes first: {driven}/{driver}.",
        name=name,
        driver=driver,
        driven=driven,
        ratio=ratio,
    )


def _chassis_problems(bike: Bike) -> Iterator[Problem]:
    c, links = bike.chassis, bike.final_drive.links
    low, high = c.axle_range_mm or (None, None)
    if low is not None and high is not None and low >= high:
        text = tr(
            "The adjuster's ends are swapped or equal: {low:g} mm forward must be less than {high:g} mm back.",
            low=low,
            high=high,
        )
        yield Problem("chassis", "axle_range_mm", text)
    elif low is not None and high is not None and c.axle_now_mm is not None and not low <= c.axle_now_mm <= high:
        text = tr(
            "The axle at {axle_now_mm:g} mm lies outside the adjuster's range, {low:g} to {high:g} mm.",
            axle_now_mm=c.axle_now_mm,
            low=low,
            high=high,
        )
        yield Problem("chassis", "axle_now_mm", text)
    compressed, extended = c.swingarm_travel_deg or (None, None)
    if compressed is not None and extended is not None and compressed >= extended:
        text = tr(
            "The swingarm's travel is upside down: {compressed:g}° compressed must be less than "
            "{extended:g}° extended (degrees below horizontal).",
            compressed=compressed,
            extended=extended,
        )
        yield Problem("chassis", "swingarm_travel_deg", text)
    ahead, base = c.com_ahead_of_rear_axle_mm, c.wheelbase_mm
    if ahead is not None and base is not None and ahead >= base:
        text = tr(
            "A centre of mass {ahead:g} mm ahead of the rear axle lies beyond the front axle, {base:g} mm "
            "ahead: measure again.",
            ahead=ahead,
            base=base,
        )
        yield Problem("chassis", "com_ahead_of_rear_axle_mm", text)
    height = c.com_height_mm
    if height is not None and not _USUAL_HEIGHT_MM[0] <= height <= _USUAL_HEIGHT_MM[1]:
        text = tr(
            "A centre of mass {height:g} mm above the road is unusual: with its rider a motorcycle has it "
            "some 450 to 750 mm up. Is the figure in mm?",
            height=height,
        )
        yield Problem("chassis", "com_height_mm", text)
    if links is not None and links % 2 and bike.final_drive.offset_link != "yes":
        text = tr(
            "{links} links is an odd count, which needs an offset link: count again, or say that it has one.",
            links=links,
        )
        yield Problem("final_drive", "links", text)
    new = bike.new_chain
    if new.size is None and (new.tensile_kn is not None or new.mass_kg_per_m is not None):
        yield Problem(
            "new_chain", "size", tr("Of which size is the new chain? What its maker says counts for that size.")
        )


def _service_problems(bike: Bike) -> Iterator[Problem]:
    for key in ("slack_range_mm", "rivet_flare_mm"):
        least, most = getattr(bike.service, key) or (None, None)
        if least is not None and most is not None and least > most:
            text = tr(
                "The range is upside down: the least, {least:g} mm, is more than the most, {most:g} mm.",
                least=least,
                most=most,
            )
            yield Problem("service", key, text)

    slack, (least, most) = bike.chassis.slack_mm, bike.service.slack_range_mm or (None, None)
    if slack is not None and least is not None and most is not None and least <= most and not least <= slack <= most:
        asked = tr("{least:g} to {most:g} mm", least=least, most=most)
        text = tr(
            "A slack of {slack:g} mm lies outside the service data's {asked}: which of them is right?",
            slack=slack,
            asked=asked,
        )
        yield Problem("chassis", "slack_mm", text)


def _value(gear: object) -> float | None:
    if isinstance(gear, tuple):
        return None if None in gear else gear[1] / gear[0]
    return gear if isinstance(gear, (int, float)) else None
