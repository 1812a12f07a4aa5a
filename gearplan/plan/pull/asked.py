"""What a person wants timed: sprints, roll-ons, slopes and speeds, as text that they write themselves."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeVar

from gearplan.bike.text.numbertext import NumberTextError, parse_number
from gearplan.bike.text.units import FOOT, KMH, MILE, MPH
from gearplan.language import tr
from gearplan.plan.words import Speed

_MOST = 12
_FASTEST = 450.0
_STEEPEST = 30.0
_UNITS = {"km/h": KMH, "kmh": KMH, "kph": KMH, "mph": MPH}
_LENGTHS = {"m": 1.0, "km": 1000.0, "mile": MILE, "miles": MILE, "ft": FOOT}
_FRACTIONS = {"quarter": 0.25, "half": 0.5, "one": 1.0, "1/4": 0.25, "1/2": 0.5, "1/8": 0.125, "eighth": 0.125}

_WORDS = "|".join(re.escape(word) for word in _FRACTIONS)

_QUARTER = tr("quarter mile")
SPRINTS = f"0–50; 0–100; 0–60 mph; 0–200; 400 m; {_QUARTER}; 60–100"
ROLL_ONS = "80–120"
SLOPES = "6; 12"
SPEEDS = "50; 100; 130"

_Item = TypeVar("_Item")


class AskedError(ValueError):
    """Text that asks for nothing that can be timed; the message names the part and what would be right."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """From one speed to another (m/s), or from standstill over a distance (m)."""

    name: str
    start: float = 0.0
    end: float | None = None
    distance: float | None = None


def read_sprints(text: str, unit: str = "km/h") -> tuple[Stretch, ...]:
    """Parts such as 0–100, 0–60 mph, 400 m or quarter mile, with semicolons between; `unit` is for bare numbers."""
    return _each(text, lambda part: _sprint(part, unit), "0–100; 0–60 mph; 400 m")


def read_roll_ons(text: str, unit: str = "km/h") -> tuple[Stretch, ...]:
    """Parts such as 80–120 or 50–75 mph, for every gear each."""
    return _each(text, lambda part: _speeds_of(part, unit, least=1.0), "60–100; 80–120")


def read_slopes(text: str) -> tuple[float, ...]:
    """Gradients in percent."""
    return _each(text, _slope, "6; 12")


def read_speeds(text: str, unit: str = "km/h") -> tuple[Speed, ...]:
    """Road speeds; `unit` is for bare numbers."""
    return _each(text, lambda part: _speed(part, unit), "50; 100; 130")


def _each(text: str, read: Callable[[str], _Item], example: str) -> tuple[_Item, ...]:
    # A comma parts as well, unless it stands inside a number.
    parts = [part.strip() for part in re.split(r"[;\n]|,(?!\d)", text) if part.strip()]
    if not parts:
        raise AskedError(tr("nothing is asked for; write, say, {example}", example=example))
    if len(parts) > _MOST:
        raise AskedError(tr("{parts} at once are too many; write at most {most}", parts=len(parts), most=_MOST))
    found: list[_Item] = []
    for part in parts:
        item = read(part)
        if item not in found:
            found.append(item)
    return tuple(found)


def _sprint(part: str, unit: str) -> Stretch:
    plain = part.lower().removesuffix(".").replace(_QUARTER.lower(), "quarter mile")
    if match := re.fullmatch(rf"([\d.,]+|{_WORDS})\s*(m|km|ft|miles?)", plain):
        number, length = match.groups()
        amount = _FRACTIONS[number] if number in _FRACTIONS else _number(number, part)
        metres = amount * _LENGTHS[length]
        if not 5 <= metres <= 10_000:
            raise AskedError(tr("“{part}” is no distance for a sprint; write 5 m to 10 km", part=part))
        return Stretch(part[:1].upper() + part[1:], distance=metres)
    return _speeds_of(part, unit, least=0.0)


def _speeds_of(part: str, unit: str, least: float) -> Stretch:
    match = re.fullmatch(r"([\d.,]+)\s*(?:–|-|—|to)\s*([\d.,]+)\s*(km/h|kmh|kph|mph)?", part.lower())
    if not match:
        raise AskedError(tr("“{part}” is not understood; write two speeds, such as 80–120", part=part))
    given = match[3] or unit
    start, end = (_number(match[k], part) for k in (1, 2))
    factor = _UNITS[given]
    if start >= end:
        raise AskedError(tr("“{part}” does not get faster; write the lower speed first", part=part))
    if end * factor / KMH > _FASTEST:
        raise AskedError(
            tr("“{part}” can't be right; write speeds up to {fastest:.0f} km/h", part=part, fastest=_FASTEST)
        )
    if start < least:
        raise AskedError(tr("“{part}” begins at standstill; in one gear write, say, 80–120", part=part))
    shown = "mph" if given == "mph" else "km/h"
    return Stretch(f"{start:g}–{end:g} {shown}", start * factor, end * factor)


def _slope(part: str) -> float:
    percent = _number(part.removesuffix("%").strip(), part)
    if abs(percent) > _STEEPEST:
        raise AskedError(
            tr("“{part}” is too steep; write −{steepest:.0f} to {steepest:.0f} %", part=part, steepest=_STEEPEST)
        )
    return percent


def _speed(part: str, unit: str) -> Speed:
    match = re.fullmatch(r"([\d.,]+)\s*(km/h|kmh|kph|mph)?", part.lower())
    if not match:
        raise AskedError(tr("“{part}” is not a speed; write, say, 100 or 65 mph", part=part))
    given = match[2] or unit
    number = _number(match[1], part)
    if not 1 <= number * _UNITS[given] / KMH <= _FASTEST:
        raise AskedError(
            tr("“{part}” can't be right; write speeds up to {fastest:.0f} km/h", part=part, fastest=_FASTEST)
        )
    return Speed(number, "mph" if given == "mph" else "km/h")


def _number(text: str, part: str) -> float:
    try:
        return parse_number(text)
    except NumberTextError as refused:
        raise AskedError(f"“{part}”: {refused}") from refused
