"""What the speedometer shows, and what the rule allows. SI: m/s."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from gearplan.drive.sprocket import Values


def indicated_over_true(
    before: float, sensor: str, final_before: float, final_after: Values, rolls_before: float, rolls_after: Values
) -> NDArray[np.float64]:
    """Indicated over true speed after a change, from what it was before.

    A sensor on the output shaft sees shaft turns: shown speed scales with the final ratio and inversely with the
    rolling circumference. On the rear wheel only the circumference counts; on the front wheel nothing of this.
    """
    if sensor == "front wheel":
        return np.asarray(before, float)
    wheel = np.asarray(before * rolls_before / rolls_after)
    return np.asarray(wheel * final_after / final_before) if sensor == "output shaft" else wheel


def allowed(true: float) -> tuple[float, float]:
    """(least, most) indicated speed that UN Regulation No. 39, paragraph 5.3, allows at a true speed.

    0 ≤ V1 − V2 ≤ 0.1·V2 + 4 km/h.
    """
    return true, 1.1 * true + 4 / 3.6


def highest_test_speed(top: float) -> float:
    """The highest true speed at which the rule is tested, for a motorcycle of that top speed.

    120 km/h, or four fifths of the top speed for a slower one. Source: UN Regulation No. 39, paragraph 5.2.3, from
    memory.
    """
    return min(120 / 3.6, 0.8 * top)
