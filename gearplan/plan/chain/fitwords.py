"""What is said of how one set's chain goes into this motorcycle, from the numbers of `fit`.

Lengths are metres, angles radians; the texts give millimetres.
"""

from __future__ import annotations

import math
from dataclasses import replace

from gearplan.bike.text import written
from gearplan.bike.text.units import DEGREE, MM
from gearplan.language import marked, tr
from gearplan.plan.chain.fit import LEAST_CLEARANCE, LEAST_WRAP_DEG, Placed, even_counts, nearest, to_end
from gearplan.plan.chain.reach import LENGTH, TAPE, TIGHTEST, UPPER_RUN, Reach
from gearplan.plan.findings import Finding, Level, missing, probably
from gearplan.setup import wornchain
from gearplan.setup.doubt import NEW_CHAIN, entry_of

_LOWER_RUN = marked("lower run")
_SOURCE = {
    "swingarm": tr("adjuster's range as entered"),
    "adjuster": tr("from where the axle stands now, by what is left in the adjuster"),
}
_BEFORE_LEFT = {"swingarm": ",", "adjuster": ";"}
#: What decides where a verdict is not sure, by the field of the input that is least known.
_DECIDES = {
    wornchain.FIELD: tr("the old chain's wear decides"),
    "chassis.centre_distance_mm": tr("the distance from shaft to axle decides"),
    "chassis.sprocket_from_pivot_mm": tr("the front sprocket's place decides"),
    NEW_CHAIN: tr("the new chain's own length decides"),
}


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
    source = tr("exact chain run at the slack asked for; {basis}", basis=_SOURCE[arm.basis])
    if math.isnan(axle):
        return Finding(
            "does not fit",
            LENGTH,
            f"{tr('{links} links do not even reach round these sprockets.', links=links)} {would}",
            links,
            nearest(fitting, links),
            "links",
            source,
            short=tr("{links} links do not reach round these sprockets", links=links),
        )
    if not arm.axle_in <= axle <= arm.axle_out:
        return _beyond(arm, axle, links, would, source, stays=stays)
    if links % 2:
        odd = tr("{links} is an odd count: it closes only with an offset link, which weakens a chain.", links=links)
        level: Level = "check" if arm.offset_link else "does not fit"
        short = tr("{links} is an odd number of links", links=links)
        return Finding(level, LENGTH, f"{odd} {would}", links, nearest(fitting, links), "links", source, short=short)
    left = tr("{left} mm left for wear", left=written.at_least_one((arm.axle_out - axle) / MM))
    goes = f"{_goes(arm, axle, stays=stays)}{_BEFORE_LEFT[arm.basis]} {left}"
    text = tr("{links} links fit: {goes}.", links=links, goes=goes)
    figures = (axle / MM, arm.axle_out / MM) if arm.geometry_known else _way(arm, axle)
    margin = float(to_end(arm, axle))
    if margin >= arm.close:
        return Finding("fits", LENGTH, text, *figures, "mm", source)
    at_front = axle - arm.axle_in == margin
    if arm.doubt > TAPE:
        text = f"{probably(text)} {_nearer_than_known(arm, at_front=at_front)}"
    else:
        text = f"{text} {_nearer_than_tape(at_front=at_front)}"
        source = tr(
            "{source}; less than {tape:.0f} mm from an end: common practice, no source", source=source, tape=TAPE / MM
        )
    return Finding("check", LENGTH, text, margin / MM, arm.close / MM, "mm", source, sure=False)


def _nearer_than_known(arm: Reach, *, at_front: bool) -> str:
    decides = _decides(arm)
    if at_front:
        return tr("The front end is nearer than the axle is known: {decides}.", decides=decides)
    return tr("The rear end is nearer than the axle is known: {decides}.", decides=decides)


def _nearer_than_tape(*, at_front: bool) -> str:
    if at_front:
        return tr(
            "That is within {tape:.0f} mm of the front end, and chains and tape measures differ by as much: "
            "try it before the chain is cut.",
            tape=TAPE / MM,
        )
    return tr(
        "That is within {tape:.0f} mm of the rear end, and chains and tape measures differ by as much: "
        "try it before the chain is cut.",
        tape=TAPE / MM,
    )


def _decides(arm: Reach) -> str:
    by = max(arm.to_rear.parts, key=lambda part: max(part[1:]))[0] if arm.to_rear is not None else ""
    return _DECIDES.get(entry_of(by)) or tr("measure the adjuster again")


def _way(arm: Reach, axle: float) -> tuple[float, float]:
    """(how far the axle goes, what the adjuster has left that way), both in mm and positive."""
    back = axle >= arm.now
    return abs(axle - arm.now) / MM, (arm.axle_out - arm.now if back else arm.now - arm.axle_in) / MM


def axle_way(by: str, *, back: bool) -> str:
    """How far the axle goes, "3 ± 1 mm back", as a sentence has it that says where it goes."""
    return tr("{by} mm back", by=by) if back else tr("{by} mm forward", by=by)


def _goes(arm: Reach, axle: float, *, stays: bool, would: bool = False) -> str:
    """Where the axle goes, with what the adjuster allows: ends before what is left."""
    by, back = written.measured(abs(axle - arm.now), 0.0 if arm.moves is None else arm.moves.half, MM), axle >= arm.now
    if not arm.geometry_known:
        given = {"way": axle_way(by, back=back), "has": written.at_least_one(_way(arm, axle)[1])}
        if stays and would:
            return tr("a new chain would put the axle {way}, of {has} mm that the adjuster has there", **given)
        if stays:
            return tr("a new chain puts the axle {way}, of {has} mm that the adjuster has there", **given)
        if would:
            return tr("the axle would go {way}, of {has} mm that the adjuster has there", **given)
        return tr("the axle goes {way}, of {has} mm that the adjuster has there", **given)
    at = written.against(axle / MM, _end(arm, axle) / MM) if would else written.number(axle, MM)
    stood = ""
    if not math.isnan(arm.now) and back:
        stood = tr("{by} mm back of where it stands", by=by)
    elif not math.isnan(arm.now):
        stood = tr("{by} mm forward of where it stands", by=by)
    reaches = tr(
        "the adjuster reaches from {axle_in} to {axle_out} mm",
        axle_in=written.shortest(arm.axle_in / MM),
        axle_out=written.shortest(arm.axle_out / MM),
    )
    return f"{', '.join(filter(None, (_is_at(at, stays=stays, would=would), stood)))}; {reaches}"


def _is_at(at: str, *, stays: bool, would: bool) -> str:
    if stays and would:
        return tr("a new chain would put the axle at {at} mm", at=at)
    if stays:
        return tr("a new chain puts the axle at {at} mm", at=at)
    if would:
        return tr("pivot to axle would be {at} mm", at=at)
    return tr("pivot to axle is {at} mm", at=at)


def _end(arm: Reach, axle: float) -> float:
    return arm.axle_in if axle < arm.axle_in else arm.axle_out


def _beyond(arm: Reach, axle: float, links: int, would: str, source: str, *, stays: bool) -> Finding:
    sure, short = -float(to_end(arm, axle)) > arm.doubt, axle < arm.axle_in
    if sure and short:
        what = tr("{links} links are too short", links=links)
    elif sure:
        what = tr("{links} links are too long", links=links)
    elif short:
        what = tr("{links} links are probably too short", links=links)
    else:
        what = tr("{links} links are probably too long", links=links)
    goes = _goes(arm, axle, stays=stays, would=True)
    text = f"{what}: {goes}{'' if sure else f'; {_decides(arm)}'}. {would}"
    figures = (axle / MM, _end(arm, axle) / MM) if arm.geometry_known else _way(arm, axle)
    return Finding("does not fit", LENGTH, text, *figures, "mm", source, short=what, sure=sure)


def _wear_room(arm: Reach, placed: Placed, links: int | None) -> list[Finding]:
    limit, left = arm.wear_limit, 100 * placed.wear_left
    even_inside = links is not None and links % 2 == 0 and arm.axle_in <= placed.axle <= arm.axle_out
    if not even_inside or left >= 100 * limit.elongation:
        return []
    text = tr(
        "The adjuster can take up {left:.1f} % elongation: it ends before the chain is worn to its limit of {limit}.",
        left=left,
        limit=limit.words,
    )
    source = tr("{basis}; limit: {source}", basis=_SOURCE[arm.basis], source=limit.source)
    figures = (left, 100 * limit.elongation, "%", source)
    return [Finding("check", marked("adjuster"), text, *figures, aside=not limit.own)]


def _tightest(arm: Reach, placed: Placed) -> list[Finding]:
    needed, asked = placed.slack_needed / MM, arm.slack / MM
    source = tr("exact chain run at the tightest point; slack as entered")
    given = {"needs": written.against(needed, asked), "asked": asked}
    if needed <= asked:
        text = tr(
            "No tight spot through the travel: as the bike stands the chain needs {needs} mm of slack and gets "
            "{asked:g}.",
            **given,
        )
        return [Finding("fits", TIGHTEST, text, needed, asked, "mm", source)]
    unknown = math.isnan(arm.travel[0])
    if unknown:
        text = tr(
            "The chain would be tight where sprocket, pivot and axle are in line: it needs {needs} mm of slack as the "
            "bike stands and gets {asked:g}. Check the swingarm's figures and the service data. "
            "Enter the swingarm's travel to know whether it goes so far.",
            **given,
        )
    else:
        text = tr(
            "The chain would be tight within the travel: it needs {needs} mm of slack as the bike stands and gets "
            "{asked:g}. Check the swingarm's figures and the service data.",
            **given,
        )
    field = "chassis.swingarm_travel_deg" if unknown else ""
    return [Finding("check", TIGHTEST, text, needed, asked, "mm", source, field, aside=unknown)]


def _wrap(placed: Placed) -> list[Finding]:
    wrap = placed.wrap_front / DEGREE
    if wrap >= LEAST_WRAP_DEG:
        return []
    text = tr(
        "The chain wraps the front sprocket by only {wrap:.0f}°; {least:.0f}° is the least advised.",
        wrap=wrap,
        least=LEAST_WRAP_DEG,
    )
    source = tr("Mott, Machine Elements in Mechanical Design, example 7-3")
    return [Finding("check", marked("wrap"), text, wrap, LEAST_WRAP_DEG, "°", source)]


def _clearance(arm: Reach, placed: Placed) -> list[Finding]:
    if math.isnan(arm.boss):
        fields = [("chassis.pivot_boss_radius_mm", tr("the radius of the boss or rubber round the pivot"))]
        return [missing(UPPER_RUN, tr("Whether the chain clears the pivot"), fields, aside=True)]
    found = []
    for about, clear in ((UPPER_RUN, placed.upper), (_LOWER_RUN, placed.lower)):
        if math.isnan(clear) or clear >= LEAST_CLEARANCE:
            continue
        touches = clear < 0
        level: Level = "does not fit" if touches else "check"
        source = tr("tangents of the pitch circles, half the plate height; boss as entered")
        least = 0.0 if touches else LEAST_CLEARANCE / MM
        found.append(Finding(level, about, _passes(about, clear), clear / MM, least, "mm", source))
    return found


def _passes(about: str, clear: float) -> str:
    room = written.at_least_one(clear / MM)
    if about == UPPER_RUN and clear < 0:
        return tr("The upper run touches the boss or rubber round the pivot.")
    if about == UPPER_RUN:
        return tr(
            "The upper run passes the boss or rubber round the pivot with {room} mm between it and the plates.",
            room=room,
        )
    if clear < 0:
        return tr("The lower run touches the boss or rubber round the pivot.")
    return tr(
        "The lower run passes the boss or rubber round the pivot with {room} mm between it and the plates.", room=room
    )


def _would_fit(fitting: tuple[int, ...], shortest: float, longest: float) -> str:
    if fitting:
        return tr("{counts} links fit.", counts=f" {tr('or')} ".join(map(str, fitting)))
    return tr(
        "No even count fits: the adjuster takes {shortest:.2f} to {longest:.2f} links.",
        shortest=shortest,
        longest=longest,
    )
