"""What one set, or its change against the fitted one, is said to mean."""

from __future__ import annotations

import math

from gearplan.bike.text.units import KMH, MM, MPH, RPM
from gearplan.bike.text.written import ROAD_SPEED, number, signed_percent
from gearplan.language import tr, trc
from gearplan.plan.chain.reach import LENGTH, TIGHTEST
from gearplan.plan.chain.run import ChainRun
from gearplan.plan.driveset import DriveSet
from gearplan.plan.set.compare import GearRow, engine_speeds
from gearplan.plan.set.evaluate import TYPICAL_VALUES, SetResult
from gearplan.plan.set.grid import Exchange, Grid
from gearplan.plan.words import teeth
from gearplan.setup.assumed import assumptions_text

#: In place of an engine speed that cannot be.
_OVER = tr("over limiter")


#: A little of the axle's way, to say what it does to the slack.
_LITTLE_MM = 0.25
#: What the rear does under power: by whether it extends, does it more than before, and by how little.
_SQUATS = {
    (True, True, False): tr("Under power the rear extends more than before."),
    (True, True, True): tr("Under power the rear extends slightly more than before."),
    (True, False, False): tr("Under power the rear extends less than before."),
    (True, False, True): tr("Under power the rear extends slightly less than before."),
    (False, True, False): tr("Under power the rear squats more than before."),
    (False, True, True): tr("Under power the rear squats slightly more than before."),
    (False, False, False): tr("Under power the rear squats less than before."),
    (False, False, True): tr("Under power the rear squats slightly less than before."),
}


def links_that_fit(result: SetResult) -> str:
    """The even counts that fit, as a list of words."""
    fitting = result.run.links_that_fit
    return "–" if fitting is None else " ".join(map(str, fitting)) or trc("of link counts", "none")


def change(on: SetResult, proposed: SetResult) -> float | None:
    """Change of the final ratio against the fitted set, a fraction."""
    if on.final_ratio is None or proposed.final_ratio is None:
        return None
    return proposed.final_ratio / on.final_ratio - 1


def feel(fraction: float | None) -> str:
    """What a changed final ratio means, in words."""
    if fraction is None:
        return ""
    if abs(fraction) < 5e-4:
        return tr("same ratio as fitted")
    if fraction > 0:
        return tr("{percent:.1f} % shorter: revs more", percent=100 * fraction)
    return tr("{percent:.1f} % taller: revs less", percent=-100 * fraction)


def cursor_sentence(on: SetResult, proposed: SetResult, speed: float, unit: str, end_rpm: float | None) -> str:
    """How fast the engine turns in top gear at a road speed (m/s), now and with the proposed set; empty if unknown.

    Beyond `end_rpm`, where the engine ends, it says so.
    """
    turns: list[float | None] = []
    for result in (on, proposed) if on.set != proposed.set else (proposed,):
        if speeds := engine_speeds(result, speed):
            rpm = speeds[-1] / RPM
            turns.append(None if end_rpm is not None and rpm > end_rpm else round(rpm / 10) * 10)
    if not turns:
        return ""
    if all(one is None for one in turns):
        turns = turns[:1]
    over = tr("over the limiter")
    told = [over if one is None else number(one) for one in turns]
    if turns[-1] is not None:
        told[-1] = tr("{engine} rpm", engine=told[-1])
    return tr(
        "At {speed} {unit} in top: {turns}",
        speed=number(speed, ROAD_SPEED[unit]),
        unit=unit,
        turns=" → ".join(told),
    )


def exchange_text(chosen: DriveSet, exchanges: tuple[Exchange, ...], judged_in: Grid | None = None) -> str:
    """What one front tooth is worth at the rear, exactly, and which set comes nearest to the same ratio; with a grid
    also whether that one does not fit, if it is among its sets."""
    lines = []
    for e in exchanges:
        by = abs(e.rear_worth)
        if e.front < (chosen.front or 0):
            acts = tr("One front tooth fewer acts like {by:.2f} rear teeth more", by=by)
        else:
            acts = tr("One front tooth more acts like {by:.2f} rear teeth fewer", by=by)
        given = {
            "set": teeth(chosen),
            "nearest": f"{e.front}/{e.rear_nearest}",
            "off": tr("exactly") if abs(e.off) < 5e-5 else signed_percent(e.off, 2),
        }
        if _refused(e, judged_in):
            nearest = tr("nearest to the ratio of {set}: {nearest} ({off}, does not fit)", **given)
        else:
            nearest = tr("nearest to the ratio of {set}: {nearest} ({off})", **given)
        lines.append(f"{acts}; {nearest}.")
    return "\n".join(lines)


def _refused(one: Exchange, judged_in: Grid | None) -> bool:
    cell = None if judged_in is None else judged_in.cell_of(one.front, one.rear_nearest)
    return judged_in is not None and cell is not None and judged_in.levels[cell[0]][cell[1]] == "does not fit"


def chart_caption(result: SetResult, share: float = 0.0) -> str:
    """What the speed chart rests on, with what is assumed, and by what share its speeds may be off."""
    rolls = {
        "measured": tr("rolling circumference measured"),
        "size": tr("rolling circumference from the tyre's size"),
        "size, assumed factor": tr("rolling circumference from the tyre's size, rolling factor assumed"),
    }.get(result.rolls_by) or tr("no rolling circumference yet")
    if share > 0:
        sure = number(100 * share, 1, 0 if share >= 0.01 else 1)
        told = [tr("Up-shifts at the redline; {rolls}, so speeds are known to ± {sure} %.", rolls=rolls, sure=sure)]
    else:
        told = [tr("Up-shifts at the redline; {rolls}.", rolls=rolls)]
    if box := [one for one in result.assumed if one.field.startswith("gearbox.")]:
        told.append(tr("Assumed: {assumed}.", assumed=assumptions_text(box)))
    return " ".join([*told, tr("Possible speeds, not advice: obey limits.")])


def what_is_missing(result: SetResult, about: tuple[str, ...]) -> tuple[str, str]:
    """(what a page says for want of data, the field that would help first); empty words when nothing is missing."""
    needed = [f for f in result.findings if f.about in about and f.level != "fits"]
    field = next((f.field for f in needed if f.field), "")
    return "\n".join(f.text for f in needed), field


def no_drawing(result: SetResult) -> tuple[str, str]:
    """(why the chain run cannot be drawn, the field that would help first): for want of a fit, or of the swingarm."""
    return what_is_missing(result, (TIGHTEST if result.run.basis == "adjuster" else LENGTH, "ratio"))


def engine_speeds_told(row: GearRow) -> tuple[str, ...]:
    """A gear's engine speeds at the cursor in rpm, fitted and proposed; what cannot be is said instead."""
    both = zip(row.engine_at_cursor, row.over, strict=True)
    return tuple(_OVER if over else number(one, RPM, 0) for one, over in both)


def chart_in_words(on: SetResult, proposed: SetResult, unit: str) -> str:
    """The speed chart as a sentence, for whoever cannot see it."""
    factor = KMH if unit == "km/h" else MPH
    if proposed.speed_at_redline is None:
        return tr("No chart: {why}", why=" ".join(f.text for f in proposed.findings if f.field))
    gear, speed = len(proposed.speed_at_redline), proposed.speed_at_redline[-1] / factor
    if on.speed_at_redline is None:
        return tr("Gear {gear} reaches {speed:.0f} {unit} at the redline.", gear=gear, speed=speed, unit=unit)
    return tr(
        "Gear {gear} reaches {speed:.0f} {unit} at the redline, against {fitted:.0f} {unit} as fitted.",
        gear=gear,
        speed=speed,
        unit=unit,
        fitted=on.speed_at_redline[-1] / factor,
    )


def typical_words(result: SetResult) -> str:
    """What of a set's numbers is only typical of the kind of motorcycle; empty where nothing is."""
    return next((f.text for f in result.findings if f.about == TYPICAL_VALUES), "")


def squat_sentence(on: SetResult, proposed: SetResult) -> str:
    """What the proposed set does to the rear under power, in words."""
    if on.anti_squat is None or proposed.anti_squat is None:
        return ""
    by = proposed.anti_squat - on.anti_squat
    if abs(by) < 0.005:
        return tr("Under power the rear behaves as before.")
    extends = proposed.anti_squat > 1
    if extends != (on.anti_squat > 1):
        if extends:
            return tr("Under power the rear extends; as fitted it squats.")
        return tr("Under power the rear squats; as fitted it extends.")
    return _SQUATS[extends, (by > 0) == extends, abs(by) < 0.05]


def axle_words(run: ChainRun) -> str:
    """What a little of the axle's way does to the slack where it is as asked for; empty if that is not known."""
    if run.slack_per_axle is None:
        return ""
    return tr(
        "At the slack asked for, {axle:g} mm of axle changes it by about {by:.0f} mm: set it by measuring.",
        axle=_LITTLE_MM,
        by=_LITTLE_MM * run.slack_per_axle,
    )


def slack_sentence(proposed: SetResult, slack: float, in_slot: bool) -> str:
    """What slack the chain would have where the axle is drawn; never more certain than it can be."""
    links = proposed.set.links
    if links is None:
        return tr("Enter the chain's links to see its slack.")
    if math.isnan(slack):
        return tr("Too far back for {links} links: the chain would be tight.", links=links)
    about = tr("About {slack:.0f} mm of slack with {links} links.", slack=slack / MM, links=links)
    told: tuple[str, ...] = (about, axle_words(proposed.run))
    if not in_slot:
        told = (tr("Outside the adjuster's slot."), *told)
    return " ".join(filter(None, told))
