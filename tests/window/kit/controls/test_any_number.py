"""Any field × any unit × any locale, key by key: no other value than the meant one can ever stand.

What is meant is told by pint, with its own names of the units; the window's table of units is not asked.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import partial

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PySide6.QtCore import QLocale
from PySide6.QtWidgets import QApplication

from gearplan.bike import circuit, profile
from gearplan.bike.entries import Entry, entries_in
from gearplan.bike.values import check_entry
from gearplan.bike.work.job import Job, JobPart
from gearplan.window.kit.controls.numberfield import NumberField
from tests.pintunits import REGISTRY

LOCALES = ("C", "en_US", "de_DE", "fr_FR", "de_CH", "hi_IN", "ar_EG", "pt_BR")
#: What a person writes, and what pint calls it.
WRITTEN = {
    "N·m": "newton*meter", "Nm": "newton*meter", "lbf·ft": "force_pound*foot", "lbf-ft": "force_pound*foot",
    "ft-lb": "force_pound*foot", "ft.lbs": "force_pound*foot", "kgf·m": "kilogram_force*meter",
    "mkg": "kilogram_force*meter", "lbf·in": "force_pound*inch", "in-lb": "force_pound*inch",
    "daN·m": "decanewton*meter", "kgf·cm": "kilogram_force*centimeter", "kW": "kilowatt", "hp": "horsepower",
    "bhp": "horsepower", "PS": "metric_horsepower", "ch": "metric_horsepower", "W": "watt", "mm": "millimeter",
    "in": "inch", "cm": "centimeter", "\"": "inch", "m": "meter", "ft": "foot", "'": "foot",
    "lb·ft": "force_pound*foot", "lb·in": "force_pound*inch", "kg·m": "kilogram_force*meter",
    "kg·cm": "kilogram_force*centimeter", "ft.lb": "force_pound*foot", "km": "kilometer", "yd": "yard",
    "mi": "mile", "miles": "mile", "m²": "meter**2", "m2": "meter**2", "ft²": "foot**2", "cm²": "centimeter**2",
    "in²": "inch**2", "km/h": "kilometer/hour", "kmh": "kilometer/hour", "mph": "mile/hour", "m/s": "meter/second",
    "rpm": "revolution/minute", "1/min": "revolution/minute", "min⁻¹": "revolution/minute",
    "U/min": "revolution/minute", "1/s": "revolution/second", "rad/s": "radian/second", "m/s²": "meter/second**2",
    "ft/s²": "foot/second**2", "g": "gram", "kg": "kilogram", "lb": "pound", "lbs": "pound", "st": "stone",
    "kg/m": "kilogram/meter", "g/m": "gram/meter", "lb/ft": "pound/foot", "kg·m²": "kilogram*meter**2",
    "kg·cm²": "kilogram*centimeter**2", "lb·ft²": "pound*foot**2", "lb·in²": "pound*inch**2", "kN": "kilonewton",
    "N": "newton", "kgf": "kilogram_force", "lbf": "force_pound", "daN": "decanewton", "hPa": "hectopascal",
    "mbar": "millibar", "bar": "bar", "psi": "psi", "kPa": "kilopascal", "mmHg": "millimeter_Hg", "inHg": "inch_Hg",
    "Pa": "pascal", "°C": "degree_Celsius", "C": "degree_Celsius", "°F": "degree_Fahrenheit",
    "F": "degree_Fahrenheit", "K": "kelvin", "°": "degree", "deg": "degree", "rad": "radian", "s": "second",
    "ms": "millisecond", "%": "percent", "‰": "permille", "s²/m²": "second**2/meter**2",
}  # fmt: skip
#: Where one spelling means another unit, by the field's own.
ELSEWHERE = {
    ("m/s²", "g"): "standard_gravity", ("kN", "kg"): "kilogram_force", ("kN", "lb"): "force_pound",
    ("kN", "lbs"): "force_pound",
}  # fmt: skip
OWN = {"": None, "share": "dimensionless", "teeth": None, "links": None} | {
    unit: name for unit, name in WRITTEN.items() if unit not in ("", "g")
}
Field = tuple[str, str, bool, Callable[[float], str | None], Entry]


def half(entry: Entry, value: float) -> str | None:
    return check_entry(entry, (value, None))


def gear(entry: Entry, value: float) -> str | None:
    return check_entry(entry, value)


def fields() -> list[Field]:
    """(name, unit, whole, check, entry) of every number of the profile, the circuit and the job."""
    every = [(f"{section}.{key}", what) for section in profile.SECTIONS for key, what in profile.entries(section)]
    every += [(f"circuit.{key}", what) for key, what in circuit.section_entries()]
    every += [(f"{kind.__name__}.{key}", what) for kind in (Job, JobPart) for key, what in entries_in(kind)]
    found: list[Field] = []
    for name, what in every:
        if what.kind in ("number", "whole", "ratio"):
            found.append((name, what.measure, what.kind == "whole", partial(gear, what), what))
        elif what.kind == "pair":
            found.append((name, what.measure, False, partial(half, what), what))
    return found


FIELDS = fields()


def meant(text: str, own: str) -> float | None:
    """The value in the field's unit that a text means, by pint; None if it means none."""
    match = re.fullmatch(r"\s*([+\-−]?(?:\d+[.,]?\d*|[.,]\d+))\s*(.*?)\s*", text)
    if not match or (not match[1].isascii() and "−" not in match[1]):
        return None
    figures, unit = match[1].replace("−", "-"), match[2].rstrip("·.-")
    number = float(figures.replace(",", "."))
    theirs, ours = ELSEWHERE.get((own, unit), WRITTEN.get(unit, unit)), OWN.get(own)
    if not unit or (ours is None and unit in (own, "tooth", "t", "link")):
        return number
    if ours is None:
        return None
    try:
        found = REGISTRY.Quantity(number, theirs).to(ours).magnitude
    except Exception:
        return None
    return float(found)


def ambiguous(text: str, own: str, check: Callable[[float], str | None]) -> bool:
    match = re.match(r"\s*[+\-−]?[1-9]\d{0,2}[.,]\d{3}(?!\d)", text)
    both = meant(text, own), meant(re.sub(r"[.,]", "", text, count=1), own)
    return bool(match) and all(value is not None and check(value) is None for value in both)


NUMBERS = st.one_of(
    st.decimals(0, 5000, places=2).map(str),
    st.integers(0, 40000).map(str),
    st.decimals(0, 20, places=3).map(str),
    st.from_regex(r"[-−+]?[0-9]{1,4}([.,'][0-9]{0,3})?", fullmatch=True),
)


@pytest.mark.usefixtures("qapp")
@settings(max_examples=300, deadline=None)
@given(
    field=st.sampled_from(FIELDS),
    number=NUMBERS,
    comma=st.booleans(),
    gap=st.sampled_from(["", " ", "\u00a0"]),
    unit=st.one_of(st.just(""), st.just(None), st.sampled_from(sorted(WRITTEN)), st.text(max_size=3)),
    locale=st.sampled_from(LOCALES),
)
def test_no_other_value_than_the_meant_one_ever_stands(
    field: Field, number: str, comma: bool, gap: str, unit: str | None, locale: str
) -> None:
    name, own, whole, check, entry = field
    before = QLocale()
    QLocale.setDefault(QLocale(locale))
    try:
        typed = NumberField(check, unit=own, whole=whole)
    finally:
        QLocale.setDefault(before)
    standing: list[object] = [None]
    typed.entered.connect(standing.append)
    written = number.replace(".", ",") if comma else number
    text = f"{written}{gap}{entry.unit if unit is None else unit}"
    for key in text:
        typed.insert(key)
        expected = meant(typed.text(), own)
        value = standing[-1]
        assert value == typed.value
        if value is None:
            assert typed.problem or not typed.text().strip()
            continue
        assert isinstance(value, (int, float))
        assert expected is not None, (name, typed.text(), value)
        assert value == pytest.approx(expected, rel=6e-6, abs=1e-12), (name, typed.text())
        assert check(value) is None
        assert not ambiguous(typed.text(), own, check)
    typed.deleteLater()
    QApplication.processEvents()


#: What has to be taken in a field with each unit; all else that pint can turn into it may be refused.
TAKEN = {
    "N·m": ("N·m", "Nm", "lbf·ft", "lbf-ft", "ft-lb", "ft.lbs", "kgf·m", "mkg", "lbf·in", "in-lb", "daN·m", "kgf·cm"),
    "kW": ("kW", "hp", "bhp", "PS", "ch", "W"), "mm": ("mm", "in", '"', "cm", "m", "ft"),
    "m": ("m", "ft", "km", "yd", "mi"), "km": ("km", "mi", "miles"), "m²": ("m²", "m2", "ft²", "cm²", "in²"),
    "km/h": ("km/h", "kmh", "mph", "m/s"), "rpm": ("rpm", "1/min", "min⁻¹", "U/min", "1/s", "rad/s"),
    "m/s²": ("m/s²", "g", "ft/s²"), "kg": ("kg", "lb", "lbs", "st", "g"), "kg/m": ("kg/m", "g/m", "lb/ft"),
    "kg·m²": ("kg·m²", "kg·cm²", "lb·ft²", "lb·in²"), "kN": ("kN", "N", "kgf", "kg", "lbf", "lbs", "daN"),
    "hPa": ("hPa", "mbar", "bar", "psi", "kPa", "mmHg", "inHg", "Pa"), "°C": ("°C", "C", "°F", "F", "K"),
    "°": ("°", "deg", "rad"), "s": ("s", "ms"), "%": ("%", "‰"), "share": ("%",), "s²/m²": ("s²/m²",),
}  # fmt: skip


@pytest.mark.parametrize("field", FIELDS, ids=lambda field: field[0])
def test_every_unit_of_the_quantity_is_taken(qapp: QApplication, field: Field) -> None:
    name, own, whole, check, entry = field
    middle = entry.low + 0.3 * (entry.high - entry.low)
    for unit in TAKEN.get(own, ()):
        theirs = ELSEWHERE.get((own, unit), WRITTEN[unit])
        number = REGISTRY.Quantity(middle, OWN[own]).to(theirs).magnitude
        text = f"{number:.10f} {unit}"
        typed = NumberField(check, unit=own, whole=whole)
        typed.insert(text)
        assert typed.value == pytest.approx(meant(text, own), rel=6e-6), (name, text, typed.problem)
        typed.deleteLater()
    assert own in TAKEN or OWN[own] is None
