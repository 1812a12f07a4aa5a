"""One cell of the tables of a lap: acceleration straight in the square of the speed, in closed form. SI.

With u = v² and du/ds = 2a(u), a from a₀ to a₁ across the cell: s = Δu/(2a₀) · ln(1 + x)/x with x = a₁/a₀ − 1, and
back again a(s) = a₀·exp(λs) with λ = 2(a₁ − a₀)/Δu. The mean speed over a stretch weighs both ends by the distance.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gearplan.drive.motion.force import mean_place
from gearplan.drive.motion.machines import Floats

#: Stands for the length of a cell that is never left, for the speed in it is held for ever (m).
FOREVER = 1e9
#: An acceleration of less than this share of that at the cell's end is none: the speed is the one that is held.
_ROUNDING = 1e-9
#: Where along it the held speed itself stands: half-way, so that no lap rides from there to the end of the cell.
_HELD_AT = FOREVER / 2


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell for each pair: u at its lower end, width in u, acceleration at both ends."""

    u: Floats
    du: Floats
    low: Floats
    high: Floats

    @property
    def holds(self) -> NDArray[np.bool_]:
        """Whether the acceleration changes its sign inside, so that some speed in it is held."""
        return holds(self.low, self.high)


def holds(low: Floats, high: Floats) -> NDArray[np.bool_]:
    """Whether between two accelerations at the ends of a cell lies none at all."""
    return np.asarray(~(np.sign(low) * np.sign(high) > 0))


def distance(one: Floats, other: Floats, du: Floats) -> Floats:
    """Distance (m) over a change of u while the acceleration goes evenly from one value to the other (m/s²).

    The speed that is held is half of `FOREVER` away, one beyond it, which is never reached, the whole.
    """
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        x = other / one - 1
        grown = np.where(np.abs(x) < 1e-9, 1.0, np.log1p(x) / x)
        found = du / (2 * one) * grown
    never = np.where(du == 0, 0.0, np.where(x < -1 - _ROUNDING, FOREVER, _HELD_AT))
    return np.where(np.isfinite(found), np.clip(found, -_HELD_AT, _HELD_AT), never)


def time_within(away: Floats, cell: Cell, v: Floats, v_end: Floats, from_top: NDArray[np.bool_]) -> Floats:
    """Time (s) over a distance (m) within a cell between a speed and the cell's end from which it is measured.

    The distance alone says how far the acceleration has changed, so that two times taken near a held speed, where
    it is all rounding, still differ by what the distance between them takes.
    """
    slow, fast = np.where(from_top, v, v_end), np.where(from_top, v_end, v)
    gains = np.where(from_top, cell.high, cell.low) > 0
    change = 2 * (cell.high - cell.low) / cell.du * away
    return np.asarray(away / (slow + (fast - slow) * mean_place(np.where(gains, change, -change))))


def across(low: Floats, high: Floats, v0: Floats, v1: Floats) -> tuple[Floats, Floats]:
    """(Distance, time) across whole cells; for ever where the acceleration changes its sign."""
    held = holds(low, high)
    one, other = np.where(held, 1.0, low), np.where(held, 1.0, high)
    length = np.where(held, FOREVER, np.abs(distance(one, other, v1**2 - v0**2)))
    return length, np.where(held, 0.0, length / (v0 + (v1 - v0) * mean_place(np.log(other / one))))
