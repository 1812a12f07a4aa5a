"""The odometer over a bike's life: what is known, and a value that falls."""

from __future__ import annotations

from gearplan.bike.job import Job
from gearplan.bike.numbertext import both_distances
from gearplan.bike.profile import Bike
from gearplan.plan.findings import Finding


def odometer_findings(bike: Bike, job: Job) -> tuple[Finding, ...]:
    """A job's odometer below one that was read before; empty where it rises or is not entered."""
    if job.odometer_km is None:
        return ()
    earlier = bike.jobs[: bike.jobs.index(job)] if job in bike.jobs else bike.jobs
    known = _at_jobs(earlier)
    if job.state == "open":
        # What was read before the job; a finished job's bike may have been ridden and read since.
        known += [(km, "in the wear log") for km, _ in bike.wear.readings or ()]
    return _falls(job.odometer_km, known)


def today_findings(bike: Bike, now_km: float) -> tuple[Finding, ...]:
    """The odometer today below one that was read before."""
    return _falls(now_km, [*_at_jobs(bike.jobs), *((km, "in the wear log") for km, _ in bike.wear.readings or ())])


def log_findings(bike: Bike) -> tuple[Finding, ...]:
    """A reading of the wear log below the odometer at which this chain was fitted; the log begins with a new chain."""
    fitted = next((job for job in reversed(bike.jobs) if job.new_chain == "yes" and job.state != "open"), None)
    lowest = min((km for km, _ in bike.wear.readings or ()), default=None)
    if lowest is None or fitted is None or fitted.odometer_km is None:
        return ()
    return _falls(lowest, _at_jobs((fitted,)))


def _at_jobs(known: tuple[Job, ...]) -> list[tuple[float, str]]:
    return [(job.odometer_km, f"at the job of {job.date or '–'}") for job in known if job.odometer_km is not None]


def _falls(now: float, known: list[tuple[float, str]]) -> tuple[Finding, ...]:
    before, where = max(known, default=(now, ""))
    if now >= before:
        return ()
    text = (
        f"The odometer, {both_distances(now)}, is below the {both_distances(before)} {where}: read it again, or note "
        "that the instrument was replaced."
    )
    return (Finding("check", "odometer", text, now, before, "km", "what was entered before"),)
