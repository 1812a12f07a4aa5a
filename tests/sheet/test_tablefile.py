"""Tables for other programs: no text becomes a formula, and a number stays the number that was shown."""

from __future__ import annotations

import csv
import io
import zipfile
from xml.etree import ElementTree

from hypothesis import given, settings
from hypothesis import strategies as st

from gearplan.bike.stocklist.spreadsheet import sheets
from gearplan.sheet.tablefile import csv_text, spreadsheet

#: ECMA-376, part 1, 18.3: cells (c), their formulas (f), values (v) and kinds (t, "s" for a shared text).
MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
SMUGGLED = ("=1+1", "+A1(2)", "-2+3|cmd", "@now", "\t=1", '=HYPERLINK("http://x")', "http://x", "{=1}", "mailto:a@b")


def cells(data: bytes) -> list[tuple[str, str]]:
    """Kind and value of each cell, read by the standard alone; whatever holds a formula fails."""
    with zipfile.ZipFile(io.BytesIO(data)) as packed:
        root = ElementTree.fromstring(packed.read("xl/worksheets/sheet1.xml"))
        shared = [
            "".join(part.text or "" for part in item.iter(f"{MAIN}t"))
            for item in ElementTree.fromstring(packed.read("xl/sharedStrings.xml")).iter(f"{MAIN}si")
        ]
        assert not [name for name in packed.namelist() if "rels" in name and "worksheets" in name]
    assert not list(root.iter(f"{MAIN}f"))
    found = []
    for cell in root.iter(f"{MAIN}c"):
        value = cell.findtext(f"{MAIN}v")
        if value is not None:
            text = cell.get("t") == "s"
            found.append(("text", shared[int(value)]) if text else ("number", value))
    return found


def test_no_cell_of_an_export_is_a_formula() -> None:
    text = csv_text([("=1+1", "−3.5", "-2", "@now", "+A1(2)", "1,5")])
    assert next(csv.reader(io.StringIO(text))) == ["'=1+1", "-3.5", "-2", "'@now", "'+A1(2)", "1,5"]
    found = cells(spreadsheet([SMUGGLED, SMUGGLED], "Gears"))
    assert found == [("text", cell) for cell in (*SMUGGLED, *SMUGGLED)]


def test_numbers_are_numbers_with_their_decimals_and_all_else_is_text() -> None:
    rows = [("gear", "2"), ("1", "−3.50"), ("007", "15/46"), ("1:16.5", "1e5"), ("", "12345678901234567")]
    found = cells(spreadsheet(rows, "Sets [1]: all/of\\them, each with a rather long name"))
    assert found == [
        ("text", "gear"), ("text", "2"), ("number", "1"), ("number", "-3.5"), ("text", "007"), ("text", "15/46"),
        ("text", "1:16.5"), ("text", "1e5"), ("text", "12345678901234567"),
    ]  # fmt: skip


@settings(max_examples=30)
@given(st.text(max_size=60), st.text(max_size=60))
def test_any_text_and_any_name_can_be_written(text: str, name: str) -> None:
    data = spreadsheet([("head",), (text,)], name)
    cells(data)
    assert len(list(sheets(data))) == 1
