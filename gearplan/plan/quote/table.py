"""A quote as a table for the eye: a column for each set, a row for each line."""

from __future__ import annotations

from dataclasses import dataclass

from gearplan.bike.text.written import NONE, inside
from gearplan.language import tr
from gearplan.plan.money import money
from gearplan.plan.quote.quote import Line, Quote, SetQuote, left_out_words, percent, rule_words
from gearplan.plan.words import teeth

_NAMES = {
    "front": tr("Front sprocket"),
    "rear": tr("Rear sprocket"),
    "chain": "Chain",
    "link": tr("Chain link"),
}


@dataclass(frozen=True, slots=True)
class QuoteTable:
    """Title, heads, rows of texts, and what is said below them."""

    title: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    notes: tuple[str, ...]


def quote_table(shown: Quote) -> QuoteTable:
    """The table of a quote."""
    currency = shown.terms.currency
    lines = [{line.key: line for line in one.lines} for one in shown.sets]
    rows = [(_name([held[key] for held in lines if key in held]), *(_amount(held.get(key)) for held in lines))
            for key in shown.keys]  # fmt: skip
    if any(one.discount for one in shown.sets):
        rows.append((tr("Lines together"), *(money(one.together) for one in shown.sets)))
        rows.append((tr("Discount"), *(_discount(one) for one in shown.sets)))
    if shown.terms.tax is not None:
        held = tr(" in it") if shown.terms.included else ""
        tax = (tr("Tax {tax}{held}", tax=percent(shown.terms.tax), held=held), *(money(one.tax) for one in shown.sets))
        rows += [tax] if held else [(tr("Sum"), *(money(one.net) for one in shown.sets)), tax]
    rows.append(
        (tr("Total"), *(f"{money(one.total, currency)}{(tr(' so far') if one.left_out else '')}" for one in shown.sets))
    )
    notes = [rule_words(shown)]
    if shown.other_currency:
        notes.append(
            tr(
                "The stock list's prices are in {other_currency}, the quote in {currency}: none is taken.",
                other_currency=shown.other_currency,
                currency=currency,
            )
        )
    notes += [f"{one.name}: {words}" for one in shown.sets if (words := left_out_words(one))]
    title = (
        tr("Quote {number} of {isoformat}", number=shown.number, isoformat=shown.day.isoformat())
        if shown.number
        else tr("New quote")
    )
    return QuoteTable(
        title=tr("{title}, valid until {isoformat}", title=title, isoformat=shown.valid_until.isoformat()),
        heads=("", *(f"{one.name}, {teeth(one.set)}: {inside(one.verdict.head)}" for one in shown.sets)),
        rows=tuple(rows),
        notes=tuple(notes),
    )


def _name(lines: list[Line]) -> str:
    """What a row is called: what is the same part in every set needs no teeth."""
    return _NAMES.get(lines[0].key, lines[0].name)


def _discount(one: SetQuote) -> str:
    return f"{money(-one.discount)} ({one.discount_told})" if one.discount else NONE


def _amount(line: Line | None) -> str:
    return NONE if line is None else money(line.amount)
