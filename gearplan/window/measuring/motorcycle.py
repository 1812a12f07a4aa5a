"""A motorcycle from the side as the sketches draw it: an invented machine, in millimetres above the road.

The point where the rear tyre stands is the origin, x forward.
"""

from __future__ import annotations

import math

from gearplan.window.measuring.outlines import THIN, Point
from gearplan.window.measuring.pen import Pen

REAR: Point = (0.0, 311.0)
FRONT: Point = (1415.0, 300.0)
PIVOT: Point = (556.0, 400.0)
SHAFT: Point = (626.0, 425.0)
MASS: Point = (690.0, 640.0)
_TYRE, _RIM, _FRONT_TYRE, _FRONT_RIM = 311.0, 222.0, 300.0, 222.0
_SPROCKET_REAR, _SPROCKET_FRONT = 106.0, 38.0


def motorcycle(pen: Pen, *, rider: bool = False) -> None:
    """The machine on its wheels."""
    for centre, tyre, rim in ((REAR, _TYRE, _RIM), (FRONT, _FRONT_TYRE, _FRONT_RIM)):
        wheel(pen, centre, tyre, rim)
    # Fork and front mudguard.
    pen.limbs((46, [FRONT, (1236, 700)]), (34, [(1250, 668), (1150, 893)]))
    _body(pen)
    _engine(pen)
    pen.limbs((26, [(1178, 830), (1092, 930)]))
    _chain(pen)
    pen.limbs((52, [REAR, PIVOT]))
    pen.bolt(PIVOT, 16)
    pen.bolt(REAR, 18)
    pen.bolt(FRONT, 16)
    if rider:
        _rider(pen)


def wheel(pen: Pen, centre: Point, tyre: float, rim: float) -> None:
    """A wheel on the road."""
    pen.circle(centre, tyre, fill="body")
    pen.circle(centre, rim, fill="paper")
    pen.circle(centre, rim - 16, width=THIN, quiet=True)
    pen.circle(centre, 44, width=THIN, quiet=True)


def run(front: Point, front_radius: float, rear: Point, rear_radius: float, upper: bool) -> tuple[Point, Point]:
    """The straight run between two pitch circles: its points on the rear and on the front circle."""
    dx, dy = front[0] - rear[0], front[1] - rear[1]
    distance = math.hypot(dx, dy)
    along = math.atan2(dy, dx)
    turn = math.acos((rear_radius - front_radius) / distance) * (1 if upper else -1)
    nx, ny = math.cos(along + turn), math.sin(along + turn)
    return (
        (rear[0] + rear_radius * nx, rear[1] + rear_radius * ny),
        (front[0] + front_radius * nx, front[1] + front_radius * ny),
    )


def _chain(pen: Pen) -> None:
    pen.circle(REAR, _SPROCKET_REAR, fill="paper")
    pen.circle(SHAFT, _SPROCKET_FRONT, fill="paper")
    for upper in (True, False):
        pen.line(*run(SHAFT, _SPROCKET_FRONT, REAR, _SPROCKET_REAR, upper), width=2.2)
    pen.bolt(SHAFT, 12)


def _body(pen: Pen) -> None:
    """Tank, seat and tail as one, with the frame below them."""
    pen.limbs((40, [(1150, 800), (830, 690), (600, 560), PIVOT]), (34, [(600, 560), (330, 760)]))
    pen.curve(
        (1140, 900),
        ((1090, 980), (940, 1010), (840, 950)),
        ((760, 890), (690, 850), (600, 850)),
        ((450, 850), (330, 880), (205, 925)),
        ((180, 930), (165, 890), (185, 870)),
        ((220, 840), (260, 825), (300, 810)),
        ((420, 760), (560, 745), (700, 735)),
        ((850, 725), (1000, 735), (1110, 800)),
        ((1150, 825), (1160, 860), (1140, 900)),
        fill="body",
    )


def _engine(pen: Pen) -> None:
    pen.shape([(760, 480), (905, 470), (985, 690), (830, 705)], round_by=20)
    pen.shape([(590, 320), (650, 260), (920, 250), (960, 330), (930, 480), (760, 520), (600, 500)], round_by=60)
    pen.circle((855, 365), 78, width=THIN, quiet=True)


def _rider(pen: Pen) -> None:
    pen.limbs(
        (110, [(620, 905), (900, 760), (655, 450)]),
        (60, [(640, 440), (740, 420)]),
        (180, [(590, 950), (690, 1150)]),
        (80, [(720, 1190), (880, 1010), (1085, 950)]),
        quiet=True,
    )
    pen.circle((770, 1345), 118, fill="paper", quiet=True)
    pen.line((800, 1385), (884, 1370), quiet=True)
    pen.line((812, 1310), (876, 1300), quiet=True)
