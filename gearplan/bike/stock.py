"""What the shop has or can get: sprockets and chains with quantity and price, as CSV in and out.

Columns: chain_size, side ("front", "rear" or "chain"), teeth (of a chain: its links), quantity (0: can be got), price
(may be empty). Values are separated by commas, semicolons or tabs, as the header's line is; prices have a decimal
point or, not between commas, a decimal comma.
"""

from __future__ import annotations

import csv
import difflib
import io
import re
from collections import Counter
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from gearplan.bike import library
from gearplan.bike.files.atomic import replace_file
from gearplan.bike.numbertext import NumberTextError, parse_number, parse_whole

COLUMNS = ("chain_size", "side", "teeth", "quantity", "price")
_NEEDED = COLUMNS[:4]
SIDES = ("front", "rear", "chain")
_BOUNDS = {"front": (5, 60), "rear": (9, 150), "chain": (20, 400)}
_MOST_BYTES = 32_000_000
_MOST_PIECES = 1_000_000
_MOST_PRICE = 1_000_000.0

#: A currency before or after the amount, and the dash that stands for no cents.
_CURRENCY = re.compile(r"^([A-Za-z]{1,4}\.?|[€£$¥])\s*|\s*([A-Za-z]{1,4}\.?|[€£$¥])$|[.,][-–]+$")

Key = tuple[str, str, int]


@dataclass(frozen=True, slots=True)
class StockItem:
    """One part: chain size, side, teeth (or links), how many are there (0: can be got), and its price if known."""

    chain_size: str
    side: str
    teeth: int
    quantity: int
    price: float | None = None

    @property
    def key(self) -> Key:
        """What makes a part: size, side, teeth."""
        return (self.chain_size, self.side, self.teeth)


@dataclass(frozen=True)
class Stock:
    """A stock list; prices are in the currency that the shop writes them in."""

    items: tuple[StockItem, ...] = ()

    @cached_property
    def by_key(self) -> dict[Key, StockItem]:
        """The items by what they are."""
        return {item.key: item for item in self.items}

    @cached_property
    def chains(self) -> dict[str, tuple[StockItem, ...]]:
        """The chains of each size, the shortest first."""
        found: dict[str, list[StockItem]] = {}
        for item in self.items:
            if item.side == "chain":
                found.setdefault(item.chain_size, []).append(item)
        return {size: tuple(sorted(items, key=lambda item: item.teeth)) for size, items in found.items()}

    def part(self, chain_size: str | None, side: str, teeth: int | None) -> StockItem | None:
        """The listed part; None where it is not listed."""
        return self.by_key.get((chain_size or "", side, teeth or 0))

    def chain_for(self, chain_size: str | None, links: int, *, there: bool = False) -> StockItem | None:
        """The shortest chain that is long enough, for it can be cut; `there` asks for one in stock."""
        listed = self.chains.get(chain_size or "", ())
        return next((i for i in listed if i.teeth >= links and (i.quantity > 0 or not there)), None)


class StockError(ValueError):
    """A file that is no stock list; the message says what is wrong and what would be right."""


@dataclass(frozen=True, slots=True)
class StockFile:
    """What a file held: the list, and what was wrong with single lines, by line."""

    stock: Stock
    problems: tuple[str, ...] = ()


def read_stock(path: Path) -> StockFile:
    """The stock list of a file; StockError if it cannot be read as one."""
    try:
        if path.stat().st_size > _MOST_BYTES:
            raise StockError(f"{path}: larger than {_MOST_BYTES // 1_000_000} MB, that is no stock list")
        data = path.read_bytes()
    except IsADirectoryError as error:
        raise StockError(f"{path} is a folder, not a stock list") from error
    except FileNotFoundError as error:
        raise StockError(f"{path}: there is no such file") from error
    except OSError as error:
        raise StockError(f"{path} cannot be read: {error.strerror}") from error
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = data.decode("latin-1")
    try:
        return stock_from_text(text)
    except StockError as error:
        raise StockError(f"{path}: {error}") from error


def stock_from_text(text: str) -> StockFile:
    """The stock list of a CSV text; StockError for a header that names no stock list's columns.

    A line that cannot be used is told with its number and left out; all others are used. Of the same part listed
    twice the first line counts. Where decimal points and commas are mixed, the mark that most prices have counts.
    """
    if "\0" in text:
        raise StockError("this is not text; a stock list is a CSV file")
    lines = text.splitlines()
    first = next((number for number, line in enumerate(lines) if line.strip()), None)
    if first is None:
        raise StockError(f"the file is empty; its first line names the columns: {','.join(COLUMNS)}")
    mark = max((";", "\t", ","), key=lines[first].count)
    head = next(csv.reader([lines[first]], delimiter=mark))
    places, width = _columns(head), len(head)
    told: list[tuple[int, str]] = []
    decimal = _usual_decimal(lines[first + 1 :], mark, places)
    items: dict[Key, tuple[int, StockItem]] = {}
    for number, line in enumerate(lines[first + 1 :], first + 2):
        if not line.strip():
            continue
        try:
            item, odd = _item(next(csv.reader([line], delimiter=mark, strict=True)), places, width, mark, decimal)
            if odd:
                told.append((number, f"{odd}; the part is taken without a price"))
        except (NumberTextError, StockError, csv.Error) as error:
            told.append((number, str(error)))
            continue
        if item.key in items:
            told.append((number, f"the same part as in line {items[item.key][0]}, which counts"))
        else:
            items[item.key] = (number, item)
    problems = tuple(f"line {number}: {what}" for number, what in told)
    return StockFile(Stock(tuple(item for _, item in items.values())), problems)


def stock_text(stock: Stock) -> str:
    """The list as CSV: commas between, decimal points."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    for item in stock.items:
        price = "" if item.price is None else f"{item.price:.2f}"
        writer.writerow((item.chain_size, item.side, item.teeth, item.quantity, price))
    return out.getvalue()


def save_stock(path: Path, stock: Stock) -> None:
    """Write the list to a file, whole or not at all; OSError if that fails."""
    replace_file(path, stock_text(stock).encode())


def _columns(head: list[str]) -> dict[str, int]:
    """Where each column stands."""
    named = [name.strip().lower().replace(" ", "_") for name in head]
    places = {name: named.index(name) for name in COLUMNS if name in named}
    if lacking := [name for name in _NEEDED if name not in places]:
        hints = []
        for name in lacking:
            near = difflib.get_close_matches(name, [n for n in named if n not in COLUMNS], 1, 0.5)
            hints.append(f"“{name}”" + (f" (is it “{near[0]}”?)" if near else ""))
        raise StockError(f"the first line must name the columns {', '.join(COLUMNS)}; it lacks {' and '.join(hints)}")
    if double := [name for name, count in Counter(named).items() if count > 1 and name in COLUMNS]:
        raise StockError(f"the first line names the column “{double[0]}” twice")
    return places


def _usual_decimal(lines: list[str], mark: str, places: dict[str, int]) -> str:
    """The decimal mark that most prices have; a point where none has any."""
    if "price" not in places:
        return "."
    count: Counter[str] = Counter()
    for line in lines:
        row = next(csv.reader([line], delimiter=mark), [])
        price = row[places["price"]] if len(row) > places["price"] else ""
        for sign in ".,":
            count[sign] += price.count(sign) == 1
    return "," if count[","] > count["."] else "."


def _item(row: list[str], places: dict[str, int], width: int, mark: str, decimal: str) -> tuple[StockItem, str]:
    """The part of a line, and what is odd about its price; StockError where it is no part."""
    if len(row) <= max(places[name] for name in _NEEDED):
        raise StockError(f"{len(row)} values where there are {width} columns")
    if mark == "," and len(row) > width and any(cell.strip() for cell in row[width:]):
        raise StockError(
            f"{len(row)} values where there are {width} columns; "
            "a decimal comma needs quotes here, or semicolons between"
        )

    def cell(name: str) -> str:
        place = places.get(name)
        return "" if place is None or place >= len(row) else row[place].strip()

    size, side = cell("chain_size").upper(), cell("side").lower()
    known = library.chain_sizes()
    if size not in known:
        near = difflib.get_close_matches(size, known, 1, 0.5)
        raise StockError(f"“{cell('chain_size')}” is no chain size" + (f"; nearest is {near[0]}" if near else ""))
    if side not in SIDES:
        raise StockError(f"“{cell('side')}” is no side; write front, rear or chain")
    teeth = _whole("teeth", cell("teeth"), *_BOUNDS[side])
    quantity = _whole("quantity", cell("quantity"), 0, _MOST_PIECES)
    try:
        return StockItem(size, side, teeth, quantity, _price(cell("price"), decimal)), ""
    except StockError as error:
        return StockItem(size, side, teeth, quantity), str(error)


def _whole(name: str, text: str, low: int, high: int) -> int:
    try:
        value = parse_whole(text)
    except NumberTextError as error:
        raise StockError(f"{name}: {error}") from error
    if not low <= value <= high:
        raise StockError(f"{name}: {value} can't be right: it can be {low} to {high}")
    return value


def _price(text: str, decimal: str) -> float | None:
    text = _CURRENCY.sub("", text)
    if not text:
        return None
    other = "." if decimal == "," else ","
    if other in text:
        raise StockError(f"price: “{text}” has a decimal {_MARKS[other]}, most prices here have a {_MARKS[decimal]}")
    try:
        value = parse_number(text)
    except NumberTextError as error:
        raise StockError(f"price: {error}") from error
    if not 0 <= value <= _MOST_PRICE:
        raise StockError(f"price: {value:g} can't be right: it can be 0 to {_MOST_PRICE:g}")
    return value


_MARKS = {".": "point", ",": "comma"}
