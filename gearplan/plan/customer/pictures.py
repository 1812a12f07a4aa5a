"""The three pictures for the customer: how it pulls, how busy the engine is and how fast it goes, now and then."""

from __future__ import annotations

from dataclasses import dataclass

from gearplan.bike.text.written import ordinal
from gearplan.language import tr
from gearplan.plan.choices.wishes import TOP_GEAR
from gearplan.plan.customer.pair import Asked, Cruising, Pair, top_doubt
from gearplan.plan.customer.words import engine_figure, top_after
from gearplan.plan.set.doubts import speed_share
from gearplan.plan.words import alike

#: As much more than now as a scale has room for; it grows with the proposed set only beyond that.
_ROOM = 1.4


@dataclass(frozen=True, slots=True)
class Picture:
    """One picture: a quantity of the fitted and the proposed set on a scale from 0 to `end`, in `unit`.

    `mark` is a limit on the scale (the redline), with its name; values are None where data lacks.
    """

    kind: str
    title: str
    unit: str
    end: float
    before: float | None
    after: float | None
    before_words: str
    after_words: str
    mark: float | None = None
    mark_name: str = ""


def pull_picture(pair: Pair, asked: Asked) -> Picture:
    """How hard it pulls where that matters."""
    before, after = pair.forces(asked)
    gear = pair.gear(asked.pull_gear)
    where = tr("top gear") if asked.pull_gear == TOP_GEAR or gear is None else tr("gear {gear}", gear=gear + 1)
    title = tr("Pull at {words} in {where}", words=asked.pull_at.words, where=where)
    return Picture("pull", title, "N", _end(before, after, 1.0), before, after, _newtons(before), _newtons(after))


def engine_picture(pair: Pair, asked: Asked) -> Picture:
    """How fast the engine turns at cruising speed, each set in the highest gear that holds it."""
    on, then = pair.cruising(asked.cruise.si)
    now = pair.engine_now(asked.cruise.si)
    before, after = (None if one is None else one.rpm for one in (on, then))
    engine = pair.bike.engine
    end = max(1.1 * (engine.end_rpm or 0.0), 1.1 * (before or 0.0), 1.1 * (after or 0.0), 1000.0)
    words = ["–" if now is None else tr("{turns:g} rpm", turns=now.shown), "–"]
    if after is not None:
        share = speed_share(pair.bike, pair.then.set.tyre, asked.cruise.si)
        said = engine_figure(after, share) if now is None else alike(after, now)
        words[1] = tr("{turns:g} rpm", turns=said.shown)
    title = tr("Engine at {words} {in_gears}", words=asked.cruise.words, in_gears=_in_gears(on, then))
    name = tr("redline") if engine.redline_rpm is not None else ""
    return Picture("engine", title, tr("rpm"), end, before, after, words[0], words[1], engine.redline_rpm, name)


def top_picture(pair: Pair, asked: Asked) -> Picture:
    """How fast it goes, and what holds it back."""
    unit = asked.cruise.unit
    known = None if pair.then_pull is None else pair.then_pull.top
    now = pair.top_now(unit)
    title, words = tr("Top speed"), ["–" if now is None else f"{now.shown:g} {unit}", "–"]
    after = None
    if known is not None:
        title = tr(
            "Top speed, held back by {text}", text=tr("the limiter") if known.limited_by == "redline" else tr("the air")
        )
        said = top_after(now, known.speed, top_doubt(pair.bike, pair.then.set), unit)
        after, words[1] = said.exact, f"{said.shown:g} {unit}"
    before = None if now is None else now.exact
    end = _end(before, after, 10.0)
    return Picture("top speed", title, unit, end, before, after, words[0], words[1])


def _in_gears(on: Cruising | None, then: Cruising | None) -> str:
    names = [
        tr("top gear") if one is None or one.last else tr("{ordinal} gear", ordinal=ordinal(one.gear + 1))
        for one in (on, then)
    ]
    return (
        f"in {names[1]}"
        if names[0] == names[1] or on is None
        else tr("in {names}, now in {names2}", names=names[1], names2=names[0])
    )


def _end(before: float | None, after: float | None, least: float) -> float:
    """The end of a scale, which goes with the fitted set as long as the proposed one is not far off."""
    return max(_ROOM * (before or 0.0), 1.1 * (after or 0.0), least)


def _newtons(force: float | None) -> str:
    return "–" if force is None else f"{round(force / 10) * 10:.0f} N"
