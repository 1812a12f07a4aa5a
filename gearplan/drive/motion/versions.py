"""Timed accelerations of many versions of one motorcycle at once: what a changed value does to a time. SI.

The same laws and the same closed form from node to node as in `sprint`, on fewer nodes, and up-shifts carried over from
the first version to first order. A time by itself is good to some 0.2 %, the difference of two versions to a tenth
of it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.typing import NDArray

from gearplan.drive.gearing import engine_speed, road_speed
from gearplan.drive.motion import force
from gearplan.drive.motion.roadload import Road
from gearplan.drive.motion.sprint import Sprint, between_nodes
from gearplan.drive.motion.thrust import Machine

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

_STEP = 1.0
#: How far either side of the first up-shift the gain by it is looked at, and how far that tells, as shares.
_NEAR, _KNOWN = 0.005, 0.05
#: Even engine speeds at which a held speed is looked for.
_TURNING = 24
_LEAST_EVEN, _MOST_EVEN = 4, 120
#: Towards the top speed nodes halve what is left of the way this often.
_HALVINGS, _PER_HALVING = 14, 2


@dataclass(frozen=True, slots=True)
class Piece:
    """A stretch in one gear, [version, node]: time and distance since its begin, speed, and how far it gets."""

    time: Floats
    speed: Floats
    distance: Floats
    reached: Bools


class Versions:
    """Versions of a motorcycle with the same gears, limiter and wind; the others differ from the first."""

    def __init__(self, machines: Sequence[Machine], roads: Sequence[Road]) -> None:
        self._first, self._wind = machines[0], roads[0].wind
        self._curves: dict[object, tuple[Machine, list[int]]] = {}
        for k, one in enumerate(machines):
            self._curves.setdefault((one.engine, one.torque), (one, []))[1].append(k)
        column = _column
        self._radius = column([one.radius for one in machines])
        self._growth = column([one.growth for one in machines])
        self._share = column([one.efficiency / self._first.efficiency for one in machines])
        self._launch = column([one.launch for one in machines])
        self._bound = column([one.bound for one in machines])
        self._open = column([one.equivalent_mass(None) for one in machines])
        self._crank = column([one.crank for one in machines])
        self._pause = column([one.shift_time for one in machines])
        self._square = column([one.square for one in roads])
        self._constant = column([one.constant for one in roads])

    def top_speeds(self) -> Floats:
        """The greatest speed that each version holds in some gear up to its limiter, [version]; NaN where none."""
        best = np.full(len(self._radius), np.nan)
        limiter = self._first.limiter
        turning = np.linspace(1e-3 * limiter, limiter, _TURNING)
        at = np.union1d(turning, [n for n in self._first.engine if turning[0] <= n <= limiter])[None, :]
        rows = np.arange(len(best))
        # From the last gear down, until the gears end below what is held.
        for gear in reversed(range(len(self._first.overall))):
            nodes = self._speed_at(gear, at)
            if np.all(nodes[:, -1] < best):
                break
            spare = self._spare(gear, nodes)
            held = spare >= 0
            j = np.where(held.any(axis=1), nodes.shape[1] - 1 - np.argmax(held[:, ::-1], axis=1), 0)
            after = np.minimum(j + 1, nodes.shape[1] - 1)
            low, high = np.maximum(spare[rows, j], 0.0), np.where(after > j, spare[rows, after], 0.0)
            found = force.crossing(partial(self._excess, gear), nodes[rows, j], nodes[rows, after], low, high)
            best = np.fmax(best, np.where(held.any(axis=1), found, np.nan))
        return best

    def _excess(self, gear: int, speed: Floats) -> Floats:
        return self._spare(gear, speed[:, None])[:, 0]

    def roll_on(self, gear: int, start: float, end: float) -> Floats:
        """Seconds from one speed to another in one gear (from 0) at full throttle, [version]; NaN if it cannot."""
        piece = self._piece(gear, np.full_like(self._radius, start), np.full_like(self._radius, end), ())
        can = self._speed_at(gear, self._first.limiter)[:, 0] * (1 + 1e-9) >= end
        return np.where(piece.reached[:, -1] & can, piece.time[:, -1], np.nan)

    def run(self, like: Sprint, shifts: Sequence[float], tops: Floats, marks: Sequence[float]) -> Piece:
        """A run from standstill through as many gears as the first version's run, with nodes at the speeds `marks`.

        `like` is that run, `shifts` the speeds of its up-shifts, `tops` the top speed of each version.
        """
        last = len(like.shifts)
        pieces: list[Piece] = []
        t, s, v = (np.zeros_like(self._radius) for _ in range(3))
        going = np.ones(len(t), bool)
        highest = np.nan_to_num(tops)[:, None]
        for gear in range(last + 1):
            if gear < len(shifts):
                end = self._speed_at(gear, self._shift_engine(gear, shifts[gear]))
            else:
                end = self._speed_at(gear, self._first.limiter)
            towards = v + (highest - v) * (1 - 0.5 ** (np.arange(_HALVINGS * _PER_HALVING) / _PER_HALVING))
            one = self._piece(gear, v, end, marks, towards if gear == last else None)
            reached = one.reached & going[:, None]
            pieces.append(Piece(t + one.time, one.speed, s + one.distance, reached))
            going = reached[:, -1]
            if gear == last:
                break
            after, way = force.coasted(
                self._square, self._constant, self._open, self._wind, one.speed[:, -1:], self._pause
            )
            t, s, v = t + one.time[:, -1:] + self._pause, s + one.distance[:, -1:] + way, after
        return Piece(
            time=np.concatenate([one.time for one in pieces], axis=1),
            speed=np.concatenate([one.speed for one in pieces], axis=1),
            distance=np.concatenate([one.distance for one in pieces], axis=1),
            reached=np.concatenate([one.reached for one in pieces], axis=1),
        )

    def _shift_engine(self, gear: int, speed: float) -> Floats:
        """Engine speed of each version's up-shift, [version, 1], to first order from the first one's road speed.

        Where the next gear pulls harder, that is where the gain by it is nothing; the limiter stays where it is.
        """
        at, top = float(self._first.engine_at(gear, speed)), min(self._first.limiter, self._first.shift_at)
        if at >= top * (1 - _NEAR):
            return np.full_like(self._radius, at)
        turning = at * np.array([[1 - _NEAR, 1 + _NEAR]])
        v = self._speed_at(gear, turning)
        resists = force.drag(self._square, v, self._wind) + self._constant
        now, then = ((self._pulls(g, v) - resists) / self._mass(g) for g in (gear, gear + 1))
        gain = then - now
        rises = (gain[:, 1:] - gain[:, :1]) / (2 * _NEAR * at)
        with np.errstate(divide="ignore", invalid="ignore"):
            off = np.nan_to_num(-gain.mean(axis=1, keepdims=True) / rises)
        off -= off[0]
        return np.asarray(np.clip(at + np.clip(off, -_KNOWN * at, _KNOWN * at), 0.0, top))

    def _mass(self, gear: int) -> Floats:
        return np.asarray(self._open + self._crank * (self._first.overall[gear] / self._radius) ** 2)

    def _piece(
        self, gear: int, start: Floats, end: Floats, marks: Sequence[float], more: Floats | None = None
    ) -> Piece:
        even = int(np.clip(np.ceil((end[0, 0] - start[0, 0]) / _STEP), _LEAST_EVEN, _MOST_EVEN))
        joins = self._speed_at(gear, self._launch) if gear == 0 else start
        parts = [
            start + (end - start) * np.linspace(0.0, 1.0, even + 1),
            self._speed_at(gear, np.asarray(self._first.engine)[None, :]),
            joins,
            np.broadcast_to(np.asarray(marks, float), (len(start), len(marks))),
            *(() if more is None else (more,)),
        ]
        nodes = np.sort(np.clip(np.concatenate(parts, axis=1), start, np.maximum(end, start)), axis=1)
        nodes = self._with_limits(gear, nodes)
        spare = self._spare(gear, nodes)
        reached = np.logical_and.accumulate(spare > 0, axis=1)
        spare = np.where(reached, spare, 1.0)
        dv = np.diff(nodes, axis=1)
        mass = self._mass(gear)
        if gear == 0:
            mass = np.where(nodes[:, :-1] + dv / 2 < joins, self._open, mass)
        dt, ds = between_nodes(mass, nodes[:, :-1], dv, spare)
        return Piece(_summed(dt), nodes, _summed(ds), reached)

    def _with_limits(self, gear: int, nodes: Floats) -> Floats:
        """The nodes and, between them, where the limit of lift or grip begins or ends."""
        if not np.isfinite(self._bound).any():
            return nodes
        over = self._pulls(gear, nodes) - self._bound
        with np.errstate(invalid="ignore"):
            turns = over[:, 1:] * over[:, :-1] < 0
        which = np.nonzero(turns.any(axis=0))[0]
        if not len(which):
            return nodes
        low, high = over[:, which], over[:, which + 1]
        share = np.where(turns[:, which], low / np.where(turns[:, which], low - high, 1.0), 0.0)
        more = nodes[:, which] + share * (nodes[:, which + 1] - nodes[:, which])
        return np.sort(np.concatenate([nodes, more], axis=1), axis=1)

    def _spare(self, gear: int, speed: Floats) -> Floats:
        spare = np.minimum(self._pulls(gear, speed), self._bound)
        return np.asarray(spare - force.drag(self._square, speed, self._wind) - self._constant)

    def _pulls(self, gear: int, speed: Floats) -> Floats:
        over_radius = self._first.overall[gear] / self._radius
        turning = np.asarray(engine_speed(speed, over_radius, 1.0, self._growth))
        if gear == 0:
            turning = np.maximum(turning, self._launch)
        torque = np.empty_like(turning)
        for curve, rows in self._curves.values():
            torque[rows] = force.torque_at(curve, turning[rows])
        return force.at_tyre(self._first, torque, over_radius * self._share, speed, self._growth)

    def _speed_at(self, gear: int, engine: object) -> Floats:
        over_radius = self._first.overall[gear] / self._radius
        return np.asarray(road_speed(np.asarray(engine, float), over_radius, 1.0, self._growth))


def time_to_speed(run: Piece, speed: float) -> Floats:
    """Seconds until a speed that was marked is first reached, [version]; NaN where it is not."""
    there = run.reached & (run.speed >= speed - 1e-9)
    first = np.argmax(there, axis=1)
    rows = np.arange(len(first))
    return np.where(there[rows, first], run.time[rows, first], np.nan)


def time_to_distance(run: Piece, distance: float) -> Floats:
    """Seconds for a distance, [version], the last speed held; NaN where a version does not move off."""
    rows = np.arange(len(run.time))
    beyond = run.reached & (run.distance > distance)
    last = run.reached.shape[1] - 1 - np.argmax(run.reached[:, ::-1], axis=1)
    k = np.where(beyond.any(axis=1), np.maximum(np.argmax(beyond, axis=1), 1), last)
    t1, v1, s1 = (of[rows, k] for of in (run.time, run.speed, run.distance))
    t0, v0, s0 = (of[rows, k - 1] for of in (run.time, run.speed, run.distance))
    with np.errstate(divide="ignore", invalid="ignore"):
        # Between two nodes the square of the speed goes evenly with the distance.
        share = (distance - s0) / (s1 - s0)
        there = np.sqrt(v0**2 + share * (v1**2 - v0**2))
        part = share * (v0 + v1) / np.maximum(v0 + there, 1e-12)
        held = t1 + (distance - s1) / v1
    found = np.where(beyond.any(axis=1), t0 + part * (t1 - t0), held)
    return np.where(np.isfinite(found), found, np.nan)


def _column(values: Sequence[float]) -> Floats:
    return np.array(values, float)[:, None]


def _summed(parts: Floats) -> Floats:
    return np.concatenate([np.zeros((len(parts), 1)), np.cumsum(parts, axis=1)], axis=1)
