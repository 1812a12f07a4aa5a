"""A circuit: the sections of one closed lap in driving order, as a person enters them.

Every field of a section exists once, here: file, checks and editor walk the list. Edits are pure: they return the
changed circuit.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import Field, dataclass, field, fields, replace
from functools import lru_cache
from statistics import median
from typing import Any, Literal

from gearplan.bike import values
from gearplan.bike.entries import Entry
from gearplan.bike.rider import NOBODY, Rider
from gearplan.bike.units import DEGREE, KMH, STANDARD_GRAVITY
from gearplan.bike.written import listed

SectionKind = Literal["straight", "corner"]

KINDS: tuple[SectionKind, ...] = ("straight", "corner")

#: More sections than this no lap has.
MOST_SECTIONS = 500
#: Fields that say nothing on a straight; they are kept all the same.
CORNER_ONLY = ("apex_kmh", "radius_m", "grip", "lean_deg", "lowest_gear")

#: In m/s², each twice over what riders do or a tenth of it: bounds of doubt, common sense, no source.
MOST_LATERAL, LEAST_LATERAL = 2.0 * STANDARD_GRAVITY, 0.1 * STANDARD_GRAVITY
#: So many corners that ask for more than the tyre's grip are named one by one, more of them in one sentence.
_NAMED = 2
#: A speed in m/s typed as km/h gives this fraction of the lateral acceleration.
_MIXED_UP = KMH**2


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

    kind: SectionKind = field(metadata={"entry": Entry("Kind", "choice", choices=KINDS)})
    length_m: float = field(metadata={"entry": Entry("Length", "number", "m", 0.1, 30_000, "420")})
    gradient_percent: float = _number("Gradient, uphill positive", "%", -40, 40, "1.5", 0.0)
    apex_kmh: float | None = _number("Apex speed", "km/h", 3, 450, "96")
    radius_m: float | None = _number("Radius of the line", "m", 2, 20_000, "45")
    grip: float | None = _entered(Entry("Grip used to the side", "number", "", 0.1, 3, "1.0", share=True), None)
    lean_deg: float | None = _number("Lean used", "°", 1, 70, "48")
    turn_deg: float = _number("Turn, left positive", "°", -720, 720, "85", 0.0)
    note: str = _entered(Entry("Note", "text"), "")
    lowest_gear: int | None = _entered(Entry("Lowest gear allowed", "whole", "", 1, 8, "2"), None)
    hold_gear: bool = _entered(Entry("Hold the gear", "choice", choices=("no", "yes")), False)

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


@dataclass(frozen=True, slots=True)
class Doubt:
    """Something about a circuit that is asked about; `index` is the section it concerns, from 0, None for the lap."""

    text: str
    index: int | None = None
    key: str = ""


def section_entries() -> Iterator[tuple[str, Entry]]:
    """The fields of a section in their order in the file, as (key, entry)."""
    for f in fields(Section):
        yield f.name, _entry_of(f)


@lru_cache(maxsize=32)
def section_entry(key: str) -> Entry:
    """The entry of one field of a section; KeyError if there is none."""
    return dict(section_entries())[key]


def check_section_value(key: str, value: object) -> str | None:
    """Why a value cannot stand in this field of a section, with what would be right; None if it can."""
    what = section_entry(key)
    if key == "hold_gear":
        return None if isinstance(value, bool) else f"{value} must be true or false"
    if value is None:
        return f"is missing; give {what.example or ' or '.join(what.choices)}" if key in ("kind", "length_m") else None
    return values.check_entry(what, value)


def check_section(section: Section) -> str | None:
    """What is wrong with a section as a whole, with what would be right; None if it can be ridden."""
    for key, _ in section_entries():
        if text := check_section_value(key, getattr(section, key)):
            return f"{_name(key)}: {text}"
    if section.kind == "corner" and section.apex_kmh is None and section.radius_m is None:
        return "a corner needs its apex speed or its radius"
    return None


@lru_cache(maxsize=16)
def refusal(circuit: Circuit) -> str | None:
    """Why a circuit cannot be ridden at all, naming the section; None if it can."""
    if not circuit.sections:
        return "The circuit has no sections yet: add a straight and a corner."
    if len(circuit.sections) > MOST_SECTIONS:
        return f"{len(circuit.sections)} sections are more than {MOST_SECTIONS}: join some."
    for number, section in enumerate(circuit.sections, 1):
        if text := check_section(section):
            return f"Section {number}: {text}."
    return None


def doubts(circuit: Circuit, grip: float | None = None) -> tuple[Doubt, ...]:
    """What is asked about, though it can be ridden: units mixed up, corners too fast for the tyre, a net climb.

    `grip` is that of the tyre that is to ride it, None for any.
    """
    found: list[Doubt] = []
    lateral = {
        i: (s.apex_kmh * KMH) ** 2 / s.line_radius_m
        for i, s in enumerate(circuit.sections)
        if s.kind == "corner" and s.apex_kmh is not None and s.line_radius_m is not None
    }
    if lateral and median(lateral.values()) < LEAST_LATERAL:
        if LEAST_LATERAL <= median(lateral.values()) / _MIXED_UP <= MOST_LATERAL:
            text = "Are the apex speeds in m/s? They are read as km/h and would be very slow for these corners."
        else:
            text = "The apex speeds are very slow for these corners: check speeds, lengths and turns."
        found.append(Doubt(text, None, "apex_kmh"))
    beyond: dict[int, float] = {}
    for i, sideways in lateral.items():
        if sideways > MOST_LATERAL:
            text = (
                f"Section {i + 1}: its speed and radius ask for {sideways / STANDARD_GRAVITY:.1f} g to the side, which "
                "no tyre gives: check apex speed (mph typed as km/h?), radius or length and turn."
            )
            found.append(Doubt(text, i, "apex_kmh"))
        elif grip is not None and sideways > grip * STANDARD_GRAVITY:
            beyond[i] = sideways / STANDARD_GRAVITY
    found += _beyond_grip(beyond, grip)
    for i, section in enumerate(circuit.sections):
        if grip is None or section.kind != "corner" or section.apex_kmh is not None or section.grip is None:
            continue
        if section.grip > grip:
            text = f"Section {i + 1}: its own grip to the side, {section.grip:g}, is more than the tyre's, {grip:g}."
            found.append(Doubt(text, i, "grip"))
    for i, section in enumerate(circuit.sections):
        if section.kind == "straight":
            idle = [key for key in CORNER_ONLY if getattr(section, key) is not None]
            if idle:
                says = "says" if len(idle) == 1 else "say"
                found.append(
                    Doubt(
                        f"Section {i + 1}: {listed(map(_name, idle))} {says} nothing on a straight.",
                        i,
                        idle[0],
                    )
                )
    if abs(circuit.climbed_m) > max(5.0, 0.002 * circuit.length_m):
        way = "higher" if circuit.climbed_m > 0 else "lower"
        text = f"The lap ends {abs(circuit.climbed_m):.0f} m {way} than it begins: right for a hill climb only."
        found.append(Doubt(text, None, "gradient_percent"))
    return tuple(found)


def _beyond_grip(beyond: dict[int, float], grip: float | None) -> list[Doubt]:
    """The corners that ask for more than the tyre's grip, by their index with how much (g)."""
    if grip is None:
        return []
    end = f"more than the tyre's grip of {grip:g}: check apex speed, radius or length and turn, or the grip."
    if len(beyond) > _NAMED:
        low, high = f"{min(beyond.values()):.2f}", f"{max(beyond.values()):.2f}"
        span = high if low == high else f"{low} to {high}"
        return [Doubt(f"{len(beyond)} corners ask for {span} g to the side, {end}", None, "apex_kmh")]
    return [
        Doubt(f"Section {i + 1}: its speed and radius ask for {sideways:.2f} g to the side, {end}", i, "apex_kmh")
        for i, sideways in beyond.items()
    ]


def _name(key: str) -> str:
    return section_entry(key).label.split(",")[0].lower()


def mirrored(circuit: Circuit) -> Circuit:
    """The circuit with left and right swapped, driven in the same order."""
    return replace(circuit, sections=tuple(replace(s, turn_deg=0.0 - s.turn_deg) for s in circuit.sections))


def reversed_direction(circuit: Circuit) -> Circuit:
    """The circuit driven the other way round: order, turns and gradients turned about."""
    turned = (
        replace(s, turn_deg=0.0 - s.turn_deg, gradient_percent=0.0 - s.gradient_percent)
        for s in reversed(circuit.sections)
    )
    return replace(circuit, sections=tuple(turned))


def moved(circuit: Circuit, index: int, to: int) -> Circuit:
    """The circuit with a section taken out and put in again so that it stands at index `to` (kept in range)."""
    left = list(circuit.sections)
    section = left.pop(index)
    left.insert(min(max(to, 0), len(left)), section)
    return replace(circuit, sections=tuple(left))


def without(circuit: Circuit, index: int) -> Circuit:
    """The circuit without one section."""
    return replace(circuit, sections=circuit.sections[:index] + circuit.sections[index + 1 :])


def with_section(circuit: Circuit, index: int, section: Section, *, insert: bool = False) -> Circuit:
    """The circuit with a section in place of the one at `index`, or, with `insert`, before it."""
    after = circuit.sections[index if insert else index + 1 :]
    return replace(circuit, sections=(*circuit.sections[:index], section, *after))


def _entry_of(f: Field[Any]) -> Entry:
    found: Entry = f.metadata["entry"]
    return found
