"""Coasting, sprints, roll-ons and top speed against the equation of motion, integrated or searched by other means.

scipy's solve_ivp (DOP853) over time with plain arithmetic for the forces; a dense search for the top speed. None of
it shares code with the program.
"""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from gearplan.bike.demo import demo_bike
from gearplan.bike.profile import with_value
from gearplan.drive.motion import force
from gearplan.drive.motion.roadload import Road, coasted
from gearplan.drive.motion.sprint import between_nodes, roll_on, sprint
from gearplan.drive.motion.thrust import Machine, hardly_reached, shift_speeds, top_speed
from gearplan.plan.driveset import fitted
from gearplan.plan.findings import Finding
from gearplan.plan.pull.pull import Pull, pull
from tests.drive.randommachines import some_machine, some_road

G = 9.80665


def own_load(road: Road, v: Any) -> Any:
    u = v + road.wind
    rolls = road.mass * G * (road.rolling * math.cos(road.slope) + math.sin(road.slope))
    return road.density * road.drag_area / 2 * u * abs(u) + rolls


def own_thrust(m: Machine, gear: int, v: Any) -> Any:
    radius = m.radius * (1 + np.minimum(m.growth * v * v, 1))
    n = v * m.overall[gear] / radius
    turning = np.maximum(n, m.launch) if gear == 0 else n
    torque = np.interp(turning, m.engine, m.torque)
    return np.minimum(torque * m.overall[gear] * m.efficiency / radius, min(m.lift, m.grip))


def own_mass(m: Machine, gear: int | None) -> float:
    own = m.mass + m.wheel
    return own if gear is None else own + m.crank * (m.overall[gear] / m.radius) ** 2


# -- from node to node ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("ends", [(9.0, 1.0), (1.0, 8.0), (4.0, 4.0), (4.0, 4.0008), (4.0, 3.9996), (4.0, 4.00001)])
def test_time_and_distance_between_nodes_are_the_integrals_over_speed(ends: tuple[float, float]) -> None:
    """∫m/F dv and ∫m·v/F dv by Gauss and Legendre's 40 points (numpy), F straight in v."""
    mass, low, dv = 200.0, 20.0, 3.0
    x, weights = np.polynomial.legendre.leggauss(40)
    part = (x + 1) / 2
    over = mass / (ends[0] + (ends[1] - ends[0]) * part)
    took, way = (float(dv / 2 * weights @ f) for f in (over, over * (low + dv * part)))
    one = np.ones(1)
    dt, ds = between_nodes(mass * one, low * one, dv * one, np.array(ends))
    assert float(dt[0]) == pytest.approx(took, rel=1e-12)
    assert float(ds[0]) == pytest.approx(way, rel=1e-12)


# -- coasting ---------------------------------------------------------------------------------------------------------


def own_coasting(k: float, c: float, m: float, wind: float, v: float, time: float) -> tuple[float, float]:
    """Speed and distance by solve_ivp, ended at standstill."""

    def slows(v: float) -> float:
        return (k * (v + wind) * abs(v + wind) + c) / m

    def motion(_: float, y: Any) -> list[float]:
        return [-slows(y[0]), y[0]]

    def still(_: float, y: Any) -> float:
        return float(y[0])

    still.terminal, still.direction = True, -1  # type: ignore[attr-defined]
    if v == 0 and slows(0) >= 0:
        return 0.0, 0.0
    found = solve_ivp(motion, (0, time), [v, 0.0], "DOP853", events=still, rtol=1e-11, atol=1e-11, max_step=0.5)
    return (0.0 if found.status == 1 else float(found.y[0, -1])), float(found.y[1, -1])


@pytest.mark.parametrize("seed", range(8))
def test_coasting_against_every_wind_on_every_slope(seed: int) -> None:
    rng = np.random.default_rng(seed)
    for _ in range(40):
        k = float(rng.choice([0.0, 0.05, 0.3]))
        c = float(rng.choice([0.0, rng.uniform(-900, 900), rng.uniform(-30, 60)]))
        mass, wind = float(rng.uniform(100, 400)), float(rng.choice([0.0, rng.uniform(-30, 30)]))
        v, time = float(rng.choice([0.0, rng.uniform(0, 60)])), float(rng.choice([0.05, 0.15, rng.uniform(0, 20)]))
        found = force.coasted(k, c, mass, wind, v, time)
        assert [float(x) for x in found] == pytest.approx(own_coasting(k, c, mass, wind, v, time), rel=1e-7, abs=1e-7)


@pytest.mark.parametrize("wind", [-15.0, -40.0, 0.0, 15.0])
@pytest.mark.parametrize("slope", [-0.15, -0.015, 0.0, 0.1])
def test_a_tail_wind_faster_than_the_motorcycle(wind: float, slope: float) -> None:
    road = Road(250.0, 0.45, 1.2, 0.015, slope, wind)
    expected = own_coasting(road.square, road.constant, 260.0, wind, 10.0, 0.15)
    assert coasted(road, 10.0, 260.0, 0.15) == pytest.approx(expected, rel=1e-9)


def test_many_coast_as_each_does() -> None:
    rng = np.random.default_rng(2)
    k, c, mass = rng.uniform(0, 0.4, 50), rng.uniform(-800, 800, 50), rng.uniform(100, 400, 50)
    wind, v = rng.uniform(-30, 30, 50), rng.uniform(0, 60, 50)
    speed, run = force.coasted(k, c, mass, wind, v, 2.0)
    for row in range(50):
        each = force.coasted(k[row], c[row], mass[row], wind[row], v[row], 2.0)
        assert (float(each[0]), float(each[1])) == (speed[row], run[row])


# -- sprints and roll-ons ---------------------------------------------------------------------------------------------


def own_stretch(m: Machine, road: Road, gear: int, v: float, end: float) -> float | None:
    """Seconds in one gear between two speeds by solve_ivp, from point to point of the curve; None if it never gets
    there."""
    at = [n * m.radius / m.overall[gear] for n in (*m.engine, *((m.launch,) if gear == 0 else ()))]
    if m.growth:
        at = [float(m.speed_at(gear, n)) for n in (*m.engine, *((m.launch,) if gear == 0 else ()))]
    joins = at[-1] if gear == 0 else 0.0
    stops = [v, *sorted(x for x in at if v < x < end), end]
    total = 0.0
    for low, high in pairwise(stops):
        if high - low < 1e-9:
            continue
        mass = own_mass(m, None if (low + high) / 2 < joins else gear)

        def motion(_: float, y: Any, mass: float = mass) -> list[float]:
            return [float(own_thrust(m, gear, y[0]) - own_load(road, y[0])) / mass]

        def reached(_: float, y: Any, high: float = high) -> float:
            return float(y[0]) - high

        reached.terminal = True  # type: ignore[attr-defined]
        found = solve_ivp(motion, (0, 600), [low], events=reached, rtol=1e-9, atol=1e-10, max_step=0.05)
        if found.status != 1:
            return None
        total += float(found.t[-1])
    return total


def own_sprint(m: Machine, road: Road, shifts: tuple[float, ...], end: float) -> float | None:
    """Seconds from standstill to a speed through the gears."""
    t = v = 0.0
    for gear in range(len(m.overall)):
        last = gear == len(m.overall) - 1
        goal = end if last else min(shifts[gear], end)
        if goal > v:
            took = own_stretch(m, road, gear, v, goal)
            if took is None:
                return None
            t, v = t + took, goal
        if v >= end - 1e-9:
            return t
        if last:
            return None
        if m.shift_time:
            k, c = road.density * road.drag_area / 2, own_load(replace(road, drag_area=0.0), 0.0)
            v = own_coasting(k, c, own_mass(m, None), road.wind, v, m.shift_time)[0]
            t += m.shift_time
    return None


def own_distance(m: Machine, road: Road, shifts: tuple[float, ...], distance: float) -> float | None:
    """Seconds from standstill over a distance, marched in time by solve_ivp; None if it does not move off.

    Nobody shifts up who would be driven backwards in the next gear; at a shift speed or limiter that ends a run the
    speed is held.
    """
    t = v = s = 0.0
    k, c = road.density * road.drag_area / 2, own_load(replace(road, drag_area=0.0), 0.0)
    if own_thrust(m, 0, 0.0) <= own_load(road, 0.0):
        return None
    for gear in range(len(m.overall)):
        last = gear == len(m.overall) - 1
        goal = m.top_of(gear) if last else shifts[gear]
        joins = float(m.speed_at(0, m.launch)) if gear == 0 else 0.0
        for stop in (min(joins, goal), goal):
            if v >= stop:
                continue
            mass = own_mass(m, None if stop <= joins else gear)

            def motion(_: float, y: Any, gear: int = gear, mass: float = mass) -> list[float]:
                return [float(own_thrust(m, gear, y[0]) - own_load(road, y[0])) / mass, y[0]]

            def reached(_: float, y: Any, stop: float = stop) -> float:
                return float(y[0]) - stop

            def there(_: float, y: Any) -> float:
                return float(y[1]) - distance

            reached.terminal = there.terminal = True  # type: ignore[attr-defined]
            way = solve_ivp(motion, (0, 1e5), [v, s], events=[reached, there], rtol=1e-8, atol=1e-9, max_step=0.1)
            assert way.status == 1
            t, v, s = t + float(way.t[-1]), float(way.y[0, -1]), float(way.y[1, -1])
            if s >= distance - 1e-6:
                return t
        if last:
            break
        after, run = own_coasting(k, c, own_mass(m, None), road.wind, v, m.shift_time)
        if any(own_thrust(m, gear + 1, u) <= own_load(road, u) for u in (v, after)):
            break
        if s + run >= distance:

            def gone(time: float, v: float = v, s: float = s) -> float:
                return s + own_coasting(k, c, own_mass(m, None), road.wind, v, time)[1] - distance

            return t + float(brentq(gone, 0.0, m.shift_time))
        t, v, s = t + m.shift_time, after, s + run
    return t + (distance - s) / v


def drawn(seed: int) -> tuple[Machine, Road, np.random.Generator]:
    rng = np.random.default_rng(seed)
    machine = some_machine(rng, growth=float(rng.choice([0.0, 0.0, 5e-6])))
    return machine, some_road(rng, machine), rng


def off_by(ours: float | None, theirs: float | None) -> float:
    """The relative difference; infinite where only one of the two gets there within ten minutes."""
    if theirs is None:
        return 0.0 if ours is None or ours > 500 else math.inf
    return math.inf if ours is None else abs(ours / theirs - 1)


def sprint_error(seed: int) -> float:
    """One random sprint, half of them to a speed close below the highest."""
    machine, road, rng = drawn(seed)
    top = top_speed(machine, road)
    if top is None:
        return 0.0
    share = float(rng.choice([rng.uniform(0.3, 0.97), rng.uniform(0.97, 0.999)]))
    end, shifts = share * top.speed, shift_speeds(machine, road)
    return off_by(sprint(machine, road, shifts).time_to_speed(end), own_sprint(machine, road, shifts, end))


def distance_error(seed: int) -> float:
    """One random run over 5 m to 3 km, much of it at the highest speed."""
    machine, road, rng = drawn(seed + 200_000)
    distance, shifts = float(np.exp(rng.uniform(math.log(5), math.log(3000)))), shift_speeds(machine, road)
    return off_by(
        sprint(machine, road, shifts).time_to_distance(distance), own_distance(machine, road, shifts, distance)
    )


def roll_on_error(seed: int) -> float:
    """One random roll-on in one gear, many of which cannot be done."""
    machine, road, rng = drawn(seed + 100_000)
    gear = int(rng.integers(0, len(machine.overall)))
    held = top_speed(machine, road, gear)
    start = float(rng.uniform(0.2, 0.6)) * machine.top_of(gear)
    end = float(rng.uniform(0.7, 1.0)) * machine.top_of(gear)
    if held is not None and rng.random() < 0.5:
        end = float(rng.uniform(0.9, 0.999)) * held.speed
    if end <= start:
        return 0.0
    return off_by(roll_on(machine, road, gear, start, end), own_stretch(machine, road, gear, start, end))


@pytest.mark.parametrize("seed", range(40))
def test_sprints_close_to_the_highest_speed(seed: int) -> None:
    """A thousand other runs, to a speed, over a distance and in one gear, were within 0.05 %."""
    assert sprint_error(seed) < 1e-3


@pytest.mark.parametrize("seed", range(40))
def test_runs_over_a_distance_go_on_at_the_highest_speed(seed: int) -> None:
    assert distance_error(seed) < 1e-3


@pytest.mark.parametrize("seed", range(40))
def test_roll_ons_close_to_the_highest_speed(seed: int) -> None:
    assert roll_on_error(seed) < 1e-3


def wren(front: int, rear: int, slope: float = 0.0) -> Pull:
    bike = demo_bike("Wren 125").bike
    bike = with_value(with_value(bike, "final_drive", "front", front), "final_drive", "rear", rear)
    found = pull(bike, fitted(bike), slope)
    assert not isinstance(found, Finding)
    return found


def test_a_sprint_to_a_speed_that_is_hardly_reached() -> None:
    found = wren(15, 38)
    ours = found.run.time_to_speed(100 / 3.6)
    assert ours == pytest.approx(own_sprint(found.machine, found.road, found.shift_speeds, 100 / 3.6), rel=1e-3)
    assert found.top is not None
    for share, hardly in ((0.965, False), (0.975, True)):
        assert hardly_reached(found.machine, found.road, share * found.top.speed) is hardly


def test_a_roll_on_that_cannot_be_done_has_no_time() -> None:
    found = wren(13, 34, math.atan(0.06))
    start, end = 60 / 3.6, 80 / 3.6
    assert own_stretch(found.machine, found.road, 4, start, end) is None
    assert found.roll_on(4, start, end) is None


# -- top speed --------------------------------------------------------------------------------------------------------


def own_top_speed(m: Machine, road: Road, points: int = 40_000) -> tuple[float, float]:
    """(Greatest speed held in some gear, step) by looking at very many speeds."""
    best = step = 0.0
    for gear in range(len(m.overall)):
        top = m.limiter * m.radius / m.overall[gear] if not m.growth else m.top_of(gear)
        v = np.linspace(0.5, top, points)
        holds = np.nonzero(own_thrust(m, gear, v) >= own_load(road, v))[0]
        if len(holds) and v[holds[-1]] > best:
            best, step = float(v[holds[-1]]), float(v[1] - v[0])
    return best, step


def top_speed_error(seed: int) -> float:
    """Steps of the search by which the top speed is off: from 0 to 1 where it is right."""
    machine, road, _ = drawn(seed)
    found = top_speed(machine, road)
    dense, step = own_top_speed(machine, road)
    if found is None or not dense:
        return 0.5 if found is None and not dense else math.inf
    return (found.speed - dense) / step


@pytest.mark.parametrize("seed", range(60))
def test_top_speed_is_the_greatest_of_forty_thousand_in_every_gear(seed: int) -> None:
    """540 such machines with other seeds agreed as well."""
    assert -1e-6 <= top_speed_error(seed) <= 1.001


def test_a_gear_that_meets_the_load_only_at_a_point_of_its_torque_curve() -> None:
    """A peak of 4 rad/s width: thrust meets the load at 50 m/s in the second gear alone, in first it ends at 40."""
    road = Road(200.0, 0.6, 1.2, 0.0)
    load = 0.36 * 50.0**2
    peak = 1000.0
    torque = load * 0.3 / (peak * 0.3 / 50.0)
    machine = Machine(
        engine=(100.0, peak - 2, peak, peak + 2, 2000.0),
        torque=(0.5 * torque, 0.5 * torque, torque * 1.0001, 0.5 * torque, 0.4 * torque),
        overall=(1200 * 0.3 / 40.0, peak * 0.3 / 50.0), radius=0.3, efficiency=1.0, limiter=1200.0, launch=0.0,
        shift_at=math.inf, shift_time=0.1, lift=math.inf, grip=math.inf, mass=200.0, wheel=0.0, crank=0.0,
    )  # fmt: skip
    found = top_speed(machine, road)
    assert found is not None
    assert (found.gear, found.limited_by) == (1, "drag")
    assert found.speed == pytest.approx(50.0, rel=1e-4)
    dense, step = own_top_speed(machine, road, 2_000_000)
    assert dense <= found.speed <= dense + step
