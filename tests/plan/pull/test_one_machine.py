"""Chain, pull, choices and laps have one machine and one set of limits, whatever is entered and whatever is not."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from gearplan.bike.demo import demo_bike
from gearplan.bike.library import demo_bikes
from gearplan.bike.profile import Bike, with_value
from gearplan.drive.motion.thrust import thrust
from gearplan.drive.sprocket import pitch_radius
from gearplan.plan.choices.candidates import candidates
from gearplan.plan.choices.figures import redline_speed, top_speed
from gearplan.plan.choices.space import Space, default_space
from gearplan.plan.driveset import fitted
from gearplan.plan.findings import Finding
from gearplan.plan.laps.sets import lap_sets, machines
from gearplan.plan.pull.pull import Pull, pull
from gearplan.plan.set.compare import engine_speeds, speed_lines
from gearplan.plan.set.evaluate import evaluate
from gearplan.plan.set.strength import mass_per_metre

G = 9.80665
BRINDLE = demo_bike("Brindle 650").bike

#: What a profile may lack or hold, as fields set anew.
VARIED: dict[str, dict[tuple[str, str], object]] = {
    "as it is": {},
    "no rider": {("load", "rider_kg"): None},
    "no links": {("final_drive", "links"): None},
    "no axle now": {("chassis", "axle_now_mm"): None},
    "no swingarm": {("chassis", "axle_range_mm"): None, ("chassis", "swingarm_angle_deg"): None},
    "no centre of mass": {("chassis", "com_height_mm"): None},
    "no grip": {("tyre", "grip"): None},
    "growing tyre": {("tyre", "growth_per_mps2"): 4e-6},
    "torque peak below the launch": {("engine", "launch_rpm"): 9000},
    "measured at the wheel": {("engine", "torque_at"): "wheel"},
}


def varied(name: str, how: str) -> Bike:
    bike = demo_bike(name).bike
    for (section, key), new in VARIED[how].items():
        bike = with_value(bike, section, key, new)
    return bike


def pulled(bike: Bike) -> Pull:
    found = pull(bike, fitted(bike))
    assert isinstance(found, Pull)
    return found


CASES = pytest.mark.parametrize(("name", "how"), [(n, h) for n in demo_bikes() for h in VARIED])


@CASES
def test_the_limits_are_those_of_statics(name: str, how: str) -> None:
    """Moments about the rear contact, and weight on the rear wheel times grip, solved by hand for the thrust."""
    bike = varied(name, how)
    found, c = pulled(bike), bike.chassis
    if c.com_height_mm is None:
        assert math.isinf(found.machine.bound)
        assert "no limit by grip or front lift" in [one.text for one in found.assumed]
        return
    assert c.com_ahead_of_rear_axle_mm is not None
    assert c.wheelbase_mm is not None
    moved = evaluate(bike, fitted(bike)).run.moved
    if how in ("no links", "no swingarm"):
        assert moved == 0
    weight = G * ((bike.load.bike_kg or 0.0) + (80.0 if bike.load.rider_kg is None else bike.load.rider_kg))
    ahead, height, base = c.com_ahead_of_rear_axle_mm / 1e3 + moved, c.com_height_mm / 1e3, c.wheelbase_mm / 1e3 + moved
    mu = 1.1 if bike.tyre.grip is None else bike.tyre.grip
    assert found.machine.lift == pytest.approx(weight * ahead / height)
    # F = μ·N and N·w = W·(w − b) + F·h: two equations in F and the rear load N.
    force, _ = np.linalg.solve([[1.0, -mu], [-height, base]], [0.0, weight * (base - ahead)])
    if mu * height < base:
        assert found.machine.grip == pytest.approx(force)
    else:
        assert math.isinf(found.machine.grip)


@CASES
def test_choices_and_laps_take_the_limits_of_the_pull(name: str, how: str) -> None:
    bike = varied(name, how)
    on = bike.final_drive
    assert on.front is not None
    assert on.rear is not None
    space = default_space(bike, fronts=(on.front, on.front + 1), rears=(on.rear, on.rear + 2))
    found = candidates(bike, space)
    for k in range(found.count):
        one = pull(bike, found.set_at(k))
        assert isinstance(one, Pull)
        assert found.bound[k] == pytest.approx(one.machine.bound, rel=1e-12)
    sets = lap_sets(bike, space)
    assert not isinstance(sets, Finding)
    made = machines(sets)
    for k in range(sets.count):
        own = pull(bike, sets.set_at(k))
        assert isinstance(own, Pull)
        one_machine = own.machine
        if sets.candidate[k] >= 0 or k == sets.count - 1:
            assert (made.lift[k], made.grip[k]) == pytest.approx((one_machine.lift, one_machine.grip), rel=1e-12)
        assert made.over_radius[k] * one_machine.radius == pytest.approx(one_machine.overall, rel=1e-12)
        for key in ("launch", "limiter", "crank", "mass", "growth", "efficiency", "shift_time", "shift_at"):
            assert getattr(made, key) == pytest.approx(getattr(one_machine, key), rel=1e-12), key
        assert made.wheel_inertia / made.radius[k] ** 2 == pytest.approx(one_machine.wheel, rel=1e-12)


@CASES
def test_the_chain_s_peak_is_the_most_that_the_pull_shows(name: str, how: str) -> None:
    """The greatest F·R/r₂ over all gears and speeds, by looking at many; R as grown at each speed."""
    bike = varied(name, how)
    found, strong = pulled(bike), evaluate(bike, fitted(bike)).strength
    m, size = found.machine, evaluate(bike, fitted(bike)).run.pitch
    assert size is not None
    assert strong.peak_tension is not None
    most = 0.0
    for gear in range(len(m.overall)):
        engine = np.unique(np.concatenate([np.linspace(0.0, m.limiter, 4000), np.clip(m.engine, 0, m.limiter)]))
        speed = engine * m.radius / m.overall[gear] * (1 - 1e-12)
        most = max(most, float(np.max(thrust(replace(m, growth=0.0), gear, speed))))
    assert strong.thrust == pytest.approx(most, rel=1e-6)
    assert strong.peak_tension == pytest.approx(most * m.radius / float(pitch_radius(fitted(bike).rear or 0, size)))


def test_the_assumed_rider_holds_the_chain_s_load_too() -> None:
    """Without the rider's weight the limits were dropped, and a chain that fits was said to be weak."""
    bike = demo_bike("Corvid 1000").bike
    entered, left_out = (
        evaluate(one, fitted(one)).strength
        for one in (with_value(bike, "load", "rider_kg", rider) for rider in (80.0, None))
    )
    assert entered.limited_by in ("front wheel lifting", "grip")
    assert left_out == entered


def test_torque_below_the_launch_speed_counts_in_the_upper_gears_only() -> None:
    """70 N·m at 2000 rpm and 40 N·m from 6000 rpm on, launched at 6000: first gear never gives the 70 N·m."""
    bike = with_value(BRINDLE, "engine", "torque", ((2000.0, 70.0), (6000.0, 40.0), (10800.0, 40.0)))
    bike = with_value(with_value(bike, "engine", "launch_rpm", 6000), "chassis", "com_height_mm", None)
    strong, overall = evaluate(bike, fitted(bike)).strength, evaluate(bike, fitted(bike)).overall_ratio
    assert overall is not None
    by_hand = 0.93 * max(40 * overall[0], 70 * overall[1]) / (1.955 / math.tau)
    assert strong.thrust == pytest.approx(by_hand)


@pytest.mark.parametrize("name", demo_bikes())
def test_a_growing_tyre_counts_everywhere(name: str) -> None:
    """n = v·i/(R·(1 + g·v²)) on the Speed page, in the pull, in choices and in laps."""
    bike, g = varied(name, "growing tyre"), 4e-6
    result = evaluate(bike, fitted(bike))
    assert result.speed_at_redline is not None
    assert result.overall_ratio is not None
    assert result.rolling_radius is not None
    for i, v in zip(result.overall_ratio, result.speed_at_redline, strict=True):
        turning = v * i / (result.rolling_radius * (1 + g * v * v)) * 60 / math.tau
        assert turning == pytest.approx(bike.engine.redline_rpm)
        at = engine_speeds(result, v)
        assert at is not None
        assert at[result.overall_ratio.index(i)] * 60 / math.tau == pytest.approx(bike.engine.redline_rpm)
    found, on = pulled(bike), bike.final_drive
    for v, n, i in zip(found.shift_speeds, found.shift_engine, found.machine.overall, strict=False):
        assert n == pytest.approx(v * i / (found.machine.radius * (1 + g * v * v)))
    some = candidates(bike, Space((on.front or 0,), (on.rear or 0,), (on.chain,), (None,)))
    for gear in range(len(result.overall_ratio)):
        speeds = redline_speed(some, gear)
        assert speeds is not None
        assert speeds[0] == pytest.approx(result.speed_at_redline[gear], rel=1e-12)
        turning = some.engine_speed(float(speeds[0]), gear)[0]
        assert turning * 60 / math.tau == pytest.approx(bike.engine.redline_rpm)
    assert found.machine.growth == g
    assert pulled(with_value(bike, "tyre", "growth_per_mps2", None)).machine.growth == 0


@pytest.mark.parametrize("name", demo_bikes())
def test_the_pull_with_a_growing_tyre_is_that_of_a_larger_one_at_each_speed(name: str) -> None:
    """At any one speed a grown tyre is a tyre of that radius: thrust, and the speed at the limiter."""
    bike = varied(name, "growing tyre")
    m = pulled(bike).machine
    for gear in range(len(m.overall)):
        top = m.top_of(gear)
        assert top * m.overall[gear] / (m.radius * (1 + m.growth * top**2)) == pytest.approx(m.limiter)
        for speed in (0.2 * top, 0.6 * top, 0.99 * top):
            larger = replace(m, growth=0.0, radius=m.radius * (1 + m.growth * speed**2))
            assert float(thrust(m, gear, speed)) == pytest.approx(float(thrust(larger, gear, speed)), rel=1e-12)


def test_a_growing_tyre_makes_a_limited_motorcycle_faster_on_every_page() -> None:
    """With so little drag that the limiter holds it back, 1 + g·v² faster: pull, choices and laps agree."""
    bike = with_value(varied("Wren 125", "growing tyre"), "load", "drag_area_m2", 0.1)
    bike, on = with_value(bike, "load", "rolling_coefficient", 0.002), bike.final_drive
    found = pulled(bike)
    assert found.top is not None
    assert found.top.limited_by == "redline"
    assert found.top.speed == pytest.approx(found.machine.top_of(found.top.gear))
    space = Space((on.front or 0,), (on.rear or 0,), (on.chain,), (None,))
    tops = top_speed(candidates(bike, space))
    assert not isinstance(tops, Finding)
    assert tops[0] == pytest.approx(found.top.speed, rel=1e-9)
    sets = lap_sets(bike, space)
    assert not isinstance(sets, Finding)
    assert machines(sets).limit_speed[0, found.top.gear] == pytest.approx(found.top.speed, rel=1e-9)


@pytest.mark.parametrize("name", demo_bikes())
def test_the_chain_runs_no_faster_for_a_growing_tyre(name: str) -> None:
    """At the redline the chain's speed follows from the engine alone: q·(n/(primary·top gear)·r₁)²."""
    bike = varied(name, "growing tyre")
    result, plain = evaluate(bike, fitted(bike)), evaluate(varied(name, "as it is"), fitted(bike))
    assert result.primary_ratio is not None
    assert result.gear_ratios is not None
    assert result.run.pitch is not None
    shaft = (bike.engine.redline_rpm or 0) * math.tau / 60 / result.primary_ratio / result.gear_ratios[-1]
    speed = shaft * float(pitch_radius(fitted(bike).rear or 0, result.run.pitch)) / (result.final_ratio or 1.0)
    q, _ = mass_per_metre(bike, fitted(bike))
    assert result.strength.centrifugal == pytest.approx((q or 0.0) * speed**2)
    assert result.strength.centrifugal == pytest.approx(plain.strength.centrifugal)


@pytest.mark.parametrize("growth", [None, 5e-6])
def test_the_speed_chart_is_drawn_by_the_same_law(growth: float | None) -> None:
    bike = with_value(BRINDLE, "tyre", "growth_per_mps2", growth)
    result = evaluate(bike, fitted(bike))
    lines = speed_lines(bike, result)
    assert lines is not None
    assert result.overall_ratio is not None
    assert lines.gear_speed.shape == (6, 12 if growth else 2)
    assert lines.gear_engine[[0, -1]] == pytest.approx([lines.idle, lines.redline])
    assert lines.redline_speed.tolist() == pytest.approx(result.speed_at_redline)
    for gear, speeds in enumerate(lines.gear_speed):
        at = [engine_speeds(result, float(v)) for v in speeds]
        assert [n[gear] for n in at if n is not None] == pytest.approx(lines.gear_engine.tolist())
    points = lines.gear_speed.shape[1]
    for gear in range(6):
        leg = slice(gear * points, (gear + 1) * points)
        at = [engine_speeds(result, float(v)) for v in lines.run_speed[leg]]
        assert [n[gear] for n in at if n is not None] == pytest.approx(lines.run_engine[leg].tolist())
