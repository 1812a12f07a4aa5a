"""The sentences for the customer: plain words, singular and plural right, never surer than the figures."""

from __future__ import annotations

from dataclasses import dataclass, replace

from gearplan.bike.stock import Stock
from gearplan.bike.written import against, counted, listed, ordinal
from gearplan.drive.motion.thrust import TopSpeed
from gearplan.plan.driveset import DriveSet
from gearplan.plan.findings import Finding
from gearplan.plan.set.evaluate import SetResult
from gearplan.plan.words import Figure, Speed, adverb, alike, said

#: Less change than this nobody feels; a smaller difference of top speed (km/h or mph) nobody will find.
_UNFELT = 0.005
SAME_SPEED = 2.5


@dataclass(frozen=True, slots=True)
class Sentence:
    """One sentence, what it is about, and the figures in it."""

    about: str
    text: str
    figures: tuple[Figure, ...] = ()


def pull_sentence(change: float, doubt: float, at: Speed | None, gear: int, top: bool) -> Sentence:
    """How it pulls, as a change (a fraction); `at` None means at any engine speed."""
    name = "top gear" if top else f"{ordinal(gear)} gear"
    where = f"In {name} at {at.words}" if at is not None else "At the same engine speed"
    figures = () if at is None else (Figure(at.value, at.value, "speed named", 0.0),)
    if not top and at is not None:
        figures = (Figure(gear, gear, "gear named", 0.0), *figures)
    if abs(change) < max(_UNFELT, doubt / 2):
        return Sentence("pull", f"{where} it pulls much as it does now.", figures)
    much = said(100 * abs(change), 100 * doubt, "change of pull, %")
    if not much.shown:
        return Sentence("pull", f"{where} it pulls much as it does now.", figures)
    how = adverb(change, doubt) or ("" if _exact(much) else "about ")
    text = f"{where} it pulls {how}{much.shown:g} % {'harder' if change > 0 else 'less hard'}."
    return Sentence("pull", text, (*figures, much))


def engine_sentence(before: float | None, after: float, doubt_share: float, cruise: Speed, beyond: str) -> Sentence:
    """How busy the engine is at cruising speed (rpm); `beyond` says why it cannot go so fast, if it cannot."""
    named = Figure(cruise.value, cruise.value, "speed named", 0.0)
    if beyond:
        return Sentence("engine", f"It does not reach {cruise.words} in top gear: {beyond}.", (named,))
    turning = engine_figure(after, doubt_share)
    text = f"At {cruise.words} in top gear the engine turns at {_how(after, doubt_share * after, turning)}"
    text += f"{turning.shown:g} rpm"
    if before is None:
        return Sentence("engine", f"{text}.", (named, turning))
    by = after - before
    if abs(by) < _UNFELT * before:
        return Sentence("engine", f"{text}, as it does now.", (named, turning))
    share = said(100 * abs(by) / before, 0.0, "change of engine speed, %")
    sense = "calmer" if by < 0 else "busier"
    # The difference of what is said, so that whoever subtracts gets the same.
    was = alike(before, turning)
    less = Figure(abs(turning.shown - was.shown), abs(by), "rpm less or more", turning.step)
    if not less.shown:
        return Sentence("engine", f"{text}, {_percent(share)} {sense} than now.", (named, turning, share))
    text += f", about {less.shown:g} {'fewer' if by < 0 else 'more'} than now: {_percent(share)} {sense}."
    return Sentence("engine", text, (named, turning, less, share))


def lower_gear_sentence(rpm: float, doubt_share: float, cruise: Speed, gear: int) -> Sentence:
    """Which gear (from 1) holds a cruising speed that top gear does not, and how fast the engine turns in it."""
    turning = said(rpm, doubt_share * rpm, "rpm in the gear that holds it", 50)
    text = f"Top gear cannot hold {cruise.words}: that takes {ordinal(gear)} gear, with the engine at "
    text += f"{_how(rpm, doubt_share * rpm, turning)}{turning.shown:g} rpm."
    named = Figure(cruise.value, cruise.value, "speed named", 0.0)
    return Sentence("engine", text, (named, Figure(gear, gear, "gear that holds it", 0.0), turning))


def _percent(share: Figure) -> str:
    return f"{'' if _exact(share) else 'about '}{share.shown:g} %"


def top_figure(speed: float, doubt: float, unit: str) -> Figure:
    """A top speed (m/s) as it is said in a unit."""
    factor = Speed(1.0, unit).si
    return said(speed / factor, doubt / factor, "top speed", 5)


def engine_figure(rpm: float, doubt_share: float) -> Figure:
    """An engine speed as it is said."""
    return said(rpm, doubt_share * rpm, "rpm at cruise", 50)


def top_sentence(before: float | None, top: TopSpeed, doubt: float, unit: str, *, last: bool) -> Sentence:
    """How fast it can go (m/s) and what limits it."""
    factor = Speed(1.0, unit).si
    speed = top_figure(top.speed, doubt, unit)
    gear = "top gear" if last else f"{ordinal(top.gear + 1)} gear"
    held = "the engine's limiter ends it" if top.limited_by == "redline" else "the air holds it back"
    text = f"It can reach {_how(top.speed, doubt, speed)}{speed.shown:g} {unit} in {gear}, where {held}"
    figures: tuple[Figure, ...] = (speed,)
    if not last:
        figures = (*figures, Figure(top.gear + 1, top.gear + 1, "gear of the top speed", 0.0))
    if before is None:
        return Sentence("top speed", f"{text}.", figures)
    by = (top.speed - before) / factor
    if abs(by) < SAME_SPEED:
        return Sentence("top speed", f"{text}; that is as fast as now.", figures)
    sense = "faster" if by > 0 else "slower"
    change = Figure(
        abs(speed.shown - top_figure(before, doubt, unit).shown), abs(by), "top speed less or more", speed.step
    )
    if not change.shown:
        return Sentence("top speed", f"{text}; that is a little {sense} than now.", figures)
    return Sentence("top speed", f"{text}; that is about {change.shown:g} {unit} {sense} than now.", (*figures, change))


def speedometer_sentence(
    now: float | None, then: float, true: Speed, least: float, most: float, share: float = 0.0
) -> Sentence:
    """What the speedometer will say at a true speed; `least` and `most` are what the rule allows, over true.

    `share` is by what part of it what it shows may be off.
    """
    shown = said(then * true.value, 0.004 * true.value, "speedometer at the true speed")
    limit = least if then < least else min(then, most)
    near = any(abs(then - bound) <= share * then for bound in (least, most))
    if not near and (then - limit) * (shown.shown - limit * true.value) <= 0 and then != limit:
        # Rounded it would look as if it were within the rule.
        shown = replace(shown, shown=float(against(then * true.value, limit * true.value)), step=1.0)
    named = Figure(true.value, true.value, "speed named", 0.0)
    figures = (named, shown)
    text = f"At a true {true.words} the speedometer will show about {shown.shown:g}"
    if now is not None and abs(then / now - 1) < 5e-4:
        text = f"The speedometer shows what it does now: about {shown.shown:g} at a true {true.words}"
        figures = (shown, named)
    told = f"{text}: {'probably ' if near else ''}"
    if then < least - 1e-9:
        return Sentence("speedometer", f"{told}less than true, which no rule allows, so have it corrected.", figures)
    if then > most:
        return Sentence("speedometer", f"{told}more than the rule allows, so have it corrected.", figures)
    return Sentence("speedometer", f"{text}.", figures)


def bought_sentence(on: DriveSet, chosen: DriveSet, stock: Stock | None) -> Sentence | None:
    """What must be bought and, where the stock list has all prices, what it costs; None while no set is known."""
    other = chosen.chain != on.chain
    size = f" {chosen.chain}" if chosen.chain else ""
    parts: list[tuple[str, float | None]] = []
    figures: list[Figure] = []
    for side, before, after in (("front", on.front, chosen.front), ("rear", on.rear, chosen.rear)):
        if after is not None and (other or after != before):
            price = None if stock is None else _price(stock, chosen.chain, side, after)
            parts.append((f"a {side} sprocket with {counted(after, 'tooth', 'teeth')}", price))
            figures.append(Figure(after, after, side, 0.0))
    if chosen.links is not None and (other or chosen.links != on.links):
        part = None if stock is None else stock.chain_for(chosen.chain, chosen.links)
        parts.append((f"a{size} chain with {counted(chosen.links, 'link', 'links')}", part.price if part else None))
        if chosen.chain and chosen.chain.isdigit():
            figures.append(Figure(float(chosen.chain), float(chosen.chain), "chain size", 0.0))
        figures.append(Figure(chosen.links, chosen.links, "links", 0.0))
    if chosen.tyre is not None:
        parts.append((f"a {chosen.tyre} rear tyre", None))
    if not parts:
        known = None not in (chosen.front, chosen.rear, chosen.links)
        return Sentence("parts", "Nothing has to be bought.") if known else None
    text = f"To buy: {listed(name for name, _ in parts)}"
    sprockets = (on.front, on.rear) != (chosen.front, chosen.rear)
    old_chain = sprockets and not other and chosen.links is not None and chosen.links == on.links
    chain_age = _ON_AN_OLD_CHAIN if old_chain else ""
    prices = [price for _, price in parts]
    if any(price is None for price in prices):
        return Sentence("parts", f"{text}.{chain_age}", tuple(figures))
    total = sum(price for price in prices if price is not None)
    figures.append(Figure(round(total, 2), total, "price", 0.01))
    return Sentence("parts", f"{text}; the parts cost {total:.2f}.{chain_age}", tuple(figures))


_ON_AN_OLD_CHAIN = " A used chain wears new sprockets out: unless it is nearly new, replace it with them."


def _price(stock: Stock, size: str | None, side: str, teeth: int) -> float | None:
    part = stock.part(size, side, teeth)
    return None if part is None else part.price


def fit_sentence(proposed: SetResult) -> Sentence:
    """Whether the set goes in, by its gravest findings."""
    if proposed.verdict == "fits":
        return Sentence("fit", "The set fits this motorcycle; slack is set by measuring.")
    against = [f for f in proposed.findings if f.level == proposed.verdict and not f.aside]
    if proposed.verdict == "does not fit":
        why = against[0].short or against[0].text.removesuffix(".")
        does_not = "does not fit" if against[0].sure else "probably does not fit"
        return Sentence("fit", f"This set {does_not}. {why}.")
    names = list(dict.fromkeys(_to_check(f) for f in against))
    # Its clause would run on into what follows.
    names.sort(key=lambda name: name == _INCOMPLETE)
    goes_in = any(f.about == "chain length" and f.level == "fits" for f in proposed.findings)
    return Sentence("fit", f"{'The chain fits. ' if goes_in else ''}To be checked first: {listed(names)}.")


def _to_check(finding: Finding) -> str:
    if finding.about == "speedometer" and not finding.sure:
        return "the speedometer, which would probably show the wrong speed"
    return _TO_CHECK.get(finding.about, _INCOMPLETE)


_INCOMPLETE = "the motorcycle's data, which are not complete"
_TO_CHECK = {
    "rolling circumference": "how far the rear tyre really rolls",
    "front sprocket": "whether the front sprocket is large enough",
    "adjuster": "how much wear the adjuster can take up",
    "tightest point": "the slack where the chain is tightest",
    "wrap": "how far the chain wraps the front sprocket",
    "upper run": "the chain's clearance at the swingarm pivot",
    "lower run": "the chain's clearance at the swingarm pivot",
    "chain strength": "whether the chain is strong enough",
    "chain size": "the change to another chain size",
    "chain length": "whether the chain's length fits",
    "chain as fitted": "how many links the fitted chain has, and where the axle stands",
    "where the axle stands": "how many links the fitted chain has, and where the axle stands",
    "chain kept": "the chain that is on, which is too long by its wear",
    "sprockets": "whether front and rear sprocket are swapped",
    "anti-squat": "the swingarm's figures",
    "speedometer": "the speedometer, which would show the wrong speed",
    "profile": "the motorcycle's data, which contradict themselves",
}


def _how(value: float, doubt: float, shown: Figure) -> str:
    """The adverb; "about" also where only the rounding makes it inexact."""
    return adverb(value, doubt) or ("" if _exact(shown) else "about ")


def _exact(shown: Figure) -> bool:
    return abs(shown.exact - shown.shown) <= 0.05 * max(shown.step, 1e-9)
