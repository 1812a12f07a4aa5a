"""Every sketch by its name: the place that it needs in its own millimetres, and what draws it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from gearplan.window.measuring import arm, chain, cockpit, tyre, whole
from gearplan.window.measuring.pen import Pen


@dataclass(frozen=True, slots=True)
class Sketch:
    """A drawing: its box (left, low, right, high) in mm and the function that draws it."""

    box: tuple[float, float, float, float]
    draw: Callable[[Pen], None]


SKETCHES: dict[str, Sketch] = {
    "motorcycle": Sketch((-340, -60, 1750, 1010), whole.machine),
    "wheelbase": Sketch((-340, -260, 1750, 1010), whole.wheelbase),
    "centre of mass": Sketch((-720, -260, 1750, 1480), whole.centre_of_mass),
    "weight": Sketch((-340, -330, 1750, 1010), whole.weight),
    "weight scales": Sketch((-340, -330, 1750, 1010), whole.weight_scales),
    "rider": Sketch((-500, -400, 500, 1610), whole.rider),
    "loads": Sketch((-340, -420, 1750, 1480), whole.loads),
    "front raised": Sketch((-560, -420, 1960, 1640), whole.front_raised),
    "rear raised": Sketch((-560, -420, 1960, 1640), whole.rear_raised),
    "swingarm": Sketch((-690, -260, 190, 240), arm.lengths),
    "adjuster": Sketch((-120, -90, 190, 90), arm.adjuster),
    "sprocket shaft": Sketch((-130, -110, 190, 110), arm.shaft),
    "swingarm angle": Sketch((-840, -460, 180, 210), arm.angle),
    "swingarm travel": Sketch((-880, -320, 160, 180), arm.travel),
    "heights": Sketch((-870, -480, 160, 220), arm.heights),
    "level heights": Sketch((-870, -520, 160, 220), arm.level_heights),
    "travel heights": Sketch((-770, -450, 160, 180), arm.travel_heights),
    "shaft heights": Sketch((-200, -260, 280, 120), arm.shaft_heights),
    "slack": Sketch((-120, -190, 680, 130), chain.slack),
    "elongation": Sketch((-40, -100, 340, 90), chain.elongation),
    "links": Sketch((-30, -70, 340, 80), chain.links),
    "chain size": Sketch((-130, -100, 340, 100), chain.chain_size),
    "front teeth": Sketch((-170, -130, 170, 160), chain.front_teeth),
    "rear teeth": Sketch((-170, -110, 170, 140), chain.rear_teeth),
    "turns": Sketch((-300, -270, 850, 380), chain.turns),
    "redline": Sketch((-150, -125, 235, 125), cockpit.redline),
    "gears": Sketch((-200, -110, 160, 120), cockpit.gears),
    "sidewall": Sketch((-340, -100, 340, 330), tyre.size),
    "roll-out": Sketch((-380, -330, 2330, 700), tyre.roll_out),
    "roll-out over turns": Sketch((-380, -330, 2330, 850), tyre.roll_out_turns),
}
