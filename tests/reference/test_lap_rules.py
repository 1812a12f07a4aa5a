"""A rider's rules against an integration in small steps of time that shares no code with the program's lap."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from gearplan.bike.circuit import Circuit, Section
from gearplan.bike.demo import demo_bike
from gearplan.bike.files.circuitfile import demo_circuit
from gearplan.bike.text.units import DEGREE, KMH, RPM
from gearplan.drive.lap.lap import Lap, lap_times
from gearplan.drive.lap.rules import USUAL, LapRules
from gearplan.drive.lap.trace import lap_trace
from gearplan.drive.motion.machines import Machines, Varied
from gearplan.plan.choices.space import default_space
from gearplan.plan.findings import Finding
from gearplan.plan.laps.sets import lap_sets, machines
from tests.reference.lapsteps import StepLap

BIKES = {"Brindle 650": (14, 48), "Wren 125": (15, 40), "Corvid 1000": (19, 44)}


#: Short and hard braking from gear to gear.
SHORT = Circuit(
    "",
    (
        Section("straight", 150.0),
        Section("corner", 30.0, apex_kmh=45.0, turn_deg=90.0),
        Section("straight", 90.0, gradient_percent=-3.0),
        Section("corner", 25.0, apex_kmh=50.0, turn_deg=-80.0),
    ),
)


def one_set(name: str) -> Machines:
    front, rear = BIKES[name]
    sets = lap_sets(demo_bike(name).bike, default_space(demo_bike(name).bike, fronts=(front,) * 2, rears=(rear,) * 2))
    assert not isinstance(sets, Finding)
    return machines(sets).some(slice(0, 1))


@pytest.mark.parametrize(
    ("name", "place", "rules"),
    [
        ("Corvid 1000", "Heronfleet", LapRules(lowest_gear=2)),
        ("Corvid 1000", "Heronfleet", LapRules(first_below=90 * KMH)),
        ("Brindle 650", "Cairn Brae hill climb", LapRules(lowest_gear=2, first_below=30 * KMH)),
        ("Brindle 650", "Marlpit Lane", LapRules(skips=(3,))),
        ("Wren 125", "Marlpit Lane", LapRules(short_shift=800 * RPM)),
        ("Brindle 650", "Heronfleet", LapRules(no_shift_beyond=10 * DEGREE)),
        ("Corvid 1000", "Marlpit Lane", LapRules(lowest_gear=2, short_shift=500 * RPM)),
    ],
)
def test_a_rule_changes_the_lap_as_it_does_in_steps_of_time(name: str, place: str, rules: LapRules) -> None:
    one, circuit = one_set(name), demo_circuit(place).circuit
    used = [gear for gear in range(one.gears) if gear + 1 not in rules.skips]
    stepped = StepLap(
        replace(one, over_radius=one.over_radius[:, used]),
        circuit,
        4e-3,
        lowest=sum(gear + 1 < rules.lowest_gear for gear in used),
        early=rules.short_shift,
        first_below=rules.first_below,
        no_shift_beyond=rules.no_shift_beyond,
        each_down=rules.down_shift,
    )
    mine, free = (float(lap_times(one, circuit, how).time[0]) for how in (rules, USUAL))
    assert mine == pytest.approx(stepped.lap(), rel=4e-4)
    # The rule must matter by more than what both may be off.
    assert abs(mine - free) > 2e-4 * free
    trace = lap_trace(one, circuit, rules)
    assert trace.lap_time == pytest.approx(mine, rel=1e-9)
    assert not set(trace.gear + 1) & set(rules.skips)
    ridden = lap_times(one, circuit, rules)
    begins = ridden.gear[ridden.gear >= 0]
    assert set(np.concatenate([begins, ridden.peak_gear.ravel()])) <= set(used)
    assert ridden.peak_gear.max() == trace.gear.max()
    if math.isfinite(rules.first_below):
        assert trace.speed[trace.gear == 0].max(initial=0.0) <= rules.first_below * (1 + 1e-9)
    moved = np.diff(trace.distance) > 0
    mean = (trace.speed[1:] + trace.speed[:-1])[moved] / 2
    assert (np.diff(trace.time)[moved] * mean).sum() == pytest.approx(circuit.length_m, rel=2e-3)


def short_braking() -> Machines:
    """Hard brakes and gears so low that corners of `SHORT` ask for several down-shifts."""
    one = replace(one_set("Brindle 650"), braking=13.0, friction=1.6)
    return replace(one, over_radius=one.over_radius * 1.6)


@pytest.mark.parametrize("each", [0.5, 0.8])
def test_from_the_shut_throttle_to_the_corner_there_is_just_the_time_for_all_down_shifts(each: float) -> None:
    """Rolled and braked in steps of a tenth of a millimetre in time: v² falls by twice the deceleration a metre."""
    one, rules, step = short_braking(), LapRules(down_shift=each), 1e-4
    lap = Lap(one, SHORT, rules)
    laps, trace = lap.laps(), lap_trace(one, SHORT, rules, step=1.0)
    for k in (0, 2):
        mine, shut = trace.section == k, float(lap.brakes[k, 0])
        begins = np.nonzero(mine & (trace.driving > 0))[0][-1]
        into = trace.gear[trace.section == k + 1][0]
        slope = math.atan(SHORT.sections[k].gradient_percent / 100)
        rolls = float(one.square * trace.speed[begins] ** 2 + one.constant(np.zeros(1, int), np.array([slope]))[0])
        rolls /= float(one.own_mass[0])
        length, end = SHORT.sections[k].length_m, float(trace.speed[trace.section == k + 1][0])
        at = np.arange(shut, length, step)
        rolling, braking = trace.speed[begins] ** 2 - 2 * rolls * (at - shut), end**2 + 2 * one.braking * (length - at)
        speed = np.sqrt(np.minimum(rolling, braking))
        since = np.concatenate([[0.0], np.cumsum(step * 2 / (speed[1:] + speed[:-1]))])
        assert rolling[0] < braking[0]
        spare = since[-1] - (trace.gear[begins] - into) * each
        assert spare > -1e-4
        if spare > 1e-4:
            # Any later it would be in the next gear, one farther to come down from.
            assert trace.speed[begins] == pytest.approx(one.shift_speed[0, trace.gear[begins]], rel=1e-4)
            assert spare < each
        slows = mine & (trace.driving == 0)
        place = trace.distance[slows] - trace.distance[mine][0]
        assert trace.speed[slows] == pytest.approx(np.interp(place, at, speed), rel=1e-5)
        assert trace.time[slows] - trace.time[begins] == pytest.approx(np.interp(place, at, since), abs=1e-4)
        assert laps.section_time[k, 0] == pytest.approx(trace.time[begins] - trace.time[mine][0] + since[-1], abs=1e-4)


@pytest.mark.parametrize("each", [0.5, 0.8])
def test_down_shifts_shut_the_throttle_where_braking_is_over_too_soon(each: float) -> None:
    one = short_braking()
    stepped = StepLap(one, SHORT, 2e-3, each_down=each).lap()
    rules = LapRules(down_shift=each)
    mine, free = (float(lap_times(one, SHORT, how).time[0]) for how in (rules, USUAL))
    assert mine - free > 0.02
    assert mine - free == pytest.approx(stepped - StepLap(one, SHORT, 2e-3).lap(), rel=0.03)
    trace = lap_trace(one, SHORT, rules)
    assert trace.lap_time == pytest.approx(mine, rel=1e-9)
    assert (np.diff(trace.time) >= 0).all()
    # The same for a set of its own among others.
    none, ones = np.zeros(2), np.ones(2)
    less = np.array([-each, 0.0])
    one_each = Varied(ones, ones, ones, ones, none, none, none.astype(int), none, none, none, less)
    both = replace(one.some(np.zeros(2, int)), varied=one_each)
    assert lap_times(both, SHORT, rules).time == pytest.approx([free, mine], rel=1e-9)
