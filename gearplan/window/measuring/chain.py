"""Sketches of chain and sprockets: slack, wear, what is counted and what is stamped."""

from __future__ import annotations

import itertools
import math

from gearplan.language import tr
from gearplan.window.measuring.motorcycle import run
from gearplan.window.measuring.outlines import THIN, Point
from gearplan.window.measuring.pen import Pen


def slack(pen: Pen) -> None:
    """The lower run pushed up and pulled down at its middle, beside a ruler."""
    name = "chassis.slack_mm"
    front, rear = (620.0, 20.0), (0.0, 0.0)
    pen.circle(rear, 106, fill="body")
    pen.circle(front, 40, fill="body")
    pen.line(*run(front, 40, rear, 106, True), width=2.2)
    (x0, y0), (x1, y1) = run(front, 40, rear, 106, False)
    middle = ((x0 + x1) / 2, (y0 + y1) / 2)
    up, low = (middle[0], middle[1] + 42), (middle[0], middle[1] - 48)
    pen.line((x0, y0), up, (x1, y1), width=THIN, dashed=True, quiet=True)
    pen.curve(
        (x0, y0),
        ((x0 + 110, y0 - 22), (low[0] - 90, low[1]), low),
        ((low[0] + 90, low[1]), (x1 - 110, y1 - 30), (x1, y1)),
    )
    pen.ruler((middle[0] + 12, middle[1] - 100), (middle[0] + 12, middle[1] + 90), 44)
    pen.dimension(name, low, up, tr("slack"), off=34, beside=(-8, 0))
    pen.bolt(rear, 14)
    pen.bolt(front, 10)


def elongation(pen: Pen) -> None:
    """A taut piece of the chain along a ruler, pin to pin."""
    name = "final_drive.elongation_percent length_mm links"
    pen.ruler((-30, -6), (330, -6), 34)
    _links(pen, [(30.0 * k, 0.0) for k in range(4)])
    _links(pen, [(210 + 30.0 * k, 0.0) for k in range(4)])
    pen.dots((105, 0), (195, 0))
    pen.dimension(name, (0, 0), (300, 0), tr("20 links, pin to pin"), off=40 * pen.scale)


def links(pen: Pen) -> None:
    """The outer plates are counted from the joint round to the joint."""
    name = "final_drive.links"
    pins = [(34.0 * k, 0.0) for k in range(10)]
    _links(pen, pins)
    pen.ring(name, (17, 0), 30)
    for number, k in enumerate(range(0, 9, 2), 1):
        pen.words(f"{2 * number}", ((pins[k][0] + pins[k + 1][0]) / 2, -34), name=name)
    pen.name(tr("joint"), (17, 20), (30, -34), name)


def chain_size(pen: Pen) -> None:
    """The size is stamped into an outer plate."""
    name = "final_drive.chain"
    pen.plate((-60, 0), (60, 0), 44)
    pen.plate((180, 0), (300, 0), 44)
    pen.limbs((70, [(60, 0), (180, 0)]))
    pen.plate((-60, 0), (60, 0), 44)
    pen.plate((180, 0), (300, 0), 44)
    for x in (-60, 60, 180, 300):
        pen.bolt((x, 0), 16)
    pen.words("520", (0, 0), name=name, size=40)
    pen.ring(name, (0, 0), 40)


def front_teeth(pen: Pen) -> None:
    """The front sprocket, its first tooth marked."""
    _counted(pen, "final_drive.front", 15, 6, 0)


def rear_teeth(pen: Pen) -> None:
    """The rear sprocket, its first tooth marked."""
    _counted(pen, "final_drive.rear", 46, 6, 6)


def turns(pen: Pen) -> None:
    """Turns of the rear wheel and of the crank, each with a mark."""
    wheel_at, crank = (0.0, 0.0), (640.0, 20.0)
    pen.circle(wheel_at, 260, fill="body")
    pen.circle(wheel_at, 186, fill="paper")
    pen.circle(wheel_at, 80, fill="paper")
    pen.shape([(470, 150), (760, 150), (790, 20), (740, -110), (500, -120), (450, 0)], round_by=50)
    pen.circle((505.0, 20.0), 34, fill="paper")
    for upper in (True, False):
        pen.line(*run((505.0, 20.0), 34, wheel_at, 80, upper), width=2.2)
    pen.circle(crank, 62, fill="paper")
    pen.hexagon(crank, 26)
    pen.bolt((505.0, 20.0), 8)
    pen.bolt(wheel_at, 16)
    pen.mark("wheel_turns", (0, 186), (0, 260))
    pen.mark("crank_turns", (crank[0], 28 + 20), (crank[0], 82))
    pen.turning("wheel_turns", wheel_at, 300, 120, 60, "wheel")
    pen.name(tr("gear"), (505.0, 20.0), (-20, 74), "gear")
    pen.turning("crank_turns", crank, 180, 120, 60, "crank")


def _counted(pen: Pen, name: str, teeth: int, numbered: int, bolts: int) -> None:
    radius = 100.0
    pitch = math.tau * radius / teeth
    outline: list[Point] = []
    for tooth in range(teeth):
        middle = math.pi / 2 - tooth * math.tau / teeth
        for share, r in ((0.34, -0.22), (0.12, 0.3), (-0.12, 0.3), (-0.34, -0.22)):
            turn = middle + share * math.tau / teeth
            outline.append(((radius + r * pitch) * math.cos(turn), (radius + r * pitch) * math.sin(turn)))
    pen.shape(outline, round_by=pitch * 0.08)
    if bolts:
        pen.circle((0, 0), 72, fill="paper")
        pen.circle((0, 0), 56)
        for bolt in range(bolts):
            turn = bolt * math.tau / bolts
            pen.bolt((64 * math.cos(turn), 64 * math.sin(turn)), 5)
    else:
        pen.circle((0, 0), 44, fill="paper")
        pen.hexagon((0, 0), 34)
    pen.bolt((0, 0), 14)
    for number in range(numbered):
        turn = math.pi / 2 - number * math.tau / teeth
        away = radius + 0.3 * pitch + 16
        if bolts and number % 2:
            continue
        pen.words(str(number + 1), (away * math.cos(turn), away * math.sin(turn)), name=name)
    pen.mark(name, (0, radius - 0.2 * pitch), (0, radius + 0.3 * pitch))


def _links(pen: Pen, pins: list[Point]) -> None:
    """A piece of chain through pins, an outer link first."""
    for k, (one, other) in enumerate(itertools.pairwise(pins)):
        if k % 2:
            pen.limbs((20, [one, other]))
    for k, (one, other) in enumerate(itertools.pairwise(pins)):
        if not k % 2:
            pen.plate(one, other, 14)
    for pin in pins:
        pen.bolt(pin, 5)
