"""A job finished: what must be there first, and the bike with the new set fitted.

What was entered for the old set moves with the set: the instrument's factors with the ratio, wheelbase and centre of
mass with the axle. The job keeps the profile it was done by.
"""

from __future__ import annotations

import math
from dataclasses import replace

from gearplan.bike.checks import check_value
from gearplan.bike.profile import Bike, Chassis, NewChain, Speedometer
from gearplan.bike.text.numbertext import NumberTextError
from gearplan.bike.text.units import DEGREE, MM
from gearplan.bike.work.job import Job
from gearplan.bike.work.proposal import after_fitting
from gearplan.drive import speedometer
from gearplan.language import tr
from gearplan.plan.chain.kept import kept_axle
from gearplan.plan.chain.reach import reach, whole_pair
from gearplan.plan.findings import Finding
from gearplan.plan.job.axle import axle_doubt
from gearplan.plan.job.card import still_to_check
from gearplan.plan.job.job import NotYet, contradictions, not_safe_to_ride, still_to_sign, with_job
from gearplan.plan.job.kept import bike_of, kept_kind, kept_values
from gearplan.plan.job.odometer import odometer_findings
from gearplan.plan.job.steps.readings import parse_reading
from gearplan.plan.job.steps.scope import new_set, old_set
from gearplan.plan.job.steps.targets import BASE_LINKS
from gearplan.plan.set.evaluate import evaluate
from gearplan.setup.assumed import known


def hinders_finish(bike: Bike, job: Job) -> str:
    """Why the job cannot be finished yet, in words; empty if it can."""
    if open_steps := still_to_sign(bike, job):
        names = ", ".join(step.title for step in open_steps[:3])
        if len(open_steps) > 3:
            return tr("Not signed off yet: {names} and {more} more.", names=names, more=len(open_steps) - 3)
        return tr("Not signed off yet: {names}.", names=names)
    if unchecked := still_to_check(bike, job):
        names = ", ".join(step.title for step in unchecked)
        return tr("Not checked by a second person yet: {names}.", names=names)
    if found := contradictions(job):
        return found[0].text
    if job.date is None:
        return tr("Enter the date.")
    if job.odometer_km is None:
        return tr("Enter the odometer.")
    return ""


def asked_before_finishing(bike: Bike, job: Job) -> tuple[str, ...]:
    """What is to be asked before a job is finished, though it can be: reasons in place of safety, odd readings."""
    told = [*not_safe_to_ride(bike, job), *(f.text for f in odometer_findings(bike, job))]
    if (doubt := axle_doubt(bike, job)) is not None:
        taken = tr("Finishing takes the axle, the wheelbase and the centre of mass from this reading.")
        told.append(f"{doubt.text} {taken}")
    return tuple(told)


def finish(bike: Bike, job: Job) -> Bike:
    """The bike with the job done and its set fitted; NotYet while something is missing.

    A new chain begins its own wear: the readings of the old one go with the job. Where the axle now stands is known
    only if it was measured.
    """
    if hindrance := hinders_finish(bike, job):
        raise NotYet(hindrance)
    ended = replace(job, state="fitted", profile=kept_values(bike), kind=kept_kind(bike))
    if not still_to_sign(bike, ended, later=True):
        ended = replace(ended, state="done")
    on = replace(bike.final_drive, chain=job.chain, front=job.front, rear=job.rear, links=job.links)
    made = replace(bike, chassis=_chassis(bike, job), speedometer=_instrument(bike, job))
    made = replace(made, wear=replace(made.wear, odometer_km=job.odometer_km))
    if job.new_chain == "yes":
        ended = replace(ended, old_wear=bike.wear.readings)
        made = replace(made, wear=replace(made.wear, readings=None))
        # What was entered of the chain was the old one's; what was entered of the new one is now the fitted one's.
        new = bike.new_chain
        if new.size == job.chain:
            made = replace(made, new_chain=NewChain())
        else:
            new = NewChain()
        on = replace(
            on, chain_tensile_kn=new.tensile_kn, chain_mass_kg_per_m=new.mass_kg_per_m, elongation_percent=None
        )
        if job.links is not None and job.links % 2 == 0:
            on = replace(on, offset_link=None)
    kept = after_fitting(bike.proposals, (job.chain, job.front, job.rear, job.links))
    return with_job(replace(made, final_drive=on, proposals=kept), job, ended)


def after_ride(bike: Bike, job: Job) -> Job:
    """A fitted job whose last step is signed is done, and keeps for good what that step aimed at."""
    if job.state != "fitted" or still_to_sign(bike, job, later=True):
        return job
    return replace(job, state="done", profile=kept_values(bike_of(bike, job)) if job.profile else ())


def signed_off(bike: Bike, job: Job, signed: Job) -> Bike:
    """The bike with a job's step signed; what the check after the first ride measured begins the chain's wear log."""
    ended = after_ride(bike, signed)
    made = with_job(bike, job, ended)
    length = read_length(ended, "base_length")
    if ended.state != "done" or job.state == "done" or length is None or job.odometer_km is None or bike.wear.readings:
        return made
    first = ((job.odometer_km, round(length / MM, 2)),)
    return replace(made, wear=replace(bike.wear, gauge_links=BASE_LINKS, readings=first))


def axle_measured(job: Job) -> float | None:
    """Pivot to axle as read at the bench (mm); None where it was not, or cannot be."""
    value = read_length(job, "axle_now")
    return None if value is None else _kept("chassis", "axle_now_mm", value / MM, 2)


def read_length(job: Job, blank: str) -> float | None:
    """A length that was written down (m); None where it was not, or is none."""
    text = dict(job.readings).get(blank, "")
    try:
        return parse_reading("length", text).value if text else None
    except NumberTextError:
        return None


def _chassis(bike: Bike, job: Job) -> Chassis:
    """The chassis with the axle where it stands now, and with what is measured from it moved as far."""
    old, now = bike.chassis, axle_measured(job)
    changes = new_set(job) != old_set(job)
    if now is None and not changes:
        return old
    by = now - old.axle_now_mm if now is not None and old.axle_now_mm is not None else None
    if by is None and changes:
        by = _computed(bike, job)
    if by is not None:
        base, ahead, left = old.wheelbase_mm, old.com_ahead_of_rear_axle_mm, whole_pair(old.adjuster_left_mm)
        level = by * math.cos((old.swingarm_angle_deg or 0.0) * DEGREE)
        old = replace(
            old,
            wheelbase_mm=None if base is None else _kept("chassis", "wheelbase_mm", base + level, 1),
            com_ahead_of_rear_axle_mm=(
                None if ahead is None else _kept("chassis", "com_ahead_of_rear_axle_mm", ahead + level, 1)
            ),
            adjuster_left_mm=None if left is None else _left(left[0] + by, left[1] - by),
        )
    # A tape held to the old set says nothing of the new one.
    return replace(old, axle_now_mm=now, centre_distance_mm=None)


def _computed(bike: Bike, job: Job) -> float | None:
    """How far (mm) the job's set moves the axle, rearward positive: on its new chain, or on the one that it keeps."""
    arm, moves = reach(bike), evaluate(bike, new_set(job)).run.moves
    if moves is None or isinstance(arm, Finding):
        return None if moves is None else moves / MM
    axle = arm.now + moves
    return ((float(kept_axle(bike, arm, axle)) if job.new_chain == "no" else axle) - arm.now) / MM


def _left(forward: float, back: float) -> tuple[float, float] | None:
    left = (round(max(forward, 0.0), 1), round(max(back, 0.0), 1))
    return None if check_value("chassis", "adjuster_left_mm", left) else left


def _instrument(bike: Bike, job: Job) -> Speedometer:
    """Both factors as they are with the new set; where that is not known the old set's do not stand."""
    s, old, new = bike.speedometer, old_set(job), new_set(job)
    if (old.front, old.rear) == (new.front, new.rear):
        return s
    if s.sensor is None or old.front is None or old.rear is None or new.front is None or new.rear is None:
        return replace(s, indicated_over_true=None, distance_over_true=None)
    # A job leaves the tyre as it is.
    by = float(speedometer.indicated_over_true(1.0, s.sensor, old.rear / old.front, new.rear / new.front, 1.0, 1.0))
    if by == 1.0:
        return s
    counted = known(bike, "speedometer", "distance_over_true").value
    shown = None if s.indicated_over_true is None else s.indicated_over_true * by
    return replace(
        s,
        indicated_over_true=None if shown is None else _kept("speedometer", "indicated_over_true", shown, 4),
        distance_over_true=_kept("speedometer", "distance_over_true", counted * by, 4),
    )


def _kept(section: str, key: str, value: float, digits: int) -> float | None:
    """A value rounded for its field; None where the field does not hold such a value."""
    rounded = round(value, digits)
    return None if check_value(section, key, rounded) else rounded
