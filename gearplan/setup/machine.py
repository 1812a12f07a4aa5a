"""From a bike as entered to the machines that the physics computes with: one set's, or many sets' at once. SI."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from gearplan.bike.profile import Bike
from gearplan.bike.text.units import RPM
from gearplan.drive.motion.machines import Machines, Varied
from gearplan.drive.motion.roadload import Road
from gearplan.drive.motion.thrust import Machine
from gearplan.drive.sprocket import Values
from gearplan.language import tr
from gearplan.setup import assumed
from gearplan.setup.air import air_of_the_day
from gearplan.setup.assumed import Assumed
from gearplan.setup.limits import NO_LIMIT, TyreLimits, all_up_mass, friction, tyre_limits
from gearplan.setup.ratios import gearbox, growth
from gearplan.setup.torque import EngineTorque, Lacking, engine_torque

Floats = NDArray[np.float64]
_Machine = TypeVar("_Machine", Machine, Machines)


@dataclass(frozen=True, slots=True)
class Power:
    """What the engine gives, whatever the gearing: points (rad/s, N·m), efficiency to the tyre, rad/s, s, kg·m².

    `shift_at` is infinite unless the rider shifts at a speed of his own.
    """

    engine: tuple[float, ...]
    torque: tuple[float, ...]
    efficiency: float
    limiter: float
    launch: float
    shift_at: float
    shift_time: float
    crank: float
    assumed: tuple[Assumed, ...]

    def peak_torque(self, least: float = 0.0) -> float:
        """The greatest torque (N·m) from an engine speed up to the limiter."""
        # Linear between points and held at the ends: the most lies at a point within, or at an end.
        speeds = np.array(self.engine)
        within = speeds[(speeds >= least) & (speeds <= self.limiter)]
        reached = np.concatenate([within, [min(least, self.limiter), self.limiter]])
        return float(np.interp(reached, speeds, self.torque).max())


@lru_cache(maxsize=64)
def power(bike: Bike) -> Power | Lacking:
    """What the engine gives, or the fields that are missing for it."""
    e = bike.engine
    gives, limiter = engine_torque(e), e.end_rpm
    lacking = [] if isinstance(gives, EngineTorque) else list(gives)
    if limiter is None:
        lacking.append(("engine.redline_rpm", tr("the redline")))
    if not isinstance(gives, EngineTorque) or limiter is None:
        return tuple(lacking)
    wheel = e.torque_at == "wheel"
    efficiency = assumed.Known(1.0) if wheel else assumed.known(bike, "engine", "efficiency")
    launch = assumed.launch(bike, limiter)
    shift_time = assumed.known(bike, "engine", "shift_time_s")
    crank = assumed.inertia(bike, gives.peak)
    return Power(
        engine=tuple(rpm * RPM for rpm, _ in gives.points),
        torque=tuple(torque for _, torque in gives.points),
        efficiency=efficiency.value,
        limiter=limiter * RPM,
        launch=min(launch.value, limiter) * RPM,
        shift_at=math.inf if e.shift_rpm is None else e.shift_rpm * RPM,
        shift_time=shift_time.value,
        crank=crank.value,
        assumed=assumed.listed(*gives.assumed, launch, efficiency, shift_time, crank),
    )


@dataclass(frozen=True, slots=True)
class Basis:
    """What all machines of one bike have in common, whatever the set.

    `limits` is None where they are not known. `assumed` is what the pull rests on, `lap_assumed` what a lap takes
    besides (but for the tyre's crown, which goes with the set).
    """

    power: Power
    mass: float
    wheel_inertia: float
    drag_area: float
    density: float
    rolling: float
    limits: TyreLimits | None
    friction: float
    braking: float
    growth: float
    assumed: tuple[Assumed, ...]
    lap_assumed: tuple[Assumed, ...]

    def road(self, slope: float = 0.0, wind: float = 0.0) -> Road:
        """What resists on a slope (rad) against a wind (m/s)."""
        return Road(self.mass, self.drag_area, self.density, self.rolling, slope, wind)


@lru_cache(maxsize=64)
def basis(bike: Bike) -> Basis | Lacking:
    """The basis of every machine of a bike, or the fields that are missing for it."""
    gives, mass = power(bike), all_up_mass(bike)
    if not isinstance(gives, Power) or mass is None:
        lacking = () if isinstance(gives, Power) else gives
        return (*lacking, *(() if mass is not None else (("load.bike_kg", tr("the motorcycle's weight")),)))
    wheel, area, rolls, brakes = (
        assumed.known(bike, "load", key)
        for key in ("wheel_inertia_kg_m2", "drag_area_m2", "rolling_coefficient", "braking_mps2")
    )
    air, limits, grip = air_of_the_day(bike), tyre_limits(bike), friction(bike)
    return Basis(
        power=gives,
        mass=mass.value,
        wheel_inertia=wheel.value,
        drag_area=area.value,
        density=air.density,
        rolling=rolls.value,
        limits=limits,
        friction=grip.value,
        braking=brakes.value,
        growth=growth(bike),
        assumed=assumed.listed(
            *gearbox(bike).assumed,
            *gives.assumed,
            *mass.assumed,
            *((NO_LIMIT,) if limits is None else limits.assumed),
            wheel,
            area,
            rolls,
            *air.assumed,
        ),
        lap_assumed=assumed.listed(brakes, grip),
    )


def machine(on: Basis, overall: tuple[float, ...], radius: float, moved: float = 0.0, slope: float = 0.0) -> Machine:
    """One set's machine: overall ratios, rolling radius at rest (m), the axle moved back (m), on a slope (rad)."""
    lift, grip = thrust_limits(on.limits, moved, slope)
    return Machine(
        engine=on.power.engine,
        torque=on.power.torque,
        overall=overall,
        radius=radius,
        efficiency=on.power.efficiency,
        limiter=on.power.limiter,
        launch=on.power.launch,
        shift_at=on.power.shift_at,
        shift_time=on.power.shift_time,
        lift=float(lift),
        grip=float(grip),
        mass=on.mass,
        wheel=on.wheel_inertia / radius**2,
        crank=on.power.crank,
        growth=on.growth,
    )


def machines(
    on: Basis,
    over_radius: Floats,
    radius: Floats,
    crown: Floats,
    moved: Floats,
    part: float = 1.0,
    varied: Varied | None = None,
) -> Machines:
    """Many sets' machines on the level, in the shapes of `Machines`, with `part` of the tyre's grip.

    With `varied` each set has its own part of that, its own mass and what else differs.
    """
    lift, grip = thrust_limits(on.limits, moved, part=part if varied is None else part * varied.friction)
    if varied is not None:
        # As in `with_mass`: both limits are weights at the wheels.
        lift, grip = lift * varied.mass, grip * varied.mass
    return Machines(
        engine=np.array(on.power.engine),
        torque=np.array(on.power.torque),
        over_radius=over_radius,
        radius=radius,
        crown=crown,
        lift=lift,
        grip=grip,
        efficiency=on.power.efficiency,
        limiter=on.power.limiter,
        launch=on.power.launch,
        shift_at=on.power.shift_at,
        shift_time=on.power.shift_time,
        mass=on.mass,
        wheel_inertia=on.wheel_inertia,
        crank=on.power.crank,
        drag_area=on.drag_area,
        density=on.density,
        rolling=on.rolling,
        friction=part * on.friction,
        braking=on.braking,
        growth=on.growth,
        varied=varied,
    )


def thrust_limits(
    limits: TyreLimits | None, moved: Values = 0.0, slope: float = 0.0, part: Values = 1.0
) -> tuple[Floats, Floats]:
    """(Front lift, grip) in N, of the shape of `moved`: infinite where not known, on a slope less by its cosine."""
    if limits is None:
        free = np.full(np.shape(moved), np.inf)
        return free, free
    level = math.cos(slope)
    return np.asarray(limits.lift(moved) * level), np.asarray(limits.grip(moved, part) * level)


def with_mass(made: _Machine, part: float) -> _Machine:
    """The same with its mass times `part`: both limits of the thrust are weights at the wheels, and go with it."""
    return replace(made, mass=made.mass * part, lift=made.lift * part, grip=made.grip * part)
