"""How a lap is ridden: the rider's rules, and how fast a corner is taken. SI: m/s, rad, rad/s."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from gearplan.bike.circuit import Section
from gearplan.bike.text.units import DEGREE, KMH, STANDARD_GRAVITY
from gearplan.drive.motion.machines import Floats, Ints, Machines

#: However early somebody shifts up, it is not below this share of where the usual shift is.
_EARLIEST = 0.5


@dataclass(frozen=True, slots=True)
class LapRules:
    """How the lap is ridden. `wind` is a head wind all round (m/s).

    `share_grip`: leaned, only what the line leaves of the grip is there for the drive. `lean`: leaned, the tyre rolls
    on a smaller radius. `no_shift_beyond` is the lean (rad) beyond which nobody shifts up, `apex_engine_min` the least
    engine speed at an apex (rad/s), `lowest_gear` (from 1) the lowest gear in a corner that names none of its own,
    `first_below` the speed (m/s) from which first gear is not used, `skips` the gears (from 1) that are passed over.
    `short_shift` is by how much earlier than usual one shifts up (rad/s): first gear is left at `first_below`, every
    gear that much early, as long as the next one still pulls there. `down_shift` is the time that each down-shift
    before a corner takes (s), nothing driving: braking hides it as far as it lasts. `stand_up` is how fast the rider
    stands the motorcycle up (rad/s; from memory).
    """

    wind: float = 0.0
    share_grip: bool = True
    lean: bool = True
    no_shift_beyond: float = math.inf
    apex_engine_min: float = 0.0
    lowest_gear: int = 1
    first_below: float = math.inf
    skips: tuple[int, ...] = ()
    short_shift: float = 0.0
    down_shift: float = 0.0
    stand_up: float = 60 * DEGREE


USUAL = LapRules()
#: The lap without lean: no shrinking radius and no shared grip.
UPRIGHT = LapRules(share_grip=False, lean=False)


def gears_used(gears: int, rules: LapRules) -> Ints:
    """The gears (from 0) of so many that are used; all if every one were passed over."""
    kept = np.array([gear for gear in range(gears) if gear + 1 not in rules.skips], int)
    return kept if len(kept) else np.arange(gears)


def earliest_shifts(machines: Machines, rules: LapRules) -> Floats:
    """Road speed (m/s, upright) of each up-shift of this rider where the next gear still pulls [set, gear].

    `machines` have the used gears only. The last gear's is that of the limiter.
    """
    m = machines
    early, below = np.full(m.count, rules.short_shift), np.full(m.count, rules.first_below)
    if m.varied is not None:
        early = np.maximum(early + m.varied.short_shift, 0.0)
        below = below + m.varied.first_below
    if m.gears == 1 or (not early.any() and not np.isfinite(below).any()):
        return m.shift_speed
    engine = np.maximum(m.shift_engine - early[:, None], _EARLIEST * m.shift_engine)
    found = np.where(early[:, None] > 0, m.speed_at(engine, m.over_radius), m.shift_speed)
    found[:, -1] = m.shift_speed[:, -1]
    if 1 not in rules.skips:
        found[:, 0] = np.minimum(found[:, 0], np.maximum(below, 0.0))
    return found


def apex_speed(section: Section, friction: float) -> float:
    """Apex speed of a corner (m/s): as entered, else √(μ·g·r), μ the grip of the section, its lean's or the tyre's."""
    if section.apex_kmh is not None:
        return section.apex_kmh * KMH
    assert section.radius_m is not None
    side = section.grip
    if side is None:
        side = friction if section.lean_deg is None else math.tan(section.lean_deg * DEGREE)
    return math.sqrt(side * STANDARD_GRAVITY * section.radius_m)
