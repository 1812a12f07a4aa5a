"""Rides many sets part by part: how far it is, the best so far, and a stop that keeps what is ridden. Times in s.

Parts are the same on any number of cores, and so is what comes of them.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from gearplan.bike.circuit import Circuit
from gearplan.bike.text.written import computed_lap
from gearplan.drive.lap.cores import Figures, cores, figures, ride_parts
from gearplan.drive.lap.lap import Lap
from gearplan.drive.lap.rules import LapRules
from gearplan.drive.lap.state import Laps
from gearplan.language import tr
from gearplan.plan.laps.sets import LapSets, machines
from gearplan.plan.words import teeth

Ints = NDArray[np.int_]
Bools = NDArray[np.bool_]

#: Sets that are ridden at once where every detail is kept, and where only the figures are.
_CHUNK, _PART = 600, 1500
#: Of so many sets every detail is kept; of more only the figures, and helpers are worth their start.
_DETAILED = 3000
#: Of so few the state of the ride is kept, so that a trace need not ride them again.
_KEPT_RIDDEN = 4
#: Parts are taken this share of all apart, so that a search that is stopped has seen something of every gear's pairs.
_APART = (math.sqrt(5) - 1) / 2

#: Told how many of how many sets are done; returns whether to go on.
Progress = Callable[[int, int], bool]


class Cancelled(Exception):
    """The ranking was stopped from outside."""


@dataclass(frozen=True, slots=True)
class SoFar:
    """How far a search is: `done` of `of` sets; `best` is the quickest of them (None before there is one), `name` what
    it is called and `time` its lap.
    """

    done: int
    of: int
    best: int | None = None
    name: str = ""
    time: float | None = None


def so_far_text(now: SoFar, seconds: float) -> str:
    """How far a search is after so many seconds, what is left and the best so far, in words."""
    told = tr("{done} of {of} sets ridden", done=now.done, of=now.of)
    if left := left_text(now.done / now.of, seconds):
        told += f", {left}"
    return told + ("." if now.time is None else f". Best so far: {now.name}, {computed_lap(now.time)}.")


def left_text(share: float, seconds: float) -> str:
    """How long work takes on that has done a share of it in so many seconds, in words; empty while nobody can say."""
    if share <= 0:
        return ""
    left = seconds * (1 - share) / share
    if left >= 90:
        return tr("about {left:.0f} min left", left=left / 60)
    return tr("about {left:.0f} s left", left=max(left, 1))


#: Told how far the search is; returns whether to go on. What is ridden is kept.
Watch = Callable[[SoFar], bool]


@dataclass(frozen=True, eq=False)
class Searched:
    """What was ridden: the figures of every row, NaN and 0 where `ridden` is False.

    `laps` are those of the rows `detailed`, None where they were not kept; `ride` is kept of a few sets only.
    """

    figures: Figures
    ridden: Bools
    detailed: Ints
    laps: Laps | None
    ride: Lap | None

    @property
    def whole(self) -> bool:
        """Whether every set was ridden."""
        return bool(self.ridden.all())


def search(
    sets: LapSets,
    circuit: Circuit,
    rules: LapRules,
    progress: Progress | None = None,
    sofar: Watch | None = None,
    on: int | None = None,
) -> Searched:
    """Ride all sets, on so many cores where there are many sets (None: as many as there are).

    Where `sofar` returns False it ends with what is ridden; Cancelled where `progress` does, or nothing is ridden yet.
    """
    search = _Search(sets, circuit, rules, progress, sofar)
    if sets.count > _DETAILED:
        search.in_parts(cores() if on is None else on)
    else:
        search.with_details()
    if not search.ridden.any():
        raise Cancelled
    return search.searched()


class _Search:
    def __init__(
        self, sets: LapSets, circuit: Circuit, rules: LapRules, progress: Progress | None, sofar: Watch | None
    ) -> None:
        self.sets, self.circuit, self.rules, self.progress, self.sofar = sets, circuit, rules, progress, sofar
        count = sets.count
        self.figures = Figures(
            time=np.full(count, np.nan),
            up_shifts=np.zeros(count, int),
            leaned_shifts=np.zeros(count, int),
            limiter=np.zeros(count),
            margin=np.zeros(count),
            stuck=np.zeros(count, bool),
        )
        self.ridden = np.zeros(count, bool)
        self.detailed, self.laps = np.zeros(0, int), list[Laps]()
        self.ride: Lap | None = None
        self.best: int | None = None

    def goes_on(self) -> bool:
        """Tell how far it is; whether to go on."""
        done, of = int(self.ridden.sum()), self.sets.count
        if self.progress is not None and not self.progress(done, of):
            raise Cancelled
        if self.sofar is None:
            return True
        if self.best is None:
            return self.sofar(SoFar(done, of))
        besides = self.sets.besides(self.best)
        name = teeth(self.sets.set_at(self.best)) + (tr(" with {besides}", besides=besides) if besides else "")
        return self.sofar(SoFar(done, of, self.best, name, float(self.figures.time[self.best])))

    def take(self, rows: Ints, found: Figures) -> None:
        """Keep the figures of some rows."""
        for field in fields(found):
            getattr(self.figures, field.name)[rows] = getattr(found, field.name)
        self.ridden[rows] = True
        ranked = rows[(rows < self.sets.ranked) & np.isfinite(found.time)]
        if len(ranked):
            quickest = int(ranked[np.argmin(self.figures.time[ranked])])
            if self.best is None or self.figures.time[quickest] < self.figures.time[self.best]:
                self.best = quickest

    def with_details(self) -> None:
        """Ride all sets here and keep every detail."""
        count = self.sets.count
        for first in range(0, count, _CHUNK):
            if not self.goes_on():
                break
            rows = np.arange(first, min(first + _CHUNK, count))
            made = machines(self.sets, rows)
            ride = Lap(made, self.circuit, self.rules)
            laps = ride.laps()
            self.take(rows, figures(made, laps, self.rules))
            self.detailed = np.append(self.detailed, rows)
            self.laps.append(laps)
            if count <= _KEPT_RIDDEN:
                self.ride = ride

    def in_parts(self, on: int) -> None:
        """Ride all sets on some cores."""
        firsts = np.arange(0, self.sets.count, _PART)
        # The fitted set's part first: every gap needs it.
        places = np.argsort(np.arange(len(firsts)) * _APART % 1)
        parts = [np.arange(first, min(first + _PART, self.sets.count)) for first in firsts[::-1][places].tolist()]

        def took(part: int, found: Figures) -> bool:
            self.take(parts[part], found)
            return self.goes_on()

        if self.goes_on():
            ride_parts(len(parts), lambda part: machines(self.sets, parts[part]), self.circuit, self.rules, took, on)

    def searched(self) -> Searched:
        """What is ridden."""
        laps = None
        if self.laps:
            names = Laps.__dataclass_fields__
            laps = Laps(**{name: np.concatenate([getattr(p, name) for p in self.laps], axis=-1) for name in names})
        return Searched(self.figures, self.ridden, self.detailed, laps, self.ride)
