"""Full throttle on slopes for many sets: tables of distance and time over speed. SI.

`slope`, `set_` and `gear` (from 0) are places in the tables, v a speed, u its square, n an engine speed.
Between two nodes of a gear the acceleration is straight in the square of the speed (`cells`). Nodes stand at every
knot of the torque curve; a cell in which the limit of lift or grip begins is summed in two parts. Building costs
slopes × sets × gears × nodes; reading any number of pairs costs the logarithm of the nodes.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from gearplan.drive.lap.cells import Cell, across, distance, time_within
from gearplan.drive.motion import force
from gearplan.drive.motion.machines import Floats, Ints, Machines

#: The least speed (m/s): whoever cannot ride up walks beside the motorcycle.
LEAST_SPEED = 0.5
_SERIES = 0.35
_BLOCK = 150


class Tables:
    """Tables for some slopes (rad), a head wind (m/s; each set's own besides) and all sets of `machines`.

    `early` [set, gear] are the road speeds at which the rider shifts up if the next gear pulls there; `shift_speed`
    [slope, set, gear] are then those at which he does.
    """

    def __init__(self, machines: Machines, slopes: Floats, wind: float, early: Floats | None = None) -> None:
        self.machines, self.wind, self.slopes = machines, wind + machines.winds, slopes
        self.early = machines.shift_speed if early is None else early
        m = machines
        sets, gears = m.over_radius.shape
        self.engine, self.fastest = m.nodes, m.limit_speed.max(axis=1)
        self.shape = (len(slopes), sets, gears, len(self.engine))
        k = m.over_radius[..., None]
        self.v = m.speed_at(self.engine, k)
        self.u = self.v**2
        torque = np.broadcast_to(force.torque_at(m, self.engine), (gears, len(self.engine))).copy()
        torque[0] = force.torque_at(m, np.maximum(self.engine, m.launch))
        self.force = force.at_tyre(m, torque, k, self.v)
        self.drag = force.drag(m.square, self.v, self.wind[:, None, None])
        self.mass = np.repeat(m.gear_mass[..., None], len(self.engine) - 1, axis=2)
        slipping = self.engine[1:] <= m.launch * (1 + 1e-9)
        self.mass[:, 0, slipping] = m.own_mass[:, None]
        self.bound = force.bound(m.lift[:, None, None], m.grip[:, None, None], slopes[:, None, None, None])
        self.constant = m.constant(slice(None), slopes[:, None])
        self.spare = np.empty(self.shape)
        self.distances = np.empty(self.shape)
        self.times = np.empty(self.shape)
        self.kinked = np.zeros(self.shape, bool)
        self.weight, self.step = np.diff(self.u, axis=2) * self.mass, np.diff(self.v, axis=2)
        for slope in range(len(slopes)):
            self._fill(slope)
        self.flat_distances, self._flat_times = self.distances.ravel(), self.times.ravel()
        self._flat_spare, self._flat_kinked = self.spare.ravel(), self.kinked.ravel()
        self._flat_u, self._flat_mass = self.u.ravel(), self.mass.ravel()
        self._shifts()

    def _fill(self, slope: int) -> None:
        """Distance and time across every cell on one slope, cumulated from the slowest node."""
        distance, time = np.empty(self.weight.shape), np.empty(self.weight.shape)
        rough = np.empty(self.weight.shape, bool)
        # In blocks that stay in the processor's cache.
        for first in range(0, self.shape[1], _BLOCK):
            sets = slice(first, first + _BLOCK)
            self._fill_block(slope, sets, distance[sets], time[sets], rough[sets])
        cells = _places(rough)
        if len(cells[0]):
            distance[cells], time[cells] = self._exactly(slope, cells)
        over = self.force > self.bound[slope]
        kinked = _places(over[..., 1:] != over[..., :-1])
        if len(kinked[0]):
            self._in_two(slope, kinked, distance, time)
            self.kinked[slope][kinked] = True
        _cumulate(distance, self.distances[slope])
        _cumulate(time, self.times[slope])

    def _fill_block(self, slope: int, sets: slice, distance: Floats, time: Floats, rough: NDArray[np.bool_]) -> None:
        """The series for some sets; `rough` marks the cells for which it is not close enough."""
        spare = np.minimum(self.force[sets], self.bound[slope, sets], out=self.spare[slope, sets])
        spare -= self.drag[sets]
        spare -= self.constant[slope, sets, None, None]
        one, other = spare[..., :-1], spare[..., 1:]
        with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
            # ln(other/one) = 2z(1 + z²/3 + z⁴/5 + …) with z = (other − one)/(other + one).
            both = one + other
            z = np.subtract(other, one, out=time)
            z /= both
            y = z * z
            r = y * (1 / 9)
            for part in (1 / 7, 1 / 5):
                r += part
                r *= y
            r += 1 / 3
            p = np.multiply(y, r, out=distance)
            p += 1
            # The place between both speeds that counts: a half, less z·r/2p.
            z *= r
            z /= p
            z -= 1
            z *= self.step[sets]
            z *= -0.5
            z += self.v[sets, :, :-1]
            p *= self.weight[sets]
            p /= both
            np.abs(p, out=p)
            np.divide(p, z, out=z)
            np.less(y, _SERIES**2, out=rough)
            np.logical_not(rough, out=rough)

    def _exactly(self, slope: int, cells: tuple[Ints, ...]) -> tuple[Floats, Floats]:
        set_, gear, j = cells
        mass = self.mass[set_, gear, j]
        low, high = self.spare[slope, set_, gear, j] / mass, self.spare[slope, set_, gear, j + 1] / mass
        return across(low, high, self.v[set_, gear, j], self.v[set_, gear, j + 1])

    def _in_two(self, slope: int, cells: tuple[Ints, ...], distance: Floats, time: Floats) -> None:
        """Cells in which a limit of the tyre begins or ends: up to there and on from there."""
        set_, gear, j = cells
        f0, f1, bound = self.force[set_, gear, j], self.force[set_, gear, j + 1], self.bound[slope, set_, 0, 0]
        v0, v1 = self.v[set_, gear, j], self.v[set_, gear, j + 1]
        at = v0 + (v1 - v0) * (bound - f0) / (f1 - f0)
        mass = self.mass[set_, gear, j]
        here = (bound - force.drag(self.machines.square, at, self.wind[set_]) - self.constant[slope, set_]) / mass
        low, high = self.spare[slope, set_, gear, j] / mass, self.spare[slope, set_, gear, j + 1] / mass
        parts = [across(low, here, v0, at), across(here, high, at, v1)]
        total, took = (sum(values) for values in zip(*parts, strict=True))
        whole = (low > 0) & (high > 0) & (here > 0)
        distance[cells] = np.where(whole, total, distance[cells])
        time[cells] = np.where(whole, took, time[cells])

    def _shifts(self) -> None:
        """For each slope, set and gear: where it ends, and how the next one begins after the time without drive."""
        m = self.machines
        slopes, sets, gears, _ = self.shape
        slope, set_, gear = (a.ravel() for a in np.indices((slopes, sets, gears)))
        at = self._shift_at(slope, set_, gear)
        self.shift_speed = at.reshape((slopes, sets, gears))
        place, took = self.place(slope, set_, gear, at, up=True)
        shape = (slopes, sets, gears)
        self.end, self.end_time = place.reshape(shape), took.reshape(shape)
        self.begin, self.begin_time = np.zeros(shape), np.zeros(shape)
        self.shift_distance, self.after_shift = np.full(shape, np.inf), np.zeros(shape)
        if gears > 1:
            first = gear < gears - 1
            slope, set_, gear, at = slope[first], set_[first], gear[first], at[first]
            gains, then, run = self._gains(slope, set_, gear, at)
            place, took = self.place(slope, set_, gear + 1, then, up=True)
            part = (slopes, sets, gears - 1)
            self.shift_distance[..., :-1] = np.where(gains, run, np.inf).reshape(part)
            self.after_shift[..., :-1] = then.reshape(part)
            self.begin[..., 1:], self.begin_time[..., 1:] = place.reshape(part), took.reshape(part)
        # A next gear that is at its own shift already is left at once.
        past = self.begin > self.end
        self.end = np.where(past, self.begin, self.end)
        # Not the greater time: a cell that is never left counts none, so a later place may have the lesser time.
        self.end_time = np.where(past, self.begin_time, self.end_time)
        finite = np.where(np.isfinite(self.shift_distance), self.shift_distance, 0.0)
        zero = np.zeros((*shape[:2], 1))
        run = np.cumsum(self.end[..., :-1] + finite[..., :-1] - self.begin[..., 1:], axis=2)
        self.offset = np.concatenate([zero, run], axis=2)
        run = np.cumsum(self.end_time[..., :-1] + m.shift_times[:, None] - self.begin_time[..., 1:], axis=2)
        self.offset_time = np.concatenate([zero, run], axis=2)
        #: Place, over all gears, at which each gear's shift begins and at which it is over.
        self.leaves = self.offset + self.end
        self.arrives = self.leaves + self.shift_distance

    def _gains(self, slope: Ints, set_: Ints, gear: Ints, at: Floats) -> tuple[NDArray[np.bool_], Floats, Floats]:
        """Whether an up-shift at a speed gains, and (speed, distance) after the time without drive."""
        then, run = self.coast(slope, set_, at, self.machines.shift_times[set_])
        # Nobody shifts up who would only lose speed then, at once or after the time without drive.
        gains = (self.acceleration(slope, set_, gear + 1, at) > 0) & (
            self.acceleration(slope, set_, gear + 1, then) > 0
        )
        return gains, then, run

    def _shift_at(self, slope: Ints, set_: Ints, gear: Ints) -> Floats:
        """The speed at which each gear is left: the rider's early one if the next gear pulls there."""
        at, early = self.machines.shift_speed[set_, gear], self.early[set_, gear]
        rows = np.nonzero((early < at) & (gear < self.shape[2] - 1))[0]
        if len(rows):
            gains, _, _ = self._gains(slope[rows], set_[rows], gear[rows], early[rows])
            at[rows] = np.where(gains, early[rows], at[rows])
        return at

    # -- one speed -----------------------------------------------------------------------------------------------

    def acceleration(self, slope: Ints, set_: Ints, gear: Ints, v: Floats) -> Floats:
        """Acceleration at full throttle in a gear (m/s²), straight between the nodes in the square of the speed."""
        cell, _ = self.cell_at(slope, set_, gear, v)
        return np.asarray(cell.low + (cell.high - cell.low) * (v**2 - cell.u) / cell.du)

    def coast(self, slope: Ints, set_: Ints, v: Floats, time: Floats) -> tuple[Floats, Floats]:
        """(Speed, distance) after a time without drive, `force.coasted`'s, at least at a walk.

        Down a slope nobody lets it roll faster than the fastest gear takes.
        """
        m = self.machines
        after, run = force.coasted(m.square, self.constant[slope, set_], m.own_mass[set_], self.wind[set_], v, time)
        most = np.maximum(self.fastest[set_], v)
        return np.clip(after, LEAST_SPEED, most), np.clip(run, LEAST_SPEED * time, most * time)

    def gear_at(self, set_: Ints, v: Floats, shrunk: Floats | float = 1.0, slope: Ints | None = None) -> Ints:
        """The gear (from 0) in which a speed is ridden: shifts are behind whose speed is reached.

        `shrunk` is the leaned over the upright rolling radius; without a slope every next gear is taken to pull.
        """
        at = self.early[set_, :-1] if slope is None else self.shift_speed[slope, set_, :-1]
        up = at * np.asarray(shrunk)[..., None]
        return np.asarray((v[:, None] >= up * (1 - 1e-12)).sum(axis=1))

    def cell_at(self, slope: Ints, set_: Ints, gear: Ints, v: Floats) -> tuple[Cell, Ints]:
        """The cell of a gear that holds a speed, and its number."""
        m = self.machines
        n = m.engine_at(v, m.over_radius[set_, gear])
        j = np.clip(np.searchsorted(self.engine, n, side="right") - 1, 0, self.shape[3] - 2)
        return self.cell(slope, set_, gear, j), j

    def cell(self, slope: Ints, set_: Ints, gear: Ints, j: Ints) -> Cell:
        """A cell by its number."""
        _, sets, gears, nodes = self.shape
        here = (set_ * gears + gear) * nodes + j
        spare = slope * (sets * gears * nodes) + here
        mass = self._flat_mass.take(here - (set_ * gears + gear))
        u = self._flat_u
        low = u.take(here)
        spares = self._flat_spare
        return Cell(low, u.take(here + 1) - low, spares.take(spare) / mass, spares.take(spare + 1) / mass)

    def place(self, slope: Ints, set_: Ints, gear: Ints, v: Floats, *, up: bool) -> tuple[Floats, Floats]:
        """(Distance, time) of a speed along a gear's table, read for faster (`up`) or slower from there."""
        cell, j = self.cell_at(slope, set_, gear, v)
        here = self.row(slope, set_, gear) + j
        share = np.clip((v**2 - cell.u) / cell.du, 0.0, 1.0)
        at = cell.low + (cell.high - cell.low) * share
        # From the end that is reached; a cell that keeps a speed has only one.
        from_top = np.where(cell.holds, (cell.high > 0) if up else ~(cell.low < 0), False)
        start = np.where(from_top, cell.high, cell.low)
        whole = np.where(from_top, 1.0, 0.0)
        away = np.abs(distance(start, at, cell.du * (share - whole)))
        v_end = np.sqrt(cell.u + cell.du * whole)
        took = time_within(away, cell, v, v_end, from_top)
        sign = np.where(from_top, -1.0, 1.0)
        base = here + from_top
        # In a cell summed in two parts the share of the whole counts.
        scale = self.scale(cell, here)
        return (
            self.flat_distances.take(base) + sign * away * scale,
            self._flat_times.take(base) + sign * took * scale,
        )

    def scale(self, cell: Cell, here: Ints) -> Floats:
        """What a cell's length is to that of the plain law; not 1 where it was summed in two parts."""
        found = np.ones(len(here))
        rows = np.nonzero(self._flat_kinked.take(here) & ~cell.holds)[0]
        if len(rows):
            at = here[rows]
            plain = np.abs(distance(cell.low[rows], cell.high[rows], cell.du[rows]))
            found[rows] = np.clip((self.flat_distances[at + 1] - self.flat_distances[at]) / plain, 0.5, 2.0)
        return found

    def row(self, slope: Ints, set_: Ints, gear: Ints) -> Ints:
        """Where the table of a slope, set and gear begins in the flat one."""
        _, sets, gears, nodes = self.shape
        return np.asarray(((slope * sets + set_) * gears + gear) * nodes)

    def found(self, slope: Ints, set_: Ints, gear: Ints, place: Floats, *, up: bool) -> tuple[Floats, Floats]:
        """(Speed, time) at a distance along a gear's table."""
        row = self.row(slope, set_, gear)
        j = self.search(row, place)
        return self._within(slope, set_, gear, j, row + j, place, up=up)

    def search(self, row: Ints, place: Floats, over: Floats | None = None, key: Ints | None = None) -> Ints:
        """The cell that holds a place; with `over` the places count with the square of the speed times it."""
        low = np.zeros(len(row), int)
        high = np.full(len(row), self.shape[3] - 1)
        u = self._flat_u
        for _ in range(max(1, math.ceil(math.log2(self.shape[3])))):
            middle = (low + high) // 2
            value = self.flat_distances.take(row + middle)
            if over is not None and key is not None:
                value = value + over * u.take(key + middle)
            below = value <= place
            low, high = np.where(below, middle, low), np.where(below, high, middle)
        return np.minimum(low, self.shape[3] - 2)

    def _within(
        self, slope: Ints, set_: Ints, gear: Ints, j: Ints, here: Ints, place: Floats, *, up: bool
    ) -> tuple[Floats, Floats]:
        cell = self.cell(slope, set_, gear, j)
        from_top = np.where(cell.holds, (cell.high > 0) if up else ~(cell.low < 0), False)
        base = here + from_top
        start = np.where(from_top, cell.high, cell.low)
        scale = self.scale(cell, here)
        away = (place - self.flat_distances[base]) / scale
        # Travelling up, distance grows with u; travelling down the table is walked backwards.
        way = away if up else -away
        whole = np.where(from_top, 1.0, 0.0)
        rate = 2 * (cell.high - cell.low) / cell.du
        share = whole + 2 * start * way / cell.du * force.mean_exp(rate * way)
        share = np.clip(share, 0.0, 1.0)
        u = cell.u + cell.du * share
        v = np.sqrt(u)
        v_end = np.sqrt(cell.u + cell.du * whole)
        took = time_within(np.abs(away), cell, v, v_end, from_top)
        sign = np.where(from_top, -1.0, 1.0)
        return v, self._flat_times[base] + sign * took * scale


def _places(mask: NDArray[np.bool_]) -> tuple[Ints, ...]:
    """Where a mask holds, as `nonzero` has it: several times faster when it is looked for in one row."""
    return np.unravel_index(np.flatnonzero(mask), mask.shape)


def _cumulate(parts: Floats, out: Floats) -> None:
    """Sums along the last axis from 0 on: adding all rows at once takes half of what `cumsum` takes on short ones."""
    out[..., 0] = 0.0
    for node in range(parts.shape[-1]):
        np.add(out[..., node], parts[..., node], out=out[..., node + 1])
