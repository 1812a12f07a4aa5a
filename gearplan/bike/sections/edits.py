"""Changes of a circuit's sections; pure: each returns the changed circuit."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace

from gearplan.bike.circuit import Circuit, Section
from gearplan.language import tr


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


def without(circuit: Circuit, first: int, last: int | None = None) -> Circuit:
    """The circuit without one section, or without those from `first` to `last`."""
    return replace(circuit, sections=circuit.sections[:first] + circuit.sections[(last or first) + 1 :])


def with_section(circuit: Circuit, index: int, section: Section, *, insert: bool = False) -> Circuit:
    """The circuit with a section in place of the one at `index`, or, with `insert`, before it."""
    after = circuit.sections[index if insert else index + 1 :]
    return replace(circuit, sections=(*circuit.sections[:index], section, *after))


def split(circuit: Circuit, index: int) -> Circuit:
    """The circuit with a section cut into two halves; each turns half, all else holds for both."""
    section = circuit.sections[index]
    half = replace(section, length_m=section.length_m / 2, turn_deg=section.turn_deg / 2)
    return replace(circuit, sections=(*circuit.sections[:index], half, half, *circuit.sections[index + 1 :]))


def joined(circuit: Circuit, first: int, last: int) -> Circuit:
    """The circuit with the sections from `first` to `last` made one. ValueError where they are of both kinds.

    Lengths and turns add up, and it climbs as much in all. A corner is held at the least apex speed, radius, grip and
    lean of them; its lowest gear is the highest of theirs.
    """
    parts = circuit.sections[first : last + 1]
    if len(parts) < 2:
        raise ValueError(tr("Join needs a section after this one."))
    if len({part.kind for part in parts}) > 1:
        raise ValueError(
            tr(
                "Sections {first} to {last} are not of one kind: make all of them straights or all corners first.",
                first=first + 1,
                last=last + 1,
            )
        )
    length = math.fsum(part.length_m for part in parts)
    climbed = math.fsum(part.length_m * part.gradient_percent for part in parts)
    made = replace(
        parts[0],
        length_m=length,
        gradient_percent=round(climbed / length, 6),
        turn_deg=math.fsum(part.turn_deg for part in parts),
        note=next((part.note for part in parts if part.note), ""),
        lowest_gear=max((part.lowest_gear for part in parts if part.lowest_gear is not None), default=None),
        hold_gear=any(part.hold_gear for part in parts),
        apex_kmh=_least(part.apex_kmh for part in parts),
        radius_m=_least(part.radius_m for part in parts),
        grip=_least(part.grip for part in parts),
        lean_deg=_least(part.lean_deg for part in parts),
    )
    return replace(circuit, sections=(*circuit.sections[:first], made, *circuit.sections[last + 1 :]))


def _least(values: Iterable[float | None]) -> float | None:
    return min((value for value in values if value is not None), default=None)


def resized(section: Section, share: float) -> Section:
    """A section as many times as long, a corner with as many times the radius; what it turns and its speed stay."""
    radius = section.radius_m
    if section.kind == "corner" and radius is not None:
        radius = round(radius * share, 3)
    return replace(section, length_m=round(section.length_m * share, 3), radius_m=radius)
