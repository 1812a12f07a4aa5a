"""The chain of one set on this swingarm: where it puts the axle, and what is to be said of it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from gearplan.bike import library, written
from gearplan.bike.profile import Bike
from gearplan.bike.units import MM
from gearplan.drive import chainrun, wear
from gearplan.plan.driveset import DriveSet, fitted
from gearplan.plan.findings import Finding, missing
from gearplan.plan.set import fit as fitting

#: A chain that is longer than new by more than this is no longer ridden, and one that hangs this much (m) over the
#: slack asked for is seen at once: beyond them an entry is wrong. Common practice, no source.
_MOST_WORN, _SLACKER = 0.02, 30e-3
#: Nearer than this nobody measures.
_SAME_AXLE_MM = 0.5


@dataclass(frozen=True, slots=True)
class ChainRun:
    """The chain's numbers in SI (m, rad); None where the profile lacks what they need.

    `links_taut_now` is the exact length at the axle position entered with both runs straight,
    `links_at_slack_now` the same with the slack asked for. `axle_position`, and what follows from it, belongs
    to the links of the set at the slack asked for, also where it lies outside the adjuster's range; `moved` is
    how far that is behind where the axle stands now (level share). `slack_needed` is the slack as the bike stands
    that keeps the tightest point of the travel from being tight; the clearances are those of the runs' plates
    from the boss round the pivot; `wear_left` is the elongation that the adjuster can still take up (a fraction).
    `links_to_order` are those at hand if they fit, else the count that does it best; `slack_per_axle` is the slack
    lost for each length that the axle goes back from there (m in m).
    """

    pitch: float | None = None
    links_taut_now: float | None = None
    links_at_slack_now: float | None = None
    links_that_fit: tuple[int, ...] | None = None
    axle_position: float | None = None
    centre_distance: float | None = None
    wheelbase: float | None = None
    wrap_front: float | None = None
    wrap_rear: float | None = None
    slack_needed: float | None = None
    upper_clearance: float | None = None
    lower_clearance: float | None = None
    wear_left: float | None = None
    front_load_share: float | None = None
    rear_turns_to_meet_again: int | None = None
    moved: float = 0.0
    links_to_order: int | None = None
    slack_per_axle: float | None = None


def chain_run(bike: Bike, chosen: DriveSet) -> tuple[ChainRun, list[Finding]]:
    """The chain's numbers for one set, and the findings about its length, size and count."""
    size = library.chain_sizes().get(chosen.chain or "")
    if size is None:
        return ChainRun(), [
            missing("chain length", "Whether the chain fits", [("final_drive.chain", "the chain size")])
        ]
    pitch = size.pitch_mm * MM
    found = _other_size(bike, chosen)
    arm = fitting.swingarm(bike)
    if isinstance(arm, Finding):
        return ChainRun(pitch), [*found, arm]
    if chosen.front is None or chosen.rear is None:
        return ChainRun(pitch), found
    z1, z2 = chosen.front, chosen.rear
    taut_now = slack_now = None
    axle_now = bike.chassis.axle_now_mm
    if axle_now is not None:
        centre_now = chainrun.centre_distance(axle_now * MM, arm.angle, arm.forward, arm.up)
        taut_now = _known(chainrun.links_taut(centre_now, z1, z2, pitch))
        slack_now = _known(chainrun.links_at_slack(centre_now, z1, z2, pitch, arm.slack))
    placed = fitting.fit(arm, z1, z2, chosen.links, size).only()
    found += fitting.findings(arm, placed, chosen.links)
    found += _as_fitted(bike, chosen, arm, pitch)
    again = None if chosen.links is None else wear.turns_to_meet_again(z2, chosen.links)
    fitting_links = fitting.even_counts(placed.shortest, placed.longest)
    if math.isnan(placed.axle):
        run = ChainRun(
            pitch,
            taut_now,
            slack_now,
            fitting_links,
            rear_turns_to_meet_again=again,
            links_to_order=fitting.links_to_order(placed, chosen.links),
        )
        return run, found
    moved = fitting.moved(bike, arm, placed.axle)
    wheelbase = _wheelbase(bike, moved, found)
    run = ChainRun(
        pitch=pitch,
        links_taut_now=taut_now,
        links_at_slack_now=slack_now,
        links_that_fit=fitting_links,
        axle_position=placed.axle,
        centre_distance=float(chainrun.centre_distance(placed.axle, arm.angle, arm.forward, arm.up)),
        wheelbase=wheelbase,
        wrap_front=placed.wrap_front,
        wrap_rear=math.tau - placed.wrap_front,
        slack_needed=_known(placed.slack_needed),
        upper_clearance=_known(placed.upper),
        lower_clearance=_known(placed.lower),
        wear_left=_known(placed.wear_left),
        front_load_share=_front_load(bike, wheelbase, moved, found),
        rear_turns_to_meet_again=again,
        moved=moved,
        links_to_order=fitting.links_to_order(placed, chosen.links),
        slack_per_axle=_finite(
            chainrun.slack_per_axle(placed.axle, arm.slack, z1, z2, pitch, arm.angle, arm.forward, arm.up)
        ),
    )
    return run, found


def _wheelbase(bike: Bike, moved: float, found: list[Finding]) -> float | None:
    """The entered wheelbase, lengthened by how far the axle moves back."""
    entered, now = bike.chassis.wheelbase_mm, bike.chassis.axle_now_mm
    if entered is None or now is None:
        wanted = (
            ("chassis.wheelbase_mm", "the wheelbase", entered),
            ("chassis.axle_now_mm", "where the axle stands now", now),
        )
        lacking = [(path, label) for path, label, value in wanted if value is None]
        found.append(missing("wheelbase", "The wheelbase", lacking, aside=True))
        return None
    return entered * MM + moved


def _front_load(bike: Bike, wheelbase: float | None, moved: float, found: list[Finding]) -> float | None:
    """Share of the weight on the front wheel, by moments about the rear contact point."""
    ahead = bike.chassis.com_ahead_of_rear_axle_mm
    if ahead is None:
        fields = [("chassis.com_ahead_of_rear_axle_mm", "where the centre of mass lies")]
        found.append(missing("wheelbase", "The front wheel's share of the weight", fields, aside=True))
    return None if wheelbase is None or ahead is None else (ahead * MM + moved) / wheelbase


def _other_size(bike: Bike, chosen: DriveSet) -> list[Finding]:
    on = bike.final_drive.chain
    if on is None or on == chosen.chain:
        return []
    sizes = library.chain_sizes()
    now, then = sizes.get(on), sizes.get(chosen.chain or "")
    differ = "" if now is None or then is None else written.listed(other_dimensions(now, then))
    text = f"Chain {chosen.chain} in place of {on}: both sprockets and the chain change together"
    text += f" ({differ}). Watch the front sprocket's offset." if differ else ". Watch the front sprocket's offset."
    return [Finding("check", "chain size", text, source="common practice, no source")]


def other_dimensions(now: library.ChainSize, then: library.ChainSize) -> list[str]:
    """Which dimensions of two chain sizes differ, as "pitch 15.875 → 19.05 mm"; what is not known is left out."""
    compared = (
        ("pitch", now.pitch_mm, then.pitch_mm),
        ("inner width", now.inner_width_mm, then.inner_width_mm),
        ("rollers", now.roller_mm, then.roller_mm),
    )
    known = ((name, was, be) for name, was, be in compared if was is not None and be is not None)
    return [f"{name} {was:g} → {be:g} mm" for name, was, be in known if was != be]


def _as_fitted(bike: Bike, chosen: DriveSet, arm: fitting.Swingarm, pitch: float) -> list[Finding]:
    """Whether the axle stands where the fitted chain lets it stand, or one of the entries is wrong.

    A used chain is longer than its links say; by how much, the axle tells if the rest is right.
    """
    links, now = chosen.links, bike.chassis.axle_now_mm
    if chosen != fitted(bike) or links is None or now is None or chosen.front is None or chosen.rear is None:
        return []
    z1, z2 = chosen.front, chosen.rear
    place = (arm.angle, arm.forward, arm.up)
    centre = chainrun.centre_distance(now * MM, *place)
    spare = pitch * (links - float(chainrun.links_taut(centre, z1, z2, pitch)))
    about, source, field = "chain as fitted", "exact chain run; axle, links and teeth as entered", "chassis.axle_now_mm"
    if math.isnan(spare):
        return []
    if spare <= 0:
        tight = float(chainrun.axle_for_links(links, z1, z2, pitch, 0.0, *place)) / MM
        if math.isnan(tight) or now - tight < _SAME_AXLE_MM:
            return []
        worn = -spare / (links * pitch)
        text = f"A new chain of {links} links is tight at {tight:.1f} mm, but the axle stands at {now:g} mm: "
        if worn > _MOST_WORN:
            text += f"that is {100 * worn:.1f} % longer than new. Count the links and teeth and measure again."
            return [Finding("check", about, text, now, tight, "mm", source, field)]
        text += f"the chain is worn by {100 * worn:.1f} % or more, or a measurement is {now - tight:.1f} mm off."
        return [Finding("check", about, text, now, tight, "mm", source, field, aside=True)]
    most = arm.slack + _SLACKER
    if not _new_slack(bike, arm, pitch, links, now * MM + fitting.TAPE) > most:
        return []
    slack = _new_slack(bike, arm, pitch, links, now * MM)
    text = (
        f"With the axle at {now:g} mm even a new chain of {links} links would have {slack / MM:.0f} mm of slack, where "
        f"{arm.slack / MM:.0f} are asked for. Count the links and teeth and measure again."
    )
    return [Finding("check", about, text, slack / MM, most / MM, "mm", source, field)]


def _new_slack(bike: Bike, arm: fitting.Swingarm, pitch: float, links: int, axle: float) -> float:
    """Slack (m) of a new chain on the fitted sprockets with the axle there; NaN where it would be tight."""
    z1, z2 = bike.final_drive.front or 0, bike.final_drive.rear or 0
    centre = chainrun.centre_distance(axle, arm.angle, arm.forward, arm.up)
    spare = pitch * (links - float(chainrun.links_taut(centre, z1, z2, pitch)))
    tangent = chainrun.tangent_length(centre, z1, z2, pitch)
    return float(chainrun.slack_for_excess(tangent, spare if spare >= 0 else math.nan))


def _known(value: object) -> float | None:
    number = float(value)  # type: ignore[arg-type]
    return None if math.isnan(number) else number


def _finite(value: object) -> float | None:
    number = float(value)  # type: ignore[arg-type]
    return number if math.isfinite(number) else None
