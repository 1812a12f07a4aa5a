"""Stock lists for tests."""

from __future__ import annotations

from gearplan.bike.stocklist.columns import look
from gearplan.bike.stocklist.reading import StockFile, StockList, list_of, stock_of
from gearplan.bike.stocklist.table import table_of


def stock_from_text(text: str) -> StockFile:
    """The stock list of a CSV text, by its headings."""
    table = table_of(text)
    return stock_of(table, look(table))


def list_of_text(text: str) -> StockList:
    """The list of a CSV text that is in no file."""
    table = table_of(text)
    return list_of(table, look(table))
