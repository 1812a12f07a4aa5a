"""The sheets of a spreadsheet's own file as rows of texts: OpenDocument (OASIS) and Office Open XML (ECMA-376).

Only what stands in the cells is read, no formula is computed and nothing outside the file is opened. Numbers come with
a decimal point and the digits that they were entered with, whatever their look; a currency in the look stands behind.
"""

from __future__ import annotations

import io
import posixpath
import re
import zipfile
import zlib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from xml.etree import ElementTree
from xml.etree.ElementTree import Element

from gearplan.bike.stocklist.table import MOST_COLUMNS, MOST_ROWS, StockError
from gearplan.bike.text.numbertext import format_number
from gearplan.language import tr

#: A part of the file may be so large when it is unpacked.
_MOST_UNPACKED = 100_000_000
_TOO_LARGE = tr("unpacked it is larger than {} MB, that is no stock list")
_BROKEN = tr("this spreadsheet cannot be read; save it anew, or as CSV")
#: A currency in a number's look: [$€-407], "EUR", a sign by itself.
_CURRENCY = re.compile(r'\[\$([^\-\]]+)|"\s*([^\s"]+)\s*"|([€£¥$])')
_ZEROS = re.compile(r"0+")
#: Letters of days and times in a number's look, but for what is in quotes or brackets; and the usual looks with them.
_DAY, _NOT_OF_DAYS = re.compile("[ymdhs]"), re.compile(r'"[^"]*"|\[[^\]]*\]|\\.')
_USUAL_DAYS = tuple(str(number) for number in (*range(14, 23), *range(45, 48)))
#: Day 0 as spreadsheets count, who take 1900 for a leap year; and the number of the last day of 9999.
_FIRST_DAY, _MOST_DAYS = date(1899, 12, 30), 2_958_466
_PLACE = re.compile(r"([A-Z]+)\d*")

Row = tuple[int, tuple[str, ...]]


def sheets(data: bytes) -> Iterator[tuple[str, list[Row]]]:
    """(name, rows) of each sheet that is shown; a row with nothing in it is left out, each carries its number (from 1).

    StockError for what is no such file or too large for a stock list.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            names = set(packed.namelist())
            if "content.xml" in names:
                yield from _opendocument(packed)
            elif "xl/workbook.xml" in names:
                yield from _office(packed, names)
            else:
                raise StockError(
                    tr("a packed file that is no spreadsheet; a stock list is a spreadsheet or a CSV file")
                )
    except (zipfile.BadZipFile, zlib.error, ElementTree.ParseError, KeyError, ValueError, EOFError, OSError) as error:
        if isinstance(error, StockError):
            raise
        raise StockError(_BROKEN) from error
    except (NotImplementedError, RuntimeError) as error:
        # Packed in a way that nobody writes, or locked by a password.
        raise StockError(tr("this spreadsheet is locked or packed oddly; save it anew without a password")) from error


class _Limited(io.RawIOBase):
    """What is unpacked, up to the limit, whatever the file says of its size."""

    def __init__(self, packed: zipfile.ZipFile, name: str) -> None:
        super().__init__()
        if _declared(packed, name) > _MOST_UNPACKED:
            raise _too_large()
        self._from, self._left = packed.open(name), _MOST_UNPACKED

    def read(self, size: int = -1) -> bytes:
        """The next bytes."""
        found = self._from.read(min(size, self._left + 1) if size >= 0 else self._left + 1)
        self._left -= len(found)
        if self._left < 0:
            raise _too_large()
        return found


def _declared(packed: zipfile.ZipFile, name: str) -> int:
    return packed.getinfo(name).file_size


def _too_large() -> StockError:
    return StockError(_TOO_LARGE.format(_MOST_UNPACKED // 1_000_000))


def _ends(packed: zipfile.ZipFile, name: str, kept: Iterable[str]) -> Iterator[tuple[str, Element]]:
    """(local name, element) of those elements of a part that are asked for, as they end; then they are forgotten."""
    wanted = set(kept)
    depth = 0
    for event, element in ElementTree.iterparse(_Limited(packed, name), ("start", "end")):
        local = _local(element)
        if event == "start":
            depth += local in wanted
            continue
        if local in wanted:
            depth -= 1
            yield local, element
        if not depth:
            element.clear()


def _local(element: Element) -> str:
    return str(element.tag).rpartition("}")[2]


def _get(element: Element, name: str) -> str:
    """An attribute by its local name; empty where there is none."""
    return next((value for key, value in element.items() if key.rpartition("}")[2] == name), "")


def _row(cells: dict[int, str]) -> tuple[str, ...]:
    """Texts by their columns as a row; StockError for one that is too wide."""
    width = max(cells, default=-1) + 1
    if width > MOST_COLUMNS:
        raise StockError(
            tr(
                "a row has {width} cells; a stock list has at most {most_columns} columns",
                width=width,
                most_columns=MOST_COLUMNS,
            )
        )
    return tuple(cells.get(at, "") for at in range(width))


def _taken(rows: list[Row]) -> None:
    if len(rows) > MOST_ROWS:
        raise StockError(tr("there are more than {most_rows} rows, that is no stock list", most_rows=MOST_ROWS))


# OpenDocument.


def _opendocument(packed: zipfile.ZipFile) -> Iterator[tuple[str, list[Row]]]:
    rows: list[Row] = []
    line = 1
    for local, element in _ends(packed, "content.xml", ("table", "table-row", "table-cell", "covered-table-cell", "p")):
        if local == "table-row":
            times = int(_get(element, "number-rows-repeated") or 1)
            if any(cells := _open_cells(element)):
                if times > MOST_ROWS:
                    raise StockError(
                        tr("there are more than {most_rows} rows, that is no stock list", most_rows=MOST_ROWS)
                    )
                rows += [(line + at, cells) for at in range(times)]
                _taken(rows)
            line += times
            element.clear()
        elif local == "table":
            yield _get(element, "name"), rows
            rows, line = [], 1
            element.clear()


def _open_cells(row: Element) -> tuple[str, ...]:
    found: dict[int, str] = {}
    at = 0
    for cell in row:
        times = int(_get(cell, "number-columns-repeated") or 1)
        if text := _open_text(cell):
            if at + times > MOST_COLUMNS:
                raise StockError(
                    tr(
                        "a row has {at} cells; a stock list has at most {most_columns} columns",
                        at=at + times,
                        most_columns=MOST_COLUMNS,
                    )
                )
            found |= {at + one: text for one in range(times)}
        at += times
    return _row(found)


def _open_text(cell: Element) -> str:
    kind, value = _get(cell, "value-type"), _get(cell, "value")
    if kind == "date":
        return _get(cell, "date-value").removesuffix("T00:00:00").replace("T", " ")
    if kind in ("float", "currency") and value:
        return f"{_plain(value)} {_get(cell, 'currency')}".strip()
    return "\n".join("".join(p.itertext()) for p in cell if _local(p) == "p").strip()


# Office Open XML.


@dataclass(frozen=True, slots=True)
class _Held:
    """What the cells of all sheets refer to: texts, looks of numbers by style, and the day that is number 0."""

    texts: list[str]
    looks: list[str]
    first: date


def _office(packed: zipfile.ZipFile, names: set[str]) -> Iterator[tuple[str, list[Row]]]:
    places = {
        _get(one, "Id"): posixpath.normpath(posixpath.join("/xl", _get(one, "Target"))).lstrip("/")
        for _, one in _ends(packed, "xl/_rels/workbook.xml.rels", ("Relationship",))
    }
    listed = [
        (_get(one, "name"), places.get(_get(one, "id"), ""))
        for _, one in _ends(packed, "xl/workbook.xml", ("sheet",))
        if _get(one, "state") in ("", "visible")
    ]
    from_1904 = any(
        _get(one, "date1904") in ("1", "true") for _, one in _ends(packed, "xl/workbook.xml", ("workbookPr",))
    )
    first = date(1904, 1, 1) if from_1904 else _FIRST_DAY
    texts: list[str] = []
    if "xl/sharedStrings.xml" in names:
        texts = [_words(one) for _, one in _ends(packed, "xl/sharedStrings.xml", ("si",))]
    looks = _looks(packed) if "xl/styles.xml" in names else []
    for name, place in listed:
        if place in names:
            yield name, _office_rows(packed, place, _Held(texts, looks, first))


def _office_rows(packed: zipfile.ZipFile, place: str, held: _Held) -> list[Row]:
    rows: list[Row] = []
    line = 0
    for _, element in _ends(packed, place, ("row",)):
        line = int(_get(element, "r") or line + 1)
        found: dict[int, str] = {}
        at = -1
        for cell in element:
            named = _PLACE.fullmatch(_get(cell, "r"))
            at = _column(named[1]) if named else at + 1
            if text := _office_text(cell, held):
                found[at] = text
        if found:
            rows.append((line, _row(found)))
            _taken(rows)
        element.clear()
    return rows


def _column(letters: str) -> int:
    number = 0
    for letter in letters:
        number = 26 * number + ord(letter) - 64
    return number - 1


def _office_text(cell: Element, held: _Held) -> str:
    texts, looks, first = held.texts, held.looks, held.first
    kind = _get(cell, "t")
    if kind == "inlineStr":
        return "".join(_words(one) for one in cell if _local(one) == "is").strip()
    value = next((one.text or "" for one in cell if _local(one) == "v"), "").strip()
    if kind == "s":
        at = int(value or -1)
        return texts[at].strip() if 0 <= at < len(texts) else ""
    if kind in ("str", "b", "e", "d") or not value:
        return value
    style = int(_get(cell, "s") or 0)
    look = looks[style] if 0 <= style < len(looks) else ""
    plain = _plain(value)
    if _DAY.search(_NOT_OF_DAYS.sub("", look.lower())):
        return _day(value, first)
    if _ZEROS.fullmatch(look) and plain.isdigit():
        # An article's number that begins with noughts.
        return plain.zfill(len(look))
    currency = _CURRENCY.search(look)
    return f"{plain} {next(filter(None, currency.groups()))}" if currency else plain


def _words(element: Element) -> str:
    """The text of a string with its runs, without how it is pronounced."""
    found = []
    for one in element:
        if _local(one) == "t":
            found.append(one.text or "")
        elif _local(one) == "r":
            found.append(_words(one))
    return "".join(found)


def _looks(packed: zipfile.ZipFile) -> list[str]:
    """How the numbers of each style look, empty where it is one of the usual looks."""
    codes = dict.fromkeys(_USUAL_DAYS, "y")
    found: list[str] = []
    for local, element in _ends(packed, "xl/styles.xml", ("numFmt", "cellXfs")):
        if local == "numFmt":
            codes[_get(element, "numFmtId")] = _get(element, "formatCode")
        else:
            found = [codes.get(_get(one, "numFmtId"), "") for one in element if _local(one) == "xf"]
    return found


def _plain(value: str) -> str:
    """A number with the digits that it was entered with; spreadsheets reckon with fifteen of them."""
    return format_number(float(f"{float(value):.15g}"))


def _day(value: str, first: date) -> str:
    """A day, with its time if there is one, by its number from a first day; the number where it is none."""
    number = float(value)
    if not 0 <= number < _MOST_DAYS:
        return _plain(value)
    moment = datetime.combine(first, time()) + timedelta(seconds=round(number * 86400))
    return moment.date().isoformat() if moment.time() == time() else moment.isoformat(" ")
