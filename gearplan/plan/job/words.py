"""A job told in words: in one line for a list, and for a search."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from gearplan.bike.text.numbertext import both_distances
from gearplan.bike.work.job import Job
from gearplan.language import tr, trc, trn
from gearplan.plan.job.job import signed_with_reason
from gearplan.plan.job.steps.scope import new_set, old_set, size_changes
from gearplan.plan.words import set_name, teeth

#: What may be new, by the answer that says so.
_PARTS = {
    "new_front": trc("a new part", "front"),
    "new_rear": trc("a new part", "rear"),
    "new_chain": trc("a new part", "chain"),
}
_STATES = {"open": tr("still open"), "fitted": tr("to be checked after the first ride")}


def job_title(job: Job) -> str:
    """What the job does: "525 to 520 conversion: 15/46 → 14/47, 112 links"."""
    before, after = old_set(job), replace(new_set(job), new_chain=False)
    links = [] if job.links is None else [tr("{links} links", links=job.links)]
    if size_changes(job):
        title = tr(
            "{chain} conversion (from {old_chain}): {before} → {after}",
            chain=job.chain,
            old_chain=job.old_chain,
            before=teeth(before),
            after=teeth(after),
        )
        return ", ".join([title, *links])
    if teeth(before) != teeth(after):
        return ", ".join([f"{job.chain or tr('Chain')}: {teeth(before)} → {teeth(after)}", *links])
    if before != after:
        return tr(
            "{chain}: {old_links} → {links} links",
            chain=job.chain or tr("Chain"),
            old_links=job.old_links or "–",
            links=job.links or "–",
        )
    if new := _new_parts(job):
        return tr("New {parts}: {set}", parts=", ".join(new), set=set_name(after))
    return tr("Parts as they were: {set}", set=set_name(after))


def job_line(job: Job) -> str:
    """The job in one line: when, at what odometer, what, what was new, by whom, how far it has come."""
    when = job.date or tr("No date")
    at = "" if job.odometer_km is None else f", {both_distances(job.odometer_km)}"
    told = [f"{when}{at}: {job_title(job)}"]
    if new := _new_parts(job):
        told.append(tr("new {parts}", parts=", ".join(new)))
    if job.technician:
        told.append(job.technician)
    if state := _STATES.get(job.state or ""):
        told.append(state)
    if reasoned := reasons_told(job):
        told.append(reasoned)
    return "; ".join(told)


def reasons_told(job: Job) -> str:
    """How many steps were signed with a reason, and which; empty for none."""
    titles = [step.title for step, _ in signed_with_reason(job)]
    if not titles:
        return ""
    return trn(
        "{n} step signed with a reason: {steps}",
        "{n} steps signed with a reason: {steps}",
        len(titles),
        steps="; ".join(titles),
    )


def _new_parts(job: Job) -> list[str]:
    return [name for key, name in _PARTS.items() if getattr(job, key) == "yes"]


def searched_words(name: str, job: Job) -> str:
    """All that a search looks through, in small letters: as it is told, and in English."""
    track = tr("track only") if job.track_only == "yes" else ""
    parts = [part.number or "" for part in job.parts]
    reasons = [text for _, text in job.reasons]
    closed = tr(job.closed) if job.closed else ""
    told = (name, job_line(job), closed, track, job.note or "", *parts, *reasons, *_in_english(job))
    return " ".join(told).lower()


def _in_english(job: Job) -> Iterator[str]:
    """What is asked for in English, whatever is spoken."""
    if size_changes(job):
        yield f"{job.chain} conversion from {job.old_chain}"
    if job.links is not None:
        yield f"{job.links} links"
    if job.new_front == "yes" or job.new_rear == "yes" or job.new_chain == "yes":
        yield "new"
    yield from (key.removeprefix("new_") for key in _PARTS if getattr(job, key) == "yes")
    yield {"open": "still open", "fitted": "to be checked after the first ride"}.get(job.state or "", "")
    yield job.closed or ""
    yield "track only" if job.track_only == "yes" else ""
