"""Does a set go into this motorcycle? Axle positions and link counts, and what is said of them.

The numbers are computed for a whole grid at once; the words are made for one set, from the same numbers.
Lengths are metres, angles radians; the texts give millimetres.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, fields, replace
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from gearplan.bike.library import ChainSize
from gearplan.bike.text import written
from gearplan.bike.text.units import DEGREE, MM
from gearplan.drive import sprocket
from gearplan.drive.chain import chainrun, squat
from gearplan.drive.sprocket import Values
from gearplan.language import tr
from gearplan.plan.chain.reach import LENGTH, TAPE, Reach
from gearplan.plan.findings import Finding, Level, missing, probably
from gearplan.setup import wornchain
from gearplan.setup.doubt import NEW_CHAIN, entry_of

_LEAST_WRAP_DEG = 120.0
#: Nearer than this the run is said to pass close: common practice, no source.
_LEAST_CLEARANCE = 2e-3


class Placed(NamedTuple):
    """One set's numbers; lengths in m, angles in rad, NaN where there is none.

    `axle` is the axle position for the links at hand at the slack asked for, `shortest` and `longest` the
    (fractional) link counts that the two ends of the adjuster allow at that slack; `longest` is NaN where the
    sprockets would touch even with the axle fully out. Counts from `roomy_from` to `roomy_to` stand clear of both ends
    and leave room for the chain's wear. `slack_needed` is the slack on the stand below which the
    chain would be tight somewhere in the travel. `upper` and `lower` are the clearances of the runs' plates from
    the boss, `wear_left` is the elongation that the adjuster can still take up, a fraction.
    """

    axle: float
    shortest: float
    longest: float
    roomy_from: float
    roomy_to: float
    slack_needed: float
    wrap_front: float
    upper: float
    lower: float
    wear_left: float


@dataclass(frozen=True, slots=True)
class Fit:
    """The numbers of `Placed` for the sets of a grid, as arrays of one shape."""

    axle: NDArray[np.float64]
    shortest: NDArray[np.float64]
    longest: NDArray[np.float64]
    roomy_from: NDArray[np.float64]
    roomy_to: NDArray[np.float64]
    slack_needed: NDArray[np.float64]
    wrap_front: NDArray[np.float64]
    upper: NDArray[np.float64]
    lower: NDArray[np.float64]
    wear_left: NDArray[np.float64]

    def rows(self) -> list[list[Placed]]:
        """The sets one by one, [row][column] of a two-dimensional grid."""
        whole = np.stack([np.broadcast_to(getattr(self, f.name), self.axle.shape) for f in fields(self)], axis=-1)
        return [[Placed(*cell) for cell in row] for row in whole.tolist()]

    def only(self) -> Placed:
        """The numbers of a single set."""
        return Placed(*(float(getattr(self, f.name)) for f in fields(self)))


def fit(arm: Reach, front: Values, rear: Values, links: Values | None, size: ChainSize) -> Fit:
    """Where every front × rear given (arrays that broadcast; `links` may too) puts the axle, and what follows."""
    pitch, plate = size.pitch_mm * MM, (size.plate_height_mm or 0.0) * MM
    z1, z2 = np.broadcast_arrays(np.asarray(front, float), np.asarray(rear, float))
    touching = sprocket.pitch_radius(z1, pitch) + sprocket.pitch_radius(z2, pitch)
    ends = np.array([arm.axle_in, arm.axle_out, arm.axle_in + arm.close, arm.axle_out - arm.close])
    centres = chainrun.centre_distance(ends, arm.angle, arm.forward, arm.up).reshape(4, *[1] * z1.ndim)
    # Between sprockets that would touch there is no chain, whatever the adjuster does.
    shortest, longest, roomy_from, before_end = chainrun.links_at_slack(
        np.maximum(centres, touching), z1, z2, pitch, arm.slack
    )
    longest = np.where(centres[1] > touching, longest, np.nan)
    roomy_to = np.minimum(before_end, longest / (1 + arm.wear_limit.elongation))
    none = np.full(z1.shape, np.nan)
    if links is None:
        return Fit(none, shortest, longest, roomy_from, roomy_to, none, none, none, none, none)
    axle = chainrun.axle_for_links(links, z1, z2, pitch, arm.slack, arm.angle, arm.forward, arm.up)
    upper, lower = squat.runs(axle, arm.angle, arm.forward, arm.up, z1, z2, pitch)
    centre = chainrun.centre_distance(axle, arm.angle, arm.forward, arm.up)
    return Fit(
        axle=axle,
        shortest=shortest,
        longest=longest,
        roomy_from=roomy_from,
        roomy_to=roomy_to,
        slack_needed=slack_needed(arm, axle, z1, z2, pitch),
        wrap_front=chainrun.wrap_angles(centre, z1, z2, pitch)[0],
        upper=np.asarray(squat.distance_to_pivot(upper) - arm.boss - plate / 2),
        lower=np.asarray(-squat.distance_to_pivot(lower) - arm.boss - plate / 2),
        wear_left=np.asarray(longest / links - 1),
    )


def slack_needed(arm: Reach, axle: Values, front: Values, rear: Values, pitch: float) -> NDArray[np.float64]:
    """Slack as the bike stands, below which the chain would be tight at the tightest point of the travel."""
    here = chainrun.centre_distance(axle, arm.angle, arm.forward, arm.up)
    farthest = chainrun.centre_distance(axle, arm.tightest_angle, arm.forward, arm.up)
    spare = pitch * (chainrun.links_taut(farthest, front, rear, pitch) - chainrun.links_taut(here, front, rear, pitch))
    return chainrun.slack_for_excess(chainrun.tangent_length(here, front, rear, pitch), np.maximum(spare, 0))


def levels(arm: Reach, placed: Fit, links: NDArray[np.int_]) -> NDArray[np.int_]:
    """What `findings` says of many sets at once: 0 fits, 1 check, 2 does not fit; for link counts that are known."""
    with np.errstate(invalid="ignore"):
        inside = (placed.axle >= arm.axle_in) & (placed.axle <= arm.axle_out)
        odd = links % 2 == 1
        closes = inside & (arm.offset_link | ~odd)
        doubted = placed.wrap_front / DEGREE < _LEAST_WRAP_DEG
        doubted |= inside & (_to_end(arm, placed.axle) < arm.close)
        doubted |= (placed.upper < _LEAST_CLEARANCE) | (placed.lower < _LEAST_CLEARANCE)
        if not math.isnan(arm.travel[0]):
            doubted |= ~(placed.slack_needed / MM <= arm.slack / MM)
        if arm.wear_limit.own:
            doubted |= inside & ~odd & (100 * placed.wear_left < 100 * arm.wear_limit.elongation)
        refused = ~closes | (placed.upper < 0) | (placed.lower < 0)
    return np.where(refused, 2, np.where(doubted | odd, 1, 0))


def moved(arm: Reach, axle: Values) -> Any:
    """How far an axle position is behind where the axle stands now, level share (m); 0 with that not known."""
    return 0.0 if math.isnan(arm.now) else (axle - arm.now) * math.cos(arm.angle)


def even_counts(shortest: float, longest: float) -> tuple[int, ...]:
    """The even link counts that the adjuster can take; empty if there is none."""
    return () if math.isnan(longest) else chainrun.even_links_between(shortest, longest)


def links_to_order(placed: Placed, at_hand: int | None) -> int | None:
    """The chain at hand if it fits, else the even count nearest to it that does (without one: the longest).

    A count that stands clear of the adjuster's ends and leaves room for wear goes before one that does not.
    """
    fitting = even_counts(placed.shortest, placed.longest)
    if at_hand in fitting:
        return at_hand
    return _nearest(even_counts(placed.roomy_from, placed.roomy_to) or fitting, at_hand)


def findings(arm: Reach, placed: Placed, links: int | None, *, stays: bool = False) -> list[Finding]:
    """All that is to be said of how one set's chain runs on this swingarm; `stays` of the one that is on the bike."""
    length = length_finding(arm, placed, links, stays=stays)
    if math.isnan(placed.axle):
        return [length]
    found = [length, *_wear_room(arm, placed, links), *_wrap(placed)]
    return found + ([] if arm.basis == "adjuster" else [*_tightest(arm, placed), *_clearance(arm, placed)])


def length_finding(arm: Reach, placed: Placed, links: int | None, *, stays: bool = False) -> Finding:
    """What is to be said of a chain's length: where the axle goes, or, if it `stays`, where a new one puts it."""
    axle, shortest, longest = placed.axle, placed.shortest, placed.longest
    fitting = even_counts(shortest, longest)
    if math.isnan(longest):
        return Finding(
            "does not fit",
            LENGTH,
            tr("The sprockets would touch each other anywhere in the adjuster's range: choose smaller ones."),
            source=_SOURCE[arm.basis],
            short=tr("The sprockets would touch each other"),
        )
    would = _would_fit(fitting, shortest, longest)
    if links is None:
        lacking = missing(LENGTH, tr("Whether the fitted chain fits"), [("final_drive.links", tr("its links"))])
        return replace(lacking, text=f"{lacking.text} {would}")
    source = tr("exact chain run at the slack asked for; {source}", source=_SOURCE[arm.basis])
    if math.isnan(axle):
        return Finding(
            "does not fit",
            LENGTH,
            tr("{links} links do not even reach round these sprockets. {would}", links=links, would=would),
            links,
            _nearest(fitting, links),
            "links",
            source,
            short=tr("{links} links do not reach round these sprockets", links=links),
        )
    if not arm.axle_in <= axle <= arm.axle_out:
        return _beyond(arm, axle, links, would, source, stays=stays)
    if links % 2:
        text = tr(
            "{links} is an odd count: it closes only with an offset link, which weakens a chain. {would}",
            links=links,
            would=would,
        )
        level: Level = "check" if arm.offset_link else "does not fit"
        short = tr("{links} is an odd number of links", links=links)
        return Finding(level, LENGTH, text, links, _nearest(fitting, links), "links", source, short=short)
    left = written.at_least_one((arm.axle_out - axle) / MM)
    text = tr(
        "{links} links fit: {goes}{left} {left2} mm left for wear.",
        links=links,
        goes=_goes(arm, axle, "goes", stays=stays),
        left=_LEFT[arm.basis],
        left2=left,
    )
    figures = (axle / MM, arm.axle_out / MM) if arm.geometry_known else _way(arm, axle)
    to_end = float(_to_end(arm, axle))
    if to_end >= arm.close:
        return Finding("fits", LENGTH, text, *figures, "mm", source)
    end = "front" if axle - arm.axle_in == to_end else "rear"
    if arm.doubt > TAPE:
        text = tr(
            "{probably} The {end} end is nearer than the axle is known: {decides}.",
            probably=probably(text),
            end=end,
            decides=_decides(arm),
        )
    else:
        text += tr(
            " That is within {tape:.0f} mm of the {end} end, and chains and tape measures differ by as much: ",
            tape=TAPE / MM,
            end=end,
        )
        text += tr("try it before the chain is cut.")
        source += tr("; less than {tape:.0f} mm from an end: common practice, no source", tape=TAPE / MM)
    return Finding("check", LENGTH, text, to_end / MM, arm.close / MM, "mm", source, sure=False)


_SOURCE = {
    "swingarm": tr("adjuster's range as entered"),
    "adjuster": tr("from where the axle stands now, by what is left in the adjuster"),
}
_LEFT = {"swingarm": ",", "adjuster": ";"}
#: What decides where a verdict is not sure, by the field of the input that is least known.
_DECIDES = {
    wornchain.FIELD: tr("the old chain's wear decides"),
    "chassis.centre_distance_mm": tr("the distance from shaft to axle decides"),
    "chassis.sprocket_from_pivot_mm": tr("the front sprocket's place decides"),
    NEW_CHAIN: tr("the new chain's own length decides"),
}


def _decides(arm: Reach) -> str:
    by = max(arm.to_rear.parts, key=lambda part: max(part[1:]))[0] if arm.to_rear is not None else ""
    return _DECIDES.get(entry_of(by), "measure the adjuster again")


def _way(arm: Reach, axle: float) -> tuple[float, float]:
    """(how far the axle goes, what the adjuster has left that way), both in mm and positive."""
    back = axle >= arm.now
    return abs(axle - arm.now) / MM, (arm.axle_out - arm.now if back else arm.now - arm.axle_in) / MM


def _goes(arm: Reach, axle: float, verb: str, *, stays: bool) -> str:
    """Where the axle goes, with what the adjuster allows: ends before what is left."""
    by = written.measured(abs(axle - arm.now), 0.0 if arm.moves is None else arm.moves.half, MM)
    way = f"{by} mm {'back' if axle >= arm.now else 'forward'}"
    puts = tr("a new chain puts") if verb == "goes" else tr("a new chain would put")
    if not arm.geometry_known:
        moves = tr("{puts} the axle", puts=puts) if stays else tr("the axle {verb}", verb=verb)
        return tr(
            "{moves} {way}, of {way2} mm that the adjuster has there",
            moves=moves,
            way=way,
            way2=written.at_least_one(_way(arm, axle)[1]),
        )
    is_at = (
        tr("{puts} the axle at", puts=puts)
        if stays
        else tr("pivot to axle {text}", text="is" if verb == "goes" else tr("would be"))
    )
    ends = tr(
        "{axle_in} to {axle_out} mm",
        axle_in=written.shortest(arm.axle_in / MM),
        axle_out=written.shortest(arm.axle_out / MM),
    )
    there = "" if math.isnan(arm.now) else tr(", {way} of where it stands", way=way)
    at = written.number(axle, MM) if verb == "goes" else written.against(axle / MM, _end(arm, axle) / MM)
    return tr("{is_at} {at} mm{there}; the adjuster reaches from {ends}", is_at=is_at, at=at, there=there, ends=ends)


def _end(arm: Reach, axle: float) -> float:
    return arm.axle_in if axle < arm.axle_in else arm.axle_out


def _beyond(arm: Reach, axle: float, links: int, would: str, source: str, *, stays: bool) -> Finding:
    sure = -float(_to_end(arm, axle)) > arm.doubt
    what = tr(
        "{links} links are{part} too {part2}",
        links=links,
        part="" if sure else " probably",
        part2="short" if axle < arm.axle_in else "long",
    )
    text = f"{what}: {_goes(arm, axle, tr('would go'), stays=stays)}{('' if sure else f'; {_decides(arm)}')}. {would}"
    figures = (axle / MM, _end(arm, axle) / MM) if arm.geometry_known else _way(arm, axle)
    return Finding("does not fit", LENGTH, text, *figures, "mm", source, short=what, sure=sure)


def _to_end(arm: Reach, axle: Values) -> NDArray[np.float64]:
    """How far an axle position is from the nearer end of the adjuster; negative outside."""
    return np.asarray(np.minimum(axle - arm.axle_in, arm.axle_out - axle))


def _wear_room(arm: Reach, placed: Placed, links: int | None) -> list[Finding]:
    limit, left = arm.wear_limit, 100 * placed.wear_left
    even_inside = links is not None and links % 2 == 0 and arm.axle_in <= placed.axle <= arm.axle_out
    if not even_inside or left >= 100 * limit.elongation:
        return []
    text = tr(
        "The adjuster can take up {left:.1f} % elongation: it ends before the chain is worn to its limit of {words}.",
        left=left,
        words=limit.words,
    )
    source = tr("{source}; limit: {source2}", source=_SOURCE[arm.basis], source2=limit.source)
    figures = (left, 100 * limit.elongation, "%", source)
    return [Finding("check", "adjuster", text, *figures, aside=not limit.own)]


def _tightest(arm: Reach, placed: Placed) -> list[Finding]:
    needed, asked = placed.slack_needed / MM, arm.slack / MM
    unknown = math.isnan(arm.travel[0])
    where = tr("where sprocket, pivot and axle are in line") if unknown else tr("within the travel")
    source = tr("exact chain run at the tightest point; slack as entered")
    needs = written.against(needed, asked)
    if needed <= asked:
        text = tr(
            "No tight spot through the travel: as the bike stands the chain needs {needs} mm of slack and gets ",
            needs=needs,
        )
        text += f"{asked:g}."
        return [Finding("fits", "tightest point", text, needed, asked, "mm", source)]
    text = tr(
        "The chain would be tight {where}: it needs {needs} mm of slack as the bike stands and gets "
        "{asked:g}. Check the swingarm's figures and the service data.",
        where=where,
        needs=needs,
        asked=asked,
    )
    if unknown:
        text += tr(" Enter the swingarm's travel to know whether it goes so far.")
    field = "chassis.swingarm_travel_deg" if unknown else ""
    return [Finding("check", "tightest point", text, needed, asked, "mm", source, field, aside=unknown)]


def _wrap(placed: Placed) -> list[Finding]:
    wrap = placed.wrap_front / DEGREE
    if wrap >= _LEAST_WRAP_DEG:
        return []
    text = tr(
        "The chain wraps the front sprocket by only {wrap:.0f}°; {least_wrap_deg:.0f}° is the least advised.",
        wrap=wrap,
        least_wrap_deg=_LEAST_WRAP_DEG,
    )
    source = tr("Mott, Machine Elements in Mechanical Design, example 7-3")
    return [Finding("check", "wrap", text, wrap, _LEAST_WRAP_DEG, "°", source)]


def _clearance(arm: Reach, placed: Placed) -> list[Finding]:
    if math.isnan(arm.boss):
        fields = [("chassis.pivot_boss_radius_mm", tr("the radius of the boss or rubber round the pivot"))]
        return [missing("upper run", tr("Whether the chain clears the pivot"), fields, aside=True)]
    found = []
    for name, clear in (("upper", placed.upper), ("lower", placed.lower)):
        if math.isnan(clear) or clear >= _LEAST_CLEARANCE:
            continue
        touches = clear < 0
        text = tr("The {name} run touches the boss or rubber round the pivot.", name=name)
        if not touches:
            room = written.at_least_one(clear / MM)
            text = tr(
                "The {name} run passes the boss or rubber round the pivot with {room} mm between it and the plates.",
                name=name,
                room=room,
            )
        level: Level = "does not fit" if touches else "check"
        source = tr("tangents of the pitch circles, half the plate height; boss as entered")
        least = 0.0 if touches else _LEAST_CLEARANCE / MM
        found.append(Finding(level, tr("{name} run", name=name), text, clear / MM, least, "mm", source))
    return found


def _would_fit(fitting: tuple[int, ...], shortest: float, longest: float) -> str:
    if fitting:
        return tr("{join} links fit.", join=" or ".join(map(str, fitting)))
    return tr(
        "No even count fits: the adjuster takes {shortest:.2f} to {longest:.2f} links.",
        shortest=shortest,
        longest=longest,
    )


def _nearest(fitting: tuple[int, ...], links: int | None) -> int | None:
    return min(fitting, key=lambda count: -count if links is None else abs(count - links), default=None)
