"""Sketches of the whole motorcycle: wheelbase, centre of mass, weights, scales under the wheels."""

from __future__ import annotations

import math

from gearplan.language import tr
from gearplan.window.measuring.motorcycle import FRONT, MASS, REAR, motorcycle
from gearplan.window.measuring.pen import Pen

_LEFT, _RIGHT = -330.0, 1740.0
#: Height of a scale's platform, and how far the drawing lifts a wheel.
_SCALE, _LIFT = 60.0, 340.0
#: What is read while both wheels stand level.
_LEVEL = ("front_kg", "rear_kg", "wheelbase_mm", "front_axle_mm", "rear_axle_mm")


def machine(pen: Pen) -> None:
    """The motorcycle, nothing measured yet."""
    pen.floor(_LEFT, _RIGHT)
    motorcycle(pen)


def wheelbase(pen: Pen) -> None:
    """Axle to axle, both brought down to the floor with a plumb line."""
    pen.floor(_LEFT, _RIGHT)
    motorcycle(pen)
    for x, y in (REAR, FRONT):
        pen.mark("chassis.wheelbase_mm", (x, y), (x, -40))
    pen.dimension("chassis.wheelbase_mm", (REAR[0], -40), (FRONT[0], -40), tr("wheelbase"), off=-18)


def centre_of_mass(pen: Pen) -> None:
    """Where the centre of mass of motorcycle and rider lies."""
    height, ahead = "chassis.com_height_mm", "chassis.com_ahead_of_rear_axle_mm"
    pen.floor(_LEFT, _RIGHT)
    motorcycle(pen, rider=True)
    pen.mass(MASS)
    pen.dimension(height, (MASS[0], 0), MASS, tr("height"), off=1190 * pen.scale, from_floor=True)
    for x, y in (REAR, MASS):
        pen.mark(ahead, (x, y), (x, -40))
    pen.dimension(ahead, (REAR[0], -40), (MASS[0], -40), tr("ahead"), off=-18)


def weight(pen: Pen) -> None:
    """The motorcycle on scales."""
    on_scales(pen, "load.bike_kg", "load.bike_kg", rider=False)


def weight_scales(pen: Pen) -> None:
    """The same, each scale read by itself."""
    on_scales(pen, "rear_kg", "front_kg", rider=False)


def loads(pen: Pen) -> None:
    """Motorcycle and rider on scales, level."""
    on_scales(pen, "rear_kg", "front_kg", rider=True)


def on_scales(pen: Pen, rear: str, front: str, *, rider: bool) -> None:
    """Each wheel on a scale, level."""
    pen.floor(_LEFT, _RIGHT, -_SCALE)
    motorcycle(pen, rider=rider)
    if rider:
        # Between the arrows of both scales, which stand where its extension lines would.
        pen.dimension("wheelbase_mm", (REAR[0], -_SCALE), (FRONT[0], -_SCALE), tr("wheelbase"), off=-17)
    for x, name, side in ((REAR[0], rear, "rear"), (FRONT[0], front, "front")):
        _scale(pen, x)
        pen.reading(name, (x, -_SCALE), f"{side}, kg")


def front_raised(pen: Pen) -> None:
    """The front wheel on a block, the rear one on a scale; the level weighing for what is read there."""
    if any(pen.is_lit(name) for name in _LEVEL):
        _level(pen)
        return
    rise = math.degrees(math.asin(_LIFT / (FRONT[0] - REAR[0])))
    pen.floor(_LEFT, _RIGHT, -_SCALE)
    with pen.turned(REAR, rise):
        motorcycle(pen, rider=True)
        pen.mass(MASS)
    _scale(pen, REAR[0])
    pen.reading("low_kg", (REAR[0], -_SCALE), tr("rear, kg"))
    raised = FRONT[0] * math.cos(math.radians(rise))
    _block(pen, raised)
    pen.dimension("raised_mm", (raised + 150, 0), (raised + 150, _LIFT), tr("raised"), off=-16, beside=(8, 0))


def rear_raised(pen: Pen) -> None:
    """The rear wheel on a block, the front one on a scale; the level weighing for what is read there."""
    if any(pen.is_lit(name) for name in _LEVEL):
        _level(pen)
        return
    rise = math.degrees(math.asin(_LIFT / (FRONT[0] - REAR[0])))
    pen.floor(_LEFT, _RIGHT, -_SCALE)
    with pen.turned(FRONT, -rise):
        motorcycle(pen, rider=True)
        pen.mass(MASS)
    _scale(pen, FRONT[0])
    pen.reading("low_kg", (FRONT[0], -_SCALE), tr("front, kg"))
    raised = FRONT[0] - FRONT[0] * math.cos(math.radians(rise))
    _block(pen, raised)
    pen.dimension("raised_mm", (raised - 150, _LIFT), (raised - 150, 0), tr("raised"), off=-16, beside=(-8, 0))


def _level(pen: Pen) -> None:
    loads(pen)
    pen.dimension("rear_axle_mm", (REAR[0], 0), REAR, tr("axle"), off=340 * pen.scale, beside=(-6, 0))
    pen.dimension("front_axle_mm", (FRONT[0], 0), FRONT, tr("axle"), off=-330 * pen.scale, beside=(6, 0))


def rider(pen: Pen) -> None:
    """The rider in full gear on a scale."""
    pen.floor(-500, 500, -_SCALE)
    pen.limbs(
        (110, [(-25, 800), (-45, 60)]),
        (110, [(25, 800), (45, 60)]),
        (70, [(-45, 40), (40, 30)]),
        (70, [(45, 40), (125, 30)]),
        (200, [(0, 880), (0, 1240)]),
        (80, [(-70, 1300), (-150, 1060), (-110, 830)]),
        (80, [(70, 1300), (150, 1060), (190, 830)]),
    )
    pen.circle((0, 1490), 118, fill="paper")
    pen.line((25, 1530), (112, 1515))
    pen.line((35, 1455), (108, 1445))
    _scale(pen, 20)
    pen.reading("load.rider_kg", (20, -_SCALE), tr("in full gear, kg"))


def _scale(pen: Pen, x: float) -> None:
    pen.shape([(x - 150, 0), (x + 150, 0), (x + 170, -_SCALE), (x - 170, -_SCALE)], round_by=8)


def _block(pen: Pen, x: float) -> None:
    pen.shape([(x - 140, _LIFT), (x + 140, _LIFT), (x + 140, -_SCALE), (x - 140, -_SCALE)])
