"""The season's book: for each circuit and day what was ridden, in what weather, and how quickly.

Every field of an entry exists once, here: file, checks, search and form walk the list. Nothing in an entry is needed:
what nobody wrote down is None or empty, and `doubts` says what the entry cannot be used for.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from gearplan.bike import values
from gearplan.bike.entries import Entry, Ratio, entries_in, entry_in
from gearplan.bike.profile import FinalDrive, Gearbox
from gearplan.bike.text.numbertext import NumberTextError, parse_lap_time
from gearplan.language import marked, tr

#: How wet the track is, from dry to wet.
TRACKS = (marked("dry"), marked("damp"), marked("wet"))

_LONGEST_NOTES = 5000


def _entered(entry: Entry, default: Any = None) -> Any:
    return field(default=default, metadata={"entry": entry})


def _number(label: str, unit: str, low: float, high: float, example: str) -> Any:
    return _entered(Entry(label, "number", unit, low, high, example))


def _text(label: str, example: str = "") -> Any:
    return _entered(Entry(label, "text", example=example), "")


@dataclass(frozen=True, slots=True)
class BookEntry:
    """One outing. `lap_s` is the best lap done; `tyre_worn_mm` how deep the middle of the rear tyre is worn.

    `circumference_mm` is the rear tyre's as it rolled that day, measured; `gears` the gearbox where it is another
    than the bike's.
    """

    day: datetime.date | None = _entered(Entry(tr("Day"), "text", example="2026-05-12"))
    session: str = _text(tr("Session"), tr("free practice 2"))
    circuit: str = _text("Circuit", tr("Heronfleet"))
    rider: str = _text(tr("Rider"))
    temperature_c: float | None = _number(tr("Air"), "°C", -40, 60, "24")
    surface_c: float | None = _number(tr("Track surface"), "°C", -40, 90, "38")
    pressure_hpa: float | None = _number(tr("Air pressure"), "hPa", 400, 1100, "1009")
    wind_kmh: float | None = _number(tr("Wind"), "km/h", 0, 200, "15")
    wind_from: str = _text(tr("Wind from"), tr("south-west, head wind on the straight"))
    track: str | None = _entered(Entry(tr("Track"), "choice", choices=TRACKS))
    fuel_l: float | None = _number(tr("Fuel"), "l", 0, 100, "12")
    tyre: str = _text(tr("Rear tyre"), tr("medium, set 3"))
    tyre_worn_mm: float | None = _number(tr("Tread worn off"), "mm", 0, 15, "1.5")
    circumference_mm: float | None = _number(tr("Rolling circumference"), "mm", 600, 3500, "1955")
    front: int | None = _entered(entry_in(FinalDrive, "front"))
    rear: int | None = _entered(entry_in(FinalDrive, "rear"))
    links: int | None = _entered(entry_in(FinalDrive, "links"))
    chain: str | None = _entered(entry_in(FinalDrive, "chain"))
    gears: tuple[Ratio | None, ...] | None = _entered(entry_in(Gearbox, "gears"))
    lap_s: float | None = _number(tr("Best lap"), "s", 5, 3600, "1:45.3")
    laps: int | None = _entered(Entry(tr("Laps"), "whole", "", 1, 5000, "12"))
    notes: str = _text(tr("Notes"))

    @property
    def has_gearing(self) -> bool:
        """Whether both sprockets are known, so that one can start from them."""
        return self.front is not None and self.rear is not None

    @property
    def headed(self) -> str:
        """What the entry is called in messages: its day and circuit."""
        return ", ".join(filter(None, (self.day.isoformat() if self.day else "", self.circuit)))


def book_entries() -> Iterator[tuple[str, Entry]]:
    """The fields of an entry in their order in the file, as (key, entry)."""
    yield from entries_in(BookEntry)


def book_entry(key: str) -> Entry:
    """The entry of one field; KeyError if there is none."""
    return entry_in(BookEntry, key)


def check_book_value(key: str, value: object) -> str | None:
    """Why a value cannot stand in this field, with what would be right; None if it can."""
    if value is None:
        return None
    if key == "day":
        wrong = tr("{value} must be a date, such as 2026-05-12", value=value)
        return None if isinstance(value, datetime.date) and not isinstance(value, datetime.datetime) else wrong
    if key == "notes":
        return _check_notes(value)
    if key == "lap_s" and isinstance(value, (int, float)) and value == 0:
        return tr('0 is no lap; leave it out, or write it like 105.3 or "1:45.3"')
    return values.check_entry(book_entry(key), value)


def _check_notes(value: object) -> str | None:
    """Notes may have lines."""
    if not isinstance(value, str):
        return tr("must be a text in quotes")
    if len(value) > _LONGEST_NOTES or any((ord(c) < 32 and c not in "\n\t") or ord(c) == 127 for c in value):
        return tr("must be a text of at most {longest_notes} characters", longest_notes=_LONGEST_NOTES)
    return None


def read_day(text: str) -> datetime.date:
    """A day as typed: "2026-05-12" or "12.5.2026"; ValueError says what would be right."""
    given = text.strip()
    wrong = ValueError(tr("“{given}” is no day; write it like 2026-05-12", given=given))
    parts = given.split(".")
    try:
        if len(parts) == 3:
            return datetime.date(int(parts[2]), int(parts[1]), int(parts[0]))
        return datetime.date.fromisoformat(given)
    except ValueError:
        raise wrong from None


def as_written(key: str, value: object) -> object:
    """A value of a file as an entry holds it: a day or a lap time in quotes is read; what cannot be read stays."""
    if key == "day" and isinstance(value, str):
        try:
            return read_day(value)
        except ValueError:
            return value
    if key == "lap_s" and isinstance(value, str):
        try:
            return parse_lap_time(value)
        except NumberTextError:
            return value
    if key == "gears" and isinstance(value, list):
        return tuple(_gear(gear) for gear in value)
    return value


def _gear(gear: object) -> object:
    """A gear of a file: "" is one that is not known."""
    if isinstance(gear, list):
        return tuple(None if part == "" else part for part in gear)
    return None if gear == "" else gear


def doubts(entry: BookEntry) -> tuple[str, ...]:
    """What an entry lacks to be found, started from or compared, in words."""
    told = []
    if not entry.has_gearing:
        told.append(tr("Without front and rear teeth: it is kept and found, but no advice can start from it."))
    if not entry.circuit:
        told.append(tr("Without a circuit: it is found by its words only."))
    if entry.day is None:
        told.append(tr("Without a day: it stands before all others."))
    return tuple(told)
