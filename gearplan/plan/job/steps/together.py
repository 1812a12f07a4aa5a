"""The steps between: new parts fitted, wheel back, brake pumped up, chain line, chain closed."""

from __future__ import annotations

from collections.abc import Iterator

from gearplan.bike.profile import Bike
from gearplan.bike.text.units import MM
from gearplan.bike.text.written import shortest
from gearplan.bike.work.job import Job
from gearplan.language import tr

from .readings import SIDES, Blank, both_units
from .scope import chain_comes_off, size_changes, swingarm_out, wheel_out
from .targets import (
    FLARE,
    PINS,
    WIDTH,
    Step,
    Target,
    chosen,
    mark,
    setting,
    target,
    torque,
    wanted_range,
)


def put_together(bike: Bike, job: Job) -> Iterator[Step]:
    """The steps from the rear sprocket to the closed chain."""
    service = bike.service
    if job.new_rear == "yes":
        new_nuts = {"yes": tr("New self-locking nuts."), "no": tr("Nuts as they were, threads clean.")}.get(
            service.rear_nuts_self_locking or "", tr("Self-locking nuts are replaced: see the manual.")
        )
        torqued = tr("Thread locker only as the manual says. In a diagonal pattern, in stages, to the torque.")
        yield Step(
            "rear",
            _rear_title(job.rear),
            (
                tr("Carrier clean, sprocket seat flat, marked side out."),
                f"{new_nuts} {torqued}",
                tr("Push the carrier fully home into the cush rubbers."),
            ),
            tr("Check twice: the right teeth and the right chain size."),
            tr("Torque wrench"),
            (torque(bike, "rear_nuts_nm"),),
            (setting("rear_setting", tr("Torqued to"), service.rear_nuts_nm), *mark(job, "rear_mark")),
            relied_on=True,
        )
    if job.new_front == "yes":
        yield Step(
            "front",
            _front_title(job.front),
            (
                tr("Splines clean and greased as the manual says; right way round (offset, mark)."),
                tr("Nut finger tight only."),
            ),
            tr("Torque comes later, with the chain on and the wheel held."),
        )
    if swingarm_out(job):
        yield Step(
            "swingarm_in",
            tr("Chain in place, swingarm back"),
            (tr("The closed chain round the arm and the front sprocket, then the pivot as the manual says."),),
            "",
            tr("Torque wrench"),
            (torque(bike, "pivot_nm"),),
            (setting("pivot_setting", tr("Torqued to"), service.pivot_nm), *mark(job, "pivot_mark")),
            relied_on=True,
        )
    if wheel_out(job):
        yield Step(
            "wheel_in",
            tr("Put the wheel in"),
            (
                tr(
                    "Axle cleaned and greased; spacers where they were, caliper bracket in its lug, disc "
                    "between the pads, "
                    "axle from its side, nut finger tight."
                ),
                tr("Wheel-speed sensor back, its gap as the manual says."),
            ),
            tr("Hands clear of the disc's and the sprocket's edges."),
        )
        yield brake_pumped()
    if job.new_front == "yes" or job.new_rear == "yes" or size_changes(job):
        yield _chain_line()
    if chain_comes_off(job):
        yield from _closing(bike, job)
    else:
        yield Step(
            "lay_on",
            tr("Lay the chain on both sprockets"),
            (tr("Turn the wheel by hand, away from where chain and sprocket meet."),),
            tr("Fingers never between chain and sprocket."),
        )


_ROUTE = tr("Chain inside the swingarm and over its slider.")


def brake_pumped() -> Step:
    """As soon as the caliper is back: nothing may be held with the brake before."""
    return Step(
        "brake",
        tr("Pump the brake up"),
        (tr("Until lever or pedal is firm; the wheel still turns freely."),),
        tr("Hold nothing with this brake, and do not move the bike, before it is firm."),
        relied_on=True,
    )


def _chain_line() -> Step:
    return Step(
        "chain_line",
        tr("Check the chain line"),
        (
            tr(
                "Wheel straight by the marks, straightedge or laser along the rear sprocket's face; the chain's path "
                "clears tyre and guard."
            ),
        ),
        tr("Out of line: find out why (offset, spacers, carrier) before the chain is closed."),
        tr("Straightedge or laser, rule"),
        blanks=(
            chosen("line_side", tr("Front sprocket stands"), SIDES),
            Blank("line_offset", tr("Out of line by"), "length", 0.0, 60 * MM, optional=True),
            Blank("line_clear", tr("Clears tyre, guard by"), "length", 0.0, 200 * MM),
        ),
    )


def _closing(bike: Bike, job: Job) -> Iterator[Step]:
    counted = job.new_chain == "yes" or job.links != job.old_links
    if counted:
        offered = tr("Offer it up round both sprockets before cutting.")
        yield Step(
            "count",
            tr("Count the chain to {links} links", links=job.links) if job.links else tr("Count the chain"),
            (
                f"{_ROUTE} {offered}",
                tr("Count pin by pin, the closing link included; shorten it only after counting twice."),
            ),
            tr("A chain cut too short cannot be used."),
            targets=(Target(tr("Links"), str(job.links), "links", tr("this job"), "final_drive.links"),)
            if job.links
            else (),
            blanks=(
                Blank("links", tr("Links counted"), "count", 20, 400, None if job.links is None else float(job.links)),
            ),
        )
    if job.closed == "endless" and job.new_chain == "yes":
        return
    if job.closed == "clip link":
        yield Step(
            "clip",
            tr("Close the chain with the clip link"),
            (
                " ".join((_ROUTE, tr("Ends on the rear sprocket."))),
                tr(
                    "Push the link through from the inside, plate outwards, clip in both grooves, its closed "
                    "end leading "
                    "in the way the chain runs. No stiff link."
                ),
            ),
            tr("Only where the chain maker allows a clip link; it asks for a riveted link otherwise."),
            tr("Pliers"),
            relied_on=True,
        )
        return
    yield _pressing(bike)
    yield _riveting(bike)


def _pressing(bike: Bike) -> Step:
    service = bike.service
    width = None if service.press_width_mm is None else service.press_width_mm * MM
    tolerance = service.press_tolerance_mm
    about = "" if width is None else both_units(width, "length")
    if about and tolerance is not None:
        about += f" ± {shortest(tolerance)} mm"
    if service.chain_sealed == "no":
        push = tr("Push the new link through from the inside, press the plate on with the tool in small steps.")
    else:
        push = tr(
            "Push the new link through from the inside, sealing rings greased and on all four pins' ends, press the "
            "plate on with the tool in small steps."
        )
    names = (
        ("press_width", tr("New link")),
        ("press_beside_1", tr("Link beside it")),
        ("press_beside_2", tr("Other side")),
    )
    return Step(
        "press",
        tr("Press the closing link's plate on"),
        (
            push,
            tr("Measure over the plates and compare with the neighbouring links. The link must move freely."),
        ),
        tr("Eye and hand protection. Too far cannot be undone: a stiff link is scrap."),
        tr("Chain press, caliper"),
        (target(bike, "press_width_mm", about),),
        tuple(Blank(key, label, "length", *WIDTH, expected=width) for key, label in names),
    )


def _riveting(bike: Bike) -> Step:
    least, most = bike.service.rivet_flare_mm or (None, None)
    middle = None if least is None or most is None else (least + most) / 2 * MM
    blanks = []
    for pin in range(1, PINS + 1):
        before, after = tr("Pin {pin} before", pin=pin), tr("Pin {pin} after", pin=pin)
        for key, label in ((f"flare_{pin}_before", before), (f"flare_{pin}_after", after)):
            blanks.append(Blank(key, label, "length", *FLARE, expected=middle))
    return Step(
        "rivet",
        tr("Rivet both pins"),
        (
            tr("Measure each pin's end, flare it in small steps, measure again."),
            tr("Within the chain maker's range and not beyond; no crack, no stiff link."),
        ),
        tr("Eye and hand protection. A cracked or overpressed rivet: cut it out, fit a new link."),
        tr("Rivet tool, caliper"),
        (wanted_range(bike, "rivet_flare_mm"),),
        tuple(blanks),
        relied_on=True,
    )


def _rear_title(teeth: int | None) -> str:
    return tr("Fit the rear sprocket, {teeth} teeth", teeth=teeth) if teeth else tr("Fit the rear sprocket")


def _front_title(teeth: int | None) -> str:
    return tr("Fit the front sprocket, {teeth} teeth", teeth=teeth) if teeth else tr("Fit the front sprocket")
