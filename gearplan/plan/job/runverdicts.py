"""What the readings say of how the chain runs: its slack and tight spots, wheel alignment and chain line. SI."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from gearplan.bike.profile import Bike
from gearplan.bike.text.units import MM
from gearplan.bike.work.job import Job
from gearplan.language import tr
from gearplan.plan.findings import Finding
from gearplan.plan.job.steps.readings import ROUNDING, Reading, shown
from gearplan.plan.job.steps.targets import TURNS, allowed
from gearplan.setup.assumed import COMMON_PRACTICE

_SPOTS, _LINE = "tight spots", "chain line"


def slack_findings(bike: Bike, readings: Mapping[str, Reading], name: str) -> Iterator[Finding]:
    """The slack at its tightest against the manual's range, and how much it differs round the chain."""
    read = [readings[key] for key in (f"{name}_{turn}" for turn in range(1, TURNS + 1)) if key in readings]
    if not read:
        return
    unit = read[0].unit
    tight, loose = min(r.value for r in read), max(r.value for r in read)
    told = tr("At its tightest the chain moves {slack}", slack=shown(tight, unit))
    yield within_slack(bike, tight, unit, told)
    if len(read) >= 2:
        yield _tight_spots(bike, tight, loose, unit)


def _tight_spots(bike: Bike, tight: float, loose: float, unit: str) -> Finding:
    spread, told = loose - tight, shown(loose - tight, unit)
    least, most = bike.service.slack_range_mm or (None, None)
    if least is None or most is None:
        return Finding("fits", _SPOTS, tr("Between the places it differs by {spread}.", spread=told), spread / MM)
    room = (most - least) * MM
    source = tr("the slack's own range as the limit: {source}", source=COMMON_PRACTICE)
    figures = (spread / MM, room / MM, "mm", source)
    if spread > room + ROUNDING:
        text = tr(
            "Tight spots: {spread} between tightest and loosest, more than the whole range of {range}. "
            "Look for stiff links, uneven wear or a sprocket out of round.",
            spread=told,
            range=shown(room, unit),
        )
        return Finding("does not fit", _SPOTS, text, *figures)
    if loose > most * MM + ROUNDING:
        text = tr(
            "At its loosest it moves {slack}, beyond {most}: set it nearer the least.",
            slack=shown(loose, unit),
            most=shown(most * MM, unit),
        )
        return Finding("check", _SPOTS, text, *figures)
    text = tr("Even enough: {spread} between tightest and loosest.", spread=told)
    return Finding("fits", _SPOTS, text, *figures)


def within_slack(bike: Bike, value: float, unit: str, told: str) -> Finding:
    """A slack, told without a full stop, against the manual's range."""
    least, most = bike.service.slack_range_mm or (None, None)
    source = bike.service.slack_range_mm_from or tr("as entered")
    if least is not None and value < least * MM - ROUNDING:
        text = tr(
            "{told}; at least {least}: too tight: will damage bearings. Slacken off.",
            told=told,
            least=shown(least * MM, unit),
        )
        return Finding("does not fit", "slack", text, value / MM, least, "mm", source)
    if most is not None and value > most * MM + ROUNDING:
        text = tr(
            "{told}; at most {most}: too loose: the chain can jump. Take it up.",
            told=told,
            most=shown(most * MM, unit),
        )
        return Finding("does not fit", "slack", text, value / MM, most, "mm", source)
    if least is not None and most is not None:
        ends = {"least": shown(least * MM, unit), "most": shown(most * MM, unit)}
        text = tr("{told}; within {least} to {most}.", told=told, **ends)
        return Finding("fits", "slack", text, value / MM, most, "mm", source)
    text = tr("{told}. The manual's range is not entered: compare with it.", told=told)
    return Finding("check", "slack", text, value / MM, field="service.slack_range_mm")


def line_findings(job: Job, readings: Mapping[str, Reading]) -> Iterator[Finding]:
    """Whether both sprockets are in line, and the chain clears tyre and guard."""
    side, typed = dict(job.readings).get("line_side", ""), dict(job.readings)
    offset, clear = readings.get("line_offset"), readings.get("line_clear")
    off = offset is not None and offset.value > ROUNDING
    if side == "in line" and not off:
        yield Finding("fits", _LINE, tr("Front and rear sprocket are in line."))
    elif side == "in line" and offset is not None:
        text = tr(
            "“In line” and {off} out of line don't go together: which one is right?",
            off=shown(offset.value, offset.unit),
        )
        yield Finding("does not fit", _LINE, text)
    elif side in ("left", "right") and not typed.get("line_offset", "").strip():
        if side == "left":
            text = tr("Write down by how much it stands to the left.")
        else:
            text = tr("Write down by how much it stands to the right.")
        yield Finding("does not fit", _LINE, text)
    elif side in ("left", "right") and offset is not None:
        by = shown(offset.value, offset.unit)
        if side == "left":
            text = tr(
                "The front sprocket stands {by} to the left: find out why, and compare with what the makers allow.",
                by=by,
            )
        else:
            text = tr(
                "The front sprocket stands {by} to the right: find out why, and compare with what the makers allow.",
                by=by,
            )
        yield Finding("check", _LINE, text, offset.value / MM, None, "mm")
    if clear is not None and clear.value <= ROUNDING:
        text = tr("The chain touches tyre or guard: it must clear both.")
        yield Finding("does not fit", "clearance", text, 0.0, 0.0, "mm")
    elif clear is not None:
        text = tr("The chain clears tyre and guard by {by}.", by=shown(clear.value, clear.unit))
        yield Finding("fits", "clearance", text, clear.value / MM, None, "mm")


def alignment_findings(bike: Bike, readings: Mapping[str, Reading]) -> Iterator[Finding]:
    """Whether the axle stands alike on both sides."""
    left, right = readings.get("align_left"), readings.get("align_right")
    if left is None or right is None:
        return
    limit, source = allowed(bike, "alignment_mm")
    by, unit = abs(left.value - right.value), left.unit
    figures = (by / MM, limit / MM, "mm", source)
    given = {"by": shown(by, unit), "limit": shown(limit, unit)}
    if by <= limit + ROUNDING:
        text = tr("Left and right differ by {by}; {limit} is allowed.", **given)
        yield Finding("fits", "alignment", text, *figures)
        return
    if left.value > right.value:
        text = tr(
            "Left and right differ by {by}, {limit} is allowed: the left side reads more. Turn its adjuster and "
            "measure both again.",
            **given,
        )
    else:
        text = tr(
            "Left and right differ by {by}, {limit} is allowed: the right side reads more. Turn its adjuster and "
            "measure both again.",
            **given,
        )
    yield Finding("does not fit", "alignment", text, *figures)
