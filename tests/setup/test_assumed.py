"""What is taken for a missing entry: every one inside its band and its entry's bounds, with a reason."""

from __future__ import annotations

import ast
import math
from dataclasses import replace
from pathlib import Path

import pytest

import gearplan
from gearplan.bike.demo import demo_bike
from gearplan.bike.entries import Entry
from gearplan.bike.library import demo_bikes
from gearplan.bike.profile import SECTIONS, Bike, Engine, entries, entry, with_value
from gearplan.bike.text.units import KMH
from gearplan.plan.driveset import fitted
from gearplan.plan.pull.pull import Pull, pull
from gearplan.setup import assumed
from gearplan.setup.air import air_of_the_day
from gearplan.setup.assumed import Assumed
from gearplan.setup.machine import Basis, basis

#: What the trade takes, and its usual range: written out a second time, so that nobody moves one unawares.
TAKEN = {
    ("engine", "shift_time_s"): (0.15, 0.05, 0.30),
    ("engine", "efficiency"): (0.93, 0.88, 0.96),
    ("engine", "tested_humidity_percent"): (0.0, 0.0, 100.0),
    ("tyre", "rolling_factor"): (0.97, 0.95, 0.99),
    ("tyre", "grip"): (1.1, 0.8, 1.3),
    ("tyre", "growth_per_mps2"): (0.0, 0.0, 3e-6),
    ("load", "rider_kg"): (80.0, 60.0, 110.0),
    ("load", "drag_area_m2"): (0.45, 0.30, 0.70),
    ("load", "rolling_coefficient"): (0.02, 0.012, 0.030),
    ("load", "wheel_inertia_kg_m2"): (1.0, 0.5, 1.6),
    ("load", "braking_mps2"): (9.0, 6.0, 10.5),
    ("conditions", "altitude_m"): (0.0, 0.0, 1500.0),
    ("speedometer", "distance_over_true"): (1.0, 0.97, 1.03),
    ("service", "press_tolerance_mm"): (0.1, 0.05, 0.15),
    ("service", "alignment_mm"): (1.0, 0.5, 2.0),
}
USUAL = [(section, key) for section in SECTIONS for key, _ in entries(section) if assumed.usual(section, key)]


def pulled(bike: Bike) -> Pull:
    found = pull(bike, fitted(bike))
    assert isinstance(found, Pull)
    return found


@pytest.mark.parametrize(("section", "key"), USUAL)
def test_every_usual_value_lies_in_its_band_and_its_entry(section: str, key: str) -> None:
    taken, what = assumed.usual(section, key), entry(section, key)
    assert taken is not None
    assert taken.value is not None
    assert taken.low is not None
    assert taken.high is not None
    assert what.low <= taken.low <= taken.value <= taken.high <= what.high
    assert (taken.value, taken.low, taken.high) == TAKEN[section, key]
    assert taken.low < taken.high
    assert taken.reason == "common practice, no source"
    assert taken.field == f"{section}.{key}"
    assert taken.label == what.label
    assert taken.text.startswith(what.label)


@pytest.mark.parametrize(("section", "key"), USUAL)
def test_what_is_entered_is_never_assumed(section: str, key: str) -> None:
    other = entry(section, key).high
    assert assumed.known(with_value(Bike(), section, key, other), section, key) == assumed.Known(other)
    found = assumed.known(Bike(), section, key)
    assert found.assumed == assumed.usual(section, key)
    assert found.value == (found.assumed or Assumed("", "")).value


def test_a_field_that_nobody_assumes_is_refused() -> None:
    assert assumed.usual("engine", "redline_rpm") is None
    with pytest.raises(KeyError):
        assumed.known(Bike(), "load", "bike_kg")


def test_values_that_stand_in_for_what_hangs_on_the_bike() -> None:
    """A usual rear tyre of 17 inches rolls just under two metres; half of a usual travel is some ten degrees."""
    assert assumed.circumference().value == 1950
    assert assumed.travel().value == 10


@pytest.mark.parametrize("found", [assumed.circumference(), assumed.travel(), assumed.temperature(15.0)])
def test_what_is_only_a_beginning_has_a_band_too(found: assumed.Known) -> None:
    taken = found.assumed
    assert taken is not None
    assert taken.value == found.value
    assert taken.low is not None
    assert taken.high is not None
    assert taken.low < found.value < taken.high


def test_no_entry_carries_an_assumed_value_of_its_own() -> None:
    assert "assumed" not in Entry.__slots__


#: Fields for which something is assumed, by key.
KEYS = {key for _, key in USUAL} | {"launch_rpm", "inertia_kg_m2", "crown_radius_mm", "temperature_c"}


def test_no_other_room_fills_in_for_what_is_missing() -> None:
    """`bike.load.rider_kg or 80`, and `80 if … is None`, belong to setup: elsewhere an entry is None or itself."""
    root = Path(gearplan.__file__).parent
    found = []
    for place in sorted(root.rglob("*.py")):
        if place.relative_to(root).parts[0] == "setup":
            continue
        for node in ast.walk(ast.parse(place.read_text(encoding="utf-8"))):
            if isinstance(node, ast.BoolOp) and isinstance(node.op, ast.Or):
                first = node.values[0]
                if isinstance(first, ast.Attribute) and first.attr in KEYS:
                    found.append(f"{place.relative_to(root)}:{node.lineno}")
            if isinstance(node, ast.IfExp) and isinstance(node.test, ast.Compare):
                asked, branches = node.test.left, (node.body, node.orelse)
                if isinstance(asked, ast.Attribute) and asked.attr in KEYS and any(map(_number, branches)):
                    found.append(f"{place.relative_to(root)}:{node.lineno}")
    assert not found


def _number(node: ast.expr) -> bool:
    return isinstance(node, ast.Constant) and isinstance(node.value, (int, float))


def test_the_launch_speed_is_a_share_of_the_limiter_and_says_so() -> None:
    bike = with_value(demo_bike("Brindle 650").bike, "engine", "launch_rpm", None)
    for limiter, rpm in ((10800.0, 4320.0), (None, 4200.0)):
        own = with_value(bike, "engine", "limiter_rpm", limiter)
        [told] = [one for one in pulled(own).assumed if one.field == "engine.launch_rpm"]
        assert told.value == pytest.approx(rpm)
        assert (told.low, told.high) == pytest.approx((rpm * 0.75, rpm * 1.5))
        assert told.text == f"Launch speed {rpm:.0f} rpm"
        assert "0.4 of the limiter, or of the redline where no limiter is entered" in told.reason
        assert pulled(own).machine.launch == pytest.approx(rpm * math.tau / 60)


def test_an_entered_launch_speed_beyond_the_limiter_counts_as_the_limiter() -> None:
    bike = with_value(demo_bike("Brindle 650").bike, "engine", "launch_rpm", 20000)
    assert pulled(bike).machine.launch == pulled(bike).machine.limiter


#: An invented engine of each class: peak torque (N·m), and between what its inertia may lie (kg·m²; common
#: experience, no source).
CLASSES = {
    "50 cc": (4.0, 0.0008, 0.004),
    "125": (11.0, 0.003, 0.009),
    "650": (64.0, 0.02, 0.05),
    "1000": (112.0, 0.03, 0.09),
}


@pytest.mark.parametrize("size", CLASSES)
def test_the_assumed_inertia_goes_with_the_engine(size: str) -> None:
    peak, low, high = CLASSES[size]
    found = assumed.inertia(Bike(), peak)
    assert low <= found.value <= high
    assert found.assumed is not None
    assert found.assumed.low is not None
    assert found.assumed.high is not None
    assert found.assumed.high >= 1.9 * found.value
    assert found.assumed.low <= 0.5 * found.value
    assert "no source" in found.assumed.reason
    assert (found.assumed.low, found.assumed.high) == pytest.approx((2e-4 * peak, 1e-3 * peak))
    assert assumed.inertia(Bike(engine=Engine(inertia_kg_m2=0.02)), peak) == assumed.Known(0.02)


def test_a_small_engine_is_not_held_back_by_a_big_one_s_flywheel() -> None:
    """A 50 cc moped of 155 kg all up, in first gear: 0.03 kg·m² made 1266 kg of it."""
    moped = demo_bike("Wren 125").bike
    torque = ((2500.0, 3.1), (6000.0, 4.0), (7500.0, 3.4))
    moped = replace(moped, engine=Engine(redline_rpm=7500, torque=torque, torque_at="crank"))
    moped = replace(moped, load=replace(moped.load, bike_kg=80, rider_kg=75))
    moped = with_value(with_value(moped, "gearbox", "primary", 3.8), "final_drive", "rear", 52)
    machine = pulled(moped).machine
    assert 155 < machine.equivalent_mass(0) < 260


def test_the_125_without_its_inertia_is_nearly_as_quick_as_with_it() -> None:
    """It took 9.7 s to 60 km/h for 6.8 s, with 0.03 kg·m² for every engine."""
    bike = demo_bike("Wren 125").bike
    known, left_out = (pulled(b) for b in (bike, with_value(bike, "engine", "inertia_kg_m2", None)))
    one, other = (p.run.time_to_speed(60 * KMH) for p in (known, left_out))
    assert one is not None
    assert other == pytest.approx(one, rel=0.05)
    assert left_out.shift_engine == pytest.approx(known.shift_engine, rel=0.02)


def test_air_at_the_entered_altitude_against_the_standard() -> None:
    """ISO 2533, geopotential: 1.2250 at 0 m, 1.1117 at 1000 m, 1.0065 at 2000 m (kg/m³, printed table)."""
    for altitude, density in ((0, 1.2250), (1000, 1.1117), (2000, 1.0065)):
        air = air_of_the_day(with_value(Bike(), "conditions", "altitude_m", altitude))
        assert air.density == pytest.approx(density, rel=1e-4)
        assert [one.field for one in air.assumed] == ["conditions.temperature_c"]


def test_an_entered_pressure_wins_over_the_altitude() -> None:
    """p/(R·T) by hand: 95000/(287.05 · 303.15) = 1.0917 kg/m³."""
    bike = with_value(with_value(Bike(), "conditions", "pressure_hpa", 950), "conditions", "temperature_c", 30)
    air = air_of_the_day(with_value(bike, "conditions", "altitude_m", 3000))
    assert air.density == pytest.approx(1.0917, abs=1e-4)
    assert air.assumed == ()
    nothing = air_of_the_day(Bike())
    assert [one.text for one in nothing.assumed] == ["air at sea level", "temperature of the standard atmosphere"]


@pytest.mark.parametrize("name", demo_bikes())
def test_what_a_lap_assumes_besides_is_told_apart(name: str) -> None:
    bike = with_value(with_value(demo_bike(name).bike, "load", "braking_mps2", None), "tyre", "grip", None)
    on = basis(bike)
    assert isinstance(on, Basis)
    assert [one.field for one in on.lap_assumed] == ["load.braking_mps2", "tyre.grip"]
    assert "load.braking_mps2" not in [one.field for one in on.assumed]
    assert on.braking == 9.0
    assert on.friction == 1.1


def test_a_chain_is_scrapped_by_the_maker_s_limit_else_by_the_trade_s() -> None:
    sealed = with_value(Bike(), "service", "chain_sealed", "yes")
    assert assumed.worn_at(Bike()).value == 1.5
    assert assumed.worn_at(sealed).value == 1.0
    assert assumed.worn_at(with_value(sealed, "limits", "chain_elongation_percent", 2.5)) == assumed.Known(2.5)
