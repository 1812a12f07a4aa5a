"""The bike file: TOML, format 1. Reading never guesses; saving keeps what a person wrote around the values.

Inside an array, "" stands for a number that has not been entered yet: a missing half of a pair, a missing tooth
count, or a whole gear. An absent key is a value that has not been entered.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from gearplan.bike import checks
from gearplan.bike.files.earlier import replace_keeping
from gearplan.bike.files.lock import alone
from gearplan.bike.files.tablelist import change_tables
from gearplan.bike.files.tomltext import Kind, first_of, formed_like, plain, unknown
from gearplan.bike.profile import KINDS, SECTIONS, Bike, Within, entries, entry
from gearplan.bike.values import check_text
from gearplan.bike.work.job import Job, job_from_table, job_table
from gearplan.bike.work.proposal import Proposal, proposal_from_table, proposal_table
from gearplan.bike.work.rides import Ride, ride_from_table
from gearplan.bike.work.tables import plain_entries
from gearplan.language import tr

FORMAT = 1


class BikeFileError(ValueError):
    """A file that cannot be read or written; the message is one line that names file, place and what is right."""


class ChangedOnDisk(BikeFileError):
    """The file holds something else than when it was opened."""


#: The table of how far measured values may be off: field = [value, ±].
_WITHIN = "measured_within"
#: The tables that come as often as there is something to keep.
_JOBS, _PROPOSALS, _RIDES = "job", "proposals", "rides"
_OTHERS = ("name", "kind", "format", _JOBS, _PROPOSALS, _RIDES, _WITHIN)
_KIND = Kind("bike", FORMAT, BikeFileError)


@dataclass(frozen=True, slots=True)
class BikeFile:
    """A bike as read: `text` exactly as it stood in the file, `notices` about what was odd but readable."""

    bike: Bike
    text: str
    notices: tuple[str, ...] = ()


def read_bike(path: Path) -> BikeFile:
    """Read a bike file; BikeFileError names what is wrong and where."""
    return bike_from_text(_KIND.text(path), str(path))


def bike_from_text(text: str, place: str) -> BikeFile:
    """Read a bike from TOML text; `place` names it in messages."""
    read = _KIND.tables(text, place)
    faults: list[str] = []
    notices = [f"{place}: {text}" for text in first_of(_unknown(read))]
    if text_fault := check_text(read.get("name", "")):
        faults.append(tr("name: {text_fault}", text_fault=text_fault))
    kind = read.get("kind", KINDS[0])
    if kind_fault := check_text(kind):
        faults.append(tr("kind: {kind_fault}", kind_fault=kind_fault))
    elif kind not in KINDS:
        notices.append(tr("{place}: kind: {unknown}", place=place, unknown=unknown(kind, KINDS)))
    sections = {name: SECTIONS[name](**values) for name, values in _sections(read, faults).items()}
    jobs = _jobs(read.get(_JOBS, []), faults, notices, place)
    proposals = _proposals(read.get(_PROPOSALS, []), faults, notices, place)
    rides = _rides(read.get(_RIDES, []), faults, notices, place)
    within = _within(read.get(_WITHIN, {}), faults)
    if faults:
        _KIND.refuse(place, faults)
    many: dict[str, Any] = {"jobs": jobs, "proposals": proposals, "rides": rides}
    bike = Bike(name=read.get("name", ""), kind=kind, **sections, **many, within=within)
    return BikeFile(bike, text, tuple(notices))


def _sections(tables: dict[str, Any], faults: list[str], place: str = "") -> dict[str, dict[str, Any]]:
    """The entered values of each section; what is wrong is added to the faults and left out."""
    found: dict[str, dict[str, Any]] = {}
    for section in SECTIONS:
        table = tables.get(section, {})
        if not isinstance(table, dict):
            faults.append(
                tr("{place}[{section}] must be a section of its own, headed [{section}]", place=place, section=section)
            )
            continue
        found[section] = {}
        for key, _ in entries(section):
            if key not in table:
                continue
            value = _from_toml(section, key, table[key])
            if fault := checks.check_value(section, key, value):
                faults.append(f"{place}[{section}] {key}: {fault}")
            elif value is not None:
                found[section][key] = value
    return found


def text_with(bike: Bike, text: str) -> str:
    """The TOML text with the bike's values in it; comments, order and unknown keys of `text` are kept."""
    import tomlkit

    old = plain(text)
    doc = tomlkit.parse(old)
    known = bike_from_text(old, "").bike if old.strip() else None
    if known is None:
        doc.add("format", tomlkit.item(FORMAT))
    if bike.name != (known.name if known else ""):
        doc["name"] = bike.name
    if bike.kind != (known.kind if known else KINDS[0]):
        doc["kind"] = bike.kind
    for section in SECTIONS:
        for key, _ in entries(section):
            new = getattr(getattr(bike, section), key)
            if new == (getattr(getattr(known, section), key) if known else None):
                continue
            if section not in doc:
                if doc.as_string().strip() and not doc.as_string().endswith("\n\n"):
                    doc.add(tomlkit.nl())
                doc.add(section, tomlkit.table())
            table: Any = doc[section]
            if new is None:
                del table[key]
            elif key in table and isinstance(table[key], list) and isinstance(new, tuple):
                _change_array(table[key], _to_toml(new))
            else:
                table[key] = _item(_to_toml(new))
    _change_within(doc, known.within if known else (), bike.within)
    before = _many(known or Bike())
    for name, tables in _many(bike).items():
        change_tables(doc, name, before[name], tables)
    return formed_like(text, tomlkit.dumps(doc))


def _many(bike: Bike) -> dict[str, list[dict[str, Any]]]:
    """The tables that come as often as there is something to keep, as plain values."""
    return {
        _JOBS: [_job_table(job) for job in bike.jobs],
        _PROPOSALS: [proposal_table(one) for one in bike.proposals],
        _RIDES: [plain_entries(ride) for ride in bike.rides],
    }


def _job_table(job: Job) -> dict[str, Any]:
    """The job with what it keeps of the profile, sections last."""
    kept = {name: {key: _to_toml(value) for key, value in values} for name, values in job.profile}
    return job_table(job) | ({"profile": kept} if kept else {})


def _change_within(doc: Any, old: Within, new: Within) -> None:
    import tomlkit

    wanted = {field: (value, off) for field, value, off in new}
    if new and _WITHIN not in doc:
        doc.add(_WITHIN, tomlkit.table())
    for field, *_ in old:
        if field not in wanted:
            del doc[_WITHIN][field]
    for field, both in wanted.items():
        if (field, *both) not in old:
            doc[_WITHIN][field] = _to_toml(both)


def save_bike(path: Path, bike: Bike, opened: BikeFile | None, *, over: bool = False) -> BikeFile:
    """Write the bike to a file and return it as it now stands there.

    With `opened`, what a person wrote in that text is kept; unless the bike goes `over` whatever is there,
    ChangedOnDisk is raised if the file no longer holds that text. OSError if the file cannot be written; it is then as
    it was.
    """
    text = text_with(bike, opened.text if opened else "")
    with alone(path):
        if opened is not None and not over and path.exists() and _KIND.text(path) != opened.text:
            raise ChangedOnDisk(tr("{path}: something else has changed this file since it was opened", path=path))
        replace_keeping(path, text.encode("utf-8"))
    return BikeFile(bike, text, opened.notices if opened else ())


def _unknown(read: dict[str, Any]) -> Iterator[str]:
    for name, table in read.items():
        if name in _OTHERS:
            continue
        if name not in SECTIONS:
            yield unknown(name, (*SECTIONS, *_OTHERS))
        elif isinstance(table, dict):
            keys = [key for key, _ in entries(name)]
            for key in table:
                if key not in keys:
                    yield f"[{name}] {unknown(key, keys)}"


def _within(table: Any, faults: list[str]) -> Within:
    """(field, value, ±) of what was measured."""
    if not isinstance(table, dict):
        faults.append(tr("[{within}] must be a section of its own, headed [{within}]", within=_WITHIN))
        return ()
    found = []
    for field, both in table.items():
        numbers = [n for n in both if isinstance(n, (int, float))] if isinstance(both, list) else []
        if len(numbers) != 2 or not all(map(math.isfinite, numbers)) or numbers[1] < 0:
            faults.append(
                tr(
                    "[{within}] {field}: must be a value and how far it may be off, such as [1415, 8]",
                    within=_WITHIN,
                    field=field,
                )
            )
        else:
            found.append((field, float(numbers[0]), float(numbers[1])))
    return tuple(sorted(found))


def _jobs(tables: Any, faults: list[str], notices: list[str], place: str) -> tuple[Job, ...]:
    """The jobs in the order of the file."""
    if not _are_tables(tables, _JOBS, faults):
        return ()
    jobs = []
    for number, table in enumerate(tables, 1):
        job, wrong, odd = job_from_table(table)
        faults += [tr("[[job]] {number}, {text}", number=number, text=text) for text in wrong]
        kept = table.get("profile", {})
        if isinstance(kept, dict):
            read = _sections(kept, faults, tr("[[job]] {number}, profile: ", number=number))
            job = replace(job, profile=tuple((name, tuple(values.items())) for name, values in read.items() if values))
            odd += [tr("profile: {text}", text=text) for text in first_of(_unknown(kept))]
        else:
            faults.append(
                tr(
                    "[[job]] {number}, profile: must be sections, headed [job.profile.chassis] and the like",
                    number=number,
                )
            )
        notices += [tr("{place}: [[job]] {number}: {text}", place=place, number=number, text=text) for text in odd]
        jobs.append(job)
    return tuple(jobs)


def _proposals(tables: Any, faults: list[str], notices: list[str], place: str) -> tuple[Proposal, ...]:
    """The proposals in the order of the file."""
    if not _are_tables(tables, _PROPOSALS, faults):
        return ()
    found = []
    for number, table in enumerate(tables, 1):
        proposal, wrong, odd = proposal_from_table(table)
        faults += [f"[[{_PROPOSALS}]] {number}, {text}" for text in wrong]
        notices += [f"{place}: [[{_PROPOSALS}]] {number}: {text}" for text in odd]
        found.append(proposal)
    return tuple(found)


def _rides(tables: Any, faults: list[str], notices: list[str], place: str) -> tuple[Ride, ...]:
    """The rides in the order of the file."""
    if not _are_tables(tables, _RIDES, faults):
        return ()
    found = []
    for number, table in enumerate(tables, 1):
        ride, wrong, odd = ride_from_table(table)
        faults += [f"[[{_RIDES}]] {number}, {text}" for text in wrong]
        notices += [f"{place}: [[{_RIDES}]] {number}: {text}" for text in odd]
        found.append(ride)
    return tuple(found)


def _are_tables(tables: Any, name: str, faults: list[str]) -> bool:
    if isinstance(tables, list) and all(isinstance(table, dict) for table in tables):
        return True
    faults.append(tr("[{name}] must be headed [[{name}]], once for each", name=name))
    return False


def _from_toml(section: str, key: str, value: Any) -> Any:
    """Arrays become tuples, "" inside them becomes None; numbers and texts stay."""
    kind = entry(section, key).kind
    if not isinstance(value, list) or kind not in ("ratio", "ratios", "pair", "points"):
        return value
    if kind == "ratios":
        return tuple(tuple(map(_blank, gear)) if isinstance(gear, list) else _blank(gear) for gear in value)
    if kind == "points":
        return tuple(tuple(point) if isinstance(point, list) else point for point in value)
    made = tuple(map(_blank, value))
    return None if made in ((None, None), ()) else made


def _blank(value: Any) -> Any:
    return None if value == "" else value


def _to_toml(value: Any) -> Any:
    """The inverse of `_from_toml`, with integral numbers written as integers."""
    if value is None:
        return ""
    if isinstance(value, tuple):
        return [_to_toml(part) for part in value]
    if isinstance(value, float) and value.is_integer() and abs(value) < 1e15:
        return int(value)
    return value


def _item(value: Any) -> Any:
    """A TOML item; a list of lists stands on lines of its own so that it can be read and commented."""
    import tomlkit

    item = tomlkit.item(value)
    if isinstance(value, list) and len(value) > 2 and isinstance(value[0], list):
        item.multiline(True)
    return item


def _change_array(array: Any, new: list[Any]) -> None:
    """Change only the elements that differ, so that comments inside the array stay with the others."""
    for index in range(min(len(array), len(new))):
        old = array[index]
        if isinstance(old, list) and isinstance(new[index], list) and len(old) == len(new[index]):
            _change_array(old, new[index])
        elif _plain(old) != new[index] or isinstance(old, bool):
            array[index] = new[index]
    while len(array) > len(new):
        array.pop()
    for value in new[len(array) :]:
        array.append(value)


def _plain(item: Any) -> Any:
    return item.unwrap() if hasattr(item, "unwrap") else item
