"""The odometer over a bike's life: what is known, and a value that falls."""

from __future__ import annotations

from dataclasses import dataclass

from gearplan.bike.profile import Bike
from gearplan.bike.text.numbertext import both_distances
from gearplan.bike.work.job import Job
from gearplan.language import tr
from gearplan.plan.findings import Finding

#: Readings no farther apart than this may be of one day: common practice, no source.
_DAYS_RIDE_KM = 100


def odometer_findings(bike: Bike, job: Job) -> tuple[Finding, ...]:
    """A job's odometer below one that was read before; empty where it rises or is not entered."""
    if job.odometer_km is None:
        return ()
    earlier = bike.jobs[: bike.jobs.index(job)] if job in bike.jobs else bike.jobs
    known = _at_jobs(earlier)
    if job.state == "open":
        # What was read before the job; a finished job's bike may have been ridden and read since.
        known += _in_log(bike)
    return _falls(job.odometer_km, known)


def today_findings(bike: Bike, now_km: float) -> tuple[Finding, ...]:
    """The odometer today below one that was read before."""
    return _falls(now_km, [*_at_jobs(bike.jobs), *_in_log(bike)])


def logged(bike: Bike, job: Job) -> tuple[tuple[str, str], ...]:
    """The newest reading of the wear log as the texts of (blank, text) of a job, if it may be of the same day.

    That is while neither blank is filled and the odometers, as far as entered, are a day's ride apart at most.
    """
    km, mm = max(bike.wear.readings or (), default=(0.0, 0.0))
    links, typed = bike.wear.gauge_links, dict(job.readings)
    far = job.odometer_km is not None and abs(km - job.odometer_km) > _DAYS_RIDE_KM
    if not mm or links is None or far or job.state != "open" or typed.get("gauge_links") or typed.get("gauge_length"):
        return ()
    return (("gauge_links", str(links)), ("gauge_length", f"{round(mm, 2):g} mm"))


def log_findings(bike: Bike) -> tuple[Finding, ...]:
    """A reading of the wear log below the odometer at which this chain was fitted; the log begins with a new chain."""
    fitted = next((job for job in reversed(bike.jobs) if job.new_chain == "yes" and job.state != "open"), None)
    lowest = min((km for km, _ in bike.wear.readings or ()), default=None)
    if lowest is None or fitted is None or fitted.odometer_km is None:
        return ()
    return _falls(lowest, _at_jobs((fitted,)))


@dataclass(frozen=True, slots=True, order=True)
class _Read:
    """An odometer (km) that was read before: in the wear log, or at a job of a day."""

    km: float
    in_log: bool
    date: str = ""


def _at_jobs(known: tuple[Job, ...]) -> list[_Read]:
    return [_Read(job.odometer_km, False, job.date or "–") for job in known if job.odometer_km is not None]


def _in_log(bike: Bike) -> list[_Read]:
    return [_Read(km, True) for km, _ in bike.wear.readings or ()]


def _falls(now: float, known: list[_Read]) -> tuple[Finding, ...]:
    before = max(known, default=_Read(now, False))
    if now >= before.km:
        return ()
    given = {"now": both_distances(now), "before": both_distances(before.km)}
    if before.in_log:
        text = tr(
            "The odometer, {now}, is below the {before} in the wear log: read it again, or note that the instrument "
            "was replaced.",
            **given,
        )
    else:
        text = tr(
            "The odometer, {now}, is below the {before} at the job of {date}: read it again, or note that the "
            "instrument was replaced.",
            **given,
            date=before.date,
        )
    return (Finding("check", "odometer", text, now, before.km, "km", tr("what was entered before")),)
