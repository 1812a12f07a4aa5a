"""Readings in metric and inch units against pint, and against definitions and handbook figures."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gearplan.bike.text.numbertext import NumberTextError, both_distances, odometer_text
from gearplan.bike.text.typed import read_typed
from gearplan.plan.job.steps.readings import FACTORS, Kind, parse_reading, shown
from tests.pintunits import REGISTRY

#: The names of our units in pint, and the SI unit of their kind.
_NAMES = {"mm": ("millimeter", "meter"), "in": ("inch", "meter"), "N·m": ("newton*meter", "newton*meter"),
          "lbf·ft": ("force_pound*foot", "newton*meter"), "kgf·m": ("force_kilogram*meter", "newton*meter"),
          "lbf·in": ("force_pound*inch", "newton*meter"), "kgf·cm": ("force_kilogram*centimeter", "newton*meter"),
          "daN·m": ("decanewton*meter", "newton*meter"), "cm": ("centimeter", "meter"), "m": ("meter", "meter"),
          "ft": ("foot", "meter")}  # fmt: skip


@pytest.mark.parametrize("unit", sorted(FACTORS))
def test_each_unit_is_what_pint_says(unit: str) -> None:
    ours, si = _NAMES[unit]
    assert FACTORS[unit] == pytest.approx(REGISTRY.Quantity(1, ours).to(si).magnitude, rel=1e-12)


@given(st.sampled_from(sorted(FACTORS)), st.decimals(1, 300, places=3))
def test_typed_readings_are_what_pint_says(unit: str, number: object) -> None:
    ours, si = _NAMES[unit]
    kind: Kind = "length" if si == "meter" else "torque"
    read = parse_reading(kind, f"{number} {unit}")
    assert read.value == pytest.approx(REGISTRY.Quantity(float(str(number)), ours).to(si).magnitude, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "unit", "told"),
    [
        # 1 lbf·ft = 1.355 818 N·m: NIST Special Publication 811 (2008), appendix B.9, "pound-force foot".
        ("100 N·m", "lbf·ft", "73.8 lbf·ft"),
        ("1000 lbf·ft", "N·m", "1355.8 N·m"),
        # 5/8 inch, the pitch of the 5xx chains: exact by ASME B29.1.
        ("0.625 in", "mm", "15.88 mm"),
        ("15.875 mm", "in", "0.625 in"),
    ],
)
def test_published_figures(text: str, unit: str, told: str) -> None:
    kind: Kind = "torque" if unit in ("N·m", "lbf·ft") else "length"
    assert shown(parse_reading(kind, text).value, unit) == told


@pytest.mark.parametrize(("text", "unit"), [("11589 mi", "mile"), ("0,5 Miles", "mile"), ("18650", "km")])
def test_odometers_against_pint(text: str, unit: str) -> None:
    number = float(text.split()[0].replace(",", "."))
    assert read_typed(text, "km").value == pytest.approx(REGISTRY.Quantity(number, unit).to("km").magnitude, abs=0.051)
    typed = REGISTRY.Quantity(11588, "mile").to("km").magnitude
    assert [odometer_text(km) for km in (typed, 18649.0, 18649.4, 0.0)] == ["11588 mi", "18649", "18649", "0"]
    assert both_distances(18650) == f"18650 km ({REGISTRY.Quantity(18650, 'km').to('mile').magnitude:.0f} mi)"


@pytest.mark.parametrize("text", ["", "mi", "12 nautical", "1.234,5 mi", "12 mi 3"])
def test_what_is_no_distance_is_refused(text: str) -> None:
    with pytest.raises(NumberTextError):
        read_typed(text, "km")
