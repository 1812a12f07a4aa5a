"""One law: what one machine has, and what many have, and what a lap has, is the same to the last digits."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from gearplan.bike.circuit import Circuit, Section
from gearplan.drive.lap.lap import lap_times
from gearplan.drive.lap.march import Stretch, can_hold, march
from gearplan.drive.lap.rules import UPRIGHT
from gearplan.drive.lap.tables import Tables
from gearplan.drive.motion import force, roadload
from gearplan.drive.motion.machines import Machines
from gearplan.drive.motion.roadload import Road
from gearplan.drive.motion.thrust import Machine, engine_thrust, shift_speeds, thrust, top_speed, top_speeds
from tests.drive.randommachines import as_many, some_machine, some_road, with_ratio

SEEDS = range(24)
PARTS = (0.7, 0.9, 1.0, 1.1, 1.5)


def drawn(seed: int) -> tuple[list[Machine], Road, Machines]:
    rng = np.random.default_rng(seed)
    machine = some_machine(rng, growth=float(rng.choice([0.0, 0.0, 4e-6, 2e-5])))
    road = some_road(rng, machine)
    sets = [with_ratio(machine, part) for part in PARTS]
    return sets, road, as_many(sets, road)


@pytest.mark.parametrize("seed", SEEDS)
def test_many_shift_and_end_where_each_does(seed: int) -> None:
    sets, road, many = drawn(seed)
    level = replace(road, slope=0.0, wind=0.0)
    for row, one in enumerate(sets):
        assert many.shift_speed[row, :-1] == pytest.approx(shift_speeds(one, level), rel=1e-11)
        assert many.limit_speed[row] == pytest.approx([one.top_of(g) for g in range(many.gears)], rel=1e-12)
        assert many.gear_mass[row] == pytest.approx([one.equivalent_mass(g) for g in range(many.gears)], rel=1e-12)


@pytest.mark.parametrize("seed", SEEDS)
def test_many_top_speeds_are_each_one_s(seed: int) -> None:
    sets, road, many = drawn(seed)
    radius, bound = np.array([m.radius for m in sets]), np.array([m.bound for m in sets])
    found = top_speeds(sets[0], road, many.over_radius * radius[:, None], radius, bound)
    for speed, one in zip(found, sets, strict=True):
        single = top_speed(one, road)
        assert np.isnan(speed) if single is None else speed == pytest.approx(single.speed, rel=1e-12)


@pytest.mark.parametrize("seed", SEEDS)
def test_the_lap_s_tables_and_steps_have_the_force_of_the_single_machine(seed: int) -> None:
    sets, road, many = drawn(seed)
    tables = Tables(many, np.array([road.slope]), road.wind)
    for row, one in enumerate(sets):
        sloped = replace(one, lift=one.lift * np.cos(road.slope), grip=one.grip * np.cos(road.slope))
        for gear in range(many.gears):
            # At the limiter itself rounding decides; all nodes below it.
            v = tables.v[row, gear, :-1]
            pulls, load = thrust(sloped, gear, v), roadload.road_load(road, v)
            assert tables.force[row, gear, :-1] == pytest.approx(thrust(one, gear, v, limited=False), rel=1e-12)
            expected = pulls - load
            assert tables.spare[0, row, gear, :-1] == pytest.approx(
                expected, abs=1e-12 * float(np.abs(load).max() + pulls.max())
            )
            held = can_hold(many, level(many, row, road, 3), v[5:8], np.full(3, gear), np.ones(3), road.wind)
            assert held.tolist() == (expected[5:8] >= 0).tolist()


def level(many: Machines, row: int, road: Road, count: int) -> Stretch:
    nothing, endless = np.zeros(count), np.full(count, np.inf)
    return Stretch(
        set_=np.full(count, row),
        slope=np.full(count, road.slope),
        distance=np.full(count, 1e-6),
        begins=nothing,
        stands=nothing,
        radius=endless,
        side=np.full(count, 1.1),
        cap=endless,
        hold=np.ones(count, bool),
        length=np.full(count, 1e-6),
        end=endless,
        braking=np.full(count, 9.0),
    )


@pytest.mark.parametrize("seed", SEEDS)
def test_a_march_begins_with_the_acceleration_of_the_single_machine(seed: int) -> None:
    sets, road, many = drawn(seed)
    one = sets[2]
    sloped = replace(one, lift=one.lift * np.cos(road.slope), grip=one.grip * np.cos(road.slope))
    for gear in range(many.gears):
        joins = float(one.speed_at(0, one.launch)) if gear == 0 else 0.0
        v = np.array([0.3, 0.5, 0.8]) * one.top_of(gear)
        way = level(many, 2, road, 3)
        way = replace(way, distance=np.full(3, 1e-3), length=np.full(3, 1e-3))
        done = march(
            many, way, v, np.full(3, gear), np.zeros(3), wind=road.wind, lean_shrinks=True, share_grip=True,
            no_shift_beyond=np.inf, steps=8,
        )  # fmt: skip
        mass = np.where(v < joins, one.equivalent_mass(None), one.equivalent_mass(gear))
        expected = (thrust(sloped, gear, v) - roadload.road_load(road, v)) / mass
        assert (done.speed**2 - v**2) / 2e-3 == pytest.approx(expected, abs=2e-3)


@pytest.mark.parametrize("seed", SEEDS)
def test_a_shift_coasts_alike_in_the_lap_and_in_the_sprint(seed: int) -> None:
    sets, road, many = drawn(seed)
    tables = Tables(many, np.array([road.slope]), road.wind)
    for row, one in enumerate(sets):
        v = 0.8 * one.top_of(0)
        speed, run = roadload.coasted(road, v, one.equivalent_mass(None), 0.15)
        after, way = tables.coast(np.array([0]), np.array([row]), np.array([v]), np.array([0.15]))
        assert (float(after[0]), float(way[0])) == pytest.approx((speed, run), rel=1e-12)


def test_a_tyre_that_grows_moves_everything() -> None:
    """R·(1 + g·v²): less thrust, a higher limiter speed and a later shift, by hand at one speed."""
    rng = np.random.default_rng(3)
    still = replace(some_machine(rng), lift=np.inf, grip=np.inf, shift_at=np.inf)
    grows = replace(still, growth=1e-5)
    v, gear = 0.7 * still.top_of(2), 2
    part = 1 + 1e-5 * v**2
    n = v * still.overall[gear] / (still.radius * part)
    by_hand = np.interp(n, still.engine, still.torque) * still.overall[gear] * still.efficiency / (still.radius * part)
    assert thrust(grows, gear, v) == pytest.approx(by_hand, rel=1e-12)
    assert grows.engine_at(gear, v) == pytest.approx(n, rel=1e-12)
    top = grows.top_of(gear)
    assert top > still.top_of(gear)
    assert top * still.overall[gear] / (still.radius * (1 + 1e-5 * top**2)) == pytest.approx(still.limiter, rel=1e-12)
    road = Road(still.mass, 0.3, 1.2, 0.015)
    assert top_speed(grows, road) != top_speed(still, road)
    assert shift_speeds(grows, road) != shift_speeds(still, road)
    many = as_many([grows], road)
    assert many.limit_speed[0, gear] == pytest.approx(top, rel=1e-12)


def test_growth_counts_in_a_lap() -> None:
    """At the limiter all round a level circle the tyre is as grown as the speed says."""
    rng = np.random.default_rng(8)
    machine = some_machine(rng, growth=2e-5)
    machine = replace(machine, lift=np.inf, grip=np.inf, torque=(400.0,) * 3, engine=(10.0, 20.0, 30.0))
    road = Road(machine.mass, 0.1, 1.0, 0.01)
    many = as_many([machine], road)
    laps = lap_times(many, Circuit("", (Section("straight", 3000.0),)), UPRIGHT)
    last = many.gears - 1
    assert laps.peak[0, 0] == pytest.approx(machine.top_of(last), rel=1e-9)
    assert laps.peak_engine[0, 0] == pytest.approx(machine.limiter, rel=1e-9)
    assert laps.time[0] == pytest.approx(3000.0 / machine.top_of(last), rel=1e-6)


def test_nothing_is_driven_beyond_the_limiter() -> None:
    machine = some_machine(np.random.default_rng(1))
    for gear in range(len(machine.overall)):
        top = machine.top_of(gear)
        below, at, beyond = thrust(machine, gear, np.array([0.999, 1.0, 1.001]) * top)
        assert below > 0
        assert at > 0
        assert beyond == 0
    assert engine_thrust(machine, machine.overall[1], machine.radius, 1.001 * machine.top_of(1), first=False) == 0


def test_crossings_are_found_to_the_last_digits() -> None:
    """cos x = x at 0.7390851332151607 (Dottie's number), x³ = 2, and a function with a kink."""
    low, high = np.zeros(3), np.array([1.0, 2.0, 3.0])

    def off(x: np.ndarray[tuple[int, ...], np.dtype[np.float64]]) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
        return np.array([np.cos(x[0]) - x[0], 2 - x[1] ** 3, min(1.0, 2 * (2.5 - x[2]))])

    found = force.crossing(off, low, high, off(low), off(high))
    assert found == pytest.approx([0.7390851332151607, 2 ** (1 / 3), 2.5], rel=1e-14)
