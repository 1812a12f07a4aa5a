"""Random machines, roads and many sets of one machine, from a seed."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from numpy.random import Generator

from gearplan.bike.text.units import RPM
from gearplan.drive.motion.machines import Machines
from gearplan.drive.motion.roadload import Road
from gearplan.drive.motion.thrust import Machine


def some_machine(rng: Generator, growth: float = 0.0) -> Machine:
    """Anything from a moped to a racer, with a torque curve that jumps about; one in eight an electric motor."""
    limiter = float(rng.uniform(6000, 15000)) * RPM
    count = int(rng.integers(3, 12))
    engine = np.sort(rng.uniform(0.1, 1.05, count)) * limiter
    peak = float(rng.uniform(8, 130))
    electric = rng.random() < 0.125
    gears = 1 if electric else int(rng.integers(4, 7))
    ratios = np.cumprod(np.concatenate([[1.0], rng.uniform(0.7, 0.9, gears - 1)]))
    mass, radius = float(rng.uniform(110, 380)), float(rng.uniform(0.26, 0.34))
    return Machine(
        engine=tuple(engine.tolist()),
        torque=tuple((peak * rng.uniform(0.5, 1.0, count)).tolist()),
        overall=tuple((limiter / (rng.uniform(9, 25) / radius) * ratios).tolist()),
        radius=radius,
        efficiency=float(rng.uniform(0.85, 0.97)),
        limiter=limiter,
        launch=0.0 if electric else float(rng.uniform(0.2, 0.6)) * limiter,
        shift_at=math.inf if rng.random() < 0.7 else 0.8 * limiter,
        shift_time=0.0 if electric else float(rng.choice([0.0, 0.05, 0.15, 0.4])),
        lift=math.inf if rng.random() < 0.3 else mass * 9.8 * float(rng.uniform(0.4, 1.2)),
        grip=math.inf if rng.random() < 0.3 else mass * 9.8 * float(rng.uniform(0.4, 1.2)),
        mass=mass,
        wheel=float(rng.uniform(4, 12)),
        crank=float(rng.choice([0.0, 0.003, 0.03])),
        growth=growth,
    )


def some_road(rng: Generator, machine: Machine) -> Road:
    """A road for it, one in two level and calm."""
    still = rng.random() < 0.5
    return Road(
        mass=machine.mass,
        drag_area=float(rng.uniform(0.2, 0.8)),
        density=float(rng.uniform(0.9, 1.3)),
        rolling=float(rng.uniform(0.01, 0.03)),
        slope=0.0 if still else float(rng.uniform(-0.08, 0.12)),
        wind=0.0 if still else float(rng.uniform(-15, 15)),
    )


def with_ratio(machine: Machine, part: float) -> Machine:
    """The same with another final ratio."""
    return replace(machine, overall=tuple(part * i for i in machine.overall))


def as_many(sets: list[Machine], road: Road) -> Machines:
    """Sets of one machine in the form in which many are computed at once."""
    one = sets[0]
    return Machines(
        engine=np.array(one.engine),
        torque=np.array(one.torque),
        over_radius=np.array([[i / m.radius for i in m.overall] for m in sets]),
        radius=np.array([m.radius for m in sets]),
        crown=np.zeros(len(sets)),
        lift=np.array([m.lift for m in sets]),
        grip=np.array([m.grip for m in sets]),
        efficiency=one.efficiency,
        limiter=one.limiter,
        launch=one.launch,
        shift_at=one.shift_at,
        shift_time=one.shift_time,
        mass=one.mass,
        wheel_inertia=one.wheel * one.radius**2,
        crank=one.crank,
        drag_area=road.drag_area,
        density=road.density,
        rolling=road.rolling,
        friction=1.1,
        braking=9.0,
        growth=one.growth,
    )
