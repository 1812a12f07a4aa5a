"""Laps against a fine integration of the equation of motion (scipy), and against closed forms.

Closed forms: uniformly accelerated motion (v² = v₀² + 2as); the balance of moments of a steady turn, tan φ = v²/(g·r).
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from gearplan.bike.circuit import Circuit, Section
from gearplan.bike.demo import demo_bike
from gearplan.bike.files.circuitfile import demo_circuit
from gearplan.bike.profile import Bike
from gearplan.drive.lap.lap import lap_times
from gearplan.drive.lap.march import lean_of
from gearplan.drive.lap.rules import UPRIGHT, LapRules, apex_speed
from gearplan.drive.motion.machines import Machines
from gearplan.drive.motion.roadload import Road
from gearplan.drive.motion.thrust import Machine
from gearplan.plan.driveset import fitted
from gearplan.plan.findings import Finding
from gearplan.plan.pull.pull import Pull, pull
from tests.reference.lapmotion import Rider, lap, machines_of
from tests.reference.tables import rows

CLIMB = Circuit(
    "entered too fast to hold",
    (
        Section("corner", 40, apex_kmh=90),
        Section("straight", 500),
        Section("straight", 700, gradient_percent=16),
        Section("straight", 300, gradient_percent=-14),
        Section("corner", 50, apex_kmh=70),
        Section("straight", 250),
        Section("corner", 80, apex_kmh=220),
        Section("straight", 400, gradient_percent=3),
    ),
)
NO_CORNER = Circuit(
    "", (Section("straight", 1500), Section("straight", 800, gradient_percent=2.5), Section("straight", 800, -2.5))
)


def pulled(bike: Bike) -> Pull:
    found = pull(bike, fitted(bike))
    assert not isinstance(found, Finding)
    return found


def with_torque(bike: Bike, share: float) -> Bike:
    assert bike.engine.torque is not None
    points = tuple((rpm, share * torque) for rpm, torque in bike.engine.torque)
    return replace(bike, engine=replace(bike.engine, torque=points))


def machines(found: Pull, *, braking: float = 9.0) -> Machines:
    return machines_of(found.machine, found.road, friction=1.1, braking=braking)


@pytest.mark.parametrize("circuit", [demo_circuit("Marlpit Lane").circuit, demo_circuit("Heronfleet").circuit, CLIMB])
@pytest.mark.parametrize(
    ("name", "share", "wind"),
    [("Brindle 650", 1.0, 0.0), ("Brindle 650", 0.2, 6.0), ("Wren 125", 1.0, -4.0), ("Wren 125", 0.5, 6.0)],
)
def test_lap_time_is_that_of_a_fine_integration(name: str, share: float, wind: float, circuit: Circuit) -> None:
    found = pulled(with_torque(demo_bike(name).bike, share))
    made = machines(found)
    mine = lap_times(made, circuit, replace(UPRIGHT, wind=wind))
    rider = Rider(found.machine, replace(found.road, wind=wind), tuple(made.shift_speed[0, :-1].tolist()), 1.1, 9.0)
    apex = [apex_speed(s, 1.1) if s.kind == "corner" else math.inf for s in circuit.sections]
    assert mine.time[0] == pytest.approx(lap(rider, circuit, apex), rel=2e-4)


def test_a_lap_without_corners_closes() -> None:
    found = pulled(demo_bike("Brindle 650").bike)
    made = machines(found)
    mine = lap_times(made, NO_CORNER, UPRIGHT)
    rider = Rider(found.machine, found.road, tuple(made.shift_speed[0, :-1].tolist()), 1.1, 9.0)
    assert mine.time[0] == pytest.approx(lap(rider, NO_CORNER, [math.inf] * 3), rel=2e-4)


def test_shift_speeds_are_those_of_the_pull() -> None:
    for name in ("Brindle 650", "Wren 125", "Corvid 1000"):
        found = pulled(demo_bike(name).bike)
        assert machines(found).shift_speed[0, :-1].tolist() == pytest.approx(found.shift_speeds, rel=2e-4)


def constant_thrust(force: float, mass: float) -> Machines:
    """One gear and even torque, neither drag nor rolling nor turning masses: uniform acceleration."""
    machine = Machine(
        engine=(10.0, 1000.0),
        torque=(force, force),
        overall=(1.0,),
        radius=1.0,
        efficiency=1.0,
        limiter=1000.0,
        launch=10.0,
        shift_at=math.inf,
        shift_time=0.1,
        lift=math.inf,
        grip=math.inf,
        mass=mass,
        wheel=0.0,
        crank=0.0,
    )
    return machines_of(machine, Road(mass, 0.0, 1.2, 0.0), friction=1.2, braking=8.0)


def test_a_straight_with_even_thrust_between_two_corners() -> None:
    force, mass, braking, length = 900.0, 200.0, 8.0, 400.0
    v0, v1 = 20.0, 30.0
    circuit = Circuit(
        "",
        (
            Section("corner", 50, apex_kmh=v0 * 3.6),
            Section("straight", length),
            Section("corner", 60, apex_kmh=v1 * 3.6),
        ),
    )
    a = force / mass
    # v0² + 2a·s = v1² + 2b·(L − s) at the braking point.
    at = (v1**2 - v0**2 + 2 * braking * length) / (2 * (a + braking))
    peak = math.sqrt(v0**2 + 2 * a * at)
    # The second corner meets the first at once: it brakes from 30 to 20 within its last metres, v²/2b.
    within = (v1**2 - v0**2) / (2 * braking)
    expected = 50 / v0 + (peak - v0) / a + (peak - v1) / braking + (60 - within) / v1 + (v1 - v0) / braking
    found = lap_times(constant_thrust(force, mass), circuit, UPRIGHT)
    assert found.time[0] == pytest.approx(expected, rel=1e-9)
    assert found.brakes[1, 0] == pytest.approx(at)
    assert found.peak[1, 0] == pytest.approx(peak)


def test_braking_takes_v_squared_over_twice_the_deceleration() -> None:
    circuit = Circuit("", (Section("straight", 2000), Section("corner", 40, apex_kmh=72)))
    found = lap_times(constant_thrust(3000, 200), circuit, UPRIGHT)
    peak = found.peak[0, 0]
    assert 2000 - found.brakes[0, 0] == pytest.approx((peak**2 - 20.0**2) / (2 * 8.0))


def test_a_circle_is_ridden_at_its_own_speed() -> None:
    round_and_round = Circuit("", (Section("corner", 314.15926, radius_m=50, grip=0.9),))
    found = lap_times(machines(pulled(demo_bike().bike)), round_and_round, UPRIGHT)
    # √(μ·g·r)
    assert found.time[0] == pytest.approx(314.15926 / math.sqrt(0.9 * 9.80665 * 50), rel=1e-9)


def test_lean_of_a_steady_turn() -> None:
    lean = lean_of(np.array([20.0]), np.array([40.0]))
    assert math.tan(lean[0]) == pytest.approx(20.0**2 / (9.80665 * 40))
    by_lean = Section("corner", 50, radius_m=40, lean_deg=45)
    assert apex_speed(by_lean, 1.3) == pytest.approx(math.sqrt(9.80665 * 40))
    assert apex_speed(replace(by_lean, grip=0.8), 1.3) == pytest.approx(math.sqrt(0.8 * 9.80665 * 40))
    assert apex_speed(replace(by_lean, lean_deg=None), 1.3) == pytest.approx(math.sqrt(1.3 * 9.80665 * 40))


def test_leaned_the_engine_turns_faster_by_the_smaller_radius() -> None:
    found = pulled(demo_bike().bike)
    made = machines_of(found.machine, found.road, friction=1.1, braking=9.0, crown=0.09)
    corner = Section("corner", 60, radius_m=50, lean_deg=45)
    laps = lap_times(made, Circuit("", (corner, Section("straight", 200))), LapRules())
    radius = found.machine.radius
    leaned = radius - 0.09 * (1 - math.cos(math.radians(45)))
    gear = laps.peak_gear[0, 0]
    assert laps.peak_engine[0, 0] == pytest.approx(laps.peak[0, 0] * found.machine.overall[gear] / leaned, rel=1e-9)


def test_lap_of_a_public_circuit_as_a_trajectory_library_drives_it() -> None:
    """trajectory-planning-helpers 0.79 (LGPL-3.0) within the same limits; its figures stand in the table's head."""
    sections = tuple(
        Section(
            "corner" if row["kind"] == "corner" else "straight",
            float(row["length_m"]),
            radius_m=float(row["radius_m"]) or None,
            grip=9 / 9.80665,
        )
        for row in rows("velocity_profile_lap.csv")
    )
    found = lap_times(constant_thrust(900.0, 200.0), Circuit("", sections), UPRIGHT)
    # Its error falls with the step: half the step, half the error, so the last two steps lead to step 0.
    at_step_0 = 150.87477 - (150.89722 - 150.87477)
    assert found.time[0] == pytest.approx(at_step_0, rel=2e-4)
    assert found.peak.max() == pytest.approx(89.9666 + (89.9666 - 89.9618), abs=0.01)
