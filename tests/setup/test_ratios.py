"""Ratios, rolling circumference and crown of a bike as entered."""

from __future__ import annotations

import math

import pytest

from gearplan.bike.demo import demo_bike
from gearplan.bike.profile import Bike, with_value
from gearplan.setup import ratios

BRINDLE = demo_bike("Brindle 650").bike


def bike(**parts: object) -> Bike:
    made = Bike()
    for path, new in parts.items():
        section, key = path.split("__")
        made = with_value(made, section, key, new)
    return made


def test_ratios_wait_for_every_tooth() -> None:
    assert ratios.whole_ratio((13, 32)) == pytest.approx(32 / 13)
    assert ratios.whole_ratio((13, None)) is None
    assert ratios.whole_ratio(2.5) == 2.5
    assert ratios.gear_ratios(bike()) is None
    assert ratios.gear_ratios(bike(gearbox__gears=((13, 32), None))) is None
    assert ratios.gear_ratios(bike(gearbox__gears=((10, 30), 1.5))) == (3.0, 1.5)
    assert ratios.box_ratios(bike(gearbox__gears=(2.0, 1.0))) is None
    found = ratios.box_ratios(bike(gearbox__gears=(2.0, 1.0), gearbox__primary=(20, 60)))
    assert found is not None
    assert found.tolist() == [6.0, 3.0]
    assert ratios.final_ratio(15, None) is None
    assert ratios.final_ratio(15, 45) == 3.0


def test_the_circumference_as_measured_or_from_the_size() -> None:
    """180/55 ZR 17 by hand: π·(17·25.4 + 2·180·0.55)·0.97 = 1919.2 mm."""
    by_hand = math.pi * (17 * 25.4 + 2 * 180 * 0.55) / 1e3
    assert ratios.rolling(bike()) is None
    found = ratios.rolling(bike(tyre__size="180/55 ZR 17"))
    assert found is not None
    assert (found.by, found.factor) == ("size, assumed factor", 0.97)
    assert found.circumference == pytest.approx(0.97 * by_hand)
    assert found.assumed is not None
    found = ratios.rolling(bike(tyre__size="180/55 ZR 17", tyre__rolling_factor=0.96))
    assert found is not None
    assert (found.by, found.assumed) == ("size", None)
    assert found.circumference == pytest.approx(0.96 * by_hand)
    measured = bike(tyre__size="180/55 ZR 17", tyre__rolling_circumference_mm=1955)
    found = ratios.rolling(measured)
    assert found == ratios.Rolling(1.955, "measured")


def test_what_was_measured_belongs_to_the_tyre_in_the_profile() -> None:
    measured = bike(tyre__size="180/55 ZR 17", tyre__rolling_circumference_mm=1955)
    same, other = ratios.rolling(measured, "180/55-17"), ratios.rolling(measured, "190/50-17")
    assert same is not None
    assert same.by == "measured"
    assert other is not None
    assert (other.by, other.size) == ("size, assumed factor", "190/50-17")
    assert not ratios.other_tyre(measured, None)
    assert ratios.other_tyre(bike(), "190/50-17")


def test_the_crown_is_half_the_section_unless_entered() -> None:
    entered = bike(tyre__size="180/55 ZR 17", tyre__crown_radius_mm=88)
    assert ratios.crown_radius(entered).value == 88
    assert ratios.crown_radius(entered, "190/50-17").value == 95
    found = ratios.crown_radius(bike(tyre__size="180/55 ZR 17"))
    assert found.value == 90
    assert found.assumed is not None
    assert found.assumed.text == "Crown radius 90 mm, half the tyre's width"
    assert (found.assumed.low, found.assumed.high) == pytest.approx((72.0, 126.0))
    flat = ratios.crown_radius(bike(tyre__rolling_circumference_mm=1955))
    assert flat.value == 0
    assert flat.assumed is not None
    assert flat.assumed.text == "a tyre without a round crown"


def test_a_tyre_grows_only_if_it_is_said_to() -> None:
    assert ratios.growth(BRINDLE) == 0
    assert ratios.growth(bike(tyre__growth_per_mps2=3e-6)) == 3e-6
