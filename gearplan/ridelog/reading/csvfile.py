"""Reading a ride log from a CSV file: in pieces, by numpy's own parser, with progress and cancel.

Only a megabyte or two of text is held at a time. Rows that cannot be read are left out and counted; the first of them
is named. A file with more rows than the program keeps is thinned while reading, and that is said.
"""

from __future__ import annotations

import re
import warnings
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import numpy as np

from gearplan.language import tr, trn
from gearplan.ridelog.log import Floats, LogError, RideLog
from gearplan.ridelog.reading import clock
from gearplan.ridelog.reading.columns import Column, Layout
from gearplan.ridelog.reading.layout import EMPTY, cells_of, is_note, layout_of, number_in
from gearplan.ridelog.reading.pieces import RIGHT, Cancelled, Progress, beginning, line_pieces, on_the_way, size_of

#: Rows that are kept at most: five and a half hours at 100 a second.
_MOST_ROWS = 2_000_000
#: Lines of a piece that are tried together where the whole piece cannot be read at once.
_BLOCK = 512
#: Columns that are not used are named, so many at most.
_MOST_NAMED = 8
#: Times in these units are text.
_WRITTEN = ("date and time", "clock time")
_ISO_ZONE = re.compile(r"(Z|[+-]\d{2}:?\d{2})$")


def look(path: Path) -> Layout:
    """The layout of a CSV file and its columns as guessed; LogError if it is no ride log.

    Where several encodings are possible, that in which most headings tell what they hold.
    """
    layouts = [replace(layout_of(text), encoding=encoding) for encoding, text in beginning(path).items()]
    return max(layouts, key=lambda layout: sum(column.kind != "unused" for column in layout.columns))


def read_csv(
    path: Path,
    layout: Layout | None = None,
    progress: Progress | None = None,
    cancelled: Cancelled | None = None,
    most_rows: int = _MOST_ROWS,
) -> RideLog:
    """Read a ride log; columns as the layout says, or as they are guessed.

    LogError in one line if nothing can be used; ReadingCancelled as soon as `cancelled` says so.
    """
    known = look(path) if layout is None else layout
    wanted = [column for column in known.columns if column.kind != "unused"]
    if not known.usable:
        names = ", ".join(f"“{column.heading[:20]}”" for column in known.columns[:6])
        raise LogError(tr("No column holds a speed or a position (found: {names}). {right}", names=names, right=RIGHT))
    size = size_of(path)
    # What a row takes, from the preview, tells how many there will be.
    usual = sum(len(",".join(row)) + 1 for row in known.preview) / max(len(known.preview), 1)
    usual *= 2 if known.encoding.startswith("utf-16") else 1
    every = max(1, int(np.ceil(size / usual / most_rows)))
    # Room for somewhat more rows at once: joining pieces at the end would take it all twice.
    room = int(1.1 * size / usual / every) + 1000
    state = _State(known, wanted, [np.empty(room) for _ in wanted])
    done = 0
    for lines, read in line_pieces(path, known.encoding, known.first, comma=known.comma):
        state.take(lines, every)
        done += read
        on_the_way(done / max(size, 1), state.rows, progress, cancelled)
    return _log(path.name, state, every)


@dataclass(slots=True)
class _State:
    """What has been read so far."""

    layout: Layout
    wanted: list[Column]
    #: For each wanted column its values, as far as `count`, with room for more.
    values: list[Floats]
    count: int = 0
    line: int = 0
    rows: int = 0
    bad: int = 0
    first_bad: str = ""
    repeated: int = 0

    def take(self, lines: list[str], every: int) -> None:
        """Read the lines of a piece."""
        begun = self.line or self.layout.first
        self.line = begun + len(lines)
        kept = list(filter(str.strip, lines))
        self.rows += len(kept)
        kept = kept[::every]
        texts = [column for column in self.wanted if column.unit in _WRITTEN]
        numbers = [column for column in self.wanted if column not in texts]
        if not kept:
            return
        whole = self._parse(kept, numbers)
        if whole is None and self.layout.delimiter != " ":
            for fill in (_filled, _worded):
                kept = fill(kept, self.layout.delimiter)
                whole = self._parse(kept, numbers)
                if whole is not None:
                    break
        if whole is not None and not texts:
            self._keep(whole)
            return
        places = [begun + i for i, line in enumerate(lines) if line and not line.isspace()][::every]
        stretch = _BLOCK if whole is None else len(kept)
        for at in range(0, len(kept), stretch):
            self._block(kept[at : at + stretch], places[at : at + stretch], numbers, texts)

    def _parse(self, lines: list[str], numbers: list[Column]) -> Floats | None:
        """All rows at once by numpy's parser; None if a cell is not a number."""
        if not numbers:
            return np.empty((len(lines), 0))
        quote = '"' if any('"' in line for line in lines[:3]) else None
        try:
            with warnings.catch_warnings():
                warnings.simplefilter("error")
                read = np.loadtxt(
                    lines,
                    delimiter=None if self.layout.delimiter == " " else self.layout.delimiter,
                    usecols=[column.index for column in numbers],
                    comments=None,
                    quotechar=quote,
                    ndmin=2,
                )
        except (ValueError, UserWarning, OverflowError):
            return None
        return read if len(read) == len(lines) else None

    def _block(self, block: list[str], places: list[int], numbers: list[Column], texts: list[Column]) -> None:
        values = self._parse(block, numbers)
        if values is None:
            values, block = self._one_by_one(block, places, numbers)
        if texts and len(block):
            values = self._with_texts(values, block, numbers, texts)
        if len(values):
            self._keep(values)

    def _keep(self, values: Floats) -> None:
        """Put the rows below those that are there, in more room if need be."""
        end = self.count + len(values)
        if end > len(self.values[0]):
            more = np.empty(end // 2 + len(values))
            self.values = [np.concatenate([line[: self.count], more]) for line in self.values]
        for line, column in zip(self.values, values.T, strict=True):
            line[self.count : end] = column
        self.count = end

    def _one_by_one(self, block: list[str], places: list[int], numbers: list[Column]) -> tuple[Floats, list[str]]:
        """Row by row: empty cells are NaN, rows with a cell that is no number are left out and counted."""
        rows, kept = [], []
        headings = {column.heading for column in self.layout.columns if column.heading}
        for place, line in zip(places, block, strict=True):
            if is_note(line):
                self.rows -= 1
                continue
            cells = cells_of(line, self.layout.delimiter)
            if len(headings.intersection(cells)) >= min(2, len(headings)) > 0:
                self.repeated += 1
                continue
            row = [_value(cells, column) for column in numbers]
            if None in row:
                self.bad += 1
                if not self.first_bad:
                    column = numbers[row.index(None)]
                    cell = cells[column.index] if column.index < len(cells) else None
                    what = tr("is missing") if cell is None else tr("“{cell}” is no number", cell=cell[:20])
                    self.first_bad = tr(
                        "row {place}: {heading} {what}", place=place, heading=column.heading[:30], what=what
                    )
                continue
            rows.append(row)
            kept.append(line)
        return np.array(rows, float).reshape(len(rows), len(numbers)), kept

    def _with_texts(self, values: Floats, block: list[str], numbers: list[Column], texts: list[Column]) -> Floats:
        """The values with times that are written as text, in the order of the wanted columns."""
        by_column = {column.index: values[:, i] for i, column in enumerate(numbers)}
        delimiter = self.layout.delimiter
        for column in texts:
            place = column.index
            if delimiter == " ":
                told = [line.split() for line in block]
            else:
                told = [line.split(delimiter, place + 1) for line in block]
            cells = [row[place].strip(' "\r') if place < len(row) else "" for row in told]
            by_column[place] = seconds(cells, column.unit)
        return np.column_stack([by_column[column.index] for column in self.wanted])


def _value(cells: list[str], column: Column) -> float | None:
    """The number in a column's cell, NaN if it is empty, None if it is something else or not there."""
    cell = cells[column.index] if column.index < len(cells) else None
    if cell is None or cell.lower() in EMPTY:
        return None if cell is None else np.nan
    return number_in(cell)


def seconds(cells: list[str], unit: str) -> Floats:
    """Seconds of times written as text; NaN where a cell is none."""
    tidy = [cell.replace(",", ".") for cell in cells]
    if unit == "clock time":
        return np.array([_one_clock(cell) for cell in tidy])
    zone = _ISO_ZONE.search(next(filter(None, tidy), ""))
    if zone and all(cell.endswith(zone[0]) for cell in tidy if cell):
        tidy = [cell.removesuffix(zone[0]) for cell in tidy]
    elif any(map(_ISO_ZONE.search, tidy)):
        # Zones that differ: numpy's parser leaves them out.
        return np.array([_one_time(cell) for cell in tidy])
    try:
        with warnings.catch_warnings():
            # Zones in another spelling: numpy would leave them out.
            warnings.simplefilter("error")
            stamps = np.array(tidy, "datetime64[us]")
        return np.where(np.isnat(stamps), np.nan, stamps.astype("int64") / 1e6)
    except (ValueError, UserWarning, DeprecationWarning):
        return np.array([_one_time(cell) for cell in tidy])


def _one_clock(cell: str) -> float:
    """Seconds of hours, minutes and seconds, or of minutes and seconds; NaN if it is none."""
    try:
        told = [float(part) for part in cell.split(":")]
    except ValueError:
        return np.nan
    return 60 * (60 * told[-3] + told[-2] if len(told) == 3 else told[-2]) + told[-1] if len(told) in (2, 3) else np.nan


_SWAPPED = re.compile(r"(\d{1,2})[./-](\d{1,2})[./-](\d{4})[T ](.*)")


def _one_time(cell: str) -> float:
    """Seconds of one date and time, the year first or last; NaN if it is none."""
    swapped = _SWAPPED.fullmatch(cell)
    tries = [cell.replace("/", "-")]
    if swapped:
        first, second, year, rest = swapped.groups()
        # Only differences of times count, so either order of day and month does within a day.
        tries = [f"{year}-{b:0>2}-{a:0>2}T{rest:0>8}" for a, b in ((first, second), (second, first))]
    for text in tries:
        try:
            found = datetime.fromisoformat(text)
        except ValueError:
            continue
        return (found if found.tzinfo else found.replace(tzinfo=UTC)).timestamp()
    return np.nan


def _filled(lines: list[str], sign: str) -> list[str]:
    """The lines with nan in empty cells, as the parser wants them."""
    text = "\n".join(lines)
    twice = text.replace(sign + sign, f"{sign}nan{sign}").replace(sign + sign, f"{sign}nan{sign}")
    text = twice.replace(sign + "\n", f"{sign}nan\n").replace("\n" + sign, f"\nnan{sign}")
    text = f"nan{text}" if text.startswith(sign) else text
    return (f"{text}nan" if text.endswith(sign) else text).split("\n")


def _worded(lines: list[str], sign: str) -> list[str]:
    """The lines with nan in the cells that say in words or by a sign that there is no value."""
    words = "|".join(map(re.escape, sorted(filter(None, EMPTY), key=len, reverse=True)))
    edge = rf"[^{re.escape(sign)}\n]"
    return re.sub(rf"(?<!{edge}) *(?:{words}) *(?!{edge})", "nan", "\n".join(lines), flags=re.IGNORECASE).split("\n")


def _not_read(layout: Layout) -> list[str]:
    """The columns that are not used, by their names."""
    names = [column.heading for column in layout.columns if column.kind == "unused" and column.heading]
    if not names:
        return []
    more = tr(" and {names} more", names=len(names) - _MOST_NAMED) if len(names) > _MOST_NAMED else ""
    return [tr("Not used: {join}{more}.", join=", ".join(f"“{name[:30]}”" for name in names[:_MOST_NAMED]), more=more)]


def _log(name: str, state: _State, every: int) -> RideLog:
    """The log from what was read, on one clock."""
    notes = list(state.layout.gathered)
    if state.repeated:
        notes.append(
            trn(
                "The heading stands again in 1 row, which is left out.",
                "The heading stands again in {n} rows, which are left out.",
                state.repeated,
            )
        )
    if state.bad:
        notes.append(
            trn(
                "1 row cannot be read and is left out; the first is {first}.",
                "{n} rows cannot be read and are left out; the first is {first}.",
                state.bad,
                first=state.first_bad,
            )
        )
    notes += _not_read(state.layout)
    count = state.count
    if not count:
        told = tr(" The first is {first_bad}.", first_bad=state.first_bad) if state.first_bad else ""
        raise LogError(tr("None of {rows} rows can be read.{told} {right}", rows=state.rows, told=told, right=RIGHT))
    channels: dict[Any, Any] = {}
    for i, column in enumerate(state.wanted):
        values = state.values[i][:count]
        values *= column.factor
        values[~np.isfinite(values)] = np.nan
        channels[column.kind] = values
    if every > 1:
        notes.append(
            tr("The file has some {rows:,} rows; one in {every} is used.", rows=state.rows, every=every).replace(
                ",", " "
            )
        )
    time = channels.pop("time", None)
    road = state.layout.column("road")
    unit = road.unit if road is not None else "km/h"
    if time is None:
        notes.append(tr("There is no time; what needs it is left out."))
        log = RideLog(name, np.arange(count, dtype=float), **channels, timed=False)
        return replace(log, rows=state.rows, road_unit=unit, notes=tuple(notes))
    wraps = any(column.unit == "clock time" for column in state.wanted)
    kept, fixed = clock.in_order(time, notes, wraps=wraps)
    if len(kept) < 2:
        raise LogError(tr("Time stands still or is missing throughout; give a time that rises, such as seconds."))
    if len(kept) < count:
        channels = {kind: values[kept] for kind, values in channels.items()}
    log = RideLog(name, fixed, **channels)
    return replace(log, rows=state.rows, road_unit=unit, notes=tuple(notes))
