"""The sentences for the customer: plain words, singular and plural right, never surer than the figures."""

from __future__ import annotations

from dataclasses import dataclass, replace

from gearplan.bike.stock import Stock
from gearplan.bike.text.written import against, listed, ordinal
from gearplan.drive.motion.thrust import TopSpeed
from gearplan.language import tr, trn
from gearplan.plan.driveset import DriveSet
from gearplan.plan.money import exact, money, summed
from gearplan.plan.words import Figure, Speed, adverb, alike, said

#: Less change than this nobody feels; a smaller difference of top speed (km/h or mph) nobody will find.
_UNFELT = 0.005
SAME_SPEED = 2.5


@dataclass(frozen=True, slots=True)
class Sentence:
    """One sentence, what it is about, and the figures in it.

    `short` and `beside` are the same for reading from afar: a figure or a few words, and what belongs to it. `change`
    is by what share the figure changes, 0 where nobody feels it; `amiss` marks what has to be seen to first.
    """

    about: str
    text: str
    figures: tuple[Figure, ...] = ()
    short: str = ""
    beside: str = ""
    change: float = 0.0
    amiss: bool = False


def pull_sentence(change: float, doubt: float, at: Speed | None, gear: int, top: bool) -> Sentence:
    """How it pulls, as a change (a fraction); `at` None means at any engine speed."""
    name = tr("top gear") if top else tr("{ordinal} gear", ordinal=ordinal(gear))
    where = tr("In {name} at {words}", name=name, words=at.words) if at is not None else tr("At the same engine speed")
    beside = tr("at {words} in {name}", words=at.words, name=name) if at is not None else tr("at the same engine speed")
    figures = () if at is None else (Figure(at.value, at.value, tr("speed named"), 0.0),)
    if not top and at is not None:
        figures = (Figure(gear, gear, tr("gear named"), 0.0), *figures)
    much = said(100 * abs(change), 100 * doubt, tr("change of pull, %"))
    if abs(change) < max(_UNFELT, doubt / 2) or not much.shown:
        return Sentence(
            "pull", tr("{where} it pulls much as it does now.", where=where), figures, tr("pulls as now"), beside
        )
    how = adverb(change, doubt) or ("" if _exact(much) else tr("about "))
    if change > 0:
        text = tr("{where} it pulls {how}{percent:g} % harder.", where=where, how=how, percent=much.shown)
        short = tr("{percent:g} % more pull", percent=much.shown)
    else:
        text = tr("{where} it pulls {how}{percent:g} % less hard.", where=where, how=how, percent=much.shown)
        short = tr("{percent:g} % less pull", percent=much.shown)
    return Sentence("pull", text, (*figures, much), short, beside, abs(change))


def engine_sentence(
    before: Figure | None,
    after: float,
    doubt_share: float,
    cruise: Speed,
    beyond: str = "",
    now_gear: int | None = None,
) -> Sentence:
    """How busy the engine is at cruising speed (rpm); `beyond` says why it cannot go so fast, if it cannot.

    `before` is how it is said of the fitted set, `now_gear` (from 1) the gear which that needs if top gear does not
    hold the speed. What is proposed is said as finely, so that "now" stays as it is.
    """
    named = Figure(cruise.value, cruise.value, tr("speed named"), 0.0)
    change = _share(before, after)
    if beyond:
        text = tr("It does not reach {words} in top gear: {beyond}.", words=cruise.words, beyond=beyond)
        return Sentence(
            "engine",
            text,
            (named,),
            tr("not {words}", words=cruise.words),
            tr("in top gear: {beyond}", beyond=beyond),
            change,
        )
    turning = engine_figure(after, doubt_share) if before is None else alike(after, before)
    text = tr(
        "At {words} in top gear the engine turns at {how}",
        words=cruise.words,
        how=_how(after, doubt_share * after, turning),
    )
    short = tr("{turns:g} rpm", turns=turning.shown)
    text += short
    if before is None:
        return Sentence("engine", f"{text}.", (named, turning), short, tr("at {words} in top gear", words=cruise.words))
    if now_gear is not None:
        figures = (named, turning, Figure(now_gear, now_gear, tr("gear now"), 0.0))
        beside = tr("at {words} in top gear, now in {ordinal}", words=cruise.words, ordinal=ordinal(now_gear))
        text += tr("; now that takes {ordinal} gear.", ordinal=ordinal(now_gear))
        return Sentence("engine", text, figures, short, beside, change)
    if change < _UNFELT:
        return Sentence(
            "engine",
            tr("{text}, as it does now.", text=text),
            (named, turning),
            short,
            tr("as now, at {words}", words=cruise.words),
        )
    share = said(100 * change, 0.0, tr("change of engine speed, %"))
    fewer = after < before.exact
    sense = tr("calmer") if fewer else tr("busier")
    # The difference of what is said, so that whoever subtracts gets the same.
    less = Figure(abs(turning.shown - before.shown), abs(after - before.exact), tr("rpm less or more"), turning.step)
    if not less.shown:
        text += tr(", {percent} {sense} than now.", percent=_percent(share), sense=sense)
        beside = tr("a little {sense} at {words}", sense=sense, words=cruise.words)
        return Sentence("engine", text, (named, turning, share), short, beside, change)
    few, many = tr("{turns:g} fewer", turns=less.shown), tr("{turns:g} more", turns=less.shown)
    less_or_more = few if fewer else many
    text += tr(
        ", about {less_or_more} than now: {percent} {sense}.",
        less_or_more=less_or_more,
        percent=_percent(share),
        sense=sense,
    )
    return Sentence(
        "engine",
        text,
        (named, turning, less, share),
        short,
        tr("{less_or_more} at {words}", less_or_more=less_or_more, words=cruise.words),
        change,
    )


def lower_gear_sentence(before: Figure | None, rpm: float, doubt_share: float, cruise: Speed, gear: int) -> Sentence:
    """Which gear (from 1) holds a cruising speed that top gear does not, and how fast the engine turns in it."""
    turning = said(rpm, doubt_share * rpm, tr("rpm in the gear that holds it"), 50)
    if before is not None:
        turning = replace(alike(rpm, before), of=turning.of)
    text = tr(
        "Top gear cannot hold {words}: that takes {ordinal} gear, with the engine at ",
        words=cruise.words,
        ordinal=ordinal(gear),
    )
    turns = tr("{turns:g} rpm", turns=turning.shown)
    text += f"{_how(rpm, doubt_share * rpm, turning)}{turns}."
    named = Figure(cruise.value, cruise.value, tr("speed named"), 0.0)
    figures = (named, Figure(gear, gear, tr("gear that holds it"), 0.0), turning)
    beside = tr("at {words} in {ordinal} gear: top gear cannot hold it", words=cruise.words, ordinal=ordinal(gear))
    return Sentence("engine", text, figures, turns, beside, _share(before, rpm))


def _share(before: Figure | None, after: float) -> float:
    """By what part of it a figure changes, 0 without one before."""
    return abs(after / before.exact - 1) if before is not None and before.exact else 0.0


def _percent(share: Figure) -> str:
    return f"{'' if _exact(share) else tr('about ')}{share.shown:g} %"


def top_figure(speed: float, doubt: float, unit: str) -> Figure:
    """A top speed (m/s) as it is said in a unit."""
    factor = Speed(1.0, unit).si
    return said(speed / factor, doubt / factor, "top speed", 5)


def engine_figure(rpm: float, doubt_share: float) -> Figure:
    """An engine speed as it is said."""
    return said(rpm, doubt_share * rpm, tr("rpm at cruise"), 50)


def top_sentence(before: Figure | None, top: TopSpeed, doubt: float, unit: str, *, last: bool) -> Sentence:
    """How fast it can go (m/s) and what limits it; `before` is how it is said of the fitted set."""
    speed = top_after(before, top.speed, doubt, unit)
    gear = tr("top gear") if last else tr("{ordinal} gear", ordinal=ordinal(top.gear + 1))
    held = tr("the engine's limiter ends it") if top.limited_by == "redline" else tr("the air holds it back")
    how = f"{_how(top.speed, doubt, speed)}{speed.shown:g} {unit}"
    text = tr("It can reach {how} in {gear}, where {held}", how=how, gear=gear, held=held)
    short = f"{speed.shown:g} {unit}"
    figures: tuple[Figure, ...] = (speed,)
    if not last:
        figures = (*figures, Figure(top.gear + 1, top.gear + 1, tr("gear of the top speed"), 0.0))
    if before is None:
        return Sentence("top speed", f"{text}.", figures, short, tr("top speed"))
    by = speed.exact - before.exact
    if abs(by) < SAME_SPEED:
        return Sentence(
            "top speed",
            tr("{text}; that is as fast as now.", text=text),
            figures,
            tr("as fast as now"),
            tr("at most {how}", how=how),
        )
    share = _share(before, speed.exact)
    change = Figure(abs(speed.shown - before.shown), abs(by), tr("top speed less or more"), speed.step)
    if not change.shown:
        text += tr("; that is a little faster than now.") if by > 0 else tr("; that is a little slower than now.")
        beside = tr("top speed, a little more than now") if by > 0 else tr("top speed, a little less than now")
        return Sentence("top speed", text, figures, short, beside, share)
    if by > 0:
        text += tr("; that is about {speed:g} {unit} faster than now.", speed=change.shown, unit=unit)
        beside = tr("top speed, {speed:g} more than now", speed=change.shown)
    else:
        text += tr("; that is about {speed:g} {unit} slower than now.", speed=change.shown, unit=unit)
        beside = tr("top speed, {speed:g} less than now", speed=change.shown)
    return Sentence("top speed", text, (*figures, change), short, beside, share)


def top_after(before: Figure | None, speed: float, doubt: float, unit: str) -> Figure:
    """A proposed set's top speed (m/s) as it is said beside the fitted one's: what is as fast looks the same."""
    if before is None:
        return top_figure(speed, doubt, unit)
    after = speed / Speed(1.0, unit).si
    if abs(after - before.exact) < SAME_SPEED:
        return replace(before, exact=after)
    return alike(after, before)


def speedometer_sentence(
    now: float | None, then: float, true: Speed, least: float, most: float, share: float = 0.0
) -> Sentence:
    """What the speedometer will say at a true speed; `least` and `most` are what the rule allows, over true.

    `share` is by what part of it what it shows may be off.
    """
    shown = said(then * true.value, 0.004 * true.value, tr("speedometer at the true speed"))
    limit = least if then < least else min(then, most)
    near = any(abs(then - bound) <= share * then for bound in (least, most))
    if not near and (then - limit) * (shown.shown - limit * true.value) <= 0 and then != limit:
        # Rounded it would look as if it were within the rule.
        shown = replace(shown, shown=float(against(then * true.value, limit * true.value)), step=1.0)
    named = Figure(true.value, true.value, tr("speed named"), 0.0)
    figures = (named, shown)
    text = tr("At a true {words} the speedometer will show about {shown:g}", words=true.words, shown=shown.shown)
    if now is not None and abs(then / now - 1) < 5e-4:
        text = tr(
            "The speedometer shows what it does now: about {shown:g} at a true {words}",
            shown=shown.shown,
            words=true.words,
        )
        figures = (shown, named)
    told = f"{text}: {tr('probably ') if near else ''}"
    wrong = tr("about {shown:g} at a true {words}. Have it corrected.", shown=shown.shown, words=true.words)
    if then < least - 1e-9:
        told += tr("less than true, which no rule allows, so have it corrected.")
        low = tr("Speedometer reads low: {wrong}", wrong=wrong)
        maybe = tr("Speedometer probably reads low: {wrong}", wrong=wrong)
        return Sentence("speedometer", told, figures, maybe if near else low, amiss=True)
    if then > most:
        told += tr("more than the rule allows, so have it corrected.")
        high = tr("Speedometer reads too high: {wrong}", wrong=wrong)
        maybe = tr("Speedometer probably reads too high: {wrong}", wrong=wrong)
        return Sentence("speedometer", told, figures, maybe if near else high, amiss=True)
    return Sentence("speedometer", f"{text}.", figures)


def bought_sentence(on: DriveSet, chosen: DriveSet, stock: Stock | None) -> Sentence | None:
    """What must be bought and, where the stock list has all prices, what it costs; None while no set is known."""
    other = chosen.chain != on.chain
    parts: list[tuple[str, float | None]] = []
    short: list[str] = []
    figures: list[Figure] = []
    for side, before, after in (("front", on.front, chosen.front), ("rear", on.rear, chosen.rear)):
        if after is not None and (other or after != before):
            price = None if stock is None else _price(stock, chosen.chain, side, after)
            if side == "front":
                what = trn("a front sprocket with {n} tooth", "a front sprocket with {n} teeth", after)
                short.append(tr("front sprocket {teeth}", teeth=after))
            else:
                what = trn("a rear sprocket with {n} tooth", "a rear sprocket with {n} teeth", after)
                short.append(tr("rear sprocket {teeth}", teeth=after))
            parts.append((what, price))
            figures.append(Figure(after, after, side, 0.0))
    new_chain = other or chosen.links != on.links or chosen.new_chain
    if chosen.links is not None and new_chain:
        part = None if stock is None else stock.chain_for(chosen.chain, chosen.links)
        parts.append((_chain_told(chosen), part.price if part else None))
        short.append(
            tr("{links} links of {size} chain", links=chosen.links, size=chosen.chain)
            if chosen.chain
            else tr("chain of {links} links", links=chosen.links)
        )
        if chosen.chain and chosen.chain.isdigit():
            figures.append(Figure(float(chosen.chain), float(chosen.chain), "chain size", 0.0))
        figures.append(Figure(chosen.links, chosen.links, "links", 0.0))
    if chosen.tyre is not None:
        parts.append((tr("a {tyre} rear tyre", tyre=chosen.tyre), None))
        short.append(tr("{tyre} rear tyre", tyre=chosen.tyre))
    if not parts:
        known = None not in (chosen.front, chosen.rear, chosen.links)
        return Sentence("parts", tr("Nothing has to be bought."), short=tr("Nothing to buy")) if known else None
    text = tr("To buy: {listed}", listed=listed((name for name, _ in parts)))
    sprockets = (on.front, on.rear) != (chosen.front, chosen.rear)
    old_chain = sprockets and not new_chain and chosen.links is not None
    chain_age = _ON_AN_OLD_CHAIN if old_chain else ""
    few, too = tr("To buy: {listed}", listed=listed(short)), _A_CHAIN_TOO if old_chain else ""
    prices = [price for _, price in parts]
    if stock is None or any(price is None for price in prices):
        return Sentence("parts", f"{text}.{chain_age}", tuple(figures), few, too)
    total = summed(exact(price) for price in prices if price is not None)
    figures.append(Figure(round(float(total), 2), float(total), "price", 0.01))
    cost = money(total, stock.currency)
    return Sentence(
        "parts",
        tr("{text}; the parts cost {cost}.{chain_age}", text=text, cost=cost, chain_age=chain_age),
        tuple(figures),
        f"{few}, {cost}",
        too,
    )


def _chain_told(chosen: DriveSet) -> str:
    links, size = chosen.links or 0, chosen.chain
    if chosen.new_chain and size:
        return trn("a new {size} chain with {n} link", "a new {size} chain with {n} links", links, size=size)
    if chosen.new_chain:
        return trn("a new chain with {n} link", "a new chain with {n} links", links)
    if size:
        return trn("a {size} chain with {n} link", "a {size} chain with {n} links", links, size=size)
    return trn("a chain with {n} link", "a chain with {n} links", links)


_A_CHAIN_TOO = tr("; a chain too unless it is nearly new")
_ON_AN_OLD_CHAIN = tr(" A used chain wears new sprockets out: unless it is nearly new, replace it with them.")


def _price(stock: Stock, size: str | None, side: str, teeth: int) -> float | None:
    part = stock.part(size, side, teeth)
    return None if part is None else part.price


def _how(value: float, doubt: float, shown: Figure) -> str:
    """The adverb; "about" also where only the rounding makes it inexact."""
    return adverb(value, doubt) or ("" if _exact(shown) else tr("about "))


def _exact(shown: Figure) -> bool:
    return abs(shown.exact - shown.shown) <= 0.05 * max(shown.step, 1e-9)
