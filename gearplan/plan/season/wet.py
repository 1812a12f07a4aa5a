"""A wet track: one factor on the grip, and what follows from it for corners and braking. SI where nothing is said.

The factor is the user's own; while none is given it is common practice, no source. It only re-ranks gearing: it is no
statement of how fast a wet corner can be ridden.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from gearplan.bike.circuit import Circuit, Section
from gearplan.bike.profile import Bike, with_value
from gearplan.bike.text.units import DEGREE
from gearplan.bike.text.written import number
from gearplan.language import tr
from gearplan.setup import assumed
from gearplan.setup.assumed import COMMON_PRACTICE
from gearplan.setup.limits import friction

#: Grip in the wet over that in the dry where the user gives none of their own.
USUAL_WET = 0.7
#: What the user may give.
WET_BOUNDS = (0.2, 1.0)


@dataclass(frozen=True, slots=True)
class Wet:
    """Bike and circuit on a wet track, and in words what was changed."""

    bike: Bike
    circuit: Circuit
    told: str


def wet(bike: Bike, circuit: Circuit, share: float | None = None) -> Wet:
    """Everything that grip decides with `share` of it (None: the usual): the tyre's grip and the braking times the
    share (also a rider's own), entered apex speeds times its root, since v² = μ·g·r, and leans as their tangent."""
    part = USUAL_WET if share is None else share
    grip, braking = friction(bike).value * part, assumed.known(bike, "load", "braking_mps2").value * part
    rainy = with_value(with_value(bike, "tyre", "grip", grip), "load", "braking_mps2", braking)
    sections = tuple(_wet_section(section, part) for section in circuit.sections)
    whose = tr("{common_practice}; give your own", common_practice=COMMON_PRACTICE) if share is None else tr("as given")
    told = tr(
        "Wet track: grip {part} of that in the dry ({whose}), so {grip}; entered apex speeds × {sqrt}, "
        "braking {braking} m/s². For comparing gearing only.",
        part=number(part, 1, 2),
        whose=whose,
        grip=number(grip, 1, 2),
        sqrt=number(math.sqrt(part), 1, 2),
        braking=number(braking, 1, 1),
    )
    riders = tuple(
        rider if rider.braking_mps2 is None else replace(rider, braking_mps2=rider.braking_mps2 * part)
        for rider in circuit.riders
    )
    return Wet(rainy, replace(circuit, sections=sections, riders=riders), told)


def _wet_section(section: Section, part: float) -> Section:
    changes: dict[str, float] = {}
    if section.apex_kmh is not None:
        changes["apex_kmh"] = section.apex_kmh * math.sqrt(part)
    if section.grip is not None:
        changes["grip"] = section.grip * part
    if section.lean_deg is not None:
        changes["lean_deg"] = math.atan(part * math.tan(section.lean_deg * DEGREE)) / DEGREE
    return replace(section, **changes) if section.kind == "corner" else section  # type: ignore[arg-type]
