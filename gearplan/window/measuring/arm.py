"""Sketches of the swingarm: its lengths, the adjuster, where the sprocket's shaft lies, its angles."""

from __future__ import annotations

import math

from gearplan.language import tr
from gearplan.window.measuring.motorcycle import run, wheel
from gearplan.window.measuring.outlines import THIN, Point
from gearplan.window.measuring.pen import Pen

PIVOT: Point = (0.0, 0.0)
_SHAFT: Point = (88.0, 30.0)
_DOWN = 10.0
_FORWARD, _NOW, _BACK = 490.0, 520.0, 556.0
_R_FRONT, _R_REAR = 38.0, 106.0


def _along(length: float, down: float = _DOWN, aside: float = 0.0) -> Point:
    """A point on the swingarm so far behind the pivot, and so far above its middle line."""
    turn = math.radians(down)
    return (
        -length * math.cos(turn) - aside * math.sin(turn),
        -length * math.sin(turn) + aside * math.cos(turn),
    )


def lengths(pen: Pen) -> None:
    """Pivot to axle, now and at the adjuster's ends; sprocket shaft to axle."""
    now, ends, centres = "chassis.axle_now_mm", "chassis.axle_range_mm", "chassis.centre_distance_mm"
    axle = _along(_NOW)
    for upper in (True, False):
        pen.line(*run(_SHAFT, _R_FRONT, axle, _R_REAR, upper), width=2.2)
    pen.circle(axle, _R_REAR)
    _arm(pen, _NOW, dashed=(_FORWARD, _BACK) if pen.shows(ends) else ())
    pen.circle(_SHAFT, _R_FRONT, fill="paper")
    pen.bolt(_SHAFT, 10)
    pen.bolt(PIVOT, 12)
    if pen.shows(now):
        pen.dimension(now, PIVOT, axle, tr("pivot to axle"), off=-150 * pen.scale)
    if pen.shows(ends):
        pen.dimension(f"{ends}.0", PIVOT, _along(_FORWARD), tr("forward"), off=-130 * pen.scale)
        pen.dimension(f"{ends}.1", PIVOT, _along(_BACK), tr("back"), off=-200 * pen.scale)
    if pen.shows(centres):
        pen.dimension(centres, axle, _SHAFT, tr("shaft to axle"), off=150 * pen.scale)
    if pen.shows(centres):
        pen.name(tr("shaft"), _SHAFT, (-16, 40))
    else:
        pen.name(tr("pivot"), PIVOT, (16, 36))
    pen.name(tr("axle"), axle, (14, 46))


def adjuster(pen: Pen) -> None:
    """The end of the swingarm: the axle in its slot, and how far it can go."""
    left = "chassis.adjuster_left_mm"
    pen.shape([(-70, 34), (150, 34), (150, -34), (-70, -34)], round_by=14)
    # The break where the drawing of the arm ends.
    pen.paper_break(150, -40, 40)
    pen.shape([(-42, 13), (52, 13), (52, -13), (-42, -13)], fill="paper", round_by=13)
    pen.shape([(-112, 5), (-70, 5), (-70, -5), (-112, -5)], fill="paper")
    pen.shape([(-84, 11), (-76, 11), (-76, -11), (-84, -11)], fill="paper")
    pen.shape([(-100, 10), (-90, 10), (-90, -10), (-100, -10)], fill="paper")
    forward, back = tr("{left}.0 forward", left=left), tr("{left}.1 back", left=left)
    pen.patch(forward, (0, 13), (46, 13), (52, 6), (52, -6), (46, -13), (0, -13))
    pen.patch(back, (0, 13), (-36, 13), (-42, 6), (-42, -6), (-36, -13), (0, -13))
    pen.shape([(-42, 13), (52, 13), (52, -13), (-42, -13)], fill="", round_by=13)
    pen.bolt((0, 0), 13)
    for mark in range(-40, 111, 10):
        pen.line((mark, -26), (mark, -34), width=THIN, quiet=True)
    pen.dimension(forward, (13, 13), (52, 13), tr("forward"), off=48 * pen.scale, beside=(0, -8))
    pen.dimension(back, (-42, -13), (-13, -13), tr("back"), off=-48 * pen.scale, beside=(0, 8))
    pen.name(tr("axle"), (0, 0), (24, 66))
    if pen.shows("step_mm"):
        pen.dimension("step_mm", (80, -26), (90, -26), "")
        pen.name(tr("one mark"), (85, -26), (16, 46), "step_mm")
    else:
        pen.words(tr("to the pivot"), (120, -52))


def shaft(pen: Pen) -> None:
    """Where the front sprocket's shaft lies from the pivot; the pivot's boss."""
    place, boss = "chassis.sprocket_from_pivot_mm", "chassis.pivot_boss_radius_mm"
    at = (70.0, 30.0)
    pen.limbs((30, [(-520, -90), PIVOT]))
    pen.circle(PIVOT, 24, fill="body")
    pen.circle(at, 44, fill="paper")
    pen.dashed_circle(at, 40)
    for upper in (True, False):
        pen.line(*run(at, 44, (-520, -90), 106, upper), width=2.2)
    pen.bolt(at, 9)
    pen.bolt(PIVOT, 9)
    if pen.shows(place):
        pen.centre_line(PIVOT, (140, 0))
        pen.dimension(f"{place}.0", (0, 0), (at[0], 0), tr("ahead"), off=-62 * pen.scale)
        pen.mark(f"{place}.0", (at[0], at[1]), (at[0], -4))
        pen.dimension(f"{place}.1", (at[0], 0), at, tr("above"), off=-62 * pen.scale, beside=(8, 0))
    if pen.shows(boss):
        pen.radius(boss, PIVOT, 24, 285, "radius")
    pen.name(tr("pivot"), PIVOT, (-26, -50))
    pen.name(tr("shaft"), at, (-24, -56))


def angle(pen: Pen) -> None:
    """The line from pivot to axle against the level."""
    _rear_end(pen, 14.0)
    pen.centre_line((-600, 0), (130, 0))
    pen.centre_line(PIVOT, _along(600, 14))
    pen.angle("chassis.swingarm_angle_deg", PIVOT, 420, 180, 194, tr("below level"))


def travel(pen: Pen) -> None:
    """The same line with the suspension at both its ends."""
    name = "chassis.swingarm_travel_deg"
    _rear_end(pen, 10.0, wheel_too=False)
    pen.centre_line((-640, 0), (130, 0))
    for half, down, words in ((0, -9.0, tr("compressed")), (1, 26.0, tr("extended"))):
        end = _along(520, down)
        pen.line(PIVOT, end, width=THIN, dashed=True, quiet=True)
        pen.dashed_circle(end, 22)
        pen.angle(f"{name}.{half}", PIVOT, 590, 180, 180 + down, words)


def heights(pen: Pen) -> None:
    """Heights of pivot and axle above the floor, and the length between them."""
    _rear_end(pen, 14.0)
    axle = _along(520, 14)
    floor = axle[1] - 311
    pen.floor(-860, 150, floor)
    pen.dimension("pivot_height_mm", (0, floor), PIVOT, tr("pivot"), off=-90 * pen.scale, from_floor=True)
    pen.dimension("axle_height_mm", axle, (axle[0], floor), tr("axle"))
    pen.dimension("arm_mm", axle, PIVOT, tr("pivot to axle"), off=90 * pen.scale)


def level_heights(pen: Pen) -> None:
    """Heights of pivot and axle, and the level distance between their plumb lines."""
    _rear_end(pen, 14.0)
    axle = _along(520, 14)
    floor = axle[1] - 311
    pen.floor(-860, 150, floor)
    pen.mark("level_mm", PIVOT, (0, floor))
    pen.dimension("pivot_height_mm", (0, floor), PIVOT, tr("pivot"), off=-90 * pen.scale, from_floor=True)
    pen.dimension("axle_height_mm", (axle[0], floor), axle, tr("axle"))
    pen.dimension("level_mm", (axle[0], floor), (0, floor), tr("level"), off=-20)


def travel_heights(pen: Pen) -> None:
    """Heights of the axle with the suspension at both its ends."""
    floor = -420.0
    _rear_end(pen, 10.0, wheel_too=False)
    pen.floor(-760, 150, floor)
    pen.dimension("pivot_height_mm", (0, floor), PIVOT, tr("pivot"), off=-90 * pen.scale, from_floor=True)
    for name, down, words, aside in (
        ("compressed_mm", -9.0, tr("compressed"), 150.0),
        ("extended_mm", 26.0, tr("extended"), 40.0),
    ):
        end = _along(520, down)
        pen.line(PIVOT, end, width=THIN, dashed=True, quiet=True)
        pen.dashed_circle(end, 22)
        pen.dimension(name, (end[0], floor), end, words, off=aside * pen.scale, from_floor=True)
    pen.dimension("arm_mm", _along(520, -9.0), PIVOT, tr("pivot to axle"), off=60 * pen.scale)


def shaft_heights(pen: Pen) -> None:
    """Heights of sprocket shaft and pivot, and the level distance between their plumb lines."""
    at, floor = (110.0, 60.0), -230.0
    pen.floor(-190, 270, floor)
    pen.limbs((40, [(-180, -36), PIVOT]))
    pen.circle(at, 50, fill="paper")
    pen.bolt(at, 10)
    pen.bolt(PIVOT, 10)
    pen.mark("level_mm", PIVOT, (0, floor))
    pen.mark("level_mm", at, (at[0], floor))
    pen.dimension("level_mm", (0, -90), (at[0], -90), tr("level"), off=0)
    pen.dimension("pivot_height_mm", (0, floor), PIVOT, tr("pivot"), off=70 * pen.scale, from_floor=True)
    pen.dimension("shaft_height_mm", (at[0], floor), at, tr("shaft"), off=-100 * pen.scale, from_floor=True)


def _arm(pen: Pen, now: float, down: float = _DOWN, dashed: tuple[float, ...] = ()) -> None:
    pen.limbs((56, [_along(now + 26, down), PIVOT]))
    slot = [_along(x, down, y) for x, y in ((_FORWARD - 16, 9), (_BACK + 16, 9), (_BACK + 16, -9), (_FORWARD - 16, -9))]
    pen.shape(slot, fill="paper", round_by=9, width=THIN)
    for length in dashed:
        pen.dashed_circle(_along(length, down), 14)
    pen.bolt(_along(now, down), 14)


def _rear_end(pen: Pen, down: float, *, wheel_too: bool = True) -> None:
    """Swingarm with the rear wheel, and a little of the engine."""
    axle = _along(520, down)
    if wheel_too:
        wheel(pen, axle, 311, 222)
    pen.limbs((52, [_along(540, down), PIVOT]))
    pen.bolt(axle, 16)
    pen.bolt(PIVOT, 16)
