"""The point of a section on the map by which its size is changed: a corner's radius, a straight's length. SI: m.

What a corner turns and its apex speed stay.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from gearplan.bike.circuit import Circuit, Section, section_entry
from gearplan.bike.sections.cells import SectionUnits, shown_number
from gearplan.bike.sections.edits import resized
from gearplan.language import tr
from gearplan.plan.laps.trackmap import CircuitMap

#: What turns less (°) has no radius to take hold of.
_LEAST_TURN = 5.0


@dataclass(frozen=True, slots=True)
class MapHandle:
    """Where on the map a section is taken hold of (`x`, `y`), and where it begins."""

    index: int
    x: float
    y: float
    start_x: float
    start_y: float


def map_handle(circuit: Circuit, drawn: CircuitMap, index: int) -> MapHandle:
    """The handle of a section: amid a corner's arc, at the end of all else."""
    first = int(np.argmax(drawn.section == index))
    steps = int(np.count_nonzero(drawn.section[:-1] == index))
    at = first + (steps if size_key(circuit.sections[index]) == "length_m" else steps // 2)
    x, y = drawn.x, drawn.y
    return MapHandle(index, float(x[at]), float(y[at]), float(x[first]), float(y[first]))


def size_key(section: Section) -> str:
    """Which of a section's values its handle changes."""
    bends = section.kind == "corner" and abs(section.turn_deg) >= _LEAST_TURN
    return "radius_m" if bends else "length_m"


def size(section: Section) -> float:
    """That value (m): the radius of a corner's line, the length of all else."""
    radius = section.line_radius_m
    return section.length_m if size_key(section) == "length_m" or radius is None else radius


def dragged(section: Section, handle: MapHandle, x: float, y: float) -> Section:
    """The section with its handle taken to a point of the map, in whole metres.

    Any arc is to a greater one of the same turn as are their chords: the size goes with how far the point lies in the
    direction from where the section begins to the handle.
    """
    east, north = handle.x - handle.start_x, handle.y - handle.start_y
    far = east**2 + north**2
    if far == 0:
        return section
    return _with_size(section, size(section) * ((x - handle.start_x) * east + (y - handle.start_y) * north) / far)


def stepped(section: Section, by: float) -> Section:
    """The section so many metres greater or smaller."""
    return _with_size(section, size(section) + by)


def size_words(section: Section, units: SectionUnits) -> str:
    """The value with its unit: "radius 45 m"."""
    key = size_key(section)
    told = f"{shown_number(size(section), key, units)} {units.of(key)}"
    return tr("radius {size}", size=told) if key == "radius_m" else tr("length {size}", size=told)


def _with_size(section: Section, wanted: float) -> Section:
    """A section of a size in whole metres, all within what its values may be."""
    was = size(section)
    low, high = section_entry(size_key(section)).low, section_entry(size_key(section)).high
    lengths = section_entry("length_m")
    meant = float(round(min(max(wanted, low), high)))
    share = max(meant, low) / was
    return resized(section, min(max(share, lengths.low / section.length_m), lengths.high / section.length_m))
