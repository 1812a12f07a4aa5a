"""Factors against pint, a reference library of units."""

from __future__ import annotations

import pint
import pytest

from gearplan.bike import units

REGISTRY: pint.UnitRegistry[float] = pint.UnitRegistry()


@pytest.mark.parametrize(
    ("factor", "unit", "base"),
    [
        (units.KMH, "kilometer / hour", "meter / second"),
        (units.MPH, "mile / hour", "meter / second"),
        (units.RPM, "revolution / minute", "radian / second"),
        (units.MM, "millimeter", "meter"),
        (units.INCH, "inch", "meter"),
        (units.DEGREE, "degree", "radian"),
        (units.POUND, "pound", "kilogram"),
        (units.KGF, "kilogram_force", "newton"),
        (units.LBF_FOOT, "force_pound * foot", "newton * meter"),
        (units.PS, "metric_horsepower", "watt"),
        (units.HP, "horsepower", "watt"),
    ],
)
def test_factor(factor: float, unit: str, base: str) -> None:
    assert factor == pytest.approx(REGISTRY.Quantity(1.0, unit).to(base).magnitude, rel=1e-12)
