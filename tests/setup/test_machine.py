"""The machine of one set and of many, and the limits of the thrust, by hand."""

from __future__ import annotations

import math
from dataclasses import astuple, replace

import numpy as np
import pytest

from gearplan.bike.demo import demo_bike
from gearplan.bike.profile import Bike, Engine, Load, with_value
from gearplan.setup.limits import TyreLimits, all_up_mass, tyre_limits
from gearplan.setup.machine import Basis, Power, basis, machine, machines, power, thrust_limits, with_mass

BRINDLE = demo_bike("Brindle 650").bike
G = 9.80665
#: 200 kg, centre of mass 0.7 m ahead and 0.6 m up, wheelbase 1.4 m, grip 1.0.
BY_HAND = TyreLimits(200.0, 0.7, 0.6, 1.4, 1.0)


def known(bike: Bike) -> Basis:
    found = basis(bike)
    assert isinstance(found, Basis)
    return found


def test_limits_worked_with_a_pocket_calculator() -> None:
    """Lift 200·g·0.7/0.6 = 2288.2 N; grip 200·g·(0.7/1.4)/(1 − 0.6/1.4) = 1716.2 N; half the grip 624.1 N."""
    assert float(BY_HAND.lift()) == pytest.approx(2288.2, abs=0.05)
    assert float(BY_HAND.grip()) == pytest.approx(1716.2, abs=0.05)
    assert float(BY_HAND.grip(part=0.5)) == pytest.approx(624.1, abs=0.05)


def test_the_axle_moved_back_moves_both_limits() -> None:
    """10 mm back: lift 200·g·0.71/0.6 = 2320.9 N; grip 200·g·(0.7/1.41)/(1 − 0.6/1.41) = 1695.0 N."""
    assert float(BY_HAND.lift(0.01)) == pytest.approx(2320.9, abs=0.05)
    assert float(BY_HAND.grip(0.01)) == pytest.approx(1695.0, abs=0.05)
    assert float(BY_HAND.lift(math.nan)) == float(BY_HAND.lift())
    assert float(BY_HAND.grip(math.nan)) == float(BY_HAND.grip())


def test_a_slope_lessens_both_limits_by_its_cosine() -> None:
    lift, grip = thrust_limits(BY_HAND, 0.0, math.radians(20))
    assert float(lift) == pytest.approx(2288.2 * 0.93969, abs=0.1)
    assert float(grip) == pytest.approx(1716.2 * 0.93969, abs=0.1)
    on = known(BRINDLE)
    level, steep = (machine(on, (10.0, 5.0), 0.31, 0.0, slope) for slope in (0.0, math.radians(20)))
    assert steep.lift == pytest.approx(level.lift * math.cos(math.radians(20)))
    assert steep.grip == pytest.approx(level.grip * math.cos(math.radians(20)))


def test_where_nothing_is_said_the_road_is_level_and_still_and_the_axle_stays() -> None:
    on = known(BRINDLE)
    assert on.limits is not None
    assert on.road() == on.road(0.0, 0.0)
    assert (on.road(0.1, 2.0).slope, on.road(0.1, 2.0).wind) == (0.1, 2.0)
    by_hand = (float(BY_HAND.lift()), float(BY_HAND.grip()))
    assert tuple(map(float, thrust_limits(BY_HAND))) == pytest.approx(by_hand)
    one = machine(on, (10.0, 5.0), 0.31)
    assert (one.lift, one.grip) == pytest.approx((float(on.limits.lift()), float(on.limits.grip())))
    # Air at 20 °C and sea level: 101325/(287.05 · 293.15) kg/m³; drag area and rolling as entered.
    assert on.road().density == pytest.approx(1.2041, abs=1e-4)
    assert (on.road().mass, on.road().drag_area, on.road().rolling) == (268.0, 0.40, 0.018)


def test_unknown_limits_are_infinite_for_every_set() -> None:
    lift, grip = thrust_limits(None, np.zeros(3))
    assert np.isinf(lift).all()
    assert np.isinf(grip).all()
    assert lift.shape == grip.shape == (3,)


@pytest.mark.parametrize(
    ("section", "key"),
    [
        ("load", "bike_kg"),
        ("chassis", "com_height_mm"),
        ("chassis", "com_ahead_of_rear_axle_mm"),
        ("chassis", "wheelbase_mm"),
    ],
)
def test_limits_need_weight_centre_of_mass_and_wheelbase(section: str, key: str) -> None:
    found = tyre_limits(BRINDLE)
    assert found is not None
    assert astuple(found)[:-1] == pytest.approx((268.0, 0.69, 0.61, 1.415, 1.1))
    assert found.assumed == ()
    assert tyre_limits(with_value(BRINDLE, section, key, None)) is None


def test_the_rider_is_assumed_but_never_the_motorcycle() -> None:
    assert all_up_mass(Bike()) is None
    found = all_up_mass(Bike(load=Load(bike_kg=100)))
    assert found is not None
    assert found.value == 180
    assert [one.text for one in found.assumed] == ["Rider with gear 80 kg"]
    light = all_up_mass(Bike(load=Load(bike_kg=100, rider_kg=0)))
    assert light is not None
    assert (light.value, light.assumed) == (100, ())


def test_mass_takes_its_limits_with_it() -> None:
    one = machine(known(BRINDLE), (10.0, 5.0), 0.31)
    heavier = with_mass(one, 1.05)
    own = machine(known(with_value(BRINDLE, "load", "bike_kg", 188 + 0.05 * 268)), (10.0, 5.0), 0.31)
    assert (heavier.mass, heavier.lift, heavier.grip) == pytest.approx((own.mass, own.lift, own.grip))
    assert replace(heavier, mass=one.mass, lift=one.lift, grip=one.grip) == one


def test_one_and_many_are_the_same_machine() -> None:
    on = known(with_value(BRINDLE, "tyre", "growth_per_mps2", 2e-6))
    overall, radius = np.array([[12.0, 8.0, 5.0], [11.0, 7.0, 4.5]]), np.array([0.31, 0.30])
    moved = np.array([0.004, -0.002])
    many = machines(on, overall / radius[:, None], radius, np.array([0.08, 0.08]), moved)
    for k in range(2):
        one = machine(on, tuple(overall[k].tolist()), float(radius[k]), float(moved[k]))
        assert (many.lift[k], many.grip[k]) == pytest.approx((one.lift, one.grip))
        assert many.gear_mass[k] == pytest.approx([one.equivalent_mass(gear) for gear in range(3)])
        assert many.own_mass[k] == pytest.approx(one.equivalent_mass(None))
        assert many.growth == one.growth == 2e-6
    less = machines(on, overall / radius[:, None], radius, np.array([0.08, 0.08]), moved, 0.9)
    assert less.friction == pytest.approx(0.9 * many.friction)
    assert (less.grip < many.grip).all()
    assert less.lift.tolist() == many.lift.tolist()


def test_the_peak_of_the_torque_within_reach() -> None:
    """The most lies at a point, at the launch speed or at the limiter; nothing counts beyond the limiter."""
    engine = Engine(redline_rpm=8000, torque=((2000, 50.0), (4000, 30.0), (12000, 90.0)), torque_at="crank")
    found = power(Bike(engine=engine))
    assert isinstance(found, Power)
    rpm = math.tau / 60
    assert found.peak_torque() == pytest.approx(60.0)
    lower = power(Bike(engine=replace(engine, redline_rpm=5000)))
    assert isinstance(lower, Power)
    assert lower.peak_torque() == pytest.approx(50.0)
    assert lower.peak_torque(2000 * rpm) == pytest.approx(50.0)
    assert lower.peak_torque(3000 * rpm) == pytest.approx(40.0)
    assert lower.peak_torque(4500 * rpm) == pytest.approx(37.5)
    assert lower.peak_torque(9000 * rpm) == pytest.approx(37.5)


def test_losses_are_taken_once() -> None:
    """Measured at the wheel they are in the curve already."""
    engine = Engine(redline_rpm=8000, torque=((2000, 50.0), (8000, 50.0)), torque_at="wheel", efficiency=0.9)
    wheel, crank = power(Bike(engine=engine)), power(Bike(engine=replace(engine, torque_at="crank")))
    assert isinstance(wheel, Power)
    assert isinstance(crank, Power)
    assert (wheel.efficiency, crank.efficiency) == (1.0, 0.9)


def test_what_is_missing_is_named() -> None:
    assert basis(Bike()) == (
        ("engine.torque", "the torque curve (or peak torque and peak power, each with its engine speed)"),
        ("engine.redline_rpm", "the redline"),
        ("load.bike_kg", "the motorcycle's weight"),
    )
    assert basis(replace(BRINDLE, load=Load())) == (("load.bike_kg", "the motorcycle's weight"),)
