"""How a lap is ridden: the rider's rules, and how fast a corner is taken. SI: m/s, rad, rad/s."""

from __future__ import annotations

import math
from dataclasses import dataclass

from gearplan.bike.circuit import Section
from gearplan.bike.units import DEGREE, KMH, STANDARD_GRAVITY


@dataclass(frozen=True, slots=True)
class LapRules:
    """How the lap is ridden. `wind` is a head wind all round (m/s).

    `share_grip`: leaned, only what the line leaves of the grip is there for the drive. `lean`: leaned, the tyre rolls
    on a smaller radius. `no_shift_beyond` is the lean (rad) beyond which nobody shifts up, `apex_engine_min` the least
    engine speed at an apex (rad/s), `lowest_gear` (from 1) the lowest gear in a corner that names none of its own,
    `stand_up` how fast the rider stands the motorcycle up (rad/s; from memory).
    """

    wind: float = 0.0
    share_grip: bool = True
    lean: bool = True
    no_shift_beyond: float = math.inf
    apex_engine_min: float = 0.0
    lowest_gear: int = 1
    stand_up: float = 60 * DEGREE


USUAL = LapRules()
#: The lap without lean: no shrinking radius and no shared grip.
UPRIGHT = LapRules(share_grip=False, lean=False)


def apex_speed(section: Section, friction: float) -> float:
    """Apex speed of a corner (m/s): as entered, else √(μ·g·r), μ the grip of the section, its lean's or the tyre's."""
    if section.apex_kmh is not None:
        return section.apex_kmh * KMH
    assert section.radius_m is not None
    side = section.grip
    if side is None:
        side = friction if section.lean_deg is None else math.tan(section.lean_deg * DEGREE)
    return math.sqrt(side * STANDARD_GRAVITY * section.radius_m)
