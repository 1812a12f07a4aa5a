"""A table as a file for other programs: comma-separated text, or a spreadsheet (Office Open XML, ECMA-376)."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Sequence

from gearplan.bike.text.written import safe_cell
from gearplan.language import tr

#: Heads, then rows, of texts as they are shown.
Table = Sequence[tuple[str, ...]]

#: A number that a spreadsheet keeps without loss; one that begins with a zero is a name, such as a part's.
_NUMBER = re.compile(r"-?(0|[1-9]\d{0,12})(\.\d{1,9})?")
#: What no sheet may be called, how long its name may be (counted in UTF-16), and how long a cell: ECMA-376,
#: part 1, and 32,767 letters. XML 1.0 has no place for some.
_NOT_IN_NAMES = re.compile(r"[\[\]:*?/\\'\t\r\n\U00010000-\U0010FFFF]")
_NO_LETTER = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff]")
_LONGEST_NAME, _LONGEST_CELL = 31, 32_000


def csv_text(rows: Table) -> str:
    """Commas between; numbers as programs read them, and no cell is taken for a formula."""
    out = io.StringIO()
    write = csv.writer(out, lineterminator="\n")
    for row in rows:
        write.writerow(safe_cell(cell.replace("−", "-")) for cell in row)
    return out.getvalue()


def spreadsheet(rows: Table, name: str) -> bytes:
    """A workbook of one sheet: numbers as numbers with the decimals that are shown, all else as text, no formula."""
    import xlsxwriter

    out = io.BytesIO()
    book = xlsxwriter.Workbook(out, {"in_memory": True})
    sheet = book.add_worksheet(_NOT_IN_NAMES.sub(" ", _sound(name))[:_LONGEST_NAME].strip() or tr("Table"))
    bold = book.add_format({"bold": True})
    looks: dict[int, object] = {}
    for line, row in enumerate(rows):
        for column, cell in enumerate(row):
            plain = cell.replace("−", "-")
            if line and _NUMBER.fullmatch(plain):
                decimals = len(plain.partition(".")[2])
                look = looks.get(decimals)
                if look is None:
                    digits = f"0.{'0' * decimals}" if decimals else "0"
                    look = looks[decimals] = book.add_format({"num_format": digits})
                sheet.write_number(line, column, float(plain), look)
            elif cell:
                # Written as text, whatever it begins with.
                sheet.write_string(line, column, _sound(cell)[:_LONGEST_CELL], bold if not line else None)
    sheet.freeze_panes(1, 0)
    sheet.autofit()
    book.close()
    return out.getvalue()


def _sound(text: str) -> str:
    """A text that can be written; names of files may hold what is no letter, and what XML 1.0 has no place for."""
    return _NO_LETTER.sub("?", text.encode("utf-8", "replace").decode())
