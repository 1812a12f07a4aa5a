"""Travelling along a lap's tables: full throttle over a distance, through shifts, up to the braking point. SI."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.typing import NDArray

from gearplan.drive.lap.tables import LEAST_SPEED, Tables
from gearplan.drive.motion.force import crossing, mean_exp
from gearplan.drive.motion.machines import Floats, Ints

#: The greatest error of a time read from the tables, as a share, that of a tyre which grows to twice its radius.
_OFF = 1e-2


@dataclass(frozen=True, slots=True)
class Travelled:
    """Where pairs end: speed, gear (from 0), shift time that is still to pass, and the time and shifts on the way.

    `at_limiter` is the time spent there, `cannot_climb` whether the speed fell to that of a walk, `rest` the distance
    that is left for braking.
    """

    speed: Floats
    gear: Ints
    waiting: Floats
    time: Floats
    shifts: Ints
    at_limiter: Floats
    cannot_climb: NDArray[np.bool_]
    rest: Floats


def brake_at(
    t: Tables, slope: Ints, set_: Ints, v: Floats, gear: Ints, length: Floats, end: Floats, braking: Floats
) -> Floats:
    """How far one can accelerate on a slope before braking to `end` at the length's end; at most the length.

    `v` and `gear` are where the run begins, with no shift under way and gaining speed.
    """
    over = 0.5 / braking
    start, _ = t.place(slope, set_, gear, v, up=True)
    start = start + t.offset[slope, set_, gear]
    target = start + length + end**2 * over
    gears = t.shape[2]
    number = np.arange(gears)
    after = t.arrives[slope, set_] + over[:, None] * np.where(number < gears - 1, t.after_shift[slope, set_], 0.0) ** 2
    reached = _gear_reached((after <= target[:, None]) | (number < gear[:, None]))
    top = t.shift_speed[slope, set_, reached] ** 2 * over
    leaves = t.leaves[slope, set_, reached]
    beyond = target - leaves - top
    gap = t.shift_distance[slope, set_, reached]
    held = np.isinf(gap)
    with np.errstate(divide="ignore", invalid="ignore"):
        share = beyond / (gap + t.after_shift[slope, set_, reached] ** 2 * over - top)
        waiting = np.where(held, beyond, np.clip(share, 0.0, 1.0) * np.where(held, 0.0, gap))
    found = leaves + waiting
    inside = np.nonzero(beyond < 0)[0]
    if len(inside):
        rows = (slope[inside], set_[inside], reached[inside])
        local = target[inside] - t.offset[rows]
        found[inside] = t.offset[rows] + _brake_inside(t, *rows, local, over[inside])
    return np.asarray(np.clip(found - start, 0.0, length))


def _brake_inside(t: Tables, slope: Ints, set_: Ints, gear: Ints, target: Floats, over: Floats) -> Floats:
    """Place at which place + over·u meets the target, inside a gear: Newton's steps along the cell."""
    row = t.row(slope, set_, gear)
    _, _, gears, nodes = t.shape
    j = t.search(row, target, over, (set_ * gears + gear) * nodes)
    cell, here = t.cell(slope, set_, gear, j), row + j
    from_top = np.where(cell.holds, cell.high > 0, False)
    base = t.flat_distances[here + from_top]
    start = np.where(from_top, cell.high, cell.low)
    whole = np.where(from_top, 1.0, 0.0)
    scale = t.scale(cell, here)
    rate = 2 * (cell.high - cell.low) / cell.du
    away = np.zeros(len(target))
    for _ in range(5):
        grown = mean_exp(rate * away)
        u = cell.u + cell.du * whole + 2 * start * away * grown
        now = start * (1 + rate * away * grown)
        error = base + away * scale + over * u - target
        away = away - error / np.maximum(scale + 2 * over * now, 0.05)
    return np.asarray(base + away * scale)


def travel(
    t: Tables,
    slope: Ints,
    set_: Ints,
    v: Floats,
    gear: Ints,
    waiting: Floats,
    distance: Floats,
    end: Floats,
    braking: Floats,
) -> Travelled:
    """Full throttle over distances on slopes, from any speed, gear and shift under way, upright.

    It ends where braking to the speed `end` at the distance's end must begin; `end` is infinite where nothing
    is braked for.
    """
    run = _Run(t, slope, set_, v, gear, waiting, distance, end, braking)
    run.start()
    going = np.nonzero(run.left > 0)[0]
    gaining = t.acceleration(slope[going], set_[going], run.gear[going], run.speed[going]) >= 0
    up, down = going[gaining], going[~gaining]
    some = up[np.isfinite(end[up])]
    if len(some):
        first = brake_at(
            t, slope[some], set_[some], run.speed[some], run.gear[some], run.left[some], end[some], braking[some]
        )
        run.stop(some, first)
    _up(t, run, up)
    if len(down):
        some = down[np.isfinite(end[down])]
        run.stop(some, _brake_down(t, run, some))
        _down(t, run, down)
    return Travelled(run.speed, run.gear, run.waiting, run.time, run.shifts, run.at_limiter, run.cannot_climb, run.rest)


def _brake_down(t: Tables, run: _Run, rows: Ints) -> Floats:
    """How far pairs that lose speed go before they brake."""

    def excess(some: Ints, distance: Floats) -> Floats:
        trial = run.some(some, distance)
        _down(t, trial, np.nonzero(distance > 0)[0])
        return np.asarray(trial.speed**2 - trial.end**2 - 2 * trial.braking * (run.left[some] - distance))

    found = run.left[rows]
    at_end = excess(rows, found)
    brakes = np.nonzero(at_end > 0)[0]
    if len(brakes):
        some, none = rows[brakes], np.zeros(len(brakes))
        at_once = np.minimum(excess(some, none), 0.0)
        found[brakes] = crossing(partial(excess, some), none, found[brakes], at_once, at_end[brakes])
    return found


def _up(t: Tables, run: _Run, rows: Ints) -> None:
    if not len(rows):
        return
    m = t.machines
    slope, set_, v, gear = run.slope[rows], run.set_[rows], run.speed[rows], run.gear[rows]
    start, since = t.place(slope, set_, gear, v, up=True)
    target = start + t.offset[slope, set_, gear] + run.left[rows]
    since = since + t.offset_time[slope, set_, gear]
    number = np.arange(t.shape[2])
    reached = _gear_reached((t.arrives[slope, set_] <= target[:, None]) | (number < gear[:, None]))
    leaves, gap = t.leaves[slope, set_, reached], t.shift_distance[slope, set_, reached]
    at = t.shift_speed[slope, set_, reached]
    beyond = np.maximum(target - leaves, 0.0)
    held = np.isinf(gap) & (beyond > 0)
    shifting = ~np.isinf(gap) & (beyond > 0)
    speed, until = t.found(slope, set_, reached, target - t.offset[slope, set_, reached], up=True)
    until = until + t.offset_time[slope, set_, reached]
    left = t.end_time[slope, set_, reached] + t.offset_time[slope, set_, reached]
    speed = np.where(beyond > 0, at, speed)
    until = np.where(beyond > 0, left, until)
    until = until + np.where(held, beyond / at, 0.0)
    if shifting.any():
        # The speed falls evenly enough while nothing drives.
        share = np.where(shifting, beyond / np.where(shifting, gap, 1.0), 0.0)
        fallen = at + (t.after_shift[slope, set_, reached] - at) * share
        took = np.where(shifting, 2 * beyond / (at + fallen), 0.0)
        speed = np.where(shifting, fallen, speed)
        until = until + took
        run.waiting[rows] = np.where(shifting, np.maximum(m.shift_times[set_] - took, 0.0), 0.0)
        reached = reached + shifting
    took = until - since
    took = np.where(reached == gear, _rounded(took, run.left[rows], v, speed), took)
    run.time[rows] += took
    ends = held & (m.shift_engine[set_, reached] >= m.limiter * (1 - 1e-9))
    run.at_limiter[rows] += np.where(ends, np.minimum(beyond / at, took), 0.0)
    run.shifts[rows] += reached - gear
    run.speed[rows], run.gear[rows] = np.maximum(speed, LEAST_SPEED), reached


def _down(t: Tables, run: _Run, rows: Ints) -> None:
    """Too steep to hold the speed: slower and slower, gears dropped as the speed falls, until one holds."""
    for _ in range(t.shape[2] + 1):
        if not len(rows):
            return
        slope, set_, v, gear = run.slope[rows], run.set_[rows], run.speed[rows], run.gear[rows]
        least = np.where(gear > 0, t.shift_speed[slope, set_, np.maximum(gear - 1, 0)], LEAST_SPEED)
        least = np.minimum(np.maximum(least, LEAST_SPEED), v)
        place, since = t.place(slope, set_, gear, v, up=False)
        bottom, bottom_time = t.place(slope, set_, gear, least, up=False)
        reached = t.acceleration(slope, set_, gear, least) < 0
        target = place - run.left[rows]
        stays = ~reached | (target >= bottom)
        some = rows[stays]
        if len(some):
            speed, at = t.found(slope[stays], set_[stays], gear[stays], target[stays], up=False)
            # Below the slowest node nothing is listed: the rest is a walk.
            speed = np.clip(speed, least[stays], v[stays])
            run.time[some] += _rounded(np.abs(since[stays] - at), run.left[some], v[stays], speed)
            run.speed[some] = speed
            run.cannot_climb[some] |= speed <= LEAST_SPEED
        rows = rows[~stays]
        if not len(rows):
            return
        run.time[rows] += np.abs(since - bottom_time)[~stays]
        run.left[rows] -= np.maximum(place - bottom, 0.0)[~stays]
        run.speed[rows] = least[~stays]
        lowest = run.gear[rows] == 0
        below = np.maximum(run.gear[rows] - 1, 0)
        holds = lowest | (t.acceleration(run.slope[rows], run.set_[rows], below, run.speed[rows]) >= 0)
        held = rows[holds]
        run.time[held] += run.left[held] / run.speed[held]
        run.cannot_climb[held] |= lowest[holds]
        run.gear[rows] = below
        rows = rows[~holds]


class _Run:
    """Pairs under way in one call of `travel`."""

    def __init__(
        self,
        tables: Tables,
        slope: Ints,
        set_: Ints,
        v: Floats,
        gear: Ints,
        waiting: Floats,
        distance: Floats,
        end: Floats,
        braking: Floats,
    ) -> None:
        self.tables, self.slope, self.set_, self.end, self.braking = tables, slope, set_, end, braking
        self.speed, self.gear, self.waiting, self.left = (
            np.maximum(v, LEAST_SPEED),
            gear.copy(),
            waiting.copy(),
            distance.copy(),
        )
        self.time, self.at_limiter, self.rest = np.zeros(len(v)), np.zeros(len(v)), np.zeros(len(v))
        self.shifts = np.zeros(len(v), int)
        self.cannot_climb = np.zeros(len(v), bool)

    def some(self, rows: Ints, distance: Floats) -> _Run:
        """A trial of some pairs from where they are, over other distances."""
        return _Run(
            self.tables,
            self.slope[rows],
            self.set_[rows],
            self.speed[rows],
            self.gear[rows],
            np.zeros(len(rows)),
            distance,
            self.end[rows],
            self.braking[rows],
        )

    def stop(self, rows: Ints, after: Floats) -> None:
        """Let pairs go no farther than some distance from here; what is left then is for braking."""
        self.rest[rows] += self.left[rows] - after
        self.left[rows] = after

    def start(self) -> None:
        """Finish a shift under way, shift where the speed asks for it, and drop gears that cannot hold it."""
        t = self.tables
        m = t.machines
        last = m.gears - 1
        for _ in range(last + 1):
            self._coast(np.nonzero((self.waiting > 0) & (self.left > 0))[0])
            ready = np.nonzero((self.waiting <= 0) & (self.left > 0))[0]
            set_, v, gear = self.set_[ready], self.speed[ready], self.gear[ready]
            at = t.shift_speed[self.slope[ready], set_, gear]
            ready = ready[(gear < last) & (v >= at * (1 + 1e-12))]
            if not len(ready):
                break
            gains = t.acceleration(self.slope[ready], self.set_[ready], self.gear[ready] + 1, self.speed[ready]) > 0
            up = ready[gains]
            self.gear[up] += 1
            self.shifts[up] += 1
            self.waiting[up] = m.shift_times[self.set_[up]]
            wrong = ready[~gains]
            self.gear[wrong] = t.gear_at(self.set_[wrong], self.speed[wrong], slope=self.slope[wrong])
            if not len(up):
                break
        top = m.limit_speed[self.set_, self.gear]
        self.speed = np.minimum(self.speed, top)
        slower = np.nonzero((t.acceleration(self.slope, self.set_, self.gear, self.speed) < 0) & (self.waiting <= 0))[0]
        by_speed = t.gear_at(self.set_[slower], self.speed[slower], slope=self.slope[slower])
        self.gear[slower] = np.minimum(self.gear[slower], by_speed)

    def _coast(self, rows: Ints) -> None:
        if not len(rows):
            return
        t = self.tables
        slope, set_, v, wait, left = (
            self.slope[rows],
            self.set_[rows],
            self.speed[rows],
            self.waiting[rows],
            self.left[rows],
        )
        after, run = t.coast(slope, set_, v, wait)
        run = np.maximum(run, 1e-12)
        with np.errstate(invalid="ignore"):
            before = v**2 - self.end[rows] ** 2 - 2 * self.braking[rows] * left
            over = after**2 - self.end[rows] ** 2 - 2 * self.braking[rows] * (left - run)
            brakes = (over > 0) & np.isfinite(self.end[rows])
            share = np.clip(np.where(brakes, before / (before - over), 1.0), 0.0, 1.0)
        if brakes.any():
            first = np.minimum(share * run, left)
            self.stop(rows[brakes], first[brakes])
            left = np.where(brakes, first, left)
        short = (run > left) | brakes
        # The section ends first: the part of the time in which its distance is covered, the speed falling evenly.
        share = np.where(short, left / run, 1.0)
        speed = v + (after - v) * share
        took = np.where(short, 2 * left / (v + speed), wait)
        self.speed[rows], self.time[rows] = speed, self.time[rows] + took
        self.waiting[rows] = np.where(short, np.maximum(wait - took, 0.0), 0.0)
        self.left[rows] = np.where(short, 0.0, left - run)


def _gear_reached(behind: NDArray[np.bool_]) -> Ints:
    """The gear of each pair from which gears are behind [pair, gear]; the last is behind nobody."""
    return np.asarray(np.logical_and.accumulate(behind, axis=1).sum(axis=1))


def _rounded(time: Floats, distance: Floats, one: Floats, other: Floats) -> Floats:
    """A time within what the distance takes at the greater and the lesser of two speeds, if it is little off.

    The tables' times are less exact than their speeds; a time that is far off is left for all to see.
    """
    within = np.clip(time, distance / np.maximum(one, other), distance / np.minimum(one, other))
    return np.where(np.abs(within - time) <= _OFF * within, within, time)
