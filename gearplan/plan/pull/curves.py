"""The curves of the thrust chart. SI."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from gearplan.bike.written import signed
from gearplan.drive.motion import roadload
from gearplan.drive.motion.thrust import thrust
from gearplan.plan.pull.pull import Pull

_Curve = tuple[NDArray[np.float64], NDArray[np.float64]]
_POINTS = 40
_TRACE_POINTS = 240
#: Beyond this a run creeps towards its top speed, and its end would move the axis with every tooth.
_TRACE_SECONDS = 30.0


@dataclass(frozen=True, slots=True)
class PullCurves:
    """Thrust of each gear over road speed, road load for each slope with its name, and the top speed's point."""

    gears: tuple[_Curve, ...]
    loads: tuple[tuple[str, NDArray[np.float64], NDArray[np.float64]], ...]
    top: tuple[float, float] | None


def run_curve(pulled: Pull | None, part: str) -> _Curve | None:
    """Speed or distance over time, in as many points as the eye can tell apart."""
    if pulled is None:
        return None
    run = pulled.run
    every = max(len(run.time) // _TRACE_POINTS, 1)
    kept = np.arange(0, len(run.time), every)
    kept = kept[run.time[kept] <= _TRACE_SECONDS]
    return run.time[kept], (run.speed if part == "speed" else run.distance)[kept]


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
        words = "level" if abs(percent) < 0.05 else f"{signed(percent)} %"
        loads.append((words, speed, roadload.road_load(road, speed)))
    top_point = None
    if pulled.top is not None:
        top_point = (pulled.top.speed, float(roadload.road_load(pulled.road, pulled.top.speed)))
    return PullCurves(tuple(gears), tuple(loads), top_point)
