"""A quote: what up to three proposals cost, line by line, side by side; exact in decimal arithmetic.

Each line is rounded to the smallest unit of the currency, half up; sums are of rounded lines; a discount is taken from
the sum and rounded once, the tax is reckoned on what is left and rounded once.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from decimal import Decimal

from gearplan.bike.entries import entry_in
from gearplan.bike.profile import Bike
from gearplan.bike.stock import Stock
from gearplan.bike.stocklist.cells import same_currency
from gearplan.bike.text.numbertext import shown_number
from gearplan.bike.text.written import listed
from gearplan.bike.values import check_entry
from gearplan.bike.work.job import Job, JobPart
from gearplan.bike.work.proposal import Proposal
from gearplan.language import tr
from gearplan.plan.driveset import DriveSet
from gearplan.plan.job.parts import PART_KEYS, Part, parts
from gearplan.plan.job.steps.scope import swingarm_out
from gearplan.plan.money import decimals, exact, rounded, share, summed, times
from gearplan.plan.quote.discount import discount, discount_text
from gearplan.plan.quote.fitting import job_of
from gearplan.plan.quote.proposals import name_of, set_of
from gearplan.plan.quote.terms import WORK, Terms
from gearplan.plan.set.doubts import judged
from gearplan.plan.set.evaluate import evaluate
from gearplan.plan.set.verdict import Verdict, verdict

#: So many proposals stand side by side on one quote.
MOST_SETS = 3
_HUNDRED = Decimal(100)


@dataclass(frozen=True, slots=True)
class Line:
    """One part or the labour: `amount` is quantity × price, rounded. `key` is that of the parts list."""

    key: str
    name: str
    number: str
    quantity: Decimal
    unit: str
    price: Decimal
    amount: Decimal


@dataclass(frozen=True, slots=True)
class SetQuote:
    """What one proposal costs. `left_out` are parts and work without quantity or price: they are not in the sum.

    `together` is the sum of the lines, `discount` what is taken off it, `discount_told` as it was typed; one that is
    more than the sum is not taken off: it is `too_much`.
    """

    place: int
    name: str
    set: DriveSet
    verdict: Verdict
    lines: tuple[Line, ...]
    left_out: tuple[str, ...]
    look_up: tuple[str, ...]
    together: Decimal
    discount: Decimal
    discount_told: str
    too_much: bool
    net: Decimal
    tax: Decimal
    total: Decimal


@dataclass(frozen=True, slots=True)
class Quote:
    """The quote; `terms` are those that it rests on, its sets as many as were asked for.

    `other_currency` is that of the stock list's prices where they could not be taken for it.
    """

    number: str
    day: date
    valid_until: date
    terms: Terms
    sets: tuple[SetQuote, ...]
    other_currency: str = ""

    @property
    def keys(self) -> tuple[str, ...]:
        """The lines that any set has, in the order of the parts list, labour last."""
        there = {line.key for one in self.sets for line in one.lines}
        return tuple(key for key in (*PART_KEYS, LABOUR) if key in there)


LABOUR = "labour"


def quote(bike: Bike, places: Sequence[int], shop: Terms, today: date, stock: Stock | None = None) -> Quote:
    """The quote of the proposals at some places of the bike's list, at most `MOST_SETS`.

    Proposals that stand on one quote already are told by what that quote said; others by the shop's terms and today.
    """
    proposals = [bike.proposals[place] for place in places[:MOST_SETS]]
    number, known, day = "", shop, today
    other = ""
    if quoted_together(proposals):
        number, known, day = proposals[0].quote or "", _kept_terms(proposals[0], shop), _day(proposals[0].quoted, today)
    until = day + timedelta(days=known.days)
    if number:
        until = _day(proposals[0].valid_until, until)
    if stock is not None and stock.currency and not same_currency(stock.currency, known.currency or stock.currency):
        # Amounts in two currencies cannot be added.
        other, stock = stock.currency, stock.without_prices()
    sets = tuple(_set(bike, place, known, today, stock) for place in places[:MOST_SETS])
    return Quote(number, day, until, known, sets, other)


def quoted_together(proposals: Sequence[Proposal]) -> bool:
    """Whether proposals stand on one quote that was made."""
    numbers = {one.quote for one in proposals}
    return len(numbers) == 1 and None not in numbers


class TooMuch(ValueError):
    """A sum that cannot be meant; the message names it."""


def made(bike: Bike, shown: Quote, number: str | None) -> Bike:
    """The bike with a quote made under a number, or none: its proposals keep from now on what it says.

    TooMuch for a sum that the bike's file would not take.
    """
    proposals = list(bike.proposals)
    terms = shown.terms
    for one in shown.sets:
        if fault := check_entry(entry_in(Proposal, "price"), float(one.total)):
            raise TooMuch(tr("{name}: the total of {fault}", name=one.name, fault=fault))
        labour = next((line for line in one.lines if line.key == LABOUR), None)
        own = {part.part: part for part in proposals[one.place].parts}
        for line in one.lines:
            if line.key != LABOUR:
                own[line.key] = JobPart(line.key, float(line.quantity), line.number or None, float(line.price))
        proposals[one.place] = replace(
            proposals[one.place],
            quote=number,
            quoted=shown.day.isoformat(),
            valid_until=shown.valid_until.isoformat(),
            parts=tuple(own.values()),
            labour_h=proposals[one.place].labour_h if labour is None else float(labour.quantity),
            labour_rate=None if labour is None else float(labour.price),
            tax_percent=None if terms.tax is None else float(terms.tax),
            tax_included=None if terms.tax is None else "yes" if terms.included else "no",
            currency=terms.currency or None,
            price=float(one.total),
        )
    return replace(bike, proposals=tuple(proposals))


def reopened(proposal: Proposal, **values: object) -> Proposal:
    """The proposal with something changed that its price rests on: what was quoted holds no more."""
    gone = dict.fromkeys(("quote", "quoted", "valid_until", "price", "labour_rate", "currency", "tax_percent"))
    return replace(proposal, **(gone | {"tax_included": None} | values))  # type: ignore[arg-type]


def with_part(proposal: Proposal, key: str, **entered: object) -> Proposal:
    """The proposal with what the shop entered for one part (quantity, number, price), to be quoted anew."""
    known = {one.part: one for one in proposal.parts}
    known[key] = replace(known.get(key, JobPart(key)), **entered)  # type: ignore[arg-type]
    kept = [one for one in known.values() if (one.quantity, one.number, one.price) != (None, None, None)]
    return reopened(proposal, parts=tuple(kept))


def usual_hours(bike: Bike, proposal: Proposal, shop: Terms, today: date) -> Decimal | None:
    """How long the shop usually takes for what a proposal asks for; None where it has not named one of the times."""
    asked = _work(job_of(bike, proposal, today))
    return summed(shop.hours[key] for key in asked) if all(key in shop.hours for key in asked) else None


def rule_words(shown: Quote) -> str:
    """How it is rounded, and how discount and tax are reckoned."""
    terms = shown.terms
    unit = Decimal(1).scaleb(-decimals(terms.currency))
    rule = tr("Each line is rounded to {unit:f}, a half up", unit=unit)
    if any(one.discount for one in shown.sets):
        rule += tr("; the discount is taken from their sum, rounded once")
    if terms.tax is None:
        return tr("{rule}; no tax is shown.", rule=rule)
    held = tr("is held in the prices and shown from their sum") if terms.included else tr("is added to the sum")
    return tr("{rule}. The tax of {tax} {held}, rounded once.", rule=rule, tax=percent(terms.tax), held=held)


def percent(tax: Decimal) -> str:
    """A tax rate in words: "19 %", "7.7 %"."""
    return f"{shown_number(float(tax))}\u00a0%"


def left_out_words(one: SetQuote) -> str:
    """What the sum does not hold; empty where it holds all."""
    told = []
    if one.too_much:
        told.append(
            tr(
                "The discount of {discount_told} is more than the sum and is not taken off.",
                discount_told=one.discount_told,
            )
        )
    if one.left_out:
        told.append(tr("Not in the sum, without quantity or price: {listed}.", listed=listed(one.left_out)))
    if one.look_up:
        told.append(tr("To be looked up in the manual, not in the sum: {listed}.", listed=listed(one.look_up)))
    return " ".join(told)


def _set(bike: Bike, place: int, terms: Terms, today: date, stock: Stock | None) -> SetQuote:
    proposal = bike.proposals[place]
    result = judged(bike, evaluate(bike, set_of(proposal)))
    job = job_of(bike, proposal, today)
    places = decimals(terms.currency)
    lines, left_out, look_up = [], [], []
    for part in parts(bike, job, stock):
        line = _line(part, places)
        if part.action == "reuse":
            continue
        if line is not None:
            lines.append(line)
        elif part.action == "order":
            left_out.append(_inside(part.name))
        else:
            look_up.append(_inside(part.name))
    lines.sort(key=lambda line: PART_KEYS.index(line.key))
    labour, lacking = _labour(bike, proposal, job, terms, today)
    lines += labour
    left_out += lacking
    together = summed(line.amount for line in lines)
    off = discount(proposal, together, places)
    too_much = off > together
    off = Decimal(0) if too_much else off
    net, tax, total = totals([together, -off], terms)
    return SetQuote(
        place=place,
        name=name_of(proposal),
        set=set_of(proposal),
        verdict=verdict(result),
        lines=tuple(lines),
        left_out=tuple(left_out),
        look_up=tuple(look_up),
        together=together,
        discount=off,
        discount_told=discount_text(proposal),
        too_much=too_much,
        net=net,
        tax=tax,
        total=total,
    )


def totals(amounts: Sequence[Decimal], terms: Terms) -> tuple[Decimal, Decimal, Decimal]:
    """(net, tax, total) of amounts that are rounded already."""
    together, places = summed(amounts), decimals(terms.currency)
    if terms.tax is None:
        return together, Decimal(0), together
    if terms.included:
        tax = rounded(share(together, terms.tax, _HUNDRED + terms.tax), places)
        return summed((together, -tax)), tax, together
    tax = rounded(share(together, terms.tax, _HUNDRED), places)
    return together, tax, summed((together, tax))


def _line(part: Part, places: int) -> Line | None:
    """The line of a part; None while its quantity or price is missing."""
    if part.wanted is None or part.price is None:
        return None
    quantity, price = exact(part.wanted), exact(part.price)
    return Line(part.key, part.name, part.number, quantity, "", price, rounded(times(quantity, price), places))


def _labour(bike: Bike, proposal: Proposal, job: Job, terms: Terms, today: date) -> tuple[list[Line], list[str]]:
    """(the labour's line, if it can be told; what of it cannot)."""
    hours = usual_hours(bike, proposal, terms, today) if proposal.labour_h is None else exact(proposal.labour_h)
    if hours is None:
        return [], [
            tr("labour ({listed})", listed=listed(_inside(WORK[key]) for key in _work(job) if key not in terms.hours))
        ]
    if not hours:
        return [], []
    if terms.rate is None:
        return [], [tr("labour (what an hour costs)")]
    amount = rounded(times(hours, terms.rate), decimals(terms.currency))
    return [Line(LABOUR, tr("Labour"), "", hours, "h", terms.rate, amount)], []


def _work(job: Job) -> tuple[str, ...]:
    """What of the shop's usual times a job takes."""
    there = {"front": job.new_front == "yes", "rear": job.new_rear == "yes", "chain": job.new_chain == "yes"}
    return tuple(key for key, on in (there | {"swingarm": swingarm_out(job)}).items() if on)


def _kept_terms(proposal: Proposal, shop: Terms) -> Terms:
    rate = shop.rate if proposal.labour_rate is None else exact(proposal.labour_rate)
    return replace(
        shop,
        currency=proposal.currency or "",
        tax=None if proposal.tax_percent is None else exact(proposal.tax_percent),
        included=proposal.tax_included == "yes",
        rate=rate,
    )


def _day(text: str | None, otherwise: date) -> date:
    return otherwise if text is None else date.fromisoformat(text)


def _inside(name: str) -> str:
    """A part's name within a sentence."""
    return name[:1].lower() + name[1:]
