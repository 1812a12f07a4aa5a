"""The bike file: TOML, format 1. Reading never guesses; saving keeps what a person wrote around the values.

Inside an array, "" stands for a number that has not been entered yet: a missing half of a pair, a missing tooth
count, or a whole gear. An absent key is a value that has not been entered.
"""

from __future__ import annotations

import difflib
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from gearplan.bike import checks
from gearplan.bike.atomic import replace_file
from gearplan.bike.job import Job, job_from_table
from gearplan.bike.jobtables import change_jobs
from gearplan.bike.profile import SECTIONS, Bike, entries, entry

FORMAT = 1
_LARGEST = 1_000_000
_TOLD_AT_ONCE = 3
_BOM = "\ufeff"


class BikeFileError(ValueError):
    """A file that cannot be read or written; the message is one line that names file, place and what is right."""


class ChangedOnDisk(BikeFileError):
    """The file holds something else than when it was opened."""


@dataclass(frozen=True, slots=True)
class BikeFile:
    """A bike as read: `text` exactly as it stood in the file, `notices` about what was odd but readable."""

    bike: Bike
    text: str
    notices: tuple[str, ...] = ()


def read_bike(path: Path) -> BikeFile:
    """Read a bike file; BikeFileError names what is wrong and where."""
    return bike_from_text(_text_of(path), str(path))


def bike_from_text(text: str, place: str) -> BikeFile:
    """Read a bike from TOML text; `place` names it in messages."""
    try:
        read = tomllib.loads(text.removeprefix(_BOM).replace("\r\n", "\n"))
    except tomllib.TOMLDecodeError as broken:
        raise BikeFileError(f"{place}: not a readable bike file: {broken}") from broken
    except (RecursionError, ValueError) as broken:
        raise BikeFileError(f"{place}: not a readable bike file: {broken}") from broken
    if not read:
        raise BikeFileError(f"{place}: the file is empty: there is no bike in it")
    _check_format(read, place)
    faults: list[str] = []
    notices = [f"{place}: {text}" for text in _unknown(read)]
    if text_fault := checks.check_text(read.get("name", "")):
        faults.append(f"name: {text_fault}")
    sections: dict[str, Any] = {}
    for section, kind in SECTIONS.items():
        table = read.get(section, {})
        if not isinstance(table, dict):
            faults.append(f"[{section}] must be a section of its own, headed [{section}]")
            continue
        values: dict[str, Any] = {}
        for key, _ in entries(section):
            if key in table:
                value = _from_toml(section, key, table[key])
                if fault := checks.check_value(section, key, value):
                    faults.append(f"[{section}] {key}: {fault}")
                values[key] = value
        if not faults:
            sections[section] = kind(**values)
    jobs = _jobs(read.get("job", []), faults, notices, place)
    if faults:
        more = len(faults) - _TOLD_AT_ONCE
        told = "; ".join(faults[:_TOLD_AT_ONCE]) + (f"; and {more} more" if more > 0 else "")
        raise BikeFileError(f"{place}: {told}".replace("\n", " "))
    return BikeFile(Bike(name=read.get("name", ""), **sections, jobs=jobs), text, tuple(notices))


def text_with(bike: Bike, text: str) -> str:
    """The TOML text with the bike's values in it; comments, order and unknown keys of `text` are kept."""
    import tomlkit

    ends = "\r\n" if "\r\n" in text else "\n"
    mark = _BOM if text.startswith(_BOM) else ""
    plain = text.removeprefix(_BOM).replace("\r\n", "\n")
    doc = tomlkit.parse(plain)
    known = bike_from_text(plain, "").bike if plain.strip() else None
    if known is None:
        doc.add("format", tomlkit.item(FORMAT))
    if bike.name != (known.name if known else ""):
        doc["name"] = bike.name
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
    change_jobs(doc, known.jobs if known else (), bike.jobs)
    written: str = tomlkit.dumps(doc)
    return mark + (written.replace("\n", "\r\n") if ends == "\r\n" else written)


def save_bike(path: Path, bike: Bike, opened: BikeFile | None) -> BikeFile:
    """Write the bike to a file and return it as it now stands there.

    With `opened`, what a person wrote in that text is kept, and ChangedOnDisk is raised if the file no longer
    holds it. OSError if the file cannot be written; it is then as it was.
    """
    if opened is not None and path.exists() and _text_of(path) != opened.text:
        raise ChangedOnDisk(f"{path}: something else has changed this file since it was opened")
    text = text_with(bike, opened.text if opened else "")
    replace_file(path, text.encode("utf-8"))
    return BikeFile(bike, text, opened.notices if opened else ())


def text_of(path: Path, what: str, refusal: type[ValueError]) -> str:
    """The text of a file of the kind `what` ("bike", "circuit"); `refusal` with one line if it cannot be read."""
    try:
        if path.is_dir():
            raise refusal(f"{path}: this is a folder; name a .{what}.toml file in it")
        if path.exists() and not path.is_file():
            raise refusal(f"{path}: this is not a file")
        with path.open("rb") as file:
            data = file.read(_LARGEST + 1)
    except FileNotFoundError:
        raise refusal(f"{path}: there is no such file") from None
    except (OSError, ValueError) as failed:
        if isinstance(failed, refusal):
            raise
        reason = failed.strerror if isinstance(failed, OSError) and failed.strerror else str(failed)
        raise refusal(f"{path}: cannot be read: {reason}") from failed
    if len(data) > _LARGEST:
        raise refusal(f"{path}: larger than {_LARGEST // 1000} kB, which no {what} file is")
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError as broken:
        raise refusal(f"{path}: not a text file in UTF-8 (byte {broken.start})") from broken


def _text_of(path: Path) -> str:
    return text_of(path, "bike", BikeFileError)


def _check_format(read: dict[str, Any], place: str) -> None:
    given = read.get("format")
    if given is None:
        raise BikeFileError(f"{place}: the line “format = {FORMAT}” is missing at the top: is this a bike file?")
    if isinstance(given, bool) or not isinstance(given, int) or given < 1:
        raise BikeFileError(f"{place}: format must be a whole number, format = {FORMAT}")
    if given > FORMAT:
        raise BikeFileError(f"{place}: made by a newer version: format {given}, and this version reads up to {FORMAT}")


def _unknown(read: dict[str, Any]) -> Iterator[str]:
    for name, table in read.items():
        if name in ("format", "name", "job"):
            continue
        if name not in SECTIONS:
            yield f"“{name}” is not known and is left as it is{_guess(name, (*SECTIONS, 'name', 'format', 'job'))}"
        elif isinstance(table, dict):
            keys = [key for key, _ in entries(name)]
            for key in table:
                if key not in keys:
                    yield f"[{name}] “{key}” is not known and is left as it is{_guess(key, keys)}"


def _jobs(tables: Any, faults: list[str], notices: list[str], place: str) -> tuple[Job, ...]:
    """The jobs in the order of the file."""
    if not isinstance(tables, list) or not all(isinstance(table, dict) for table in tables):
        faults.append("[job] must be headed [[job]], once for each job")
        return ()
    jobs = []
    for number, table in enumerate(tables, 1):
        job, wrong, odd = job_from_table(table)
        faults += [f"[[job]] {number}, {text}" for text in wrong]
        notices += [f"{place}: [[job]] {number}: {text}" for text in odd]
        jobs.append(job)
    return tuple(jobs)


def _guess(word: str, known: Any) -> str:
    near = difflib.get_close_matches(word, known, 1, 0.6)
    return f"; did you mean “{near[0]}”?" if near else ""


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
