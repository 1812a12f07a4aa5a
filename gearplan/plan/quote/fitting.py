"""From a proposal to the job that fits it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from gearplan.bike.profile import Bike
from gearplan.bike.work.job import Job
from gearplan.bike.work.proposal import Proposal, changed
from gearplan.language import tr
from gearplan.plan.job.job import NotYet, begin, current, with_job
from gearplan.plan.job.words import job_title
from gearplan.plan.quote.proposals import set_of


def job_of(bike: Bike, proposal: Proposal, day: date, technician: str = "") -> Job:
    """The job that fits a proposal, not begun yet, with the parts as they were quoted."""
    job = begin(bike, set_of(proposal), day, technician)
    said = {key: word for key in ("new_front", "new_rear", "new_chain") if (word := getattr(proposal, key))}
    job = replace(job, parts=proposal.parts, **said)
    if job.new_chain == "yes" and job.opened == "left closed":
        job = replace(job, opened="split at its link" if job.closed == "clip link" else "cut")
    return replace(job, wheel_out="yes") if job.new_rear == "yes" else job


def agreed(bike: Bike, place: int, day: date, technician: str = "") -> Bike:
    """The bike with a proposal agreed to and its job begun; NotYet while another job is open."""
    waiting = current(bike)
    if waiting is not None and waiting.state == "open":
        raise NotYet(tr("A job is open: {job_title}. Finish or abandon it first.", job_title=job_title(waiting)))
    kept = changed(bike.proposals, place, state="agreed")
    job = job_of(bike, bike.proposals[place], day, technician)
    return with_job(replace(bike, proposals=kept), job, job)
