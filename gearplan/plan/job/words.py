"""A job told in words: in one line for a list, and for a search."""

from __future__ import annotations

from dataclasses import replace

from gearplan.bike.text.numbertext import both_distances
from gearplan.bike.text.written import counted
from gearplan.bike.work.job import Job
from gearplan.language import tr
from gearplan.plan.job.job import signed_with_reason
from gearplan.plan.job.steps.scope import new_set, old_set, size_changes
from gearplan.plan.words import set_name, teeth


def job_title(job: Job) -> str:
    """What the job does: "525 to 520 conversion: 15/46 → 14/47, 112 links"."""
    before, after = old_set(job), replace(new_set(job), new_chain=False)
    links = "" if job.links is None else tr(", {links} links", links=job.links)
    if size_changes(job):
        return tr(
            "{chain} conversion (from {old_chain}): {teeth} → {teeth2}{links}",
            chain=job.chain,
            old_chain=job.old_chain,
            teeth=teeth(before),
            teeth2=teeth(after),
            links=links,
        )
    if teeth(before) != teeth(after):
        return f"{job.chain or tr('Chain')}: {teeth(before)} → {teeth(after)}{links}"
    if before != after:
        return tr(
            "{chain}: {old_links} → {links} links",
            chain=job.chain or "Chain",
            old_links=job.old_links or "–",
            links=job.links or "–",
        )
    new = _new_parts(job)
    return (
        tr("New {join}: {set_name}", join=", ".join(new), set_name=set_name(after))
        if new
        else tr("Parts as they were: {set_name}", set_name=set_name(after))
    )


def job_line(job: Job) -> str:
    """The job in one line: when, at what odometer, what, what was new, by whom, how far it has come."""
    when = job.date or tr("No date")
    at = "" if job.odometer_km is None else f", {both_distances(job.odometer_km)}"
    new = _new_parts(job)
    renewed = tr("; new {join}", join=", ".join(new)) if new else ""
    by = f"; {job.technician}" if job.technician else ""
    state = {"open": tr("; still open"), "fitted": tr("; to be checked after the first ride")}.get(job.state or "", "")
    reasoned = f"; {told}" if (told := reasons_told(job)) else ""
    return f"{when}{at}: {job_title(job)}{renewed}{by}{state}{reasoned}"


def reasons_told(job: Job) -> str:
    """How many steps were signed with a reason, and which; empty for none."""
    titles = [step.title for step, _ in signed_with_reason(job)]
    return (
        tr(
            "{counted} signed with a reason: {join}",
            counted=counted(len(titles), "step", "steps"),
            join="; ".join(titles),
        )
        if titles
        else ""
    )


def _new_parts(job: Job) -> list[str]:
    return [name for name in ("front", "rear", "chain") if getattr(job, f"new_{name}") == "yes"]


def searched_words(name: str, job: Job) -> str:
    """All that a search looks through, in small letters."""
    track = tr("track only") if job.track_only == "yes" else ""
    parts = [part.number or "" for part in job.parts]
    reasons = [text for _, text in job.reasons]
    return " ".join((name, job_line(job), job.closed or "", track, job.note or "", *parts, *reasons)).lower()
