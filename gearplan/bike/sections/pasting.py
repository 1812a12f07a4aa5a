"""Sections from a table of another program, and as one for it: cells parted by tabs, with or without headings.

What can be read is taken; what cannot stays as its text, and is told with its row and column.
"""

from __future__ import annotations

import csv
import io
import itertools
import re
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from typing import Any

from gearplan.bike.circuit import MOST_SECTIONS, Circuit, Section, SectionKind, label_of, section_entry
from gearplan.bike.sections.cells import (
    COLUMNS,
    HEADS,
    SectionUnits,
    exact_text,
    heading,
    read_cell,
    with_cell,
)
from gearplan.bike.text.units import measured_in
from gearplan.bike.text.written import counted, listed
from gearplan.language import tr

#: What columns are headed in tables from elsewhere, in small letters.
_NAMES = {
    "kind": "kind type typ art tipo",
    "length_m": "length len distance dist länge laenge strecke longueur lunghezza longitud",
    "turn_deg": "turn angle degrees winkel drehung richtungsänderung angolo ángulo",
    "apex_kmh": "apex speed v geschwindigkeit scheitel vitesse velocità velocidad",
    "radius_m": "radius r kurvenradius rayon raggio radio",
    "gradient_percent": "uphill gradient grade slope steigung pente pendenza pendiente",
    "note": "note name section remark bemerkung bezeichnung abschnitt nom nome nombre",
    "grip": "grip friction mu µ μ reibwert",
    "lean_deg": "lean schräglage inclinaison inclinazione",
    "lowest_gear": "lowest minimum",
    "hold_gear": "hold",
}
_KEY_OF = {name: key for key, names in _NAMES.items() for name in names.split()}
#: A number as a spreadsheet writes it, with what may stand behind it.
_FIGURES = re.compile(r"\s*[+\-−]?\d[\d.,'’ \u00a0\u202f]*")
_LONGEST, _MOST_TOLD, _QUOTED = 1_000_000, 4, 40
#: What stands in a cell that must hold something and holds nothing.
_LACKS = "?"
#: Of these it is told in which unit they were read.
_MISTAKEN = ("length_m", "radius_m", "apex_kmh", "turn_deg")
#: What a section is until its own length is read.
NEW = {
    "straight": Section("straight", 200.0),
    "corner": Section("corner", 50.0, apex_kmh=80.0, turn_deg=90.0),
}


class PasteError(ValueError):
    """A text of which nothing can be taken; the message says why, and what would be right."""


@dataclass(frozen=True, slots=True)
class Unreadable:
    """The text of a cell that cannot be read, and why."""

    text: str
    why: str


@dataclass(frozen=True, slots=True)
class PastedRow:
    """What one row holds by column; `number` is its place in the text, from 1."""

    number: int
    values: dict[str, Any] = field(default_factory=dict)
    unreadable: dict[str, Unreadable] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Pasted:
    """The rows of a table; `headed` whether its own headings said which column is which. `notes` say what was taken."""

    rows: tuple[PastedRow, ...]
    headed: bool
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Placed:
    """A circuit with pasted rows in it; `unreadable` by the section's index, then by column; `told` in words."""

    circuit: Circuit
    first: int
    unreadable: dict[int, dict[str, str]]
    told: str


def copied(circuit: Circuit, rows: Iterable[int], keys: Iterable[str], units: SectionUnits, *, headed: bool) -> str:
    """Cells of some sections as text for a spreadsheet, parted by tabs; with headings if asked."""
    columns, out = list(keys), io.StringIO()
    writer = csv.writer(out, delimiter="\t", lineterminator="\n")
    if headed:
        writer.writerow([heading(key, units) for key in columns])
    for row in rows:
        writer.writerow([exact_text(circuit.sections[row], key, units) for key in columns])
    return out.getvalue()


def read_pasted(text: str, units: SectionUnits, first: str = COLUMNS[0]) -> Pasted:
    """The rows of a text; without headings its first column is `first` and the others follow as in the table.

    PasteError if there is nothing to take.
    """
    if len(text) > _LONGEST:
        raise PasteError(tr("This is far too long for a circuit: give one row a section."))
    table = [(n, row) for n, row in enumerate(_rows(text), 1) if any(cell.strip() for cell in row)]
    if not table:
        raise PasteError(tr("There is nothing to paste: copy rows of a table first."))
    heads = [row for _, row in itertools.takewhile(lambda each: not _has_figures(each[1]), table)]
    columns: dict[int, tuple[str, str]] = {}
    notes: list[str] = []
    # Words alone are no headings: there is nothing below them.
    headed = 0 < len(heads) < len(table) and not _reads_as(first, heads[0][0], units)
    if headed:
        columns = _columns(heads, units, notes)
        table = table[len(heads) :]
    else:
        keys = COLUMNS[COLUMNS.index(first) :]
        if (wide := max(len(row) for _, row in table)) > len(keys):
            notes.append(tr("Of {wide} columns the first {keys} have a place here.", wide=wide, keys=len(keys)))
        columns = {place: (key, "") for place, key in enumerate(keys)}
    if len(table) > MOST_SECTIONS:
        raise PasteError(
            tr(
                "{table} rows are more than {most_sections}, the most sections that a circuit has.",
                table=len(table),
                most_sections=MOST_SECTIONS,
            )
        )
    mark = _decimal_mark(row[place] for _, row in table for place in columns if place < len(row))
    return Pasted(tuple(_row(number, row, columns, units, mark) for number, row in table), headed, tuple(notes))


def placed(circuit: Circuit, pasted: Pasted, at: int, last: int | None = None) -> Placed:
    """Put pasted rows into a circuit.

    Rows under headings become sections after the one at `at`, or in place of those from `at` to `last`. Rows without
    go over the cells from `at` on, and behind the last section become new ones. PasteError if they are too many.
    """
    sections, unreadable = list(circuit.sections), {}
    if pasted.headed:
        end = len(sections) if not sections else (at if last is None else last) + 1
        first = end if last is None else at
        made = [_section(row) for row in pasted.rows]
        sections[first:end] = [section for section, _ in made]
        unreadable = {first + k: cells for k, (_, cells) in enumerate(made) if cells}
        told = tr(
            "{counted} pasted as {span}.",
            counted=counted(len(made), "section", "sections"),
            span=_span(first, len(made)),
        )
    else:
        first = min(at, len(sections))
        for k, row in enumerate(pasted.rows):
            if first + k < len(sections):
                section, cells = _over(sections[first + k], row)
                sections[first + k] = section
            else:
                section, cells = _section(row)
                sections.append(section)
            if cells:
                unreadable[first + k] = cells
        told = tr(
            "{counted} pasted into {span}.",
            counted=counted(len(pasted.rows), "row", "rows"),
            span=_span(first, len(pasted.rows)),
        )
    if len(sections) > MOST_SECTIONS:
        raise PasteError(
            tr(
                "That would be {sections} sections; a circuit has {most_sections} at most.",
                sections=len(sections),
                most_sections=MOST_SECTIONS,
            )
        )
    told = " ".join((told, *_unread_words(pasted.rows), *pasted.notes))
    return Placed(replace(circuit, sections=tuple(sections)), first, unreadable, told)


def _span(first: int, count: int) -> str:
    return (
        tr("section {first}", first=first + 1)
        if count == 1
        else tr("sections {first} to {first2}", first=first + 1, first2=first + count)
    )


def _unread_words(rows: tuple[PastedRow, ...]) -> list[str]:
    found = [
        tr("Row {number}, {label_of}: {why}.", number=row.number, label_of=label_of(key), why=cell.why)
        for row in rows
        for key, cell in row.unreadable.items()
    ]
    more = len(found) - _MOST_TOLD
    return found[:_MOST_TOLD] + (
        [tr("{counted} could not be read.", counted=counted(more, "more cell", "more cells"))] if more > 0 else []
    )


def _rows(text: str) -> list[list[str]]:
    """The cells of each row: parted by tabs, else by semicolons, else by commas below a heading with commas."""
    first = next((line for line in text.splitlines() if line.strip()), "")
    if "\t" in text:
        mark = "\t"
    elif ";" in text:
        mark = ";"
    elif "," in first and not any(sign.isdigit() for sign in first):
        mark = ","
    else:
        return [[line] for line in text.splitlines()]
    # A line ends as the system of whoever copied it ends lines; one cell may hold several, in quotes.
    lines = io.StringIO(text.lstrip("\ufeff").replace("\0", ""), newline="")
    try:
        return list(csv.reader(lines, delimiter=mark))
    except csv.Error:
        return [line.split(mark) for line in text.splitlines()]


def _has_figures(row: list[str]) -> bool:
    return any(_FIGURES.match(cell) for cell in row)


def _reads_as(key: str, word: str, units: SectionUnits) -> bool:
    """Whether a word is a choice of a column, so that it heads none."""
    if section_entry(key).kind != "choice":
        return False
    try:
        return read_cell(key, word, units) is not None
    except ValueError:
        return False


def _columns(heads: list[list[str]], units: SectionUnits, notes: list[str]) -> dict[int, tuple[str, str]]:
    """Which column holds what, and in which unit, by its place."""
    wide = max(len(row) for row in heads)
    told = [" ".join(row[place].strip() for row in heads if place < len(row)).strip() for place in range(wide)]
    found: dict[int, tuple[str, str]] = {}
    left: list[str] = []
    for place, words in enumerate(told):
        key, unit = _key_of(words)
        if key is None or key in {known for known, _ in found.values()}:
            left += [f"“{words[:_QUOTED]}”"] if words else []
            continue
        found[place] = (key, unit or units.of(key))
    if not found:
        names = listed((HEADS[key] for key in COLUMNS[:5]), tr("or"))
        raise PasteError(
            tr(
                "Row 1 names no column that is known here: {join}. Head them {names}, or leave the headings out.",
                join=", ".join(left)[:120],
                names=names,
            )
        )
    with_unit = [f"{HEADS[key]} in {unit}" for key, unit in found.values() if key in _MISTAKEN]
    if with_unit:
        notes.append(tr("Read as {join}.", join=", ".join(with_unit)))
    if left:
        notes.append(tr("Not used: {join}.", join=", ".join(left)))
    return found


def _key_of(words: str) -> tuple[str | None, str]:
    """The column that a heading names, and the unit in it; None for a heading that names none."""
    parts = [part for part in re.split(r"[\s\[\](){},:;_=]+", words.lower()) if part]
    for part in parts:
        if (key := _KEY_OF.get(part)) is not None:
            return key, _unit_in(key, [other for other in parts if other != part])
    # A unit of speed can be that of one column only.
    speed = _unit_in("apex_kmh", parts)
    return ("apex_kmh", speed) if speed else (None, "")


def _unit_in(key: str, parts: list[str]) -> str:
    """The unit of a heading's other words, as its quantity names it; empty where it says none."""
    measured = measured_in(section_entry(key).measure)
    if measured is None:
        return ""
    for part in parts:
        if (unit := measured[0].spelled(part)) is not None:
            return unit.name
    return ""


def _decimal_mark(cells: Iterable[str]) -> str:
    """The decimal mark where the cells decide it: one that any other count of figures than three stands behind."""
    marks = {
        match[1]
        for cell in cells
        if (match := re.match(r"\s*[+\-−]?\d+([.,])(\d+)(?![.,\d])", cell)) and len(match[2]) != 3
    }
    return marks.pop() if len(marks) == 1 else ""


def _plain(cell: str, mark: str) -> str:
    """A cell whose number can be read in one way only, where the table's decimal mark is known."""
    match = _FIGURES.match(cell)
    if match is None or not mark:
        return cell
    whole, _, behind = match[0].strip().partition(mark)
    whole = whole.replace("," if mark == "." else ".", "")
    # Three figures behind the mark could be thousands again.
    return f"{whole}{f'.{behind}0' if behind else ''} {cell[match.end() :].strip()}".strip()


def _row(
    number: int, cells: list[str], columns: dict[int, tuple[str, str]], units: SectionUnits, mark: str
) -> PastedRow:
    made = PastedRow(number)
    for place, (key, unit) in columns.items():
        text = cells[place].strip() if place < len(cells) else ""
        if not text:
            continue
        what = section_entry(key)
        given = _plain(text, mark) if what.kind in ("number", "whole") else text
        try:
            made.values[key] = read_cell(key, given, _in(unit, what.unit, units))
        except ValueError as refused:
            made.unreadable[key] = Unreadable(text, str(refused))
    return made


def _in(unit: str, own: str, units: SectionUnits) -> SectionUnits:
    """The table's units with that of the column at hand."""
    if unit and own == "m":
        return replace(units, length=unit)
    return replace(units, speed=unit) if unit and own == "km/h" else units


def _section(row: PastedRow) -> tuple[Section, dict[str, str]]:
    """A new section of a row, and what of it could not be read."""
    bends = any(row.values.get(key) or key in row.unreadable for key in ("turn_deg", "apex_kmh", "radius_m"))
    kind: SectionKind = row.values.get("kind", "corner" if bends else "straight")
    section, cells = _over(Section(kind, NEW[kind].length_m), row)
    if "length_m" not in row.values:
        cells.setdefault("length_m", _LACKS)
    return section, cells


def _over(section: Section, row: PastedRow) -> tuple[Section, dict[str, str]]:
    """A section with the cells of a row in place of its own."""
    for key, value in row.values.items():
        section = with_cell(section, key, value)
    for key in row.unreadable:
        section = with_cell(section, key, None)
    return section, {key: cell.text[:200] for key, cell in row.unreadable.items()}
