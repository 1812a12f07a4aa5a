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
