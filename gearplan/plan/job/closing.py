"""The last steps of a fitting: slack, alignment, torques, brake, test ride, and the look after the first ride."""

from __future__ import annotations

from collections.abc import Iterator

from gearplan.bike.job import Job
from gearplan.bike.profile import Bike
from gearplan.bike.units import MM
from gearplan.plan.job.readings import Blank, both_units
from gearplan.plan.job.targets import (
    POSITION,
    SLACK,
    TURNS,
    Step,
    how_slack,
    setting,
    slack_blanks,
    slack_expected,
    target,
    torque,
    wanted_range,
)


def closing_checks(bike: Bike, job: Job) -> Iterator[Step]:
    """The steps from setting the slack to the look after the first ride."""
    service = bike.service
    slack = wanted_range(bike, "slack_range_mm")
    yield Step(
        "slack",
        "Set the slack at the tightest point",
        (f"{how_slack(bike)} At {TURNS} places of a turn of the wheel; set it where the chain is tightest.",),
        "Turn the wheel by hand only, engine off.",
        "Rule",
        (slack,),
        slack_blanks(bike, "slack"),
    )
    limit = service.alignment_mm
    yield Step(
        "align",
        "Align the wheel, both sides measured",
        ("Same points left and right, pivot to axle or swingarm end to axle; not by the marks alone.",),
        "",
        "Rule, caliper or alignment gauge",
        (target(bike, "alignment_mm", "" if limit is None else f"within {both_units(limit * MM, 'length')}"),),
        (
            Blank("align_left", "Left", "length", *POSITION),
            Blank("align_right", "Right", "length", *POSITION),
            Blank("axle_now", "Pivot to axle", "length", 100 * MM, 1500 * MM, optional=True),
        ),
    )
    yield Step(
        "axle",
        "Torque the axle, lock the adjusters",
        ("Chain drawn tight against its sprocket with a rag while tightening; then lock nuts, caliper or torque arm.",),
        "New split pin or nut where they are single-use.",
        "Torque wrench",
        tuple(torque(bike, key) for key in ("axle_nm", "adjuster_locknut_nm", "brake_nm")),
        (
            setting("axle_setting", "Axle", service.axle_nm),
            setting("locknut_setting", "Lock nuts", service.adjuster_locknut_nm, optional=True),
            setting("brake_setting", "Caliper or arm", service.brake_nm, optional=True),
        ),
    )
    yield Step(
        "slack_again",
        "Measure the slack again",
        ("The axle's torque moves it. At the same places.",),
        "",
        "Rule",
        (slack,),
        slack_blanks(bike, "again"),
    )
    if job.new_front == "yes":
        yield from _front_torqued(bike)
    yield Step(
        "brake",
        "Pump the brake up",
        ("Until lever or pedal is firm and the wheel still turns freely.",),
        "The bike does not move before this is done.",
    )
    yield Step(
        "lubricate",
        "Lubricate the chain",
        ("With what its maker allows; none on tyre and brake.",),
        "Engine off, wheel turned by hand.",
        "Chain lubricant",
    )
    yield Step(
        "ride",
        "Test ride",
        ("Short and gentle; listen, feel, then look at chain, nuts and rivet.",),
        "The speedometer may now read wrong. Other gearing can touch type approval, insurance and noise or emission "
        "rules: check local law. Obey limits.",
    )
    yield Step(
        "recheck",
        "Check again after the first ride",
        ("Slack at the tightest point, axle, nuts, rivet; a new chain settles.",),
        "",
        "Rule, torque wrench",
        (slack,),
        (Blank("recheck_slack", "Tightest", "length", *SLACK, expected=slack_expected(bike)),),
        later=True,
    )


def _front_torqued(bike: Bike) -> Iterator[Step]:
    service = bike.service
    lock = {
        "tab washer": "Bend the washer's tab against a flat.",
        "staking": "Stake the collar into the shaft's groove.",
        "retainer plate": "Fit the retainer plate and its bolts.",
        "thread locker": "Thread locker on the clean thread, as the manual says.",
        "nothing": "No further locking.",
    }.get(service.front_nut_locked_by or "", "Then lock it as the manual says.")
    single = {"yes": "New nut or washer. ", "no": ""}.get(
        service.front_nut_single_use or "", "Single-use nut or washer replaced: see the manual. "
    )
    yield Step(
        "front_torque",
        "Torque the front nut, wheel held",
        (f"{single}To the torque with the wheel held firmly. {lock}",),
        "",
        "Torque wrench, wheel holder",
        (torque(bike, "front_nut_nm"),),
        (setting("front_setting", "Wrench set to", service.front_nut_nm),),
    )
    yield Step(
        "cover",
        "Cover on, shift lever as noted",
        ("Nothing may touch the chain; the lever stands as it was.",),
        "With another front sprocket, look whether cover and guard still clear the chain.",
    )
