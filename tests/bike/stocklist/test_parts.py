"""The stock list: good lines are used, bad ones told by line."""

from __future__ import annotations

from pathlib import Path

import pytest

from gearplan.bike.library import chain_sizes
from gearplan.bike.stock import StockItem
from gearplan.bike.stocklist.reading import read_stock
from gearplan.bike.stocklist.table import StockError
from tests.stock import stock_from_text

HEAD = "chain_size,side,teeth,quantity,price\n"


def test_bad_lines_are_told_and_good_ones_used() -> None:
    text = (
        "Chain size;Side;Teeth;Quantity;Price\n"
        "520;front;14;2;12,50\n"
        "520;front;15;2;13.50\n"
        "520;rear;45;1;30,00\n"
        "520;Front;14;7;99,00\n"
        "\n"
        "521;front;14;1;3\n"
        "520;middle;14;1;3\n"
        "520;rear;45.5;1;3\n"
        "520;rear\n"
        "520;rear;46;-1;3\n"
        "520;rear;47;1;1.234,50\n"
        "520;chain;112;1;\n"
    )
    read = stock_from_text(text)
    assert read.stock.items == (
        StockItem("520", "front", 14, 2, 12.5),
        StockItem("520", "front", 15, 2, None),
        StockItem("520", "rear", 45, 1, 30.0),
        StockItem("520", "rear", 47, 1, 1234.5),
        StockItem("520", "chain", 112, 1, None),
    )
    told = {int(p.split(":")[0].removeprefix("line ")): p for p in read.problems}
    assert set(told) == {3, 5, 7, 8, 9, 10, 11}
    assert "decimal point" in told[3]
    assert "without a price" in told[3]
    assert "line 2" in told[5]
    assert "no chain size" in told[7]
    assert "front, rear or chain" in told[8]
    assert "whole number" in told[9]
    assert "5 columns" in told[10]
    assert "0 to" in told[11]


def test_a_decimal_comma_between_commas_is_told() -> None:
    assert "decimal comma" in stock_from_text(HEAD + "520,front,14,2,12,50\n").problems[0]
    read = stock_from_text(HEAD + '520,front,14,2,"12,50"\n')
    assert read.stock.items[0].price == 12.5


@pytest.mark.parametrize(
    ("text", "tells"),
    [
        ("", "is empty"),
        ("\n\n", "is empty"),
        ("a;b;c\n1;2;3\n", "must name the columns"),
        ("size,teeth,qty\n520,14,1\n", "known as “front, rear or chain”"),
        ("\0\0", "not text"),
    ],
)
def test_wrong_headers_are_refused_with_what_is_right(text: str, tells: str) -> None:
    with pytest.raises(StockError, match=tells):
        stock_from_text(text)


def test_files_that_cannot_be_read(tmp_path: Path) -> None:
    with pytest.raises(StockError, match="no such file"):
        read_stock(tmp_path / "none.csv")
    with pytest.raises(StockError, match="folder"):
        read_stock(tmp_path)
    (tmp_path / "latin.csv").write_bytes((HEAD + "520,front,14,1,5 # Stück\n").encode("latin-1"))
    assert read_stock(tmp_path / "latin.csv").problems


def test_columns_may_stand_in_any_order_and_price_may_lack() -> None:
    read = stock_from_text(
        "\ufeffquantity\tteeth\tside\tchain_size\tshelf\n3\t14\tfront\t520\tB7\n".removeprefix("\ufeff")
    )
    assert read.stock.items == (StockItem("520", "front", 14, 3, None),)


def test_a_longer_chain_can_be_cut() -> None:
    stock = stock_from_text(HEAD + "520,chain,118,0,80\n520,chain,120,2,90\n520,chain,110,2,70\n").stock
    shortest, there = stock.chain_for("520", 112), stock.chain_for("520", 112, there=True)
    assert shortest is not None
    assert shortest.teeth == 118
    assert there is not None
    assert there.teeth == 120
    assert stock.chain_for("520", 122) is None
    assert stock.chain_for(None, 100) is None


def test_ten_thousand_lines_are_read_or_told() -> None:
    lines = [
        f"{size},{side},{teeth},3,12.50"
        for size in chain_sizes()
        for side, teeth_of in (("front", range(9, 61)), ("rear", range(9, 151)), ("chain", range(20, 401)))
        for teeth in teeth_of
    ]
    while len(lines) < 10_000:
        lines += lines[: 10_000 - len(lines)]
    read = stock_from_text(HEAD + "\n".join(lines))
    assert len(read.stock.items) + len(read.problems) == 10_000


@pytest.mark.parametrize(("written", "price"), [("€ 48,00", 48.0), ("27 EUR", 27.0), ("89,-", 89.0), ("£12", 12.0)])
def test_a_price_may_name_its_currency(written: str, price: float) -> None:
    read = stock_from_text(f"chain_size;side;teeth;quantity;price\n520;rear;47;1;{written}\n")
    assert read.problems == ()
    assert read.stock.items[0].price == price


def test_columns_of_the_shop_s_own_are_left_aside() -> None:
    text = "chain_size,side,teeth,quantity,price,shelf,remark\n520,rear,47,1,48.00,B7,steel\n520,front,15,2,21.50,,\n"
    read = stock_from_text(text)
    assert read.problems == ()
    assert [item.price for item in read.stock.items] == [48.0, 21.5]
