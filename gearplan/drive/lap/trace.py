"""One set's lap as it goes: distance, speed, engine speed, gear and time, close enough together to draw. SI.

The same ride as the ranking's, asked for at many distances instead of the sections' ends, so its lap time is the same.
Costs the points, not the steps between them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from gearplan.bike.circuit import Circuit
from gearplan.drive.lap.lap import Lap
from gearplan.drive.lap.march import lean_of
from gearplan.drive.lap.rules import USUAL, LapRules
from gearplan.drive.lap.state import Entry, Laps
from gearplan.drive.motion.machines import Floats, Ints, Machines

_STEP = 5.0
_LEAST_POINTS = 3


@dataclass(frozen=True, eq=False)
class Trace:
    """A lap from its first section's start to its end, all of one length.

    `engine` is in rad/s, `gear` counts from 0, `lean` is in rad, `section` the index of the section that a point
    belongs to; where two sections meet there is a point for each. `driving` is false under braking.
    """

    distance: Floats
    speed: Floats
    engine: Floats
    gear: Ints
    time: Floats
    lean: Floats
    section: Ints
    driving: Floats

    @property
    def lap_time(self) -> float:
        """Seconds for the lap."""
        return float(self.time[-1])

    def time_at(self, distance: Floats) -> Floats:
        """Time at distances from the start of the lap."""
        return np.asarray(np.interp(distance, self.distance, self.time))


def lap_trace(machines: Machines, circuit: Circuit, rules: LapRules = USUAL, step: float = _STEP) -> Trace:
    """The trace of a single set with a point every `step` metres or closer; the first set of `machines` is taken."""
    lap = Lap(machines.some(slice(0, 1)), circuit, rules)
    return ridden_trace(lap, lap.laps(), 0, step)


def ridden_trace(lap: Lap, laps: Laps, s: int, step: float = _STEP) -> Trace:
    """The trace of one set (its place `s`) of a lap that has been ridden, `laps` what came of it."""
    count = len(lap.length)
    brakes = laps.brakes[:, s]
    drive = [_spread(0.0, float(at), step) for at in brakes]
    slow = [
        _spread(float(at), float(length), step) if length - at > 1e-9 else np.zeros(0)
        for at, length in zip(brakes, lap.length, strict=True)
    ]
    sec = np.repeat(np.arange(count), [len(x) for x in drive])
    x = np.concatenate(drive)
    mine_only = np.full(len(sec), s)
    entry = lap.entry(sec, mine_only)
    ridden = lap.ride(sec, mine_only, entry, np.maximum(x, 1e-9), np.full(len(sec), np.inf))
    since = np.where(x > 0, ridden.time, 0.0)
    lean = _lean(lap, s, sec, x, ridden.speed, entry)
    parts = []
    start = np.concatenate([[0.0], np.cumsum(lap.length)])
    clock = np.concatenate([[0.0], np.cumsum(laps.section_time[:, s])])
    for k in range(count):
        mine = sec == k
        speed, gear, time = ridden.speed[mine], ridden.gear[mine], since[mine]
        driving = np.ones(len(speed))
        place, leaned = x[mine], lean[mine]
        if len(slow[k]):
            down = slow[k]
            falling, left = _falling(lap, s, k, speed[-1], down)
            took = laps.section_time[k, s] - left
            one = np.full(len(down), s)
            # Never below the gear in which the next section is ridden, whatever the speed alone would ask for.
            into = lap.gear_for(np.array([(k + 1) % count]), one[:1], falling[-1:])
            speed, place = np.append(speed, falling), np.append(place, down)
            gear = np.append(gear, np.minimum(np.maximum(lap.tables.gear_at(one, falling), into), gear[-1]))
            time, driving = np.append(time, took), np.append(driving, np.zeros(len(down)))
            leaned = np.append(leaned, _leaned_in(lap, s, k, falling))
        # The last point of a section is the ranking's to the last digit.
        time = np.minimum(np.maximum.accumulate(time), laps.section_time[k, s])
        time[-1] = laps.section_time[k, s]
        parts.append((start[k] + place, speed, gear, clock[k] + time, leaned, np.full(len(speed), k), driving))
    distance, speed, gear, time, lean, section, driving = (np.concatenate(p) for p in zip(*parts, strict=True))
    one = np.full(len(speed), s)
    over_radius = lap.machines.over_radius[s, gear] / lap.shrinks(one, lean)
    engine = np.minimum(lap.machines.engine_at(speed, over_radius), lap.machines.limiter)
    return Trace(distance, speed, engine, lap.used[gear], time, lean, section, driving)


def _spread(low: float, high: float, step: float) -> Floats:
    count = max(_LEAST_POINTS, int(np.ceil((high - low) / step)) + 1)
    return np.linspace(low, high, count)


def _falling(lap: Lap, s: int, k: int, begins: float, down: Floats) -> tuple[Floats, Floats]:
    """(Speed, time left to the section's end) at distances under braking, and rolling before it."""
    end, braking, rolls = lap.end[k, s], lap.braking[k, s], lap.rolls[k, s]
    length, at = lap.length[k], lap.brakes[k, s]
    braked = np.sqrt(end**2 + 2 * braking * (length - down))
    left = 2 * (length - down) / (braked + end)
    if rolls == 0:
        return braked, left
    rolling = np.sqrt(np.maximum(begins**2 - 2 * rolls * (down - at), 0.0))
    meets = np.clip((end**2 + 2 * braking * length - begins**2 - 2 * rolls * at) / (2 * (braking - rolls)), at, length)
    then = np.sqrt(end**2 + 2 * braking * (length - meets))
    first = down < meets
    rest = 2 * (length - meets) / (then + end)
    return np.where(first, rolling, braked), np.where(first, 2 * (meets - down) / (rolling + then) + rest, left)


def _lean(lap: Lap, s: int, sec: Ints, x: Floats, v: Floats, entry: Entry) -> Floats:
    """Lean at each point (rad): of the turn in a corner, and what is left of it while standing up."""
    turning = lean_of(v, np.where(lap.lean[sec, s] > 0, lap.radius[sec], np.inf))
    with np.errstate(divide="ignore", invalid="ignore"):
        left = entry.leaning * np.maximum(1 - x / entry.standing, 0.0)
    return np.where(lap.corner[sec], turning, np.where(entry.standing > 0, left, 0.0))


def _leaned_in(lap: Lap, s: int, k: int, v: Floats) -> Floats:
    if not lap.corner[k] or lap.lean[k, s] <= 0:
        return np.zeros(len(v))
    return lean_of(v, np.full(len(v), lap.radius[k]))
