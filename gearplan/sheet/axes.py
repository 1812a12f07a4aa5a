"""Round steps and ends for the axes of every chart."""

from __future__ import annotations

import math


def round_step(length: float, most: int) -> float:
    """The smallest of 1, 2 or 5 times a power of ten that divides `length` into at most `most` steps.

    An axis without any length is taken as one of length 1.
    """
    rough = (length if length > 0 else 1.0) / most
    power: float = 10.0 ** math.floor(math.log10(rough))
    return next(m * power for m in (1, 2, 5, 10) if m * power >= rough)


def up_to(value: float, step: float) -> float:
    """`value` rounded up to a whole number of steps; `step` is positive."""
    return math.ceil(value / step) * step
