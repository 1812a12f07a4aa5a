"""What a statement about a ride rests on, as points and the line that was drawn through them. Pure.

Which statements have evidence here is what `EVIDENT` says; the gears' own is the histogram of the ratios.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from gearplan.bike.text.units import DEGREE, KMH, RPM, STANDARD_GRAVITY
from gearplan.language import tr
from gearplan.ridelog.log import Floats
from gearplan.ridelog.telling.learned import Learned

#: Points that are drawn at most; more of them would only cover each other.
_MOST_POINTS = 3000
_LINE_POINTS = 60


@dataclass(frozen=True, slots=True, eq=False)
class Evidence:
    """Points (across, up) in the units that the labels name, and the fitted line, if there is one.

    `sticks` stand on the axis instead of floating: shares and durations. `spans` are the ranges of the points, from
    and to.
    """

    title: str
    across: str
    up: str
    x: Floats
    y: Floats
    line: tuple[Floats, Floats] | None = None
    sticks: bool = False
    spans: tuple[Floats, Floats] | None = None


def evidence(learned: Learned, about: str, unit: str = "km/h", factor: float = KMH) -> Evidence | None:
    """The evidence of the remark of that name; speeds in `unit`, of which one is `factor` m/s. None if it has none."""
    made = EVIDENT.get(about)
    return None if made is None else made(learned, unit, factor)


def _speeds(learned: Learned, unit: str, factor: float) -> Evidence | None:
    """How much more the wheel says than the satellites, over speed."""
    found = learned.speeds
    if found is None:
        return None
    x, y = _thinned(found.speeds / factor, 100 * (found.quotients - 1))
    across = np.linspace(float(found.speeds.min()), float(found.speeds.max()), _LINE_POINTS)
    growth = found.growth or 0.0
    drawn = found.quotient * np.exp(-growth * (across**2 - found.at**2))
    line = (across / factor, 100 * (drawn - 1))
    return Evidence(tr("Wheel speed against satellites, steady riding"), unit, tr("more, %"), x, y, line)


def _coasts(learned: Learned, unit: str, factor: float) -> Evidence | None:
    """The force that slows a coasting motorcycle, over speed."""
    found = learned.coast
    if found is None:
        return None
    speeds = np.sqrt(found.squares)
    x, y = _thinned(speeds / factor, found.forces)
    across = np.linspace(float(speeds.min()), float(speeds.max()), _LINE_POINTS)
    drawn = found.rolling * found.mass * STANDARD_GRAVITY + found.density / 2 * found.drag_area * across**2
    return Evidence(tr("Force that slows it while coasting"), unit, "N", x, y, (across / factor, drawn))


def _bands(learned: Learned, _unit: str, _factor: float) -> Evidence | None:
    """The share of the running time in each band of engine speed."""
    found = learned.times
    if found is None or not found.bands:
        return None
    middle = np.array([(band.low + band.high) / 2 / RPM for band in found.bands])
    share = np.array([100 * band.share for band in found.bands])
    return Evidence(tr("Running time in each 1000 rpm"), tr("rpm"), tr("share, %"), middle, share, sticks=True)


def _limiter(learned: Learned, _unit: str, _factor: float) -> Evidence | None:
    """When the limiter was reached, and for how long."""
    found = learned.times
    if found is None or not found.hits:
        return None
    at = np.array([hit.at / 60 for hit in found.hits])
    lasted = np.array([hit.duration for hit in found.hits])
    return Evidence(tr("At the limiter"), tr("minutes"), tr("seconds"), at, lasted, sticks=True)


def _slips(learned: Learned, _unit: str, _factor: float) -> Evidence | None:
    """How far the engine, or the wheel, is ahead, over the pull."""
    found = learned.slip
    if found is None:
        return None
    x, y = _thinned(found.pulls, 100 * found.ahead)
    what = (
        tr("Wheel against satellites") if found.by_wheels and found.what == "wheel" else tr("Engine against its gear")
    )
    return Evidence(tr("{what}, faster and slower riding", what=what), tr("acceleration, m/s²"), tr("ahead, %"), x, y)


def _pulls(learned: Learned, unit: str, factor: float) -> Evidence | None:
    """How much more it pulls than computed, over speed."""
    found = learned.drove
    if found is None or found.share is None:
        return None
    x, y = _thinned(found.speeds / factor, 100 * (found.measured / found.computed - 1))
    across = np.array([float(found.speeds.min()), float(found.speeds.max())]) / factor
    middle = 100 * (found.share[0] - 1)
    return Evidence(
        tr("Pull by acceleration against the computed"), unit, tr("more, %"), x, y, (across, np.full(2, middle))
    )


def _winds(learned: Learned, _unit: str, _factor: float) -> Evidence | None:
    """What the air takes over the heading."""
    drove = learned.drove
    if drove is None or isinstance(drove.wind, str):
        return None
    x, y = _thinned(drove.wind.headings / DEGREE, drove.wind.forces)
    across = np.linspace(0, math.tau, _LINE_POINTS)
    line = (across / DEGREE, drove.wind.taken(across))
    return Evidence(tr("What moving air takes from the pull"), tr("heading, ° from north"), "N", x, y, line)


EVIDENT: dict[str, Callable[[Learned, str, float], Evidence | None]] = {
    "speedometer": _speeds,
    "tyre growth": _speeds,
    "road load": _coasts,
    "time": _bands,
    "limiter": _limiter,
    "slip": _slips,
    "pull": _pulls,
    "wind": _winds,
}


def _thinned(x: Floats, y: Floats) -> tuple[Floats, Floats]:
    every = max(1, -(-len(x) // _MOST_POINTS))
    return x[::every], y[::every]
