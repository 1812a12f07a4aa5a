"""The state of many pairs of set and section while a lap is ridden. SI: m, m/s, rad, s."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gearplan.drive.lap.tables import CRAWL
from gearplan.drive.machines import Floats, Ints

Bools = NDArray[np.bool_]


@dataclass(frozen=True, eq=False, slots=True)
class Entry:
    """State of pairs at the start of a section, as the fields of `Laps` have it."""

    v: Floats
    g: Ints
    wait: Floats
    leaning: Floats
    standing: Floats

    def some(self, rows: Ints) -> Entry:
        """Some of the pairs."""
        return Entry(self.v[rows], self.g[rows], self.wait[rows], self.leaning[rows], self.standing[rows])


@dataclass(eq=False, slots=True)
class Ridden:
    """What became of pairs in a section: state at its end, and what happened on the way."""

    v: Floats
    g: Ints
    wait: Floats
    leaning: Floats
    standing: Floats
    time: Floats
    held: Floats
    peak: Floats
    peak_gear: Ints
    shifts: Ints
    leaned_shifts: Ints
    brakes: Floats
    braked: Bools
    crawled: Bools

    @classmethod
    def empty(cls, count: int) -> Ridden:
        """For so many pairs, to be filled in."""

        def zeros() -> Floats:
            return np.zeros(count)

        def none() -> Ints:
            return np.zeros(count, int)

        return cls(
            v=np.full(count, CRAWL),
            g=none(),
            wait=zeros(),
            leaning=zeros(),
            standing=zeros(),
            time=zeros(),
            held=zeros(),
            peak=zeros(),
            peak_gear=none(),
            shifts=none(),
            leaned_shifts=none(),
            brakes=zeros(),
            braked=np.zeros(count, bool),
            crawled=np.zeros(count, bool),
        )
