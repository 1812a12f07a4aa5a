"""A bike with invented service data, and a job on it that is filled in and signed."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from gearplan.bike.demo import demo_bike
from gearplan.bike.profile import Bike, Service
from gearplan.bike.work.job import Job
from gearplan.plan.driveset import DriveSet
from gearplan.plan.job.finishing import after_ride
from gearplan.plan.job.job import begin, sign, with_job, with_reading
from gearplan.plan.job.steps.order import steps
from gearplan.plan.job.steps.scope import new_set
from gearplan.plan.set.evaluate import evaluate

DAY = date(2026, 5, 31)
CONVERTED = DriveSet(16, 47, 112, "525")

SERVICE = Service(
    front_nut_nm=96, front_nut_nm_from="manual, page 6-12", front_nut_single_use="yes",
    front_nut_locked_by="tab washer", rear_nuts_nm=41, rear_nuts=6, rear_nuts_self_locking="yes", axle_nm=93,
    axle_nm_from="manual, page 6-3", adjuster_locknut_nm=17, brake_nm=26, pivot_nm=104, slack_range_mm=(26, 36),
    slack_range_mm_from="manual, page 3-20", slack_how="on the side stand, unloaded", alignment_mm=1.5,
    chain_joint="rivet link", chain_sealed="yes", press_width_mm=17.5, press_tolerance_mm=0.12,
    rivet_flare_mm=(5.5, 5.8), rivet_flare_mm_from="leaflet with the link", chain_due_km=9000,
)  # fmt: skip

#: Readings that are all in order on that bike.
GOOD = {
    "gauge_links": "20", "gauge_length": "320.1 mm", "lever": "level with the peg", "links": "112",
    "press_width": "17.50 mm", "press_beside_1": "17.56 mm", "press_beside_2": "0.690 in",
    "flare_1_before": "5.1", "flare_1_after": "5.65", "flare_2_before": "5.1", "flare_2_after": "5,7 mm",
    "slack_1": "31", "slack_2": "32", "slack_3": "33", "slack_4": "32", "again_1": "30", "again_2": "31",
    "again_3": "33", "again_4": "32", "align_left": "577.5", "align_right": "577", "axle_now": "571.2",
    "rear_setting": "41", "front_setting": "71 lbf·ft", "axle_setting": "93 N·m", "locknut_setting": "17",
    "brake_setting": "26", "pivot_setting": "104", "recheck_slack": "31",
    "axle_mark": "yes", "rear_mark": "yes", "front_mark": "yes", "pivot_mark": "yes",
    "marks_left": "3rd notch", "marks_right": "3rd notch", "line_side": "in line", "line_offset": "0",
    "line_clear": "14 mm", "retorque_axle": "yes", "retorque_nuts": "yes", "base_length": "317.6 mm",
    "look_sprockets": "replaced", "look_pivot": "good", "look_splines": "good", "look_carrier": "good",
    "look_ring": "good", "look_tyre": "good",
    "look_guide": "good", "look_seal": "good", "look_bearings": "good", "look_cush": "replaced", "look_studs": "good",
    "look_pads": "see note",
}  # fmt: skip


def serviced() -> Bike:
    """The demo bike with service data."""
    return replace(demo_bike().bike, service=SERVICE)


def conversion(bike: Bike) -> Job:
    """A change to 525 on the demo bike."""
    return replace(begin(bike, CONVERTED, DAY, "M. K."), odometer_km=18650.0)


def written(bike: Bike, job: Job) -> Job:
    """The job with all its readings."""
    for step in steps(bike, job):
        for blank in step.blanks:
            job = with_reading(job, blank.key, GOOD[blank.key])
    return job if new_set(job) == CONVERTED else with_reading(job, "axle_now", axle_read(bike, job))


def axle_read(bike: Bike, job: Job) -> str:
    """Pivot to axle (mm) as it is read where the links put it; the old chain in GOOD is 0.82 % longer than new."""
    at = evaluate(bike, new_set(job)).run.axle_position
    if at is None or job.links is None:
        return ""
    worn = 0.0 if job.new_chain == "yes" else 0.0082 * job.links * 15.875 / 2
    return f"{1000 * at + worn:.1f}"


def signed(bike: Bike, job: Job, *, later: bool = False) -> Job:
    """The job filled in and signed, but for what is done after the first ride."""
    job = written(bike, job)
    for step in steps(bike, job):
        if later or not step.later:
            job = sign(bike, job, step, "M. K.")
    return job


def checked(bike: Bike) -> Bike:
    """The bike with the check after its last job's first ride signed."""
    job = bike.jobs[-1]
    last = steps(bike, job)[-1]
    return with_job(bike, job, after_ride(bike, sign(bike, written(bike, job), last, "M. K.")))
