"""The book's file: what a person wrote in it outlives every edit, and what is wrong is named and left."""

from __future__ import annotations

import datetime
import tomllib
from dataclasses import fields, replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gearplan.bike.book import TRACKS, BookEntry
from gearplan.bike.files.bookfile import (
    Book,
    BookChangedOnDisk,
    BookFileError,
    added,
    beside,
    book_from_text,
    changed,
    merged,
    read_book,
    save_book,
    without,
)

TEXT = """\
# Corvid, all seasons

format = 1
colour = "blue"

# the day the clutch went
[[entry]]
day = 2025-06-08          # Sunday
circuit = "Heronfleet"
temperature_c = 24
front = 16
rear = 43
gears = [[14, 38], "", [18, 33]]
lap_s = "1:45.30"
sponsor = "nobody"
notes = '''
Short first gear.
Tail wind.'''

[[entry]]
circuit = "Cairn Brae"
lap_s = 0                 # timing failed
"""


def test_a_book_is_read_and_what_is_odd_is_named_and_left() -> None:
    book = book_from_text(TEXT, "x.book.toml")
    first, second = book.entries
    assert first.day == datetime.date(2025, 6, 8)
    assert (first.lap_s, first.gears, first.notes) == (
        pytest.approx(105.3),
        ((14, 38), None, (18, 33)),
        "Short first gear.\nTail wind.",
    )
    assert second == BookEntry(circuit="Cairn Brae")
    told = "\n".join(book.notices)
    assert "entry 2 (Cairn Brae): lap_s: 0 is no lap" in told
    assert "“sponsor” is not known" in told
    assert "“colour” is not known" in told


def test_an_edit_changes_one_entry_and_nothing_else() -> None:
    book = book_from_text(TEXT, "x")
    edited = changed(book, 0, replace(book.entries[0], rear=44))
    assert edited.text == TEXT.replace("rear = 43", "rear = 44")
    assert edited.entries == (replace(book.entries[0], rear=44), book.entries[1])
    assert changed(edited, 0, book.entries[0]).text == TEXT
    # The refused lap stays until a right one takes its place.
    assert "lap_s = 0 " in changed(book, 1, replace(book.entries[1], laps=8)).text
    assert changed(book, 1, replace(book.entries[1], lap_s=99.5)).entries[1].lap_s == 99.5


def test_entries_are_added_at_the_end_and_taken_out_with_their_comments() -> None:
    book = book_from_text(TEXT, "x")
    longer = added(book, BookEntry(datetime.date(2026, 6, 7), circuit="Heronfleet", front=16, rear=42))
    assert longer.text.startswith(TEXT)
    assert longer.entries[:2] == book.entries
    assert longer.entries[2].rear == 42
    shorter = without(longer, 0)
    assert shorter.entries == longer.entries[1:]
    assert "clutch" not in shorter.text
    assert "# Corvid, all seasons" in shorter.text
    assert "timing failed" in shorter.text


def test_a_first_entry_makes_the_file() -> None:
    book = added(Book(), BookEntry(circuit="Heronfleet"))
    assert tomllib.loads(book.text) == {"format": 1, "entry": [{"circuit": "Heronfleet"}]}


_VALUES: dict[str, st.SearchStrategy[Any]] = {
    "day": st.dates(datetime.date(1950, 1, 1), datetime.date(2100, 1, 1)),
    "circuit": st.text(st.characters(blacklist_categories=["C"]), max_size=30),
    "notes": st.text(st.characters(blacklist_categories=["C"], whitelist_characters="\n\t[]'\"\\#"), max_size=60),
    "track": st.sampled_from(TRACKS),
    "temperature_c": st.floats(-40, 60),
    "lap_s": st.floats(5, 3600),
    "front": st.integers(9, 60),
    "rear": st.integers(9, 150),
    "gears": st.lists(st.one_of(st.none(), st.tuples(st.integers(10, 40), st.integers(20, 60))), min_size=1, max_size=6)
    .map(tuple)
    .filter(lambda gears: all(pair is None or 0.2 <= pair[1] / pair[0] <= 10 for pair in gears)),
}
ENTRIES = st.fixed_dictionaries({}, optional=_VALUES).map(lambda given: BookEntry(**given))


@given(st.lists(ENTRIES, max_size=4), ENTRIES, st.data())
def test_any_entries_come_back_as_they_were(entries: list[BookEntry], other: BookEntry, data: st.DataObject) -> None:
    book = Book()
    for entry in entries:
        book = added(book, entry)
    assert book.entries == tuple(entries)
    if entries:
        index = data.draw(st.integers(0, len(entries) - 1))
        assert changed(book, index, other).entries == (*entries[:index], other, *entries[index + 1 :])
        assert without(book, index).entries == (*entries[:index], *entries[index + 1 :])


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("format = 1\n[[entry]\n", "not a readable book file"),
        ("", "empty"),
        ("[[entry]]\n", "“format = 1” is missing"),
        ("format = 2\n", "made by a newer version"),
        ("format = 1\nentry = [{circuit = 'A'}]\n", r"headed \[\[entry\]\]"),
        ("format = 1\nentry = 3\n", r"headed \[\[entry\]\]"),
        ("format = 1\n[gearbox]\n", "this is a bike file; its book is"),
    ],
)
def test_a_broken_book_is_refused_in_one_line(text: str, told: str) -> None:
    with pytest.raises(BookFileError, match=told) as refused:
        book_from_text(text, "a.bike.toml")
    assert "\n" not in str(refused.value)


def test_it_lies_beside_the_bike_and_is_never_written_over_what_another_hand_wrote(tmp_path: Path) -> None:
    path = beside(tmp_path / "corvid.bike.toml")
    assert path == tmp_path / "corvid.book.toml"
    empty = read_book(path)
    assert empty == Book()
    book = added(empty, BookEntry(circuit="Heronfleet"))
    save_book(path, book, empty)
    assert read_book(path).entries == book.entries
    path.write_text(book.text + "# by hand\n", encoding="utf-8")
    with pytest.raises(BookChangedOnDisk):
        save_book(path, added(book, BookEntry()), book)
    assert path.read_text(encoding="utf-8").endswith("# by hand\n")


def test_the_outer_form_of_the_file_stays() -> None:
    text = "\ufeff" + TEXT.replace("\n", "\r\n")
    book = book_from_text(text, "x")
    edited = changed(book, 0, replace(book.entries[0], rear=44))
    assert edited.text == text.replace("rear = 43", "rear = 44")


def test_every_field_has_an_entry_to_walk() -> None:
    assert all("entry" in f.metadata for f in fields(BookEntry))


def test_two_hands_write_into_one_book_and_nothing_of_either_is_lost() -> None:
    known = book_from_text(TEXT, "b")
    first, last = known.entries[0], known.entries[-1]
    ours = added(changed(known, 0, replace(first, rider="Jo")), BookEntry(circuit="Cairn Brae"))
    theirs = added(known, BookEntry(circuit="Marlpit Lane"))
    both, twice = merged(known, ours, theirs)
    names = [entry.circuit for entry in both.entries]
    assert twice == 0
    assert names[-2:] == ["Marlpit Lane", "Cairn Brae"]
    assert (both.entries[0].rider, both.entries[len(known.entries) - 1]) == ("Jo", last)
    for line in TEXT.splitlines():
        assert line in both.text
    # The same entry by both: as each left it, the other hand's first.
    other = changed(known, 0, replace(first, rider="Al"))
    both, twice = merged(known, ours, other)
    assert twice == 1
    assert [entry.rider for entry in both.entries[:2]] == ["Al", "Jo"]
    # Taken out by one, changed by the other: it stays; taken out by one and left by the other: it goes.
    assert merged(known, without(known, 0), other)[0].entries[0].rider == "Al"
    assert len(merged(known, ours, without(known, len(known.entries) - 1))[0].entries) == len(ours.entries) - 1
    assert merged(known, ours, ours)[0].entries == ours.entries
    assert merged(Book(), added(Book(), first), added(Book(), last))[0].entries == (last, first)
