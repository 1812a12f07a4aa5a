"""What is wrong with entered values, in words that say what would be right.

`check_value` judges one field by itself: its kind and the bounds of sense; such a value is refused.
`check_bike` finds contradictions between fields; those are kept and shown, for the work may be unfinished.
"""

from __future__ import annotations

import difflib
import itertools
import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from gearplan.bike.library import chain_sizes
from gearplan.bike.numbertext import format_number
from gearplan.bike.profile import Bike, Entry, entry
from gearplan.bike.tyresize import TyreSizeError, parse_tyre_size

_TOOTH_RANGE = (5, 200)
_MOST_GEARS = 8
_MOST_POINTS = 1000
_LONGEST_TEXT = 200


@dataclass(frozen=True, slots=True)
class Problem:
    """A contradiction, told at one field; `index` is the gear or the point it concerns, from 0."""

    section: str
    key: str
    text: str
    index: int | None = None


def check_value(section: str, key: str, value: object) -> str | None:
    """Why a value cannot stand in this field, with what would be right; None if it can. None is always right."""
    return check_entry(entry(section, key), value)


def check_entry(what: Entry, value: object) -> str | None:
    """The same for an entry that belongs to no section of a bike."""
    return None if value is None else _JUDGES[what.kind](what, value)


def check_text(value: object) -> str | None:
    """The same for a free text, such as the name."""
    if not isinstance(value, str):
        return f"{_shown(value)} must be a text in quotes"
    if len(value) > _LONGEST_TEXT or any(ord(c) < 32 or ord(c) == 127 for c in value):
        return f"must be one line of at most {_LONGEST_TEXT} characters"
    return None


def check_bike(bike: Bike) -> tuple[Problem, ...]:
    """All contradictions between the fields of a profile; fields that are not entered contradict nothing."""
    return (*_engine_problems(bike), *_gear_problems(bike), *_chassis_problems(bike), *_service_problems(bike))


def _engine_problems(bike: Bike) -> Iterator[Problem]:
    e = bike.engine
    top = e.limiter_rpm if e.limiter_rpm is not None else e.redline_rpm
    if e.idle_rpm is not None and e.redline_rpm is not None and e.idle_rpm >= e.redline_rpm:
        text = f"The idle of {e.idle_rpm:g} rpm must lie below the redline of {e.redline_rpm:g} rpm."
        yield Problem("engine", "idle_rpm", text)
    if e.limiter_rpm is not None and e.redline_rpm is not None and e.limiter_rpm < e.redline_rpm:
        text = f"The limiter at {e.limiter_rpm:g} rpm must not lie below the redline of {e.redline_rpm:g} rpm."
        yield Problem("engine", "limiter_rpm", text)
    if e.launch_rpm is not None and top is not None and e.launch_rpm > top:
        text = f"The launch speed of {e.launch_rpm:g} rpm must not lie above {top:g} rpm, where the engine ends."
        yield Problem("engine", "launch_rpm", text)
    yield from _peak_problems(bike)
    for index, (one, other) in enumerate(itertools.pairwise(e.torque or ())):
        if one[0] >= other[0]:
            text = f"Torque point {index + 2} at {other[0]:g} rpm must come after {one[0]:g} rpm: sort the points."
            yield Problem("engine", "torque", text, index + 1)


def _peak_problems(bike: Bike) -> Iterator[Problem]:
    """Peaks where the engine never gets: a curve of another engine, or a misread unit."""
    e = bike.engine
    top = e.limiter_rpm if e.limiter_rpm is not None else e.redline_rpm
    if top is None:
        return
    if e.torque:
        peak = max(e.torque, key=lambda point: point[1])
        if peak[0] > top:
            text = f"The curve peaks at {peak[0]:g} rpm, outside the rev range that ends at {top:g} rpm."
            yield Problem("engine", "torque", text, e.torque.index(peak))
        low = e.idle_rpm
        if low is not None and peak[0] < low:
            text = f"The curve peaks at {peak[0]:g} rpm, below the idle of {low:g} rpm."
            yield Problem("engine", "torque", text, e.torque.index(peak))
    for key in ("peak_torque_rpm", "peak_power_rpm"):
        at = getattr(e, key)
        if at is not None and at > top:
            yield Problem("engine", key, f"{at:g} rpm lies outside the rev range, which ends at {top:g} rpm.")
    if e.peak_torque_rpm and e.peak_power_rpm and e.peak_torque_rpm > e.peak_power_rpm:
        text = (
            f"Peak torque at {e.peak_torque_rpm:g} rpm must not come after peak power at {e.peak_power_rpm:g} rpm: "
            "are they swapped?"
        )
        yield Problem("engine", "peak_torque_rpm", text)


def _gear_problems(bike: Bike) -> Iterator[Problem]:
    values = [_value(gear) for gear in bike.gearbox.gears or ()]
    for index, (one, other) in enumerate(itertools.pairwise(values)):
        if one is not None and other is not None and other >= one:
            text = (
                f"Gear {index + 2} ({other:.3f}) must have a smaller ratio than gear {index + 1} ({one:.3f}): "
                "is the order or the driver and driven wheel swapped?"
            )
            yield Problem("gearbox", "gears", text, index + 1)


def _chassis_problems(bike: Bike) -> Iterator[Problem]:
    c, links = bike.chassis, bike.final_drive.links
    low, high = c.axle_range_mm or (None, None)
    if low is not None and high is not None and low >= high:
        text = f"The adjuster's ends are swapped or equal: {low:g} mm fully in must be less than {high:g} mm fully out."
        yield Problem("chassis", "axle_range_mm", text)
    elif low is not None and high is not None and c.axle_now_mm is not None and not low <= c.axle_now_mm <= high:
        text = f"The axle at {c.axle_now_mm:g} mm lies outside the adjuster's range, {low:g} to {high:g} mm."
        yield Problem("chassis", "axle_now_mm", text)
    compressed, extended = c.swingarm_travel_deg or (None, None)
    if compressed is not None and extended is not None and compressed >= extended:
        text = (
            f"The swingarm's travel is upside down: {compressed:g}° compressed must be less than {extended:g}° "
            "extended (degrees below horizontal)."
        )
        yield Problem("chassis", "swingarm_travel_deg", text)
    if links is not None and links % 2 and bike.final_drive.offset_link != "yes":
        text = f"{links} links is an odd count, which needs an offset link: count again, or say that it has one."
        yield Problem("final_drive", "links", text)


def _service_problems(bike: Bike) -> Iterator[Problem]:
    for key in ("slack_range_mm", "rivet_flare_mm"):
        least, most = getattr(bike.service, key) or (None, None)
        if least is not None and most is not None and least > most:
            text = f"The range is upside down: the least, {least:g} mm, is more than the most, {most:g} mm."
            yield Problem("service", key, text)


def _value(gear: object) -> float | None:
    if isinstance(gear, tuple):
        return None if None in gear else gear[1] / gear[0]
    return gear if isinstance(gear, (int, float)) else None


def _number(what: Entry, value: object) -> str | None:
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        return f"{_shown(value)} must be a number{_example(what)}"
    if not math.isfinite(value):
        return f"{_shown(value)} is not a number to compute with; give {_bounds(what)}{_example(what)}"
    if not what.low <= value <= what.high:
        return f"{format_number(value)}{_unit(what)} is beyond sense; give {_bounds(what)}{_example(what)}"
    return None


def _whole(what: Entry, value: object) -> str | None:
    if isinstance(value, float) and math.isfinite(value):
        return f"{_shown(value)} must be a whole number{_example(what)}"
    return _number(what, value)


def _text(_what: Entry, value: object) -> str | None:
    return check_text(value)


def _choice(what: Entry, value: object) -> str | None:
    return _one_of(what.choices, value)


def _chain(_what: Entry, value: object) -> str | None:
    return _one_of(tuple(chain_sizes()), value)


def _one_of(words: tuple[str, ...], value: object) -> str | None:
    if isinstance(value, str) and value in words:
        return None
    near = difflib.get_close_matches(str(value), words, 1)
    hint = f"; did you mean “{near[0]}”?" if near else ""
    if str(value) in words:
        return f'{value} must be written in quotes, as "{value}"'
    quoted = f"“{value}”" if isinstance(value, str) else _shown(value)
    return f"{quoted} is not one of {', '.join(words)}{hint}"


def _tyre(_what: Entry, value: object) -> str | None:
    if not isinstance(value, str):
        return f"{_shown(value)} must be a tyre size in quotes"
    try:
        parse_tyre_size(value)
    except TyreSizeError as refused:
        return str(refused)
    return check_text(value)


def _ratio(what: Entry, value: object) -> str | None:
    if not isinstance(value, tuple):
        return _number(what, value)
    if len(value) != 2:
        return f"a tooth pair has two counts, driver and driven{_example(what)}"
    low, high = _TOOTH_RANGE
    for name, count in zip(("driver", "driven"), value, strict=True):
        if count is None:
            continue
        if isinstance(count, bool) or not isinstance(count, int):
            return f"the {name} tooth count {_shown(count)} must be a whole number{_example(what)}"
        if not low <= count <= high:
            return f"{count} {name} teeth is beyond sense; give {low} to {high}{_example(what)}"
    return None if None in value else _number(what, value[1] / value[0])


def _ratios(what: Entry, value: object) -> str | None:
    if not isinstance(value, tuple):
        return f"must be a list of gears, each {what.example}"
    if len(value) > _MOST_GEARS:
        return f"{len(value)} gears are beyond sense; give at most {_MOST_GEARS}"
    for number, gear in enumerate(value, 1):
        if gear is not None and (text := _ratio(what, gear)):
            return f"gear {number}: {text}"
    return None


def _pair(what: Entry, value: object) -> str | None:
    if not isinstance(value, tuple) or len(value) != 2:
        return f"must be two numbers, {what.parts[0]} and {what.parts[1]}{_example(what)}"
    for part, number in zip(what.parts, value, strict=True):
        if number is not None and (text := _number(what, number)):
            return f"{part}: {text}"
    return None


def _points(what: Entry, value: object) -> str | None:
    if not isinstance(value, tuple) or len(value) > _MOST_POINTS:
        return f"must be a list of at most {_MOST_POINTS} points{_example(what)}"
    for number, point in enumerate(value, 1):
        if not isinstance(point, tuple) or len(point) != 2:
            return f"point {number}: must be two numbers, {what.unit}{_example(what)}"
        for name, part, high in zip(what.unit.split(", "), point, (what.high, what.most), strict=True):
            if isinstance(part, bool) or not isinstance(part, (int, float)) or not 0 <= part <= high:
                return f"point {number}: {_shown(part)} {name} is beyond sense; give 0 to {high:g}"
    return None


_JUDGES: dict[str, Callable[[Entry, object], str | None]] = {
    "number": _number,
    "whole": _whole,
    "text": _text,
    "choice": _choice,
    "chain": _chain,
    "tyre": _tyre,
    "ratio": _ratio,
    "ratios": _ratios,
    "pair": _pair,
    "points": _points,
}


def _shown(value: object) -> str:
    if isinstance(value, str):
        return f"“{value[:40]}”"
    return str(value)[:40]


def _unit(what: Entry) -> str:
    return f" {what.unit}" if what.unit else ""


def _bounds(what: Entry) -> str:
    return f"{format_number(what.low)} to {format_number(what.high)}{_unit(what)}"


def _example(what: Entry) -> str:
    return f", for example {what.example}" if what.example else ""
