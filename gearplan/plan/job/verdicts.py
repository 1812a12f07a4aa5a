"""What the readings of a step say: judged against the service data as they are written down.

Where no maker's figure is entered the trade's own is used and marked "common practice, no source"; torques and
ranges of the makers are never replaced by anything. Tolerances in SI (m); all comparisons in SI.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from gearplan.bike import library
from gearplan.bike.profile import Bike
from gearplan.bike.text.numbertext import NumberTextError
from gearplan.bike.text.units import MM
from gearplan.bike.work.job import Job
from gearplan.drive.chain import wear
from gearplan.language import tr
from gearplan.plan.chain.wear import judged, unlikely, wear_limit
from gearplan.plan.findings import Finding
from gearplan.plan.job.axle import axle_doubt, axle_finding, worn_by
from gearplan.plan.job.kept import bike_of
from gearplan.plan.job.odometer import odometer_findings
from gearplan.plan.job.steps.readings import Blank, Question, Reading, parse_reading, question, shown
from gearplan.plan.job.steps.targets import BASE_LINKS, PINS, TURNS, Step
from gearplan.setup import assumed
from gearplan.setup.assumed import COMMON_PRACTICE

#: How far a wrench's setting may be from the target: what the wrench itself may be off (ISO 6789, from memory).
_WRENCH = ((10.0, 0.04), (0.0, 0.06))
_WRENCH_SOURCE = tr("what a torque wrench itself may be off, 4 % and below 10 N·m 6 %; ISO 6789")
#: Rounding of sums in binary; far below what any tool reads.
_ROUNDING = 1e-9


@dataclass(frozen=True, slots=True)
class StepState:
    """What a step's readings say.

    `unread` are (blank, why) of texts that are no readings, `questions` readings that can hardly be meant,
    `lacking` the labels of blanks that must be filled, `findings` the judgements.
    """

    readings: Mapping[str, Reading]
    unread: tuple[tuple[str, str], ...]
    questions: tuple[Question, ...]
    lacking: tuple[str, ...]
    findings: tuple[Finding, ...]

    @property
    def hindrance(self) -> str:
        """Why the step cannot be signed off without a stated reason; empty if it can."""
        if self.unread:
            return self.unread[0][1]
        if self.questions:
            return self.questions[0].text
        if self.lacking:
            return tr("Still needed: {join}.", join=", ".join(self.lacking))
        wrong = [f.text for f in self.findings if f.level == "does not fit"]
        return wrong[0] if wrong else ""


def step_state(bike: Bike, job: Job, step: Step) -> StepState:
    """The readings of one step of a job, judged."""
    odometer = odometer_findings(bike, job)
    bike = bike_of(bike, job)
    typed = dict(job.readings)
    readings: dict[str, Reading] = {}
    unread, questions, lacking = [], [], []
    for blank in step.blanks:
        text = typed.get(blank.key, "").strip()
        if not text:
            if not blank.optional:
                lacking.append(blank.label)
        elif blank.kind == "choice":
            if text not in blank.choices:
                words = tr("{join} or {choices}", join=", ".join(blank.choices[:-1]), choices=blank.choices[-1])
                unread.append((blank.key, tr("{label}: write {words}.", label=blank.label, words=words)))
        elif blank.kind != "word":
            try:
                read = parse_reading(blank.kind, text)
            except NumberTextError as error:
                unread.append((blank.key, f"{blank.label}: {error}."))
                continue
            near = _beside(readings, step, blank) if blank.expected is None else None
            if (asked := question(blank, read, near)) is not None:
                questions.append(asked)
            else:
                readings[blank.key] = read
    if step.key == "align" and "axle_now" in readings and (doubt := axle_doubt(bike, job)) is not None:
        questions.append(doubt)
    findings = (*_judged(bike, job, step, readings), *(odometer if step.key == "old_chain" else ()))
    return StepState(readings, tuple(unread), tuple(questions), tuple(lacking), findings)


def _beside(readings: Mapping[str, Reading], step: Step, blank: Blank) -> float | None:
    """Where nothing else is known, a reading should be like those of the same kind before it in the step."""
    # The sides may be measured at the swingarm's end, a twentieth of the way from pivot to axle.
    if step.key not in ("press", "rivet", "align") or blank.key == "axle_now":
        return None
    return next((reading.value for reading in readings.values()), None)


def _judged(bike: Bike, job: Job, step: Step, readings: Mapping[str, Reading]) -> Iterator[Finding]:
    if step.key == "old_chain":
        yield from _elongation(bike, job, readings)
    elif step.key == "count":
        yield from _count(job, readings)
    elif step.key == "press":
        yield from _press(bike, readings)
    elif step.key == "rivet":
        yield from _rivet(bike, readings)
    elif step.key == "slack":
        yield from _slack(bike, readings, "slack")
    elif step.key == "slack_again":
        yield from _slack(bike, readings, "again")
    elif step.key == "recheck":
        yield from _recheck(bike, job, readings)
    elif step.key == "align":
        yield from _alignment(bike, readings)
        if "axle_now" in readings:
            yield from axle_finding(bike, job)
    elif step.key == "chain_line":
        yield from _chain_line(job, readings)
    for key, (field, name) in _SETTINGS.items():
        if key in readings and any(blank.key == key for blank in step.blanks):
            yield _torque(getattr(bike.service, field), readings[key], field, name)


_SETTINGS = {
    "rear_setting": ("rear_nuts_nm", tr("rear nuts")),
    "front_setting": ("front_nut_nm", tr("front nut")),
    "pivot_setting": ("pivot_nm", tr("swingarm pivot")),
    "axle_setting": ("axle_nm", "axle"),
    "locknut_setting": ("adjuster_locknut_nm", tr("adjuster's lock nuts")),
    "brake_setting": ("brake_nm", tr("caliper or torque arm")),
}


def _elongation(bike: Bike, job: Job, readings: Mapping[str, Reading]) -> Iterator[Finding]:
    if "gauge_links" not in readings or "gauge_length" not in readings:
        return
    worn = worn_by(job.old_chain, readings)
    if worn is None:
        text = tr("The old chain's size is not known, so its wear cannot be told.")
        yield Finding("check", tr("old chain"), text, field="final_drive.chain")
        return
    if text := unlikely(worn):
        yield Finding(
            "does not fit", tr("old chain"), text[0].upper() + text[1:], 100 * worn, source=tr("nominal pitch")
        )
        return
    found = judged(worn, wear_limit(bike), tr("The old chain"))
    if found.level == "does not fit" and job.new_chain == "yes":
        found = replace(found, level="fits", text=found.text.replace("Replace it.", "It is being replaced."))
    yield found


def _count(job: Job, readings: Mapping[str, Reading]) -> Iterator[Finding]:
    counted = readings.get("links")
    if counted is None or job.links is None:
        return
    is_so = counted.value == job.links
    text = tr("{value:g} links counted, {links} wanted", value=counted.value, links=job.links) + (
        "." if is_so else tr(": count again before cutting.")
    )
    yield Finding("fits" if is_so else "does not fit", "links", text, counted.value, job.links, "links", tr("this job"))


def _allowed(bike: Bike, key: str) -> tuple[float, str]:
    """How far something may differ (m) and where that comes from: the service data, else what the trade takes."""
    known = assumed.known(bike, "service", key)
    read_in = getattr(bike.service, f"{key}_from") or tr("as entered")
    return known.value * MM, read_in if known.assumed is None else known.assumed.reason


def _press(bike: Bike, readings: Mapping[str, Reading]) -> Iterator[Finding]:
    service, new = bike.service, readings.get("press_width")
    beside = [readings[key] for key in ("press_beside_1", "press_beside_2") if key in readings]
    if new is None:
        return
    tolerance, source = _allowed(bike, "press_tolerance_mm")
    against = [(r.value, tr("than the link beside it"), source) for r in beside]
    if service.press_width_mm is not None:
        named = service.press_width_mm_from or tr("as entered")
        against.append(
            (
                service.press_width_mm * MM,
                tr("than the chain maker says"),
                tr("{named}; tolerance: {source}", named=named, source=source),
            )
        )
    if not against:
        return
    value, words, where = max(against, key=lambda other: abs(new.value - other[0]))
    by, unit = new.value - value, new.unit
    figures = (abs(by) / MM, tolerance / MM, "mm", where)
    told = f"{shown(abs(by), unit)} {'wider' if by > 0 else 'narrower'} {words}"
    allowed = tr("{shown} is allowed", shown=shown(tolerance, unit))
    if abs(by) <= tolerance + _ROUNDING:
        same = tr("As wide as the links beside it") if abs(by) < _ROUNDING else told[0].upper() + told[1:]
        yield Finding(
            "fits",
            tr("press-on width"),
            tr("{same}: accepted ({allowed}). Is the link free?", same=same, allowed=allowed),
            *figures,
        )
    elif by > 0:
        text = tr(
            "{told}, {allowed}: press the plate on a little further and measure again.", told=told, allowed=allowed
        )
        yield Finding("does not fit", tr("press-on width"), text, *figures)
    else:
        text = tr(
            "{told}, {allowed}: pressed too far. If the link is stiff, fit a new one; it cannot be undone.",
            told=told,
            allowed=allowed,
        )
        yield Finding("does not fit", tr("press-on width"), text, *figures)


def _rivet(bike: Bike, readings: Mapping[str, Reading]) -> Iterator[Finding]:
    least, most = bike.service.rivet_flare_mm or (None, None)
    source = bike.service.rivet_flare_mm_from or tr("as entered")
    any_read = False
    for pin in range(1, PINS + 1):
        before, after = readings.get(f"flare_{pin}_before"), readings.get(f"flare_{pin}_after")
        if after is None:
            continue
        any_read = True
        grown = "" if before is None else tr(", grown by {shown}", shown=shown(after.value - before.value, after.unit))
        told = tr("Pin {pin}: {shown}{grown}", pin=pin, shown=shown(after.value, after.unit), grown=grown)
        if before is not None and after.value <= before.value:
            text = tr("{told}: it has not flared. Were before and after swapped? Press again and measure.", told=told)
            yield Finding("does not fit", tr("rivet, pin {pin}", pin=pin), text)
        elif least is not None and after.value < least * MM - _ROUNDING:
            text = tr(
                "{told}; at least {shown}: flare on in small steps.", told=told, shown=shown(least * MM, after.unit)
            )
            yield Finding("does not fit", tr("rivet, pin {pin}", pin=pin), text, after.value / MM, least, "mm", source)
        elif most is not None and after.value > most * MM + _ROUNDING:
            text = tr(
                "{told}; at most {shown}: overpressed, it can crack. Fit a new link.",
                told=told,
                shown=shown(most * MM, after.unit),
            )
            yield Finding("does not fit", tr("rivet, pin {pin}", pin=pin), text, after.value / MM, most, "mm", source)
        elif least is not None and most is not None:
            within = tr("{shown} to {shown2}", shown=shown(least * MM, after.unit), shown2=shown(most * MM, after.unit))
            yield Finding(
                "fits",
                tr("rivet, pin {pin}", pin=pin),
                tr("{told}; within {within}.", told=told, within=within),
                after.value / MM,
                most,
                "mm",
                source,
            )
        else:
            yield Finding("fits", tr("rivet, pin {pin}", pin=pin), f"{told}.", after.value / MM, None, "mm")
    if any_read and (least is None or most is None):
        text = tr("The chain maker's range for the flared rivet is not entered: compare with its paper.")
        yield Finding("check", "rivet", text, field="service.rivet_flare_mm")


def _slack(bike: Bike, readings: Mapping[str, Reading], name: str) -> Iterator[Finding]:
    read = [readings[key] for key in (f"{name}_{turn}" for turn in range(1, TURNS + 1)) if key in readings]
    if not read:
        return
    unit = read[0].unit
    tight, loose = min(r.value for r in read), max(r.value for r in read)
    yield from _within_slack(bike, tight, unit, tr("At its tightest the chain moves"))
    if len(read) < 2:
        return
    spread = loose - tight
    least, most = bike.service.slack_range_mm or (None, None)
    if least is None or most is None:
        yield Finding(
            "fits",
            tr("tight spots"),
            tr("Between the places it differs by {shown}.", shown=shown(spread, unit)),
            spread / MM,
        )
        return
    room = (most - least) * MM
    figures = (
        spread / MM,
        room / MM,
        "mm",
        tr("the slack's own range as the limit: {common_practice}", common_practice=COMMON_PRACTICE),
    )
    if spread > room + _ROUNDING:
        text = tr(
            "Tight spots: {shown} between tightest and loosest, more than the whole range of {shown2}. "
            "Look for stiff links, uneven wear or a sprocket out of round.",
            shown=shown(spread, unit),
            shown2=shown(room, unit),
        )
        yield Finding("does not fit", tr("tight spots"), text, *figures)
    elif loose > most * MM + _ROUNDING:
        text = tr(
            "At its loosest it moves {shown}, beyond {shown2}: set it nearer the least.",
            shown=shown(loose, unit),
            shown2=shown(most * MM, unit),
        )
        yield Finding("check", tr("tight spots"), text, *figures)
    else:
        text = tr("Even enough: {shown} between tightest and loosest.", shown=shown(spread, unit))
        yield Finding("fits", tr("tight spots"), text, *figures)


def _within_slack(bike: Bike, value: float, unit: str, words: str) -> Iterator[Finding]:
    least, most = bike.service.slack_range_mm or (None, None)
    source = bike.service.slack_range_mm_from or tr("as entered")
    told = f"{words} {shown(value, unit)}"
    if least is not None and value < least * MM - _ROUNDING:
        text = tr(
            "{told}; at least {shown}: too tight: will damage bearings. Slacken off.",
            told=told,
            shown=shown(least * MM, unit),
        )
        yield Finding("does not fit", "slack", text, value / MM, least, "mm", source)
    elif most is not None and value > most * MM + _ROUNDING:
        text = tr(
            "{told}; at most {shown}: too loose: the chain can jump. Take it up.",
            told=told,
            shown=shown(most * MM, unit),
        )
        yield Finding("does not fit", "slack", text, value / MM, most, "mm", source)
    elif least is not None and most is not None:
        text = tr(
            "{told}; within {shown} to {shown2}.",
            told=told,
            shown=shown(least * MM, unit),
            shown2=shown(most * MM, unit),
        )
        yield Finding("fits", "slack", text, value / MM, most, "mm", source)
    else:
        text = tr("{told}. The manual's range is not entered: compare with it.", told=told)
        yield Finding("check", "slack", text, value / MM, field="service.slack_range_mm")


def _recheck(bike: Bike, job: Job, readings: Mapping[str, Reading]) -> Iterator[Finding]:
    read, length, typed = readings.get("recheck_slack"), readings.get("base_length"), dict(job.readings)
    if read is not None:
        yield from _within_slack(bike, read.value, read.unit, tr("After the first ride the chain moves"))
    for key, name in (("retorque_axle", "axle"), ("retorque_nuts", tr("rear nuts"))):
        if typed.get(key) == "no":
            yield Finding(
                "check",
                name,
                tr("The {name} {part} not torqued again.", name=name, part="was" if key == "retorque_axle" else "were"),
            )
    size = library.chain_sizes().get(job.chain or "")
    if length is not None and size is not None:
        worn = wear.elongation(length.value, BASE_LINKS, size.pitch_mm * MM)
        if text := unlikely(worn):
            yield Finding(
                "does not fit", tr("new chain"), text[0].upper() + text[1:], 100 * worn, source=tr("nominal pitch")
            )
        else:
            yield judged(worn, wear_limit(bike), tr("The new chain"))


def _chain_line(job: Job, readings: Mapping[str, Reading]) -> Iterator[Finding]:
    side, typed = dict(job.readings).get("line_side", ""), dict(job.readings)
    offset, clear = readings.get("line_offset"), readings.get("line_clear")
    off = offset is not None and offset.value > _ROUNDING
    if side == "in line" and not off:
        yield Finding("fits", tr("chain line"), tr("Front and rear sprocket are in line."))
    elif side == "in line" and offset is not None:
        text = tr(
            "“In line” and {shown} out of line don't go together: which one is right?",
            shown=shown(offset.value, offset.unit),
        )
        yield Finding("does not fit", tr("chain line"), text)
    elif side in ("left", "right") and not typed.get("line_offset", "").strip():
        yield Finding(
            "does not fit", tr("chain line"), tr("Write down by how much it stands to the {side}.", side=side)
        )
    elif side in ("left", "right") and offset is not None:
        text = tr(
            "The front sprocket stands {shown} to the {side}: find out why, and compare with what the makers allow.",
            shown=shown(offset.value, offset.unit),
            side=side,
        )
        yield Finding("check", tr("chain line"), text, offset.value / MM, None, "mm")
    if clear is not None and clear.value <= _ROUNDING:
        text = tr("The chain touches tyre or guard: it must clear both.")
        yield Finding("does not fit", "clearance", text, 0.0, 0.0, "mm")
    elif clear is not None:
        text = tr("The chain clears tyre and guard by {shown}.", shown=shown(clear.value, clear.unit))
        yield Finding("fits", "clearance", text, clear.value / MM, None, "mm")


def _alignment(bike: Bike, readings: Mapping[str, Reading]) -> Iterator[Finding]:
    left, right = readings.get("align_left"), readings.get("align_right")
    if left is None or right is None:
        return
    limit, source = _allowed(bike, "alignment_mm")
    by, unit = abs(left.value - right.value), left.unit
    figures = (by / MM, limit / MM, "mm", source)
    if by <= limit + _ROUNDING:
        text = tr(
            "Left and right differ by {shown}; {shown2} is allowed.", shown=shown(by, unit), shown2=shown(limit, unit)
        )
        yield Finding("fits", "alignment", text, *figures)
    else:
        back = "left" if left.value > right.value else "right"
        text = tr(
            "Left and right differ by {shown}, {shown2} is allowed: the {back} side reads more. Turn its "
            "adjuster and measure both again.",
            shown=shown(by, unit),
            shown2=shown(limit, unit),
            back=back,
        )
        yield Finding("does not fit", "alignment", text, *figures)


def _torque(wanted: float | None, setting: Reading, field: str, name: str) -> Finding:
    told = tr("Torqued to {shown}, {name}", shown=shown(setting.value, setting.unit), name=name)
    if wanted is None:
        text = tr("{told}; no torque is entered: compare with the manual.", told=told)
        return Finding("check", name, text, setting.value, None, "N·m", field=f"service.{field}")
    target = tr("{shown} is asked for", shown=shown(wanted, setting.unit))
    allowed = next(share for above, share in _WRENCH if wanted >= above)
    if abs(setting.value - wanted) <= allowed * wanted + _ROUNDING:
        return Finding("fits", name, f"{told}; {target}.", setting.value, wanted, "N·m", _WRENCH_SOURCE)
    if setting.value > wanted:
        do = tr("too tight. Slacken it, inspect stud and thread, fit a new nut, then torque again")
    else:
        do = tr("too loose. Torque it again")
    text = f"{told}; {target}: {do}."
    return Finding("does not fit", name, text, setting.value, wanted, "N·m", _WRENCH_SOURCE)
