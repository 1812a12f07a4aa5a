"""What a quote sums up to, reckoned again in fractions; what it keeps; what is left out of it and said."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gearplan.bike.demo import demo_bike
from gearplan.bike.files.bikefile import bike_from_text, text_with
from gearplan.bike.profile import Bike
from gearplan.bike.stock import Stock, StockItem
from gearplan.bike.text.numbertext import NumberTextError
from gearplan.bike.text.written import safe_cell
from gearplan.bike.work.proposal import Proposal
from gearplan.plan.driveset import fitted
from gearplan.plan.job.job import current
from gearplan.plan.money import decimals, each, exact, money, plain, read_amount, rounded
from gearplan.plan.quote.csvtext import quote_csv
from gearplan.plan.quote.discount import discount_text, read_discount
from gearplan.plan.quote.fitting import agreed
from gearplan.plan.quote.proposals import with_proposal
from gearplan.plan.quote.quote import (
    LABOUR,
    Quote,
    TooMuch,
    left_out_words,
    made,
    quote,
    reopened,
    rule_words,
    totals,
    with_part,
)
from gearplan.plan.quote.table import quote_table
from gearplan.plan.quote.terms import Terms, TermsTyped, refusal, terms

DAY = date(2026, 3, 2)
TYPED = TermsTyped("EUR", "19", False, "62,50", "0.4", "0.75", "0.5", "1.2", "30")
SHOP = terms(TYPED)
STOCK = Stock((StockItem("520", "front", 16, 2, 21.35), StockItem("520", "rear", 45, 0, 48.5)))


def bike_of(*rears: int) -> Bike:
    bike = demo_bike().bike
    for rear in rears:
        bike = with_proposal(bike, replace(fitted(bike), front=16, rear=rear), DAY)
    return bike


def priced(bike: Bike, place: int, **prices: tuple[float, float]) -> Bike:
    one = bike.proposals[place]
    for key, (quantity, price) in prices.items():
        one = with_part(one, key, quantity=quantity, price=price)
    return replace(bike, proposals=(*bike.proposals[:place], one, *bike.proposals[place + 1 :]))


def half_up(amount: Fraction, places: int) -> Fraction:
    """Another route: to the nearest whole unit in whole numbers."""
    return Fraction(math.floor(amount * 10**places + Fraction(1, 2)), 10**places)


Discounts = Mapping[int, tuple[float | None, float | None]]


def reckoned(shown: Quote, discounts: Discounts) -> list[tuple[Fraction, Fraction, Fraction]]:
    """(net, tax, total) of every set from its quantities and prices alone, in fractions."""
    places, tax = decimals(shown.terms.currency), shown.terms.tax
    found = []
    for one in shown.sets:
        lines = [half_up(Fraction(line.quantity) * Fraction(line.price), places) for line in one.lines]
        assert [Fraction(line.amount) for line in one.lines] == lines
        together = sum(lines, Fraction(0))
        assert Fraction(one.together) == together
        share, amount = discounts.get(one.place, (None, None))
        off = half_up(together * Fraction(Decimal(repr(share or 0.0))) / 100, places)
        off += half_up(Fraction(Decimal(repr(amount or 0.0))), places)
        assert one.too_much == (off > together)
        assert Fraction(one.discount) == (0 if one.too_much else off)
        together -= Fraction(one.discount)
        if tax is None:
            found.append((together, Fraction(0), together))
        elif shown.terms.included:
            held = half_up(together * Fraction(tax) / (100 + Fraction(tax)), places)
            found.append((together - held, held, together))
        else:
            added = half_up(together * Fraction(tax) / 100, places)
            found.append((together, added, together + added))
    return found


def test_a_quote_by_hand() -> None:
    # Half a can of lubricant at 8.61 is 4.305, 0.4 h and 0.75 h at 62.50 are 71.875: both are rounded up.
    bike = priced(bike_of(45), 0, lubricant=(0.5, 8.61))
    (one,) = (shown := quote(bike, [0], SHOP, DAY, STOCK)).sets
    assert [line.key for line in one.lines] == ["front", "rear", "lubricant", LABOUR]
    assert [plain(line.amount, "EUR") for line in one.lines] == ["21.35", "48.50", "4.31", "71.88"]
    assert (plain(one.net, "EUR"), plain(one.tax, "EUR"), plain(one.total, "EUR")) == ("146.04", "27.75", "173.79")
    assert shown.valid_until == date(2026, 4, 1)
    assert "front nut or washer" in left_out_words(one)
    assert "Each line is rounded to 0.01, a half up." in rule_words(shown)
    assert "19\u00a0%" in rule_words(shown)


AMOUNTS = st.decimals(0, 1000, places=3).map(float) | st.floats(0, 1000)
PRICES = st.decimals(0, 100_000, places=3).map(float) | st.floats(0, 1_000_000)


@settings(max_examples=60)
@given(
    st.lists(st.tuples(AMOUNTS, PRICES), min_size=3, max_size=3),
    st.none() | st.decimals(0, 100, places=2),
    st.booleans(),
    st.sampled_from(("EUR", "JPY", "KWD", "", "Taler")),
    st.none() | st.floats(0, 1000),
    st.tuples(st.none() | st.floats(0, 100), st.none() | st.decimals(0, 2000, places=3).map(float)),
)
def test_sums_are_exact(
    lines: list[tuple[float, float]],
    tax: Decimal | None,
    included: bool,
    currency: str,
    hours: float | None,
    off: tuple[float | None, float | None],
) -> None:
    bike = priced(bike_of(45, 44), 1, front=lines[0], rear=lines[1], lubricant=lines[2])
    bike = replace(
        bike,
        proposals=(
            bike.proposals[0],
            replace(bike.proposals[1], labour_h=hours, discount_percent=off[0], discount=off[1]),
        ),
    )
    shown = quote(bike, [1, 0], replace(SHOP, tax=tax, included=included, currency=currency), DAY, STOCK)
    assert reckoned(shown, {1: off}) == [
        (Fraction(one.net), Fraction(one.tax), Fraction(one.total)) for one in shown.sets
    ]
    for one in shown.sets:
        assert one.net + one.tax == one.total
        assert all(rounded(line.amount, decimals(currency)) == line.amount for line in one.lines)
    rows = list(csv.DictReader(io.StringIO(quote_csv(shown))))
    for one in shown.sets:
        told = {row["line"]: row["amount"] for row in rows if row["proposal"] == one.name}
        assert Fraction(told["total"]) == Fraction(one.total)


def test_a_discount_by_hand() -> None:
    # 12.5 % of 146.04 is 18.255: 18.26. With 5.00 more off 122.78 are left, of which 19 % are 23.3282.
    bike = priced(bike_of(45), 0, lubricant=(0.5, 8.61))
    bike = replace(bike, proposals=(replace(bike.proposals[0], **read_discount("12,5 % + 5")),))  # type: ignore[arg-type]
    (one,) = (shown := quote(bike, [0], SHOP, DAY, STOCK)).sets
    assert (one.together, one.discount) == (Decimal("146.04"), Decimal("23.26"))
    assert (one.net, one.tax, one.total) == tuple(map(Decimal, ("122.78", "23.33", "146.11")))
    assert "the discount is taken from their sum, rounded once" in rule_words(shown)
    rows = {row[0]: row[1] for row in quote_table(shown).rows}
    assert rows["Lines together"] == "146.04"
    assert rows["Discount"] == "\u221223.26 (12.5 % + 5)"
    kept = made(bike, shown, "1").proposals[0]
    assert kept.price == 146.11
    assert reopened(kept, discount=6.0).quote is None
    much = replace(bike, proposals=(replace(bike.proposals[0], discount_percent=None, discount=200.0),))
    shown = quote(much, [0], SHOP, DAY, STOCK)
    assert shown.sets[0].total == Decimal("173.79")
    assert left_out_words(shown.sets[0]).startswith("The discount of 200 is more than the sum")
    assert "Discount" not in {row[0] for row in quote_table(shown).rows}


@pytest.mark.parametrize(
    ("text", "means"),
    [
        ("10 %", (10.0, None)),
        ("7,5%", (7.5, None)),
        ("25", (None, 25.0)),
        ("0,1 + 10 %", (10.0, 0.1)),
        ("", (None, None)),
        ("101 %", None),
        ("-5", None),
        ("2e9", None),
        ("10 % + 5 %", None),
        ("1.234,5", None),
        ("a lot", None),
    ],
)
def test_a_discount_is_read_or_refused_in_words(text: str, means: tuple[float | None, float | None] | None) -> None:
    if means is None:
        with pytest.raises(ValueError, match=r"write a discount|can't be right|read in two ways|not a number"):
            read_discount(text)
        return
    found = read_discount(text)
    assert (found["discount_percent"], found["discount"]) == means
    assert read_discount(discount_text(Proposal(**found))) == found  # type: ignore[arg-type]


def test_the_tax_is_rounded_once_from_the_sum() -> None:
    cents = [Decimal("0.05")] * 7
    assert totals(cents, replace(SHOP, tax=Decimal(10)))[1] == Decimal("0.04")
    assert totals(cents, replace(SHOP, tax=Decimal(10), included=True)) == tuple(map(Decimal, ("0.32", "0.03", "0.35")))
    assert totals(cents, replace(SHOP, tax=None)) == tuple(map(Decimal, ("0.35", "0", "0.35")))


def test_a_quote_that_was_made_says_the_same_whatever_becomes_of_the_shops_prices() -> None:
    bike = priced(bike_of(45, 44), 1, rear=(1, 50.15))
    first = quote(bike, [0, 1], SHOP, DAY, STOCK)
    assert first.number == ""
    kept = bike_from_text(text_with(made(bike, first, "2026-017"), ""), "").bike
    dearer = replace(SHOP, rate=Decimal(99), tax=Decimal(7), included=True, hours={}, currency="CHF", days=3)
    later = quote(kept, [0, 1], dearer, date(2027, 1, 1), Stock())
    assert (later.number, later.day, later.valid_until) == ("2026-017", DAY, date(2026, 4, 1))
    assert [(one.net, one.tax, one.total) for one in later.sets] == [(s.net, s.tax, s.total) for s in first.sets]
    assert later.terms.currency == "EUR"
    assert [exact(one.price or 0) for one in kept.proposals] == [one.total for one in first.sets]
    # With a set that was not on it, it is another quote.
    assert quote(with_proposal(kept, replace(fitted(kept), rear=43), DAY), [0, 2], SHOP, DAY).number == ""


def test_the_jobs_parts_are_those_that_were_quoted() -> None:
    bike = priced(bike_of(45), 0, lubricant=(0.5, 12.0))
    shown = quote(bike, [0], SHOP, DAY, STOCK)
    job = current(agreed(made(bike, shown, "1"), 0, DAY))
    assert job is not None
    lines = [(line.key, float(line.quantity), float(line.price)) for line in shown.sets[0].lines if line.key != LABOUR]
    assert sorted((one.part, one.quantity, one.price) for one in job.parts) == sorted(lines)
    assert ("front", 1, 21.35) in lines


def test_prices_of_a_list_in_another_currency_are_not_added_up() -> None:
    bike = bike_of(45)
    for currency, taken in (("EUR", True), ("", True), ("GBP", False)):
        shown = quote(bike, [0], SHOP, DAY, replace(STOCK, currency=currency))
        assert ("front" in {line.key for line in shown.sets[0].lines}) == taken
        told = "The stock list's prices are in GBP, the quote in EUR: none is taken."
        assert (told in quote_table(shown).notes) == (not taken)
    assert quote(bike, [0], replace(SHOP, currency="€"), DAY, replace(STOCK, currency="EUR")).sets[0].lines
    assert quote(bike, [0], replace(SHOP, currency=""), DAY, replace(STOCK, currency="GBP")).sets[0].lines


def test_what_lacks_is_left_out_and_said() -> None:
    shown = quote(bike_of(45), [0], Terms(), DAY)
    (one,) = shown.sets
    assert (one.lines, one.total) == ((), Decimal(0))
    assert "front sprocket, 16 teeth, for 520" in left_out_words(one)
    assert "labour (change the front sprocket and change the rear sprocket)" in left_out_words(one)
    assert "no tax is shown" in rule_words(shown)
    no_rate = quote(bike_of(45), [0], replace(SHOP, rate=None), DAY)
    assert "labour (what an hour costs)" in left_out_words(no_rate.sets[0])
    asked = bike_of(45)
    asked = replace(asked, proposals=(replace(asked.proposals[0], labour_h=0.0),))
    assert "labour" not in left_out_words(quote(asked, [0], Terms(), DAY).sets[0])


def test_a_sum_that_cannot_be_meant_is_refused() -> None:
    bike = priced(bike_of(45), 0, front=(1000, 1_000_000), rear=(1000, 1_000_000))
    with pytest.raises(TooMuch, match="Set A: the total of"):
        made(bike, quote(bike, [0], SHOP, DAY), "1")


@pytest.mark.parametrize(
    ("key", "text", "right"),
    [
        ("tax_percent", "300", False),
        ("tax_percent", "-1", False),
        ("tax_percent", "7,7", True),
        ("tax_percent", "nineteen", False),
        ("hour_price", "1e9", False),
        ("hour_price", "1.234,50", False),
        ("hour_price", "62,50", True),
        ("currency", "Euro and cents", False),
        ("currency", "EUR", True),
        ("valid_days", "0", False),
        ("valid_days", "14", True),
        ("hours_front", "0.4", True),
        ("hours_front", "", True),
    ],
)
def test_terms_are_read_or_refused_in_words(key: str, text: str, right: bool) -> None:
    assert (refusal(key, text) is None) == right
    read = terms(replace(TYPED, **{key: text}))  # type: ignore[arg-type]
    assert isinstance(read, Terms)


def test_amounts_are_read_and_written_exactly() -> None:
    assert read_amount("0,1", 0, 1) * 3 == Decimal("0.3")
    with pytest.raises(NumberTextError):
        read_amount("2", 0, 1)
    assert [rounded(Decimal(text), 2) for text in ("2.675", "2.665", "2.6649")] == [
        Decimal("2.68"),
        Decimal("2.67"),
        Decimal("2.66"),
    ]
    assert money(Decimal("1234567.5"), "EUR") == "1\u202f234\u202f567.50\u00a0EUR"
    assert money(Decimal("9999.5"), "JPY") == "10000\u00a0JPY"
    assert money(Decimal("5")) == "5.00"
    assert [each(Decimal(text), "EUR") for text in ("48.5", "0.125", "7")] == ["48.50", "0.125", "7.00"]


@pytest.mark.parametrize("text", ["=1+1", "+A1*(2)", "-2+3|x", "@a", " =1", "\t=1", "＝1"])
def test_no_cell_is_taken_for_a_formula(text: str) -> None:
    assert safe_cell(text) == f"'{text}"
    bike = bike_of(45)
    bike = replace(bike, proposals=(replace(bike.proposals[0], name=text.strip(), labour_h=1.0),))
    for row in csv.reader(io.StringIO(quote_csv(quote(bike, [0], SHOP, DAY, STOCK)))):
        assert not any(cell.strip()[:1] in tuple("=+-@＝＋－＠") for cell in row)
