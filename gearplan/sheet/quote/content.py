"""What stands on a quote: the shop, up to three sets side by side with their lines and sums, and what it rests on."""

from __future__ import annotations

from dataclasses import dataclass

from gearplan.bike.profile import Bike
from gearplan.bike.text.numbertext import shown_number
from gearplan.language import tr
from gearplan.plan.money import each, money
from gearplan.plan.quote.quote import LABOUR, Line, Quote, SetQuote, left_out_words, percent, rule_words
from gearplan.plan.words import CUSTOMER_CAUTIONS, chain_name, teeth, whose
from gearplan.sheet.shop import NO_SHOP, Paper, Shop, check_shop, day_words


@dataclass(frozen=True, slots=True)
class Cell:
    """One line of one set: what it is, its number with quantity and price each, and the amount."""

    name: str
    detail: str
    amount: str


@dataclass(frozen=True, slots=True)
class SheetSet:
    """One set: `cells` by the keys of the sheet's rows, `sums` as (label, amount), the total last."""

    name: str
    set: str
    verdict: str
    cells: dict[str, Cell]
    sums: tuple[tuple[str, str], ...]
    notes: str


@dataclass(frozen=True, slots=True)
class QuoteSheet:
    """The quote, ready to be drawn."""

    shop: Shop
    title: str
    head: tuple[tuple[str, str], ...]
    bike: str
    whose: str
    rows: tuple[str, ...]
    sets: tuple[SheetSet, ...]
    notes: tuple[str, ...]
    signatures: tuple[str, ...]
    paper: Paper


def quote_sheet(
    bike: Bike, shown: Quote, *, shop: Shop = NO_SHOP, paper: Paper = "A4", with_owner: bool = False
) -> QuoteSheet:
    """The quote of a bike on paper; ValueError for a shop's name or address that is no text.

    `with_owner` says on it whose motorcycle it is.
    """
    check_shop(shop)
    currency = shown.terms.currency
    amounts = tr(" Amounts are in {currency}.", currency=currency) if currency else ""
    return QuoteSheet(
        shop=shop,
        title=tr("Quote {number}", number=shown.number).rstrip(),
        head=((tr("Date"), day_words(shown.day)), (tr("Valid until"), day_words(shown.valid_until))),
        bike=bike.name or tr("Unnamed bike"),
        whose=whose(bike) if with_owner else "",
        rows=shown.keys,
        sets=tuple(_set(one, shown) for one in shown.sets),
        notes=(f"{rule_words(shown)}{amounts}", " ".join(CUSTOMER_CAUTIONS)),
        signatures=(tr("For the shop: date, signature"), _ordered(shown)),
        paper=paper,
    )


def _ordered(shown: Quote) -> str:
    which = (
        tr("Ordered")
        if len(shown.sets) == 1
        else tr("Ordered: {join}", join=" / ".join(one.name for one in shown.sets))
    )
    return tr("{which}; date, customer's signature", which=which)


def _set(one: SetQuote, shown: Quote) -> SheetSet:
    terms = shown.terms
    sums = [(tr("Total so far") if one.left_out else tr("Total"), money(one.total, terms.currency))]
    if terms.tax is not None and terms.included:
        sums = [(tr("Tax {tax} in it", tax=percent(terms.tax)), money(one.tax)), *sums]
    elif terms.tax is not None:
        sums = [(tr("Sum"), money(one.net)), (tr("Tax {tax}", tax=percent(terms.tax)), money(one.tax)), *sums]
    if one.discount:
        off = (tr("Discount {discount_told}", discount_told=one.discount_told), money(-one.discount))
        sums = [(tr("Lines together"), money(one.together)), off, *sums]
    against = " ".join((f"{one.verdict.head}.", *one.verdict.told))
    return SheetSet(
        name=one.name,
        set=f"{teeth(one.set)}, {chain_name(one.set)}",
        verdict=against,
        cells={line.key: _cell(line, terms.currency) for line in one.lines},
        sums=tuple(sums),
        notes=left_out_words(one),
    )


def _cell(line: Line, currency: str) -> Cell:
    told = f"{shown_number(float(line.quantity))}{f' {line.unit}' if line.unit else ''} × {each(line.price, currency)}"
    number = tr("No. {number}", number=line.number) if line.number and line.key != LABOUR else ""
    return Cell(line.name, "; ".join(filter(None, (number, told))), _amount(line, currency))


def _amount(line: Line, currency: str) -> str:
    return money(line.amount, currency).removesuffix(currency).rstrip("\u00a0")
