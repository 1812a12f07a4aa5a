"""Judges each wish on every candidate at once: who meets it, who misses it by how much, and how that is said."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from gearplan.bike.stock import Stock
from gearplan.bike.text.units import KMH, MM, MPH, RPM
from gearplan.bike.text.written import number, signed_percent
from gearplan.drive import speedometer
from gearplan.language import tr
from gearplan.plan.choices import partlimits
from gearplan.plan.choices.candidates import Candidates
from gearplan.plan.choices.figures import fitted_thrust, redline_speed, steepest_start, thrust_at, top_speed
from gearplan.plan.choices.verdicts import (
    PART_MISSED,
    Judged,
    Unjudged,
    between,
    bounded,
    lacking,
    missing,
    named,
    no_fitted,
)
from gearplan.plan.choices.wishes import TOP_GEAR, Wish, gear_words
from gearplan.plan.findings import Finding
from gearplan.plan.set.speedometer import rule_speed
from gearplan.plan.words import Speed
from gearplan.setup.assumed import if_known, known

#: Calmer and livelier, unless it is said by how much: a change that is felt, and no other motorcycle.
#: Common practice, no source.
LEAST_FELT, MOST_MEANT = 0.01, 0.10


def judge(found: Candidates, wish: Wish, stock: Stock | None) -> Judged | Unjudged:
    """A limit judged on every candidate, or why it cannot be."""
    return _JUDGES[wish.kind](found, wish, stock)


def _gear(found: Candidates, wish: Wish) -> int | Unjudged:
    """The gear from 0, −1 the last; or that the bike has no such gear."""
    if found.overall is None:
        text, field = missing(found, "ratio")
        return Unjudged(wish, text, field)
    count = found.overall.shape[1]
    if wish.gear is not None and wish.gear > count:
        return Unjudged(wish, tr("this bike has {count} gears", count=count))
    return -1 if wish.gear in (None, TOP_GEAR) else wish.gear - 1


def _engine_speed(found: Candidates, wish: Wish, _stock: Stock | None) -> Judged | Unjudged:
    gear = _gear(found, wish)
    if isinstance(gear, Unjudged):
        return gear
    if np.isnan(found.circumference).any():
        text, field = missing(found, "rolling circumference")
        return Unjudged(wish, text, field)
    assert wish.speed is not None
    turns, asked = found.engine_speed(wish.speed.si, gear) / RPM, wish.value or 0.0

    def said(k: int) -> str:
        return tr(
            "{named} turns {turns:.0f} rpm at {words} in {gear_words}, you asked for {bound} {asked:g}",
            named=named(found, k),
            turns=turns[k],
            words=wish.speed.words if wish.speed else "",
            gear_words=gear_words(wish.gear),
            bound=tr(wish.bound),
            asked=asked,
        )

    return bounded(wish, turns, asked, said)


def _reach(found: Candidates, wish: Wish, _stock: Stock | None) -> Judged | Unjudged:
    gear = _gear(found, wish)
    if isinstance(gear, Unjudged):
        return gear
    speeds = redline_speed(found, gear)
    if speeds is None:
        text, field = missing(found, "speed", "rolling circumference")
        return Unjudged(wish, text, field)
    assert wish.speed is not None
    asked = wish.speed

    def said(k: int) -> str:
        return tr(
            "{named} reaches {speeds} in {gear_words} at the redline, you asked for {bound} {words}",
            named=named(found, k),
            speeds=_shown(speeds[k], asked),
            gear_words=gear_words(wish.gear),
            bound=tr(wish.bound),
            words=asked.words,
        )

    return bounded(wish, speeds, asked.si, said)


def _top_speed(found: Candidates, wish: Wish, _stock: Stock | None) -> Judged | Unjudged:
    speeds = top_speed(found)
    if isinstance(speeds, Finding):
        return lacking(wish, speeds)
    assert wish.speed is not None
    asked = wish.speed

    def said(k: int) -> str:
        reached = (
            tr("holds no speed")
            if math.isnan(speeds[k])
            else tr("has a top speed of about {speeds}", speeds=_shown(speeds[k], asked))
        )
        return tr(
            "{named} {reached}, you asked for {bound} {words}",
            named=named(found, k),
            reached=reached,
            bound=tr(wish.bound),
            words=asked.words,
        )

    return bounded(wish, speeds, asked.si, said)


def _pull(found: Candidates, wish: Wish, _stock: Stock | None) -> Judged | Unjudged:
    asked = (wish.value or 0.0) / 100
    if wish.speed is None:
        if found.on.final_ratio is None:
            return no_fitted(wish)
        gain = found.revs - 1
        where = ""
    else:
        gear = _gear(found, wish)
        if isinstance(gear, Unjudged):
            return gear
        force = thrust_at(found, wish.speed.si, gear)
        if isinstance(force, Finding):
            return lacking(wish, force)
        before = fitted_thrust(found, wish.speed.si, gear)
        if not before:
            text = tr(
                "the fitted set has no thrust at {words} in {gear_words} to compare with",
                words=wish.speed.words,
                gear_words=gear_words(wish.gear),
            )
            return Unjudged(wish, text)
        gain = force / before - 1
        where = tr(" at {words} in {gear_words}", words=wish.speed.words, gear_words=gear_words(wish.gear))

    def said(k: int) -> str:
        return tr(
            "{named} pulls {gain}{where}, you asked for {bound} {asked}",
            named=named(found, k),
            gain=signed_percent(float(gain[k])),
            where=where,
            bound=tr(wish.bound),
            asked=signed_percent(asked, 0 if asked * 100 == round(asked * 100) else 1),
        )

    return bounded(wish, gain, asked, said, 1.0)


def _ratio(found: Candidates, wish: Wish, _stock: Stock | None) -> Judged | Unjudged:
    ratio, asked = found.ratio, wish.value or 0.0

    def said(k: int) -> str:
        return tr(
            "{named} has a ratio of {ratio:.4f}, you asked for {bound} {asked:g}",
            named=named(found, k),
            ratio=ratio[k],
            bound=tr(wish.bound),
            asked=asked,
        )

    return bounded(wish, ratio, asked, said)


def _same_ratio(found: Candidates, wish: Wish, _stock: Stock | None) -> Judged | Unjudged:
    if found.on.final_ratio is None:
        return no_fitted(wish)
    change, within = found.ratio / found.on.final_ratio - 1, (wish.value or 0.0) / 100

    def said(k: int) -> str:
        return tr(
            "{named} changes the ratio by {change}, you asked for the same within {value:g} %",
            named=named(found, k),
            change=signed_percent(float(change[k]), 2),
            value=wish.value,
        )

    return between(wish, change, -within, within, 1.0, said)


def _revs(found: Candidates, wish: Wish, _stock: Stock | None) -> Judged | Unjudged:
    """Calmer or livelier: by as much as was said, else by what is felt but no other motorcycle."""
    if found.on.final_ratio is None:
        return no_fitted(wish)
    calmer = wish.kind == "calmer"
    by = 1 - found.revs if calmer else found.revs - 1
    least, most = meant(wish)

    def said(k: int) -> str:
        name, much = named(found, k), f"{number(abs(by[k]) * 100, 1, 1)} %"
        only = by[k] < least and by[k] > 0
        told = _changed(much, calmer=calmer == (by[k] > 0), only=only)
        if by[k] < least:
            return tr("{name} is {told}, you asked for {wish}", name=name, told=told, wish=wish.told)
        if wish.bound == "at most":
            return tr("{name} is {told}, you asked for at most {value:g} %", name=name, told=told, value=wish.value)
        return tr(
            "{name} is {told}, more than the {most:g} % that are taken to be meant; say “{kind} by at most "
            "{ceil} %” to go so far",
            name=name,
            told=told,
            most=most * 100,
            kind=tr(wish.kind),
            ceil=math.ceil(abs(by[k]) * 100),
        )

    return between(wish, by, least, most, 1.0, said)


def _changed(much: str, *, calmer: bool, only: bool) -> str:
    if much == f"{number(0.0, 1, 1)} %":
        return tr("as fitted")
    if calmer:
        return tr("only {much} calmer", much=much) if only else tr("{much} calmer", much=much)
    return tr("only {much} livelier", much=much) if only else tr("{much} livelier", much=much)


def meant(wish: Wish) -> tuple[float, float]:
    """By how much (least, most; fractions) calmer or livelier is taken to be meant."""
    if wish.value is None:
        return LEAST_FELT, MOST_MEANT
    asked = wish.value / 100
    return (asked, asked + MOST_MEANT) if wish.bound == "at least" else (0.0, asked)


def _wheelbase(found: Candidates, wish: Wish, _stock: Stock | None) -> Judged | Unjudged:
    on = found.on.run
    if on.moves is None or not found.fits_known:
        text, field = missing(found, "chain length")
        return Unjudged(wish, text, field)
    by, within = (found.moved - on.moved) / MM, wish.value or 0.0

    def said(k: int) -> str:
        given = {"named": named(found, k), "links": found.links[k], "by": abs(by[k]), "within": within}
        if by[k] > 0:
            return tr(
                "{named} with {links} links makes the wheelbase {by:.1f} mm longer, you asked for it within "
                "{within:g} mm",
                **given,
            )
        return tr(
            "{named} with {links} links makes the wheelbase {by:.1f} mm shorter, you asked for it within {within:g} mm",
            **given,
        )

    return between(wish, by, -within, within, 100.0, said)


def _speedometer(found: Candidates, wish: Wish, _stock: Stock | None) -> Judged | Unjudged:
    true = rule_speed(found.bike)
    shown = true / KMH * found.speedometer
    if np.isnan(shown).any():
        s = found.bike.speedometer
        if s.sensor is None or s.indicated_over_true is None:
            what = tr("the sensor's place") if s.sensor is None else tr("indicated over true speed")
            key = "sensor" if s.sensor is None else "indicated_over_true"
            return Unjudged(wish, tr("enter {what} in the bike's speedometer section", what=what), f"speedometer.{key}")
        text, field = missing(found, "rolling circumference", "ratio")
        return Unjudged(wish, text, field)
    least, most = (bound / KMH for bound in speedometer.allowed(true))

    def said(k: int) -> str:
        return tr(
            "{named} makes the speedometer show {shown:.1f} km/h at {true:.0f} km/h, {least:.0f} to "
            "{most:.0f} are allowed",
            named=named(found, k),
            shown=shown[k],
            true=true / KMH,
            least=least,
            most=most,
        )

    return between(wish, shown, least, most, 100.0, said)


def _start(found: Candidates, wish: Wish, _stock: Stock | None) -> Judged | Unjudged:
    load = wish.load_kg
    if load is None:
        load = known(found.bike, "load", "rider_kg").value
    steepest = steepest_start(found, _weight(found) + load)
    if isinstance(steepest, Finding):
        return lacking(wish, steepest)
    asked = (wish.value or 0.0) / 100

    def said(k: int) -> str:
        return tr(
            "{named} starts on about {steepest:.0f} % with {load:g} kg on board, you asked for {value:g} %",
            named=named(found, k),
            steepest=steepest[k] * 100,
            load=load,
            value=wish.value,
        )

    return between(wish, steepest, asked, np.inf, asked or 1.0, said)


def _weight(found: Candidates) -> float:
    own = if_known(found.bike, "load", "bike_kg")
    return 0.0 if own is None else own.value


def _sure(found: Candidates, wish: Wish, _stock: Stock | None) -> Judged | Unjudged:
    def said(k: int) -> str:
        return tr("{named} has something to check", named=named(found, k))

    doubted = found.level > 0
    return Judged(wish, ~doubted, np.where(doubted, PART_MISSED, 0.0), said)


def _shown(speed: float, like: Speed) -> str:
    return f"{speed / (MPH if like.unit == 'mph' else KMH):.0f} {like.unit}"


_JUDGES: dict[str, Callable[[Candidates, Wish, Stock | None], Judged | Unjudged]] = {
    "engine speed": _engine_speed,
    "reach": _reach,
    "top speed": _top_speed,
    "pull": _pull,
    "keep": partlimits.keep,
    "teeth": partlimits.teeth,
    "ratio": _ratio,
    "same ratio": _same_ratio,
    "calmer": _revs,
    "livelier": _revs,
    "tooth": partlimits.tooth,
    "size": partlimits.size,
    "stock": partlimits.in_stock,
    "cost": partlimits.cost,
    "wheelbase": _wheelbase,
    "speedometer": _speedometer,
    "start": _start,
    "sure": _sure,
}
