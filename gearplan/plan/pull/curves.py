"""The curves of the thrust chart. SI."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from gearplan.bike.profile import Bike
from gearplan.bike.text.written import signed
from gearplan.drive.motion import roadload
from gearplan.drive.motion.thrust import thrust
from gearplan.language import tr
from gearplan.plan.pull.pull import Pull
from gearplan.setup.doubt import TORQUE, inputs

_Curve = tuple[NDArray[np.float64], NDArray[np.float64]]
_Band = tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]] | None
_POINTS = 40
_TRACE_POINTS = 100
#: Beyond this a run creeps towards its top speed, and its end would move the axis with every tooth.
_TRACE_SECONDS = 30.0
#: Closer than this share to the top speed a set only creeps, and every difference becomes many seconds.
_BEFORE_CREEPING = 0.9


@dataclass(frozen=True, slots=True)
class PullCurves:
    """Thrust of each gear over road speed, road load for each slope with its name, and the top speed's point."""

    gears: tuple[_Curve, ...]
    loads: tuple[tuple[str, NDArray[np.float64], NDArray[np.float64]], ...]
    top: tuple[float, float] | None


def later_curve(on: Pull | None, proposed: Pull | None) -> _Curve | None:
    """How many seconds later than the fitted set the proposed one gets to each road speed (m/s) from standstill.

    None without both sets. It ends where either creeps towards its top speed.
    """
    if on is None or proposed is None:
        return None
    ends = (float(p.run.speed[p.run.time <= _TRACE_SECONDS].max(initial=0.0)) for p in (on, proposed))
    speeds = np.linspace(0.0, _BEFORE_CREEPING * min(ends), _TRACE_POINTS)
    before, after = (_times(p, speeds) for p in (on, proposed))
    return speeds, after - before


def _times(pulled: Pull, speeds: NDArray[np.float64]) -> NDArray[np.float64]:
    """When each speed is first reached (s)."""
    found = [pulled.run.time_to_speed(speed) for speed in speeds.tolist()]
    return np.array([np.nan if time is None else time for time in found])


def thrust_band(bike: Bike, pulled: Pull) -> _Band:
    """The most thrust of any gear over road speed, at the least and at the most that the engine's torque may be."""
    last = pulled.machine.top_of(len(pulled.machine.overall) - 1)
    speed = np.linspace(0.0, last, 2 * _POINTS)
    ends = []
    for one in inputs(bike, [TORQUE]):
        for factor in (one.low, one.high):
            machine = replace(pulled.machine, torque=tuple(factor * torque for torque in pulled.machine.torque))
            ends.append(np.max([thrust(machine, gear, speed) for gear in range(len(machine.overall))], axis=0))
    return (speed, ends[0], ends[1]) if ends else None


def pull_curves(pulled: Pull, slopes: tuple[float, ...]) -> PullCurves:
    """The curves of a set; `slopes` (rad) are added to the one that the pull was computed on."""
    idle = 0.15
    gears = []
    for gear in range(len(pulled.machine.overall)):
        top = pulled.machine.top_of(gear)
        speed = np.linspace(0.0 if gear == 0 else idle * top, top, _POINTS)
        gears.append((speed, thrust(pulled.machine, gear, speed)))
    speed = np.linspace(0.0, float(gears[-1][0][-1]), _POINTS)
    loads = []
    for slope in (0.0, *slopes):
        road = replace(pulled.road, slope=pulled.road.slope + slope)
        percent = 100 * math.tan(road.slope)
        words = tr("level") if abs(percent) < 0.05 else f"{signed(percent)} %"
        loads.append((words, speed, roadload.road_load(road, speed)))
    top_point = None
    if pulled.top is not None:
        top_point = (pulled.top.speed, float(roadload.road_load(pulled.road, pulled.top.speed)))
    return PullCurves(tuple(gears), tuple(loads), top_point)
