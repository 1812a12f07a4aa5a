"""A circuit: the sections of one closed lap in driving order, as a person enters them.

Every field of a section exists once, here: file, checks and editor walk the list.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import Field, dataclass, field, fields
from functools import lru_cache
from typing import Any, Literal

from gearplan.bike import values
from gearplan.bike.entries import Entry
from gearplan.bike.rider import NOBODY, Rider
from gearplan.bike.text.units import DEGREE
from gearplan.bike.text.unitset import METRIC, UnitSet
from gearplan.bike.text.written import inside, listed
from gearplan.language import marked, tr

SectionKind = Literal["straight", "corner"]

KINDS: tuple[SectionKind, ...] = (marked("straight"), marked("corner"))

#: More sections than this no lap has.
MOST_SECTIONS = 500
#: Fields that say nothing on a straight; they are kept all the same.
CORNER_ONLY = ("apex_kmh", "radius_m", "grip", "lean_deg", "lowest_gear")


def _entered(entry: Entry, default: Any) -> Any:
    return field(default=default, metadata={"entry": entry})


def _number(label: str, unit: str, low: float, high: float, example: str, default: float | None = None) -> Any:
    return _entered(Entry(label, "number", unit, low, high, example), default)


@dataclass(frozen=True, slots=True)
class Section:
    """One section. A corner is held at its apex speed over its length.

    The apex speed is entered, or follows from the radius with the grip or else the lean that the rider uses.
    `turn_deg` is positive to the left and draws the map. `lowest_gear` counts from 1; with `hold_gear` the gear in
    which the section is entered is kept until it ends.
    """

    kind: SectionKind = field(metadata={"entry": Entry(tr("Kind"), "choice", choices=KINDS)})
    length_m: float = field(metadata={"entry": Entry(tr("Length"), "number", "m", 0.1, 30_000, "420")})
    gradient_percent: float = _number(tr("Gradient, uphill positive"), "%", -40, 40, "1.5", 0.0)
    apex_kmh: float | None = _number(tr("Apex speed"), "km/h", 3, 450, "96")
    radius_m: float | None = _number(tr("Radius of the line"), "m", 2, 20_000, "45")
    grip: float | None = _entered(Entry(tr("Grip used to the side"), "number", "", 0.1, 3, "1.0", share=True), None)
    lean_deg: float | None = _number(tr("Lean used"), "°", 1, 70, "48")
    turn_deg: float = _number(tr("Turn, left positive"), "°", -720, 720, "85", 0.0)
    note: str = _entered(Entry(tr("Note"), "text"), "")
    lowest_gear: int | None = _entered(Entry(tr("Lowest gear allowed"), "whole", "", 1, 8, "2"), None)
    hold_gear: bool = _entered(Entry(tr("Hold the gear"), "choice", choices=("no", "yes")), False)

    @property
    def line_radius_m(self) -> float | None:
        """Radius of the line: as entered, else that of an arc of this length and turn; None where it is straight."""
        if self.radius_m is not None:
            return self.radius_m
        return self.length_m / (abs(self.turn_deg) * DEGREE) if self.turn_deg else None


@dataclass(frozen=True, slots=True)
class Circuit:
    """A closed lap: after the last section the first one begins again.

    `riders` are those who ride it: the first is the one whose laps are shown, another one is compared with.
    """

    name: str = ""
    sections: tuple[Section, ...] = ()
    riders: tuple[Rider, ...] = ()

    @property
    def rider(self) -> Rider:
        """Who rides it."""
        return self.riders[0] if self.riders else NOBODY

    @property
    def length_m(self) -> float:
        """Length of the lap."""
        return math.fsum(section.length_m for section in self.sections)

    @property
    def starts_m(self) -> tuple[float, ...]:
        """Where each section begins, from the start of the lap; one more than sections, the last is the length."""
        return (0.0, *itertools.accumulate(section.length_m for section in self.sections))

    @property
    def corners(self) -> tuple[int, ...]:
        """Indices of the corners."""
        return tuple(i for i, section in enumerate(self.sections) if section.kind == "corner")

    @property
    def straights(self) -> tuple[int, ...]:
        """Indices of the straights."""
        return tuple(i for i, section in enumerate(self.sections) if section.kind == "straight")

    @property
    def turned_deg(self) -> float:
        """Sum of all turns; ±360 for a lap that closes without crossing itself."""
        return math.fsum(section.turn_deg for section in self.sections)

    @property
    def climbed_m(self) -> float:
        """How much higher the lap ends than it begins; the length counts along the road."""
        return math.fsum(s.length_m * math.sin(math.atan(s.gradient_percent / 100)) for s in self.sections)


def section_entries() -> Iterator[tuple[str, Entry]]:
    """The fields of a section in their order in the file, as (key, entry)."""
    for f in fields(Section):
        yield f.name, _entry_of(f)


@lru_cache(maxsize=32)
def section_entry(key: str) -> Entry:
    """The entry of one field of a section; KeyError if there is none."""
    return dict(section_entries())[key]


def label_of(key: str) -> str:
    """What a field of a section is called within a sentence: "length"."""
    return inside(section_entry(key).label.split(",")[0])


def check_section_value(key: str, value: object, units: UnitSet = METRIC) -> str | None:
    """Why a value cannot stand in this field of a section, with what would be right; None if it can."""
    what = section_entry(key)
    if key == "hold_gear":
        return None if isinstance(value, bool) else tr("{value} must be true or false", value=value)
    if value is None:
        return (
            tr("is missing; give {example}", example=what.example or listed(what.choices, tr("or")))
            if key in ("kind", "length_m")
            else None
        )
    return values.check_entry(what, value, units)


def check_section(section: Section) -> str | None:
    """What is wrong with a section as a whole, with what would be right; None if it can be ridden."""
    for key, _ in section_entries():
        if text := check_section_value(key, getattr(section, key)):
            return f"{label_of(key)}: {text}"
    if section.kind == "corner" and section.apex_kmh is None and section.radius_m is None:
        return tr("a corner needs its apex speed or its radius")
    return None


@lru_cache(maxsize=16)
def refusal(circuit: Circuit) -> str | None:
    """Why a circuit cannot be ridden at all, naming the section; None if it can."""
    if not circuit.sections:
        return tr("The circuit has no sections yet: add a straight and a corner, or paste a table.")
    if len(circuit.sections) > MOST_SECTIONS:
        return tr(
            "{sections} sections are more than {most_sections}: join some.",
            sections=len(circuit.sections),
            most_sections=MOST_SECTIONS,
        )
    for number, section in enumerate(circuit.sections, 1):
        if text := check_section(section):
            return tr("Section {number}: {text}.", number=number, text=text)
    return None


def _entry_of(f: Field[Any]) -> Entry:
    found: Entry = f.metadata["entry"]
    return found


def turn_name(number: int) -> str:
    """What a turn is called that has no name but its number."""
    return tr("Turn {number}", number=number)
