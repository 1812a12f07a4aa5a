"""Acceleration, top speed, road load, air and speedometer against other solvers, tables and closed forms."""

from __future__ import annotations

import bisect
import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from gearplan.bike.demo import demo_bike
from gearplan.bike.library import demo_bikes
from gearplan.bike.text.units import KMH, RPM
from gearplan.drive import speedometer
from gearplan.drive.motion import air, roadload, sprint, thrust
from gearplan.drive.motion.roadload import Road
from gearplan.drive.motion.thrust import Machine
from gearplan.plan.driveset import fitted
from gearplan.plan.findings import Finding
from gearplan.plan.pull.pull import pull
from tests.reference.tables import rows


@pytest.mark.parametrize("row", rows("isa_table.csv"), ids=lambda row: row["altitude_m"])
def test_standard_atmosphere(row: dict[str, str]) -> None:
    """A published table of the standard atmosphere (address in the file): K to 0.1, bar to four decimals."""
    altitude = float(row["altitude_m"])
    if altitude > 11000:
        return
    temperature, pressure = air.standard_temperature(altitude), air.standard_pressure(altitude)
    assert temperature == pytest.approx(float(row["T_K"]), abs=0.11)
    assert pressure / 1e5 == pytest.approx(float(row["p_bar"]), rel=3e-3)
    assert air.density(pressure, temperature) / 1.225 == pytest.approx(float(row["density_ratio"]), rel=3e-3)


@pytest.mark.parametrize(("altitude", "density"), [(0, 1.2250), (500, 1.16727), (1000, 1.11166), (2000, 1.00655)])
def test_density_of_two_reference_libraries(altitude: float, density: float) -> None:
    """Values on which the libraries fluids and ambiance agree (geometric altitude, within 3e-4 of ours)."""
    found = air.density(air.standard_pressure(altitude), air.standard_temperature(altitude))
    assert found == pytest.approx(density, rel=3e-4)


PRINTED = [row for row in rows("road_load_40cfr86_529.csv") if row["equivalent_inertia_kg"] != "160"]


@pytest.mark.parametrize("row", PRINTED, ids=lambda row: row["equivalent_inertia_kg"])
def test_coast_down_times_of_a_regulation(row: dict[str, str]) -> None:
    """40 CFR 86.529-98: printed road load at 65 km/h and time from 70 to 60 km/h. The 160 kg row is a misprint."""
    mass, a, c = (float(row[key]) for key in ("equivalent_inertia_kg", "A_N", "C_N_per_kmh2"))
    road = Road(mass, 2 * c * 3.6**2, 1.0, a / (mass * 9.80665))
    assert roadload.road_load(road, 65 * KMH) == pytest.approx(float(row["force_at_65_N"]), abs=0.5)
    seconds = brentq(lambda t: roadload.coasted(road, 70 * KMH, mass, t)[0] - 60 * KMH, 0.1, 20)
    assert seconds == pytest.approx(float(row["coastdown_70_60_target_s"]), rel=0.004)


def own_force(machine: Machine, road: Road, gear: int, v: float) -> float:
    """Thrust less road load, written again in plain arithmetic."""
    i = machine.overall[gear]
    n = v * i / machine.radius
    turning = max(n, machine.launch) if gear == 0 else n
    points, torques = machine.engine, machine.torque
    if turning <= points[0]:
        torque = torques[0]
    elif turning >= points[-1]:
        torque = torques[-1]
    else:
        k = bisect.bisect_right(points, turning)
        share = (turning - points[k - 1]) / (points[k] - points[k - 1])
        torque = torques[k - 1] + share * (torques[k] - torques[k - 1])
    pulls = min(torque * i * machine.efficiency / machine.radius, machine.lift, machine.grip)
    return pulls - own_load(road, v)


def own_load(road: Road, v: float) -> float:
    u = v + road.wind
    weight = road.mass * 9.80665
    return 0.5 * road.density * road.drag_area * u * abs(u) + weight * (
        road.rolling * math.cos(road.slope) + math.sin(road.slope)
    )


def reference_run(machine: Machine, road: Road, shifts: tuple[float, ...], end: float) -> tuple[float, float]:
    """(time, distance) to a speed by scipy's solve_ivp with events, gear by gear and shift by shift."""
    t = s = v = 0.0
    joins = machine.launch * machine.radius / machine.overall[0]
    for gear in range(len(machine.overall)):
        last = gear == len(machine.overall) - 1
        goal = end if last else min(shifts[gear], end)
        for stop, slipping in ((min(joins, goal), True), (goal, False)) if gear == 0 else ((goal, False),):
            if v >= stop - 1e-9:
                continue
            mass = machine.equivalent_mass(None if slipping else gear)

            def motion(_: float, y: Any, g: int = gear, m: float = mass) -> list[float]:
                return [own_force(machine, road, g, y[0]) / m, y[0]]

            def reached(_: float, y: Any, at: float = stop) -> float:
                return float(y[0]) - at

            reached.terminal = True  # type: ignore[attr-defined]
            found = solve_ivp(motion, (0, 300), [v, s], events=reached, rtol=1e-7, atol=1e-7, max_step=0.5)
            assert found.status == 1
            t, v, s = t + found.t[-1], stop, float(found.y[1, -1])
        if v >= end - 1e-9 or last:
            return t, s

        def coasting(_: float, y: Any) -> list[float]:
            return [-own_load(road, y[0]) / machine.equivalent_mass(None), y[0]]

        coast = solve_ivp(coasting, (0, machine.shift_time), [v, s], rtol=1e-10, atol=1e-10)
        t, v, s = t + machine.shift_time, float(coast.y[0, -1]), float(coast.y[1, -1])
    raise AssertionError


CASES = [(name, slope, wind) for name in demo_bikes() for slope, wind in ((0.0, 0.0), (0.03, 4.0), (-0.02, -2.0))]


@pytest.mark.parametrize(("name", "slope", "wind"), CASES)
def test_sprints_against_solve_ivp(name: str, slope: float, wind: float) -> None:
    """Time and distance to nine tenths of the top speed, through the gears, within 0.1 %."""
    bike = demo_bike(name).bike
    found = pull(bike, fitted(bike), slope, wind)
    assert not isinstance(found, Finding)
    assert found.top is not None
    end = 0.9 * found.top.speed
    seconds, metres = reference_run(found.machine, found.road, found.shift_speeds, end)
    ours = found.run.time_to_speed(end)
    assert ours == pytest.approx(seconds, rel=1e-3)
    assert np.interp(ours or 0, found.run.time, found.run.distance) == pytest.approx(metres, rel=1e-3)


def plain(**changes: object) -> Machine:
    """One gear, constant torque, no limits and no inertia."""
    machine = Machine(
        engine=(0.0, 1000.0), torque=(50.0, 50.0), overall=(10.0,), radius=0.3, efficiency=1.0, limiter=2000.0,
        launch=0.0, shift_at=math.inf, shift_time=0.0, lift=math.inf, grip=math.inf, mass=200.0, wheel=0.0, crank=0.0,
    )  # fmt: skip
    return replace(machine, **changes)  # type: ignore[arg-type]


def test_constant_thrust_without_resistance() -> None:
    """v = F·t/m and s = F·t²/2m with F = 50·10/0.3."""
    road = Road(200.0, 0.0, 1.2, 0.0)
    run = sprint.sprint(plain(), road, ())
    force = 50 * 10 / 0.3
    assert run.time_to_speed(30.0) == pytest.approx(200 * 30 / force)
    assert run.time_to_distance(50.0) == pytest.approx(math.sqrt(2 * 50 * 200 / force), rel=1e-9)
    # The limiter, 2000 rad/s, is reached at 60 m/s, after m·v²/2F = 216 m, and held from there on.
    assert run.time_to_distance(1000.0) == pytest.approx(200 * 60 / force + (1000 - 216) / 60)


def test_constant_thrust_with_drag_is_a_hyperbolic_tangent() -> None:
    """v = V·tanh(F·t/(m·V)), V the terminal speed √(F/k); 0.02 % over most of the way."""
    road = Road(200.0, 0.5, 1.2, 0.0)
    force, k = 50 * 10 / 0.3, 0.3
    terminal = math.sqrt(force / k)
    run = sprint.sprint(plain(limiter=1e4), road, ())
    assert run.time_to_speed(0.95 * terminal) == pytest.approx(200 * terminal / force * math.atanh(0.95), rel=2e-4)
    top = thrust.top_speed(plain(limiter=terminal * 1.4 * 10 / 0.3), road)
    assert top is not None
    assert (top.limited_by, top.speed) == ("drag", pytest.approx(terminal, rel=2e-4))


def test_constant_power() -> None:
    """P·t = m·(v² − u²)/2 without resistance: torque falling as 1/n, from 10 to 40 m/s."""
    n = np.linspace(200, 2000, 4000)
    machine = plain(engine=tuple(n), torque=tuple(40_000 / n), limiter=3000.0)
    seconds = sprint.roll_on(machine, Road(200.0, 0.0, 1.2, 0.0), 0, 10.0, 40.0)
    assert seconds == pytest.approx(200 * (40**2 - 10**2) / 2 / 40_000, rel=1e-4)


@pytest.mark.parametrize(
    "road",
    [Road(250, 0.5, 1.2, 0.02), Road(250, 0.5, 1.2, 0.02, 0.05, 6.0), Road(250, 0.4, 1.2, 0.018, wind=-3.0)],
    ids=["level", "uphill into the wind", "tail wind"],
)
def test_coasting_against_solve_ivp(road: Road) -> None:
    def coasting(_: float, y: Any) -> list[float]:
        return [-own_load(road, y[0]) / 260.0, y[0]]

    fine = solve_ivp(coasting, (0, 0.4), [40.0, 0.0], rtol=1e-11, atol=1e-11)
    speed, run = roadload.coasted(road, 40.0, 260.0, 0.4)
    assert speed == pytest.approx(fine.y[0, -1], rel=1e-8)
    assert run == pytest.approx(fine.y[1, -1], rel=1e-8)


@given(st.floats(0.0, 0.04), st.floats(0.0, 5.0))
@settings(max_examples=15)
def test_energy_balance(slope: float, wind: float) -> None:
    """Work of the thrust = kinetic energy + drag + rolling + lift, within 0.1 % (one gear, clutch engaged)."""
    bike = demo_bike().bike
    found = pull(bike, fitted(bike), slope, wind)
    assert not isinstance(found, Finding)
    machine, road = found.machine, found.road
    v = np.linspace(20.0, 30.0, 4001)
    middle = (v[1:] + v[:-1]) / 2
    mass = machine.equivalent_mass(2)
    spare = thrust.thrust(machine, 2, middle) - roadload.road_load(road, middle)
    ds = mass * middle * np.diff(v) / spare
    work = float((thrust.thrust(machine, 2, middle) * ds).sum())
    kinetic = mass * (30.0**2 - 20.0**2) / 2
    drag = float((road.square * (middle + wind) ** 2 * ds).sum())
    weight = road.mass * 9.80665
    rolling, lift = (weight * part * float(ds.sum()) for part in (road.rolling * math.cos(slope), math.sin(slope)))
    assert work == pytest.approx(kinetic + drag + rolling + lift, rel=1e-3)
    assert sprint.roll_on(machine, road, 2, 20.0, 30.0) == pytest.approx(float((ds / middle).sum()), rel=1e-3)


def test_shift_where_the_next_gear_pulls_harder() -> None:
    """At the crossing both gears accelerate alike; just below, the lower gear does."""
    bike = demo_bike("Brindle 650").bike
    found = pull(bike, fitted(bike))
    assert not isinstance(found, Finding)
    machine, road = found.machine, found.road
    for gear, speed in enumerate(found.shift_speeds[:4]):

        def gain(v: float, g: int = gear) -> float:
            load = float(roadload.road_load(road, v))
            one, other = (
                (float(thrust.thrust(machine, h, v, limited=False)) - load) / machine.equivalent_mass(h)
                for h in (g, g + 1)
            )
            return other - one

        assert gain(speed * 0.98) < 0
        assert abs(gain(speed)) < 0.02
    limited = pull(replace(bike, engine=replace(bike.engine, shift_rpm=9000)), fitted(bike))
    assert not isinstance(limited, Finding)
    assert all(n <= 9000 * RPM * (1 + 1e-9) for n in limited.shift_engine)


@pytest.mark.parametrize(("true", "most"), [(50, 59), (70, 81), (90, 103), (110, 125), (130, 147)])
def test_speedometer_rule(true: float, most: float) -> None:
    """UN Regulation No. 39, 5.3, as tabulated by a journal: 50 → 59, 70 → 81 … 130 → 147 km/h."""
    assert speedometer.allowed(true * KMH)[1] / KMH == pytest.approx(most)
    assert speedometer.allowed(true * KMH)[0] == true * KMH


def test_where_the_sensor_sits_decides() -> None:
    """Output shaft: shaft turns per metre go as final ratio over circumference, by counting."""
    assert speedometer.indicated_over_true(1.05, "front wheel", 3.0, 3.3, 1.95, 1.90) == 1.05
    assert speedometer.indicated_over_true(1.05, "rear wheel", 3.0, 3.3, 1.95, 1.90) == pytest.approx(
        1.05 * 1.95 / 1.90
    )
    shaft = speedometer.indicated_over_true(1.05, "output shaft", 3.0, 3.3, 1.95, 1.95)
    assert shaft == pytest.approx(1.05 * (3.3 / 1.95) / (3.0 / 1.95))


@pytest.mark.parametrize(("top", "test_speed"), [(60, 48), (120, 96), (150, 120), (230, 120)])
def test_the_highest_speed_at_which_the_rule_is_tested(top: float, test_speed: float) -> None:
    """UN Regulation No. 39, paragraph 5.2.3 (from memory): 80 % of the top speed, 120 km/h for fast vehicles."""
    assert speedometer.highest_test_speed(top * KMH) / KMH == pytest.approx(test_speed)
