"""What resists the motion: drag, rolling, gradient; and how a motorcycle slows without drive. SI."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gearplan.drive.sprocket import Values
from gearplan.drive.tension import GRAVITY

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Road:
    """Mass (kg), drag area (m²), air density (kg/m³), rolling coefficient, slope (rad, up +), head wind (m/s)."""

    mass: float
    drag_area: float
    density: float
    rolling: float
    slope: float = 0.0
    wind: float = 0.0

    @property
    def constant(self) -> float:
        """Rolling and gradient (N)."""
        return self.mass * GRAVITY * (self.rolling * math.cos(self.slope) + math.sin(self.slope))

    @property
    def square(self) -> float:
        """Drag over the square of the air speed (N·s²/m²)."""
        return 0.5 * self.density * self.drag_area


def road_load(road: Road, speed: Values) -> Floats:
    """½·ρ·CdA·(v + wind)² + m·g·(c_r·cos a + sin a) in N; a tail wind faster than the motorcycle pushes."""
    air = np.asarray(speed, float) + road.wind
    return np.asarray(road.square * air * np.abs(air) + road.constant)


def coasted(road: Road, speed: float, mass: float, time: float) -> tuple[float, float]:
    """(speed, distance) after coasting for a time without drive, from a positive air speed.

    Closed form of m·dv/dt = −(k·u² + c), u the air speed: a tangent for c > 0, a hyperbola for c = 0; down a slope
    (c < 0) one midpoint step, for the time of a shift. `mass` is the equivalent mass (kg). Stops at standstill.
    """
    k, c, u = road.square, road.constant, speed + road.wind
    if c > 0:
        root = math.sqrt(k * c)
        angle = math.atan(u * math.sqrt(k / c)) - root * time / mass
        least = math.atan(max(road.wind, 0.0) * math.sqrt(k / c))
        stopped = angle <= least
        angle = max(angle, least)
        after = math.sqrt(c / k) * math.tan(angle)
        run = mass / (2 * k) * math.log((k * u * u + c) / (k * after * after + c))
        spent = time if not stopped else (math.atan(u * math.sqrt(k / c)) - least) * mass / root
        return after - road.wind, run - road.wind * spent
    if c == 0 and u > 0:
        growth = 1 + k * u * time / mass
        return u / growth - road.wind, (mass / k * math.log(growth) if k else u * time) - road.wind * time
    # Downhill faster than it rolls: a shift is short enough for one midpoint step.
    half = speed - (k * u * u + c) / mass * time / 2
    middle = half + road.wind
    after = speed - (k * middle * abs(middle) + c) / mass * time
    return max(after, 0.0), max(half, 0.0) * time
