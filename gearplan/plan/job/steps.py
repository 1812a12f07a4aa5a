"""The steps of a fitting in working order: what to do, beware of, aim at, take in hand and write down.

They adapt to the job: the chain cut, split or left closed, one sprocket or both, another size, the wheel out or not.
What to aim at comes from the bike's service data; what is not entered there stays a blank line, never a number.
The order and the advice are common practice, no source; the maker's manual comes first.
"""

from __future__ import annotations

from collections.abc import Iterator

from gearplan.bike.job import Job
from gearplan.bike.profile import Bike, entry
from gearplan.bike.units import MM
from gearplan.plan.findings import Finding
from gearplan.plan.job.closing import closing_checks
from gearplan.plan.job.kept import bike_of
from gearplan.plan.job.readings import Blank, both_units
from gearplan.plan.job.targets import (
    FLARE,
    PINS,
    WIDTH,
    Step,
    Target,
    setting,
    target,
    torque,
    wanted_range,
    wear_target,
)


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


def steps(bike: Bike, job: Job) -> tuple[Step, ...]:
    """The steps of a job on this bike; those of a finished job by the values that it keeps."""
    bike = bike_of(bike, job)
    return (*_apart(bike, job), *_together(bike, job), *closing_checks(bike, job))


def targets_missing(listed: tuple[Step, ...]) -> tuple[Finding, ...]:
    """For each target that the service data lack, what to enter; the sheet has a blank line for it."""
    found = {}
    for lacking in (t for step in listed for t in step.targets if not t.text):
        section, key = lacking.field.split(".")
        label = entry(section, key).label
        text = f"Still to be taken from the manual: {label}; the sheet has a line for it."
        found[lacking.field] = Finding("check", "service data", text, field=lacking.field)
    return tuple(found.values())


def _apart(bike: Bike, job: Job) -> Iterator[Step]:
    yield Step(
        "secure",
        "Secure the bike",
        (
            "Manual and service data at hand, parts checked against the list.",
            "Bike on a stand on level ground, tied, front wheel locked; ignition off, out of gear.",
        ),
        "The rear wheel must be free and the bike must not fall. Never work on a running chain; keep hands clear of "
        "chain and sprockets.",
        "Stand, straps, wheel lock",
    )
    yield Step(
        "old_chain",
        "Measure the old chain",
        ("Over many links on the tight run, pin centre to pin centre, at its longest place.",),
        tool="Rule or long caliper",
        targets=(wear_target(bike),),
        blanks=(
            Blank("gauge_links", "Links measured over", "count", 5, 120),
            Blank("gauge_length", "Length", "length", 30 * MM, 2000 * MM),
        ),
    )
    if job.new_front == "yes":
        yield from _front_loose(bike)
    yield Step(
        "slacken",
        "Slacken axle and adjusters",
        ("Loosen caliper or torque arm where the manual says so, then the axle; turn both adjusters in alike.",),
        "Do not press the brake lever or pedal once the caliper is off its disc.",
        "Axle socket, spanners",
    )
    if chain_comes_off(job):
        yield _opening(job)
    else:
        yield Step(
            "lift",
            "Lift the closed chain off",
            ("Wheel forward, chain off the rear sprocket; mind paint and seals.",),
            "Fingers never between chain and sprocket.",
        )
    if wheel_out(job):
        yield Step(
            "wheel_out",
            "Take the wheel out",
            ("Support the wheel, draw the axle, note each spacer's side and place.",),
            "Hang the caliper up, not by its hose. Protect the disc from grease.",
            "Axle drift, wheel support",
        )
    if swingarm_out(job):
        yield Step(
            "swingarm_out",
            "Free the swingarm for the closed chain",
            ("As the manual says; support the bike by its frame, free hoses and cables.",),
            "The bike now rests on its frame alone.",
            "Frame stand",
        )
    yield _inspection(job)


def _front_loose(bike: Bike) -> Iterator[Step]:
    yield Step(
        "lever",
        "Note the shift lever, take the cover off",
        ("Write down how the lever stands on its shaft, or mark both.",),
        tool="Marker",
        blanks=(Blank("lever", "Lever's place", "word"),),
    )
    locked = bike.service.front_nut_locked_by
    unlock = {
        "tab washer": "Bend the tab washer flat.",
        "staking": "Lift the staked collar out of its groove.",
        "retainer plate": "Take the retainer plate's bolts out.",
        "thread locker": "Thread locker holds the nut: warm it as the manual says.",
        "nothing": "The nut has no locking of its own.",
    }.get(locked or "", "See the manual for how the nut is locked, and undo that first.")
    yield Step(
        "front_loose",
        "Slacken the front nut, chain still on",
        (unlock, "Wheel held firmly, then slacken the nut; its thread may be left-handed: see the manual."),
        "Hold the wheel with a wheel holder or a second person on the brake, never with a bar in the sprocket.",
        "Socket, long bar, wheel holder",
    )


def _opening(job: Job) -> Step:
    if swingarm_out(job) and job.opened == "left closed":
        return Step("lift", "Lay the closed chain off", ("Off both sprockets; it leaves with the swingarm.",))
    if job.opened == "split at its link":
        return Step(
            "split",
            "Open the chain at its link",
            ("Push the clip off towards the pins, or press the link's pins out; tie both ends up.",),
            "Eye protection: the clip springs.",
            "Pliers, chain tool",
        )
    return Step(
        "cut",
        "Cut the chain",
        ("Grind one pin's heads flush on the outer plate.", "Press that pin out with the tool's guide on the pin."),
        "Eye and hand protection. Grinding sparks: nothing that burns near, tyre and brake covered.",
        "Grinder, chain cutter",
    )


def _inspection(job: Job) -> Step:
    looked = [("look_guide", "Chain guide"), ("look_seal", "Output seal")]
    if wheel_out(job):
        looked = [
            ("look_bearings", "Bearings"),
            ("look_cush", "Cush rubbers"),
            ("look_studs", "Sprocket studs"),
            ("look_pads", "Brake pads"),
            *looked,
        ]
    return Step(
        "inspect",
        "Look at what is open",
        ("Each is good, is replaced, or is told to the customer in the note.",),
        blanks=tuple(Blank(key, label, "look") for key, label in looked),
    )


def _together(bike: Bike, job: Job) -> Iterator[Step]:
    service = bike.service
    if job.new_rear == "yes":
        new_nuts = (
            "New self-locking nuts."
            if service.rear_nuts_self_locking == "yes"
            else "Nuts as they were, threads clean."
            if service.rear_nuts_self_locking == "no"
            else "Self-locking nuts are replaced: see the manual."
        )
        yield Step(
            "rear",
            f"Fit the rear sprocket{_teeth(job.rear)}",
            (
                "Seat clean and flat, marked side out.",
                f"{new_nuts} In a diagonal pattern, in stages, to the torque.",
            ),
            "Check twice: the right teeth and the right chain size.",
            "Torque wrench",
            (torque(bike, "rear_nuts_nm"),),
            (setting("rear_setting", "Wrench set to", service.rear_nuts_nm),),
        )
    if job.new_front == "yes":
        yield Step(
            "front",
            f"Fit the front sprocket{_teeth(job.front)}",
            ("Splines clean and greased as the manual says; right way round (offset, mark).", "Nut finger tight only."),
            "Torque comes later, with the chain on and the wheel held.",
        )
    if swingarm_out(job):
        yield Step(
            "swingarm_in",
            "Chain in place, swingarm back",
            ("The closed chain round the arm and the front sprocket, then the pivot as the manual says.",),
            "",
            "Torque wrench",
            (torque(bike, "pivot_nm"),),
            (setting("pivot_setting", "Wrench set to", service.pivot_nm),),
        )
    if wheel_out(job):
        yield Step(
            "wheel_in",
            "Put the wheel in",
            ("Spacers where they were, disc between the pads, axle from its side, nut finger tight.",),
            "Hands clear of the disc's and the sprocket's edges.",
        )
    if chain_comes_off(job):
        yield from _closing(bike, job)
    else:
        yield Step(
            "lay_on",
            "Lay the chain on both sprockets",
            ("Turn the wheel by hand, away from where chain and sprocket meet.",),
            "Fingers never between chain and sprocket.",
        )


def _closing(bike: Bike, job: Job) -> Iterator[Step]:
    counted = job.new_chain == "yes" or job.links != job.old_links
    if counted:
        count = f" to {job.links} links" if job.links else ""
        yield Step(
            "count",
            f"Count the chain{count}",
            ("Count pin by pin, the closing link included; shorten it only after counting twice.",),
            "A chain cut too short cannot be used.",
            targets=(Target("Links", str(job.links), "links", "this job", "final_drive.links"),) if job.links else (),
            blanks=(
                Blank("links", "Links counted", "count", 20, 400, None if job.links is None else float(job.links)),
            ),
        )
    if job.closed == "endless" and job.new_chain == "yes":
        return
    if job.closed == "clip link":
        yield Step(
            "clip",
            "Close the chain with the clip link",
            (
                "Chain over both sprockets, ends on the rear one; link from behind, plate on, clip in both grooves.",
                "Closed end of the clip forward in the way the chain runs. No stiff link.",
            ),
            "Only where the chain maker allows a clip link; it asks for a riveted link otherwise.",
            "Pliers",
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
        about += f" ± {tolerance:g} mm"
    sealed = "" if service.chain_sealed == "no" else "sealing rings greased and on all four places, "
    names = (("press_width", "New link"), ("press_beside_1", "Link beside it"), ("press_beside_2", "Other side"))
    return Step(
        "press",
        "Press the closing link's plate on",
        (
            f"New link from behind, {sealed}plate pressed on with the tool in small steps.",
            "Measure over the plates and compare with the neighbouring links. The link must move freely.",
        ),
        "Eye and hand protection. Too far cannot be undone: a stiff link is scrap.",
        "Chain press, caliper",
        (target(bike, "press_width_mm", about),),
        tuple(Blank(key, label, "length", *WIDTH, expected=width) for key, label in names),
    )


def _riveting(bike: Bike) -> Step:
    least, most = bike.service.rivet_flare_mm or (None, None)
    middle = None if least is None or most is None else (least + most) / 2 * MM
    blanks = []
    for pin in range(1, PINS + 1):
        for when in ("before", "after"):
            blanks.append(Blank(f"flare_{pin}_{when}", f"Pin {pin} {when}", "length", *FLARE, expected=middle))
    return Step(
        "rivet",
        "Rivet both pins",
        (
            "Measure each pin's end, flare it in small steps, measure again.",
            "Within the chain maker's range and not beyond; no crack, no stiff link.",
        ),
        "Eye and hand protection. A cracked or overpressed rivet: cut it out, fit a new link.",
        "Rivet tool, caliper",
        (wanted_range(bike, "rivet_flare_mm"),),
        tuple(blanks),
    )


def _teeth(count: int | None) -> str:
    return f", {count} teeth" if count else ""
