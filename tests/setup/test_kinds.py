"""What is no usual solo motorcycle with a clutch: electric motors, one gear, and outfits with a sidecar."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from pathlib import Path

import pytest

from gearplan.bike.circuit import Circuit, Section
from gearplan.bike.demo import demo_bike
from gearplan.bike.files.bikefile import bike_from_text, save_bike
from gearplan.bike.profile import Bike, with_value
from gearplan.bike.text.units import KMH
from gearplan.cli import run
from gearplan.plan.choices.search import search
from gearplan.plan.choices.space import default_space
from gearplan.plan.choices.wishtext import parse_wishes
from gearplan.plan.driveset import fitted
from gearplan.plan.laps.ranking import LapRanking, rank_laps
from gearplan.plan.pull.pull import Pull, pull
from gearplan.plan.pull.table import shift_rows
from gearplan.plan.set.compare import speed_lines
from gearplan.plan.set.evaluate import evaluate
from gearplan.setup.ratios import crown_radius

#: An invented electric motorcycle: one gear, no clutch, full torque from standstill.
ELECTRIC = """
format = 1
name = "Plover E"
[engine]
idle_rpm = 0
launch_rpm = 0
redline_rpm = 9000
torque_at = "crank"
torque = [[0, 90], [4000, 90], [9000, 45]]
[gearbox]
primary = 1.0
gears = [2.0]
[tyre]
size = "150/60-17"
[final_drive]
chain = "520"
front = 14
rear = 50
[load]
bike_kg = 160
rider_kg = 80
drag_area_m2 = 0.45
"""


def electric() -> Bike:
    return bike_from_text(ELECTRIC, "plover.bike.toml").bike


def pulled(bike: Bike) -> Pull:
    found = pull(bike, fitted(bike))
    assert isinstance(found, Pull)
    return found


def test_a_motor_without_clutch_pulls_from_standstill() -> None:
    """In closed form while torque is flat and drag small: a = (T·i·η/R − c_r·m·g)/m_e, so v = a·t."""
    found = pulled(electric())
    m = found.machine
    assert m.launch == 0
    assert "Launch" not in " ".join(one.text for one in found.assumed)
    overall, radius = 2.0 * 50 / 14, 0.97 * (17 * 25.4 + 2 * 150 * 0.6) / 2e3
    force = 90 * overall * 0.93 / radius - 0.02 * 240 * 9.80665
    # Inertia assumed by the torque, 90 · 5e-4 kg·m²; it turns from the first moment on, for nothing slips.
    mass = 240 + 1.0 / radius**2 + 0.045 * (overall / radius) ** 2
    assert found.run.time_to_speed(4.0) == pytest.approx(4.0 / (force / mass), rel=2e-3)


def test_a_motor_that_idles_at_0_is_taken_to_have_no_clutch() -> None:
    left_out = pulled(with_value(electric(), "engine", "launch_rpm", None))
    [told] = [one for one in left_out.assumed if one.field == "engine.launch_rpm"]
    assert (told.value, told.text) == (0.0, "Launch speed 0 rpm")
    assert "without a slipping clutch" in told.reason
    assert left_out.machine == pulled(electric()).machine


def test_one_gear_has_no_shifts_on_any_page() -> None:
    bike = electric()
    found = pulled(bike)
    assert found.shift_speeds == found.shift_engine == found.run.shifts == ()
    assert shift_rows(found, found) == ()
    assert found.top is not None
    assert found.top.gear == 0
    lines = speed_lines(bike, evaluate(bike, fitted(bike)))
    assert lines is not None
    assert lines.run_speed.tolist() == pytest.approx([0.0, float(lines.redline_speed[0])])
    assert evaluate(bike, fitted(bike)).strength.peak_tension is not None
    space = default_space(bike, fronts=(13, 15), rears=(46, 54))
    wishes = parse_wishes(("pull at least 3 % more", "start on 20 %"))[0]
    assert search(bike, wishes, space, most=5).ranked
    lap = rank_laps(bike, Circuit("a", (Section("straight", 400.0), Section("corner", 60.0, apex_kmh=50.0))), space)
    assert isinstance(lap, LapRanking)
    assert all(math.isfinite(time) and time > 0 for time in lap.time)
    assert all(lap.row(k).up_shifts == 0 for k in range(3))


def test_the_commands_answer_for_an_electric_motorcycle(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    place = tmp_path / "plover.bike.toml"
    save_bike(place, electric(), None)
    assert run(["numbers", str(place), "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)["proposed"]
    assert answer["shift_rpm"] == []
    assert answer["top_speed_gear"] == 1
    assert answer["time_0_100_s"] > 0
    assert run(["customer", str(place), "--rear", "54"]) == 0
    assert "In top gear at 110 km/h it pulls" in capsys.readouterr().out


def test_an_outfit_with_a_sidecar_does_not_lean() -> None:
    solo = demo_bike("Brindle 650").bike
    outfit = replace(solo, kind="sidecar")
    assert crown_radius(outfit).value == 0
    assert crown_radius(outfit, "190/50-17").value == 0
    assert crown_radius(outfit).assumed is None
    on = solo.final_drive
    space = default_space(solo, fronts=(on.front or 0, on.front or 0), rears=(on.rear or 0, on.rear or 0))
    corner = Section("corner", 80.0, radius_m=60.0, apex_kmh=75.0)
    circuit = Circuit("a", (Section("straight", 500.0), corner))
    engine = []
    for bike in (solo, outfit):
        found = rank_laps(bike, circuit, space)
        assert isinstance(found, LapRanking)
        engine.append(found.row(0).apex[0].rpm)
    # Upright at 75 km/h: n = v·i/R. Leaned by atan(v²/(g·r)) the radius is less by ρ·(1 − cos φ).
    result = evaluate(solo, fitted(solo))
    assert result.overall_ratio is not None
    assert result.rolling_radius is not None
    lean = math.atan((75 * KMH) ** 2 / (9.80665 * 60))
    less = 0.088 * (1 - math.cos(lean))
    assert engine[0] / engine[1] == pytest.approx(result.rolling_radius / (result.rolling_radius - less), rel=0.01)
