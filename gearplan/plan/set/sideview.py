"""The side view of the chain run, to scale, as plain lines: what the page and the picture draw.

Metres, the pivot as the origin, x forward, z up.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from gearplan.bike import library
from gearplan.bike.profile import Bike, with_value
from gearplan.bike.text import written
from gearplan.bike.text.units import MM
from gearplan.drive import sprocket
from gearplan.drive.chain import chainrun, squat
from gearplan.language import tr
from gearplan.plan.chain.reach import LENGTH, TIGHTEST, UPPER_RUN, swingarm
from gearplan.plan.findings import Finding, in_order
from gearplan.plan.set.evaluate import SetResult, evaluate

_Line = tuple[NDArray[np.float64], NDArray[np.float64]]
_ARC_POINTS = 40
#: So many links more than it has take a chain round anything that an adjuster reaches.
_MOST_LONGER = 40
#: What is judged of the axle's place itself; all other findings are about the set at the slack asked for.
_AT_AXLE = (TIGHTEST, "wrap", UPPER_RUN, "lower run")
#: What the axle's place does not change: it belongs to the adjuster, to today's axle or to the links.
_NOT_MOVED = ("links_at_slack_now", "links_that_fit", "wear_left", "rear_turns_to_meet_again", "links_to_order")


@dataclass(frozen=True, slots=True)
class SideView:
    """One set's chain run. `slack` is the movement at mid-span with the axle where it is drawn (m), NaN if tight.

    `chain` is the closed line of the pins with the lower run in the middle of its movement's lower half; `front`
    and `rear` are the sprockets' rims; `slot` the two ends of the axle's way; `crossing` where the upper run's
    line meets the swingarm's, None if that is nowhere near.
    """

    axle_position: float
    angle: float
    axle: tuple[float, float]
    sprocket: tuple[float, float]
    slot: tuple[tuple[float, float], tuple[float, float]]
    in_slot: bool
    chain: _Line
    front: _Line
    rear: _Line
    upper: _Line
    boss: float | None
    crossing: tuple[float, float] | None
    contact: tuple[float, float] | None
    slack: float


@lru_cache(maxsize=8)
def side_view(bike: Bike, result: SetResult, axle_position: float | None = None) -> SideView | None:
    """The side view of a set, with the axle at the slack asked for or at another position along the arm (m).

    None while the swingarm or the set is unfinished, or where no axle position exists. Kept by value, so that an
    unchanged set gives the same object.
    """
    arm, chosen = swingarm(bike), result.set
    size = library.chain_sizes().get(chosen.chain or "")
    length = result.run.axle_position if axle_position is None else axle_position
    if isinstance(arm, Finding) or size is None or length is None or not chosen.front or not chosen.rear:
        return None
    pitch = size.pitch_mm * MM
    roller = (size.roller_mm or 0.6 * size.pitch_mm) * MM
    centre = float(chainrun.centre_distance(length, arm.angle, arm.forward, arm.up))
    tangent = float(chainrun.tangent_length(centre, chosen.front, chosen.rear, pitch))
    if math.isnan(tangent):
        return None
    axle = _along(length, arm.angle)
    upper, lower = squat.runs(length, arm.angle, arm.forward, arm.up, chosen.front, chosen.rear, pitch)
    x, z = squat.crossing(upper, arm.angle)
    near = abs(float(x)) < 3.0
    radius = result.rolling_radius
    rim_front, rim_rear = (sprocket.outline(z_, pitch, roller) for z_ in (chosen.front, chosen.rear))
    slack = slack_at(bike, result, length)
    return SideView(
        axle_position=length,
        angle=arm.angle,
        axle=axle,
        sprocket=(arm.forward, arm.up),
        slot=(_along(arm.axle_in, arm.angle), _along(arm.axle_out, arm.angle)),
        in_slot=arm.axle_in <= length <= arm.axle_out,
        chain=_chain(upper, lower, axle, (arm.forward, arm.up), 0.0 if math.isnan(slack) else slack),
        front=(rim_front[0] + arm.forward, rim_front[1] + arm.up),
        rear=(rim_rear[0] + axle[0], rim_rear[1] + axle[1]),
        upper=(np.array([upper.rear_x, upper.front_x]), np.array([upper.rear_z, upper.front_z])),
        boss=None if math.isnan(arm.boss) else arm.boss,
        crossing=(float(x), float(z)) if near else None,
        contact=None if radius is None else (axle[0], axle[1] - radius),
        slack=slack,
    )


def slack_at(bike: Bike, result: SetResult, axle_position: float) -> float:
    """Slack of the set's links (m) with the axle somewhere along the arm; NaN where the chain would not reach."""
    arm, chosen, pitch = swingarm(bike), result.set, result.run.pitch
    if isinstance(arm, Finding) or pitch is None or not (chosen.front and chosen.rear and chosen.links):
        return math.nan
    centre = float(chainrun.centre_distance(axle_position, arm.angle, arm.forward, arm.up))
    spare = pitch * (chosen.links - float(chainrun.links_taut(centre, chosen.front, chosen.rear, pitch)))
    if math.isnan(spare) or spare < 0:
        return math.nan
    return float(chainrun.slack_for_excess(chainrun.tangent_length(centre, chosen.front, chosen.rear, pitch), spare))


def with_axle_at(bike: Bike, result: SetResult, axle_position: float) -> SetResult:
    """The set with the axle at another position along the arm (m): the same links, another slack, its own findings.

    What belongs to the slack asked for stays as it is, such as the links that fit. Where the chain would be tight
    everything but the slack is told of that place all the same. The result itself where nothing can stand there.
    """
    links = result.set.links
    if links is None:
        return result
    slack = slack_at(bike, result, axle_position)
    # A chain that does not reach is stood in for by one that does: the place is the same.
    longer = links
    while math.isnan(found := slack_at(bike, replace(result, set=replace(result.set, links=longer)), axle_position)):
        if longer >= links + _MOST_LONGER:
            return result
        longer += 1
    there = evaluate(with_value(bike, "chassis", "slack_mm", found / MM), replace(result.set, links=longer))
    about = [f for f in there.findings if f.about in _AT_AXLE and not (math.isnan(slack) and f.about == _AT_AXLE[0])]
    length = next((f for f in result.findings if f.about == LENGTH and f.level != "fits"), None)
    return replace(
        there,
        set=result.set,
        run=replace(there.run, **{name: getattr(result.run, name) for name in _NOT_MOVED}),
        strength=replace(there.strength, chain_mass=result.strength.chain_mass),
        findings=in_order(
            [
                _slack_finding(bike, result, axle_position, slack),
                *([] if length is None else [length]),
                *(f for f in result.findings if f.about not in (*_AT_AXLE, LENGTH)),
                *about,
            ]
        ),
    )


def _slack_finding(bike: Bike, result: SetResult, axle_position: float, slack: float) -> Finding:
    """What is to be said of a chain with the axle there, against the slack asked for."""
    arm, source = swingarm(bike), tr("exact chain run with the axle as drawn; slack as entered")
    assert not isinstance(arm, Finding)
    at, links, asked = written.number(axle_position, MM), result.set.links, arm.slack / MM
    if math.isnan(slack):
        text = tr(
            "The axle is drawn at {at} mm, too far back for {links} links: the chain would be tight.",
            at=at,
            links=links,
        )
        return Finding("does not fit", LENGTH, text, axle_position / MM, None, "mm", source)
    text = tr(
        "The axle is drawn at {at} mm: about {slack:.0f} mm of slack with {links} links, {asked:g} mm are asked for.",
        at=at,
        slack=slack / MM,
        links=links,
        asked=asked,
    )
    if not arm.axle_in <= axle_position <= arm.axle_out:
        text = " ".join((text, tr("That is outside the adjuster's slot.")))
        return Finding("does not fit", LENGTH, text, slack / MM, asked, "mm", source)
    least, most = bike.service.slack_range_mm or (None, None)
    low, high = (asked, asked) if least is None or most is None else (least, most)
    good = round(low) <= round(slack / MM) <= round(high)
    return Finding("fits" if good else "check", LENGTH, text, slack / MM, asked, "mm", source)


def nearest_axle_position(view: SideView, x: float, z: float) -> float:
    """The position along the arm's slot that is nearest to a point of the drawing."""
    along = -x * math.cos(view.angle) - z * math.sin(view.angle)
    ends = [math.hypot(*end) for end in view.slot]
    return min(max(along, ends[0]), ends[1])


def _along(length: float, angle: float) -> tuple[float, float]:
    return -length * math.cos(angle), -length * math.sin(angle)


def _chain(
    upper: squat.Run, lower: squat.Run, axle: tuple[float, float], front: tuple[float, float], slack: float
) -> _Line:
    """Upper run, round the front, lower run bent down by half its movement, round the rear."""
    points = [(float(upper.rear_x), float(upper.rear_z)), (float(upper.front_x), float(upper.front_z))]
    points += _arc(front, points[-1], (float(lower.front_x), float(lower.front_z)), clockwise=True)
    down = np.array([lower.front_z - lower.rear_z, -(lower.front_x - lower.rear_x)])
    down = down / np.hypot(*down) * slack / 2
    middle = ((lower.front_x + lower.rear_x) / 2 + down[0], (lower.front_z + lower.rear_z) / 2 + down[1])
    points.append((float(middle[0]), float(middle[1])))
    points.append((float(lower.rear_x), float(lower.rear_z)))
    points += _arc(axle, points[-1], points[0], clockwise=True)
    xs, zs = np.array(points).T
    return np.append(xs, xs[0]), np.append(zs, zs[0])


def _arc(
    centre: tuple[float, float], start: tuple[float, float], end: tuple[float, float], *, clockwise: bool
) -> list[tuple[float, float]]:
    radius = math.hypot(start[0] - centre[0], start[1] - centre[1])
    first = math.atan2(start[1] - centre[1], start[0] - centre[0])
    last = math.atan2(end[1] - centre[1], end[0] - centre[0])
    while clockwise and last > first:
        last -= math.tau
    turn = np.linspace(first, last, _ARC_POINTS)
    return list(
        zip((centre[0] + radius * np.cos(turn)).tolist(), (centre[1] + radius * np.sin(turn)).tolist(), strict=True)
    )
