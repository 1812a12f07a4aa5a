"""The course of a fitting job: begun, written down, signed off step by step. Pure functions on values.

A step is signed off only with its readings, or with a stated reason. What was typed stays in the job even where an
answer makes its step disappear.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

from gearplan.bike.profile import Bike
from gearplan.bike.values import check_text
from gearplan.bike.work.job import Job, JobPart, Texts
from gearplan.language import tr
from gearplan.plan.chain.kept import KEPT
from gearplan.plan.chain.wear import worn_out
from gearplan.plan.driveset import DriveSet, fitted, keeps_chain
from gearplan.plan.findings import Finding
from gearplan.plan.job.steps.order import steps
from gearplan.plan.job.steps.targets import Step
from gearplan.plan.job.verdicts import step_state
from gearplan.plan.set.evaluate import evaluate

#: The key of the step that all others lead to.
RIDE = "ride"
_REUSED = {
    "front": tr("The front sprocket changes, but it is marked as reused."),
    "rear": tr("The rear sprocket changes, but it is marked as reused."),
}


class NotYet(ValueError):
    """What was asked for cannot be done yet; the message says what is needed first."""


def begin(bike: Bike, chosen: DriveSet, day: date, technician: str = "") -> Job:
    """A new job that fits the chosen set; what is replaced follows from the change, as far as it can."""
    on = fitted(bike)
    size = chosen.chain != on.chain
    too_long = any(found.about == KEPT for found in evaluate(bike, chosen).findings)
    new_chain = not keeps_chain(bike, chosen) or worn_out(bike) or too_long
    joint = bike.service.chain_joint
    new_rear = size or chosen.rear != on.rear
    opening = "split at its link" if joint == "clip link" else "cut"
    return Job(
        date=day.isoformat(),
        state="open",
        technician=technician or None,
        old_chain=on.chain,
        old_front=on.front,
        old_rear=on.rear,
        old_links=on.links,
        chain=chosen.chain,
        front=chosen.front,
        rear=chosen.rear,
        links=chosen.links,
        new_front=_yes(size or chosen.front != on.front),
        new_rear=_yes(new_rear),
        new_chain=_yes(new_chain),
        opened=opening if new_chain else "left closed",
        closed=joint or "rivet link",
        wheel_out=_yes(new_rear),
        track_only="no",
    )


def contradictions(job: Job) -> tuple[Finding, ...]:
    """Answers that do not go together."""
    found = []
    for part in ("front", "rear"):
        changes = getattr(job, part) != getattr(job, f"old_{part}") or job.chain != job.old_chain
        if changes and getattr(job, f"new_{part}") != "yes":
            found.append(Finding("check", f"{part} sprocket", _REUSED[part], field=f"new_{part}"))
    if job.new_chain != "yes":
        if job.chain != job.old_chain:
            found.append(Finding("check", "chain", tr("Another chain size needs a new chain."), field="new_chain"))
        elif None not in (job.links, job.old_links) and job.links > job.old_links:  # type: ignore[operator]
            text = tr(
                "{old} links cannot become {links}: a longer chain is a new one.",
                old=job.old_links,
                links=job.links,
            )
            found.append(Finding("check", "chain", text, field="new_chain"))
        elif job.links != job.old_links and job.opened == "left closed":
            text = tr("A chain that is shortened must be opened.")
            found.append(Finding("check", "chain", text, field="opened"))
    if job.track_only == "yes" and job.consent != "yes":
        text = tr("Parts for the track only: the customer's consent is still to be recorded.")
        found.append(Finding("check", "consent", text, field="consent"))
    return tuple(found)


def answered(job: Job, key: str, value: Any) -> Job:
    """The job with one of its own fields changed."""
    return replace(job, **{key: value})


def retarget(bike: Bike, job: Job, chosen: DriveSet) -> Job:
    """The same job for another set; what was written down and who signed stay, what is replaced follows the set."""
    begun = begin(bike, chosen, date.fromisoformat(job.date) if job.date else date.today(), job.technician or "")
    kept = ("odometer_km", "track_only", "consent", "note", "card", "parts")
    written = ("readings", "signed", "reasons", "minutes", "checked", "photos")
    return replace(begun, date=job.date, **{key: getattr(job, key) for key in (*kept, *written)})


def with_reading(job: Job, blank: str, text: str) -> Job:
    """The job with a reading as it was typed; an empty text takes it away. ValueError for more than one line."""
    return with_text(job, "readings", blank, text)


def with_reason(job: Job, step: str, text: str) -> Job:
    """The job with a reason for signing a step; empty for none. ValueError for more than one line."""
    return with_text(job, "reasons", step, text)


def with_text(job: Job, table: str, key: str, text: str) -> Job:
    """The job with one of its texts changed; empty takes it away. ValueError for more than one line."""
    changed: dict[str, Any] = {table: _with(getattr(job, table), key, text)}
    return replace(job, **changed)


def with_card(job: Job, key: str, value: Any) -> Job:
    """The job with one entry of its card changed."""
    return replace(job, card=replace(job.card, **{key: value}))


def with_part(job: Job, part: str, **entered: Any) -> Job:
    """The job with what the shop entered for one part of the list (quantity, number, price)."""
    known = {one.part: one for one in job.parts}
    known[part] = replace(known.get(part, JobPart(part)), **entered)
    kept = [one for one in known.values() if (one.quantity, one.number, one.price) != (None, None, None)]
    return replace(job, parts=tuple(kept))


def sign(bike: Bike, job: Job, step: Step, initials: str) -> Job:
    """The job with a step signed off; NotYet without initials, or without both its readings and a reason."""
    who = initials.strip()
    if not who:
        raise NotYet(tr("Enter the technician's initials first."))
    if text := check_text(who):
        raise NotYet(tr("The initials {fault}.", fault=text))
    if hindrance := _hindrance(bike, job, step):
        raise NotYet(" ".join((hindrance, tr("Without that, state a reason."))))
    return replace(job, signed=_with(job.signed, step.key, who))


def unsign(job: Job, step: str) -> Job:
    """The job with a sign-off taken back."""
    return with_text(with_text(job, "signed", step, ""), "checked", step, "")


def is_signed(bike: Bike, job: Job, step: Step) -> bool:
    """Whether a step is signed off and its readings, which may have been changed since, still allow it."""
    return step.key in dict(job.signed) and not _hindrance(bike, job, step)


def still_to_sign(bike: Bike, job: Job, *, later: bool = False) -> tuple[Step, ...]:
    """The steps that are not signed off; `later` includes what is done after the first ride.

    A job that is fitted has had all the others signed, whatever steps have come since.
    """
    listed = [s for s in steps(bike, job) if s.later or job.state not in ("fitted", "done")]
    return tuple(s for s in listed if (later or not s.later) and not is_signed(bike, job, s))


def signed_with_reason(job: Job) -> tuple[tuple[Step, str], ...]:
    """The steps that were signed with a reason in place of their readings or against their limits, and the reasons."""
    signed, reasons = dict(job.signed), dict(job.reasons)
    # Titles and keys of the steps rest on the job alone.
    listed = [(step, reasons.get(step.key, "").strip()) for step in steps(Bike(), job)]
    return tuple((step, reason) for step, reason in listed if reason and step.key in signed)


def not_safe_to_ride(bike: Bike, job: Job) -> tuple[str, ...]:
    """What the test ride relies on and is not signed, or signed with a reason only, each in words."""
    reasoned = {step.key: reason for step, reason in signed_with_reason(job)}
    told = []
    for step in steps(bike, job):
        if step.relied_on and not is_signed(bike, job, step):
            told.append(tr("{title}: not signed off", title=step.title))
        elif step.key in reasoned and ((wrong := _wrong(bike, job, step)) or step.relied_on):
            reason = tr("{title}: signed with a reason, “{reason}”", title=step.title, reason=reasoned[step.key])
            told.append(reason + wrong)
    return tuple(told)


def _wrong(bike: Bike, job: Job, step: Step) -> str:
    """What a step's readings show to be wrong, in words; empty where they show nothing."""
    wrong = [f.text for f in step_state(bike, job, step).findings if f.level == "does not fit"]
    return f". {' '.join(wrong)}" if wrong else ""


def asked_before_riding(bike: Bike, job: Job) -> tuple[str, ...]:
    """What is to be asked before the test ride is signed: all it relies on, and what else is still open."""
    told = list(not_safe_to_ride(bike, job))
    others = [s.title for s in still_to_sign(bike, job) if not s.relied_on and s.key != RIDE]
    if others:
        told.append(tr("Also not signed off: {steps}", steps="; ".join(others)))
    return tuple(told)


def _hindrance(bike: Bike, job: Job, step: Step) -> str:
    return "" if dict(job.reasons).get(step.key, "").strip() else step_state(bike, job, step).hindrance


def with_job(bike: Bike, job: Job, changed: Job | None) -> Bike:
    """The bike with a job changed, added where it is not among them yet, or taken out for None."""
    jobs = list(bike.jobs)
    if job not in jobs:
        return bike if changed is None else replace(bike, jobs=(*jobs, changed))
    at = len(jobs) - 1 - jobs[::-1].index(job)
    jobs[at : at + 1] = [] if changed is None else [changed]
    return replace(bike, jobs=tuple(jobs))


def current(bike: Bike) -> Job | None:
    """The job at hand: one that is open, else the last one while its first ride is to come; None if there is none.

    What an earlier job still had to check after its ride is gone with the parts that the last one took off.
    """
    last = bike.jobs[-1] if bike.jobs and bike.jobs[-1].state == "fitted" else None
    return next((job for job in reversed(bike.jobs) if job.state == "open"), last)


def at_hand(bike: Bike, chosen: DriveSet, day: date, technician: str = "") -> tuple[Job, bool]:
    """(the job that a workshop has before it, whether it has begun).

    An open job stays; one that only waits for the look after the first ride gives way to the next proposed set.
    """
    job = current(bike)
    if job is not None and (job.state == "open" or chosen == fitted(bike)):
        return job, True
    return begin(bike, chosen, day, technician), False


def _with(texts: Texts, key: str, text: str) -> Texts:
    if fault := check_text(text):
        raise ValueError(fault)
    found = dict(texts)
    if text.strip():
        found[key] = text
    else:
        found.pop(key, None)
    return tuple(found.items())


def _yes(is_so: bool) -> str:
    return "yes" if is_so else "no"
