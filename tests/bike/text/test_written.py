"""Numbers as they are written: no minus before nothing, no difference lost, no minute of sixty seconds, no "1 laps"."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gearplan.bike.text import written
from gearplan.bike.text.units import KMH

_VALUES = st.floats(-1e6, 1e6)
_DIGITS = st.integers(0, 4)


@pytest.mark.parametrize(
    ("value", "digits", "text"),
    [(-0.04, 1, "0.0"), (-0.4, 0, "0"), (0.0, 2, "0.00"), (-12.34, 1, "−12.3"), (3.0667, 2, "3.07"), (None, 1, "–")],
)
def test_a_number(value: float | None, digits: int, text: str) -> None:
    assert written.number(value, 1, digits) == text


@pytest.mark.parametrize(
    ("value", "digits", "text"),
    [(0.311, 2, "+0.31"), (-2.2, 0, "−2"), (0.0, 1, "±0"), (0.004, 2, "<0.01"), (-0.3, 0, "<1"), (None, 0, "–")],
)
def test_a_signed_number(value: float | None, digits: int, text: str) -> None:
    assert written.signed(value, 1, digits) == text


def test_a_change_is_that_of_the_numbers_shown() -> None:
    assert written.difference(7.04, 7.06, 1, 1) == "+0.1"
    assert written.difference(7.01, 7.04, 1, 1) == "<0.1"
    assert written.difference(7.01, 7.01, 1, 1) == "±0"
    assert written.difference(0.3, 0.1 + 0.2, 1, 1) == "±0"
    assert written.difference(None, 1.0) == "–"


@pytest.mark.parametrize(
    ("value", "half", "unit", "digits", "text"),
    [
        (0.0052, 0.0013, 1e-3, 0, "5 ± 1"),
        (4.1243, 0.2649, 1, 1, "4.1 ± 0.3"),
        (4.1243, 0.2649, 1, 2, "4.12 ± 0.26"),
        (18.93, 2.44, 1, 1, "18.9 ± 2.4"),
        (18.93, 12.4, 1, 1, "19 ± 12"),
        (10412, 104, 1, 0, "10410 ± 100"),
        (5233, 52.4, 1, 0, "5233 ± 52"),
        # A doubt is never written as none.
        (577.2, 0.02, 1, 0, "577 ± 1"),
        (577.2, 0.0, 1, 0, "577"),
        (-0.04, 0.3, 1, 0, "0 ± 1"),
        # Larger to one side, both are written: 3.6 ± 2.8 s would say that 0.8 s can be.
        (3.617, (0.66, 2.81), 1, 1, "3.6 −0.7 +2.8"),
        (3.617, (0.0, 2.81), 1, 1, "3.6 +2.8"),
        (100.3, (4.0, 1020.0), 1, 0, "100 +1000"),
        (3.617, (1.5, 2.81), 1, 1, "3.6 ± 2.8"),
        (577.2, (0.0, 0.02), 1, 0, "577 ± 1"),
    ],
)
def test_no_digit_is_finer_than_the_second_of_the_doubt(
    value: float, half: written.Off, unit: float, digits: int, text: str
) -> None:
    """JCGM 100:2008, 7.2.6: at most two significant digits of the doubt, and the value to the same place."""
    assert written.measured(value, half, unit, digits) == text


@pytest.mark.parametrize(
    ("fraction", "text"),
    [(0.0714, "+7.1 %"), (-0.0625, "−6.2 %"), (0.0, "±0 %"), (0.0001, "<0.1 %"), (-0.0004, "<0.1 %"), (None, "–")],
)
def test_a_signed_percentage(fraction: float | None, text: str) -> None:
    assert written.signed_percent(fraction) == text


@pytest.mark.parametrize(
    ("seconds", "text"),
    [(119.996, "2:00.00"), (76.481, "1:16.48"), (59.996, "1:00.00"), (58.3, "58.30 s"), (60.0, "1:00.00")],
)
def test_a_lap_time(seconds: float, text: str) -> None:
    assert written.lap_time(seconds) == text


def test_a_computed_lap_is_told_to_a_tenth() -> None:
    told = [written.computed_lap(seconds) for seconds in (58.34, 59.96, 60.0, 71.07, 125.96, 3599.99)]
    assert told == ["58.3 s", "1:00.0", "1:00.0", "1:11.1", "2:06.0", "60:00.0"]


@given(st.floats(0, 7200))
def test_no_lap_time_has_sixty_seconds(seconds: float) -> None:
    text = written.lap_time(seconds)
    minutes, rest = text.split(":") if ":" in text else ("0", text.removesuffix(" s"))
    assert float(rest) < 60
    assert 60 * int(minutes) + float(rest) == pytest.approx(seconds, abs=0.00501)


@given(_VALUES, _VALUES, _DIGITS)
def test_nothing_is_ever_minus_nothing(one: float, other: float, digits: int) -> None:
    texts = [
        written.number(one, 1, digits),
        written.signed(one, 1, digits),
        written.difference(one, other, 1, digits),
        written.percent(one, digits),
        written.signed_percent(one, digits),
    ]
    for text in texts:
        assert "-" not in text
        assert not re.search(r"[−+]0(\.0+)?(?![\d.])", text)


@given(_VALUES, _VALUES, _DIGITS)
def test_what_differs_is_never_called_none(one: float, other: float, digits: int) -> None:
    assert (written.difference(one, other, 1, digits) == "±0") == (abs(other - one) < 1e-6 * 10**-digits)


@given(_VALUES, _VALUES, _DIGITS)
def test_whoever_subtracts_what_is_shown_gets_the_change_shown(one: float, other: float, digits: int) -> None:
    shown = [float(written.number(value, 1, digits).replace("−", "-")) for value in (one, other)]
    text = written.difference(one, other, 1, digits)
    told = 0.0 if text[0] in "±<" else float(text.replace("−", "-"))
    assert told == pytest.approx(shown[1] - shown[0], abs=1e-5)


@given(_VALUES, _VALUES, _DIGITS, st.floats(0.001, 1000))
def test_a_doubtful_value_shown_coarser_differs_by_what_is_shown(
    one: float, other: float, digits: int, half: float
) -> None:
    before, after, _, text = written.compared(one, other, half, 1, digits)
    shown = [float(value.replace("−", "-")) for value in (before, after)]
    told = 0.0 if text[0] in "±<" else float(text.replace("−", "-"))
    assert told == pytest.approx(shown[1] - shown[0], abs=1e-5)


@given(st.integers(0, 200))
def test_one_is_singular(count: int) -> None:
    assert written.counted(count, "lap", "laps").endswith("laps") == (count != 1)
    assert written.counted(1, "tooth", "teeth") == "1 tooth"


@pytest.mark.parametrize(
    ("value", "limit", "digits", "text"),
    [(2.95, 3, 1, "2.95"), (2.9, 3, 1, "2.9"), (136.03, 136, 0, "136.03"), (137.2, 136, 0, "137"), (3, 3, 1, "3.0")],
)
def test_a_value_beyond_its_limit_never_looks_like_it(value: float, limit: float, digits: int, text: str) -> None:
    assert written.against(value, limit, digits) == text


def test_the_rest() -> None:
    assert written.speed(100 * KMH, "km/h") == "100 km/h"
    assert written.speed(100 * KMH, "mph", 1) == "62.1 mph"
    assert written.percent(0.1234, 1) == "12.3 %"
    assert [written.ordinal(n) for n in (1, 2, 3, 4, 11, 12, 21, 112)] == [
        "1st", "2nd", "3rd", "4th", "11th", "12th", "21st", "112th",
    ]  # fmt: skip
    assert written.listed([]) == ""
    assert written.listed(["a"]) == "a"
    assert written.listed(["a", "b", "c"]) == "a, b and c"
