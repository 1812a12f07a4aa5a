"""Sketches of what the rider has before him: the engine speed's dial and the gears under the foot."""

from __future__ import annotations

import math

from gearplan.language import tr
from gearplan.window.measuring.outlines import THIN, Point
from gearplan.window.measuring.pen import Pen

#: The dial's scale: from this direction (degrees) backwards over so many, for this engine speed at its end (1000 rpm).
_START, _SWEEP, _FULL = 225.0, 270.0, 12
_RED = 10.5


def redline(pen: Pen) -> None:
    """The dial with the red part of its scale."""
    name = "engine.redline_rpm"
    pen.circle((0, 0), 118, fill="body")
    pen.circle((0, 0), 108, fill="paper")
    for tick in range(2 * _FULL + 1):
        pen.line(_on(96 if tick % 2 else 90, tick / 2), _on(104, tick / 2), width=THIN)
    arc = [_RED + (_FULL - _RED) * k / 12 for k in range(13)]
    for r in range(96, 106):
        pen.mark(name, *(_on(r, at) for at in arc))
    pen.mark(name, _on(86, _RED), _on(108, _RED))
    for number in range(0, _FULL + 1, 2):
        pen.words(str(number), _on(74, number))
    pen.words("× 1000 rpm", (0, 36))
    pen.line((0, 0), _on(62, 1.3), width=2.2)
    pen.bolt((0, 0), 8)
    pen.name(tr("redline"), _on(100, _RED + 0.6), (30, 14), name)


def gears(pen: Pen) -> None:
    """The gear lever and the places that it is pressed or lifted through."""
    name = "gearbox.count"
    pen.limbs((16, [(-150, -40), (-20, -62)]))
    pen.bolt((-150, -40), 10)
    pen.limbs((22, [(-20, -62), (-20, -62.1)]))
    pen.limbs((16, [(-150, -40), (-170, 20)]))
    places = ("1", "N", "2", "3", "4", "5", "6")
    for k, place in enumerate(places):
        pen.words(place, (100, -80 + 28 * k), name="" if place == "N" else name)
    pen.turning(name, (-150, -40), 165, 4, 30, "lift")
    pen.name(tr("lever"), (-85, -51), (-20, 40))


def _on(radius: float, thousands: float) -> Point:
    turn = math.radians(_START - _SWEEP * thousands / _FULL)
    return radius * math.cos(turn), radius * math.sin(turn)
