"""The sections of a circuit, each ridden by itself by many sets at once. SI: s, m, m/s, rad.

Corners are held at their apex speed where the motorcycle comes to it and holds it, and marched otherwise; straights
are marched as long as the motorcycle stands up, or in a held gear, and travelled along the tables from there.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from gearplan.bike.circuit import Circuit
from gearplan.bike.text.units import STANDARD_GRAVITY
from gearplan.drive.lap.march import Stretch, can_hold, lean_of, march, shrunk, steps_for
from gearplan.drive.lap.rules import LapRules, apex_speed, earliest_shifts, gears_used
from gearplan.drive.lap.state import Entry, Ridden
from gearplan.drive.lap.tables import Tables
from gearplan.drive.lap.travel import travel
from gearplan.drive.motion.machines import Floats, Ints, Machines

#: Metres of a step where a lap is marched: standing up after a corner, in corners, in a held gear.
_EXIT_STEP, _CORNER_STEP, _HELD_STEP = 2.5, 6.0, 5.0
_LEAST_BRAKING = 0.5


class Sections:
    """One circuit, some sets: what stays the same while sections are ridden."""

    def __init__(self, machines: Machines, circuit: Circuit, rules: LapRules) -> None:
        if not circuit.sections:
            raise ValueError("a lap needs at least one section")
        #: The gears that are used, from 0; within a lap gears count among these, what leaves it has the machines' own.
        self.used = gears_used(machines.gears, rules)
        if len(self.used) < machines.gears:
            machines = replace(machines, over_radius=machines.over_radius[:, self.used])
        self.machines, self.circuit, self.rules = machines, circuit, rules
        every, m = circuit.sections, machines
        self.length = np.array([section.length_m for section in every])
        self.slope = np.arctan(np.array([section.gradient_percent for section in every]) / 100)
        self.corner = np.array([section.kind == "corner" for section in every])
        self.hold = np.array([section.hold_gear for section in every])
        self.lowest = np.array([(s.lowest_gear or rules.lowest_gear) - 1 for s in every])[:, None].repeat(
            m.count, axis=1
        )
        if m.varied is not None:
            self.lowest += np.where(np.array([s.lowest_gear is None for s in every])[:, None], m.varied.lowest, 0)
        self.lowest = np.searchsorted(self.used, self.lowest)
        self.early = earliest_shifts(m, rules)
        self.no_shift_beyond = np.full(m.count, rules.no_shift_beyond)
        self.down_shift = np.full(m.count, rules.down_shift)
        if m.varied is not None:
            self.no_shift_beyond = self.no_shift_beyond + m.varied.no_shift_beyond
            self.down_shift = np.maximum(self.down_shift + m.varied.down_shift, 0.0)
        self.radius = np.array([s.line_radius_m or np.inf if s.kind == "corner" else np.inf for s in every])
        slope = self.slope[:, None]
        room = STANDARD_GRAVITY * (m.frictions * np.cos(slope) + np.sin(slope))
        self.braking = np.maximum(np.minimum(m.brakings, room), _LEAST_BRAKING)
        self._speeds()
        # The same steps whichever sets ride, so that a set's lap does not depend on the others.
        common = np.where(self.corner, self.common, 0.0)
        standing = common * lean_of(common, self.radius)
        self.steps = (
            steps_for(standing / rules.stand_up, _EXIT_STEP),
            steps_for(self.length[self.hold], _HELD_STEP),
        )
        self.corner_steps = np.array([steps_for(one, _CORNER_STEP) for one in self.length[:, None]])
        tabled, which = np.unique(self.slope[~self.corner & ~self.hold], return_inverse=True)
        self.table_of = np.zeros(len(every), int)
        self.table_of[~self.corner & ~self.hold] = which
        self.tables = Tables(m, tabled if len(tabled) else np.zeros(1), rules.wind, self.early)

    def _speeds(self) -> None:
        """Greatest speed in each section, lean at the apex, and the one envelope of braking [section, set]."""
        m, every = self.machines, self.circuit.sections
        round_tyre = m.crown > 0
        fastest = m.limit_speed.max(axis=1)
        self.common = np.array([apex_speed(s, m.friction) if s.kind == "corner" else np.inf for s in every])
        entered = np.repeat(self.common[:, None], m.count, axis=1)
        if m.varied is not None:
            by_hand = np.array([s.apex_kmh is not None for s in every])
            entered = entered * np.where(by_hand[:, None], m.varied.apex, np.sqrt(m.varied.friction))
        corner = self.corner[:, None]
        lean = np.where(corner, lean_of(np.where(corner, entered, 0.0), self.radius[:, None]), 0.0)
        leans = self.rules.lean or self.rules.share_grip
        self.lean = np.where(round_tyre & leans, lean, 0.0)
        self.side = np.maximum(m.frictions, np.tan(lean))
        sets = np.arange(m.count)
        self.shrunk = np.stack([self.shrinks(sets, row) for row in self.lean])
        self.cap = np.minimum(entered, fastest * self.shrunk)
        end = np.full(m.count, np.inf)
        self.end, self.start = np.empty(self.cap.shape), np.empty(self.cap.shape)
        for _ in range(2):
            for k in reversed(range(len(every))):
                self.end[k] = end
                end = np.minimum(self.cap[k], np.sqrt(end**2 + 2 * self.braking[k] * self.length[k]))
                self.start[k] = end

    def shrinks(self, set_: Ints, lean: Floats) -> Floats:
        """Leaned over upright rolling radius of sets; 1 where the rules leave it out."""
        return shrunk(self.machines, set_, np.tan(lean)) if self.rules.lean else np.ones(len(set_))

    def gear_for(self, sec: Ints, set_: Ints, v: Floats) -> Ints:
        """The gear (from 0) in which a section is ridden at a speed, by the speed and the corner's rules."""
        m = self.machines
        gear = self.tables.gear_at(set_, v, self.shrunk[sec, set_])
        lowest = np.minimum(self.lowest[sec, set_], m.gears - 1) * self.corner[sec]
        if self.rules.apex_engine_min > 0:
            for _ in range(m.gears - 1):
                turning = m.engine_at(v, m.over_radius[set_, gear] / self.shrunk[sec, set_])
                lower = np.maximum(gear - 1, 0)
                then = m.engine_at(v, m.over_radius[set_, lower] / self.shrunk[sec, set_])
                down = self.corner[sec] & (turning < self.rules.apex_engine_min) & (then <= m.limiter)
                gear = np.where(down, lower, gear)
        return np.asarray(np.maximum(gear, lowest))

    def ride(self, sec: Ints, set_: Ints, entry: Entry, length: Floats, end: Floats) -> Ridden:
        """Ride sections over a length each, braking to `end` where that is finite."""
        out = Ridden.empty(len(sec))
        corner = self.corner[sec]
        for which, how in ((corner, self._ride_corner), (~corner, self._ride_straight)):
            rows = np.nonzero(which)[0]
            if len(rows):
                how(out, rows, sec[rows], set_[rows], entry.some(rows), length[rows], end[rows])
        return out

    # -- corners -------------------------------------------------------------------------------------------------

    def _ride_corner(
        self, out: Ridden, rows: Ints, sec: Ints, set_: Ints, entry: Entry, length: Floats, end: Floats
    ) -> None:
        cap, braking = self.cap[sec, set_], self.braking[sec, set_]
        way = self._stretch(sec, set_, length, length, end, corner=True)
        keeps = entry.speed >= cap * (1 - 1e-9)
        test = np.nonzero(keeps)[0]
        shape = self.shrunk[sec[test], set_[test]]
        keeps[test] = can_hold(self.machines, way.some(test), cap[test], entry.gear[test], shape, self.rules.wind)
        # At the apex speed, and braking within the corner where the next is slower.
        with np.errstate(invalid="ignore"):
            need = np.where(end < cap, (cap**2 - end**2) / (2 * braking), 0.0)
        need = np.minimum(need, length)
        final = np.where(need > 0, np.minimum(end, cap), cap)
        out.time[rows] = (length - need) / cap + np.where(need > 0, 2 * need / (cap + final), 0.0)
        out.speed[rows], out.gear[rows], out.peak[rows], out.peak_gear[rows] = final, entry.gear, cap, entry.gear
        out.brakes[rows] = length - need
        out.braked[rows] = need > 0
        at_limiter = np.abs(self.machines.limit_speed[set_, entry.gear] * self.shrunk[sec, set_] / cap - 1) < 1e-9
        out.at_limiter[rows] = np.where(at_limiter, (length - need) / cap, 0.0)
        loose = np.nonzero(~keeps)[0]
        if len(loose):
            self._march(out, rows[loose], way.some(loose), entry.some(loose), self.corner_steps[sec[loose]])
        on = lean_of(out.speed[rows], np.where(self.machines.crown[set_] > 0, self.radius[sec], np.inf))
        on = np.where(self.lean[sec, set_] > 0, on, 0.0)
        out.leaning[rows] = on
        out.standing[rows] = out.speed[rows] * on / self.rules.stand_up

    def _stretch(
        self, sec: Ints, set_: Ints, distance: Floats, length: Floats, end: Floats, *, corner: bool
    ) -> Stretch:
        leans = self.lean[sec, set_] > 0
        nothing = np.zeros(len(sec))
        return Stretch(
            set_=set_,
            slope=self.slope[sec],
            distance=distance,
            begins=nothing,
            stands=nothing,
            radius=np.where(leans, self.radius[sec], np.inf),
            side=self.side[sec, set_],
            cap=self.cap[sec, set_] if corner else np.full(len(sec), np.inf),
            hold=self.hold[sec],
            length=length,
            end=end,
            braking=self.braking[sec, set_],
        )

    def _march(self, out: Ridden, rows: Ints, way: Stretch, entry: Entry, steps: int | Ints) -> None:
        """March, and where braking began finish the section; the others are left at the end of the distance."""
        done = march(
            self.machines,
            way,
            entry.speed,
            entry.gear,
            entry.waiting,
            wind=self.rules.wind,
            lean_shrinks=self.rules.lean,
            share_grip=self.rules.share_grip,
            no_shift_beyond=self.no_shift_beyond[way.set_],
            steps=steps,
            early=self.early,
        )
        braked = ~np.isnan(done.braked)
        at = np.where(braked, done.braked, way.distance)
        rest = np.where(braked, way.length - at, 0.0)
        end = np.where(braked, way.end, done.speed)
        out.time[rows] = done.time + 2 * rest / (done.speed + end)
        out.speed[rows], out.gear[rows] = end, done.gear
        out.waiting[rows] = np.where(braked, 0.0, done.waiting)
        out.peak[rows] = np.maximum(done.peak, np.where(braked, done.speed, 0.0))
        out.peak_gear[rows] = done.peak_gear
        out.shifts[rows], out.at_limiter[rows], out.cannot_climb[rows] = done.shifts, done.at_limiter, done.cannot_climb
        out.leaned_shifts[rows] = np.where(way.hold, 0, done.shifts)
        out.brakes[rows], out.braked[rows] = at, braked

    # -- straights -----------------------------------------------------------------------------------------------

    def _ride_straight(
        self, out: Ridden, rows: Ints, sec: Ints, set_: Ints, entry: Entry, length: Floats, end: Floats
    ) -> None:
        hold = self.hold[sec]
        leaned = np.where(hold, length, np.minimum(entry.standing, length))
        out.speed[rows], out.gear[rows], out.waiting[rows] = entry.speed, entry.gear, entry.waiting
        out.peak[rows], out.peak_gear[rows], out.brakes[rows] = entry.speed, entry.gear, length
        for some, steps in ((~hold & (leaned > 0), self.steps[0]), (hold, self.steps[1])):
            which = np.nonzero(some)[0]
            if len(which):
                way = self._stretch(sec[which], set_[which], leaned[which], length[which], end[which], corner=False)
                way = way.leaned(entry.leaning[which], entry.standing[which])
                self._march(out, rows[which], way, entry.some(which), steps)
        with np.errstate(divide="ignore", invalid="ignore"):
            left = np.maximum(entry.leaning * (1 - length / entry.standing), 0.0)
        out.leaning[rows] = np.where(entry.standing > length, left, 0.0)
        out.standing[rows] = np.maximum(entry.standing - length, 0.0)
        on = np.nonzero(~out.braked[rows] & (length > leaned))[0]
        if not len(on):
            return
        there = rows[on]
        ended = travel(
            self.tables,
            self.table_of[sec[on]],
            set_[on],
            out.speed[there],
            out.gear[there],
            out.waiting[there],
            length[on] - leaned[on],
            end[on],
            self.braking[sec[on], set_[on]],
        )
        braked = ended.rest > 0
        final = np.where(braked, end[on], ended.speed)
        out.time[there] += ended.time + np.where(braked, 2 * ended.rest / (ended.speed + final), 0.0)
        out.speed[there], out.gear[there] = final, ended.gear
        out.waiting[there] = np.where(braked, 0.0, ended.waiting)
        faster = ended.speed >= out.peak[there]
        out.peak[there] = np.where(faster, ended.speed, out.peak[there])
        out.peak_gear[there] = np.where(faster, ended.gear, out.peak_gear[there])
        out.shifts[there] += ended.shifts
        out.at_limiter[there] += ended.at_limiter
        out.cannot_climb[there] |= ended.cannot_climb
        out.brakes[there], out.braked[there] = length[on] - ended.rest, braked
