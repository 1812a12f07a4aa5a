"""How the list is written and sorted."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterable
from functools import lru_cache
from typing import Any

from gearplan.bike.text.numbertext import both_distances
from gearplan.language import marked, tr
from gearplan.shelf.entry import Listed

_NUMBERS = re.compile(r"(\d+)")
#: The columns and what the list can be sorted by, under one name.
COLUMNS = (
    marked("Motorcycle"),
    marked("Owner"),
    marked("Registration"),
    marked("Last job"),
    marked("Chain due"),
    marked("Open proposals"),
    marked("File"),
)


_LATEST_FIRST = ("Last job", "Open proposals")


def cells(entry: Listed) -> tuple[str, ...]:
    """The texts of one line, as `COLUMNS` names them."""
    file = entry.path.name.encode(errors="replace").decode()
    if entry.fault:
        return (tr("Cannot be read"), *[""] * (len(COLUMNS) - 2), file)
    job = f"{entry.job_date or tr('No date')}: {entry.job}" if entry.job else ""
    return (entry.name or tr("Unnamed bike"), entry.owner, entry.registration, job, _due(entry), _waiting(entry), file)


def _due(entry: Listed) -> str:
    if entry.chain not in ("", "fits"):
        return tr("Now")
    return "" if entry.due_km is None else tr("at {due_km}", due_km=both_distances(round(entry.due_km)))


def _waiting(entry: Listed) -> str:
    return f"{entry.proposed or tr('No date')}: {entry.proposals}" if entry.proposals else ""


def in_order(entries: Iterable[Listed], column: str, *, backwards: bool = False) -> list[Listed]:
    """Sorted by a column; where nothing stands comes last, whichever way, and what is alike by name and file.

    The last job and the proposals begin with the latest, a chain's due with the nearest.
    """
    key = _KEYS[column]
    alike = sorted(entries, key=lambda entry: (_letters(entry.name), str(entry.path)))
    keyed = [(key(entry), entry) for entry in alike]
    known = [pair for pair in keyed if pair[0] is not None]
    known.sort(key=lambda pair: pair[0], reverse=backwards != (column in _LATEST_FIRST))
    return [entry for _, entry in known] + [entry for kept, entry in keyed if kept is None]


@lru_cache(maxsize=100_000)
def _letters(text: str) -> Any:
    """As a person sorts: letters alike whether large or with an accent, numbers by their value."""
    plain = text.casefold()
    if not plain.isascii():
        plain = "".join(one for one in unicodedata.normalize("NFKD", plain) if not unicodedata.combining(one))
    parts = _NUMBERS.split(plain)
    return tuple((int(part), "") if part.isdecimal() else (-1, part) for part in parts) if text else ()


def _text(text: str) -> Any:
    return _letters(text) or None


def _nearest(entry: Listed) -> float | None:
    if entry.chain not in ("", "fits"):
        return float("-inf")
    return entry.left_km


_KEYS: dict[str, Callable[[Listed], Any]] = {
    "Motorcycle": lambda entry: _text(entry.name),
    "Owner": lambda entry: _text(entry.owner),
    "Registration": lambda entry: _text(entry.registration),
    "Last job": lambda entry: entry.job_date or None,
    "Chain due": _nearest,
    "Open proposals": lambda entry: entry.proposed or ("0" if entry.proposals else None),
    "File": lambda entry: _text(entry.path.name),
}
