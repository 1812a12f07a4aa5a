"""Whether what was entered of the chain on the bike, its axle and its adjuster agrees."""

from __future__ import annotations

import math
from dataclasses import replace

from gearplan.bike.profile import Bike
from gearplan.bike.text.units import MM
from gearplan.bike.text.written import listed, number, shortest
from gearplan.drive.chain import chainrun
from gearplan.language import marked, tr
from gearplan.plan.chain.reach import TAPE, Reach, centre_by_chain, stand, whole_pair
from gearplan.plan.chain.wear import wear_limit
from gearplan.plan.driveset import DriveSet, fitted
from gearplan.plan.findings import Finding
from gearplan.setup import doubt, wornchain

_ABOUT, _STANDS = marked("chain as fitted"), marked("where the axle stands")
_SOURCE = tr("exact chain run; axle, links and teeth as entered")
_AGAIN = tr("Count the links and teeth and measure again.")
#: A chain that is longer than new by more than this is no longer ridden, and one that hangs this much (m) over the
#: slack asked for is seen at once: beyond them an entry is wrong. Common practice, no source.
_MOST_WORN, _SLACKER = 0.02, 30e-3
#: From the front sprocket's shaft to the axle (m): nearer or farther no motorcycle has it. Common practice, no source.
_CENTRES = (0.25, 1.1)
#: What an adjuster has from end to end at most. Common practice, no source.
_LONGEST_SLOT_MM = 120.0
#: Nearer than this nobody measures.
_SAME_AXLE_MM = 0.5


def as_fitted(bike: Bike, chosen: DriveSet, arm: Reach, pitch: float) -> list[Finding]:
    """What contradicts: the axle against links and wear, the tape against the chain, the adjuster against its ends.

    By the adjuster every set's way is counted from where the axle stands: what contradicts that is told of each set.
    """
    if arm.geometry_known:
        return [*_axle(bike, arm, pitch), *_tape(bike, arm), *_left(bike)] if chosen == fitted(bike) else []
    return [replace(found, about=_STANDS) for found in (*_far(bike), *_tape(bike, arm), *_left(bike))]


def _far(bike: Bike) -> list[Finding]:
    """Links and teeth that put the axle where no motorcycle has it, while nothing else says where it stands."""
    on, stands = bike.final_drive, stand(bike)
    if stands is None or stands.field != wornchain.FIELD:
        return []
    least, most = _CENTRES
    if least <= stands.centre <= most:
        return []
    text = tr(
        "{links} links on {front}/{rear} put the axle {centre} mm from the sprocket's shaft, where no "
        "motorcycle has it. Count the links and teeth again.",
        links=on.links,
        front=on.front,
        rear=on.rear,
        centre=number(stands.centre, MM),
    )
    nearest = min(max(stands.centre, least), most)
    figures = (stands.centre / MM, nearest / MM, "mm", tr("common practice, no source"), "final_drive.links")
    return [Finding("check", _ABOUT, text, *figures)]


def _axle(bike: Bike, arm: Reach, pitch: float) -> list[Finding]:
    """Whether the axle stands where the fitted chain lets it stand, or one of the entries is wrong.

    A used chain is longer than its links say; by how much, the axle tells if the rest is right.
    """
    on, now = bike.final_drive, bike.chassis.axle_now_mm
    if on.links is None or now is None or on.front is None or on.rear is None:
        return []
    z1, z2, links = on.front, on.rear, on.links
    place = (arm.angle, arm.forward, arm.up)
    centre = chainrun.centre_distance(now * MM, *place)
    spare = pitch * (links - float(chainrun.links_taut(centre, z1, z2, pitch)))
    field = "chassis.axle_now_mm"
    if math.isnan(spare):
        return []
    if _new_slack(bike, arm, pitch, links, now * MM + TAPE) > arm.slack + _SLACKER:
        slack, most = _new_slack(bike, arm, pitch, links, now * MM), arm.slack + _SLACKER
        text = tr(
            "With the axle at {now:g} mm even a new chain of {links} links would have {slack:.0f} mm of "
            "slack, where {asked:.0f} are asked for. {again}",
            now=now,
            links=links,
            slack=slack / MM,
            asked=arm.slack / MM,
            again=_AGAIN,
        )
        return [Finding("check", _ABOUT, text, slack / MM, most / MM, "mm", _SOURCE, field)]
    if wornchain.elongation(bike).assumed is None:
        return _by_wear(bike, arm, links)
    tight = float(chainrun.axle_for_links(links, z1, z2, pitch, 0.0, *place)) / MM
    if spare > 0 or math.isnan(tight) or now - tight < _SAME_AXLE_MM:
        return []
    worn = -spare / (links * pitch)
    given = {"links": links, "tight": tight, "now": now, "worn": 100 * worn}
    if worn > _MOST_WORN:
        text = tr(
            "A new chain of {links} links is tight at {tight:.1f} mm, but the axle stands at {now:g} mm: that is "
            "{worn:.1f} % longer than new. {again}",
            **given,
            again=_AGAIN,
        )
        return [Finding("check", _ABOUT, text, now, tight, "mm", _SOURCE, field)]
    text = tr(
        "A new chain of {links} links is tight at {tight:.1f} mm, but the axle stands at {now:g} mm: the chain is worn "
        "by {worn:.1f} % or more, or a measurement is {off:.1f} mm off.",
        **given,
        off=now - tight,
    )
    worn_out = worn >= wear_limit(bike).elongation
    if worn_out:
        text = f"{text} {tr('Measure the chain: so far worn it is to be renewed.')}"
    return [Finding("check", _ABOUT, text, now, tight, "mm", _SOURCE, field, aside=not worn_out)]


def _by_wear(bike: Bike, arm: Reach, links: int) -> list[Finding]:
    """A chain whose wear was measured says where the axle stands; so does the axle."""
    centre, now = centre_by_chain(bike), bike.chassis.axle_now_mm
    if centre is None or now is None:
        return []
    there = float(chainrun.axle_at_centre_distance(centre, arm.angle, arm.forward, arm.up))
    if math.isnan(there) or abs(there - now * MM) <= arm.close:
        return []
    worn = wornchain.elongation(bike).value
    text = tr(
        "With {links} links and {worn} % of wear the axle stands at {there} mm, but it was read at {now:g} mm. {again}",
        links=links,
        worn=number(worn, 1, 1),
        there=number(there, MM),
        now=now,
        again=_AGAIN,
    )
    return [Finding("check", _ABOUT, text, now, there / MM, "mm", _SOURCE, "chassis.axle_now_mm")]


def _tape(bike: Bike, arm: Reach) -> list[Finding]:
    """A tape from shaft to axle against the chain, and against the swingarm."""
    tape, field = bike.chassis.centre_distance_mm, "chassis.centre_distance_mm"
    if tape is None:
        return []
    off = doubt.entered_within(bike, field, tape) * MM
    by_chain, worn = centre_by_chain(bike), doubt.inputs(bike, [wornchain.FIELD])
    if by_chain is not None and worn:
        new = by_chain / (1 + worn[0].value / 100)
        low, high = (new * (1 + end / 100) for end in (worn[0].low, worn[0].high))
        if not low - off <= tape * MM <= high + off:
            text = tr(
                "{tape:g} mm from sprocket shaft to axle does not go with {links} links on {front}/{rear}, "
                "which put the axle {low} to {high} mm away. {again}",
                tape=tape,
                links=bike.final_drive.links,
                front=bike.final_drive.front,
                rear=bike.final_drive.rear,
                low=number(low, MM),
                high=number(high, MM),
                again=_AGAIN,
            )
            nearest = min(max(tape * MM, low), high)
            return [Finding("check", _ABOUT, text, tape, nearest / MM, "mm", _SOURCE, field)]
    if arm.geometry_known and bike.chassis.axle_now_mm is not None:
        there = float(chainrun.centre_distance(arm.now, arm.angle, arm.forward, arm.up))
        if abs(there - tape * MM) > max(TAPE, off):
            text = tr(
                "{tape:g} mm from sprocket shaft to axle does not go with the swingarm's figures, which "
                "make it {there} mm. Measure again.",
                tape=tape,
                there=number(there, MM),
            )
            return [Finding("check", _ABOUT, text, tape, there / MM, "mm", tr("geometry of the swingarm"), field)]
    return []


def _left(bike: Bike) -> list[Finding]:
    """What is left in the adjuster against its ends and where the axle stands."""
    c = bike.chassis
    left, ends, now = whole_pair(c.adjuster_left_mm), whole_pair(c.axle_range_mm), c.axle_now_mm
    if left is not None and sum(left) > _LONGEST_SLOT_MM:
        text = tr(
            "{forward:g} mm and {back:g} mm left in the adjuster: no adjuster is so long. Read it again.",
            forward=left[0],
            back=left[1],
        )
        figures = (sum(left), _LONGEST_SLOT_MM, "mm", tr("common practice, no source"), "chassis.adjuster_left_mm")
        return [Finding("check", _ABOUT, text, *figures)]
    if left is None or ends is None or ends[0] >= ends[1]:
        return []
    by_ends = (ends[1] - ends[0],) if now is None else (now - ends[0], ends[1] - now)
    read = (sum(left),) if now is None else left
    if all(abs(one - other) <= TAPE / MM for one, other in zip(read, by_ends, strict=True)):
        return []
    left_read = listed(f"{shortest(one)} mm" for one in read)
    by_axle = listed(f"{number(one)} mm" for one in by_ends)
    if now is None:
        text = tr(
            "{left} left in the adjuster do not go with pivot to axle, which leaves {by_axle} in all. Measure again.",
            left=left_read,
            by_axle=by_axle,
        )
    else:
        text = tr(
            "{left} left in the adjuster do not go with pivot to axle, which leaves {by_axle} forward and back. "
            "Measure again.",
            left=left_read,
            by_axle=by_axle,
        )
    return [Finding("check", _ABOUT, text, read[-1], by_ends[-1], "mm", tr("as entered"), "chassis.adjuster_left_mm")]


def _new_slack(bike: Bike, arm: Reach, pitch: float, links: int, axle: float) -> float:
    """Slack (m) of a new chain on the fitted sprockets with the axle there; NaN where it would be tight."""
    z1, z2 = bike.final_drive.front or 0, bike.final_drive.rear or 0
    centre = chainrun.centre_distance(axle, arm.angle, arm.forward, arm.up)
    spare = pitch * (links - float(chainrun.links_taut(centre, z1, z2, pitch)))
    tangent = chainrun.tangent_length(centre, z1, z2, pitch)
    return float(chainrun.slack_for_excess(tangent, spare if spare >= 0 else math.nan))
