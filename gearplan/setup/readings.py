"""Fields of the profile from other readings than their own: what is asked, what comes out, and how sure it is. Pure."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from gearplan.bike.checks import check_value
from gearplan.bike.entries import Entry
from gearplan.bike.profile import Bike, entry, value, with_value, with_within
from gearplan.bike.text import written

#: The readings of a way by their keys, in the units of their entries.
Readings = Mapping[str, float]


class Unusable(ValueError):
    """Readings from which nothing can be computed; `key` is the reading to look at, empty for none of them."""

    def __init__(self, key: str, text: str) -> None:
        super().__init__(text)
        self.key = key


@dataclass(frozen=True, slots=True)
class Reading:
    """One number that is asked for; `off` is by how much a careful reading may be wrong, in the unit of the entry.

    `begins` names the field ("section.key") whose value it has to begin with, if that is entered.
    """

    key: str
    entry: Entry
    off: float = 0.0
    begins: str = ""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What one field becomes: its value, and for each number of it by how much it may be off (0 where exact)."""

    field: str
    value: Any
    off: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Taken:
    """One set of readings, computed: what the fields become, and what else is to be said."""

    outcomes: tuple[Outcome, ...]
    told: str = ""


@dataclass(frozen=True, slots=True)
class Way:
    """Another way to the fields that it `fills`: what is read, and how it is done; `sketch` names the drawing.

    `compute` gives one or more alternatives, each the new values of the fields; Unusable where there are none.
    `digits` are the decimals to which each field is known.
    """

    title: str
    sketch: str
    how: str
    readings: tuple[Reading, ...]
    fills: tuple[str, ...]
    digits: tuple[int, ...]
    compute: Callable[[Readings, Bike], tuple[Mapping[str, Any], ...]]
    told: Callable[[Readings, Bike], str] = lambda _readings, _bike: ""


def take(way: Way, given: Mapping[str, float | None], bike: Bike) -> tuple[Taken, ...]:
    """What the readings give: one alternative or more. Unusable while one is missing, or where nothing comes out.

    The doubt is each reading's own, carried to first order, added by the root of the sum of squares (JCGM 100:2008,
    5.1.2).
    """
    readings: dict[str, float] = {}
    for each in way.readings:
        number = given.get(each.key)
        if number is None:
            raise Unusable(each.key, "")
        readings[each.key] = number
    told = way.told(readings, bike)
    return tuple(
        Taken(tuple(_outcomes(way, readings, bike, place, values)), told)
        for place, values in enumerate(way.compute(readings, bike))
    )


def begin(way: Way, bike: Bike) -> dict[str, float | None]:
    """What each reading has to begin with: the value of its field, if that is entered."""
    return {each.key: value(bike, *each.begins.split(".")) if each.begins else None for each in way.readings}


def with_taken(bike: Bike, taken: Taken) -> Bike:
    """The bike with the fields as computed, and with how far each number of them may be off."""
    for one in taken.outcomes:
        section, key = one.field.split(".")
        bike = with_value(bike, section, key, one.value)
        for part, (number, off) in enumerate(zip(_numbers(one.value), one.off, strict=True)):
            if off:
                place = f"{one.field}.{part}" if isinstance(one.value, tuple) else one.field
                bike = with_within(bike, place, number, off)
    return bike


def told_lines(way: Way, taken: Taken, bike: Bike) -> list[tuple[str, str, str]]:
    """For each number that changes: its name, as it stands in the bike, and as it becomes with its doubt and unit."""
    lines = []
    for one, digits in zip(taken.outcomes, way.digits, strict=True):
        section, key = one.field.split(".")
        what, before = entry(section, key), value(bike, section, key)
        halves = isinstance(one.value, tuple)
        old: tuple[float | None, ...] = before or (None, None) if halves else (before,)
        for part, (now, off) in enumerate(zip(_numbers(one.value), one.off, strict=True)):
            name = f"{what.label}, {what.parts[part]}" if halves else what.label
            unit = f" {what.unit}" if what.unit not in ("", "°") else what.unit
            was = old[part]
            stood = written.NONE if was is None else f"{written.shortest(was)}{unit}"
            doubt = f" ± {written.number(max(off, 10.0**-digits), 1, digits)}" if off else ""
            lines.append((name, stood, f"{written.number(now, 1, digits)}{doubt}{unit}"))
    return lines


def _outcomes(way: Way, readings: dict[str, float], bike: Bike, place: int, values: Mapping[str, Any]) -> list[Outcome]:
    found = []
    for field, digits in zip(way.fills, way.digits, strict=True):
        numbers = _numbers(values[field])
        off = tuple(_off(way, readings, bike, place, field, part) for part in range(len(numbers)))
        rounded = tuple(round(number, digits) if digits else round(number) for number in numbers)
        new = rounded if isinstance(values[field], tuple) else rounded[0]
        section, key = field.split(".")
        if refusal := check_value(section, key, new):
            raise Unusable("", f"{entry(section, key).label}: {refusal}.")
        found.append(Outcome(field, new, off))
    return found


def _off(way: Way, readings: dict[str, float], bike: Bike, place: int, field: str, part: int) -> float:
    """By how much one number of a field may be off."""
    parts = []
    for each in way.readings:
        if each.off:
            ends = []
            for by in (-each.off, each.off):
                try:
                    moved = way.compute({**readings, each.key: readings[each.key] + by}, bike)
                except Unusable:
                    continue
                if place < len(moved):
                    ends.append(_numbers(moved[place][field])[part])
            if len(ends) == 2:
                parts.append((ends[1] - ends[0]) / 2)
    return math.hypot(*parts)


def _numbers(new: Any) -> tuple[float, ...]:
    return new if isinstance(new, tuple) else (new,)


def asked(
    key: str,
    label: str,
    unit: str,
    low: float,
    high: float,
    off: float = 0.0,
    *,
    example: str = "",
    whole: bool = False,
    begins: str = "",
) -> Reading:
    """A reading with its entry; `whole` for a count."""
    return Reading(key, Entry(label, "whole" if whole else "number", unit, low, high, example), off, begins)
