"""Road load from coast-downs: drag area and rolling coefficient, where the clutch was held in while rolling. SI."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from gearplan.bike.profile import Bike, entry
from gearplan.bike.text.units import MM, STANDARD_GRAVITY
from gearplan.ridelog.learning.ratios import Ratios
from gearplan.ridelog.learning.robust import line_fit
from gearplan.ridelog.learning.sprockets import profile_circumference
from gearplan.ridelog.log import Flags, Floats, RideLog
from gearplan.setup.air import air_of_the_day
from gearplan.setup.assumed import circumference, known

_LEAST_SPEED, _LEAST_TIME = 4.0, 3.5
_WINDOW = 1.0
#: Harder than this is braking (m/s²): no motorcycle is slowed so by air and tyres below 250 km/h.
_BRAKES = 2.6
#: Rolling coefficients from the least to the greatest, and the largest drag area (m²), of a motorcycle that coasts:
#: common experience, no source.
_ROLLS, _MOST_DRAG = (0.003, 0.08), 1.2


@dataclass(frozen=True, slots=True, eq=False)
class CoastDown:
    """Drag area (m²) and rolling coefficient with 95 % intervals, from `runs` coast-downs over `seconds`.

    `mass` (kg) is that of bike and rider that was taken, `density` that of the air; `level` says that no heights were
    known and the road was taken as level. `squares` (v²) and `forces` (N) are the evidence.
    """

    drag_area: float
    drag_low: float
    drag_high: float
    rolling: float
    rolling_low: float
    rolling_high: float
    runs: int
    seconds: float
    mass: float
    density: float
    level: bool
    squares: Floats
    forces: Floats

    def applied(self, bike: Bike) -> Bike:
        """The profile with this road load."""
        drag, rolling = (entry("load", key) for key in ("drag_area_m2", "rolling_coefficient"))
        area = min(max(self.drag_area, drag.low), drag.high)
        coefficient = min(max(self.rolling, rolling.low), rolling.high)
        load = replace(bike.load, drag_area_m2=round(area, 3), rolling_coefficient=round(coefficient, 4))
        return replace(bike, load=load)


def coast_downs(log: RideLog, ratios: Ratios, bike: Bike) -> CoastDown | None:
    """The road load, or None where nobody coasted for long enough or the bike's mass is not known.

    m_e·dv/dt = −(½ρ·CdA·v² + m·g·(c_r + slope)), fitted as a robust line of force over v² through windows of a
    second; m_e = m + I_w/R².
    """
    if bike.load.bike_kg is None or not log.timed:
        return None
    speed = log.gps if log.gps is not None else log.road
    if speed is None or log.engine is None:
        return None
    starts, ends = _runs(log, ratios, speed)
    pieces: list[tuple[float, float, float, int]] = []
    used, seconds = 0, 0.0
    for first, last in zip(starts.tolist(), ends.tolist(), strict=True):
        found = _windows(log, speed, first, last, used)
        if found:
            used += 1
            seconds += float(log.time[last - 1] - log.time[first])
            pieces += found
    if len(pieces) < 10:
        return None
    squares, slowing, slopes, runs = np.array(pieces).T
    rider, wheels = (known(bike, "load", key).value for key in ("rider_kg", "wheel_inertia_kg_m2"))
    mass = bike.load.bike_kg + rider
    about = profile_circumference(bike)[0] or circumference().value * MM
    turning = mass + wheels / (about / math.tau) ** 2
    density = air_of_the_day(bike).density
    forces = turning * slowing - mass * STANDARD_GRAVITY * slopes
    # Few coasts: their own seconds stand for them, and wind is in the answer.
    blocks = runs.astype(np.int64) if used >= 5 else np.arange(len(runs)) // 3
    fit = line_fit(squares, forces, blocks)
    if fit is None or fit.slope <= 0:
        return None
    area, rolls = 2 / density, 1 / (mass * STANDARD_GRAVITY)
    drag, drag_margin = fit.slope * area, fit.margin(0, 1) * area
    rolling, rolling_margin = fit.constant * rolls, fit.margin(1, 0) * rolls
    if rolling + rolling_margin < _ROLLS[0] or rolling - rolling_margin > _ROLLS[1] or drag - drag_margin > _MOST_DRAG:
        # So slowed it did not coast: it braked, or the gears are not those that were taken.
        return None
    return CoastDown(
        drag,
        drag - drag_margin,
        drag + drag_margin,
        rolling,
        rolling - rolling_margin,
        rolling + rolling_margin,
        used,
        seconds,
        mass,
        density,
        log.altitude is None,
        squares,
        forces,
    )


def _runs(log: RideLog, ratios: Ratios, speed: Floats) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Where the clutch is in for long: out of every gear, throttle shut, engine well below what the top gear asks."""
    assert log.engine is not None
    top = ratios.clusters[-1].ratio
    free: Flags = (ratios.which == -1) & (speed > _LEAST_SPEED) & (log.engine < 0.93 * top * speed)
    if log.throttle is not None:
        free &= ~(log.throttle > 0.03)
    edges = np.diff(np.concatenate([[0], free.astype(np.int8), [0]]))
    starts, ends = np.flatnonzero(edges == 1), np.flatnonzero(edges == -1)
    long = log.time[ends - 1] - log.time[starts] >= _LEAST_TIME
    return starts[long], ends[long]


def _windows(log: RideLog, speed: Floats, first: int, last: int, run: int) -> list[tuple[float, float, float, int]]:
    """(v², slowing, slope, run) of each second of a coast, the first and last half second left out."""
    time, v = log.time[first:last], speed[first:last]
    keep = (time > time[0] + 0.5) & (time < time[-1] - 0.5) & np.isfinite(v)
    time, v = time[keep], v[keep]
    height = None if log.altitude is None else log.altitude[first:last][keep]
    found = []
    if len(time) < 8 or np.max(np.diff(time)) > log.gap_from:
        return []
    for at in np.arange(time[0], time[-1] - 2 * _WINDOW, _WINDOW):
        inside = (time >= at) & (time < at + 2 * _WINDOW)
        if np.count_nonzero(inside) < 4:
            continue
        t = time[inside] - time[inside].mean()
        power = float(np.dot(t, t))
        slowing = -float(np.dot(t, v[inside])) / power
        if slowing > _BRAKES:
            return []
        mean = float(v[inside].mean())
        rise = 0.0 if height is None else float(np.dot(t, height[inside])) / power / mean
        found.append((float(np.mean(v[inside] ** 2)), slowing, rise if math.isfinite(rise) else 0.0, run))
    return found
