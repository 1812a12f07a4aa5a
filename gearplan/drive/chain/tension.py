"""Chain tension from the thrust at the tyre. SI: N, m, m/s, kg."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from gearplan.drive.sprocket import Values, pitch_radius

Floats = NDArray[np.float64]


def chain_tension(thrust: Values, tyre_radius: Values, rear: Values, pitch: Values) -> Floats:
    """Tension of the upper run that gives a thrust at the tyre: F·R/r₂, by moments about the axle."""
    return np.asarray(thrust * tyre_radius / pitch_radius(rear, pitch))


def centrifugal_tension(mass_per_metre: Values, chain_speed: Values) -> Floats:
    """Tension that the chain's own motion adds in both runs: q·v² (handbook formula; q in kg/m, v in m/s)."""
    return np.asarray(mass_per_metre * np.asarray(chain_speed, float) ** 2)
