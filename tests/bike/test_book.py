"""What may stand in an entry of the season's book."""

from __future__ import annotations

import datetime

import pytest

from gearplan.bike.book import BookEntry, as_written, check_book_value, doubts, read_day


@pytest.mark.parametrize(
    ("key", "value", "told"),
    [
        ("lap_s", 0, "0 is no lap"),
        ("lap_s", -3.0, "can't be right"),
        ("lap_s", 4000.0, "can't be right"),
        ("day", "yesterday", "must be a date"),
        ("day", datetime.datetime(2026, 5, 12, 9, 30), "must be a date"),
        ("track", "moist", "not one of dry, damp, wet"),
        ("front", 3, "can't be right"),
        ("temperature_c", 75, "can't be right"),
        ("notes", 5, "text in quotes"),
        ("notes", "a\x00b", "at most 5000"),
        ("rider", "a\nb", "one line"),
    ],
)
def test_what_cannot_be_is_refused_in_words(key: str, value: object, told: str) -> None:
    assert told in (check_book_value(key, value) or "")


@pytest.mark.parametrize(
    ("key", "value"),
    [("lap_s", 105.3), ("day", datetime.date(2026, 5, 12)), ("notes", "first\nsecond"), ("gears", ((14, 38), 1.5))],
)
def test_what_can_be_is_taken(key: str, value: object) -> None:
    assert check_book_value(key, value) is None


def test_days_and_lap_times_are_read_as_people_write_them() -> None:
    assert read_day(" 2026-05-12 ") == read_day("12.5.2026") == datetime.date(2026, 5, 12)
    with pytest.raises(ValueError, match="write it like 2026-05-12"):
        read_day("31.2.2026")
    assert as_written("lap_s", "1:45.3") == pytest.approx(105.3)
    assert as_written("lap_s", "quick") == "quick"


def test_an_entry_without_gearing_is_told() -> None:
    assert "no advice can start from it" in " ".join(doubts(BookEntry(circuit="Heronfleet", front=16)))
    assert doubts(BookEntry(datetime.date(2026, 5, 12), circuit="Heronfleet", front=16, rear=43)) == ()
