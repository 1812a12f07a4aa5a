"""Many versions at once: each is ridden as by itself, and what a change does is what it does to the one motorcycle."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from gearplan.bike.demo import demo_bike
from gearplan.bike.library import demo_bikes
from gearplan.drive.motion.roadload import Road
from gearplan.drive.motion.sprint import roll_on, sprint
from gearplan.drive.motion.thrust import Machine, shift_speeds, top_speed
from gearplan.drive.motion.versions import Versions, time_to_distance, time_to_speed
from gearplan.plan.driveset import fitted
from gearplan.plan.pull.pull import Pull, pull


def demo(name: str) -> tuple[Machine, Road]:
    bike = demo_bike(name).bike
    found = pull(bike, fitted(bike))
    assert isinstance(found, Pull)
    return found.machine, found.road


def versions(machine: Machine, road: Road) -> list[tuple[Machine, Road]]:
    """The motorcycle itself, and with other values of everything that may differ."""
    return [
        (machine, road),
        (replace(machine, efficiency=0.9 * machine.efficiency), road),
        (replace(machine, torque=tuple(1.1 * t for t in machine.torque)), road),
        (replace(machine, radius=1.01 * machine.radius), road),
        (replace(machine, launch=1.1 * machine.launch, crank=1.3 * machine.crank), road),
        (replace(machine, shift_time=0.3, grip=0.8 * machine.grip), road),
        (replace(machine, mass=1.1 * machine.mass, lift=1.1 * machine.lift), replace(road, mass=1.1 * road.mass)),
        (replace(machine, growth=machine.growth + 3e-6), road),
        (machine, replace(road, drag_area=0.8 * road.drag_area, rolling=1.5 * road.rolling)),
    ]


@pytest.mark.parametrize("name", demo_bikes())
@pytest.mark.parametrize("slope", [0.0, 0.06])
@pytest.mark.parametrize("growth", [0.0, 8e-6])
def test_the_top_speeds_are_those_of_each_by_itself(name: str, slope: float, growth: float) -> None:
    machine, road = demo(name)
    each = versions(replace(machine, growth=growth), replace(road, slope=slope))
    found = Versions([m for m, _ in each], [r for _, r in each]).top_speeds()
    for (one, on), top in zip(each, found.tolist(), strict=True):
        alone = top_speed(one, on)
        assert alone is not None
        assert top == pytest.approx(alone.speed, rel=1e-9)


def test_what_holds_no_speed_has_no_top_speed() -> None:
    machine, road = demo("Wren 125")
    steep = replace(road, slope=1.2)
    assert top_speed(machine, steep) is None
    found = Versions([machine, machine], [road, steep]).top_speeds()
    assert not math.isnan(found[0])
    assert math.isnan(found[1])


@pytest.mark.parametrize("name", demo_bikes())
def test_times_are_those_of_each_by_itself(name: str) -> None:
    """Within what up-shifts at the first version's engine speeds cost, a hundredth of the time at most."""
    machine, road = demo(name)
    each = versions(machine, road)
    made = Versions([m for m, _ in each], [r for _, r in each])
    tops = made.top_speeds()
    shifts = shift_speeds(machine, road)
    slow, fast = 0.3 * float(tops.min()), 0.75 * float(tops.min())
    run = made.run(sprint(machine, road, shifts), shifts, tops, (slow, fast))
    found = np.array([time_to_speed(run, slow), time_to_speed(run, fast), time_to_distance(run, 150.0)])
    for k, (one, on) in enumerate(each):
        alone = sprint(one, on, shift_speeds(one, on))
        truth = [alone.time_to_speed(slow), alone.time_to_speed(fast), alone.time_to_distance(150.0)]
        assert found[:, k] == pytest.approx(truth, rel=3e-4 if k == 0 else 1e-2), k


@pytest.mark.parametrize("name", demo_bikes())
def test_a_roll_on_is_that_of_each_by_itself(name: str) -> None:
    machine, road = demo(name)
    each = versions(machine, road)
    made = Versions([m for m, _ in each], [r for _, r in each])
    for gear in range(len(machine.overall)):
        start, end = 0.5 * machine.top_of(gear), 0.8 * machine.top_of(gear)
        truth = [roll_on(one, on, gear, start, end) for one, on in each]
        found = made.roll_on(gear, start, end)
        for alone, time in zip(truth, found.tolist(), strict=True):
            assert time == pytest.approx(math.nan if alone is None else alone, rel=1e-3, nan_ok=True)


def test_what_is_not_reached_has_no_time_and_far_away_the_last_speed_is_held() -> None:
    machine, road = demo("Wren 125")
    weak = replace(machine, efficiency=0.6 * machine.efficiency)
    made = Versions([machine, weak], [road, road])
    tops, shifts = made.top_speeds(), shift_speeds(machine, road)
    run = made.run(sprint(machine, road, shifts), shifts, tops, (26.0,))
    assert np.isfinite(time_to_speed(run, 26.0)).tolist() == [True, False]
    near, far = time_to_distance(run, 4000.0), time_to_distance(run, 5000.0)
    assert (far - near)[0] == pytest.approx(1000.0 / tops[0], rel=2e-3)


@pytest.mark.parametrize("slope", [0.0, 0.06])
def test_the_up_shifts_of_versions_that_differ_little_are_those_of_each_by_itself(slope: float) -> None:
    """Below the limiter, by the search that finds them for one motorcycle; what is left is of second order."""
    machine, road = demo("Brindle 650")
    road = replace(road, slope=slope)
    each = [
        (machine, road),
        (replace(machine, crank=1.02 * machine.crank), road),
        (replace(machine, radius=1.01 * machine.radius), road),
        (machine, replace(road, drag_area=1.05 * road.drag_area)),
        (replace(machine, torque=tuple(1.02 * t for t in machine.torque)), road),
    ]
    made = Versions([m for m, _ in each], [r for _, r in each])
    at = [shift_speeds(one, on) for one, on in each]
    for gear, speed in enumerate(at[0][:4]):
        alone = [float(one.engine_at(gear, found[gear])) for (one, _), found in zip(each, at, strict=True)]
        assert alone[0] < 0.99 * machine.limiter
        found = made._shift_engine(gear, speed)[:, 0]
        assert found - found[0] == pytest.approx(np.array(alone) - alone[0], rel=0.01, abs=0.005)


def test_one_motorcycle_alone_is_a_version_of_itself() -> None:
    machine, road = demo("Corvid 1000")
    top = top_speed(machine, road)
    assert top is not None
    assert Versions([machine], [road]).top_speeds() == pytest.approx([top.speed], rel=1e-9)
