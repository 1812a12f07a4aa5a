"""Stock lists as shops' spreadsheets have them: other headings, currencies and number styles, columns of their own."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gearplan.bike.stock import StockItem
from gearplan.bike.stocklist import cells
from gearplan.bike.stocklist.columns import LABELS, look
from gearplan.bike.stocklist.opening import read_table
from gearplan.bike.stocklist.reading import keep, layout_of, read_stock, stock_of, told
from gearplan.bike.stocklist.table import StockError, save_table, table_of, table_text
from gearplan.bike.text.written import safe_cell
from tests.stock import stock_from_text

GERMAN = (
    "Lager Mustermann\n"
    "\n"
    "Art.-Nr.;Kettengröße;Seite;Zähne;Bestand;VK;Regal\n"
    "R-15;520;vorn;15 Z;2 Stk;€ 48,00;B7\n"
    "K-45;520;Kettenrad hinten;45;2,0;27 EUR;B8\n"
    "X-112;520;Kette;112;1;1.048,00;C1\n"
    "K-47;520;hinten;47;0;89,-;B9\n"
    "K-48;520;hinten;48;1;auf Anfrage;B9\n"
    "O-1;;Ölfilter;;12;9,90;D4\n"
)


def test_a_german_spreadsheet_is_read_without_a_question() -> None:
    table = table_of(GERMAN)
    layout = look(table)
    assert [column.kind for column in layout.columns] == [
        "number", "chain_size", "side", "teeth", "quantity", "price", "unused",
    ]  # fmt: skip
    assert layout.sure
    found = stock_of(table, layout)
    assert found.stock.items == (
        StockItem("520", "front", 15, 2, 48.0, "R-15"),
        StockItem("520", "rear", 45, 2, 27.0, "K-45"),
        StockItem("520", "chain", 112, 1, 1048.0, "X-112"),
        StockItem("520", "rear", 47, 0, 89.0, "K-47"),
        StockItem("520", "rear", 48, 1, None, "K-48"),
    )
    assert found.problems == (
        "line 8: price: “auf Anfrage” is no price; write it like 12.50; the part is taken without a price",
    )
    assert found.others == 1
    assert "1 line is neither sprocket nor chain" in told(found, 5)


@pytest.mark.parametrize(
    ("written", "decimal", "price"),
    [
        # Thousands as the languages write them: common practice, no source.
        ("1,048.00", ".", 1048.0), ("1'048.50", ".", 1048.5), ("1’048.–", ".", 1048.0), ("1 048,50", ",", 1048.5),
        ("1\u202f048,50 €", ",", 1048.5), ("1.048.000,-", ",", None), ("1.048", ",", 1048.0), ("1,048", ".", 1048.0),
        ("Fr. 48.-", ".", 48.0), ("48.00 CHF", ".", 48.0), ("kr 199,00", ",", 199.0), ("£12", ".", 12.0),
        (".5", ".", 0.5),
        ("1.048", ".", None), ("1,048", ",", None), ("12.50", ",", None), ("-5", ".", None), ("12,34,56", ".", None),
        ("1e9", ".", None), ("12 or 13", ".", None), ("9999999", ".", None), ("ask", ".", None), ("=1+1", ".", None),
    ],
)  # fmt: skip
def test_a_price_is_read_in_every_style_or_refused(written: str, decimal: str, price: float | None) -> None:
    if price is None:
        with pytest.raises(StockError, match="price"):
            cells.read_price(written, decimal)
    else:
        assert cells.read_price(written, decimal)[0] == pytest.approx(price, abs=1e-9)


def test_a_price_in_another_currency_is_none() -> None:
    found = stock_from_text("Size;Side;Teeth;Price\n520;rear;45;€ 48\n520;rear;46;€ 49\n520;rear;47;$ 50\n")
    assert [item.price for item in found.stock.items] == [48.0, 49.0, None]
    assert "in $, most prices here are in EUR" in found.problems[0]


@given(
    st.integers(0, 99_999_999), st.sampled_from([(".", ","), (".", "'"), (",", "."), (",", " "), (".", ""), (",", "")])
)
def test_any_amount_is_read_as_python_formats_it(cents: int, style: tuple[str, str]) -> None:
    decimal, group = style
    text = f"{cents / 100:,.2f}".replace(".", "d").replace(",", group).replace("d", decimal)
    assert cells.read_price(text, decimal)[0] == cents / 100


def test_a_description_tells_what_no_column_does() -> None:
    text = (
        "Artikel,Menge,Preis\nRitzel 520 15 Z,3,21.50\nKettenrad 520/45T,2,48.00\n"
        "Kette 520 112 Glieder,1,89.00\nHelm,1,99\n"
    )
    table = table_of(text)
    layout = look(table)
    assert layout.usable
    assert not layout.sure
    found = stock_of(table, layout)
    assert [item.key for item in found.stock.items] == [
        ("520", "front", 15),
        ("520", "rear", 45),
        ("520", "chain", 112),
    ]
    assert found.others == 1


def test_what_a_person_said_of_the_columns_is_known_again(tmp_path: Path) -> None:
    path = tmp_path / "list.csv"
    path.write_text("K1;K2;K3;K4\n520;front;15;2\n520;rear;45;1\n")
    table = read_table(path)
    layout, clear = layout_of(table)
    assert not clear
    assert not layout.usable
    with pytest.raises(StockError, match="no column is known as “teeth, or links”"):
        read_stock(path)
    layout = layout.with_column(2, "teeth").with_column(3, "quantity")
    keep(layout)
    again, clear = layout_of(read_table(path))
    assert clear
    assert again.said == layout.said
    assert read_stock(path).stock.items[1] == StockItem("520", "rear", 45, 1)


def test_two_prices_are_asked_about() -> None:
    layout = look(table_of("Size;Side;Teeth;EK;VK\n520;rear;45;20,00;48,00\n"))
    assert not layout.sure
    price = layout.column("price")
    assert price is not None
    assert price.heading == "EK"
    assert "VK" in price.why
    assert layout.with_column(4, "price").column("price").unit == "decimal comma"  # type: ignore[union-attr]


def test_an_edit_keeps_all_else_as_it_was(tmp_path: Path) -> None:
    path = tmp_path / "list.csv"
    path.write_bytes(GERMAN.replace("\n", "\r\n").encode("cp1252"))
    table = read_table(path)
    save_table(path, table.with_cell(4, 4, "7"))
    before, after = GERMAN.splitlines(), path.read_bytes().decode("cp1252").split("\r\n")
    assert after[:4] == before[:4]
    assert after[4] == before[4].replace("2,0", "7")
    assert after[5:-1] == before[5:]
    assert read_stock(path).stock.items[1].quantity == 7


def test_rows_are_added_and_taken_away() -> None:
    table = table_of("chain_size,side,teeth,quantity\n520,rear,45,1\n520,rear,46,1\n")
    longer = table.with_row(3, ("520", "rear", "47", "1"))
    assert stock_of(longer, look(longer)).stock.items[-1].teeth == 47
    shorter = longer.without_rows({1, 2})
    assert [item.teeth for item in stock_of(shorter, look(shorter)).stock.items] == [47]


@pytest.mark.parametrize(
    "formula", ["=1+1", "=cmd|' /C calc'!A0", "@SUM(A1)", "+A1*(2)", "-2+3|x", "\t=1", " =1", "＝1", "＋A1*(2)"]
)
def test_no_formula_is_written(formula: str) -> None:
    table = table_of("chain_size,side,teeth,quantity,remark\n520,rear,45,1,x\n").with_cell(1, 4, formula)
    written = next(iter(list(csv.reader(io.StringIO(table_text(table))))[1:]))[4]
    assert written.startswith("'")
    assert safe_cell(written) == written


@pytest.mark.parametrize("text", ["-1", "+44 30 1234", "- see shelf", "-12,50", "", "B7", "'=1"])
def test_ordinary_texts_are_written_as_they_are(text: str) -> None:
    assert safe_cell(text) == text


@pytest.mark.parametrize(
    ("content", "tells"),
    [
        (b"PK\x03\x04rest", "cannot be read; save it anew"),
        (b"\x00\x01", "not text"),
        (b"", "is empty"),
        (b"a;b\n" * 200_002, "rows"),
        (b";" * 500 + b"\n1\n", "cells"),
    ],
)
def test_what_is_no_list_is_told(tmp_path: Path, content: bytes, tells: str) -> None:
    path = tmp_path / "list.csv"
    path.write_bytes(content)
    with pytest.raises(StockError, match=tells):
        read_stock(path)


@pytest.mark.parametrize(
    ("heading", "price", "currency"),
    [
        ("VK", "€ 48,00", "EUR"),
        ("VK (CHF)", "48,00", "CHF"),
        ("Price £", "48.00", "GBP"),
        ("Price EUR", "48.00 CHF", "CHF"),
        ("Price per kit", "48.00", ""),
    ],
)
def test_the_lists_currency_is_that_of_its_prices_or_of_their_heading(heading: str, price: str, currency: str) -> None:
    stock = stock_from_text(f"size;side;teeth;quantity;{heading}\n520;front;15;1;{price}\n").stock
    assert (stock.currency, stock.items[0].price) == (currency, 48.0)
    assert stock.in_currency("SEK").currency == (currency or "SEK")


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_the_encodings_of_spreadsheets_are_read_and_kept(tmp_path: Path, encoding: str) -> None:
    path = tmp_path / "list.csv"
    path.write_bytes(("sep=;\n" + GERMAN.split("\n\n")[1]).encode(encoding))
    table = read_table(path)
    assert len(stock_of(table, look(table)).stock.items) == 5
    save_table(path, table)
    assert "Zähne" in path.read_bytes().decode(encoding)


def test_a_quote_left_open_harms_its_own_line_only() -> None:
    lines = "\n".join(f"520,rear,{teeth},1,note" for teeth in range(10, 90))
    found = stock_from_text(f'chain_size,side,teeth,quantity,remark\n520,front,14,1,"5 inch\n{lines}\n')
    assert len(found.stock.items) == 81


@given(st.text(max_size=400))
def test_any_text_gives_a_list_or_one_line(text: str) -> None:
    try:
        table = table_of(text)
        layout = look(table)
        assert {column.kind for column in layout.columns} <= set(LABELS)
        stock_of(table, layout)
    except StockError as refused:
        assert "\n" not in str(refused)
