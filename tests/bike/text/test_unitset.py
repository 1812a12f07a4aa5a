"""The units that are shown: their factors against NIST SP 811, and what a field says and reads in each."""

from __future__ import annotations

from dataclasses import fields, is_dataclass

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gearplan.bike.book import BookEntry
from gearplan.bike.checks import check_value
from gearplan.bike.circuit import Section
from gearplan.bike.entries import entries_in
from gearplan.bike.profile import Bike
from gearplan.bike.rider import Rider
from gearplan.bike.text.numbertext import format_number
from gearplan.bike.text.units import measured_in
from gearplan.bike.text.unitset import CHOICES, METRIC, SETS, UK, US, UnitSet, sensible
from gearplan.bike.work.job import Job
from gearplan.bike.work.jobcard import JobCard
from gearplan.bike.work.proposal import Proposal
from gearplan.bike.work.rides import Ride

#: NIST Special Publication 811 (2008), appendix B.8: one of each unit in SI, as printed there.
NIST = {
    "mph": 4.4704e-01, "km/h": 2.777778e-01, "in": 2.54e-02, "ft": 3.048e-01, "yd": 9.144e-01, "lbf·ft": 1.355818e00,
    "hp": 7.456999e02, "PS": 7.354988e02, "psi": 6.894757e03, "inHg": 3.386389e03, "bar": 1e05, "lb": 4.535924e-01,
}  # fmt: skip
#: The unit in which each quantity is kept.
KEPT = {
    "speed": "km/h", "length": "mm", "distance": "m", "torque": "N·m", "power": "kW", "temperature": "°C",
    "pressure": "hPa", "mass": "kg",
}  # fmt: skip


def test_factors_are_those_of_the_guide() -> None:
    seen = set()
    for name, choices in CHOICES.items():
        measured = measured_in(KEPT[name])
        assert measured is not None
        for choice in choices:
            if choice in NIST:
                seen.add(choice)
                assert measured[0].named(choice).size == pytest.approx(NIST[choice], rel=1e-6)
    assert seen == set(NIST)
    # The same appendix: t/°C = (t/°F − 32)/1.8.
    assert US.number(100.0, "°C") == pytest.approx(212.0)
    assert US.number(-40.0, "°C") == pytest.approx(-40.0)


@pytest.mark.parametrize(
    ("value", "own", "units", "shown"),
    [
        (1432, "mm", US, "56.38"), (25.4, "mm", US, "1"), (0.5, "mm", US, "0.02"), (188, "kg", US, "414"),
        (64, "N·m", US, "47"), (85, "kW", US, "114"), (20, "°C", US, "68"), (1013.25, "hPa", US, "29.9213"),
        (120, "m", UK, "394"), (96, "km/h", UK, "60"), (1432.126, "mm", METRIC, "1432.13"),
        (0.031, "share", US, "0.031"),
        (11000, "rpm", US, "11000"), (18650, "km", UK, "18650"),
    ],
)  # fmt: skip
def test_a_field_says_no_more_digits_than_were_typed(value: float, own: str, units: UnitSet, shown: str) -> None:
    assert units.text(value, own) == shown


@given(st.floats(50, 2000).map(lambda value: round(value, 1)), st.sampled_from(sorted(KEPT.values())))
def test_what_is_shown_is_within_half_a_digit_of_what_is_kept(value: float, own: str) -> None:
    measured = measured_in(own)
    assert measured is not None
    for units in SETS.values():
        unit = units.shown(own)
        assert unit is not None
        told = float(units.text(value, own)) * unit.size + unit.zero
        decimals = units.decimals(own, len(format_number(value).partition(".")[2]))
        assert abs(told - value * measured[1].size - measured[1].zero) <= 0.5001 * 10.0**-decimals * unit.size + 1e-9


def test_what_cannot_stand_is_said_in_the_shown_unit() -> None:
    told = check_value("chassis", "axle_now_mm", 9000.0, units=US)
    assert told is not None
    assert " in can't be right" in told
    assert "mm" not in told
    assert check_value("chassis", "axle_now_mm", 9000.0) != told
    assert check_value("chassis", "axle_now_mm", 640.0, units=US) is None
    below = check_value("conditions", "altitude_m", -900.0, units=US)
    assert below is not None
    assert "−2953 ft can't be right" in below
    assert " to " in below


def test_a_unit_of_another_quantity_is_not_taken() -> None:
    assert sensible(UnitSet(speed="mm", mass="lb")) == UnitSet(mass="lb")
    assert all(sensible(units) == units for units in SETS.values())


def test_whatever_is_entered_as_a_number_has_a_known_unit() -> None:
    """A field in a unit that nothing measures could not even be typed in."""
    parts = [type(getattr(Bike(), f.name)) for f in fields(Bike)]
    listed = [
        what
        for kind in (*parts, BookEntry, Rider, Section, Proposal, JobCard, Job, Ride)
        if is_dataclass(kind)
        for _, what in entries_in(kind)
    ]
    units = {what.measure for what in listed if what.kind in ("number", "whole", "pair")}
    assert {"mm", "hPa", "N·m", "l", "m", "km/h"} <= units
    # What a ride tells of the wheel is kept in files only.
    for unit in units - {"", "1/m"}:
        assert measured_in(unit) is not None, unit
