"""Elongation of a chain, its forecast, and how often a tooth meets the same link. SI: m; fractions."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray


def elongation(length: float, links: int, pitch: float) -> float:
    """(measured − nominal)/nominal over `links` pitches; lengths in m, pin centre to pin centre."""
    return length / (links * pitch) - 1


@dataclass(frozen=True, slots=True)
class Forecast:
    """When the elongation will reach a limit, in the odometer's unit: best guess and a range of about 95 %.

    None where the readings do not say: no growth, or too few readings for a range.
    """

    per_distance: float
    due: float | None
    earliest: float | None
    latest: float | None


def forecast(odometer: NDArray[np.float64], elongations: NDArray[np.float64], limit: float) -> Forecast | None:
    """Straight line by least squares through the readings; None with fewer than two odometer positions.

    The range comes from Student's t for the slope and level (inverse prediction after Fieller); with two readings
    there is no range.
    """
    x, y = np.asarray(odometer, float), np.asarray(elongations, float)
    if len(np.unique(x)) < 2:
        return None
    n, mean_x, mean_y = len(x), x.mean(), y.mean()
    spread = ((x - mean_x) ** 2).sum()
    slope = float(((x - mean_x) * (y - mean_y)).sum() / spread)
    if slope <= 0:
        return Forecast(slope, None, None, None)
    due = float(mean_x + (limit - mean_y) / slope)
    if n < 3:
        return Forecast(slope, due, None, None)
    scatter = ((y - mean_y - slope * (x - mean_x)) ** 2).sum() / (n - 2)
    t = _T_95[min(n - 2, len(_T_95)) - 1]
    # Fieller: |limit − mean_y − slope·d| = t·s·√(1/n + d²/spread), a quadratic in d.
    g = t**2 * scatter / spread
    a, b = slope**2 - g, -2 * slope * (limit - mean_y)
    c = (limit - mean_y) ** 2 - t**2 * scatter / n
    inside = b**2 - 4 * a * c
    if a <= 0 or inside < 0:
        return Forecast(slope, due, None, None)
    root = math.sqrt(inside)
    return Forecast(slope, due, float(mean_x + (-b - root) / (2 * a)), float(mean_x + (-b + root) / (2 * a)))


# Student's t, two-sided 95 %, for 1, 2, … degrees of freedom; published tables.
_T_95 = (
    12.706, 4.303, 3.182, 2.776, 2.571, 2.447, 2.365, 2.306, 2.262, 2.228, 2.201, 2.179, 2.160, 2.145, 2.131, 2.120,
    2.110, 2.101, 2.093, 2.086, 2.080, 2.074, 2.069, 2.064, 2.060, 2.056, 2.052, 2.048, 2.045, 2.042,
)  # fmt: skip


def turns_to_meet_again(teeth: int, links: int) -> int:
    """Turns of a sprocket until the same tooth meets the same link again: lcm(teeth, links)/teeth.

    The more the better: wear is spread; source: trade advice that teeth and links be coprime.
    """
    return math.lcm(teeth, links) // teeth
