"""The bike as a finished job keeps it: what its sheet rests on stays as it was, whatever becomes of the profile."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from gearplan.bike.profile import KINDS, SECTIONS, Bike, entries
from gearplan.bike.work.job import Job, Kept

#: What the check after the first ride aims at may still be entered between finishing and that ride.
_FOR_LATER = ("slack_range_mm", "slack_range_mm_from", "slack_how")


def kept_values(bike: Bike) -> Kept:
    """All that is entered for a bike, as a job keeps it; the owner, who may change or want to be forgotten, is not."""
    found = []
    for name in SECTIONS:
        if name == "owner":
            continue
        section = getattr(bike, name)
        values = tuple((key, value) for key, _ in entries(name) if (value := getattr(section, key)) is not None)
        if values:
            found.append((name, values))
    return tuple(found)


def kept_kind(bike: Bike) -> str | None:
    """The kind of motorcycle as a job keeps it: what is typical for it stands behind the sheet too."""
    return None if bike.kind == KINDS[0] else bike.kind


def bike_of(bike: Bike, job: Job) -> Bike:
    """The bike that a job rests on: as it was when the job was finished, or today's for one that is not.

    A job that was finished before this was kept rests on today's bike too.
    """
    if not job.profile:
        return bike
    sections: dict[str, Any] = {name: SECTIONS[name](**dict(values)) for name, values in job.profile}
    sections["owner"] = bike.owner
    # Jobs that were finished before there were kinds knew of nothing but sidecars.
    kind = job.kind or (bike.kind if bike.kind == "sidecar" else KINDS[0])
    kept = Bike(name=bike.name, kind=kind, **sections)
    if job.state == "fitted" and kept.service.slack_range_mm is None:
        today = {key: getattr(bike.service, key) for key in _FOR_LATER}
        kept = replace(kept, service=replace(kept.service, **today))
    return kept


def is_recomputed(job: Job) -> bool:
    """Whether a finished job has nothing kept, so that its sheet rests on today's bike."""
    return job.state in ("fitted", "done") and not job.profile
