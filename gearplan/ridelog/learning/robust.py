"""Robust estimates and honest intervals for readings that hang together in time."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from gearplan.ridelog.log import Floats

#: Tuning of the Cauchy weight: 95 % efficient on normal readings (Holland and Welsch, 1977).
_CAUCHY = 2.385
_MAD_TO_SIGMA = 1.4826022
#: Readings that lead a robust mean nearly to its end.
_SOME = 10_000
#: Standard normal quantile of 97.5 %.
Z = 1.959964


def spread(values: Floats) -> float:
    """Standard deviation estimated by the median absolute deviation; 0 for fewer than two values."""
    if len(values) < 2:
        return 0.0
    return _MAD_TO_SIGMA * float(np.median(np.abs(values - np.median(values))))


def summed(some: Floats, others: Floats) -> float:
    """Σ aᵢ·bᵢ by one thread: the library's own product starts several for long lines, and they wait for each other."""
    return float(np.einsum("i,i", some, others))


def cauchy_centre(values: Floats, scale: float, start: float | None = None) -> tuple[float, Floats]:
    """M-estimate of location with Cauchy's weight 1/(1 + (r/2.385 s)²), and the weights of the readings.

    It minimises Σ log(1 + (r/2.385 s)²), the "cauchy" loss of least squares, from the median or `start` on.
    """
    width = _CAUCHY * max(scale, 1e-12)
    # Many readings: most of the way with some of them, the last steps with all.
    some = values[:: max(1, len(values) // _SOME)]
    centre = float(np.median(some)) if start is None else start
    for readings in (some, values):
        for _ in range(40):
            weights = _cauchy_weights(readings, centre, width)
            total = float(weights.sum())
            new = summed(weights, readings) / total
            moved = new - centre
            # The mean by weights closes in on the minimum by a share of the way; Newton's step goes there at once, as
            # far as the sum curves upwards.
            if (curved := float(slopes(weights).sum())) > 0.2 * total:
                moved *= total / curved
            centre += moved
            if abs(moved) < 1e-4 * scale:
                break
        if len(some) == len(values):
            break
    return centre, _cauchy_weights(values, centre, width)


def _cauchy_weights(values: Floats, centre: float, width: float) -> Floats:
    """1/(1 + ((r − centre)/width)²), in one array."""
    weights = values - centre
    weights /= width
    weights *= weights
    weights += 1
    return np.reciprocal(weights, out=weights)


def slopes(weights: Floats) -> Floats:
    """The derivative of Cauchy's ψ(r) = w·r at readings of these weights: 2w² − w. Its sum carries the estimate."""
    return np.asarray(2 * weights**2 - weights)


def centre_influence(values: Floats, centre: float, weights: Floats) -> Floats:
    """What each reading moves the Cauchy centre by: ψ(r) over Σψ'."""
    carried = max(float(slopes(weights).sum()), 0.2 * float(weights.sum()))
    return np.asarray(weights * (values - centre) / carried)


def blocked_error(influence: Floats, blocks: NDArray[np.int64]) -> tuple[float, int]:
    """Standard error of Σ influence when readings of one block hang together, and the number of blocks.

    The sums of the blocks are taken as independent (the cluster sandwich with the factor B/(B − 1)). One block gives
    no error; then 0 is returned.
    """
    if not len(influence):
        return 0.0, 0
    begins = np.flatnonzero(np.concatenate([[True], np.diff(blocks) != 0]))
    sums = np.add.reduceat(influence, begins)
    count = len(sums)
    return (math.sqrt(float(np.dot(sums, sums)) * count / (count - 1)), count) if count > 1 else (0.0, count)


def student(freedom: float) -> float:
    """The 97.5 % quantile of Student's t, for 2 degrees of freedom or more.

    Abramowitz and Stegun, 26.7.5, to the term in 1/ν³; within 4 % at 2, within 0.2 % from 5 on.
    """
    v, z = max(freedom, 2.0), Z
    first = (z**3 + z) / 4
    second = (5 * z**5 + 16 * z**3 + 3 * z) / 96
    third = (3 * z**7 + 19 * z**5 + 17 * z**3 - 15 * z) / 384
    return z + first / v + second / v**2 + third / v**3


def quantiles(chances: Floats, means: Floats, errors: Floats, shares: tuple[float, ...]) -> tuple[float, ...]:
    """Below what so much of a mixture of normal distributions lies, for each share, by halving."""
    kept = chances > 1e-5 * float(chances.max())
    chance, mean, error = chances[kept] / chances[kept].sum(), means[kept], np.maximum(errors[kept], 1e-9)
    cases = list(zip(chance.tolist(), mean.tolist(), (math.sqrt(2) * error).tolist(), strict=True))
    reach = 8 * float(error.max())
    found = []
    for share in shares:
        low, high = float(mean.min()) - reach, float(mean.max()) + reach
        while high - low > 1e-6:
            middle = (low + high) / 2
            below = sum(c * 0.5 * math.erfc((m - middle) / e) for c, m, e in cases)
            low, high = (middle, high) if below < share else (low, middle)
        found.append((low + high) / 2)
    return tuple(found)


def line_fit(x: Floats, y: Floats, blocks: NDArray[np.int64]) -> LineFit | None:
    """Robust straight line y = a + b·x (Cauchy weights) with errors by blocks; None if x does not vary enough."""
    if len(x) < 8 or float(np.ptp(x)) <= 0:
        return None
    weights = np.ones(len(x))
    design = np.column_stack([np.ones(len(x)), x])
    solved: Floats = np.zeros(2)
    inverse: Floats = np.eye(2)
    for _ in range(30):
        normal = design.T @ (design * weights[:, None])
        if abs(np.linalg.det(normal)) < 1e-18 * max(abs(normal[0, 0] * normal[1, 1]), 1e-300):
            return None
        inverse = np.asarray(np.linalg.inv(normal), float)
        new = np.asarray(inverse @ (design.T @ (weights * y)), float)
        moved, solved = float(np.abs(design @ (new - solved)).max()), new
        rest = np.asarray(y - design @ solved, float)
        scale = spread(rest)
        if scale <= 0 or moved < 1e-7 * scale:
            break
        weights = np.asarray(1 / (1 + (rest / (_CAUCHY * scale)) ** 2), float)
    rest = np.asarray(y - design @ solved, float)
    begins = np.flatnonzero(np.concatenate([[True], np.diff(blocks) != 0]))
    scores = np.add.reduceat(design * (weights * rest)[:, None], begins, axis=0)
    count = len(begins)
    if count < 3:
        return None
    carried = design.T @ (design * slopes(weights)[:, None])
    if np.linalg.det(carried) > 0.05 * np.linalg.det(design.T @ (design * weights[:, None])):
        inverse = np.asarray(np.linalg.inv(carried), float)
    covariance = inverse @ (scores.T @ scores) @ inverse * count / (count - 2)
    return LineFit(
        float(solved[0]), float(solved[1]), tuple(map(tuple, covariance.tolist())), count, spread(rest), len(x)
    )


class LineFit:
    """A straight line a + b·x with its covariance, the number of blocks and of readings, and the spread about it."""

    __slots__ = ("blocks", "constant", "count", "covariance", "slope", "spread")

    def __init__(
        self,
        constant: float,
        slope: float,
        covariance: tuple[tuple[float, ...], ...],
        blocks: int,
        spread: float,
        count: int,
    ) -> None:
        self.constant, self.slope, self.covariance = constant, slope, covariance
        self.blocks, self.spread, self.count = blocks, spread, count

    def at(self, x: float) -> float:
        """The line's value."""
        return self.constant + self.slope * x

    def margin(self, a: float, b: float) -> float:
        """Half the 95 % interval of a·constant + b·slope."""
        c = self.covariance
        variance = a * a * c[0][0] + 2 * a * b * c[0][1] + b * b * c[1][1]
        return student(self.blocks - 2) * math.sqrt(max(variance, 0.0))
