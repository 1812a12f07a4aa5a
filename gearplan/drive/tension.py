"""Chain tension from the thrust at the tyre. SI: N, m, m/s, kg."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from gearplan.bike.units import STANDARD_GRAVITY
from gearplan.drive.sprocket import Values, pitch_radius

Floats = NDArray[np.float64]


def lift_limit(mass: Values, ahead: Values, height: Values) -> Floats:
    """Thrust at which the front wheel lifts on the level: m·g·b/h.

    b the centre of mass ahead of the rear contact, h its height. Source: moments about the rear contact point;
    Cossalter, Motorcycle Dynamics (from memory).
    """
    return np.asarray(mass * STANDARD_GRAVITY * ahead / height)


def grip_limit(mass: Values, ahead: Values, height: Values, wheelbase: Values, grip: Values) -> Floats:
    """Thrust at which the rear tyre spins on the level: μ·m·g·((w − b)/w)/(1 − μ·h/w).

    Load moves to the rear as the motorcycle accelerates; without limit (infinite) where the denominator is not
    positive: it then lifts the front wheel first.
    """
    room = 1 - np.asarray(grip, float) * height / wheelbase
    with np.errstate(divide="ignore"):
        force = grip * mass * STANDARD_GRAVITY * (wheelbase - ahead) / wheelbase / np.where(room > 0, room, np.nan)
    return np.asarray(np.where(room > 0, force, np.inf))


def chain_tension(thrust: Values, tyre_radius: Values, rear: Values, pitch: Values) -> Floats:
    """Tension of the upper run that gives a thrust at the tyre: F·R/r₂, by moments about the axle."""
    return np.asarray(thrust * tyre_radius / pitch_radius(rear, pitch))


def centrifugal_tension(mass_per_metre: Values, chain_speed: Values) -> Floats:
    """Tension that the chain's own motion adds in both runs: q·v² (handbook formula; q in kg/m, v in m/s)."""
    return np.asarray(mass_per_metre * np.asarray(chain_speed, float) ** 2)
