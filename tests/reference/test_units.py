"""Factors, and every unit that can be typed, against pint, a reference library of units."""

from __future__ import annotations

import pytest

from gearplan.bike.text import units
from gearplan.bike.text.units import Quantity, Unit
from tests.pintunits import REGISTRY

#: What each unit on the screen is in pint. Names are the same in every quantity but where the first part says which.
NAMES = {
    "N·m": "newton*meter", "lbf·ft": "force_pound*foot", "kgf·m": "kilogram_force*meter", "lbf·in": "force_pound*inch",
    "daN·m": "decanewton*meter", "kgf·cm": "kilogram_force*centimeter", "kW": "kilowatt", "hp": "horsepower",
    "PS": "metric_horsepower", "W": "watt", "mm": "millimeter", "in": "inch", "cm": "centimeter", "m": "meter",
    "ft": "foot", "km": "kilometer", "yd": "yard", "mi": "mile", "m²": "meter**2", "ft²": "foot**2",
    "cm²": "centimeter**2", "in²": "inch**2", "km/h": "kilometer/hour", "mph": "mile/hour", "m/s": "meter/second",
    "rpm": "revolution/minute", "1/s": "revolution/second", "rad/s": "radian/second", "m/s²": "meter/second**2",
    "g": "gram", "acceleration g": "standard_gravity", "ft/s²": "foot/second**2", "kg": "kilogram", "lb": "pound",
    "st": "stone", "kg/m": "kilogram/meter", "g/m": "gram/meter", "lb/ft": "pound/foot", "kg·m²": "kilogram*meter**2",
    "kg·cm²": "kilogram*centimeter**2", "lb·ft²": "pound*foot**2", "lb·in²": "pound*inch**2", "kN": "kilonewton",
    "N": "newton", "kgf": "kilogram_force", "lbf": "force_pound", "daN": "decanewton", "hPa": "hectopascal",
    "mbar": "millibar", "bar": "bar", "psi": "psi", "kPa": "kilopascal", "mmHg": "millimeter_Hg", "inHg": "inch_Hg",
    "Pa": "pascal", "°C": "degree_Celsius", "°F": "degree_Fahrenheit", "K": "kelvin", "°": "degree", "rad": "radian",
    "s": "second", "ms": "millisecond", "%": "percent", "‰": "permille", "": "dimensionless", "teeth": "dimensionless",
    "links": "dimensionless", "gears": "dimensionless", "l": "liter", "US gal": "gallon", "imp gal": "imperial_gallon",
    "s²/m²": "second**2/meter**2", "h": "hour", "min": "minute",
}  # fmt: skip
EVERY = [(quantity, unit) for quantity in units.quantities() for unit in quantity.units]


def reference(quantity: Quantity, unit: Unit) -> str:
    return NAMES.get(f"{quantity.name} {unit.name}", NAMES[unit.name])


@pytest.mark.parametrize(
    ("factor", "unit", "base"),
    [
        (units.KMH, "kilometer / hour", "meter / second"),
        (units.MPH, "mile / hour", "meter / second"),
        (units.RPM, "revolution / minute", "radian / second"),
        (units.MM, "millimeter", "meter"),
        (units.MILE, "mile", "meter"),
        (units.INCH, "inch", "meter"),
        (units.FOOT, "foot", "meter"),
        (units.DEGREE, "degree", "radian"),
        (units.POUND, "pound", "kilogram"),
        (units.KGF, "kilogram_force", "newton"),
        (units.LBF, "force_pound", "newton"),
        (units.LBF_FOOT, "force_pound * foot", "newton * meter"),
        (units.PS, "metric_horsepower", "watt"),
        (units.HP, "horsepower", "watt"),
        (units.PSI, "psi", "pascal"),
    ],
)
def test_factor(factor: float, unit: str, base: str) -> None:
    assert factor == pytest.approx(REGISTRY.Quantity(1.0, unit).to(base).magnitude, rel=1e-12)


@pytest.mark.parametrize(("quantity", "unit"), EVERY, ids=lambda each: each.name)
def test_every_unit_that_can_be_typed(quantity: Quantity, unit: Unit) -> None:
    first = quantity.units[0]
    for number in (1.0, 37.5, -4.25):
        theirs = REGISTRY.Quantity(number, reference(quantity, unit)).to(reference(quantity, first)).magnitude
        # The conventional millimetre of mercury is known to some nine digits.
        assert units.converted(number, unit, first) == pytest.approx(theirs, rel=1e-8, abs=1e-12)


def test_no_spelling_means_two_units_of_a_quantity() -> None:
    for quantity in units.quantities():
        for unit in quantity.units:
            for spelling in (unit.name, *unit.spellings.split()):
                assert quantity.spelled(spelling) is unit, (quantity.name, spelling)
