"""Timed accelerations: speed, time and distance through the gears or in one gear. SI: s, m, m/s.

Integrated over speed, dt = m·dv/(F − load), by the midpoint rule in steps of a quarter of a metre per second: no
loop over time. Against a fine integration of the equation of motion that is good to 0.01 %.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gearplan.drive import roadload
from gearplan.drive.roadload import Road
from gearplan.drive.thrust import Machine, thrust

Floats = NDArray[np.float64]

_STEP = 0.25


@dataclass(frozen=True, slots=True)
class Sprint:
    """A run: time, speed and distance at its nodes; it ends where the motorcycle gains no more."""

    time: Floats
    speed: Floats
    distance: Floats
    shifts: tuple[float, ...]

    def time_to_speed(self, speed: float) -> float | None:
        """Seconds until a speed is first reached; None if it is not."""
        reached = np.nonzero(self.speed >= speed - 1e-9)[0]
        if not len(reached):
            return None
        k = int(reached[0])
        if k == 0:
            return float(self.time[0])
        share = (speed - self.speed[k - 1]) / (self.speed[k] - self.speed[k - 1])
        return float(self.time[k - 1] + share * (self.time[k] - self.time[k - 1]))

    def time_to_distance(self, distance: float) -> float | None:
        """Seconds for a distance; None if the run is shorter."""
        if self.distance[-1] < distance:
            return None
        return float(np.interp(distance, self.distance, self.time))


def sprint(
    machine: Machine, road: Road, shift_speeds: tuple[float, ...], start: float = 0.0, top: float = 150.0
) -> Sprint:
    """A run through the gears from a speed, shifting up at the speeds given, to `top` or as far as it goes."""
    pieces: list[tuple[Floats, Floats, Floats]] = []
    t, v, s = 0.0, start, 0.0
    shifted = []
    gear = next((g for g, at in enumerate(shift_speeds) if at > start), len(machine.overall) - 1)
    while True:
        last = gear == len(machine.overall) - 1
        end = min(machine.top_of(gear) if last else shift_speeds[gear], top)
        times, speeds, distances, complete = _in_gear(machine, road, gear, v, end)
        pieces.append((t + times, speeds, s + distances))
        t, v, s = float(t + times[-1]), float(speeds[-1]), float(s + distances[-1])
        if last or not complete or v >= top - 1e-9:
            break
        shifted.append(t)
        if machine.shift_time > 0:
            after, run = roadload.coasted(road, v, machine.equivalent_mass(None), machine.shift_time)
            t, v, s = t + machine.shift_time, after, s + run
        gear += 1
    times, speeds, distances = (np.concatenate(parts) for parts in zip(*pieces, strict=True))
    return Sprint(times, speeds, distances, tuple(shifted))


def roll_on(machine: Machine, road: Road, gear: int, start: float, end: float) -> float | None:
    """Seconds from one speed to another in one gear (from 0) at full throttle; None if it cannot."""
    times, _, _, complete = _in_gear(machine, road, gear, start, end)
    return float(times[-1]) if complete and end <= machine.top_of(gear) * (1 + 1e-9) else None


def _in_gear(machine: Machine, road: Road, gear: int, start: float, end: float) -> tuple[Floats, Floats, Floats, bool]:
    """(time, speed, distance) at the nodes in one gear, and whether `end` is reached."""
    if end <= start:
        return np.zeros(1), np.array([start]), np.zeros(1), True
    count = max(int(np.ceil((end - start) / _STEP)), 2)
    nodes = np.linspace(start, end, count + 1)
    # Where the clutch stops slipping the mass jumps: a node must stand there.
    joins = machine.launch * machine.radius / machine.overall[0]
    slips = gear == 0
    if slips and start < joins < end:
        nodes = np.sort(np.append(nodes, joins))
    middle, dv = (nodes[1:] + nodes[:-1]) / 2, np.diff(nodes)
    mass = np.full(len(middle), machine.equivalent_mass(gear))
    if slips:
        mass = np.where(middle < joins, machine.equivalent_mass(None), mass)
    spare = thrust(machine, gear, middle) - roadload.road_load(road, middle)
    gains = spare > 1e-9
    whole = bool(gains.all())
    if not whole:
        stop = int(np.argmin(gains))
        middle, dv, mass, spare, nodes = middle[:stop], dv[:stop], mass[:stop], spare[:stop], nodes[: stop + 1]
    dt = mass * dv / spare
    return (
        np.concatenate([[0.0], np.cumsum(dt)]),
        nodes,
        np.concatenate([[0.0], np.cumsum(dt * middle)]),
        whole,
    )
