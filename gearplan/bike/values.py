"""Whether one entered value can stand by itself: its kind and the bounds of sense. Says what would be right."""

from __future__ import annotations

import difflib
import math
from collections.abc import Callable

from gearplan.bike.entries import Entry
from gearplan.bike.library import chain_sizes
from gearplan.bike.text.numbertext import shown_number
from gearplan.bike.text.units import unit_told
from gearplan.bike.text.unitset import METRIC, UnitSet
from gearplan.bike.tyresize import TyreSizeError, parse_tyre_size
from gearplan.language import tr

_TOOTH_RANGE = (5, 200)
_MOST_GEARS = 8
_MOST_POINTS = 1000
_LONGEST_TEXT = 200
#: Longer figures say nothing to a reader.
_MOST_SHOWN, _HUGE = 40, 1e15


def check_entry(what: Entry, value: object, units: UnitSet = METRIC) -> str | None:
    """Why a value cannot stand in an entry, with what would be right; None if it can. None is always right.

    What is wrong is said in `units`.
    """
    return None if value is None else _JUDGES[what.kind](what, value, units)


def check_text(value: object) -> str | None:
    """The same for a free text, such as a name."""
    if not isinstance(value, str):
        return tr("{value} must be a text in quotes", value=_shown(value))
    if len(value) > _LONGEST_TEXT or any(ord(c) < 32 or ord(c) == 127 for c in value):
        return tr("must be one line of at most {longest_text} characters", longest_text=_LONGEST_TEXT)
    return None


def example(what: Entry, units: UnitSet = METRIC) -> str:
    """What could be entered, in the shown unit; empty where there is no example, or one of words in another unit."""
    if not what.example or what.kind == "points" or units.name(what.unit) == what.unit:
        return what.example
    try:
        return units.text(float(what.example), what.unit)
    except ValueError:
        return ""


def _number(what: Entry, value: object, units: UnitSet) -> str | None:
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        return tr("{value} must be a number{example}", value=_shown(value), example=_example(what, units))
    # A whole number may be too large to be made a float, so its bounds come first.
    if what.low <= value <= what.high:
        return None
    if isinstance(value, float) and not math.isfinite(value):
        expected = tr("expected {bounds}{example}", bounds=_bounds(what, units), example=_example(what, units))
        return tr("{value} is not a number to compute with; {expected}", value=_shown(value), expected=expected)
    told = _measured(value, what, units) if abs(value) < _HUGE else _shown(value)
    return tr(
        "{told}{unit} can't be right; expected {bounds}{example}",
        told=told,
        unit=_unit(what, units),
        bounds=_bounds(what, units),
        example=_example(what, units),
    )


def _whole(what: Entry, value: object, units: UnitSet) -> str | None:
    if isinstance(value, float) and math.isfinite(value):
        return tr("{value} must be a whole number{example}", value=_shown(value), example=_example(what, units))
    return _number(what, value, units)


def _text(_what: Entry, value: object, _units: UnitSet) -> str | None:
    return check_text(value)


def _choice(what: Entry, value: object, _units: UnitSet) -> str | None:
    return _one_of(what.choices, value)


def _chain(_what: Entry, value: object, _units: UnitSet) -> str | None:
    return _one_of(tuple(chain_sizes()), value)


def _one_of(words: tuple[str, ...], value: object) -> str | None:
    if isinstance(value, str) and value in words:
        return None
    near = difflib.get_close_matches(str(value), words, 1)
    hint = tr("; did you mean “{near}”?", near=near[0]) if near else ""
    if str(value) in words:
        return tr('{value} must be written in quotes, as "{value}"', value=value)
    quoted = f"“{value}”" if isinstance(value, str) else _shown(value)
    return tr("{quoted} is not one of {join}{hint}", quoted=quoted, join=", ".join(words), hint=hint)


def _tyre(_what: Entry, value: object, _units: UnitSet) -> str | None:
    if not isinstance(value, str):
        return tr("{value} must be a tyre size in quotes", value=_shown(value))
    try:
        parse_tyre_size(value)
    except TyreSizeError as refused:
        return str(refused)
    return check_text(value)


def _ratio(what: Entry, value: object, units: UnitSet) -> str | None:
    if not isinstance(value, tuple):
        return _number(what, value, units)
    if len(value) != 2:
        return tr("a tooth pair has two counts, driver and driven{example}", example=_example(what, units))
    low, high = _TOOTH_RANGE
    for name, count in zip(("driver", "driven"), value, strict=True):
        if count is None:
            continue
        if isinstance(count, bool) or not isinstance(count, int):
            return tr(
                "the {name} tooth count {count} must be a whole number{example}",
                name=name,
                count=_shown(count),
                example=_example(what, units),
            )
        if not low <= count <= high:
            return tr(
                "{count} can't be right; expected {low}–{high}{example}",
                count=_shown(count, tr(" {name} teeth", name=name)),
                low=low,
                high=high,
                example=_example(what, units),
            )
    return None if None in value else _number(what, value[1] / value[0], units)


def _ratios(what: Entry, value: object, units: UnitSet) -> str | None:
    if not isinstance(value, tuple):
        return tr("must be a list of gears, each {example}", example=what.example)
    if len(value) > _MOST_GEARS:
        return tr(
            "{value} gears can't be right; expected at most {most_gears}", value=len(value), most_gears=_MOST_GEARS
        )
    for number, gear in enumerate(value, 1):
        if gear is not None and (text := _ratio(what, gear, units)):
            return tr("gear {number}: {text}", number=number, text=text)
    return None


def _pair(what: Entry, value: object, units: UnitSet) -> str | None:
    if not isinstance(value, tuple) or len(value) != 2:
        return tr(
            "must be two numbers, {parts} and {parts2}{example}",
            parts=what.parts[0],
            parts2=what.parts[1],
            example=_example(what, units),
        )
    for part, number in zip(what.parts, value, strict=True):
        if number is not None and (text := _number(what, number, units)):
            return f"{part}: {text}"
    return None


def _points(what: Entry, value: object, units: UnitSet) -> str | None:
    if not isinstance(value, tuple) or len(value) > _MOST_POINTS:
        return tr(
            "must be a list of at most {most_points} points{example}",
            most_points=_MOST_POINTS,
            example=_example(what, units),
        )
    for number, point in enumerate(value, 1):
        if not isinstance(point, tuple) or len(point) != 2:
            return tr(
                "point {number}: must be two numbers, {unit}{example}",
                number=number,
                unit=what.unit,
                example=_example(what, units),
            )
        for name, part, high in zip(what.unit.split(", "), point, (what.high, what.most), strict=True):
            if isinstance(part, bool) or not isinstance(part, (int, float)) or not 0 <= part <= high:
                return tr(
                    "point {number}: {part} can't be right; expected 0–{high}",
                    number=number,
                    part=_shown(part, f" {name}"),
                    high=shown_number(high),
                )
    return None


_JUDGES: dict[str, Callable[[Entry, object, UnitSet], str | None]] = {
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


def _shown(value: object, unit: str = "") -> str:
    if isinstance(value, str):
        return f"“{value[:_MOST_SHOWN]}”"
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        return str(value)[:_MOST_SHOWN]
    if abs(value) >= _HUGE:
        return tr("so large a number")
    return f"{_in_figures(value) if math.isfinite(value) else value}{unit}"


def _in_figures(value: float) -> str:
    return shown_number(value).replace("-", "−")[:_MOST_SHOWN]


def _measured(value: float, what: Entry, units: UnitSet) -> str:
    """A number of the entry in the unit that is shown for it."""
    shown = shown_number(value) if units.name(what.unit) == what.unit else units.text(value, what.unit)
    return shown.replace("-", "−")[:_MOST_SHOWN]


def _unit(what: Entry, units: UnitSet) -> str:
    return f" {unit_told(units.name(what.unit))}" if what.unit else ""


def _bounds(what: Entry, units: UnitSet) -> str:
    low, high = (_measured(bound, what, units) for bound in (what.low, what.high))
    return f"{low}{'–' if not low.startswith('−') else ' to '}{high}{_unit(what, units)}"


def _example(what: Entry, units: UnitSet) -> str:
    found = example(what, units)
    return tr(", for example {found}", found=found) if found else ""
