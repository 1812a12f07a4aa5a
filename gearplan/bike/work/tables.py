"""Values of entries to and from a TOML table that is one of many alike, such as a job or a proposal."""

from __future__ import annotations

import datetime
import re
from collections.abc import Mapping
from typing import Any

from gearplan.bike.entries import entries_in
from gearplan.bike.values import check_entry
from gearplan.language import tr

#: The standard allows other spellings too; this one sorts as days do.
_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")


def check_date(text: str) -> str | None:
    """Why a text is no date; None if it is one."""
    try:
        if _DAY.fullmatch(text) and datetime.date.fromisoformat(text):
            return None
    except ValueError:
        pass
    return tr("“{text}” is no date; write it like 2026-05-31", text=text[:40])


def entries_from(
    kind: type, table: Mapping[str, Any], faults: list[str], place: str = "", days: tuple[str, ...] = ()
) -> dict[str, Any]:
    """The values of a class's entries in a table; what is wrong is added to `faults`, at a `place`, and left out.

    `days` are the texts that must be dates.
    """
    values: dict[str, Any] = {}
    for key, what in entries_in(kind):
        if key not in table:
            continue
        value = table[key]
        if isinstance(value, datetime.date) and key in days:
            value = value.isoformat()[:10]
        if isinstance(value, list):
            value = tuple(tuple(point) if isinstance(point, list) else point for point in value)
        text = check_entry(what, value)
        if not text and key in days:
            text = check_date(value)
        if text:
            faults.append(f"{place}{key}: {text}")
        else:
            values[key] = value
    return values


def tables_of(table: Mapping[str, Any], name: str, heading: str, faults: list[str]) -> list[Mapping[str, Any]]:
    """The tables under a name within a table; none, and a fault, where there is something else."""
    found = table.get(name, [])
    if isinstance(found, list) and all(isinstance(one, Mapping) for one in found):
        return found
    faults.append(
        tr("{name}: each {name} is a section of its own, headed [[{heading}.{name}]]", name=name, heading=heading)
    )
    return []


def plain_entries(entered: Any) -> dict[str, Any]:
    """The entered values of an object's entries as plain values for TOML, what is not entered left out."""
    found: dict[str, Any] = {}
    for key, _ in entries_in(type(entered)):
        value = getattr(entered, key)
        if isinstance(value, tuple):
            value = [[_whole(part) for part in point] for point in value]
        if value is not None:
            found[key] = _whole(value)
    return found


def _whole(value: Any) -> Any:
    """Whole numbers are written as such."""
    return int(value) if isinstance(value, float) and value.is_integer() and abs(value) < 1e15 else value
