"""The torque that everything computes with, and how it is told."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from gearplan.bike.profile import Engine
from gearplan.setup.torque import EngineTorque, engine_curves, engine_torque, engine_words

#: 60 N·m at 5000 rpm are 31.416 kW, 50 N·m at 9000 rpm 47.124 kW.
ENGINE = Engine(redline_rpm=9000, torque=((3000, 40.0), (5000, 60.0), (9000, 50.0)), torque_at="crank")


def known(engine: Engine) -> EngineTorque:
    found = engine_torque(engine)
    assert isinstance(found, EngineTorque)
    return found


def test_a_complete_curve_is_told_without_any_ado() -> None:
    assert engine_words(known(ENGINE)) == "Peak 60.0 N·m at 5000 rpm and 47.1 kW at 9000 rpm."
    assert known(ENGINE).factor == 1.0
    assert known(ENGINE).assumed == ()


def test_curves_are_straight_between_the_points() -> None:
    curves = engine_curves(known(ENGINE))
    assert curves.rpm[[0, -1]].tolist() == [3000, 9000]
    assert set(np.array(ENGINE.torque)[:, 0]) <= set(curves.rpm.tolist())
    assert len(curves.rpm) == 81
    assert np.interp(4000, curves.rpm, curves.torque) == pytest.approx(50.0)
    assert curves.power[-1] == pytest.approx(47.124, abs=1e-3)
    assert curves.power == pytest.approx(curves.torque * curves.rpm * 2 * np.pi / 60 / 1e3)


def test_a_correction_is_told_with_what_it_takes_for_granted() -> None:
    """Dry air at 950 hPa and 30 °C by DIN 70020: (1013.25/950)·√(303.15/293.15) = 1.0846."""
    tested = replace(ENGINE, correction="DIN 70020", tested_pressure_hpa=950, tested_temperature_c=30)
    assert "Corrected by 1.085." in engine_words(known(tested))
    humid = replace(tested, correction="ISO 1585", tested_pressure_hpa=985, tested_humidity_percent=60)
    assert [one.text for one in known(humid).assumed] == []
    dry = known(replace(humid, tested_humidity_percent=None))
    assert [one.text for one in dry.assumed] == ["dry air at the test"]
    assert dry.assumed[0].value == 0
    assert dry.factor < known(humid).factor
    assert dry.factor == pytest.approx(known(replace(humid, tested_humidity_percent=0)).factor)


@pytest.mark.parametrize("missing", ["tested_pressure_hpa", "tested_temperature_c"])
def test_a_correction_needs_pressure_and_temperature(missing: str) -> None:
    tested = replace(ENGINE, correction="DIN 70020", tested_pressure_hpa=950, tested_temperature_c=30)
    found = known(replace(tested, **{missing: None}))
    assert found.factor == 1.0
    assert [one.text for one in found.assumed] == [
        "torque uncorrected, for want of pressure and temperature at the test"
    ]


def test_points_in_any_order_and_twice_are_one_curve() -> None:
    mixed = replace(ENGINE, torque=((9000, 50.0), (3000, 40.0), (5000, 60.0), (5000, 60.0)))
    assert known(mixed).points == known(ENGINE).points


@pytest.mark.parametrize(("ends", "held"), [(8740, False), (8700, True)])
def test_a_curve_that_ends_early_is_said_to_be_held(ends: float, held: bool) -> None:
    short = known(replace(ENGINE, torque=((3000, 40.0), (ends, 50.0))))
    told = [one.text for one in short.assumed]
    assert told == ([f"torque held from {ends:.0f} rpm to the limiter"] if held else [])


def test_what_is_missing_is_told() -> None:
    enough = "the torque curve (or peak torque and peak power, each with its engine speed)"
    assert engine_words(engine_torque(Engine())) == f"Still missing: {enough}."
    begun = Engine(peak_torque_nm=60.0)
    assert engine_words(engine_torque(begun)) == (
        "Still missing: the engine speed of the peak torque, the peak power, the engine speed of the peak power."
    )


def test_peaks_that_contradict_each_other_give_no_torque() -> None:
    """64 N·m at 7000 rpm are 64 · 7000 · 2π/60 = 46.9 kW; 70 kW at 9000 rpm need 74.3 N·m."""
    for wrong, field in (
        (Engine(peak_torque_nm=64, peak_torque_rpm=7000, peak_power_kw=40, peak_power_rpm=9000), "peak_power_kw"),
        (Engine(peak_torque_nm=64, peak_torque_rpm=7000, peak_power_kw=70, peak_power_rpm=9000), "peak_power_kw"),
        (Engine(peak_torque_nm=64, peak_torque_rpm=9000, peak_power_kw=57, peak_power_rpm=7000), "peak_torque_rpm"),
    ):
        assert engine_torque(wrong) == ((f"engine.{field}", "peak torque and peak power that agree"),)
    right = Engine(peak_torque_nm=64, peak_torque_rpm=7000, peak_power_kw=57, peak_power_rpm=9000)
    assert isinstance(engine_torque(right), EngineTorque)
