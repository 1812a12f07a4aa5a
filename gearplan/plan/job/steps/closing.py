"""The last steps of a fitting: slack, alignment, torques, brake, test ride, and the look after the first ride."""

from __future__ import annotations

from collections.abc import Iterator

from gearplan.bike.profile import Bike
from gearplan.bike.text.units import MM
from gearplan.bike.work.job import Job
from gearplan.language import tr

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
    places = tr(
        "At {places} places over {turns}, so that the whole chain has passed; set it where the chain is tightest.",
        places=TURNS,
        turns=turns_of_wheel(job),
    )
    yield Step(
        "slack",
        tr("Set the slack at the tightest point"),
        (" ".join((how_slack(bike), places)),),
        tr("Turn the wheel by hand only, engine off."),
        tr("Rule"),
        (slack,),
        slack_blanks(bike, "slack"),
    )
    yield Step(
        "align",
        tr("Align the wheel, both sides measured"),
        (tr("Same points left and right, pivot to axle or swingarm end to axle; not by the marks alone."),),
        "",
        tr("Rule, caliper or alignment gauge"),
        (alignment_target(bike),),
        (
            Blank("align_left", tr("Left"), "length", *POSITION),
            Blank("align_right", tr("Right"), "length", *POSITION),
            Blank("axle_now", tr("Pivot to axle"), "length", 100 * MM, 1500 * MM, optional=True),
        ),
    )
    yield Step(
        "axle",
        tr("Torque the axle, lock the adjusters"),
        (
            tr(
                "Wedge a rag between chain and rear sprocket to seat the axle forward on its adjusters, torque "
                "the axle, "
                "remove the rag."
            ),
            tr("Then lock nuts, caliper or torque arm."),
        ),
        tr("New split pin or nut where they are single-use."),
        tr("Torque wrench"),
        tuple(torque(bike, key) for key in ("axle_nm", "adjuster_locknut_nm", "brake_nm")),
        (
            setting("axle_setting", tr("Axle"), service.axle_nm),
            setting("locknut_setting", tr("Lock nuts"), service.adjuster_locknut_nm, optional=True),
            setting("brake_setting", tr("Caliper or arm"), service.brake_nm, optional=True),
            *mark(job, "axle_mark"),
        ),
        relied_on=True,
    )
    if not wheel_out(job):
        yield brake_pumped()
    yield Step(
        "slack_again",
        tr("Measure the slack again"),
        (tr("The axle's torque moves it. At the same places."),),
        "",
        tr("Rule"),
        (slack,),
        slack_blanks(bike, "again"),
    )
    if job.new_front == "yes":
        yield from _front_torqued(bike, job)
    yield Step(
        "lubricate",
        tr("Lubricate the chain"),
        (
            tr("With what its maker allows; none on tyre and brake. Wipe off what is too much."),
            tr("A new chain is run in gently. Cleaned and lubricated again as its maker says, on a track more often."),
        ),
        tr("Engine off, wheel turned by hand."),
        tr("Chain lubricant"),
    )
    yield _ride(job)
    yield _after_ride(bike, job)


_LEARNS = tr(
    "Gear indicator, quick-shifter, traction control, ABS and speed limiter may have to learn the new gearing: see the "
    "manual."
)


def _ride(job: Job) -> Step:
    if job.track_only == "yes":
        return Step(
            "ride",
            tr("Roll test, then closed ground only"),
            (
                tr("On the stand by hand, then pushed: nothing rubs, brake firm, sensors plugged in, no warning lamp."),
                tr("First ride on closed ground, gently; then inspect chain, nuts and rivet."),
                _LEARNS,
            ),
            tr("Parts for the track: no ride on the road."),
        )
    return Step(
        "ride",
        tr("Test ride"),
        (
            tr("Brake firm, sensors plugged in, no warning lamp."),
            tr("Short and gentle; listen, feel, then inspect chain, nuts and rivet."),
            _LEARNS,
        ),
        tr(
            "The speedometer may now read wrong. Changed gearing can affect type approval, insurance and noise "
            "or emission "
            "rules: check local law. Obey limits."
        ),
    )


def _after_ride(bike: Bike, job: Job) -> Step:
    blanks = [
        Blank("recheck_slack", tr("Tightest"), "length", *SLACK, expected=slack_expected(bike)),
        chosen("retorque_axle", tr("Axle torqued again"), YES_NO),
    ]
    if job.new_rear == "yes":
        blanks.append(chosen("retorque_nuts", tr("Rear nuts torqued again"), YES_NO))
    how = tr("Slack at the tightest point; torque axle and nuts again; inspect the rivet. A new chain settles.")
    if job.new_chain == "yes":
        log = tr("Its length over {links} links begins its wear log.", links=BASE_LINKS)
        how = f"{how} {log}"
        blanks.append(
            Blank(
                "base_length",
                tr("Length over {links} links", links=BASE_LINKS),
                "length",
                100 * MM,
                1000 * MM,
                optional=True,
            )
        )
    return Step(
        "recheck",
        tr("Check again after the first ride"),
        (how,),
        "",
        tr("Rule, torque wrench"),
        (wanted_range(bike, "slack_range_mm"),),
        tuple(blanks),
        later=True,
    )


def _front_torqued(bike: Bike, job: Job) -> Iterator[Step]:
    service = bike.service
    lock = {
        "tab washer": tr("Bend the washer's tab against a flat."),
        "staking": tr("Stake the collar into the shaft's groove."),
        "retainer plate": tr("Fit the retainer plate and its bolts."),
        "thread locker": tr("Thread locker on the clean thread, as the manual says."),
        "nothing": tr("No further locking."),
    }.get(service.front_nut_locked_by or "") or tr("Then lock it as the manual says.")
    single = {"yes": tr("New nut or washer."), "no": ""}.get(
        service.front_nut_single_use or "", tr("Single-use nut or washer replaced: see the manual.")
    )
    held = tr("To the torque with the wheel held firmly.")
    yield Step(
        "front_torque",
        tr("Torque the front nut, wheel held"),
        (" ".join(filter(None, (single, held, lock))),),
        tr("Hold the wheel with the brake only when it has been pumped up."),
        tr("Torque wrench, wheel holder"),
        (torque(bike, "front_nut_nm"),),
        (setting("front_setting", tr("Torqued to"), service.front_nut_nm), *mark(job, "front_mark")),
        relied_on=True,
    )
    yield Step(
        "cover",
        tr("Cover on, shift lever as noted"),
        (
            tr("Sensor plugged in with its shim, clutch slave or pushrod seated."),
            tr("Nothing may touch the chain; the lever stands as it was."),
        ),
        tr("With another front sprocket, check that cover and guard still clear the chain."),
    )
