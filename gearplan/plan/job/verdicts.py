"""What the readings of a step say: judged against the service data as they are written down.

The closing link has its judgements in `linkverdicts`, how the chain runs in `runverdicts`.
Where no maker's figure is entered the trade's own is used and marked "common practice, no source"; torques and
ranges of the makers are never replaced by anything. Tolerances in SI (m); all comparisons in SI.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from gearplan.bike import library
from gearplan.bike.profile import Bike
from gearplan.bike.text.numbertext import NumberTextError
from gearplan.bike.text.units import MM
from gearplan.bike.text.written import listed
from gearplan.bike.work.job import Job
from gearplan.drive.chain import wear
from gearplan.language import tr
from gearplan.plan.chain.wear import judged, unlikely, wear_limit
from gearplan.plan.findings import Finding
from gearplan.plan.job.axle import axle_doubt, axle_finding, worn_by
from gearplan.plan.job.kept import bike_of
from gearplan.plan.job.linkverdicts import count_findings, press_findings, rivet_findings
from gearplan.plan.job.odometer import odometer_findings
from gearplan.plan.job.runverdicts import alignment_findings, line_findings, slack_findings, within_slack
from gearplan.plan.job.steps.readings import ROUNDING, Blank, Question, Reading, parse_reading, question, shown
from gearplan.plan.job.steps.targets import BASE_LINKS, Step

_OLD_CHAIN = "old chain"
#: How far a wrench's setting may be from the target: what the wrench itself may be off (ISO 6789, from memory).
_WRENCH = ((10.0, 0.04), (0.0, 0.06))
_WRENCH_SOURCE = tr("what a torque wrench itself may be off, 4 % and below 10 N·m 6 %; ISO 6789")


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
            return tr("Still needed: {blanks}.", blanks=", ".join(self.lacking))
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
                words = listed(blank.choices, tr("or"))
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
        yield from count_findings(job, readings)
    elif step.key == "press":
        yield from press_findings(bike, readings)
    elif step.key == "rivet":
        yield from rivet_findings(bike, readings)
    elif step.key == "slack":
        yield from slack_findings(bike, readings, "slack")
    elif step.key == "slack_again":
        yield from slack_findings(bike, readings, "again")
    elif step.key == "recheck":
        yield from _recheck(bike, job, readings)
    elif step.key == "align":
        yield from alignment_findings(bike, readings)
        if "axle_now" in readings:
            yield from axle_finding(bike, job)
    elif step.key == "chain_line":
        yield from line_findings(job, readings)
    for key, (field, about, name) in _SETTINGS.items():
        if key in readings and any(blank.key == key for blank in step.blanks):
            yield _torque(getattr(bike.service, field), readings[key], field, about, name)


#: By the blank of a setting: the field of the service data, what the finding is about, and that in words.
_SETTINGS = {
    "rear_setting": ("rear_nuts_nm", "rear nuts", tr("rear nuts")),
    "front_setting": ("front_nut_nm", "front nut", tr("front nut")),
    "pivot_setting": ("pivot_nm", "swingarm pivot", tr("swingarm pivot")),
    "axle_setting": ("axle_nm", "axle", tr("axle")),
    "locknut_setting": ("adjuster_locknut_nm", "adjuster's lock nuts", tr("adjuster's lock nuts")),
    "brake_setting": ("brake_nm", "caliper or torque arm", tr("caliper or torque arm")),
}


def _elongation(bike: Bike, job: Job, readings: Mapping[str, Reading]) -> Iterator[Finding]:
    if "gauge_links" not in readings or "gauge_length" not in readings:
        return
    worn = worn_by(job.old_chain, readings)
    if worn is None:
        text = tr("The old chain's size is not known, so its wear cannot be told.")
        yield Finding("check", _OLD_CHAIN, text, field="final_drive.chain")
        return
    if text := unlikely(worn):
        yield Finding("does not fit", _OLD_CHAIN, text, 100 * worn, source=tr("nominal pitch"))
        return
    yield judged(worn, wear_limit(bike), tr("The old chain"), renewed=job.new_chain == "yes")


def _recheck(bike: Bike, job: Job, readings: Mapping[str, Reading]) -> Iterator[Finding]:
    read, length, typed = readings.get("recheck_slack"), readings.get("base_length"), dict(job.readings)
    if read is not None:
        told = tr("After the first ride the chain moves {slack}", slack=shown(read.value, read.unit))
        yield within_slack(bike, read.value, read.unit, told)
    if typed.get("retorque_axle") == "no":
        yield Finding("check", "axle", tr("The axle was not torqued again."))
    if typed.get("retorque_nuts") == "no":
        yield Finding("check", "rear nuts", tr("The rear nuts were not torqued again."))
    size = library.chain_sizes().get(job.chain or "")
    if length is not None and size is not None:
        worn = wear.elongation(length.value, BASE_LINKS, size.pitch_mm * MM)
        if text := unlikely(worn):
            yield Finding("does not fit", "new chain", text, 100 * worn, source=tr("nominal pitch"))
        else:
            yield judged(worn, wear_limit(bike), tr("The new chain"))


def _torque(wanted: float | None, setting: Reading, field: str, about: str, name: str) -> Finding:
    given = {"setting": shown(setting.value, setting.unit), "name": name}
    if wanted is None:
        text = tr("Torqued to {setting}, {name}; no torque is entered: compare with the manual.", **given)
        return Finding("check", about, text, setting.value, None, "N·m", field=f"service.{field}")
    given["wanted"] = shown(wanted, setting.unit)
    allowed = next(share for above, share in _WRENCH if wanted >= above)
    figures = (setting.value, wanted, "N·m", _WRENCH_SOURCE)
    if abs(setting.value - wanted) <= allowed * wanted + ROUNDING:
        return Finding("fits", about, tr("Torqued to {setting}, {name}; {wanted} is asked for.", **given), *figures)
    if setting.value > wanted:
        text = tr(
            "Torqued to {setting}, {name}; {wanted} is asked for: too tight. Slacken it, inspect stud and thread, "
            "fit a new nut, then torque again.",
            **given,
        )
    else:
        text = tr("Torqued to {setting}, {name}; {wanted} is asked for: too loose. Torque it again.", **given)
    return Finding("does not fit", about, text, *figures)
