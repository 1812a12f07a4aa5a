"""The last steps of a fitting: slack, alignment, torques, brake, test ride, and the look after the first ride."""

from __future__ import annotations

from collections.abc import Iterator

from gearplan.bike.profile import Bike
from gearplan.bike.text.units import MM
from gearplan.bike.work.job import Job

from .readings import YES_NO, Blank
from .scope import wheel_out
from .targets import (
    BASE_LINKS,
    POSITION,
    SLACK,
    TURNS,
    Step,
    alignment_target,
    chosen,
    how_slack,
    mark,
    setting,
    slack_blanks,
    slack_expected,
    torque,
    turns_of_wheel,
    wanted_range,
)
from .together import brake_pumped


def closing_checks(bike: Bike, job: Job) -> Iterator[Step]:
    """The steps from setting the slack to the look after the first ride."""
    service = bike.service
    slack = wanted_range(bike, "slack_range_mm")
    yield Step(
        "slack",
        "Set the slack at the tightest point",
        (
            f"{how_slack(bike)} At {TURNS} places over {turns_of_wheel(job)}, so that the whole chain has "
            "passed; set it where the chain is tightest.",
        ),
        "Turn the wheel by hand only, engine off.",
        "Rule",
        (slack,),
        slack_blanks(bike, "slack"),
    )
    yield Step(
        "align",
        "Align the wheel, both sides measured",
        ("Same points left and right, pivot to axle or swingarm end to axle; not by the marks alone.",),
        "",
        "Rule, caliper or alignment gauge",
        (alignment_target(bike),),
        (
            Blank("align_left", "Left", "length", *POSITION),
            Blank("align_right", "Right", "length", *POSITION),
            Blank("axle_now", "Pivot to axle", "length", 100 * MM, 1500 * MM, optional=True),
        ),
    )
    yield Step(
        "axle",
        "Torque the axle, lock the adjusters",
        (
            "Wedge a rag between chain and rear sprocket to seat the axle forward on its adjusters, torque the axle, "
            "remove the rag.",
            "Then lock nuts, caliper or torque arm.",
        ),
        "New split pin or nut where they are single-use.",
        "Torque wrench",
        tuple(torque(bike, key) for key in ("axle_nm", "adjuster_locknut_nm", "brake_nm")),
        (
            setting("axle_setting", "Axle", service.axle_nm),
            setting("locknut_setting", "Lock nuts", service.adjuster_locknut_nm, optional=True),
            setting("brake_setting", "Caliper or arm", service.brake_nm, optional=True),
            *mark(job, "axle_mark"),
        ),
        relied_on=True,
    )
    if not wheel_out(job):
        yield brake_pumped()
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
        yield from _front_torqued(bike, job)
    yield Step(
        "lubricate",
        "Lubricate the chain",
        (
            "With what its maker allows; none on tyre and brake. Wipe off what is too much.",
            "A new chain is run in gently. Cleaned and lubricated again as its maker says, on a track more often.",
        ),
        "Engine off, wheel turned by hand.",
        "Chain lubricant",
    )
    yield _ride(job)
    yield _after_ride(bike, job)


_LEARNS = (
    "Gear indicator, quick-shifter, traction control, ABS and speed limiter may have to learn the new gearing: see the "
    "manual."
)


def _ride(job: Job) -> Step:
    if job.track_only == "yes":
        return Step(
            "ride",
            "Roll test, then closed ground only",
            (
                "On the stand by hand, then pushed: nothing rubs, brake firm, sensors plugged in, no warning lamp.",
                "First ride on closed ground, gently; then inspect chain, nuts and rivet.",
                _LEARNS,
            ),
            "Parts for the track: no ride on the road.",
        )
    return Step(
        "ride",
        "Test ride",
        (
            "Brake firm, sensors plugged in, no warning lamp.",
            "Short and gentle; listen, feel, then inspect chain, nuts and rivet.",
            _LEARNS,
        ),
        "The speedometer may now read wrong. Changed gearing can affect type approval, insurance and noise or emission "
        "rules: check local law. Obey limits.",
    )


def _after_ride(bike: Bike, job: Job) -> Step:
    blanks = [
        Blank("recheck_slack", "Tightest", "length", *SLACK, expected=slack_expected(bike)),
        chosen("retorque_axle", "Axle torqued again", YES_NO),
    ]
    if job.new_rear == "yes":
        blanks.append(chosen("retorque_nuts", "Rear nuts torqued again", YES_NO))
    how = "Slack at the tightest point; torque axle and nuts again; inspect the rivet. A new chain settles."
    if job.new_chain == "yes":
        how += f" Its length over {BASE_LINKS} links begins its wear log."
        blanks.append(
            Blank("base_length", f"Length over {BASE_LINKS} links", "length", 100 * MM, 1000 * MM, optional=True)
        )
    return Step(
        "recheck",
        "Check again after the first ride",
        (how,),
        "",
        "Rule, torque wrench",
        (wanted_range(bike, "slack_range_mm"),),
        tuple(blanks),
        later=True,
    )


def _front_torqued(bike: Bike, job: Job) -> Iterator[Step]:
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
        "Hold the wheel with the brake only when it has been pumped up.",
        "Torque wrench, wheel holder",
        (torque(bike, "front_nut_nm"),),
        (setting("front_setting", "Torqued to", service.front_nut_nm), *mark(job, "front_mark")),
        relied_on=True,
    )
    yield Step(
        "cover",
        "Cover on, shift lever as noted",
        (
            "Sensor plugged in with its shim, clutch slave or pushrod seated.",
            "Nothing may touch the chain; the lever stands as it was.",
        ),
        "With another front sprocket, check that cover and guard still clear the chain.",
    )
