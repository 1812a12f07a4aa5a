"""What resists the motion: drag, rolling, gradient; and how a motorcycle slows without drive. SI."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gearplan.drive.motion import force
from gearplan.drive.sprocket import Values

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
        return float(force.rolling_and_slope(self.mass, self.rolling, self.slope))

    @property
    def square(self) -> float:
        """Drag over the square of the air speed (N·s²/m²)."""
        return 0.5 * self.density * self.drag_area


def road_load(road: Road, speed: Values) -> Floats:
    """½·ρ·CdA·(v + wind)² + m·g·(c_r·cos a + sin a) in N; a tail wind faster than the motorcycle pushes."""
    return np.asarray(force.drag(road.square, speed, road.wind) + road.constant)


def coasted(road: Road, speed: float, mass: float, time: float) -> tuple[float, float]:
    """(Speed in m/s, distance in m) after coasting for a time (s) without drive; `mass` is the equivalent mass (kg).

    For every wind and slope, exactly; stops at standstill. See `force.coasted`.
    """
    after, run = force.coasted(road.square, road.constant, mass, road.wind, speed, time)
    return float(after), float(run)
