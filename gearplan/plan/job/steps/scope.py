"""What a job reaches: the sets before and after, which parts come off, and what can be inspected while they are."""

from __future__ import annotations

from gearplan.bike.work.job import Job
from gearplan.language import tr
from gearplan.plan.driveset import DriveSet


def old_set(job: Job) -> DriveSet:
    """What came off."""
    return DriveSet(job.old_front, job.old_rear, job.old_links, job.old_chain)


def new_set(job: Job) -> DriveSet:
    """What goes on; a chain like the old one is new where the job says so."""
    renewed = job.new_chain == "yes" and (job.chain, job.links) == (job.old_chain, job.old_links)
    return DriveSet(job.front, job.rear, job.links, job.chain, new_chain=renewed)


def size_changes(job: Job) -> bool:
    """Whether the chain size is another than before."""
    return None not in (job.chain, job.old_chain) and job.chain != job.old_chain


def chain_comes_off(job: Job) -> bool:
    """Whether the chain is opened or another is put on."""
    return job.new_chain == "yes" or job.opened != "left closed"


def swingarm_out(job: Job) -> bool:
    """Whether a closed chain must pass the swingarm."""
    return job.new_chain == "yes" and (job.closed == "endless" or job.opened == "left closed")


def wheel_out(job: Job) -> bool:
    """Whether the rear wheel leaves the swingarm, also where another answer implies it."""
    return job.wheel_out == "yes" or swingarm_out(job)


_ALWAYS = (
    ("look_sprockets", tr("Old sprockets")),
    ("look_guide", tr("Chain slider")),
    ("look_pivot", tr("Swingarm pivot")),
)
_AT_FRONT = (("look_seal", tr("Output shaft's seal")), ("look_splines", tr("Output shaft's splines")))
_AT_WHEEL = (
    ("look_bearings", tr("Wheel bearings")),
    ("look_carrier", tr("Sprocket carrier's bearing")),
    ("look_cush", tr("Cush rubbers")),
    ("look_studs", tr("Sprocket studs")),
    ("look_pads", tr("Brake pads")),
    ("look_ring", tr("Sensor and its ring")),
    ("look_tyre", tr("Tyre")),
)
#: All that can be inspected in any job, as (blank, part).
INSPECTED = (*_ALWAYS, *_AT_FRONT, *_AT_WHEEL)


def inspected(job: Job) -> tuple[tuple[str, str], ...]:
    """What is inspected while it is apart, as (blank, part)."""
    return (
        *_ALWAYS,
        *(_AT_FRONT if job.new_front == "yes" else ()),
        *(_AT_WHEEL if wheel_out(job) else ()),
    )
