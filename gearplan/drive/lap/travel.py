"""Travelling along a lap's tables: full throttle over a distance, through shifts, up to the braking point. SI."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gearplan.drive.lap.cells import growth
from gearplan.drive.lap.tables import CRAWL, Tables
from gearplan.drive.machines import Floats, Ints

#: The error of a time read from the tables, as a share: more is no rounding.
_OFF = 1e-3


@dataclass(frozen=True, slots=True)
class Travelled:
    """Where pairs end: speed, gear (from 0), shift time that is still to pass, and the time and shifts on the way.

    `held` is the time spent at the limiter, `crawled` whether the speed fell to a walk, `rest` the distance that is
    left for braking.
    """

    speed: Floats
    gear: Ints
    waiting: Floats
    time: Floats
    shifts: Ints
    held: Floats
    crawled: NDArray[np.bool_]
    rest: Floats


def brake_at(t: Tables, q: Ints, s: Ints, v: Floats, g: Ints, length: Floats, end: Floats, braking: Floats) -> Floats:
    """How far one can accelerate on a slope before braking to `end` at the length's end; at most the length.

    `v` and `g` are where the run begins, with no shift under way and gaining speed.
    """
    m = t.machines
    over = 0.5 / braking
    start, _ = t.place(q, s, g, v, up=True)
    start = start + t.offset[q, s, g]
    target = start + length + end**2 * over
    gears = t.shape[2]
    number = np.arange(gears)
    after = t.arrives[q, s] + over[:, None] * np.where(number < gears - 1, t.after[q, s], 0.0) ** 2
    gear = _reached((after <= target[:, None]) | (number < g[:, None]))
    top = m.shift_speed[s, gear] ** 2 * over
    leaves = t.leaves[q, s, gear]
    beyond = target - leaves - top
    gap = t.gap[q, s, gear]
    held = np.isinf(gap)
    with np.errstate(divide="ignore", invalid="ignore"):
        share = beyond / (gap + t.after[q, s, gear] ** 2 * over - top)
        waiting = np.where(held, beyond, np.clip(share, 0.0, 1.0) * np.where(held, 0.0, gap))
    found = leaves + waiting
    inside = np.nonzero(beyond < 0)[0]
    if len(inside):
        rows = (q[inside], s[inside], gear[inside])
        local = target[inside] - t.offset[rows]
        found[inside] = t.offset[rows] + _brake_inside(t, *rows, local, over[inside])
    return np.asarray(np.clip(found - start, 0.0, length))


def _brake_inside(t: Tables, q: Ints, s: Ints, g: Ints, target: Floats, over: Floats) -> Floats:
    """Place at which place + over·u meets the target, inside a gear: Newton's steps along the cell."""
    row = t.row(q, s, g)
    _, _, gears, nodes = t.shape
    j = t.search(row, target, over, (s * gears + g) * nodes)
    cell, here = t.cell(q, s, g, j), row + j
    from_top = np.where(cell.kept, cell.high > 0, False)
    base = t.flat_far[here + from_top]
    start = np.where(from_top, cell.high, cell.low)
    whole = np.where(from_top, 1.0, 0.0)
    scale = t.scale(cell, here)
    rate = 2 * (cell.high - cell.low) / cell.du
    away = target - base - over * (cell.u + cell.du * whole)
    away = away / (scale + 2 * over * np.maximum(start, 0.0))
    for _ in range(4):
        grown = growth(rate * away)
        u = cell.u + cell.du * whole + 2 * start * away * grown
        now = start * (1 + rate * away * grown)
        error = base + away * scale + over * u - target
        away = away - error / np.maximum(scale + 2 * over * now, 0.05)
    return np.asarray(base + away * scale)


def travel(
    t: Tables,
    q: Ints,
    s: Ints,
    v: Floats,
    g: Ints,
    waiting: Floats,
    distance: Floats,
    end: Floats,
    braking: Floats,
) -> Travelled:
    """Full throttle over distances on slopes, from any speed, gear and shift under way, upright.

    It ends where braking to the speed `end` at the distance's end must begin; `end` is infinite where nothing
    is braked for.
    """
    run = _Run(t, q, s, v, g, waiting, distance, end, braking)
    run.start()
    going = np.nonzero(run.left > 0)[0]
    gaining = t.acceleration(q[going], s[going], run.g[going], run.v[going]) >= 0
    up, down = going[gaining], going[~gaining]
    some = up[np.isfinite(end[up])]
    if len(some):
        first = brake_at(t, q[some], s[some], run.v[some], run.g[some], run.left[some], end[some], braking[some])
        run.stop(some, first)
    _up(t, run, up)
    if len(down):
        some = down[np.isfinite(end[down])]
        run.stop(some, _brake_down(t, run, some))
        _down(t, run, down)
    return Travelled(run.v, run.g, run.waiting, run.time, run.shifts, run.held, run.crawled, run.rest)


def _brake_down(t: Tables, run: _Run, rows: Ints) -> Floats:
    """How far pairs that lose speed go before they brake: bisection, safeguarded false position."""
    low, high = np.zeros(len(rows)), run.left[rows].copy()
    end, braking = run.end[rows], run.braking[rows]

    def excess(distance: Floats) -> Floats:
        trial = run.some(rows, distance)
        _down(t, trial, np.nonzero(distance > 0)[0])
        return np.asarray(trial.v**2 - end**2 - 2 * braking * (run.left[rows] - distance))

    at_low, at_high = excess(low), excess(high)
    free = at_high <= 0
    for k in range(24):
        even = at_low / np.where(at_low == at_high, 1.0, at_low - at_high)
        share = 0.5 if k % 3 == 2 else np.clip(even, 0.02, 0.98)
        middle = low + share * (high - low)
        value = excess(middle)
        over = value > 0
        high, at_high = np.where(over, middle, high), np.where(over, value, at_high)
        low, at_low = np.where(over, low, middle), np.where(over, at_low, value)
        if float(np.max(np.where(free, 0.0, high - low), initial=0.0)) < 1e-6:
            break
    return np.where(free, run.left[rows], 0.5 * (low + high))


def _up(t: Tables, run: _Run, rows: Ints) -> None:
    if not len(rows):
        return
    m = t.machines
    q, s, v, g = run.q[rows], run.s[rows], run.v[rows], run.g[rows]
    start, since = t.place(q, s, g, v, up=True)
    target = start + t.offset[q, s, g] + run.left[rows]
    since = since + t.offset_time[q, s, g]
    number = np.arange(t.shape[2])
    gear = _reached((t.arrives[q, s] <= target[:, None]) | (number < g[:, None]))
    leaves, gap = t.leaves[q, s, gear], t.gap[q, s, gear]
    at = m.shift_speed[s, gear]
    beyond = np.maximum(target - leaves, 0.0)
    held = np.isinf(gap) & (beyond > 0)
    shifting = ~np.isinf(gap) & (beyond > 0)
    speed, until = t.found(q, s, gear, target - t.offset[q, s, gear], up=True)
    until = until + t.offset_time[q, s, gear]
    left = t.end_time[q, s, gear] + t.offset_time[q, s, gear]
    speed = np.where(beyond > 0, at, speed)
    until = np.where(beyond > 0, left, until)
    until = until + np.where(held, beyond / at, 0.0)
    run.held[rows] += np.where(held & (m.shift_engine[s, gear] >= m.limiter * (1 - 1e-9)), beyond / at, 0.0)
    if shifting.any():
        # The speed falls evenly enough while nothing drives.
        share = np.where(shifting, beyond / np.where(shifting, gap, 1.0), 0.0)
        fallen = at + (t.after[q, s, gear] - at) * share
        took = np.where(shifting, 2 * beyond / (at + fallen), 0.0)
        speed = np.where(shifting, fallen, speed)
        until = until + took
        run.waiting[rows] = np.where(shifting, np.maximum(m.shift_time - took, 0.0), 0.0)
        gear = gear + shifting
    even = (gear == g) & (beyond <= 0)
    run.time[rows] += np.where(even, _rounded(until - since, run.left[rows], v, speed), until - since)
    run.shifts[rows] += gear - g
    run.v[rows], run.g[rows] = np.maximum(speed, CRAWL), gear
    run.left[rows] = 0.0


def _down(t: Tables, run: _Run, rows: Ints) -> None:
    """Too steep to hold the speed: slower and slower, gears dropped as the speed falls, until one holds."""
    m = t.machines
    for _ in range(t.shape[2] + 1):
        if not len(rows):
            return
        q, s, v, g = run.q[rows], run.s[rows], run.v[rows], run.g[rows]
        least = np.where(g > 0, m.shift_speed[s, np.maximum(g - 1, 0)], CRAWL)
        least = np.minimum(np.maximum(least, CRAWL), v)
        place, since = t.place(q, s, g, v, up=False)
        bottom, bottom_time = t.place(q, s, g, least, up=False)
        reached = t.acceleration(q, s, g, least) < 0
        target = place - run.left[rows]
        stays = ~reached | (target >= bottom)
        some = rows[stays]
        if len(some):
            speed, at = t.found(q[stays], s[stays], g[stays], target[stays], up=False)
            # Below the slowest node nothing is listed: the rest is a walk.
            speed = np.clip(speed, least[stays], v[stays])
            run.time[some] += _rounded(np.abs(since[stays] - at), run.left[some], v[stays], speed)
            run.v[some], run.left[some] = speed, 0.0
            run.crawled[some] |= speed <= CRAWL
        rows = rows[~stays]
        if not len(rows):
            return
        run.time[rows] += np.abs(since - bottom_time)[~stays]
        run.left[rows] -= np.maximum(place - bottom, 0.0)[~stays]
        run.v[rows] = least[~stays]
        lowest = run.g[rows] == 0
        below = np.maximum(run.g[rows] - 1, 0)
        holds = lowest | (t.acceleration(run.q[rows], run.s[rows], below, run.v[rows]) >= 0)
        kept = rows[holds]
        run.time[kept] += run.left[kept] / run.v[kept]
        run.crawled[kept] |= lowest[holds]
        run.left[kept] = 0.0
        run.g[rows] = below
        rows = rows[~holds]


class _Run:
    """Pairs under way in one call of `travel`."""

    def __init__(
        self,
        tables: Tables,
        q: Ints,
        s: Ints,
        v: Floats,
        g: Ints,
        waiting: Floats,
        distance: Floats,
        end: Floats,
        braking: Floats,
    ) -> None:
        self.tables, self.q, self.s, self.end, self.braking = tables, q, s, end, braking
        self.v, self.g, self.waiting, self.left = np.maximum(v, CRAWL), g.copy(), waiting.copy(), distance.copy()
        self.time, self.held, self.rest = np.zeros(len(v)), np.zeros(len(v)), np.zeros(len(v))
        self.shifts = np.zeros(len(v), int)
        self.crawled = np.zeros(len(v), bool)

    def some(self, rows: Ints, distance: Floats) -> _Run:
        """A trial of some pairs from where they are, over other distances."""
        return _Run(
            self.tables,
            self.q[rows],
            self.s[rows],
            self.v[rows],
            self.g[rows],
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
            s, v, g = self.s[ready], self.v[ready], self.g[ready]
            ready = ready[(g < last) & (v >= m.shift_speed[s, g] * (1 + 1e-12))]
            if not len(ready):
                break
            gains = t.acceleration(self.q[ready], self.s[ready], self.g[ready] + 1, self.v[ready]) > 0
            up = ready[gains]
            self.g[up] += 1
            self.shifts[up] += 1
            self.waiting[up] = m.shift_time
            wrong = ready[~gains]
            self.g[wrong] = t.gear_at(self.s[wrong], self.v[wrong])
            if not m.shift_time:
                self.waiting[up] = 0.0
            if not len(up):
                break
        top = m.limit_speed[self.s, self.g]
        self.v = np.minimum(self.v, top)
        slower = np.nonzero((t.acceleration(self.q, self.s, self.g, self.v) < 0) & (self.waiting <= 0))[0]
        self.g[slower] = np.minimum(self.g[slower], t.gear_at(self.s[slower], self.v[slower]))

    def _coast(self, rows: Ints) -> None:
        if not len(rows):
            return
        t = self.tables
        q, s, v, wait, left = self.q[rows], self.s[rows], self.v[rows], self.waiting[rows], self.left[rows]
        after, run = t.coast(q, s, v, wait)
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
        self.v[rows], self.time[rows] = speed, self.time[rows] + took
        self.waiting[rows] = np.where(short, np.maximum(wait - took, 0.0), 0.0)
        self.left[rows] = np.where(short, 0.0, left - run)


def _reached(behind: NDArray[np.bool_]) -> Ints:
    """The gear of each pair from which gears are behind [pair, gear]; the last is behind nobody."""
    return np.asarray(np.logical_and.accumulate(behind, axis=1).sum(axis=1))


def _rounded(time: Floats, distance: Floats, one: Floats, other: Floats) -> Floats:
    """A time within what the distance takes at the greater and the lesser of two speeds, if it is off by rounding.

    The tables' times are a little less exact than their speeds; a time that is far off is left for all to see.
    """
    within = np.clip(time, distance / np.maximum(one, other), distance / np.minimum(one, other))
    return np.where(np.abs(within - time) <= _OFF * within, within, time)
