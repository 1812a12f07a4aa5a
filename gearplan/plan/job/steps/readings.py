"""What a technician writes down: a number with its unit, in metric or inch units, or a word."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from gearplan.bike.text.numbertext import format_number
from gearplan.bike.text.typed import read_number
from gearplan.bike.text.units import measured_in
from gearplan.language import decimal, marked, tr

Kind = Literal["length", "torque", "count", "word", "choice"]

#: The units that are offered for each kind, the first the one that is meant where none is written.
UNITS: dict[Kind, tuple[str, ...]] = {"length": ("mm", "in"), "torque": ("N·m", "lbf·ft")}

#: Every unit that may be written, and how fine its readings are told: a hundredth of a millimetre, a tenth of a N·m.
_WRITTEN = [
    (unit, finest)
    for first, finest in (("mm", 1e-5), ("N·m", 0.1))
    if (measured := measured_in(first)) is not None
    for unit in measured[0].units
]
#: What a unit is in SI.
FACTORS = {unit.name: unit.size for unit, _ in _WRITTEN}
_DIGITS = {unit.name: max(round(math.log10(unit.size / finest)), 0) for unit, finest in _WRITTEN}

#: Rounding of sums in binary; far below what any tool reads.
ROUNDING = 1e-9
#: What is written where a part was inspected; `tr` tells it, as the other choices.
LOOKS = (marked("good"), marked("replaced"), marked("see note"))
YES_NO = (marked("yes"), marked("no"))
#: Where the front sprocket stands, seen along the rear one.
SIDES = (marked("in line"), marked("left"), marked("right"))


@dataclass(frozen=True, slots=True)
class Blank:
    """A place to record. `least` and `most` are the bounds of sense in SI (m, N·m) or in counts.

    `expected` is about what will be read, where that is known. An optional blank may stay empty; of `choices` one is
    ticked.
    """

    key: str
    label: str
    kind: Kind
    least: float = 0.0
    most: float = 0.0
    expected: float | None = None
    optional: bool = False
    choices: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Reading:
    """A number that was read, in SI or as a count, and as it was written."""

    value: float
    number: float
    unit: str


@dataclass(frozen=True, slots=True)
class Question:
    """A reading that can hardly be meant as it stands; `meant` is what would be likely, empty if nothing is."""

    blank: str
    text: str
    meant: str = ""


def parse_reading(kind: Kind, text: str, unit: str = "") -> Reading:
    """A number with or without its unit; `unit` is meant where none is written.

    NumberTextError for what is not clearly one number in a unit of this kind.
    """
    if kind == "count":
        value = float(read_number(text, "", whole=True)[0])
        return Reading(value, value, "")
    number, given = read_number(text, unit or UNITS[kind][0])
    return Reading(number * FACTORS[given], number, given)


def shown(value: float, unit: str) -> str:
    """A value in SI as it is written in a unit: "17.53 mm", "27.5 mm", "27 mm", "0.689 in", "100 N·m"."""
    return decimal(f"{format_number(round(value / FACTORS[unit], _DIGITS[unit]))} {unit}")


def both_units(value: float, kind: Kind) -> str:
    """A value in SI in both units of its kind: "100 N·m (73.8 lbf·ft)"."""
    first, second = UNITS[kind]
    return f"{shown(value, first)} ({shown(value, second)})"


def question(blank: Blank, reading: Reading, expected: float | None = None) -> Question | None:
    """Whether a reading is far from all sense, and what was likely meant; None if it can stand.

    Asked are readings outside the blank's bounds, and those more than eight times off what is expected: a slipped
    decimal point is ten times off, mm taken for inch twenty-five times.
    """
    near = expected if expected is not None else blank.expected
    outside = not blank.least <= reading.value <= blank.most
    far = near is not None and near > 0 and not near / 8 <= reading.value <= near * 8
    if not (outside or far):
        return None
    written = _written(reading.number, reading.unit)
    meant = next((text for text, value in _likely(blank, reading) if _plausible(blank, value, near)), "")
    if meant:
        return Question(
            blank.key,
            tr(
                "{label}: check this reading, {written}. Is {meant} meant?",
                label=blank.label,
                written=written,
                meant=meant,
            ),
            meant,
        )
    given = {
        "label": blank.label,
        "written": written,
        "least": _bound(blank.least, reading.unit),
        "most": _bound(blank.most, reading.unit),
    }
    if outside:
        text = tr("{label}: {written} can't be right; expected {least} to {most}. Read it again.", **given)
    else:
        text = tr(
            "{label}: {written} is far from what is expected; expected {least} to {most}. Read it again.", **given
        )
    return Question(blank.key, text)


def _likely(blank: Blank, reading: Reading) -> list[tuple[str, float]]:
    """Other ways to take the same figures, the likeliest first, as (text, value)."""
    if blank.kind == "count":
        return []
    found = []
    for unit in UNITS.get(blank.kind, ()):
        if unit != reading.unit:
            found.append((_written(reading.number, unit), reading.number * FACTORS[unit]))
    for factor in (0.1, 10.0, 0.01, 100.0):
        found.append((_written(reading.number * factor, reading.unit), reading.value * factor))
    return found


def _plausible(blank: Blank, value: float, near: float | None) -> bool:
    if near is not None and near > 0:
        return near / 2 <= value <= near * 2
    return blank.least <= value <= blank.most


def _written(number: float, unit: str) -> str:
    return decimal(f"{format_number(float(f'{number:.6g}'))} {unit}".strip())


def _bound(value: float, unit: str) -> str:
    return f"{value:g}" if not unit else decimal(f"{format_number(float(f'{value / FACTORS[unit]:.3g}'))} {unit}")
