"""The circuit file: TOML, format 1, one [[section]] after another, [[rider]] for who rides.

Saving keeps what a person wrote around the values.

Comment lines directly above a [[section]] belong to it and move with it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from gearplan.bike import values
from gearplan.bike.circuit import (
    KINDS,
    MOST_SECTIONS,
    Circuit,
    Section,
    check_section_value,
    section_entries,
)
from gearplan.bike.files.earlier import replace_keeping
from gearplan.bike.files.lock import alone
from gearplan.bike.files.tomltext import Kind, blocks, first_of, formed_like, plain, unknown
from gearplan.bike.library import demo_circuits
from gearplan.bike.rider import MOST_RIDERS, Rider, check_rider_value, rider_keys
from gearplan.language import tr

FORMAT = 1
#: How the names of circuit files end.
SUFFIX = ".circuit.toml"
_KEYS = tuple(key for key, _ in section_entries())


class CircuitFileError(ValueError):
    """A file that cannot be read or written; the message is one line that names file, place and what is right."""


class CircuitChangedOnDisk(CircuitFileError):
    """The file holds something else than when it was opened."""


_KIND = Kind("circuit", FORMAT, CircuitFileError)


@dataclass(frozen=True, slots=True)
class CircuitFile:
    """A circuit as read: `text` exactly as it stood in the file, `notices` about what was odd but readable."""

    circuit: Circuit
    text: str
    notices: tuple[str, ...] = ()


def read_circuit(path: Path) -> CircuitFile:
    """Read a circuit file; CircuitFileError names what is wrong and where."""
    return circuit_from_text(_KIND.text(path), str(path))


def demo_circuit(name: str | None = None) -> CircuitFile:
    """A demo circuit by its name, or the first; KeyError if there is none of that name."""
    circuits = demo_circuits()
    chosen = next(iter(circuits)) if name is None else name
    return circuit_from_text(circuits[chosen].read_text(encoding="utf-8"), chosen)


def circuit_from_text(text: str, place: str) -> CircuitFile:
    """Read a circuit from TOML text; `place` names it in messages. Sections and riders count from 1 in them.

    A corner that is not finished (no apex speed, no radius) is read; `circuit.refusal` tells of it.
    """
    read = _KIND.tables(text, place)
    given = read.get("section", [])
    if not isinstance(given, list) or not all(isinstance(table, dict) for table in given):
        raise CircuitFileError(tr("{place}: each section must be headed [[section]]", place=place))
    if not given and "gearbox" in read:
        raise CircuitFileError(tr("{place}: this is a bike file; name a .circuit.toml file", place=place))
    if len(given) > MOST_SECTIONS:
        raise CircuitFileError(
            tr(
                "{place}: {given} sections are more than {most_sections}: join some",
                place=place,
                given=len(given),
                most_sections=MOST_SECTIONS,
            )
        )
    faults: list[str] = []
    if text_fault := values.check_text(read.get("name", "")):
        faults.append(tr("name: {text_fault}", text_fault=text_fault))
    sections = []
    for number, table in enumerate(given, 1):
        section = _section(table)
        if isinstance(section, str):
            faults.append(tr("section {number}: {section}", number=number, section=section))
        else:
            sections.append(section)
    riders = read.get("rider", [])
    if not isinstance(riders, list) or not all(isinstance(table, dict) for table in riders):
        raise CircuitFileError(tr("{place}: each rider must be headed [[rider]]", place=place))
    if len(riders) > MOST_RIDERS:
        faults.append(
            tr(
                "{riders} riders are more than {most_riders}: keep those to be compared",
                riders=len(riders),
                most_riders=MOST_RIDERS,
            )
        )
    for number, table in enumerate(riders, 1):
        texts = ((key, check_rider_value(key, table[key])) for key in rider_keys() if key in table)
        faults += [
            tr("rider {number}: {key}: {text}", number=number, key=key, text=text) for key, text in texts if text
        ]
    if faults:
        _KIND.refuse(place, faults)
    notices = tuple(f"{place}: {notice}" for notice in first_of(_unknown(read, given, riders)))
    return CircuitFile(Circuit(read.get("name", ""), tuple(sections), tuple(map(_rider, riders))), text, notices)


def circuit_text(circuit: Circuit, text: str) -> str:
    """The TOML text with the circuit in it; comments and unknown keys of `text` are kept and move with sections."""
    import tomlkit

    before = plain(text)
    known = circuit_from_text(before, "").circuit if before.strip() else None
    if known == circuit:
        return text
    head, texts, rest = blocks(before, "section")
    if known is None:
        head = f"format = {FORMAT}\n"
    elif len(texts) != len(known.sections):
        # Sections written in another form than one heading each: they are written anew.
        doc = tomlkit.parse(before)
        doc.remove("section")
        head, texts, rest = tomlkit.dumps(doc), [], ""
        known = Circuit(known.name)
    if circuit.name != (known.name if known else ""):
        doc = tomlkit.parse(head)
        doc["name"] = circuit.name
        head = tomlkit.dumps(doc)
    if circuit.sections and head and not head.endswith("\n"):
        head += "\n"
    old = known.sections if known else ()
    made = [
        _block(section, None if k is None else (old[k], texts[k]))
        for section, k in zip(circuit.sections, _origins(circuit.sections, old), strict=True)
    ]
    whole = head + "".join(made) + rest
    if circuit.riders != (circuit_from_text(whole, "").circuit.riders if whole.strip() else ()):
        whole = _with_riders(whole, circuit.riders)
    return formed_like(text, whole)


def save_circuit(path: Path, circuit: Circuit, opened: CircuitFile | None, *, over: bool = False) -> CircuitFile:
    """Write the circuit to a file and return it as it now stands there.

    With `opened`, what a person wrote in that text is kept; unless the circuit goes `over` whatever is there,
    CircuitChangedOnDisk is raised if the file no longer holds that text. OSError if the file cannot be written; it is
    then as it was.
    """
    text = circuit_text(circuit, opened.text if opened else "")
    with alone(path):
        if opened is not None and not over and path.exists() and _KIND.text(path) != opened.text:
            raise CircuitChangedOnDisk(
                tr("{path}: something else has changed this file since it was opened", path=path)
            )
        replace_keeping(path, text.encode("utf-8"))
    return circuit_from_text(text, str(path))


def _section(table: dict[str, Any]) -> Section | str:
    """The section of a table, or what is wrong with it."""
    for key in ("kind", "length_m"):
        if key not in table:
            example = " or ".join(f'"{kind}"' for kind in KINDS) if key == "kind" else "420"
            return tr("{key} is missing; write {key} = {example}", key=key, example=example)
    for key in _KEYS:
        if key in table and (text := check_section_value(key, table[key])):
            return f"{key}: {text}"
    return Section(**{key: table[key] for key in _KEYS if key in table})


def _rider(table: dict[str, Any]) -> Rider:
    """The rider of a table whose values are checked."""
    given = {key: table[key] for key in rider_keys() if key in table}
    if "skips" in given:
        given["skips"] = tuple(sorted(set(given["skips"])))
    return Rider(**given)


def _with_riders(text: str, riders: tuple[Rider, ...]) -> str:
    """The TOML text with these riders; what else stands in their tables is kept."""
    import tomlkit

    doc: Any = tomlkit.parse(text)
    tables: Any = doc.get("rider", tomlkit.aot())
    for number, rider in enumerate(riders):
        if number == len(tables):
            tables.append(tomlkit.table())
        table = tables[number]
        for key in rider_keys():
            new = getattr(rider, key)
            if new is None or new in ((), ""):
                table.pop(key, None)
            elif key not in table or table[key] != (list(new) if key == "skips" else new):
                table[key] = list(new) if key == "skips" else int(new) if _is_whole(new) else new
    while len(tables) > len(riders):
        del tables[len(tables) - 1]
    if "rider" not in doc and riders:
        doc.append("rider", tables)
    elif not riders:
        doc.pop("rider", None)
    return tomlkit.dumps(doc)


def _is_whole(value: object) -> bool:
    return isinstance(value, float) and value.is_integer()


def _unknown(read: dict[str, Any], given: list[dict[str, Any]], riders: list[dict[str, Any]]) -> Iterator[str]:
    for name in read:
        if name not in ("format", "name", "section", "rider"):
            yield unknown(name, ("section", "rider", "name", "format"))
    for number, table in enumerate(riders, 1):
        for key in table:
            if key not in rider_keys():
                yield tr("rider {number}: {unknown}", number=number, unknown=unknown(key, rider_keys()))
    for number, table in enumerate(given, 1):
        for key in table:
            if key not in _KEYS:
                yield tr("section {number}: {unknown}", number=number, unknown=unknown(key, _KEYS))


def _origins(new: tuple[Section, ...], old: tuple[Section, ...]) -> list[int | None]:
    """For each section of the new order the old one that it was: an equal one, else the nearest that is left."""
    free = list(range(len(old)))
    found: list[int | None] = [None] * len(new)
    for same in (True, False):
        for index, section in enumerate(new):
            if found[index] is None:
                fitting = [k for k in free if old[k] == section] if same else free
                if fitting and (same or len(free) > 0):
                    nearest = min(fitting, key=lambda k: abs(k - index))
                    found[index] = nearest
                    free.remove(nearest)
    return found


def _block(section: Section, origin: tuple[Section, str] | None) -> str:
    """The text of one section; with `origin`, the old section and its text, only what differs is changed."""
    import tomlkit

    if origin is not None and origin[0] == section:
        return origin[1]
    doc = tomlkit.parse(origin[1] if origin else "\n[[section]]\n")
    tables: Any = doc["section"]
    table = tables[0]
    defaults = {"gradient_percent": 0.0, "turn_deg": 0.0, "note": "", "hold_gear": False}
    for key in _KEYS:
        new = getattr(section, key)
        before = getattr(origin[0], key) if origin else defaults.get(key)
        if new == before and type(new) is type(before):
            continue
        if new is None or (key in table and new == defaults.get(key) and key == "note"):
            table.pop(key, None)
        elif isinstance(new, float) and new.is_integer():
            table[key] = int(new)
        else:
            table[key] = new
    return tomlkit.dumps(doc)
