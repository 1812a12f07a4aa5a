"""What pull means, in plain words, never more certain than the model."""

from __future__ import annotations

from collections.abc import Sequence

from gearplan.bike.profile import Bike
from gearplan.bike.text.units import KMH, MPH, unit_told
from gearplan.bike.text.written import compared, measured, number, with_doubt
from gearplan.language import tr
from gearplan.plan.driveset import DriveSet, fitted
from gearplan.plan.findings import Finding
from gearplan.plan.pull.asked import ROLL_ONS, SPRINTS, Stretch, read_roll_ons, read_sprints
from gearplan.plan.pull.doubts import Effect, pull_doubts, row_half
from gearplan.plan.pull.pull import Pull, pull
from gearplan.plan.pull.table import climb, everyday_rows, reserve, roll_on_rows, shift_rows, sprint_rows
from gearplan.setup.assumed import assumptions_text
from gearplan.setup.doubt import Doubtful

#: What is listed of how surely times are known.
HUNDRED = Stretch("0–100 km/h", 0.0, 100 * KMH)


#: From which speed to which a customer feels the pull, as people say it in each unit.
_MIDDLE = {"km/h": (60, 100), "mph": (40, 60)}


#: Steeper than this, as a fraction, no road is.
_STEEPEST = 0.5
#: As long as what `pull_sentence` says becomes.
LONGEST = tr(
    "From 60 to 100 km/h through the gears it takes about as long as before. Top speed 288 ± 12 km/h in gear 6, at the "
    "limiter. At 188 km/h gear 6 leaves 1888 N, enough for more gradient than any road has."
)


def drag_sentence(proposed: Pull | None, at_redline: tuple[float, ...] | None, unit: str = "km/h") -> str:
    """That the last gear never gets to the redline (its speed there in m/s), if drag ends it sooner; else empty."""
    top = None if proposed is None else proposed.top
    if proposed is None or top is None or not at_redline or top.limited_by != "drag" or top.speed >= at_redline[-1]:
        return ""
    told = tr(
        "Drag limits sooner: about {speed:.0f} {unit} in gear {gear}",
        speed=top.speed / (MPH if unit == "mph" else KMH),
        unit=unit,
        gear=top.gear + 1,
    )
    return tr("{told}, with what the Pull page assumes.", told=told) if proposed.assumed else f"{told}."


def pull_sentence(
    on: Pull | None, proposed: Pull | None, cursor: float, unit: str = "km/h", top: Doubtful | None = None
) -> str:
    """What is gained in the middle, what is lost at the top, and what is left at the cursor (m/s), told in a unit.

    `top` is how surely the top speed is known, where that is to be told.
    """
    factor = MPH if unit == "mph" else KMH
    low, high = _MIDDLE[unit]
    if proposed is None:
        return ""
    told = []
    if on is not None:
        before, after = (p.between(low * factor, high * factor) for p in (on, proposed))
        if after is not None and on is proposed:
            told.append(
                tr(
                    "From {low} to {high} {unit} through the gears: about {after:.1f} s.",
                    low=low,
                    high=high,
                    unit=unit,
                    after=after,
                )
            )
        elif before is not None and after is not None:
            by = after - before
            given = {"low": low, "high": high, "unit": unit, "by": abs(by)}
            if abs(by) < 0.05:
                told.append(
                    tr("From {low} to {high} {unit} through the gears it takes about as long as before.", **given)
                )
            elif by < 0:
                told.append(tr("From {low} to {high} {unit} through the gears: about {by:.1f} s less.", **given))
            else:
                told.append(tr("From {low} to {high} {unit} through the gears: about {by:.1f} s more.", **given))
    if proposed.top is not None:
        how = tr("at the limiter") if proposed.top.limited_by == "redline" else tr("limited by drag")
        gear = proposed.top.gear + 1
        fast = number(proposed.top.speed, factor) if top is None else measured(top.value, top.half, factor)
        given = {"fast": fast, "unit": unit, "gear": gear, "how": how}
        told.append(
            tr("Top speed about {fast} {unit} in gear {gear}, {how}.", **given)
            if top is None
            else tr("Top speed {fast} {unit} in gear {gear}, {how}.", **given)
        )
    left = reserve(proposed, cursor)
    if left is not None and left.left > 0:
        more = climb(proposed, left.left)
        enough = (
            tr("enough for {more:.0f} % more gradient", more=100 * more)
            if more <= _STEEPEST
            else tr("enough for more gradient than any road has")
        )
        told.append(
            tr(
                "At {cursor:.0f} {unit} gear {gear} leaves {left:.0f} N, {enough}.",
                cursor=cursor / factor,
                unit=unit,
                gear=left.gear + 1,
                left=left.left,
                enough=enough,
            )
        )
    elif left is not None:
        told.append(tr("At {cursor:.0f} {unit} no gear holds the speed.", cursor=cursor / factor, unit=unit))
    return " ".join(told)


def doubt_sentence(known: Doubtful | None, found: Sequence[Effect]) -> str:
    """How surely 0–100 km/h is known, and what most of the doubt comes from."""
    if known is None:
        return tr("This set does not surely reach 100 km/h here, so there is no time to doubt.")
    told = tr("0–100 km/h takes {time}.", time=_time(known))
    if found:
        told += tr(
            " Most of the doubt: {name}, {doubt}, up to {size:.2f} s.",
            name=found[0].name,
            doubt=found[0].doubt,
            size=found[0].size,
        )
    return tr("{told} The difference between the two sets is known better than the time itself.", told=told)


def _time(known: Doubtful) -> str:
    """A time with its doubt; where it is larger to one side, the ends of its range."""
    value, off = with_doubt(known.value, known.sides, 1, 1)
    if off.startswith("±") or not off:
        return f"{' '.join((value, off)).rstrip()} s"
    return tr("{value} s ({low} to {high})", value=value, low=number(known.low, 1, 1), high=number(known.high, 1, 1))


def bar(size: float, longest: float) -> str:
    """How long the bar of a size is, in percent of the longest."""
    return f"{100 * size / longest:.0f} %" if longest > 0 else ""


def pull_text(bike: Bike, chosen: DriveSet) -> str:
    """Times, top speed and shifts of fitted and proposed set, as lines of text; or what they lack."""
    pulls = [pull(bike, s) for s in (fitted(bike), chosen)]
    if isinstance(pulls[1], Finding):
        return tr("Pull: {text}", text=pulls[1].text)
    on, proposed = (None if isinstance(p, Finding) else p for p in pulls)
    assert proposed is not None
    rows = (
        *sprint_rows(on, proposed),
        *roll_on_rows(on, proposed),
        *shift_rows(on, proposed),
        *everyday_rows(bike, fitted(bike), chosen),
    )
    lines = [f"{tr('Pull'):<38}{'fitted':>12}{'proposed':>12}"]
    doubts = pull_doubts(bike, chosen, asked=read_sprints(SPRINTS), in_gear=read_roll_ons(ROLL_ONS))
    for row in rows:
        title = f"{row.name}, {unit_told(row.unit_name)}" if row.unit_name else row.name
        before, after, off, _ = compared(row.before, row.after, row_half(row, doubts, bike, chosen), 1, row.digits)
        lines.append(f"{title:<38}{before:>12}{after:>12} {off}".rstrip())
    if proposed.assumed:
        lines.append(tr("Assumed: {assumptions_text}.", assumptions_text=assumptions_text(proposed.assumed)))
    return "\n".join(lines)
