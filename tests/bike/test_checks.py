"""What is refused, and what is only pointed out."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given

from gearplan.bike import checks, profile
from gearplan.bike.demo import demo_bike
from gearplan.bike.library import demo_bikes
from gearplan.bike.profile import SECTIONS, Bike, Chassis, Engine, FinalDrive, Gearbox, with_value
from tests.bike.strategies import bikes


@pytest.mark.parametrize(
    ("section", "key", "value", "says"),
    [
        ("engine", "redline_rpm", 200000, "1000–30000 rpm"),
        ("engine", "redline_rpm", -1, "for example 10500"),
        ("engine", "redline_rpm", float("nan"), "not a number"),
        ("engine", "redline_rpm", float("inf"), "not a number"),
        ("engine", "redline_rpm", True, "must be a number"),
        ("engine", "redline_rpm", "fast", "must be a number"),
        ("final_drive", "front", 15.5, "whole number"),
        ("final_drive", "front", 8, "9–60"),
        ("final_drive", "chain", "530X", "did you mean “530”"),
        ("final_drive", "chain", 520, "in quotes"),
        ("tyre", "size", "180-55", "such as 180/55"),
        ("tyre", "size", 180, "in quotes"),
        ("gearbox", "primary", (43, 4), "can't be right"),
        ("gearbox", "primary", (43,), "two counts"),
        ("gearbox", "primary", (43, 75.5), "whole number"),
        ("gearbox", "primary", 0, "0.2–10"),
        ("gearbox", "gears", ((13, 32), (16, 300)), "gear 2"),
        ("gearbox", "gears", 5, "list of gears"),
        ("gearbox", "gears", ((13, 32),) * 9, "at most 8"),
        ("chassis", "axle_range_mm", (558, 5), "back"),
        ("chassis", "axle_range_mm", (558,), "two numbers"),
        ("engine", "torque", ((2000, -4),), "point 1"),
        ("engine", "torque", ((2000,),), "point 1"),
        ("speedometer", "sensor", "gearbox", "is not one of"),
    ],
)
def test_one_value_is_refused_in_words(section: str, key: str, value: object, says: str) -> None:
    refusal = checks.check_value(section, key, value)
    assert refusal is not None
    assert says in refusal


def test_nothing_entered_is_always_right() -> None:
    for section in SECTIONS:
        for key, _ in profile.entries(section):
            assert checks.check_value(section, key, None) is None


@given(bikes())
def test_every_generated_value_passes(bike: Bike) -> None:
    for section in SECTIONS:
        for key, _ in profile.entries(section):
            assert checks.check_value(section, key, profile.value(bike, section, key)) is None


def _peaks(torque: float | None, torque_at: float | None, power: float | None, power_at: float | None) -> Bike:
    engine = Engine(peak_torque_nm=torque, peak_torque_rpm=torque_at, peak_power_kw=power, peak_power_rpm=power_at)
    return Bike(engine=engine)


@pytest.mark.parametrize(
    ("bike", "place", "says"),
    [
        (Bike(engine=Engine(idle_rpm=5000, redline_rpm=4000)), "engine.idle_rpm", "below the redline"),
        (Bike(engine=Engine(redline_rpm=9000, limiter_rpm=8000)), "engine.limiter_rpm", "must not lie below"),
        (Bike(engine=Engine(redline_rpm=9000, launch_rpm=9500)), "engine.launch_rpm", "must not lie above"),
        (Bike(engine=Engine(torque=((4000, 50), (3000, 40)))), "engine.torque", "sort the points"),
        (Bike(gearbox=Gearbox(gears=(2.0, 2.5))), "gearbox.gears", "smaller ratio"),
        (Bike(chassis=Chassis(axle_range_mm=(594, 558))), "chassis.axle_range_mm", "swapped"),
        # 64 N·m at 7000 rpm are 64 · 7000 · 2π/60 = 46.9 kW, whatever else is entered; 70 kW at 9000 rpm are 74.3 N·m.
        (_peaks(64, 7000, 40, None), "engine.peak_power_kw", "less than the 46.9 kW that 64 N·m at 7000 rpm"),
        (_peaks(64, 7000, 40, 9000), "engine.peak_power_kw", "less than the 46.9 kW"),
        (_peaks(64, 7000, 70, 9000), "engine.peak_power_kw", "needs 74.3 N·m there, more than the peak torque of 64"),
        (_peaks(64, None, 70, 9000), "engine.peak_power_kw", "needs 74.3 N·m there"),
        (_peaks(None, 9000, None, 7000), "engine.peak_torque_rpm", "must not come after peak power at 7000 rpm"),
        (Bike(chassis=Chassis(axle_range_mm=(558, 594), axle_now_mm=600)), "chassis.axle_now_mm", "outside"),
        (Bike(final_drive=FinalDrive(links=113)), "final_drive.links", "odd"),
    ],
)
def test_a_contradiction_is_told_at_its_field(bike: Bike, place: str, says: str) -> None:
    [problem] = checks.check_bike(bike)
    assert f"{problem.section}.{problem.key}" == place
    assert says in problem.text


def test_unfinished_profiles_contradict_nothing() -> None:
    assert checks.check_bike(Bike()) == ()
    half = Bike(gearbox=Gearbox(gears=(2.0, None, (17, None))), chassis=Chassis(axle_range_mm=(558, None)))
    assert checks.check_bike(half) == ()


@pytest.mark.parametrize("name", demo_bikes())
def test_demo_bikes_are_finished_and_sound(name: str) -> None:
    bike = demo_bike(name).bike
    assert bike.name == name
    assert checks.check_bike(bike) == ()
    assert demo_bike(name).notices == ()
    assert replace(bike.final_drive, chain=None) != bike.final_drive


def test_the_demo_bikes_are_of_different_kinds() -> None:
    found = [demo_bike(name).bike for name in demo_bikes()]
    assert {"428", "520", "525"} <= {bike.final_drive.chain for bike in found}
    assert len(found) >= 3


@pytest.mark.parametrize("value", [10**400, -(10**400), 10**6000, 1e300], ids=["large", "negative", "larger", "float"])
@pytest.mark.parametrize("place", [("final_drive", "links"), ("chassis", "wheelbase_mm"), ("gearbox", "primary")])
def test_a_number_too_large_to_compute_with_is_refused(place: tuple[str, str], value: float) -> None:
    told = checks.check_value(*place, value)
    assert told is not None
    assert len(told) < 120


def test_a_tooth_count_too_large_to_compute_with_is_refused() -> None:
    assert "so large a number can't be right" in str(checks.check_value("gearbox", "primary", (10**400, 40)))
    assert "so large a number can't be right" in str(checks.check_value("wear", "readings", ((10**6000, 1.0),)))


def test_bikes_that_are_equal_are_found_by_each_other() -> None:
    """Results are kept by bike: the hash goes with the value, and a changed bike does not take the old one's."""
    one, twin = (replace(demo_bike().bike, name="one") for _ in range(2))
    assert len({one, twin}) == 1
    changed = with_value(one, "tyre", "grip", 0.77)
    assert changed not in {one: 1}
    assert hash(with_value(changed, "tyre", "grip", one.tyre.grip)) == hash(one)
