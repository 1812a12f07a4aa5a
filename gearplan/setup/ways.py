"""The other ways to measure: heights and level distances, rolling out, scales, counted turns, length over links.

What a careful reading may be off by is common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from gearplan.bike import library
from gearplan.bike.profile import Bike
from gearplan.bike.text import written
from gearplan.bike.text.units import DEGREE, MM
from gearplan.drive import gearing, heights, tyre, weighing
from gearplan.drive.chain import wear
from gearplan.language import tr
from gearplan.setup import ratios
from gearplan.setup.readings import Reading, Readings, Unusable, Way, asked

#: A tape or rule (mm), a height taken from the floor or between plumb lines (mm), a scale (kg).
_RULE, _TAPE, _SCALE = 1.0, 2.0, 0.5
#: A chalk mark on the floor (mm), a length over links (mm); turns of a crank, and of a wheel from mark to mark.
_CHALK, _LINKS, _CRANK, _WHEEL = 10.0, 0.3, 0.1, 0.02
#: Tooth counts among which a counted ratio is looked for: the usual ones, common practice, no source.
_FRONTS, _REARS = range(10, 21), range(28, 71)
#: So many pairs are offered.
_MOST = 8


def _height(key: str, label: str, example: str) -> Reading:
    return asked(key, label, "mm", 50, 1500, _TAPE, example=example)


_PIVOT = _height("pivot_height_mm", tr("Pivot, over the floor"), "397")
_AXLE = _height("axle_height_mm", tr("Axle, over the floor"), "311")
_ARM = asked("arm_mm", tr("Pivot to axle"), "mm", 100, 1500, _RULE, begins="chassis.axle_now_mm", example="583")
_FRONT_KG = asked("front_kg", tr("Load in front"), "kg", 5, 1000, _SCALE, example="130.7")
_REAR_KG = asked("rear_kg", tr("Load at the rear"), "kg", 5, 1000, _SCALE, example="137.3")
_WHEELBASE = asked("wheelbase_mm", tr("Wheelbase"), "mm", 500, 3000, 3.0, begins="chassis.wheelbase_mm", example="1415")

_ANGLE, _TRAVEL = "chassis.swingarm_angle_deg", "chassis.swingarm_travel_deg"
_AXLE_NOW, _SHAFT = "chassis.axle_now_mm", "chassis.sprocket_from_pivot_mm"
_HEIGHT, _AHEAD = "chassis.com_height_mm", "chassis.com_ahead_of_rear_axle_mm"
_ROLLS, _WEIGHS = "tyre.rolling_circumference_mm", "load.bike_kg"
_FRONT, _REAR = "final_drive.front", "final_drive.rear"
_WORN, _LEFT = "final_drive.elongation_percent", "chassis.adjuster_left_mm"


def _angle(pivot: float, axle: float, arm: float, key: str) -> float:
    try:
        return heights.angle_by_length(pivot, axle, arm) / DEGREE
    except ValueError:
        text = tr("differs from the pivot's height by more than pivot to axle, {arm} mm", arm=written.number(arm))
        raise Unusable(key, text) from None


def _by_length(given: Readings, _bike: Bike) -> tuple[Mapping[str, Any], ...]:
    return ({_ANGLE: _angle(given["pivot_height_mm"], given["axle_height_mm"], given["arm_mm"], "axle_height_mm")},)


def _by_level(given: Readings, _bike: Bike) -> tuple[Mapping[str, Any], ...]:
    at = given["pivot_height_mm"], given["axle_height_mm"], given["level_mm"]
    return ({_ANGLE: heights.angle_by_level(*at) / DEGREE, _AXLE_NOW: heights.arm_by_level(*at)},)


def _travel(given: Readings, _bike: Bike) -> tuple[Mapping[str, Any], ...]:
    pivot, arm = given["pivot_height_mm"], given["arm_mm"]
    ends = tuple(_angle(pivot, given[key], arm, key) for key in ("compressed_mm", "extended_mm"))
    if ends[0] >= ends[1]:
        raise Unusable("compressed_mm", tr("must be higher than with the suspension extended"))
    return ({_TRAVEL: ends},)


def _shaft(given: Readings, _bike: Bike) -> tuple[Mapping[str, Any], ...]:
    return ({_SHAFT: (given["level_mm"], given["shaft_height_mm"] - given["pivot_height_mm"])},)


def _rolled(given: Readings, _bike: Bike) -> tuple[Mapping[str, Any], ...]:
    return ({_ROLLS: tyre.rolled_out(given["distance_mm"], given["turns"])},)


def _weight(given: Readings, _bike: Bike) -> tuple[Mapping[str, Any], ...]:
    return ({_WEIGHS: given["front_kg"] + given["rear_kg"]},)


def _ahead(given: Readings, _bike: Bike) -> tuple[Mapping[str, Any], ...]:
    return ({_AHEAD: weighing.ahead_of_rear_axle(given["front_kg"], given["rear_kg"], given["wheelbase_mm"])},)


def _front_raised(given: Readings, bike: Bike) -> tuple[Mapping[str, Any], ...]:
    return _raised(given, bike, 1.0)


def _rear_raised(given: Readings, bike: Bike) -> tuple[Mapping[str, Any], ...]:
    return _raised(given, bike, -1.0)


def _raised(given: Readings, bike: Bike, sense: float) -> tuple[Mapping[str, Any], ...]:
    level = given["rear_kg"] if sense > 0 else given["front_kg"]
    if given["low_kg"] >= given["front_kg"] + given["rear_kg"]:
        raise Unusable("low_kg", tr("must be less than both loads together"))
    if given["low_kg"] <= level:
        text = tr(
            "must be more than level, {level} kg: raising one wheel loads the other", level=written.shortest(level)
        )
        raise Unusable("low_kg", text)
    try:
        high = weighing.height(
            given["front_kg"],
            given["rear_kg"],
            given["low_kg"],
            sense * given["raised_mm"],
            wheelbase=given["wheelbase_mm"],
            front_axle=given["front_axle_mm"],
            rear_axle=given["rear_axle_mm"],
        )
    except ValueError:
        raise Unusable("raised_mm", tr("must be less than the axles are apart")) from None
    return ({_HEIGHT: high, **_ahead(given, bike)[0]},)


def _both_weighed(given: Readings, bike: Bike) -> str:
    """The sum on the scales against the weights entered."""
    shown = tr(
        "The scales show {given} kg together", given=written.shortest(round(given["front_kg"] + given["rear_kg"], 1))
    )
    if bike.load.bike_kg is None or bike.load.rider_kg is None:
        return f"{shown}."
    return tr(
        "{shown}; motorcycle and rider are entered as {bike_kg} kg.",
        shown=shown,
        bike_kg=written.shortest(bike.load.bike_kg + bike.load.rider_kg),
    )


def _counted_ratio(given: Readings, bike: Bike) -> tuple[float, float]:
    """The final ratio that was counted, and by how much it may be off."""
    primary, gears = ratios.whole_ratio(bike.gearbox.primary), bike.gearbox.gears or ()
    gear = int(given["gear"])
    if not 1 <= gear <= len(gears):
        raise Unusable(
            "gear", tr("the gearbox has {counted} entered", counted=written.counted(len(gears), "gear", "gears"))
        )
    ratio = ratios.whole_ratio(gears[gear - 1])
    if primary is None or ratio is None:
        raise Unusable("gear", tr("the teeth of primary and gear {gear} are needed first", gear=gear))
    final = gearing.counted_final(given["crank_turns"], given["wheel_turns"], primary, ratio)
    return final, final * math.hypot(_CRANK / given["crank_turns"], _WHEEL / given["wheel_turns"])


def _pairs(given: Readings, bike: Bike) -> tuple[Mapping[str, Any], ...]:
    final, off = _counted_ratio(given, bike)
    found = gearing.pairs_near(final, off, _FRONTS, _REARS)
    if not found:
        fronts, rears = (f"{each[0]}–{each[-1]}" for each in (_FRONTS, _REARS))
        text = tr(
            "no pair of {fronts} and {rears} teeth gives {final}: is it this gear?",
            fronts=fronts,
            rears=rears,
            final=written.number(final, 1, 2),
        )
        raise Unusable("gear", text)
    # The front sprocket that is entered comes first: it is seen oftener than the rear one is counted.
    fitted = bike.final_drive.front
    ordered = sorted(found, key=lambda pair: pair[0] != fitted)
    return tuple({_FRONT: front, _REAR: rear} for front, rear in ordered[:_MOST])


def _told_ratio(given: Readings, bike: Bike) -> str:
    final, off = _counted_ratio(given, bike)
    least = 2 if off >= 0.01 else 3
    return tr("Final ratio {final} ± {off}.", final=written.number(final, 1, least), off=written.number(off, 1, least))


def _elongation(given: Readings, bike: Bike) -> tuple[Mapping[str, Any], ...]:
    size = bike.final_drive.chain
    if size is None:
        raise Unusable("", tr("The chain's size is needed first, for its pitch."))
    pitch = library.chain_sizes()[size].pitch_mm
    links = int(given["links"])
    worn = 100 * wear.elongation(given["length_mm"] * MM, links, pitch * MM)
    if not -_LINKS / (links * pitch) * 100 <= worn <= 5:
        new = written.number(links * pitch, 1, 1)
        raise Unusable(
            "length_mm",
            tr("can't be right: {links} links of a {size} chain are {new} mm new", links=links, size=size, new=new),
        )
    return ({_WORN: max(worn, 0.0)},)


def _left(given: Readings, _bike: Bike) -> tuple[Mapping[str, Any], ...]:
    return ({_LEFT: (given["forward"] * given["step_mm"], given["back"] * given["step_mm"])},)


_RAISED = asked("raised_mm", tr("Wheel raised by"), "mm", 50, 1500, _TAPE, example="300")
_FRONT_AXLE = _height("front_axle_mm", tr("Front axle, over the ground, level"), "300")
_REAR_AXLE = _height("rear_axle_mm", tr("Rear axle, over the ground, level"), "311")
_LOADS = (_FRONT_KG, _REAR_KG, _WHEELBASE)
_STANDS = tr("Motorcycle upright, rider on, the suspension as for the other figures of the swingarm.")
_LOCKED = tr(
    "Weigh level first. Then one wheel on a block, the other on its scale, somebody holding the motorcycle: suspension "
    "locked by straps or rods, brakes off, rider as before, the tank full or empty."
)

#: All of them, for each field the quickest first.
WAYS: tuple[Way, ...] = (
    Way(
        tr("Heights and the length pivot to axle"),
        "heights",
        tr("{stands} Heights of both centres over a level floor.", stands=_STANDS),
        (_PIVOT, _AXLE, _ARM),
        (_ANGLE,),
        (1,),
        _by_length,
    ),
    Way(
        tr("Heights and a level distance"),
        "level heights",
        tr("{stands} A plumb line from pivot and axle, and the distance between them on the floor.", stands=_STANDS),
        (_PIVOT, _AXLE, asked("level_mm", tr("Pivot to axle, level"), "mm", 100, 1500, _TAPE, example="577")),
        (_ANGLE, _AXLE_NOW),
        (1, 0),
        _by_level,
    ),
    Way(
        tr("Heights at both ends of the travel"),
        "travel heights",
        tr("The axle's height with the suspension fully compressed and hanging free; the pivot stays where it is."),
        (
            _PIVOT,
            _height("compressed_mm", tr("Axle, compressed"), "407"),
            _height("extended_mm", tr("Axle, extended"), "246"),
            _ARM,
        ),
        (_TRAVEL,),
        (1,),
        _travel,
    ),
    Way(
        tr("Heights and a level distance"),
        "shaft heights",
        tr("{stands} A plumb line from shaft and pivot; minus where the shaft is behind the pivot.", stands=_STANDS),
        (
            _height("shaft_height_mm", tr("Sprocket shaft, over the floor"), "410"),
            _PIVOT,
            asked("level_mm", tr("Pivot to shaft, level"), "mm", -500, 500, _RULE, example="62"),
        ),
        (_SHAFT,),
        (0,),
        _shaft,
    ),
    Way(
        tr("Rolled out over several turns"),
        "roll-out over turns",
        tr(
            "Rider on, tyre at its pressure, straight ahead: from chalk mark to chalk mark, counting the wheel's turns."
        ),
        (
            asked("distance_mm", tr("Distance"), "mm", 600, 100_000, _CHALK, example=tr("9775, or 9.775 m")),
            asked("turns", tr("Turns of the wheel"), "", 1, 40, example="5", whole=True),
        ),
        (_ROLLS,),
        (0,),
        _rolled,
    ),
    Way(
        tr("Loads on two scales"),
        "weight scales",
        tr("A scale under each wheel, or one after the other with a board of its height under the other wheel."),
        (_FRONT_KG, _REAR_KG),
        (_WEIGHS,),
        (0,),
        _weight,
    ),
    Way(
        tr("Loads on two scales, level"),
        "loads",
        tr("Rider on, as when riding; a scale under each wheel, both at one height."),
        _LOADS,
        (_AHEAD,),
        (0,),
        _ahead,
        _both_weighed,
    ),
    Way(
        tr("Front wheel raised"),
        "front raised",
        _LOCKED,
        (
            *_LOADS,
            _RAISED,
            asked("low_kg", tr("Load at the rear, front raised"), "kg", 5, 1000, _SCALE, example="149.8"),
            _FRONT_AXLE,
            _REAR_AXLE,
        ),
        (_HEIGHT, _AHEAD),
        (0, 0),
        _front_raised,
        _both_weighed,
    ),
    Way(
        tr("Rear wheel raised"),
        "rear raised",
        _LOCKED,
        (
            *_LOADS,
            _RAISED,
            asked("low_kg", tr("Load in front, rear raised"), "kg", 5, 1000, _SCALE, example="143.2"),
            _FRONT_AXLE,
            _REAR_AXLE,
        ),
        (_HEIGHT, _AHEAD),
        (0, 0),
        _rear_raised,
        _both_weighed,
    ),
    Way(
        tr("Turns of crank and wheel"),
        "turns",
        tr(
            "Ignition off, sparking plugs out, rear wheel off the ground, a gear in. Turn the crank by its nut "
            "until the "
            "wheel's mark is back, hands clear of chain and sprockets, and count the crank to a tenth of a "
            "turn: the more "
            "turns, the fewer pairs match."
        ),
        (
            asked("gear", tr("Gear"), "", 1, 8, example="6", whole=True),
            asked("wheel_turns", tr("Turns of the wheel"), "", 1, 100, example="10"),
            asked("crank_turns", tr("Turns of the crank"), "", 1, 2000, example="53.5"),
        ),
        (_FRONT, _REAR),
        (0, 0),
        _pairs,
        _told_ratio,
    ),
    Way(
        tr("Length over links"),
        "elongation",
        tr("The lower run pulled tight, a steel rule along it, from a pin's centre to the centre of the last pin."),
        (
            asked("links", tr("Links measured over"), "", 5, 120, example="20", whole=True, begins="wear.gauge_links"),
            asked("length_mm", tr("Length, pin to pin"), "mm", 40, 3000, _LINKS, example="319.4"),
        ),
        (_WORN,),
        (2,),
        _elongation,
    ),
    Way(
        tr("Marks or turns of the adjuster"),
        "adjuster",
        tr("Count the marks, or the turns of the adjuster's bolt, to either end, and measure over ten of them."),
        (
            asked("step_mm", tr("One mark or turn is"), "mm", 0.3, 20, example="1.25"),
            asked("forward", tr("Marks or turns forward"), "", 0, 100, 0.25, example="6"),
            asked("back", tr("Marks or turns back"), "", 0, 100, 0.25, example="11"),
        ),
        (_LEFT,),
        (1,),
        _left,
    ),
)


def ways_to(field: str) -> tuple[Way, ...]:
    """The other ways to a field ("section.key")."""
    return tuple(way for way in WAYS if field in way.fills)
