"""Sketches of the rear wheel: the size on its sidewall, how far it rolls."""

from __future__ import annotations

from gearplan.language import tr
from gearplan.window.measuring.motorcycle import wheel
from gearplan.window.measuring.pen import Pen

_TURN = 1955.0


def size(pen: Pen) -> None:
    """Where the size stands."""
    name = "tyre.size"
    pen.circle((0, 0), 311, fill="body")
    pen.circle((0, 0), 214, fill="paper")
    pen.circle((0, 0), 198, quiet=True)
    pen.circle((0, 0), 40, quiet=True)
    pen.bolt((0, 0), 16)
    pen.marking(tr("180/55 ZR 17"), name, (0, 0), 262, 44)
    pen.arc(name, (0, 0), 300, 50, 130)
    pen.arc(name, (0, 0), 226, 50, 130)


def roll_out(pen: Pen) -> None:
    """The wheel rolled on from chalk mark to chalk mark."""
    _rolled(pen, "tyre.rolling_circumference_mm", tr("one turn"))


def roll_out_turns(pen: Pen) -> None:
    """The same over several turns."""
    _rolled(pen, "distance_mm", tr("distance over all turns"))
    pen.turning("turns", (0, 311), 380, 130, 40, "turns")


def _rolled(pen: Pen, name: str, words: str) -> None:
    pen.floor(-360, _TURN + 360)
    wheel(pen, (0, 311), 311, 222)
    pen.dashed_circle((_TURN, 311), 311)
    pen.dashed_circle((_TURN, 311), 222)
    pen.bolt((0, 311), 16)
    pen.bolt((_TURN, 311), 16)
    for x in (0, _TURN):
        pen.mark(name, (x, 80), (x, -50))
    pen.dimension(name, (0, -50), (_TURN, -50), words, off=-18)
