"""Timed accelerations: speed, time and distance through the gears or in one gear. SI: s, m, m/s.

Integrated over speed, dt = m·dv/(F − load), in closed form between nodes of a quarter of a metre per second or less,
over each of which the spare force is taken as straight: no loop over time. Nodes stand at every point of the torque
curve and close together where little force is left, for there the time hangs on it. Against an integration of the
equation of motion that is good to 0.1 % up to a thousandth below the speed at which the force ends.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gearplan.drive.motion import force, roadload
from gearplan.drive.motion.roadload import Road
from gearplan.drive.motion.thrust import Machine, thrust

Floats = NDArray[np.float64]

_STEP = 0.25
#: No more even nodes than these, whatever speed a gear would give that drag never lets it reach.
_MOST_EVEN = 2000
#: Between two nodes the spare force changes by about this share at most.
_CHANGE = 0.1
_MOST_PARTS = 64
#: Towards a speed that drag alone sets, nodes halve what is left of the way this often.
_HALVINGS, _PER_HALVING = 20, 7


@dataclass(frozen=True, slots=True)
class Sprint:
    """A run: time, speed and distance at its nodes; from the last one on the speed is held."""

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
        """Seconds for a distance; None if the motorcycle does not move off."""
        t, v, s = self.time, self.speed, self.distance
        if s[-1] <= distance:
            return float(t[-1] + (distance - s[-1]) / v[-1]) if v[-1] > 0 else None
        # Between two nodes the square of the speed goes evenly with the distance.
        k = int(np.searchsorted(s, distance, side="right"))
        share = (distance - s[k - 1]) / (s[k] - s[k - 1])
        there = np.sqrt(v[k - 1] ** 2 + share * (v[k] ** 2 - v[k - 1] ** 2))
        part = share * (v[k - 1] + v[k]) / max(v[k - 1] + there, 1e-12)
        return float(t[k - 1] + part * (t[k] - t[k - 1]))


def sprint(machine: Machine, road: Road, shift_speeds: tuple[float, ...]) -> Sprint:
    """A run from standstill through the gears, shifting up at the speeds given, as far as it gains speed.

    Nobody shifts into a gear that would only lose speed, at once or after the time without drive: the shift speed is
    held instead.
    """
    pieces: list[tuple[Floats, Floats, Floats]] = []
    t, v, s = 0.0, 0.0, 0.0
    shifted = []
    for gear in range(len(machine.overall)):
        last = gear == len(machine.overall) - 1
        times, speeds, distances, complete = _in_gear(
            machine, road, gear, v, machine.top_of(gear) if last else shift_speeds[gear]
        )
        pieces.append((t + times, speeds, s + distances))
        t, v, s = float(t + times[-1]), float(speeds[-1]), float(s + distances[-1])
        if last or not complete:
            break
        after, run = roadload.coasted(road, v, machine.equivalent_mass(None), machine.shift_time)
        if not (_spare(machine, road, gear + 1, np.array([v, after])) > 0).all():
            break
        shifted.append(t)
        t, v, s = t + machine.shift_time, after, s + run
    times, speeds, distances = (np.concatenate(parts) for parts in zip(*pieces, strict=True))
    return Sprint(times, speeds, distances, tuple(shifted))


def roll_on(machine: Machine, road: Road, gear: int, start: float, end: float) -> float | None:
    """Seconds from one speed to another in one gear (from 0) at full throttle; None if it cannot."""
    if end > machine.top_of(gear) * (1 + 1e-9):
        return None
    times, _, _, complete = _in_gear(machine, road, gear, start, end)
    return float(times[-1]) if complete else None


def _in_gear(machine: Machine, road: Road, gear: int, start: float, end: float) -> tuple[Floats, Floats, Floats, bool]:
    """(time, speed, distance) at the nodes in one gear, and whether `end` is reached."""
    if end <= start:
        return np.zeros(1), np.array([start]), np.zeros(1), True
    even = np.linspace(start, end, int(np.clip(np.ceil((end - start) / _STEP), 2, _MOST_EVEN)) + 1)
    # Where the clutch stops slipping the mass jumps, and at its points the torque bends: nodes must stand there.
    joins = float(machine.speed_at(0, machine.launch)) if gear == 0 else 0.0
    bends = np.append(np.asarray(machine.speed_at(gear, np.array(machine.engine))), joins)
    nodes = _with_limits(machine, gear, np.unique(np.concatenate([even, bends[(bends > start) & (bends < end)]])))
    spare = _spare(machine, road, gear, nodes)
    whole = bool((spare > 0).all())
    if not whole:
        stop = int(np.argmin(spare > 0))
        if stop == 0:
            return np.zeros(1), np.array([start]), np.zeros(1), False
        last, beyond = nodes[stop - 1], nodes[stop]
        held = force.crossing(
            lambda v: _spare(machine, road, gear, v),
            np.array([last]),
            np.array([beyond]),
            spare[[stop - 1]],
            spare[[stop]],
        )
        left = 0.5 ** (np.arange(1, _HALVINGS * _PER_HALVING + 1) / _PER_HALVING)
        nodes = np.unique(np.append(nodes[:stop], held - (held - last) * left))
        spare = _spare(machine, road, gear, nodes)
        keep = np.logical_and.accumulate(spare > 0)
        nodes, spare = nodes[keep], spare[keep]
    if len(nodes) < 2:
        return np.zeros(1), np.array([start]), np.zeros(1), False
    parts = np.clip(np.ceil(np.abs(np.diff(np.log(spare))) / _CHANGE), 1, _MOST_PARTS).astype(int)
    nodes = _parted(nodes, parts)
    spare = _spare(machine, road, gear, nodes)
    low, dv = nodes[:-1], np.diff(nodes)
    mass = np.full(len(dv), machine.equivalent_mass(gear))
    if gear == 0:
        mass = np.where(low + dv / 2 < joins, machine.equivalent_mass(None), mass)
    dt, ds = between_nodes(mass, low, dv, spare)
    return _summed(dt), nodes, _summed(ds), whole


def between_nodes(mass: Floats, low: Floats, dv: Floats, spare: Floats) -> tuple[Floats, Floats]:
    """(Times, distances) from node to node along the last axis; `spare` is the force at all nodes, straight between.

    ∫dv/F = Δv·ln(F₁/F₀)/(F₁ − F₀), and the mean of v weighed by 1/F stands at 1/(1 − F₁/F₀) + 1/ln(F₁/F₀).
    """
    change = np.log(spare[..., 1:] / spare[..., :-1])
    dt = mass * dv / (spare[..., :-1] * force.mean_exp(change))
    return dt, dt * (low + dv * force.mean_place(change))


def _with_limits(machine: Machine, gear: int, nodes: Floats) -> Floats:
    """The nodes and, between them, where the limit of lift or grip begins or ends: there too the thrust bends."""
    if not np.isfinite(machine.bound):
        return nodes
    over = thrust(machine, gear, nodes, limited=False) - machine.bound
    at = np.nonzero(over[1:] * over[:-1] < 0)[0]
    share = over[at] / (over[at] - over[at + 1])
    return np.unique(np.append(nodes, nodes[at] + share * (nodes[at + 1] - nodes[at])))


def _spare(machine: Machine, road: Road, gear: int, v: Floats) -> Floats:
    return np.asarray(thrust(machine, gear, v) - roadload.road_load(road, v))


def _parted(nodes: Floats, parts: NDArray[np.int_]) -> Floats:
    """Every interval between nodes in so many equal parts."""
    which = np.repeat(np.arange(len(parts)), parts)
    place = np.arange(len(which)) - np.repeat(np.cumsum(parts) - parts, parts)
    return np.append(nodes[which] + np.diff(nodes)[which] * place / parts[which], nodes[-1])


def _summed(parts: Floats) -> Floats:
    return np.concatenate([[0.0], np.cumsum(parts)])
