"""How a ride log's text is laid out: where the data begin, what parts the cells, and which row names the columns."""

from __future__ import annotations

import csv
import itertools
import re
from collections import Counter
from collections.abc import Sequence

from gearplan.language import tr
from gearplan.ridelog.log import LogError
from gearplan.ridelog.reading.columns import Column, Layout, guess, guess_by_values, time_text, unit_in
from gearplan.ridelog.reading.headings import Kind
from gearplan.ridelog.reading.pieces import RIGHT

_DELIMITERS = (";", "\t", ",", "|")
#: Rows that are looked at for the guesses, and rows of the preview.
_SAMPLE, _PREVIEW = 200, 6
_MOST_COLUMNS = 400
#: Cells that say "no value".
EMPTY = frozenset({"", "-", "--", "n/a", "na", "nan", "null", "none", "nil", "invalid", "?"})
_NUMBER = re.compile(r"[+-]?(\d+([.,]\d*)?|[.,]\d+)([eE][+-]?\d+)?")
_NOTE = ("#", "//", "%", "!", '"#')


def is_note(line: str) -> bool:
    """Whether a line is a comment, not data."""
    return line.lstrip().startswith(_NOTE)


def layout_of(text: str) -> Layout:
    """The layout of a file by its beginning (whole lines); LogError if no rows of numbers are found."""
    lines = text.split("\n")
    told = [(number, line) for number, line in enumerate(lines, 1) if line.strip() and not is_note(line)]
    if not told:
        raise LogError(tr("There is no row to read. {right}", right=RIGHT))
    delimiter = _delimiter([line for _, line in told])
    table = [(number, cells_of(line, delimiter)) for number, line in told]
    at = _data_from(table)
    if at is None:
        raise LogError(
            tr(
                "No rows of numbers were found: row {told} is “{told2}”. {right}",
                told=told[0][0],
                told2=told[0][1].strip()[:40],
                right=RIGHT,
            )
        )
    body = [cells for _, cells in table[at : at + _SAMPLE]]
    width = Counter(len(cells) for cells in body).most_common(1)[0][0]
    if width > _MOST_COLUMNS:
        raise LogError(
            tr(
                "Row {table} has {width} cells; a ride log has at most {most_columns} columns.",
                table=table[at][0],
                width=width,
                most_columns=_MOST_COLUMNS,
            )
        )
    comma = delimiter != "," and any("," in cell and is_value(cell) for cells in body for cell in cells)
    headings, units, gathered = _heads(table[:at], width, delimiter, comma)
    samples = [[number_in(cells[i]) if i < len(cells) else None for cells in body] for i in range(width)]
    texts = [[cells[i] if i < len(cells) else "" for cells in body] for i in range(width)]
    columns = guess(headings, units, samples) if headings else guess_by_values(samples)
    columns = [_by_texts(column, texts[column.index], columns) for column in columns]
    if not headings:
        gathered.append(tr("There is no heading; the columns are guessed from their values."))
    look = (f"{heading} {unit}".strip() for heading, unit in itertools.zip_longest(headings, units, fillvalue=""))
    return Layout(
        delimiter,
        comma,
        table[at][0],
        tuple(columns),
        tuple(map(tuple, body[:_PREVIEW])),
        tuple(gathered),
        look=tuple(look) if headings else (),
    )


def cells_of(line: str, delimiter: str) -> list[str]:
    """The cells of one line, without quotes and outer spaces."""
    if delimiter == " ":
        return line.split()
    if '"' in line:
        try:
            return [cell.strip() for cell in next(csv.reader([line], delimiter=delimiter), [])]
        except csv.Error:
            line = line.replace('"', "")
    return [cell.strip() for cell in line.rstrip("\r").split(delimiter)]


def number_in(cell: str) -> float | None:
    """The number in a cell, with decimal point or comma; None for anything else."""
    return float(cell.replace(",", ".")) if _NUMBER.fullmatch(cell) and len(cell) < 40 else None


def is_value(cell: str) -> bool:
    """Whether a cell is a number, a date or a clock's time."""
    return bool(_NUMBER.fullmatch(cell) or time_text(cell))


def _delimiter(lines: Sequence[str]) -> str:
    """The sign that parts most lines into the same number of cells."""
    some = lines[:400]
    best, most = " ", 0.0
    for sign in _DELIMITERS:
        counts = Counter(line.count(sign) for line in some)
        counts.pop(0, None)
        if not counts:
            continue
        parts, times = counts.most_common(1)[0]
        score = times / len(some) + 0.001 * min(parts, 50)
        # A comma may be a decimal mark: then another sign parts the cells as steadily.
        if score > most + 0.05:
            best, most = sign, score
    return best if most > 0.4 else (" " if any(len(line.split()) > 1 for line in some[-20:]) else ",")


def _data_from(table: Sequence[tuple[int, list[str]]]) -> int | None:
    """The first row from which on rows hold mostly values."""
    for at, (_, cells) in enumerate(table):
        if not _is_data(cells):
            continue
        after = table[at + 1 : at + 4]
        alike = [len(row) == len(cells) and _is_data(row) for _, row in after]
        if sum(alike) >= len(alike) / 2 or len(table) <= 2:
            return at
    return None


def _is_data(cells: list[str]) -> bool:
    values = sum(is_value(cell) for cell in cells)
    filled = sum(cell.lower() not in EMPTY for cell in cells)
    return values >= 1 and 2 * values >= filled


def _heads(
    above: Sequence[tuple[int, list[str]]], width: int, delimiter: str, comma: bool
) -> tuple[list[str], list[str], list[str]]:
    """Headings, row of units and notes from the rows above the data."""
    near = [(number, cells) for number, cells in above[-4:] if abs(len(cells) - width) <= 1 and len(cells) > 1]
    if not near and width == 1 and above:
        near = [above[-1]]
    units: list[str] = []
    names: list[tuple[int, list[str]]] = []
    for number, cells in near:
        filled = [cell for cell in cells if cell]
        if names and filled and sum(unit_in(cell) is not None for cell in filled) * 2 >= len(filled):
            units = cells
        else:
            names.append((number, cells))
    gathered = []
    if len(names) > 1:
        known = [sum(c.kind != "unused" for c in guess(cells, units, [[]] * len(cells))) for _, cells in names]
        chosen = max(range(len(names)), key=lambda i: (known[i], i))
        if sum(count > 1 for count in known) > 1:
            gathered.append(tr("There are two headings; the one in row {names} is taken.", names=names[chosen][0]))
        names = [names[chosen]]
    if not names:
        wide = next((cells for _, cells in reversed(above) if len(cells) > 1), None)
        if wide is not None and 2 * (len(wide) - 1) <= width and delimiter == "," and not comma:
            raise LogError(
                tr(
                    "The rows have {width} cells, the heading names {wide}. With decimal commas, put "
                    "semicolons or tabs between the columns.",
                    width=width,
                    wide=len(wide),
                )
            )
        return [], units, gathered
    number, headings = names[0]
    if len(headings) != width:
        gathered.append(
            tr(
                "Row {number} heads {headings} columns, the rows have {width}; counted from the left.",
                number=number,
                headings=len(headings),
                width=width,
            )
        )
        headings = (headings + [""] * width)[:width]
    return headings, units, gathered


def _by_texts(column: Column, cells: list[str], columns: Sequence[Column]) -> Column:
    """A time that is written as text, by its cells."""
    kinds: list[str] = [told for cell in cells if (told := time_text(cell))]
    if 2 * len(kinds) <= len(cells):
        return column
    unit, kind = Counter(kinds).most_common(1)[0][0], column.kind
    if kind not in ("time", "unused") or (kind == "unused" and any(c.kind == "time" for c in columns)):
        return column
    wanted: Kind = "time"
    return Column(
        column.index, column.heading, wanted, unit, kind == "time", "" if kind == "time" else tr("by its values")
    )
