"""Exact factors from shown units to SI, and the units in which each quantity may be typed, by definition."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from functools import lru_cache

from gearplan.language import marked, tr

KMH = 1000 / 3600  # m/s in one km/h
MILE = 1609.344  # m in one mile; international yard and pound agreement, 1959
MPH = MILE / 3600  # m/s in one mile an hour
RPM = math.tau / 60  # rad/s in one turn a minute
MM = 1e-3  # m in one mm
INCH = 25.4e-3  # m in one inch; the same agreement
FOOT = 0.3048  # m in one foot; the same agreement
DEGREE = math.pi / 180  # rad in one degree
POUND = 0.45359237  # kg in one pound; the same agreement
ZERO_CELSIUS = 273.15  # K at 0 °C; SI brochure, 9th edition
STANDARD_GRAVITY = 9.80665  # m/s²; 3rd General Conference on Weights and Measures, 1901
KGF = STANDARD_GRAVITY  # N in one kilogram-force, and N·m in one kgf·m
LBF = POUND * STANDARD_GRAVITY  # N in one pound-force
LBF_FOOT = LBF * FOOT  # N·m in one pound-force foot
PS = 75 * STANDARD_GRAVITY  # W in one metric horsepower, 75 kgf·m/s
HP = 550 * LBF_FOOT  # W in one horsepower, 550 lbf·ft/s
PSI = LBF / INCH**2  # Pa in one pound-force a square inch
MERCURY = 133.322387415  # Pa in one conventional millimetre of mercury, 13 595.1 kg/m³ at standard gravity


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit: a number in it is `size` × number + `zero` in SI. `spellings` are parted by spaces."""

    name: str
    size: float = 1.0
    spellings: str = ""
    zero: float = 0.0


@dataclass(frozen=True, slots=True)
class Quantity:
    """What is measured, and the units in which it may be typed, the ones to offer first."""

    name: str
    units: tuple[Unit, ...]

    def named(self, name: str) -> Unit:
        """The unit that is written so on the screen; KeyError if there is none."""
        for unit in self.units:
            if unit.name == name:
                return unit
        raise KeyError(f"{self.name}: {name}")

    def spelled(self, written: str) -> Unit | None:
        """The unit that a person wrote; None if it is none of this quantity."""
        plain = _plain(written)
        return next((unit for unit in self.units if plain in _spellings(unit)), None)

    @property
    def choices(self) -> str:
        """The units' names as words: "N·m, lbf·ft or kgf·m"."""
        names = [unit.name for unit in self.units if unit.name]
        return tr("or").join(filter(None, (f"{', '.join(names[:-1])} " if names[:-1] else "", f" {names[-1]}"))).strip()


def converted(number: float, given: Unit, wanted: Unit) -> float:
    """A number in one unit as it is in another of the same quantity."""
    return number if given is wanted else (number * given.size + given.zero - wanted.zero) / wanted.size


_QUANTITIES = {
    "torque": Quantity(
        "torque",
        (
            Unit("N·m", 1.0, "nm mn newtonmetre newtonmetres newtonmeter newtonmeters"),
            Unit("lbf·ft", LBF_FOOT, "lbft ftlbf ftlb ftlbs lbsft lb'ft footpound footpounds poundfeet"),
            Unit("kgf·m", KGF, "kgm mkgf mkg kpm mkp"),
            Unit("lbf·in", LBF * INCH, "lbin inlbf inlb inlbs lbsin inchpound inchpounds"),
            Unit("daN·m", 10.0, "mdan"),
            Unit("kgf·cm", KGF / 100, "kgcm cmkgf cmkg"),
        ),
    ),
    "power": Quantity(
        "power",
        (
            Unit("kW", 1e3, "kilowatt kilowatts"),
            Unit("hp", HP, "bhp horsepower"),
            Unit("PS", PS, "cv ch pk hk metrichp metrichorsepower"),
            Unit("W", 1.0, "watt watts"),
        ),
    ),
    "length": Quantity(
        "length",
        (
            Unit("mm", MM, "millimetre millimetres millimeter millimeters"),
            Unit("in", INCH, "inch inches \" ″ ” ''"),
            Unit("cm", 1e-2, "centimetre centimetres centimeter centimeters"),
            Unit("m", 1.0, "metre metres meter meters"),
            Unit("ft", FOOT, "foot feet ' ′ ’"),
        ),
    ),
    "distance": Quantity(
        "distance",
        (
            Unit("m", 1.0, "metre metres meter meters"),
            Unit("km", 1e3, "kilometre kilometres kilometer kilometers"),
            Unit("ft", FOOT, "foot feet ' ′ ’"),
            Unit("yd", 3 * FOOT, "yard yards yds"),
            Unit("mi", MILE, "mile miles"),
        ),
    ),
    # On an odometer an "m" may mean either of the two, so it is neither.
    "mileage": Quantity(
        "mileage",
        (
            Unit("km", 1e3, "kilometre kilometres kilometer kilometers kms"),
            Unit("mi", MILE, "mile miles"),
        ),
    ),
    "area": Quantity(
        "area", (Unit("m²", 1.0, "sqm"), Unit("ft²", FOOT**2, "sqft"), Unit("cm²", 1e-4), Unit("in²", INCH**2, "sqin"))
    ),
    "speed": Quantity(
        "speed",
        (
            Unit("km/h", KMH, "kmh kph km/hr kmph"),
            Unit("mph", MPH, "mi/h"),
            Unit("m/s", 1.0, "mps"),
        ),
    ),
    "engine speed": Quantity(
        "engine speed",
        (
            Unit(marked("rpm"), RPM, "1/min /min permin min-1 r/min u/min rev/min revs/min revs rpms"),
            Unit("1/s", math.tau, "/s pers rps r/s rev/s"),
            Unit("rad/s", 1.0),
        ),
    ),
    "acceleration": Quantity(
        "acceleration", (Unit("m/s²", 1.0, "m/s2 m/s^2"), Unit("g", STANDARD_GRAVITY, "g0"), Unit("ft/s²", FOOT))
    ),
    "mass": Quantity(
        "mass",
        (
            Unit("kg", 1.0, "kgs kilo kilos kilogram kilograms"),
            Unit("lb", POUND, "lbs lbm pound pounds"),
            Unit("st", 14 * POUND, "stone stones"),
            Unit("g", 1e-3, "gram grams"),
        ),
    ),
    "mass per length": Quantity(
        "mass per length",
        (
            Unit("kg/m", 1.0),
            Unit("g/m", 1e-3),
            Unit("lb/ft", POUND / FOOT, "lbs/ft"),
        ),
    ),
    "inertia": Quantity(
        "inertia",
        (
            Unit("kg·m²", 1.0, "kgm2"),
            Unit("kg·cm²", 1e-4, "kgcm2"),
            Unit("lb·ft²", POUND * FOOT**2, "lbft2"),
            Unit("lb·in²", POUND * INCH**2, "lbin2"),
        ),
    ),
    # Chain makers write the tensile strength in "kg" and "lbs" too, and mean kgf and lbf.
    "force": Quantity(
        "force",
        (
            Unit("kN", 1e3, "kilonewton kilonewtons"),
            Unit("N", 1.0, "newton newtons"),
            Unit("kgf", KGF, "kg kp"),
            Unit("lbf", LBF, "lb lbs"),
            Unit("daN", 10.0),
        ),
    ),
    "pressure": Quantity(
        "pressure",
        (
            Unit("hPa", 1e2),
            Unit("mbar", 1e2, "mb"),
            Unit("bar", 1e5),
            Unit("psi", PSI, "lbf/in2 lb/in2"),
            Unit("kPa", 1e3),
            Unit("mmHg", MERCURY),
            Unit("inHg", 25.4 * MERCURY),
            Unit("Pa", 1.0),
        ),
    ),
    "temperature": Quantity(
        "temperature",
        (
            Unit("°C", 1.0, "c degc celsius", zero=ZERO_CELSIUS),
            Unit("°F", 5 / 9, "f degf fahrenheit", zero=459.67 * 5 / 9),
            Unit("K", 1.0, "kelvin"),
        ),
    ),
    # A gallon is one of two; a bare one is neither.
    "volume": Quantity(
        "volume",
        (
            Unit("l", 1e-3, "litre litres liter liters"),
            Unit("US gal", 231 * INCH**3, "usgallon usgallons"),
            Unit("imp gal", 4.54609e-3, "ukgal imperialgallon imperialgallons"),
        ),
    ),
    "angle": Quantity("angle", (Unit("°", DEGREE, "deg degree degrees"), Unit("rad", 1.0, "radian radians"))),
    "time": Quantity("time", (Unit("s", 1.0, "sec secs second seconds"), Unit("ms", 1e-3))),
    "hours": Quantity(
        tr("working time"), (Unit("h", 3600.0, "hr hrs hour hours"), Unit("min", 60.0, "mins minute minutes"))
    ),
    "percentage": Quantity("percentage", (Unit("%", 0.01, "percent percents pc"), Unit("‰", 0.001))),
    "share": Quantity("share", (Unit(""), Unit("%", 0.01, "percent percents pc"))),
    "tooth count": Quantity("tooth count", (Unit(marked("teeth"), 1.0, "tooth t"),)),
    "gear count": Quantity("gear count", (Unit(marked("gears"), 1.0, "gear"),)),
    "link count": Quantity("link count", (Unit(marked("links"), 1.0, "link pitches"),)),
    "growth": Quantity(tr("growth with speed squared"), (Unit("s²/m²", 1.0, "s2/m2"),)),
}  # fmt: skip

#: What is measured in each unit that a field can have: its own, or the name of the quantity itself.
_MEASURED = {
    "N·m": "torque", "kW": "power", "mm": "length", "m": "distance", "km": "mileage", "m²": "area", "km/h": "speed",
    "mph": "speed", "rpm": "engine speed", "m/s²": "acceleration", "kg": "mass", "kg/m": "mass per length",
    "kg·m²": "inertia", "kN": "force", "hPa": "pressure", "°C": "temperature", "°": "angle", "s": "time",
    "in": "length", "lbf·ft": "torque", "%": "percentage", "teeth": "tooth count", "gears": "gear count", "l": "volume",
    "links": "link count", "s²/m²": "growth", "h": "hours",
}  # fmt: skip


def measured_in(unit: str) -> tuple[Quantity, Unit] | None:
    """What a field with this unit measures, and the unit itself; None for a bare count or sum, and for what is never
    typed, only kept in files.

    The unit "share" stands for a fraction that has no unit on the screen but may be typed in percent.
    """
    if unit == "share":
        return _QUANTITIES["share"], _QUANTITIES["share"].units[0]
    if unit not in _MEASURED:
        return None
    quantity = _QUANTITIES[_MEASURED[unit]]
    return quantity, quantity.named(unit)


def quantities() -> tuple[Quantity, ...]:
    """Every quantity that can be typed."""
    return tuple(_QUANTITIES.values())


_RAISED = str.maketrans({"²": "2", "³": "3", "⁻": "-", "¹": "1", "µ": "u"})
_FILLING = re.compile(r"[\s.·⋅∙•*×^_\-‐-—]")


def _plain(written: str) -> str:
    """A unit as it is compared: small letters, raised figures on the line, nothing between the factors."""
    return _FILLING.sub("", written.strip().translate(_RAISED)).lower()


@lru_cache(maxsize=256)
def _spellings(unit: Unit) -> frozenset[str]:
    return frozenset(_plain(each) for each in (unit.name, *unit.spellings.split()))


#: Units that are words; the others are signs, the same in every language.
_WORDED = frozenset({"rpm", "teeth", "gears", "links"})


def unit_told(name: str) -> str:
    """A unit as it stands behind a number on the screen, in the spoken language."""
    return tr(name) if name in _WORDED else name
