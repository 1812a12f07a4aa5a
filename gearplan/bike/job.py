"""A fitting job as the bike file keeps it: what came off, what went on, what was measured, who signed.

Immutable, like the rest of the profile. Readings are kept as they were typed, number and unit ("17,50 mm"), so that
nothing typed is lost and a later version can read them anew. In the file each job is a [[job]].
"""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, fields
from typing import Any

from gearplan.bike.entries import Entry, entries_in
from gearplan.bike.values import check_entry, check_text

#: How far a job has come: being worked on, fitted but not yet looked at after the first ride, finished.
STATES = ("open", "fitted", "done")

Texts = tuple[tuple[str, str], ...]
#: Values of a profile that a job keeps: (section, ((field, value), …)) of what was entered.
Kept = tuple[tuple[str, tuple[tuple[str, Any], ...]], ...]
_MOST_TEXTS = 400
#: The standard allows other spellings too; this one sorts as days do.
_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")


def _entered(label: str, kind: Any, unit: str = "", low: float = 0, high: float = 0, **more: Any) -> Any:
    return field(default=None, metadata={"entry": Entry(label, kind, unit, low, high, **more)})


def _yes_or_no(label: str) -> Any:
    return _entered(label, "choice", choices=("yes", "no"))


@dataclass(frozen=True, slots=True)
class JobPart:
    """What the shop entered for one part of the list: quantity, its own part number, a price each."""

    part: str | None = _entered("Part", "text")
    quantity: float | None = _entered("Quantity", "number", "", 0, 1000)
    number: str | None = _entered("Part number", "text")
    price: float | None = _entered("Price", "number", "", 0, 1_000_000)


@dataclass(frozen=True, slots=True)
class Job:
    """One job. The fields that begin with `old_` are the set that came off.

    `readings` are (blank, text as typed), `signed` (step, initials), `reasons` (step, why it was signed without its
    measurement or against its limit). `profile` are the bike's values as they were when the job was finished: what
    its sheet says rests on them for good.
    """

    date: str | None = _entered("Date", "text", example="2026-05-31")
    state: str | None = _entered("State", "choice", choices=STATES)
    technician: str | None = _entered("Technician's initials", "text", example="M. K.")
    odometer_km: float | None = _entered("Odometer", "number", "km", 0, 1_000_000)
    old_chain: str | None = _entered("Chain size before", "chain")
    old_front: int | None = _entered("Front sprocket before", "whole", "teeth", 9, 60)
    old_rear: int | None = _entered("Rear sprocket before", "whole", "teeth", 9, 150)
    old_links: int | None = _entered("Chain length before", "whole", "links", 20, 400)
    chain: str | None = _entered("Chain size", "chain")
    front: int | None = _entered("Front sprocket", "whole", "teeth", 9, 60)
    rear: int | None = _entered("Rear sprocket", "whole", "teeth", 9, 150)
    links: int | None = _entered("Chain length", "whole", "links", 20, 400)
    new_front: str | None = _yes_or_no("New front sprocket")
    new_rear: str | None = _yes_or_no("New rear sprocket")
    new_chain: str | None = _yes_or_no("New chain")
    opened: str | None = _entered("Old chain", "choice", choices=("cut", "split at its link", "left closed"))
    closed: str | None = _entered("Chain closed by", "choice", choices=("rivet link", "clip link", "endless"))
    wheel_out: str | None = _yes_or_no("Rear wheel taken out")
    track_only: str | None = _yes_or_no("Parts for the track only")
    consent: str | None = _yes_or_no("Customer agrees to track use only")
    note: str | None = _entered("Note", "text")
    kind: str | None = _entered("Kind of motorcycle", "text")
    old_wear: tuple[tuple[float, float], ...] | None = _entered(
        "Readings of the old chain", "points", "km, mm", 0, 1_000_000, most=3000
    )
    readings: Texts = ()
    signed: Texts = ()
    reasons: Texts = ()
    parts: tuple[JobPart, ...] = ()
    profile: Kept = ()


#: The tables of texts within a job.
_TABLES = ("readings", "signed", "reasons")


def check_date(text: str) -> str | None:
    """Why a text is no date; None if it is one."""
    try:
        if _DAY.fullmatch(text) and datetime.date.fromisoformat(text):
            return None
    except ValueError:
        pass
    return f"“{text[:40]}” is no date; write it like 2026-05-31"


def job_from_table(table: Mapping[str, Any]) -> tuple[Job, list[str], list[str]]:
    """(job, faults, notices) of one [[job]] as read from TOML; with faults the job lacks what is wrong.

    What it keeps of the profile is read by whoever knows the profile's fields.
    """
    faults: list[str] = []
    values = _entries_from(Job, table, faults, "")
    if "date" in values and (text := check_date(values["date"])):
        faults.append(f"date: {text}")
    for name in _TABLES:
        values[name] = tuple(_texts_from(table.get(name, {}), name, faults))
    parts = table.get("part", [])
    if not isinstance(parts, list) or not all(isinstance(part, Mapping) for part in parts):
        faults.append("part: each part is a section of its own, headed [[job.part]]")
        parts = []
    values["parts"] = tuple(
        JobPart(**_entries_from(JobPart, part, faults, f"part {number}: ")) for number, part in enumerate(parts, 1)
    )
    known = {f.name for f in fields(Job)} - {"parts"} | {"part"}
    notices = [f"“{key}” is not known and is left as it is" for key in table if key not in known]
    return Job(**values), faults, notices


def job_table(job: Job) -> dict[str, Any]:
    """The job as plain values for TOML, what is not entered left out; inverse of `job_from_table`."""
    table = _plain(job)
    for name in _TABLES:
        if texts := getattr(job, name):
            table[name] = dict(texts)
    if job.parts:
        table["part"] = [_plain(part) for part in job.parts]
    return table


def _plain(entered: Job | JobPart) -> dict[str, Any]:
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


def _entries_from(kind: type, table: Mapping[str, Any], faults: list[str], place: str) -> dict[str, Any]:
    values: dict[str, Any] = {}
    for key, what in entries_in(kind):
        if key not in table:
            continue
        value = table[key]
        if isinstance(value, datetime.date) and key == "date":
            value = value.isoformat()[:10]
        if isinstance(value, list):
            value = tuple(tuple(point) if isinstance(point, list) else point for point in value)
        if text := check_entry(what, value):
            faults.append(f"{place}{key}: {text}")
        else:
            values[key] = value
    return values


def _texts_from(table: object, name: str, faults: list[str]) -> Iterator[tuple[str, str]]:
    if not isinstance(table, Mapping) or len(table) > _MOST_TEXTS:
        faults.append(f"{name}: must be a section of texts, headed [job.{name}]")
        return
    for key, value in table.items():
        # A number that a person wrote without quotes is as good as its text.
        text = str(value) if isinstance(value, (int, float)) and not isinstance(value, bool) else value
        if fault := check_text(text):
            faults.append(f"{name}, {key}: {fault}")
        else:
            yield str(key), str(text)
