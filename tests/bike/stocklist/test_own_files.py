"""Spreadsheets' own files: two made by outside writers (openpyxl 3.1.5, odfpy 1.4.1), and ones that mean harm."""

from __future__ import annotations

import io
import zipfile
from pathlib import Path

import pytest

from gearplan.bike.stock import StockItem
from gearplan.bike.stocklist import spreadsheet
from gearplan.bike.stocklist.opening import read_table
from gearplan.bike.stocklist.reading import layout_of, list_of, save_list, stock_of
from gearplan.bike.stocklist.spreadsheet import sheets
from gearplan.bike.stocklist.table import StockError

MADE = Path(__file__).parent / "made"
MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
LINKS = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
OPEN = "urn:oasis:names:tc:opendocument:xmlns"


@pytest.mark.parametrize("name", ["openpyxl.xlsx", "odfpy.ods"])
def test_files_of_other_programs_are_read_without_a_question(name: str) -> None:
    table = read_table(MADE / name)
    assert table.sheet == "Lager"
    layout, clear = layout_of(table)
    assert clear
    found = stock_of(table, layout)
    assert found.stock.items[:5] == (
        StockItem("520", "front", 15, 2, 48.0, "00015"),
        StockItem("520", "rear", 45, 2, 27.3, "K-45"),
        StockItem("520", "chain", 112, 1, 1048.0, "X-112"),
        StockItem("520", "rear", 47, 0, 0.3, "K-47"),
        StockItem("520", "rear", 48, 1, None, "K-48"),
    )
    assert found.others == 1
    assert found.problems[0].startswith("line 9: price: “auf Anfrage” is no price")
    if name.endswith("xlsx"):
        assert table.rows[2][7] == "2026-03-01"


def test_what_is_edited_is_written_beside_as_csv_and_the_file_stays(tmp_path: Path) -> None:
    source = tmp_path / "list.xlsx"
    source.write_bytes((MADE / "openpyxl.xlsx").read_bytes())
    listed = list_of(table := read_table(source), layout_of(table)[0], source)
    assert listed.told(0).startswith("list.xlsx, sheet “Lager”: 6 parts.")
    edited = table.with_cell(2, 4, "7")
    with pytest.raises(StockError, match=r"ends in .csv, not in .xlsx"):
        save_list(listed, edited, source)
    assert source.read_bytes() == (MADE / "openpyxl.xlsx").read_bytes()
    saved = save_list(listed, edited, tmp_path / "list.csv")
    again = read_table(tmp_path / "list.csv")
    assert (saved.table.sheet, again.sheet) == ("", "")
    assert [row[6] for row in again.rows if len(row) > 6] == [row[6] for row in table.rows if len(row) > 6]
    assert stock_of(again, layout_of(again)[0]).stock.items[0] == StockItem("520", "front", 15, 7, 48.0, "00015")


def packed(parts: dict[str, str | bytes]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as file:
        for name, content in parts.items():
            file.writestr(name, content)
    return out.getvalue()


def office(rows: str, **parts: str) -> bytes:
    """A workbook of one sheet with these rows."""
    book = (
        f'<workbook xmlns="{MAIN}" xmlns:r="{LINKS}"><sheets><sheet name="S" sheetId="1" r:id="a"/></sheets></workbook>'
    )
    rels = '<Relationships><Relationship Id="a" Target="worksheets/sheet1.xml"/></Relationships>'
    sheet = f'<worksheet xmlns="{MAIN}"><sheetData>{rows}</sheetData></worksheet>'
    held: dict[str, str | bytes] = {
        "xl/workbook.xml": book,
        "xl/_rels/workbook.xml.rels": rels,
        "xl/worksheets/sheet1.xml": sheet,
    }
    return packed(held | {f"xl/{name}.xml": text for name, text in parts.items()})


def document(rows: str) -> bytes:
    """A document of one sheet with these rows."""
    names = f'xmlns:office="{OPEN}:office:1.0" xmlns:table="{OPEN}:table:1.0" xmlns:text="{OPEN}:text:1.0"'
    inside = f'<table:table table:name="S">{rows}</table:table>'
    return packed({"content.xml": f"<office:document-content {names}>{inside}</office:document-content>"})


CELL = '<table:table-cell office:value-type="string"{}><text:p>x</text:p></table:table-cell>'


def test_cells_of_all_kinds_where_they_stand() -> None:
    texts = f'<sst xmlns="{MAIN}"><si><r><t>two </t></r><r><t>runs</t></r><rPh><t>said</t></rPh></si></sst>'
    rows = (
        '<row r="3"><c r="C3" t="s"><v>0</v></c><c t="inlineStr"><is><t>in line</t></is></c><c t="b"><v>1</v></c></row>'
        '<row><c t="str"><f>A1</f><v>=told</v></c><c><v>1E-3</v></c><c r="H4" t="s"><v>9</v></c></row>'
    )
    assert list(sheets(office(rows, sharedStrings=texts))) == [
        ("S", [(3, ("", "", "two runs", "in line", "1")), (4, ("=told", "0.001"))])
    ]
    row = f"{CELL.format('')}<table:table-cell/>{CELL.format('')}"
    twice = f'<table:table-row table:number-rows-repeated="2">{row}</table:table-row>'
    assert list(sheets(document(twice))) == [("S", [(1, ("x", "", "x")), (2, ("x", "", "x"))])]


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (office('<row r="1"><c r="XFD1" t="str"><v>far</v></c></row>'), "16384 cells; a stock list has at most 400"),
        (office("<row><c t='str'><v>x</v></c></row>" * 2001), "more than 2000 rows"),
        (office("<row"), "cannot be read; save it anew"),
        (office('<row r="x"><c><v>1</v></c></row>'), "cannot be read; save it anew"),
        (packed({"xl/workbook.xml": "<workbook/>"}), "cannot be read; save it anew"),
        (packed({"a.txt": "no spreadsheet"}), "a packed file that is no spreadsheet"),
        (office("")[:300], "cannot be read; save it anew"),
        (office(""), "all of its sheets are empty"),
        (packed({"content.xml": b"\0" * 101_000_000}), "larger than 100 MB"),
        (
            document(f'<table:table-row table:number-rows-repeated="1000000000">{CELL.format("")}</table:table-row>'),
            "more than 2000 rows",
        ),
        (
            document(
                "<table:table-row>" + CELL.format(' table:number-columns-repeated="999999999"') + "</table:table-row>"
            ),
            "999999999 cells",
        ),
        (b"\xd0\xcf\x11\xe0 older", "locked, or of an older spreadsheet"),
    ],
)
def test_what_means_harm_or_is_broken_is_said(
    tmp_path: Path, data: bytes, said: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(spreadsheet, "MOST_ROWS", 2000)
    path = tmp_path / "list.xlsx"
    path.write_bytes(data)
    with pytest.raises(StockError, match=said) as refused:
        read_table(path)
    assert str(path) in str(refused.value)


def test_a_file_that_lies_about_its_size_is_stopped(monkeypatch: pytest.MonkeyPatch) -> None:
    data = office("<row><c t='str'><v>x</v></c></row>" * 3000)
    monkeypatch.setattr(spreadsheet, "_MOST_UNPACKED", 50_000)
    # The size that is asked for before is not that of what is unpacked.
    monkeypatch.setattr(spreadsheet, "_declared", lambda *_: 0)
    with pytest.raises(StockError, match="larger than"):
        list(sheets(data))


def test_entities_within_entities_do_not_grow() -> None:
    laughs = "".join(f'<!ENTITY l{n + 1} "{f"&l{n};" * 10}">' for n in range(9))
    bomb = f'<!DOCTYPE x [<!ENTITY l0 "ha">{laughs}]><worksheet>&l9;</worksheet>'
    with zipfile.ZipFile(io.BytesIO(office(""))) as file:
        parts: dict[str, str | bytes] = {name: file.read(name) for name in file.namelist()}
    with pytest.raises(StockError, match="cannot be read"):
        list(sheets(packed(parts | {"xl/worksheets/sheet1.xml": bomb})))


def test_a_packed_file_with_a_broken_stream_is_refused(tmp_path: Path) -> None:
    made = bytearray((MADE / "openpyxl.xlsx").read_bytes())
    with zipfile.ZipFile(MADE / "openpyxl.xlsx") as whole:
        part = whole.getinfo("xl/worksheets/sheet1.xml")
    begun = part.header_offset + 30 + len(part.filename)
    made[begun : begun + 40] = b"\xff" * 40
    path = tmp_path / "broken.xlsx"
    path.write_bytes(made)
    with pytest.raises(StockError):
        read_table(path)
