"""What the gearing does to thrust, top speed and acceleration, for one set. SI."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache

from gearplan.bike.profile import Bike, entry, value
from gearplan.bike.units import KMH, MM, RPM
from gearplan.drive import air, speedometer, tension
from gearplan.drive import sprint as sprints
from gearplan.drive import thrust as thrusts
from gearplan.drive.roadload import Road
from gearplan.drive.thrust import Machine, TopSpeed
from gearplan.plan.driveset import DriveSet, fitted
from gearplan.plan.findings import Finding, missing
from gearplan.plan.set.evaluate import SetResult, evaluate
from gearplan.setup.torque import EngineTorque, engine_torque

#: While no launch speed is entered: this share of the redline, common practice, no source.
_ASSUMED_LAUNCH = 0.4
_ABOUT = "pull"


@dataclass(frozen=True, slots=True)
class Pull:
    """One set's pull. `assumed` names the entries that were assumed; `shift_engine` is in rad/s."""

    machine: Machine
    road: Road
    shift_speeds: tuple[float, ...]
    shift_engine: tuple[float, ...]
    top: TopSpeed | None
    run: sprints.Sprint
    assumed: tuple[str, ...]

    def roll_on(self, gear: int, start: float, end: float) -> float | None:
        """Seconds from one speed to another in a gear (from 0), full throttle."""
        return sprints.roll_on(self.machine, self.road, gear, start, end)

    def between(self, start: float, end: float) -> float | None:
        """Seconds from one speed to another through the gears, part of the run from standstill."""
        first, last = self.run.time_to_speed(start), self.run.time_to_speed(end)
        return None if first is None or last is None else last - first


@lru_cache(maxsize=64)
def pull(bike: Bike, chosen: DriveSet, slope: float = 0.0, wind: float = 0.0) -> Pull | Finding:
    """The pull of a set on a slope (rad) against a wind (m/s); or the finding that names what is missing."""
    result = evaluate(bike, chosen)
    assumed: list[str] = []
    machine = _machine(bike, result, assumed)
    if isinstance(machine, Finding):
        return machine
    level = math.cos(slope)
    machine = replace(machine, lift=machine.lift * level, grip=machine.grip * level)
    road = Road(
        mass=machine.mass,
        drag_area=_or_assumed(bike, "load", "drag_area_m2", assumed),
        density=air_density(bike, assumed),
        rolling=_or_assumed(bike, "load", "rolling_coefficient", assumed),
        slope=slope,
        wind=wind,
    )
    shifts = thrusts.shift_speeds(machine, road)
    return Pull(
        machine=machine,
        road=road,
        shift_speeds=shifts,
        shift_engine=tuple(v * i / machine.radius for v, i in zip(shifts, machine.overall, strict=False)),
        top=thrusts.top_speed(machine, road),
        run=sprints.sprint(machine, road, shifts),
        assumed=tuple(dict.fromkeys(assumed)),
    )


def air_density(bike: Bike, assumed: list[str]) -> float:
    """Density of the air that day (kg/m³): from pressure and temperature, the standard atmosphere for what lacks."""
    c = bike.conditions
    altitude = c.altitude_m or 0.0
    if c.altitude_m is None and c.pressure_hpa is None:
        assumed.append("air at sea level")
    pressure = c.pressure_hpa * 100 if c.pressure_hpa is not None else float(air.standard_pressure(altitude))
    if c.temperature_c is None:
        assumed.append("temperature of the standard atmosphere")
    kelvin = float(air.standard_temperature(altitude)) if c.temperature_c is None else c.temperature_c + 273.15
    return float(air.density(pressure, kelvin))


def speedometer_factor(bike: Bike, chosen: DriveSet) -> float | None:
    """Indicated over true speed with a set fitted; None while sensor, its error or the ratios are not entered."""
    on, proposed, s = evaluate(bike, fitted(bike)), evaluate(bike, chosen), bike.speedometer
    if s.sensor is None or s.indicated_over_true is None:
        return None
    if None in (on.final_ratio, proposed.final_ratio, on.rolling_circumference, proposed.rolling_circumference):
        return None
    shown = speedometer.indicated_over_true(
        s.indicated_over_true,
        s.sensor,
        on.final_ratio or 1.0,
        proposed.final_ratio or 1.0,
        on.rolling_circumference or 1.0,
        proposed.rolling_circumference or 1.0,
    )
    return float(shown)


def counter_factor(bike: Bike, chosen: DriveSet) -> float | None:
    """Counted over true distance with a set fitted: the counter sees what the speedometer sees.

    None while sensor or ratios are not entered. The counter is right as fitted unless its own error is entered.
    """
    s = bike.speedometer
    right = s.distance_over_true if s.distance_over_true is not None else 1.0
    if s.sensor is None:
        return None
    as_one = replace(bike, speedometer=replace(s, indicated_over_true=1.0))
    moved = speedometer_factor(as_one, chosen)
    return None if moved is None else right * moved


def rule_speed(bike: Bike) -> float:
    """The true speed (m/s, whole km/h) at which the rule binds most: the highest at which it is tested.

    While the fitted set's top speed is not known, 100 km/h.
    """
    reached = evaluate(bike, fitted(bike)).speed_at_redline
    if not reached:
        return 100 * KMH
    return max(round(speedometer.highest_test_speed(max(reached)) / KMH), 1) * KMH


def speedometer_finding(bike: Bike, chosen: DriveSet) -> Finding | None:
    """Whether the speedometer stays within the rule; None where that is not known."""
    factor = speedometer_factor(bike, chosen)
    if factor is None:
        return None
    about, source = "speedometer", "UN Regulation No. 39, paragraph 5.3; local law decides"
    true = rule_speed(bike)
    least, most = (bound / true for bound in speedometer.allowed(true))
    at = true / KMH
    shown = factor * at
    if factor < least - 1e-9:
        text = f"At {at:.0f} km/h the speedometer would show {shown:.0f} km/h: less than true, which no rule allows."
        return Finding("check", about, text, shown, at, "km/h", source)
    if factor > most + 1e-9:
        text = f"At {at:.0f} km/h the speedometer would show {shown:.0f} km/h; at most {at * most:.0f} are allowed."
        return Finding("check", about, text, shown, at * most, "km/h", source)
    text = f"At {at:.0f} km/h the speedometer shows {shown:.0f} km/h, within the rule."
    return Finding("fits", about, text, shown, at * most, "km/h", source)


def _machine(bike: Bike, result: SetResult, assumed: list[str]) -> Machine | Finding:
    e, c = bike.engine, bike.chassis
    limiter = e.limiter_rpm if e.limiter_rpm is not None else e.redline_rpm
    radius = result.rolling_radius
    gives = engine_torque(e)
    wanted = (
        *(() if isinstance(gives, EngineTorque) else ((path, label, None) for path, label in gives)),
        ("engine.redline_rpm", "the redline", limiter),
        ("load.bike_kg", "the motorcycle's weight", bike.load.bike_kg),
        ("tyre.size", "the tyre's size", radius),
        ("gearbox.gears", "the ratios", result.overall_ratio),
    )
    if lacking := [(path, label) for path, label, given in wanted if not given]:
        return missing(_ABOUT, "The pull", lacking, aside=True)
    assert isinstance(gives, EngineTorque)
    assert limiter is not None
    assert bike.load.bike_kg is not None
    assert radius is not None
    assert result.overall_ratio is not None
    assumed.extend(gives.assumed)
    mass = bike.load.bike_kg + _or_assumed(bike, "load", "rider_kg", assumed)
    lift = grip = math.inf
    if c.com_height_mm is not None and c.com_ahead_of_rear_axle_mm is not None and result.run.wheelbase is not None:
        ahead, height = c.com_ahead_of_rear_axle_mm * MM + result.run.moved, c.com_height_mm * MM
        mu = _or_assumed(bike, "tyre", "grip", assumed)
        lift = float(tension.lift_limit(mass, ahead, height))
        grip = float(tension.grip_limit(mass, ahead, height, result.run.wheelbase, mu))
    else:
        assumed.append("no limit by grip or front lift")
    launch = e.launch_rpm
    if launch is None:
        launch = _ASSUMED_LAUNCH * limiter
        assumed.append(f"Launch speed {launch:.0f} rpm")
    return Machine(
        engine=tuple(rpm * RPM for rpm, _ in gives.points),
        torque=tuple(torque for _, torque in gives.points),
        overall=result.overall_ratio,
        radius=radius,
        efficiency=1.0 if e.torque_at == "wheel" else _or_assumed(bike, "engine", "efficiency", assumed),
        limiter=limiter * RPM,
        launch=min(launch, limiter) * RPM,
        shift_at=math.inf if e.shift_rpm is None else e.shift_rpm * RPM,
        shift_time=_or_assumed(bike, "engine", "shift_time_s", assumed),
        lift=lift,
        grip=grip,
        mass=mass,
        wheel=_or_assumed(bike, "load", "wheel_inertia_kg_m2", assumed) / radius**2,
        crank=_or_assumed(bike, "engine", "inertia_kg_m2", assumed),
    )


def _or_assumed(bike: Bike, section: str, key: str, assumed: list[str]) -> float:
    given = value(bike, section, key)
    if given is not None:
        return float(given)
    known = entry(section, key)
    assert known.assumed is not None
    assumed.append(f"{known.label} {known.assumed:g}{f' {known.unit}' if known.unit else ''}")
    return known.assumed
