"""How far a tyre rolls. SI: m."""

from __future__ import annotations

import math

from gearplan.bike.text.units import INCH, MM
from gearplan.bike.tyresize import TyreSize


def free_diameter(size: TyreSize) -> float:
    """Diameter of the unloaded tyre in m: 25.4 mm for each inch of rim, and twice the section height.

    Source: the rule by which size markings are read, as tyre makers publish it; a real tyre differs by a few mm.
    """
    return size.rim_in * INCH + 2 * size.section_height_mm * MM


def rolling_circumference(free_diameter: float, rolling_factor: float) -> float:
    """Length of one turn under load in m: rolling_factor · π · D."""
    return rolling_factor * math.pi * free_diameter


def rolling_radius(circumference: float) -> float:
    """Effective radius of a rolling circumference, U / 2π, in m."""
    return circumference / math.tau


def rolled_out(distance: float, turns: float) -> float:
    """Circumference in m from the distance (m) over which the wheel turned so often."""
    return distance / turns


def worn_circumference(circumference: float, depth: float) -> float:
    """Rolling circumference in m of a tyre whose middle is worn by a depth (m): U − 2π·depth.

    Geometry of a ring that rolls on its surface. A stiff belt takes some of it back, so a real tyre loses no more.
    """
    return circumference - math.tau * depth
