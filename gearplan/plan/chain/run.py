"""The chain of one set on this swingarm: where it puts the axle, and what is to be said of it."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from gearplan.bike import library
from gearplan.bike.profile import Bike
from gearplan.bike.text import written
from gearplan.bike.text.units import MM
from gearplan.drive.chain import chainrun, wear
from gearplan.language import marked, tr
from gearplan.plan.chain import fit as fitting
from gearplan.plan.chain import fitwords
from gearplan.plan.chain.asfitted import as_fitted
from gearplan.plan.chain.kept import kept_findings
from gearplan.plan.chain.reach import LENGTH, reach, slack_asked, stand, swingarm
from gearplan.plan.driveset import DriveSet, fitted
from gearplan.plan.findings import Finding, missing
from gearplan.setup.assumed import if_known


@dataclass(frozen=True, slots=True)
class ChainRun:
    """The chain's numbers in SI (m, rad); None where the profile lacks what they need.

    `basis` says what the fit was worked out from, "swingarm" or "adjuster"; empty while it cannot be. `links_taut_now`
    is the exact length where the axle stands with both runs straight, `links_at_slack_now` the same with the slack
    asked for, if it is entered. `axle_position` (pivot to axle), and what follows from it, belongs to the links of the
    set at the slack asked for, also where it lies outside the adjuster's range; `moves` is how far that is behind where
    the axle stands now, `moved` its level share (0 where it is not known). `slack_needed` is the slack as the bike
    stands that keeps the tightest point of the travel from being tight; the clearances are those of the runs' plates
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
    moves: float | None = None
    basis: str = ""


def chain_run(bike: Bike, chosen: DriveSet) -> tuple[ChainRun, list[Finding]]:
    """The chain's numbers for one set, and the findings about its length, size and count."""
    size = library.chain_sizes().get(chosen.chain or "")
    if size is None:
        return ChainRun(), [
            missing(LENGTH, tr("Whether the chain fits"), [("final_drive.chain", tr("the chain size"))])
        ]
    pitch = size.pitch_mm * MM
    found = _other_size(bike, chosen)
    arm = reach(bike)
    if chosen.front is None or chosen.rear is None:
        return ChainRun(pitch), [*found, *([arm] if isinstance(arm, Finding) else [])]
    if isinstance(whole := swingarm(bike), Finding) and whole.aside:
        found.append(whole)
    if isinstance(arm, Finding):
        return _without_ends(bike, chosen, pitch, found, arm), found
    z1, z2 = chosen.front, chosen.rear
    placed = fitting.fit(arm, z1, z2, chosen.links, size).only()
    found += fitwords.findings(arm, placed, chosen.links, stays=chosen == fitted(bike))
    found += kept_findings(bike, chosen, arm, placed.axle)
    found += as_fitted(bike, chosen, arm, pitch)
    centre_now = chainrun.centre_distance(arm.now, arm.angle, arm.forward, arm.up)
    run = ChainRun(
        pitch,
        links_taut_now=_known(chainrun.links_taut(centre_now, z1, z2, pitch)),
        links_at_slack_now=(
            None
            if bike.chassis.slack_mm is None
            else _known(chainrun.links_at_slack(centre_now, z1, z2, pitch, arm.slack))
        ),
        links_that_fit=fitting.even_counts(placed.shortest, placed.longest),
        rear_turns_to_meet_again=_meets_again(chosen),
        links_to_order=fitting.links_to_order(placed, chosen.links),
        basis=arm.basis,
    )
    if math.isnan(placed.axle):
        return run, found
    moved = fitting.moved(arm, placed.axle)
    wheelbase = _wheelbase(bike, arm.now, moved, found)
    run = replace(
        run,
        axle_position=placed.axle if arm.geometry_known else None,
        moves=_known(placed.axle - arm.now),
        centre_distance=float(chainrun.centre_distance(placed.axle, arm.angle, arm.forward, arm.up)),
        wheelbase=wheelbase,
        wrap_front=placed.wrap_front,
        wrap_rear=math.tau - placed.wrap_front,
        slack_needed=_known(placed.slack_needed) if arm.geometry_known else None,
        upper_clearance=_known(placed.upper),
        lower_clearance=_known(placed.lower),
        wear_left=_known(placed.wear_left),
        front_load_share=_front_load(bike, wheelbase, moved, found),
        moved=moved,
        slack_per_axle=_finite(
            chainrun.slack_per_axle(placed.axle, arm.slack, z1, z2, pitch, arm.angle, arm.forward, arm.up)
        ),
    )
    return run, found


def _without_ends(bike: Bike, chosen: DriveSet, pitch: float, found: list[Finding], lacks: Finding) -> ChainRun:
    """What can be told while nobody knows how far the adjuster reaches: where the axle would go."""
    stands = stand(bike)
    run = ChainRun(pitch, rear_turns_to_meet_again=_meets_again(chosen))
    if stands is None or chosen.links is None or chosen.front is None or chosen.rear is None:
        found.append(lacks)
        return run
    centre = _known(chainrun.centre_for_links(chosen.links, chosen.front, chosen.rear, pitch, slack_asked(bike)))
    if centre is None:
        found.append(lacks)
        return run
    by = centre - stands.centre
    way = fitwords.axle_way(written.number(abs(by), MM), back=by >= 0)
    puts = tr("{links} links put the axle about {way}.", links=chosen.links, way=way)
    found.append(replace(lacks, text=f"{puts} {lacks.text}"))
    wrap = float(chainrun.wrap_angles(centre, chosen.front, chosen.rear, pitch)[0])
    wheelbase = _wheelbase(bike, stands.centre, by, found)
    return replace(
        run,
        moves=by,
        centre_distance=centre,
        wheelbase=wheelbase,
        wrap_front=wrap,
        wrap_rear=math.tau - wrap,
        front_load_share=_front_load(bike, wheelbase, by, found),
    )


def _meets_again(chosen: DriveSet) -> int | None:
    if chosen.links is None or chosen.rear is None:
        return None
    return wear.turns_to_meet_again(chosen.rear, chosen.links)


def _wheelbase(bike: Bike, now: float, moved: float, found: list[Finding]) -> float | None:
    """The wheelbase, lengthened by how far the axle moves back from where it stands (NaN if unknown)."""
    base = if_known(bike, "chassis", "wheelbase_mm")
    if base is None or math.isnan(now):
        wanted = (
            ("chassis.wheelbase_mm", tr("the wheelbase"), base),
            ("chassis.axle_now_mm", tr("where the axle stands now"), None if math.isnan(now) else now),
        )
        lacking = [(path, label) for path, label, value in wanted if value is None]
        found.append(missing(marked("wheelbase"), tr("The wheelbase"), lacking, aside=True))
        return None
    return base.value * MM + moved


def _front_load(bike: Bike, wheelbase: float | None, moved: float, found: list[Finding]) -> float | None:
    """Share of the weight on the front wheel, by moments about the rear contact point."""
    ahead = if_known(bike, "chassis", "com_ahead_of_rear_axle_mm")
    if ahead is None:
        fields = [("chassis.com_ahead_of_rear_axle_mm", tr("where the centre of mass lies"))]
        found.append(missing(marked("front load"), tr("The front wheel's share of the weight"), fields, aside=True))
    return None if wheelbase is None or ahead is None else (ahead.value * MM + moved) / wheelbase


def _other_size(bike: Bike, chosen: DriveSet) -> list[Finding]:
    on = bike.final_drive.chain
    if on is None or on == chosen.chain:
        return []
    sizes = library.chain_sizes()
    now, then = sizes.get(on), sizes.get(chosen.chain or "")
    differ = [] if now is None or then is None else [told for _, told in other_dimensions(now, then)]
    if differ:
        text = tr(
            "Chain {chain} in place of {on}: both sprockets and the chain change together ({differ}). "
            "Watch the front sprocket's offset.",
            chain=chosen.chain,
            on=on,
            differ=written.listed(differ),
        )
    else:
        text = tr(
            "Chain {chain} in place of {on}: both sprockets and the chain change together. "
            "Watch the front sprocket's offset.",
            chain=chosen.chain,
            on=on,
        )
    return [Finding("check", marked("chain size"), text, source=tr("common practice, no source"))]


def other_dimensions(now: library.ChainSize, then: library.ChainSize) -> list[tuple[str, str]]:
    """Which dimensions of two chain sizes differ, as their key and in words: "pitch 15.875 → 19.05 mm".

    What is not known is left out.
    """
    compared = (
        ("pitch_mm", tr("pitch"), now.pitch_mm, then.pitch_mm),
        ("inner_width_mm", tr("inner width"), now.inner_width_mm, then.inner_width_mm),
        ("roller_mm", tr("rollers"), now.roller_mm, then.roller_mm),
    )
    return [
        (key, f"{name} {written.shortest(was)} → {written.shortest(be)} mm")
        for key, name, was, be in compared
        if was is not None and be is not None and was != be
    ]


def _known(value: object) -> float | None:
    number = float(value)  # type: ignore[arg-type]
    return None if math.isnan(number) else number


def _finite(value: object) -> float | None:
    number = float(value)  # type: ignore[arg-type]
    return number if math.isfinite(number) else None
