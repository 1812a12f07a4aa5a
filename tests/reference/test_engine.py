"""Correction to standard air and the assumed shape, against formulas of the standards, steam tables and scipy."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.interpolate import CubicHermiteSpline

from gearplan.bike.demo import demo_bike
from gearplan.bike.profile import Engine
from gearplan.bike.text.units import RPM
from gearplan.drive.engine.powercorrection import correction_factor, saturation_pressure
from gearplan.drive.engine.shape import assumed_shape
from gearplan.plan.driveset import fitted
from gearplan.plan.findings import Finding
from gearplan.plan.pull.pull import pull
from gearplan.setup.torque import EngineTorque, engine_torque

# ISO 1585 (99/p)^1.2·(T/298)^0.6, SAE J1349 1.18·(99/p)·(T/298)^0.5 − 0.18, DIN 70020 (101.3/p)·(T/293)^0.5, kPa and K;
# formulas from memory of the standards, figures worked by hand from them.
WORKED = [
    (99.0, 298.0, {"ISO 1585": 1.00000, "SAE J1349": 1.00000, "DIN 70020": 1.03193}),
    (101.325, 288.15, {"ISO 1585": 0.95311, "SAE J1349": 0.95371, "DIN 70020": 0.99144}),
    (95.0, 303.0, {"ISO 1585": 1.06128, "SAE J1349": 1.05996, "DIN 70020": 1.08436}),
]


@pytest.mark.parametrize(("kpa", "kelvin", "expected"), WORKED)
def test_correction_factors(kpa: float, kelvin: float, expected: dict[str, float]) -> None:
    for standard, factor in expected.items():
        assert correction_factor(standard, kpa * 1e3, kelvin) == pytest.approx(factor, abs=6e-6)


@pytest.mark.parametrize(("celsius", "kpa"), [(10, 1.2276), (20, 2.339), (25, 3.169), (30, 4.246), (40, 7.384)])
def test_saturated_vapour_of_steam_tables(celsius: float, kpa: float) -> None:
    """Steam tables as printed in textbooks of thermodynamics (IAPWS): kPa."""
    assert saturation_pressure(celsius + 273.15) / 1e3 == pytest.approx(kpa, rel=3e-3)


def test_humid_air_holds_less_to_burn() -> None:
    dry = correction_factor("ISO 1585", 99e3, 298)
    humid = correction_factor("ISO 1585", 99e3, 298, 0.5)
    assert humid / dry == pytest.approx((99 / (99 - 0.5 * 3.169)) ** 1.2, rel=3e-4)


def test_between_the_peaks_the_shape_is_the_cubic_of_scipy() -> None:
    torque, torque_at, power, power_at = 60.0, 600.0, 52e3, 1000.0
    at_power = power / power_at
    speeds, torques = assumed_shape(torque, torque_at, power, power_at, 1100.0)
    inside = (speeds > torque_at) & (speeds < power_at)
    cubic = CubicHermiteSpline([torque_at, power_at], [torque, at_power], [0.0, max(-0.052, 3 * (52 - 60) / 400)])
    assert inside.sum() > 5
    np.testing.assert_allclose(torques[inside], np.minimum(cubic(speeds[inside]), power / speeds[inside]), rtol=1e-12)


@given(
    st.floats(5, 300), st.floats(200, 1500), st.just(1.0) | st.floats(1.01, 2.5), st.floats(0, 1), st.floats(0.8, 1.4)
)
def test_the_shape_keeps_both_peaks(torque: float, torque_at: float, spread: float, share: float, ends: float) -> None:
    power_at = torque_at * spread
    low, high = torque * torque_at, torque * power_at
    power = low + share * (high - low)
    assume(power > 0)
    n, t = assumed_shape(torque, torque_at, power, power_at, ends * power_at)
    assert (np.diff(n) > 0).all()
    assert t.max() == pytest.approx(torque)
    assert t[np.argmin(abs(n - torque_at))] == pytest.approx(torque)
    assert (t * n).max() <= power * (1 + 1e-9)
    if power_at > torque_at:
        k = np.argmin(abs(n - power_at))
        assert t[k] * n[k] == pytest.approx(power)


def test_a_bike_with_peaks_alone_comes_near_the_one_with_its_curve() -> None:
    bike = demo_bike().bike
    curve = bike.engine.torque
    assert curve is not None
    top = max(curve, key=lambda p: p[1])
    strong = max(curve, key=lambda p: p[0] * p[1])
    peaks = replace(
        bike.engine,
        torque=None,
        peak_torque_nm=top[1],
        peak_torque_rpm=top[0],
        peak_power_kw=strong[0] * RPM * strong[1] / 1e3,
        peak_power_rpm=strong[0],
    )
    real, assumed = (pull(b, fitted(b)) for b in (bike, replace(bike, engine=peaks)))
    assert not isinstance(real, Finding)
    assert not isinstance(assumed, Finding)
    assert "the torque curve's shape, from its peaks" in [one.text for one in assumed.assumed]
    assert assumed.top is not None
    assert real.top is not None
    assert assumed.top.speed == pytest.approx(real.top.speed, rel=0.02)


def test_what_is_missing_of_the_peaks_is_named() -> None:
    nothing = engine_torque(Engine())
    assert not isinstance(nothing, EngineTorque)
    assert [path for path, _ in nothing] == ["engine.torque"]
    begun = engine_torque(Engine(peak_torque_nm=60.0, peak_torque_rpm=7000.0))
    assert not isinstance(begun, EngineTorque)
    assert [path for path, _ in begun] == ["engine.peak_power_kw", "engine.peak_power_rpm"]


def test_a_correction_scales_the_torque_and_says_when_it_cannot() -> None:
    e = Engine(torque=((2000.0, 40.0), (9000.0, 60.0)), torque_at="wheel", limiter_rpm=9000, correction="DIN 70020")
    found = engine_torque(e)
    assert isinstance(found, EngineTorque)
    assert found.factor == 1
    assert "uncorrected" in found.assumed[0].text
    found = engine_torque(replace(e, tested_pressure_hpa=950.0, tested_temperature_c=29.85))
    assert isinstance(found, EngineTorque)
    assert found.points[1][1] == pytest.approx(60 * 1.08436, rel=1e-5)
    assert "beyond the 0.93 to 1.07" in found.assumed[0].text
