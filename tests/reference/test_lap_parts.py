"""The parts of a lap by integration, closed forms and geometry."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.integrate import quad

from gearplan.bike.circuit import Circuit, Section
from gearplan.drive.engine.shape import assumed_shape
from gearplan.drive.lap.cells import FOREVER, Cell, across, distance, time_within
from gearplan.drive.lap.lap import lap_times
from gearplan.drive.lap.march import can_hold, march, shrunk, steps_for
from gearplan.drive.lap.rules import UPRIGHT
from gearplan.drive.lap.tables import Tables
from gearplan.drive.lap.trace import lap_trace
from gearplan.drive.lap.travel import brake_at, travel
from gearplan.drive.motion.force import grip_left
from gearplan.drive.motion.machines import Machines
from gearplan.drive.motion.roadload import Road
from gearplan.drive.motion.thrust import Machine, engine_thrust, top_speeds
from tests.drive.motion.test_force import level
from tests.drive.randommachines import as_many
from tests.reference.lapmotion import machines_of
from tests.reference.test_motion import drawn, own_thrust, own_top_speed

Ints = NDArray[np.int_]
NONE, ONE = np.zeros(1, int), np.ones(1)


def flat(force: float = 900.0, mass: float = 200.0, gears: tuple[float, ...] = (1.0,), **changes: object) -> Machine:
    """Even thrust in first gear and neither drag nor rolling: uniform acceleration; launch and shift as electric."""
    machine = Machine(
        engine=(10.0, 1000.0), torque=(force, force), overall=gears, radius=1.0, efficiency=1.0, limiter=100.0,
        launch=0.0, shift_at=math.inf, shift_time=0.1, lift=math.inf, grip=math.inf, mass=mass, wheel=0.0, crank=0.0,
    )  # fmt: skip
    return replace(machine, **changes)  # type: ignore[arg-type]


def on_the_level(machine: Machine) -> Machines:
    return machines_of(machine, Road(machine.mass, 0.0, 1.2, 0.0), friction=1.2, braking=8.0)


@pytest.mark.parametrize(("low", "high"), [(3.0, 1.0), (1.0, 1.0), (0.4, 5.0), (-1.0, -3.0), (2.0, 0.01)])
def test_a_cell_is_the_integral_of_its_straight_acceleration(low: float, high: float) -> None:
    """∫du/2a and ∫du/(2a·v) by scipy, a straight in u; the time by the mean speed is good to the cell's width²."""
    v0, v1 = 30.0, 31.0
    u0, du = v0**2, v1**2 - v0**2

    def a(u: float) -> float:
        return low + (high - low) * (u - u0) / du

    far = quad(lambda u: 1 / (2 * a(u)), u0, u0 + du, epsabs=1e-12)[0]
    long = quad(lambda u: 1 / (2 * a(u) * math.sqrt(u)), u0, u0 + du, epsabs=1e-12)[0]
    length, time = across(np.array([low]), np.array([high]), np.array([v0]), np.array([v1]))
    assert float(length[0]) == pytest.approx(abs(far), rel=1e-9)
    assert float(time[0]) == pytest.approx(abs(long), rel=2e-4)
    assert float(distance(np.array([low]), np.array([high]), np.array([du]))[0]) == pytest.approx(far, rel=1e-9)
    # Half-way, from the slower end.
    middle = 30.5
    part = quad(lambda u: 1 / (2 * a(u)), u0, middle**2)[0]
    took = quad(lambda u: 1 / (2 * a(u) * math.sqrt(u)), u0, middle**2)[0]
    cell = Cell(np.array([u0]), np.array([du]), np.array([low]), np.array([high]))
    found = time_within(np.array([abs(part)]), cell, np.array([middle]), np.array([v0]), np.array([False]))
    assert float(found[0]) == pytest.approx(abs(took), rel=2e-4)


def test_a_cell_whose_speed_is_held_is_never_crossed() -> None:
    low, high = np.array([1.0, -1.0, 0.0, 0.0, 1.0, -1.0]), np.array([-1.0, 1.0, 1.0, -1.0, 0.0, 0.0])
    length, time = across(low, high, np.full(6, 30.0), np.full(6, 31.0))
    assert length.tolist() == [FOREVER] * 6
    assert time.tolist() == [0.0] * 6


def test_beyond_a_held_speed_lies_farther_than_it() -> None:
    """Towards the speed that is held the way has no end; what lies beyond must never come within reach of it."""
    one, du = np.ones(4), np.full(4, 50.0)
    near, held, rounded, beyond = distance(one, np.array([1e-9, 0.0, -1e-15, -0.3]), du)
    assert rounded == held
    assert near < 1e4
    assert held > 1e8
    assert beyond > held + 1e8


def test_travelling_and_braking_under_even_thrust() -> None:
    """v² = v₀² + 2as; the braking point where v₀² + 2a·x = v₁² + 2b·(L − x)."""
    many = on_the_level(flat())
    tables = Tables(many, np.zeros(1), 0.0)
    v0, v1, a, b, length = 20.0, 30.0, 4.5, 8.0, 400.0
    start, endless = np.array([v0]), np.array([np.inf])
    free = travel(tables, NONE, NONE, start, NONE, np.zeros(1), np.array([length]), endless, np.array([b]))
    assert float(free.speed[0]) == pytest.approx(math.sqrt(v0**2 + 2 * a * length), rel=1e-9)
    assert float(free.time[0]) == pytest.approx((free.speed[0] - v0) / a, rel=1e-9)
    at = (v1**2 - v0**2 + 2 * b * length) / (2 * (a + b))
    end = np.array([v1])
    found = brake_at(tables, NONE, NONE, start, NONE, np.array([length]), end, np.array([b]))
    assert float(found[0]) == pytest.approx(at, rel=1e-9)
    braked = travel(tables, NONE, NONE, start, NONE, np.zeros(1), np.array([length]), end, np.array([b]))
    assert float(braked.rest[0]) == pytest.approx(length - at, rel=1e-9)


@pytest.mark.parametrize(("distance", "gear", "waits"), [(15.0, 1, 0.25), (45.0, 2, 0.25), (90.0, 2, 0.0)])
def test_a_march_ends_one_shift_before_it_begins_the_next(distance: float, gear: int, waits: float) -> None:
    """From 60 m/s in a gear that ends at 25: at that speed for 0.5 s each into the next two, then v² = v₀² + 2as."""
    three = on_the_level(flat(gears=(4.0, 2.0, 1.0), force=4000.0, shift_time=0.5))
    way = level(three, 0, Road(200.0, 0.0, 1.2, 0.0), 1)
    way = replace(way, distance=np.array([distance]), length=np.array([distance]), hold=np.zeros(1, bool))
    v0, a = np.array([60.0]), 20.0
    done = march(
        three, way, v0, NONE, np.zeros(1), wind=0.0, lean_shrinks=True, share_grip=True, no_shift_beyond=np.inf,
        steps=90,
    )  # fmt: skip
    driven = max(distance - 60.0, 0.0)
    speed = math.sqrt(60.0**2 + 2 * a * driven)
    assert (int(done.gear[0]), int(done.shifts[0])) == (gear, gear)
    # A step in which a shift ends takes the rest of it by the speed at its end.
    assert float(done.waiting[0]) == pytest.approx(waits, abs=3e-3)
    assert float(done.speed[0]) == pytest.approx(speed, rel=3e-3)
    assert float(done.time[0]) == pytest.approx((distance - driven) / 60.0 + (speed - 60.0) / a, rel=3e-3)


@pytest.mark.parametrize(("resists", "shifts"), [(300.0, 1), (390.0, 1), (410.0, 0)])
def test_a_gear_is_left_early_only_for_one_that_gains(resists: float, shifts: int) -> None:
    """At 20 m/s instead of 50, if the 400 N of second gear are more than the slope's m·g·sin a."""
    two, early = on_the_level(flat(gears=(2.0, 1.0), force=400.0)), np.array([[20.0, 100.0]])
    road = Road(200.0, 0.0, 1.2, 0.0, math.asin(resists / (200 * 9.80665)))
    way = replace(level(two, 0, road, 1), distance=np.array([100.0]), length=np.array([100.0]), hold=np.zeros(1, bool))
    done = march(
        two, way, np.array([15.0]), NONE, np.zeros(1), wind=0.0, lean_shrinks=True, share_grip=True,
        no_shift_beyond=np.inf, steps=100, early=early,
    )  # fmt: skip
    tables = Tables(two, np.array([road.slope]), 0.0, early)
    assert tables.shift_speed[0, 0, 0] == pytest.approx(20.0 if shifts else 50.0)
    first = (800 - resists) / 200
    assert math.sqrt(15.0**2 + 2 * first * 100.0) < 0.9 * 50
    assert (int(done.gear[0]), int(done.shifts[0])) == (shifts, shifts)


def test_braking_may_begin_while_a_shift_lasts() -> None:
    """Without drive or anything that resists the speed stays: braking begins (v₀² − v₁²)/2b before the end."""
    tables = Tables(on_the_level(flat()), np.zeros(1), 0.0)
    v0, v1, b, waits = 50.0, 40.0, 8.0, 1.0
    needs = (v0**2 - v1**2) / (2 * b)
    for length, waited in ((needs + 3.0, 3.0 / v0), (needs + 80.0, waits), (needs - 2.0, 0.0)):
        done = travel(
            tables, NONE, NONE, np.array([v0]), NONE, np.array([waits]), np.array([length]), np.array([v1]),
            np.array([b]),
        )  # fmt: skip
        if waited < waits:
            assert float(done.rest[0]) == pytest.approx(min(needs, length), rel=1e-9)
            assert float(done.speed[0]) == pytest.approx(v0, rel=1e-9)
            assert float(done.time[0]) == pytest.approx(waited, abs=1e-9)
            continue
        # Driven again for what is left: v₀² + 2a·x = v₁² + 2b·(L − x).
        a, left = 4.5, length - v0 * waits
        at = (v1**2 - v0**2 + 2 * b * left) / (2 * (a + b))
        assert float(done.rest[0]) == pytest.approx(left - at, rel=1e-9)
        assert float(done.time[0]) == pytest.approx(waits + (math.sqrt(v0**2 + 2 * a * at) - v0) / a, rel=1e-9)


def test_whoever_begins_beyond_a_gear_shifts_first() -> None:
    """At 60 m/s in a gear that ends at 50: 0.1 s without drive, then v² = v₀² + 2as in the next."""
    tables = Tables(on_the_level(flat(gears=(2.0, 1.0), force=4000.0)), np.zeros(1), 0.0)
    v0, a, endless = 60.0, 20.0, np.array([np.inf])
    done = travel(tables, NONE, NONE, np.array([v0]), NONE, np.zeros(1), np.array([56.0]), endless, np.array([8.0]))
    speed = math.sqrt(v0**2 + 2 * a * (56.0 - 6.0))
    assert (int(done.gear[0]), int(done.shifts[0])) == (1, 1)
    assert float(done.speed[0]) == pytest.approx(speed, rel=1e-9)
    assert float(done.time[0]) == pytest.approx(0.1 + (speed - v0) / a, rel=1e-9)


def test_who_cannot_climb_in_a_gear_begins_in_the_one_below() -> None:
    """Against 600 N second gear's 400 N lose and first gear's 800 N gain: v² = v₀² + 2as with a = (800 − 600)/200."""
    slope = math.asin(600.0 / (200 * 9.80665))
    tables = Tables(on_the_level(flat(gears=(2.0, 1.0), force=400.0)), np.array([slope]), 0.0)
    v0, far, endless = np.array([20.0]), np.array([50.0]), np.array([np.inf])
    done = travel(tables, NONE, NONE, v0, np.ones(1, int), np.zeros(1), far, endless, np.array([8.0]))
    assert int(done.gear[0]) == 0
    assert float(done.speed[0]) == pytest.approx(math.sqrt(20.0**2 + 2 * 50.0), rel=1e-9)
    assert float(done.time[0]) == pytest.approx(math.sqrt(20.0**2 + 2 * 50.0) - 20.0, rel=1e-6)


@pytest.mark.parametrize("seed", range(5))
def test_points_left_out_of_a_torque_curve_lie_on_the_line_of_their_neighbours(seed: int) -> None:
    rng = np.random.default_rng(seed)
    rpm = np.sort(rng.uniform(100, 1000, 60))
    curve = np.interp(rpm, [100, 400, 700, 1000], rng.uniform(20, 100, 4))
    curve[rng.integers(1, 59, 3)] += rng.uniform(-9, 9, 3)
    one = replace(on_the_level(flat()), engine=rpm, torque=curve, limiter=2000.0)
    kept = one.knots
    assert len(kept) < 30
    assert np.interp(rpm, kept, np.interp(kept, rpm, curve)) == pytest.approx(curve, abs=2.1e-4 * curve.max())


def test_a_corner_before_one_that_is_hardly_slower() -> None:
    """At the apex speed until (v₀² − v₁²)/2b before its end, then braked evenly."""
    v0, v1, b, length = 30.0, 29.9, 8.0, 40.0
    corners = Section("corner", length, apex_kmh=v0 * 3.6), Section("corner", length, apex_kmh=v1 * 3.6)
    laps = lap_times(on_the_level(flat()), Circuit("", (*corners, Section("straight", 500.0))), UPRIGHT)
    needs = (v0**2 - v1**2) / (2 * b)
    assert laps.section_time[0, 0] == pytest.approx((length - needs) / v0 + (v0 - v1) / b, rel=1e-12)
    assert laps.brakes[0, 0] == pytest.approx(length - needs, rel=1e-12)
    assert laps.speed[1, 0] == pytest.approx(v1, rel=1e-12)


@pytest.mark.parametrize("seed", range(4))
def test_every_cell_of_the_tables_is_the_integral_over_it(seed: int) -> None:
    """The series of the tables against the closed form of `across`, which scipy's quad confirms above."""
    machine, road, _ = drawn(seed)
    many = as_many([replace(machine, lift=math.inf, grip=math.inf)], road)
    tables = Tables(many, np.array([road.slope]), road.wind)
    v, mass = tables.v[0], tables.mass[0]
    a0, a1 = tables.spare[0, 0][:, :-1] / mass, tables.spare[0, 0][:, 1:] / mass
    length, time = across(a0.ravel(), a1.ravel(), v[:, :-1].ravel(), v[:, 1:].ravel())
    near = length < 1e4
    assert near.sum() > 20
    assert np.diff(tables.distances[0, 0]).ravel()[near] == pytest.approx(length[near], rel=2e-6)
    assert np.diff(tables.times[0, 0]).ravel()[near] == pytest.approx(time[near], rel=2e-6)


def test_a_trace_under_even_thrust() -> None:
    """At any distance v² = v₀² + 2as up to the braking point, and t = (v − v₀)/a."""
    v0, a = 20.0, 4.5
    circuit = Circuit("", (Section("straight", 400.0), Section("corner", 50.0, apex_kmh=v0 * 3.6)))
    trace = lap_trace(on_the_level(flat()), circuit, UPRIGHT, step=3.0)
    straight = (trace.section == 0) & (trace.driving > 0)
    assert straight.sum() > 50
    speed = np.sqrt(v0**2 + 2 * a * trace.distance[straight])
    assert trace.speed[straight] == pytest.approx(speed, rel=1e-8)
    assert trace.time[straight] == pytest.approx((speed - v0) / a, abs=1e-7)
    slows = (trace.section == 0) & (trace.driving == 0)
    assert trace.speed[slows] ** 2 == pytest.approx(v0**2 + 2 * 8.0 * (400.0 - trace.distance[slows]), rel=1e-8)


def test_time_at_the_limiter_is_told_in_corners_and_held_gears() -> None:
    """At 100 m/s of first gear's limiter all the way: length over speed."""
    two = flat(gears=(2.0, 1.0), force=4000.0)
    held = Section("straight", 3000.0, hold_gear=True)
    entry = Section("corner", 20.0, apex_kmh=40 * 3.6)
    laps = lap_times(on_the_level(two), Circuit("", (entry, held)), UPRIGHT)
    # First gear ends at 50 m/s; to there (50² − 40²)/2a, a = 8000/200; back to 40 at 8 m/s².
    up, down = (50**2 - 40**2) / 80, (50**2 - 40**2) / 16
    assert laps.limiter[1, 0] == pytest.approx((3000 - up - down) / 50, rel=0.01)
    wide = Section("corner", 3000.0, apex_kmh=80 * 3.6, hold_gear=True)
    laps = lap_times(on_the_level(two), Circuit("", (entry, wide)), UPRIGHT)
    assert laps.limiter[1, 0] == pytest.approx((3000 - up - down) / 50, rel=0.01)


def test_no_shift_into_a_gear_that_does_not_gain() -> None:
    """Up a slope that first gear climbs and second does not: first gear's limiter is held, no shift is made."""
    two = flat(force=1000.0, gears=(2.0, 1.0))
    many = machines_of(two, Road(200.0, 0.0, 1.2, 0.0), friction=1.2, braking=8.0)
    steep = 100 * math.tan(math.asin(1500.0 / (200 * 9.80665)))
    climb = Section("straight", 2500.0, gradient_percent=steep)
    circuit = Circuit("", (Section("corner", 20.0, apex_kmh=30 * 3.6), climb))
    laps = lap_times(many, circuit, UPRIGHT)
    assert laps.peak[1, 0] == pytest.approx(50.0)
    assert laps.shifts[1, 0] == 0
    # a = (2000 − 1500)/200 to 50 m/s, then held, then braked at 8 m/s² (or what the slope's grip leaves).
    far = (50**2 - 30**2) / (2 * 2.5)
    braking = (50**2 - 30**2) / (2 * 8.0)
    expected = (50 - 30) / 2.5 + (2500 - far - braking) / 50 + (50 - 30) / 8.0
    assert laps.section_time[1, 0] == pytest.approx(expected, rel=1e-6)


def test_upright_a_shift_is_never_held_back() -> None:
    """A tyre without a crown does not lean: though nobody shifts leaned, the long corner is ridden as it was."""
    two = on_the_level(flat(gears=(2.0, 1.0), force=4000.0))
    corners = Section("corner", 20.0, apex_kmh=40 * 3.6), Section("corner", 3000.0, apex_kmh=80 * 3.6)
    free, bound = (
        lap_times(two, Circuit("", corners), replace(UPRIGHT, no_shift_beyond=most)) for most in (math.inf, 0.0)
    )
    assert free.shifts[1, 0] == 1
    assert bound.shifts[1, 0] == 1
    assert bound.time == pytest.approx(free.time, rel=1e-12)


def test_one_gear_without_launch_or_shift_is_ridden() -> None:
    """An electric motor: from 5 m/s, below any launch speed, by v = v₀ + at up to its end."""
    many = as_many([flat(shift_time=0.0)], Road(200.0, 0.0, 1.2, 0.0))
    circuit = Circuit("", (Section("corner", 10.0, apex_kmh=5 * 3.6), Section("straight", 200.0)))
    laps = lap_times(many, circuit, UPRIGHT)
    a, b, v0 = 4.5, 9.0, 5.0
    at = b * 200.0 / (a + b)
    peak = math.sqrt(v0**2 + 2 * a * at)
    assert laps.time[0] == pytest.approx(10 / v0 + (peak - v0) / a + (peak - v0) / b, rel=1e-6)
    assert laps.shifts.sum() == 0


def test_a_round_tyre_stands_on_a_smaller_radius() -> None:
    """The lowest point of a circle of radius ρ about a point R − ρ from the axle, leaned: found by search."""
    radius, crown, lean = 0.31, 0.09, 0.8
    across_ = np.linspace(-math.pi / 2, math.pi / 2, 2_000_001)
    side, down = crown * np.sin(across_), radius - crown + crown * np.cos(across_)
    contact = int(np.argmax(down * math.cos(lean) + side * math.sin(lean)))
    many = replace(on_the_level(flat()), radius=np.array([radius]), crown=np.array([crown]))
    # What rolls is how far the contact lies from the axle's line.
    assert float(shrunk(many, NONE, np.array([math.tan(lean)]))[0]) == pytest.approx(down[contact] / radius, rel=1e-6)


def test_the_friction_ellipse_closes() -> None:
    side = np.full(9, 1.2)
    tangent = np.linspace(0, 1.2, 9)
    assert grip_left(tangent, side) ** 2 + (tangent / side) ** 2 == pytest.approx(np.ones(9))


def test_steps_are_no_longer_than_asked() -> None:
    for far in (0.0, 5.0, 61.0, 500.0):
        count = steps_for(np.array([far, far / 2]), 2.5)
        assert far / count <= 2.5
        assert count == max(8, math.ceil(far / 2.5))


def test_what_can_be_held_is_what_thrust_carries() -> None:
    """Up slopes on both sides of F = m·g·sin a."""
    many = on_the_level(flat(force=900.0))
    limit = math.asin(900.0 / (200 * 9.80665))
    for slope, holds in ((limit - 1e-6, True), (limit + 1e-6, False)):
        way = level(many, 0, Road(200.0, 0.0, 1.2, 0.0, slope), 1)
        assert bool(can_hold(many, way, np.array([30.0]), NONE, ONE, 0.0)[0]) is holds
    # At 100 rad/s and 1 m of radius the limiter cuts in.
    way = level(many, 0, Road(200.0, 0.0, 1.2, 0.0, 0.01), 1)
    assert can_hold(many, way, np.array([99.0]), NONE, ONE, 0.0)[0]
    assert not can_hold(many, way, np.array([101.0]), NONE, ONE, 0.0)[0]


@pytest.mark.parametrize("seed", range(6))
def test_engine_thrust_and_many_top_speeds(seed: int) -> None:
    machine, road, _ = drawn(seed)
    free = replace(machine, lift=math.inf, grip=math.inf)
    for gear in range(len(machine.overall)):
        v = np.linspace(0.1, 0.99, 50) * machine.top_of(gear)
        found = engine_thrust(machine, machine.overall[gear], machine.radius, v, first=gear == 0)
        assert found == pytest.approx(own_thrust(free, gear, v), rel=1e-12)
    overall = np.array([machine.overall, [1.2 * i for i in machine.overall]])
    many = top_speeds(machine, road, overall, np.full(2, machine.radius), np.full(2, machine.bound))
    for speed, ratios in zip(many, overall, strict=True):
        dense, step = own_top_speed(replace(machine, overall=tuple(ratios.tolist())), road)
        assert dense == 0 if np.isnan(speed) else -1e-6 * step <= speed - dense <= 1.001 * step


def test_power_beyond_its_peak_falls_by_the_square() -> None:
    """P·(1 − 2x²), x how far beyond as a share: at half as much again half of the power is left, as the module says."""
    speeds, torques = assumed_shape(60.0, 600.0, 50e3, 900.0, 1350.0)
    assert speeds[-1] == pytest.approx(1350.0)
    assert torques[-1] * speeds[-1] == pytest.approx(0.5 * 50e3)
