"""Numbers as typed: right or refused, never off by ten."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gearplan.bike.text.numbertext import NumberTextError, format_number, parse_lap_time, parse_number, parse_whole


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("1.5", 1.5),
        ("1,5", 1.5),
        (" 12 ", 12),
        ("-3,25", -3.25),
        ("−3", -3),
        (".5", 0.5),
        (",5", 0.5),
        ("7.", 7),
        ("+4", 4),
    ],
)
def test_point_and_comma_are_read_rightly(text: str, value: float) -> None:
    assert parse_number(text) == value


@pytest.mark.parametrize(
    "text",
    ["", "  ", "abc", "1.234,5", "1,234.5", "1 234", "1'234", "1.234.567", "1..5", "1,5,", "--3", "nan", "inf", "1e5",
     "0x10", "12 mm", "٣", "1" + "0" * 400, "1,2.3"],
)  # fmt: skip
def test_anything_else_is_refused_in_words(text: str) -> None:
    with pytest.raises(NumberTextError, match=r"\w+ \w+"):
        parse_number(text)


@pytest.mark.parametrize("text", ["14.5", "14,0", "1e3", "14.0", ""])
def test_whole_numbers_are_whole(text: str) -> None:
    assert parse_whole(" 14") == 14
    with pytest.raises(NumberTextError):
        parse_whole(text)


@given(st.floats(allow_nan=False, allow_infinity=False, min_value=-1e12, max_value=1e12))
def test_what_is_shown_reads_back(value: float) -> None:
    shown = format_number(value)
    assert parse_number(shown) == value
    assert parse_number(shown.replace(".", ",")) == value
    assert "e" not in shown.lower()


@given(st.text(max_size=12))
def test_nothing_but_a_refusal_comes_of_any_text(text: str) -> None:
    try:
        value = parse_number(text)
    except NumberTextError:
        return
    assert value == float(text.strip().replace(",", ".").replace("−", "-"))


@pytest.mark.parametrize(("text", "seconds"), [("1:45.3", 105.3), ("1:45,30", 105.3), ("58.3", 58.3), (" 7:05 ", 425)])
def test_lap_times_are_read(text: str, seconds: float) -> None:
    assert parse_lap_time(text) == pytest.approx(seconds)


@pytest.mark.parametrize("text", ["", "1:", "1:75", "1.5:20", "a", "-1:20", "1:-20", "2", "70:00", "1:2:3"])
def test_what_is_no_lap_time_is_said(text: str) -> None:
    with pytest.raises(NumberTextError, match=r"lap"):
        parse_lap_time(text)


def test_a_text_without_end_is_not_repeated_whole() -> None:
    for read in (parse_number, parse_whole, parse_lap_time):
        with pytest.raises(NumberTextError) as refused:
            read("7 x" * 5000)
        assert len(str(refused.value)) < 150
