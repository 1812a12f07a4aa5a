"""The first steps of a fitting: secured, measured, taken apart, inspected."""

from __future__ import annotations

from collections.abc import Iterator

from gearplan.bike.profile import Bike
from gearplan.bike.text.units import MM
from gearplan.bike.work.job import Job
from gearplan.language import tr

from .readings import LOOKS, Blank
from .scope import chain_comes_off, inspected, swingarm_out, wheel_out
from .targets import Step, chosen, wear_target


def taken_apart(bike: Bike, job: Job) -> Iterator[Step]:
    """The steps from securing the bike to the look at what is open."""
    yield Step(
        "secure",
        tr("Secure the bike"),
        (
            tr("Manual and service data at hand, parts checked against the list."),
            tr("Bike on a stand on level ground, strapped, front wheel locked; ignition off, out of gear."),
        ),
        tr(
            "The rear wheel must be free and the bike must not fall. Never work on a running chain; keep hands "
            "clear of "
            "chain and sprockets."
        ),
        tr("Stand, straps, wheel lock"),
    )
    yield Step(
        "old_chain",
        tr("Measure the old chain"),
        (tr("Over many links on the tight run, pin centre to pin centre, at its longest place."),),
        tool=tr("Rule or long caliper"),
        targets=(wear_target(bike),),
        blanks=(
            Blank("gauge_links", tr("Links measured over"), "count", 5, 120),
            Blank("gauge_length", tr("Length"), "length", 30 * MM, 2000 * MM),
        ),
    )
    if job.new_front == "yes":
        yield from _front_loose(bike)
    yield Step(
        "slacken",
        tr("Slacken axle and adjusters"),
        (
            tr("First write down the adjuster marks, left and right, and photograph them."),
            tr(
                "Loosen caliper or torque arm where the manual says so, then the axle; back both adjusters off "
                "by the same "
                "amount."
            ),
        ),
        tr("Do not press the brake lever or pedal once the caliper is off its disc."),
        tr("Axle socket, spanners"),
        blanks=(Blank("marks_left", tr("Marks, left"), "word"), Blank("marks_right", tr("Marks, right"), "word")),
    )
    if chain_comes_off(job):
        yield _opening(job)
    else:
        yield Step(
            "lift",
            tr("Lift the closed chain off"),
            (tr("Wheel forward, chain off the rear sprocket; mind paint and seals."),),
            tr("Fingers never between chain and sprocket."),
        )
    if wheel_out(job):
        yield Step(
            "wheel_out",
            tr("Take the wheel out"),
            (
                tr("Wheel-speed sensor off first, and the torque arm where there is one."),
                tr(
                    "Support the wheel, draw the axle; note each spacer's side and place. The sprocket carrier "
                    "may fall "
                    "out: keep its inner spacer."
                ),
            ),
            tr(
                "Hang the caliper up, not by its hose. Never lay the wheel on its disc or sensor ring; no "
                "grease on the "
                "disc."
            ),
            tr("Axle drift, wheel support"),
        )
    if swingarm_out(job):
        yield Step(
            "swingarm_out",
            tr("Free the swingarm for the closed chain"),
            (tr("As the manual says; support the bike by its frame, free hoses and cables."),),
            tr("The bike now rests on its frame alone."),
            tr("Frame stand"),
        )
    yield _inspection(job)


def _front_loose(bike: Bike) -> Iterator[Step]:
    yield Step(
        "lever",
        tr("Note the shift lever, take the cover off"),
        (
            tr("Write down how the lever stands on its shaft, or mark both."),
            tr("Unplug a sensor on the cover, note its shim. Clutch slave or pushrod may come off too."),
        ),
        tr("Do not pull the clutch lever while its slave cylinder is off."),
        tr("Marker"),
        blanks=(Blank("lever", tr("Lever's place"), "word"),),
    )
    locked = bike.service.front_nut_locked_by
    unlock = {
        "tab washer": tr("Bend the tab washer flat."),
        "staking": tr("Lift the staked collar out of its groove."),
        "retainer plate": tr("Take the retainer plate's bolts out."),
        "thread locker": tr("Thread locker holds the nut: warm it as the manual says."),
        "nothing": tr("The nut has no locking of its own."),
    }.get(locked or "") or tr("See the manual for how the nut is locked, and undo that first.")
    yield Step(
        "front_loose",
        tr("Slacken the front nut, chain still on"),
        (unlock, tr("Hold the wheel firmly, then slacken the nut; its thread may be left-handed: see the manual.")),
        tr("Hold the wheel with a wheel holder or a second person on the brake, never with a bar in the sprocket."),
        tr("Socket, long bar, wheel holder"),
    )


def _opening(job: Job) -> Step:
    if swingarm_out(job) and job.opened == "left closed":
        return Step("lift", tr("Lay the closed chain off"), (tr("Off both sprockets; it leaves with the swingarm."),))
    if job.opened == "split at its link":
        return Step(
            "split",
            tr("Open the chain at its link"),
            (tr("Push the clip off towards the pins, or press the link's pins out; tie both ends up."),),
            tr("Eye protection: the clip springs."),
            tr("Pliers, chain tool"),
        )
    return Step(
        "cut",
        tr("Cut the chain"),
        (
            tr("Grind one pin's heads flush with the outer plate."),
            tr("Press that pin out with the tool's guide on the pin."),
        ),
        tr("Eye and hand protection. Sparks: keep flammables away, cover tyre and brake."),
        tr("Grinder, chain cutter"),
    )


def _inspection(job: Job) -> Step:
    return Step(
        "inspect",
        tr("Inspect while it is apart"),
        (tr("Good, replaced, or reported to the customer: see note. Sprockets: hooked or side-worn teeth."),),
        blanks=tuple(chosen(key, label, LOOKS) for key, label in inspected(job)),
    )
