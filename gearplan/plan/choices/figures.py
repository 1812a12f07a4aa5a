"""Figures of all candidates at once that need torque or road load. SI; what lacks is said by a finding."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from gearplan.bike.text.units import RPM, STANDARD_GRAVITY
from gearplan.drive import gearing
from gearplan.drive.motion.thrust import engine_thrust, thrust, top_speeds
from gearplan.plan.choices.candidates import Candidates
from gearplan.plan.findings import Finding
from gearplan.plan.pull.pull import pull

Floats = NDArray[np.float64]


def redline_speed(found: Candidates, gear: int) -> Floats | None:
    """Road speed at the redline in a gear (from 0, −1 the last) of every candidate; None while data lacks."""
    redline = found.bike.engine.redline_rpm
    if redline is None or found.overall is None or np.isnan(found.circumference).any():
        return None
    return gearing.road_speed(redline * RPM, found.overall[:, gear], found.radius, found.on.tyre_growth)


def top_speed(found: Candidates) -> Floats | Finding:
    """Top speed with drag of every candidate (m/s), NaN where no gear holds any; or what lacks for it."""
    if isinstance(found.pulled, Finding):
        return found.pulled
    assert found.overall is not None
    # The link counts of one pair share a top speed unless the tyre's limit reaches so high.
    keys = np.column_stack([found.front, found.rear, found.tyre, found.bound])
    _, first, back = np.unique(keys, axis=0, return_index=True, return_inverse=True)
    machine, road = found.pulled.machine, found.pulled.road
    fastest = top_speeds(machine, road, found.overall[first], found.radius[first], found.bound[first])
    return np.asarray(fastest[back.ravel()])


def thrust_at(found: Candidates, speed: float, gear: int) -> Floats | Finding:
    """Thrust (N) of every candidate at a road speed in a gear (from 0, −1 the last), within the tyre's limits."""
    if isinstance(found.pulled, Finding):
        return found.pulled
    assert found.overall is not None
    first = gear % found.overall.shape[1] == 0
    force = engine_thrust(found.pulled.machine, found.overall[:, gear], found.radius, speed, first=first)
    return np.asarray(np.minimum(force, found.bound))


def fitted_thrust(found: Candidates, speed: float, gear: int) -> float:
    """Thrust (N) of the fitted set; 0 where it has none or its pull is not known."""
    on = pull(found.bike, found.on.set)
    if isinstance(on, Finding):
        return 0.0
    return float(thrust(on.machine, gear % len(on.machine.overall), speed))


def steepest_start(found: Candidates, mass: float) -> Floats | Finding:
    """The slope (a fraction) on which first gear just starts with the clutch slipping at the launch speed.

    From T(launch)·i·η/R = m·g·(c_r·cos a + sin a), solved for a.
    """
    if isinstance(found.pulled, Finding):
        return found.pulled
    assert found.overall is not None
    machine, rolling = found.pulled.machine, found.pulled.road.rolling
    force = engine_thrust(machine, found.overall[:, 0], found.radius, 0.0, first=True)
    share = force / (mass * STANDARD_GRAVITY * math.hypot(1.0, rolling))
    return np.asarray(np.tan(np.arcsin(np.minimum(share, 1.0)) - math.atan(rolling)))
