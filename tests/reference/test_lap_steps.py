"""Leaned laps against an integration in small steps of time that shares no code with the program's."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from gearplan.bike.circuit import Circuit, Section
from gearplan.bike.demo import demo_bike
from gearplan.bike.files.bikefile import read_bike
from gearplan.bike.files.circuitfile import demo_circuit, read_circuit
from gearplan.bike.profile import Bike
from gearplan.drive.lap.lap import lap_times
from gearplan.drive.lap.march import Stretch, march, shrunk
from gearplan.drive.motion.machines import Machines
from gearplan.plan.choices.space import default_space
from gearplan.plan.findings import Finding
from gearplan.plan.laps.sets import lap_sets, machines
from tests.reference.lapsteps import StepLap

LAPS = Path(__file__).parent / "laps"


def one_set(bike: Bike, front: int, rear: int) -> Machines:
    sets = lap_sets(bike, default_space(bike, fronts=(front, front), rears=(rear, rear)))
    assert not isinstance(sets, Finding)
    return machines(sets).some(slice(0, 1))


@pytest.mark.parametrize(("name", "front", "rear"), [("normal", 18, 42), ("hill", 15, 43), ("short", 19, 37)])
def test_laps_that_hang_on_what_happens_at_the_entry_of_a_corner(name: str, front: int, rear: int) -> None:
    """Normal: the lean lifts the engine over its limiter. Hill: so it does, and the next gear takes over. Short: the
    apex speed lies just below the shift speed."""
    bike = read_bike(LAPS / f"{name}.bike.toml").bike
    circuit = read_circuit(LAPS / f"{name}.circuit.toml").circuit
    one = one_set(bike, front, rear)
    assert lap_times(one, circuit).time[0] == pytest.approx(StepLap(one, circuit, 4e-3).lap(), rel=4e-4)


@pytest.mark.parametrize("circuit", ["Marlpit Lane", "Heronfleet"])
@pytest.mark.parametrize(
    ("name", "front", "rear"), [("Brindle 650", 14, 48), ("Wren 125", 15, 40), ("Corvid 1000", 16, 42)]
)
def test_leaned_laps_of_the_bikes_that_come_with_the_program(circuit: str, name: str, front: int, rear: int) -> None:
    one, on = one_set(demo_bike(name).bike, front, rear), demo_circuit(circuit).circuit
    assert lap_times(one, on).time[0] == pytest.approx(StepLap(one, on, 4e-3).lap(), rel=4e-4)


def test_the_speed_never_jumps_where_a_corner_begins() -> None:
    """At the limiter into a wide turn: the radius shrinks, and the speed falls as the motorcycle rolls, not at once.

    By hand over the turn of 40 m, gear engaged and nothing driving: d(v²)/ds = −2·load/m.
    """
    one = one_set(demo_bike().bike, 15, 46)
    v0, gear = float(one.limit_speed[0, 1]), np.array([1])
    endless, nothing = np.full(1, np.inf), np.zeros(1)
    way = Stretch(
        set_=np.zeros(1, int), slope=nothing, distance=np.full(1, 40.0), begins=nothing, stands=nothing,
        radius=np.full(1, 180.0), side=np.full(1, 1.1), cap=endless, hold=np.ones(1, bool), length=np.full(1, 40.0),
        end=endless, braking=np.full(1, 9.0),
    )  # fmt: skip
    done = march(
        one, way, np.array([v0]), gear, nothing, wind=0.0, lean_shrinks=True, share_grip=True, no_shift_beyond=np.inf,
        steps=20,
    )  # fmt: skip
    mass, rolling = float(one.gear_mass[0, 1]), float(one.constant(slice(None), nothing)[0])
    # u' = −2(k·u + c)/m, so u + c/k falls by exp(−2ks/m).
    rest = rolling / one.square
    u = (v0**2 + rest) * math.exp(-2 * one.square * 40.0 / mass) - rest
    assert done.speed[0] == pytest.approx(math.sqrt(u), rel=1e-5)
    down = march(
        one, replace(way, slope=np.full(1, -0.06)), np.array([v0]), gear, nothing, wind=0.0, lean_shrinks=True,
        share_grip=True, no_shift_beyond=np.inf, steps=20,
    )  # fmt: skip
    assert down.peak[0] == v0
    assert done.speed[0] > 1.01 * v0 * float(shrunk(one, np.zeros(1, int), np.array([v0**2 / (9.80665 * 180)]))[0])


def test_no_shift_where_the_apex_speed_lies_below_the_shift_speed() -> None:
    one = one_set(demo_bike().bike, 15, 46)
    apex = 0.998 * float(one.shift_speed[0, 0])
    flat = replace(one, crown=np.zeros(1))
    slow, fast = (Section("corner", length, apex_kmh=v * 3.6) for length, v in ((30.0, 0.7 * apex), (200.0, apex)))
    circuit = Circuit("", (slow, fast))
    laps = lap_times(flat, circuit)
    assert laps.peak[1, 0] == pytest.approx(apex)
    assert laps.shifts[1, 0] == 0
