"""The words of the short list: each set's trade-offs in one line, and what was taken for granted."""

from __future__ import annotations

import math

from gearplan.bike.text.units import KMH, MM, MPH, RPM
from gearplan.bike.text.written import computed_lap, listed
from gearplan.language import decimal, tr
from gearplan.plan.choices.candidates import Candidates
from gearplan.plan.choices.limits import meant
from gearplan.plan.choices.wishes import TOP_GEAR, Wish
from gearplan.plan.findings import Finding
from gearplan.plan.money import exact, money
from gearplan.plan.pull.pull import pull
from gearplan.plan.set.evaluate import evaluate
from gearplan.plan.words import Speed

#: Less than this is no word worth.
_WHEELBASE_SHOWN = 1 * MM

_SUPERLATIVE = {
    "calmer": tr("the calmest here"),
    "livelier": tr("the liveliest here"),
    "faster": tr("the fastest here"),
    "lighter": tr("the lightest here"),
    "smoother": tr("the smoothest here"),
    "cheaper": tr("the cheapest here"),
    "fewest": tr("the fewest new parts here"),
    "quickest": tr("the quickest here"),
}


def new_parts(found: Candidates, k: int) -> tuple[str, ...]:
    """What would have to be bought, in words: "front sprocket", "chain of 114 links" …"""
    chain = "chain" if not found.links[k] else tr("chain of {links} links", links=found.links[k])
    parts = (
        (found.new_front[k], "front sprocket"),
        (found.new_rear[k], "rear sprocket"),
        (found.new_chain[k], chain),
        (found.new_tyre[k], "tyre"),
    )
    return tuple(name for new, name in parts if new)


def line(
    found: Candidates,
    k: int,
    wishes: tuple[Wish, ...],
    price: float,
    currency: str,
    lap: float,
    best_in: tuple[Wish, ...],
    cruise: Speed | None,
) -> str:
    """The trade-offs of one set against the fitted one, in one line; price and lap (s) are NaN where not known.

    `cruise` is a speed that was named along with the wishes.
    """
    told = [_SUPERLATIVE[wish.kind] for wish in best_in]
    if not math.isnan(lap):
        told.append(tr("lap {lap}", lap=computed_lap(lap)))
    told += [_turning(found, k), *_at_speeds(found, k, wishes, cruise), _bought(found, k)]
    if any(wish.kind == "faster" or wish.kind == "top speed" for wish in wishes):
        told.append(_top_speed(found, k, any(wish.speed is not None and wish.speed.unit == "mph" for wish in wishes)))
    if any(wish.kind == "lighter" for wish in wishes) and not math.isnan(found.mass[k]):
        told.append(tr("chain and sprockets about {mass:.1f} kg", mass=found.mass[k]))
    if not math.isnan(price) and found.new_parts[k]:
        told.append(tr("parts {money}", money=money(exact(price), currency)))
    told.append(_wheelbase(found, k))
    if found.level_at(k) == "check":
        result = evaluate(found.bike, found.set_at(k))
        about = dict.fromkeys(f.about for f in result.findings if f.level == "check" and not f.aside)
        told.append(tr("to check: {about}", about=", ".join(map(tr, about))))
    return "; ".join(part for part in told if part)


def taken_for_granted(wishes: tuple[Wish, ...]) -> tuple[str, ...]:
    """What was not said and had to be decided."""
    told = []
    for wish in wishes:
        if wish.kind in ("calmer", "livelier") and wish.bound != "at most":
            least, most = (f"{100 * end:g}" for end in meant(wish))
            told.append(
                tr(
                    "“{words}” is taken to mean {least} to {most} %; say “{kind} by at most 25 %” to go "
                    "further or less far.",
                    words=wish.told,
                    least=least,
                    most=most,
                    kind=tr(wish.kind),
                )
            )
    return tuple(told)


def _turning(found: Candidates, k: int) -> str:
    revs = float(found.revs[k]) - 1
    if math.isnan(revs):
        return tr("final ratio {ratio:.3f}", ratio=found.ratio[k])
    if abs(revs) < 5e-4:
        return tr("turns and pulls as fitted")
    much = decimal(f"{abs(revs) * 100:.1f} %")
    return (
        tr("turns {much} slower, pulls {much} less", much=much)
        if revs < 0
        else tr("pulls {much} harder, turns {much} faster", much=much)
    )


def _at_speeds(found: Candidates, k: int, wishes: tuple[Wish, ...], cruise: Speed | None) -> list[str]:
    """Engine speed at the cruising speed, and at every speed and gear that a wish names."""
    if found.overall is None:
        return []
    told: dict[str, None] = {}
    named = () if cruise is None else (Wish("engine speed", speed=cruise),)
    for wish in (*named, *wishes):
        gear = wish.gear or TOP_GEAR
        if wish.kind != "engine speed" or wish.speed is None or gear > found.overall.shape[1]:
            continue
        turns = found.engine_speed(wish.speed.si, gear - 1)[k] / RPM
        told[
            tr(
                "{turns:.0f} rpm at {speed} in {gear}",
                turns=turns,
                speed=wish.speed.words,
                gear=tr("top gear") if gear == TOP_GEAR else tr("gear {gear}", gear=gear),
            )
        ] = None
    return list(told)


def _bought(found: Candidates, k: int) -> str:
    parts = new_parts(found, k)
    if not parts:
        return tr("nothing to buy, this is fitted")
    if len(parts) == 1:
        return tr("only a new {part}", part=tr(parts[0]))
    return tr("new: {parts}", parts=listed(map(tr, parts)))


def _top_speed(found: Candidates, k: int, mph: bool) -> str:
    pulled = pull(found.bike, found.set_at(k))
    if isinstance(pulled, Finding) or pulled.top is None:
        return ""
    unit, name = (MPH, "mph") if mph else (KMH, "km/h")
    return tr("top speed about {speed:.0f} {name}", speed=pulled.top.speed / unit, name=name)


def _wheelbase(found: Candidates, k: int) -> str:
    on = found.on.run
    if on.moves is None or math.isnan(found.moved[k]):
        return ""
    by = float(found.moved[k]) - on.moved
    if abs(by) < _WHEELBASE_SHOWN:
        return ""
    if by > 0:
        return tr("wheelbase {by:.0f} mm longer", by=by / MM)
    return tr("wheelbase {by:.0f} mm shorter", by=-by / MM)
