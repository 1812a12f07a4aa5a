"""The parts in a table: good rows are used, the others told; and a list as it is opened and written."""

from __future__ import annotations

import contextlib
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path

from gearplan.bike.files import tablelooks
from gearplan.bike.stock import Key, Stock, StockItem
from gearplan.bike.stocklist import cells
from gearplan.bike.stocklist.cells import DECIMALS
from gearplan.bike.stocklist.columns import LABELS, OWN, Layout, look
from gearplan.bike.stocklist.opening import SPREADSHEETS, read_table
from gearplan.bike.stocklist.table import StockError, Table, save_table
from gearplan.bike.text.written import counted, inside, listed
from gearplan.language import tr

_USE = tr("stock list")


@dataclass(frozen=True, slots=True)
class StockFile:
    """What a table holds: the list, and what is wrong with single rows, by row (from 0).

    `others` rows are neither sprocket nor chain, which a shop's list may well hold: they are only counted.
    """

    stock: Stock
    wrong: Mapping[int, str] = field(default_factory=dict)
    problems: tuple[str, ...] = ()
    others: int = 0


@dataclass(frozen=True, slots=True)
class StockList:
    """A list as it is open: its table, what its columns hold, the parts in it.

    `path` is its file, None for one that has none yet, `stamp` when that was written and how long it was.
    """

    table: Table
    layout: Layout
    found: StockFile
    path: Path | None = None
    stamp: tuple[int, int] | None = None

    def told(self, most: int) -> str:
        """Its name, how many parts it has, what was wrong with it."""
        words = told(self.found, most)
        sheet = tr(", sheet “{sheet}”", sheet=self.table.sheet) if self.table.sheet else ""
        return words if self.path is None else f"{self.path.name}{sheet}: {words}"


def list_of(table: Table, layout: Layout, path: Path | None = None) -> StockList:
    """The list in a table, read from a file just now; StockError if its columns do not tell what makes a part."""
    return StockList(table, layout, stock_of(table, layout), path, None if path is None else stamp(path))


def new_list() -> StockList:
    """An empty list with the program's own columns."""
    # With a mark by which spreadsheets know the encoding.
    table = Table((OWN,), (1,), encoding="utf-8-sig")
    return list_of(table, look(table))


def save_list(listed: StockList, table: Table, path: Path) -> StockList:
    """Write a list as it was edited, and the list as it is then open; OSError if it cannot be written, StockError for
    the name of a spreadsheet's own file, of which only one sheet would be left."""
    if path.suffix.lower() in SPREADSHEETS:
        raise StockError(
            tr("a list is written as CSV; give it a name that ends in .csv, not in {suffix}", suffix=path.suffix)
        )
    table = replace(table, sheet="")
    save_table(path, table)
    keep(listed.layout)
    return list_of(table, listed.layout, path)


def stamp(path: Path) -> tuple[int, int] | None:
    """When a file was written and how long it is; None where it is not to be reached."""
    try:
        known = path.stat()
    except OSError:
        return None
    return known.st_mtime_ns, known.st_size


def layout_of(table: Table) -> tuple[Layout, bool]:
    """The columns of a table, and whether nothing need be asked: they leave no doubt, or were confirmed before."""
    return tablelooks.as_before(_USE, look(table))


def keep(layout: Layout) -> None:
    """Keep what a person has said of the columns; that it cannot be written is no harm: it is asked again."""
    with contextlib.suppress(OSError):
        tablelooks.keep(_USE, layout)


def stock_of(table: Table, layout: Layout) -> StockFile:
    """The parts of a table; StockError where its columns do not tell what makes a part.

    A row that cannot be used is told and left out; one whose price is odd stays, without a price. Of the same part
    listed twice the first row counts. Prices in another currency than most are none: they could not be added.
    """
    if layout.lacking:
        lacking = listed([f"“{inside(LABELS[kind])}”" for kind in layout.lacking])
        raise StockError(
            tr(
                "the first line must name the columns, such as {join}; no column is known as {lacking}",
                join=", ".join(OWN),
                lacking=lacking,
            )
        )
    rows = _Rows(table, layout)
    items: dict[Key, tuple[int, StockItem]] = {}
    wrong: dict[int, str] = {}
    others = 0
    for at in range(layout.first, len(table.rows)):
        if not any(cell.strip() for cell in table.rows[at]):
            continue
        try:
            item, odd = rows.item(at)
        except _Other:
            others += 1
            continue
        except StockError as error:
            wrong[at] = str(error)
            continue
        if odd:
            wrong[at] = tr("{odd}; the part is taken without a price", odd=odd)
        if item.key in items:
            first = items[item.key][0]
            wrong[at] = tr("the same part as in line {lines}, which counts", lines=table.lines[first])
        else:
            items[item.key] = (at, item)
    problems = tuple(tr("line {lines}: {what}", lines=table.lines[at], what=what) for at, what in wrong.items())
    return StockFile(Stock(tuple(item for _, item in items.values()), rows.currency), wrong, problems, others)


def told(found: StockFile, most: int) -> str:
    """How many parts a list has, and what was wrong with it."""
    lines = [f"{counted(len(found.stock.items), 'part', 'parts')}."]
    if found.others:
        other = counted(found.others, "line is", "lines are")
        lines.append(tr("{other} neither sprocket nor chain.", other=other))
    if found.problems:
        lines += [tr("To be looked at:"), *found.problems[:most]]
    if len(found.problems) > most:
        lines.append(tr("and {problems} lines more.", problems=len(found.problems) - most))
    return "\n".join(lines)


def read_stock(path: Path) -> StockFile:
    """The stock list of a file, by its headings or as was said of them before; StockError if it is none."""
    table = read_table(path)
    try:
        return stock_of(table, layout_of(table)[0])
    except StockError as error:
        raise StockError(f"{path}: {error}") from error


class _Other(Exception):
    """A row that is no sprocket and no chain."""


class _Rows:
    """Reads single rows of a table."""

    def __init__(self, table: Table, layout: Layout) -> None:
        self._table, self._layout = table, layout
        self._places = {column.kind: column.index for column in layout.columns if column.kind != "unused"}
        kinds = ("chain_size", "side", *(("teeth",) if "links" not in self._places else ()))
        self._needed = max(self._places.get(kind, 0) for kind in kinds)
        prices = [self._cell(at, "price") for at in range(layout.first, len(table.rows))]
        price = layout.column("price")
        self._decimal = DECIMALS.get(price.unit, ".") if price is not None else "."
        self.currency = cells.usual_currency(prices) or cells.currency_in("" if price is None else price.heading)

    def item(self, at: int) -> tuple[StockItem, str]:
        """The part of a row and what is odd about its price; StockError or _Other where it is no part."""
        row, width = self._table.rows[at], len(self._layout.columns)
        if len(row) <= self._needed:
            raise StockError(tr("{row} values where there are {width} columns", row=len(row), width=width))
        if (
            self._table.mark == ","
            and not self._table.sheet
            and len(row) > width
            and any(cell.strip() for cell in row[width:])
        ):
            raise StockError(
                tr(
                    "{row} values where there are {width} columns; a decimal comma needs quotes here, or "
                    "semicolons between",
                    row=len(row),
                    width=width,
                )
            )
        size, side = self._makes(at)
        teeth = self._teeth(at, side)
        quantity = cells.read_quantity(self._cell(at, "quantity"))
        number = " ".join(self._cell(at, "number").split())[:200]
        try:
            price, currency = cells.read_price(self._cell(at, "price"), self._decimal)
            if currency and currency != self.currency:
                raise StockError(
                    tr(
                        "price: in {currency}, most prices here are in {currency2}",
                        currency=currency,
                        currency2=self.currency,
                    )
                )
        except StockError as error:
            return StockItem(size, side, teeth, quantity, None, number), str(error)
        return StockItem(size, side, teeth, quantity, price, number), ""

    def _makes(self, at: int) -> tuple[str, str]:
        """Size and side; _Other where neither is told."""
        refused: list[StockError] = []
        size = side = ""
        try:
            size = self._size(at)
        except StockError as error:
            refused.append(error)
        try:
            side = self._side(at)
        except StockError as error:
            refused.append(error)
        if len(refused) == 2:
            raise _Other
        if refused:
            raise refused[0]
        return size, side

    def _size(self, at: int) -> str:
        own = self._cell(at, "chain_size")
        return cells.read_size(own or self._cell(at, "description"))

    def _side(self, at: int) -> str:
        if self._cell(at, "links") and not self._cell(at, "teeth"):
            return "chain"
        own = self._cell(at, "side")
        return cells.read_side(own or self._cell(at, "description"))

    def _teeth(self, at: int, side: str) -> int:
        own = (self._cell(at, "links") if side == "chain" else "") or self._cell(at, "teeth")
        if own or "description" not in self._places:
            return cells.read_count(own, side)
        return cells.count_in(self._cell(at, "description"), side)

    def _cell(self, at: int, kind: str) -> str:
        place, row = self._places.get(kind), self._table.rows[at]
        return "" if place is None or place >= len(row) else row[place].strip()
