"""The state of many pairs of set and section while a lap is ridden. SI: m, m/s, rad, s."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from gearplan.drive.lap.tables import LEAST_SPEED
from gearplan.drive.motion.machines import Floats, Ints

Bools = NDArray[np.bool_]


@dataclass(frozen=True, eq=False, slots=True)
class Entry:
    """State of pairs at the start of a section, as the fields of `Laps` have it."""

    speed: Floats
    gear: Ints
    waiting: Floats
    leaning: Floats
    standing: Floats

    def some(self, rows: Ints) -> Entry:
        """Some of the pairs."""
        return Entry(self.speed[rows], self.gear[rows], self.waiting[rows], self.leaning[rows], self.standing[rows])


@dataclass(eq=False, slots=True)
class Ridden:
    """What became of pairs in a section: state at its end, and what happened on the way.

    `brakes` is how far the engine drives, `rolls` the deceleration (m/s²) from there on where the brakes come later.
    """

    speed: Floats
    gear: Ints
    waiting: Floats
    leaning: Floats
    standing: Floats
    time: Floats
    at_limiter: Floats
    peak: Floats
    peak_gear: Ints
    shifts: Ints
    leaned_shifts: Ints
    brakes: Floats
    braked: Bools
    cannot_climb: Bools
    rolls: Floats

    def put(self, rows: Ints, other: Ridden) -> None:
        """Take some pairs' from another."""
        for f in fields(self):
            getattr(self, f.name)[rows] = getattr(other, f.name)

    @classmethod
    def empty(cls, count: int) -> Ridden:
        """For so many pairs, to be filled in."""

        def zeros() -> Floats:
            return np.zeros(count)

        def none() -> Ints:
            return np.zeros(count, int)

        return cls(
            speed=np.full(count, LEAST_SPEED),
            gear=none(),
            waiting=zeros(),
            leaning=zeros(),
            standing=zeros(),
            time=zeros(),
            at_limiter=zeros(),
            peak=zeros(),
            peak_gear=none(),
            shifts=none(),
            leaned_shifts=none(),
            brakes=zeros(),
            braked=np.zeros(count, bool),
            cannot_climb=np.zeros(count, bool),
            rolls=zeros(),
        )


@dataclass(frozen=True, eq=False)
class Laps:
    """One lap for each set; arrays are [section, set] but `time` [set].

    `time` is NaN for a set whose lap could not be computed: a section came out quicker than its length at the
    highest speed that its gears allow.
    A section's `speed`, `gear` (from 0; −1 by the speed), `waiting` (shift time left), `leaning` (rad) and `standing`
    (metres until upright) are those at its start. `brakes` is where braking begins, or rolling
    before it, from the section's start.
    `peak`, `peak_gear` and `peak_engine` (rad/s) are the greatest speed before it; in a corner that of the apex.
    `leaned_shifts` are the up-shifts in corners and while standing up after them, `limiter` is time at the limiter,
    `cannot_climb` marks where a set is no faster than a walk, `end` is the speed that a section must end with at most.
    """

    time: Floats
    section_time: Floats
    speed: Floats
    gear: Ints
    waiting: Floats
    leaning: Floats
    standing: Floats
    brakes: Floats
    peak: Floats
    peak_gear: Ints
    peak_engine: Floats
    shifts: Ints
    leaned_shifts: Ints
    limiter: Floats
    cannot_climb: Bools
    end: Floats
