"""The swingarm's geometry from heights above a level floor and level distances. SI: m, rad."""

from __future__ import annotations

import math


def angle_by_length(pivot: float, axle: float, arm: float) -> float:
    """Angle of the line from pivot to axle below the level: sin θ = (pivot − axle)/arm.

    Heights of both centres, and the length between them. ValueError where the heights differ by more than that.
    """
    fall = (pivot - axle) / arm
    if not -1 <= fall <= 1:
        raise ValueError("the heights differ by more than the length")
    return math.asin(fall)


def angle_by_level(pivot: float, axle: float, level: float) -> float:
    """The same from the level distance between plumb lines: tan θ = (pivot − axle)/level."""
    return math.atan2(pivot - axle, level)


def arm_by_level(pivot: float, axle: float, level: float) -> float:
    """Length from pivot to axle from both heights and the level distance between them."""
    return math.hypot(level, pivot - axle)
