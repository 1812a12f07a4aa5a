"""A stock list's file as a table: CSV, or a sheet of a spreadsheet's own file."""

from __future__ import annotations

from pathlib import Path

from gearplan.bike.files.ordinary import read_file, why
from gearplan.bike.stocklist.columns import look
from gearplan.bike.stocklist.table import StockError, Table, decoded, table_of
from gearplan.language import tr

_MOST_BYTES = 32_000_000
#: How a packed file begins, which the spreadsheets of today write, and what older ones wrote.
_PACKED, _OLD = b"PK\x03\x04", b"\xd0\xcf\x11\xe0"
#: The endings of what is read but not written.
SPREADSHEETS = (".xlsx", ".xlsm", ".ods")


def read_table(path: Path) -> Table:
    """The table in a file; StockError, which names the file, if it cannot be read as one."""
    try:
        data = read_file(path, _MOST_BYTES)
    except OSError as failed:
        raise StockError(f"{path}: {why(failed)}") from failed
    if data.startswith(_OLD):
        raise StockError(
            tr("{path} is locked, or of an older spreadsheet; save it as XLSX, ODS or CSV and open that", path=path)
        )
    try:
        return _of_sheets(data) if data.startswith(_PACKED) else table_of(*decoded(data))
    except StockError as error:
        raise StockError(f"{path}: {error}") from error


def _of_sheets(data: bytes) -> Table:
    """The first sheet whose columns tell what makes a part, or the first that holds anything."""
    # Few lists are such files.
    from gearplan.bike.stocklist.spreadsheet import sheets

    first: Table | None = None
    for name, rows in sheets(data):
        if rows:
            lines, cells = zip(*rows, strict=True)
            # Written as CSV it has a mark by which spreadsheets know the encoding.
            table = Table(cells, lines, encoding="utf-8-sig", sheet=name or tr("without a name"))
            if not look(table).lacking:
                return table
            first = first or table
    if first is None:
        raise StockError(tr("all of its sheets are empty"))
    return first
