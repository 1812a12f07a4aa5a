"""Tension, limits of the tyre, elongation and its forecast, chain sizes."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import stats

from gearplan.bike.library import chain_sizes
from gearplan.drive.chain import tension, wear
from gearplan.drive.motion import force
from gearplan.drive.sprocket import pitch_radius
from tests.reference.tables import rows


def test_front_lift_by_acceleration_and_by_force() -> None:
    """h 0.65, b 0.70 (and w 1.40): the front lifts at g·b/h = 10.561 m/s² (Cossalter's relation, from memory)."""
    assert force.lift_limit(1.0, 0.70, 0.65) == pytest.approx(10.561, abs=5e-4)


def test_grip_limit_balances_the_axles() -> None:
    """At the limit μ times the rear load, with the load transfer m·a·h/w, is the thrust itself."""
    mass, ahead, height, wheelbase, grip = 268.0, 0.69, 0.61, 1.415, 1.1
    found = float(force.grip_limit(mass, ahead, height, wheelbase, grip))
    rear_load = mass * 9.80665 * (wheelbase - ahead) / wheelbase + found * height / wheelbase
    assert found == pytest.approx(grip * rear_load)
    assert force.grip_limit(mass, ahead, 1.4, 1.2, 1.1) == math.inf


def test_tension_of_a_textbook_drive() -> None:
    """Jindal, Machine Design, example 30-3: 2557.8 W at 3.332 m/s is 767.6 N; 10700 N over that is 13.94."""
    thrust = 2557.8 / 3.332
    pull = tension.chain_tension(thrust * pitch_radius(42, 9.52) / 0.3, 0.3, 42, 9.52)
    assert pull == pytest.approx(767.6, abs=0.1)
    assert 10700 / pull == pytest.approx(13.94, abs=0.005)


def test_centrifugal_tension() -> None:
    """1.5 kg/m at 30 m/s is 1350 N (handbook formula q·v²)."""
    assert tension.centrifugal_tension(1.5, 30.0) == pytest.approx(1350)


def test_elongation_of_an_owner_s_manual() -> None:
    """20 links of a 5/8 inch chain are 317.5 mm new and 323 mm at a limit of 1.7 % (an owner's manual)."""
    assert wear.elongation(0.3175, 20, 0.015875) == pytest.approx(0, abs=1e-12)
    assert wear.elongation(0.323, 20, 0.015875) == pytest.approx(0.017, abs=4e-4)
    assert wear.elongation(0.254, 20, 0.0127) == pytest.approx(0, abs=1e-12)


def test_forecast_against_scipy() -> None:
    """scipy.stats.linregress for the line; the range's ends lie where its 95 % band meets the limit."""
    x = np.array([12400.0, 15100, 18300, 20100, 23000])
    y = np.array([0.0022, 0.0044, 0.0073, 0.0085, 0.0114])
    found = wear.forecast(x, y, 0.017)
    line = stats.linregress(x, y)
    assert found is not None
    assert found.due is not None
    assert found.earliest is not None
    assert found.latest is not None
    assert found.per_distance == pytest.approx(line.slope)
    assert found.due == pytest.approx((0.017 - line.intercept) / line.slope)
    scatter = math.sqrt(((y - line.intercept - line.slope * x) ** 2).sum() / 3)
    for end, sign in ((found.earliest, 1), (found.latest, -1)):
        d = end - x.mean()
        half = stats.t.ppf(0.975, 3) * scatter * math.sqrt(1 / 5 + d**2 / ((x - x.mean()) ** 2).sum())
        assert line.intercept + line.slope * end + sign * half == pytest.approx(0.017, abs=2e-6)
    assert found.earliest < found.due < found.latest


def test_the_table_of_students_t_is_that_of_scipy() -> None:
    for freedom, factor in enumerate(wear._T_95, 1):
        assert factor == pytest.approx(stats.t.ppf(0.975, freedom), abs=6e-4)


def test_forecast_without_enough_to_go_on() -> None:
    assert wear.forecast(np.array([1000.0, 1000.0]), np.array([0.001, 0.002]), 0.02) is None
    two = wear.forecast(np.array([1000.0, 2000.0]), np.array([0.001, 0.002]), 0.02)
    assert two is not None
    assert (two.due, two.earliest) == (pytest.approx(20000), None)
    shrinking = wear.forecast(np.array([1000.0, 2000.0, 3000.0]), np.array([0.003, 0.002, 0.001]), 0.02)
    assert shrinking is not None
    assert shrinking.due is None


def test_the_quantiles_are_student_s() -> None:
    for freedom, value in enumerate(wear._T_95, 1):
        assert value == pytest.approx(stats.t.ppf(0.975, freedom), abs=6e-4)


@pytest.mark.parametrize(("teeth", "links"), [(15, 112), (16, 112), (46, 112), (45, 112), (14, 112)])
def test_meeting_again_by_counting(teeth: int, links: int) -> None:
    """Count: after n turns of the sprocket the chain has gone n·teeth links; when is that whole rounds again?"""
    turns = next(n for n in range(1, 1000) if n * teeth % links == 0)
    assert wear.turns_to_meet_again(teeth, links) == turns


def test_chain_sizes_against_the_industrial_standard() -> None:
    """ASME B29.1 numbers 40, 50, 60 share pitch with 4xx, 5xx, 6xx, and 520…530 and 630 the roller with 50 and 60."""
    published = {row["chain_no"]: row for row in rows("chain_asme_b29_1.csv")}
    sizes = chain_sizes()
    for size, number in (("420", "40"), ("520", "50"), ("525", "50"), ("530", "50"), ("630", "60")):
        assert sizes[size].pitch_mm == pytest.approx(25.4 * float(published[number]["pitch_in"]))
    for size, number in (("520", "50"), ("525", "50"), ("530", "50"), ("630", "60")):
        roller = sizes[size].roller_mm
        assert roller == pytest.approx(25.4 * float(published[number]["max_roller_dia_in"]), abs=0.03)
    width = sizes["530"].inner_width_mm
    assert width == pytest.approx(25.4 * float(published["50"]["width_in"]), abs=0.02)
    strength = sizes["530"].tensile_kn
    assert strength is not None
    assert strength * 1e3 > 4.448222 * float(published["50"]["min_ultimate_tensile_lbf"])


def test_the_size_code_gives_the_inner_width() -> None:
    """First digit: pitch in 1/8 inch; last two: width in 1/80 inch. It does not hold for 428 and 532."""
    for name, size in chain_sizes().items():
        if name in ("219", "25H", "428", "532", "632"):
            continue
        assert size.pitch_mm == pytest.approx(int(name[0]) * 25.4 / 8)
        assert size.inner_width_mm == pytest.approx(int(name[1:]) * 25.4 / 80, abs=0.15)


def test_widths_over_pins_of_the_trade_are_plausible() -> None:
    """Measured samples 530: 22.36, 525: 21.08, 520: 17.55 mm: common practice, no source.

    Over the pins a chain is its inner width and four plates and the rivets, 9 to 14 mm more.
    """
    for name, over in (("530", 22.36), ("525", 21.08), ("520", 17.55)):
        width = chain_sizes()[name].inner_width_mm
        assert width is not None
        assert 9 < over - width < 14


def test_every_value_of_the_table_names_where_it_comes_from() -> None:
    for size in chain_sizes().values():
        for quantity, source in size.sources.items():
            assert source.strip(), (size.size, quantity)
            assert getattr(size, quantity) is not None
