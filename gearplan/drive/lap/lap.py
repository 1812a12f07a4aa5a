"""A lap, quasi-steady along the distance, for many sets at once. SI: s, m, m/s, rad.

Corners are held at their apex speed; between them full throttle under thrust, the tyre's limits and the road load,
with every up-shift's time without drive, until braking at a net deceleration must begin; the lap is closed, so it
starts with the speed with which it ends. A corner whose apex speed is not reached, or not held, is ridden as fast as
it goes. Leaned, the tyre rolls on a smaller radius; after a corner the motorcycle stands up over some distance and
shares its grip meanwhile (only where the tyre's crown radius is known and not 0).

Cost: tables grow with slopes × sets × gears; the rest with sets × sections, whatever their length, and with the
laps of iteration that a motorcycle needs which does not reach its apex speeds.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from gearplan.bike.circuit import Circuit
from gearplan.drive.lap.downshifts import shut_early
from gearplan.drive.lap.march import lean_of
from gearplan.drive.lap.rules import USUAL, LapRules
from gearplan.drive.lap.sections import Sections
from gearplan.drive.lap.state import Entry, Laps, Ridden
from gearplan.drive.motion.machines import Floats, Ints, Machines

Bools = NDArray[np.bool_]

_SAME = 1e-7
#: A section quicker by more than this share than the highest speed allows is no rounding of the tables.
_IMPOSSIBLE = 1e-4
_MOST_ROUNDS = 200


def lap_times(machines: Machines, circuit: Circuit, rules: LapRules = USUAL) -> Laps:
    """The lap of every set. ValueError for a circuit that `bike.circuit.refusal` refuses."""
    return Lap(machines, circuit, rules).laps()


class Lap(Sections):
    """A lap by every set: the state at the start of each section, and what was ridden so far."""

    def __init__(self, machines: Machines, circuit: Circuit, rules: LapRules) -> None:
        super().__init__(machines, circuit, rules)
        shape = self.cap.shape
        self.speed, self.waiting = self.start.copy(), np.zeros(shape)
        self.gear = np.full(shape, -1)
        self.leaning, self.standing = np.zeros(shape), np.zeros(shape)
        self.time, self.limiter, self.peak, self.brakes, self.rolls = (np.zeros(shape) for _ in range(5))
        self.shifts, self.leaned_shifts, self.peak_gear = (np.zeros(shape, int) for _ in range(3))
        self.cannot_climb = np.zeros(shape, bool)

    def laps(self) -> Laps:
        """Ride every leg (a corner and what follows up to the next) until each begins as the one before ends."""
        legs = self._legs()
        # Most motorcycles reach their apex speeds, so all legs at once; then again those that did not.
        active = self._round(legs, np.ones((len(legs), self.machines.count), bool))
        for _ in range(_MOST_ROUNDS * len(legs)):
            if not active.any():
                break
            # Whoever comes from a leg that is ridden again waits for it; where all are, the first one begins.
            mine = active & ~np.roll(active, 1, axis=0)
            mine[0] |= active.all(axis=0)
            active = (active & ~mine) | self._round(legs, mine)
        over_radius = np.take_along_axis(self.machines.over_radius[None], self.peak_gear[..., None], axis=2)[..., 0]
        engine = self.machines.engine_at(self.peak, over_radius / self._rolls_on())
        # Whatever goes wrong in the numbers must never be the quickest.
        least = self.length[:, None] / self.machines.limit_speed.max(axis=1)
        possible = (self.time >= least * (1 - _IMPOSSIBLE)).all(axis=0)
        return Laps(
            np.where(possible, self.time.sum(axis=0), np.nan),
            self.time,
            self.speed,
            np.where(self.gear < 0, self.gear, self.used[self.gear]),
            self.waiting,
            self.leaning,
            self.standing,
            self.brakes,
            self.peak,
            self.used[self.peak_gear],
            engine,
            self.shifts,
            self.leaned_shifts,
            self.limiter,
            self.cannot_climb,
            self.end,
        )

    def _rolls_on(self) -> Floats:
        """Leaned over upright rolling radius where each section's greatest speed is ridden, in corners as it leans."""
        lean = np.where(self.lean > 0, lean_of(self.peak, self.radius[:, None]), 0.0)
        every = np.arange(self.machines.count)
        return np.stack([self.shrinks(every, row) for row in lean])

    def _legs(self) -> list[list[int]]:
        count = len(self.length)
        first = [k for k in range(count) if self.corner[k]] or [0]
        ends = [*first[1:], first[0] + count]
        return [[k % count for k in range(one, other)] for one, other in zip(first, ends, strict=True)]

    def _round(self, legs: list[list[int]], active: Bools) -> Bools:
        """Ride the legs that are active; which ones then begin otherwise than they were ridden."""
        again = np.zeros(active.shape, bool)
        count = len(self.length)
        for place in range(max(len(leg) for leg in legs)):
            parts = [(leg[place], n, np.nonzero(active[n])[0]) for n, leg in enumerate(legs) if len(leg) > place]
            parts = [part for part in parts if len(part[2])]
            if not parts:
                continue
            sec = np.concatenate([np.full(len(sets), k) for k, _, sets in parts])
            set_ = np.concatenate([sets for _, _, sets in parts])
            leg = np.concatenate([np.full(len(sets), n) for _, n, sets in parts])
            entry = self.entry(sec, set_)
            ridden = self.ride(sec, set_, entry, self.length[sec], self.end[sec, set_])
            if self.down_shift.any():
                shut_early(self, sec, set_, entry, ridden)
            self._keep(sec, set_, ridden)
            following = (sec + 1) % count
            last = np.array([len(part) for part in legs])[leg] == place + 1
            v = np.minimum(ridden.speed, self.start[following, set_])
            gear = np.where(ridden.braked, -1, ridden.gear)
            waiting = np.where(ridden.braked, 0.0, ridden.waiting)
            was = self.speed[following, set_]
            free = v < self.cap[following, set_] * (1 - 1e-9)
            differs = (np.abs(v - was) > _SAME * was) | (free & (gear != self.gear[following, set_]))
            differs |= free & (np.abs(waiting - self.waiting[following, set_]) > _SAME)
            again[(leg[last & differs] + 1) % len(legs), set_[last & differs]] = True
            self.speed[following, set_], self.waiting[following, set_] = v, waiting
            self.gear[following, set_] = np.where(self.corner[following] & ~free, -1, gear)
            self.leaning[following, set_] = np.where(ridden.braked, 0.0, ridden.leaning)
            self.standing[following, set_] = np.where(ridden.braked, 0.0, ridden.standing)
        return again

    def entry(self, sec: Ints, set_: Ints) -> Entry:
        """The state with which pairs begin a section."""
        v, gear, waiting = self.speed[sec, set_], self.gear[sec, set_], self.waiting[sec, set_]
        by_speed = gear < 0
        if by_speed.any():
            found = self.gear_for(sec[by_speed], set_[by_speed], v[by_speed])
            gear = gear.copy()
            gear[by_speed] = found
        return Entry(v, gear, waiting, self.leaning[sec, set_], self.standing[sec, set_])

    def _keep(self, sec: Ints, set_: Ints, ridden: Ridden) -> None:
        self.time[sec, set_], self.limiter[sec, set_], self.peak[sec, set_] = (
            ridden.time,
            ridden.at_limiter,
            ridden.peak,
        )
        self.shifts[sec, set_], self.peak_gear[sec, set_] = ridden.shifts, ridden.peak_gear
        self.leaned_shifts[sec, set_] = ridden.leaned_shifts
        self.brakes[sec, set_], self.cannot_climb[sec, set_] = ridden.brakes, ridden.cannot_climb
        self.rolls[sec, set_] = ridden.rolls
