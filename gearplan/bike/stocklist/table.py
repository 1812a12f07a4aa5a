"""A table of cells from a spreadsheet's CSV, there and back: what is not changed is written as it was read."""

from __future__ import annotations

import csv
import io
import re
from collections import Counter
from dataclasses import dataclass, replace
from pathlib import Path

from gearplan.bike.files.earlier import replace_keeping
from gearplan.bike.text.written import safe_cell
from gearplan.language import tr

#: So many rows and columns a list has at most.
MOST_ROWS, MOST_COLUMNS = 200_000, 400
_MARKS = (";", "\t", ",", "|")
#: So many lines are looked at for the sign between the cells.
_SAMPLE = 200
#: A cell of more lines than so many has lost its closing quote.
_MOST_LINES = 40
#: The first line by which some spreadsheets name the sign between the cells.
_NAMED_MARK = re.compile(r'"?sep=(.)"?', re.IGNORECASE)


class StockError(ValueError):
    """What is no stock list; the message says what is wrong and what would be right."""


@dataclass(frozen=True, slots=True)
class Table:
    """Rows of cells. `lines` are the lines of the file at which they begin (from 1), `mark` stands between cells.

    `encoding` is Python's name, `ends` what ends a line; `sheet` names the sheet of a spreadsheet's own file, which is
    not written: it is empty for text.
    """

    rows: tuple[tuple[str, ...], ...]
    lines: tuple[int, ...]
    mark: str = ","
    encoding: str = "utf-8"
    ends: str = "\n"
    sheet: str = ""

    @property
    def width(self) -> int:
        """The cells of the widest row."""
        return max(map(len, self.rows), default=0)

    def with_cell(self, row: int, column: int, text: str) -> Table:
        """The table with one cell changed; a row too short is made long enough."""
        cells = list(self.rows[row])
        cells += [""] * (column + 1 - len(cells))
        cells[column] = " ".join(text.split())
        return replace(self, rows=(*self.rows[:row], tuple(cells), *self.rows[row + 1 :]))

    def with_row(self, at: int, cells: tuple[str, ...]) -> Table:
        """The table with a row more, at a place."""
        line = self.lines[at] if at < len(self.lines) else max(self.lines, default=0) + 1
        lines = (*self.lines[:at], *(n + 1 for n in (line - 1, *self.lines[at:])))
        return replace(self, rows=(*self.rows[:at], cells, *self.rows[at:]), lines=lines)

    def without_rows(self, gone: set[int]) -> Table:
        """The table without some rows."""
        left = [at for at in range(len(self.rows)) if at not in gone]
        return replace(self, rows=tuple(self.rows[at] for at in left), lines=tuple(self.lines[at] for at in left))


def table_of(text: str, encoding: str = "utf-8") -> Table:
    """The table in a text; StockError for what is no text in rows."""
    if "\0" in text:
        raise StockError(tr("this is not text; a stock list is a CSV file"))
    if not text.strip():
        raise StockError(
            tr("the file is empty; its first line names the columns, such as chain_size,side,teeth,quantity")
        )
    ends = "\r\n" if "\r\n" in text else "\n"
    lines = text.splitlines()
    if named := _NAMED_MARK.fullmatch(lines[0].strip()):
        mark, skipped = named[1], 1
    else:
        mark, skipped = _mark([line for line in lines[:_SAMPLE] if line.strip()]), 0
    rows, begins = _cells(lines[skipped:], mark)
    if len(rows) > MOST_ROWS:
        raise StockError(
            tr("there are {rows} rows; a stock list has at most {most_rows}", rows=len(rows), most_rows=MOST_ROWS)
        )
    if (width := max(map(len, rows), default=0)) > MOST_COLUMNS:
        raise StockError(
            tr(
                "a row has {width} cells; a stock list has at most {most_columns} columns",
                width=width,
                most_columns=MOST_COLUMNS,
            )
        )
    return Table(tuple(rows), tuple(line + skipped for line in begins), mark, encoding, ends)


def table_text(table: Table) -> str:
    """The table as CSV. A cell that a spreadsheet would compute gets an apostrophe before it: it stays a text."""
    out = io.StringIO()
    writer = csv.writer(out, delimiter=table.mark, lineterminator=table.ends)
    for row in table.rows:
        writer.writerow(map(safe_cell, row))
    return out.getvalue()


def save_table(path: Path, table: Table) -> None:
    """Write the table to a file, whole or not at all; OSError if that fails."""
    text = table_text(table)
    try:
        data = text.encode(table.encoding)
    except UnicodeEncodeError:
        data = text.encode("utf-8-sig")
    replace_keeping(path, data)


def decoded(data: bytes) -> tuple[str, str]:
    """The text of a file and its encoding: what a byte order mark says, else UTF-8, else that of Western Windows."""
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return data.decode("utf-16", "replace"), "utf-16"
    for encoding in ("utf-8-sig" if data.startswith(b"\xef\xbb\xbf") else "utf-8", "cp1252"):
        try:
            return data.decode(encoding), encoding
        except UnicodeDecodeError:
            continue
    return data.decode("latin-1"), "latin-1"


def _mark(lines: list[str]) -> str:
    """The sign that parts most lines into the same number of cells, several rather than two."""

    def steady(mark: str) -> tuple[float, int]:
        counts = Counter(line.count(mark) for line in lines)
        counts.pop(0, None)
        parts, times = max(counts.items(), key=lambda one: (one[1], one[0]), default=(0, 0))
        return times / len(lines), parts

    best = max(_MARKS, key=lambda mark: (round(steady(mark)[0], 1), steady(mark)[1]))
    # A comma may be a decimal mark: the heading, which has no numbers, tells.
    heading = max(_MARKS, key=lines[0].count)
    return heading if lines[0].count(heading) >= 2 else best


def _cells(lines: list[str], mark: str) -> tuple[list[tuple[str, ...]], list[int]]:
    """The rows and the lines at which they begin; a cell in quotes may have several lines."""
    rows: list[tuple[str, ...]] = []
    begins: list[int] = []
    reader = csv.reader((f"{line}\n" for line in lines), delimiter=mark)
    before = 0
    try:
        for row in reader:
            if reader.line_num - before > _MOST_LINES:
                raise csv.Error
            rows.append(tuple(cell.rstrip("\n") if "\n" in cell else cell for cell in row))
            begins.append(before + 1)
            before = reader.line_num
    except csv.Error:
        # A quote was left open: line by line only its own line suffers.
        rows = [tuple(line.replace('"', "").split(mark)) for line in lines]
        begins = list(range(1, len(lines) + 1))
    return rows, begins
