"""Where the marks of a map stand: beside the line, each apart from the others. In pixels or any unit of drawing."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
#: Left, lower end, right, upper end; which way is up does not matter.
Box = tuple[float, float, float, float]


def placed(
    x: Floats,
    y: Floats,
    marks: Sequence[tuple[int, str]],
    size_of: Callable[[str], tuple[float, float]],
    beside: float,
    taken: Sequence[Box] = (),
) -> list[tuple[float, float] | None]:
    """Centre of each mark (index of its point, text), None where it has no room.

    A mark stands `beside` the line on its outer side, else on its inner one, clear of the boxes `taken` and of the
    marks before it; `size_of` gives the width and height of a text.
    """
    boxes, found = list(taken), []
    last = len(x) - 1
    for point, text in marks:
        one, other = max(point - 1, 0), min(point + 1, last)
        across, along = float(y[one] - y[other]), float(x[other] - x[one])
        size = math.hypot(across, along) or 1.0
        outward = across * (x[point] - x.mean()) + along * (y[point] - y.mean())
        wide, high = size_of(text)
        centre = None
        for way in (1, -1) if outward >= 0 else (-1, 1):
            # A wide text needs more room beside a line that runs up and down.
            side = way * (beside + abs(across) / size * max(wide / 2 - high, 0.0)) / size
            at = (float(x[point]) + side * across, float(y[point]) + side * along)
            box = (at[0] - wide / 2, at[1] - high / 2, at[0] + wide / 2, at[1] + high / 2)
            if not any(_meet(box, each) for each in boxes):
                boxes.append(box)
                centre = at
                break
        found.append(centre)
    return found


def _meet(one: Box, other: Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]
