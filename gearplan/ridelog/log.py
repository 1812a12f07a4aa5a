"""A recorded ride as values: every channel in SI on one clock, and what was odd about the file."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from gearplan.bike.text.units import KMH, RPM
from gearplan.language import tr, trn

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

#: A longer pause than this between two rows, and than several rows take, is a gap.
_GAP = 1.0
_GAP_ROWS = 6.0
#: So many rows tell enough, as far as they stay closer than this (s).
_MANY, _CLOSE = 100_000, 0.04


class LogError(ValueError):
    """What cannot be read as a ride; one line that says what is wrong, where, and what would be right."""


class ReadingCancelled(Exception):
    """The user no longer wants this reading."""


@dataclass(frozen=True, eq=False)
class RideLog:
    """One ride; all arrays have the length of `time` and hold NaN where the row has no value.

    `time` rises strictly from 0 (s); where the file has none it counts rows and `timed` is False. `engine` rad/s,
    `road` and `gps` m/s, `latitude` and `longitude` degrees (WGS 84), `altitude` m, `gear` a number (0 neutral),
    `throttle` 0 to 1, `lean` rad. A channel that was not recorded is None. `rows` counts the file's rows of data;
    `road_unit` is the unit that the road speed was read in.
    """

    name: str
    time: Floats
    engine: Floats | None = None
    road: Floats | None = None
    gps: Floats | None = None
    latitude: Floats | None = None
    longitude: Floats | None = None
    altitude: Floats | None = None
    gear: Floats | None = None
    throttle: Floats | None = None
    lean: Floats | None = None
    rows: int = 0
    timed: bool = True
    road_unit: str = "km/h"
    notes: tuple[str, ...] = ()

    @property
    def used_rows(self) -> int:
        """Rows that were kept."""
        return len(self.time)

    @property
    def speed(self) -> Floats | None:
        """The road speed to reckon with: the wheel's, else that of the satellites."""
        return self.road if self.road is not None else self.gps

    @property
    def placed(self) -> bool:
        """Whether positions were recorded."""
        return self.latitude is not None and self.longitude is not None

    @cached_property
    def step(self) -> float:
        """The usual time between two rows (s)."""
        return float(np.median(np.diff(self.time))) if len(self.time) > 1 else 1.0

    def durations(self) -> Floats:
        """The time that each row stands for (s): to the next row, but no longer than a usual step in a gap."""
        if not len(self.time):
            return np.zeros(0)
        usual = self.step
        pause = np.append(np.diff(self.time), usual)
        return np.where(pause > self.gap_from, usual, pause)

    @property
    def gap_from(self) -> float:
        """Pauses from this on are gaps (s)."""
        return max(_GAP, _GAP_ROWS * self.step)

    def every(self, rows: int) -> int:
        """Each how manieth of so many rows tells as much as all, because they come so close upon each other."""
        return max(1, min(rows // _MANY, int(_CLOSE / max(self.step, 1e-6))))

    def gaps(self) -> int:
        """How many gaps there are."""
        return int(np.count_nonzero(np.diff(self.time) > self.gap_from))

    def rows_where(self, keep: Flags | slice) -> RideLog:
        """The same log with some rows only."""
        channels = ("engine", "road", "gps", "latitude", "longitude", "altitude", "gear", "throttle", "lean")
        kept: dict[str, Any] = {name: None if (got := getattr(self, name)) is None else got[keep] for name in channels}
        return replace(self, time=self.time[keep], **kept)


#: What no motorcycle does: (name, least, most) in the log's own units, and the bounds as they are told. So wide that no
#: sensor's noise is hurt; what lies beyond comes from a wrong column, a wrong unit or a fault.
_SENSE = {
    "engine": (tr("Engine speed"), -100 * RPM, 30_000 * RPM, tr("0 to 30000 rpm")),
    "road": (tr("Road speed"), -20 * KMH, 540 * KMH, tr("0 to 540 km/h")),
    "gps": (tr("Satellite speed"), -20 * KMH, 540 * KMH, tr("0 to 540 km/h")),
    "latitude": (tr("Latitude"), -90.0, 90.0, tr("−90 to 90°")),
    "longitude": (tr("Longitude"), -360.0, 360.0, tr("−180 to 180°")),
    "altitude": (tr("Altitude"), -1000.0, 9000.0, tr("−1000 to 9000 m")),
    "gear": (tr("Gear"), -1.0, 12.0, tr("0 to 12")),
    "throttle": (tr("Throttle"), -0.2, 1.5, tr("0 to 100 %")),
    "lean": (tr("Lean"), -2.0, 2.0, tr("−90 to 90°")),
}


def sane(log: RideLog) -> RideLog:
    """The log with values beyond sense taken as missing, counted and said."""
    changed: dict[str, Any] = {}
    notes = list(log.notes)
    for name, (words, low, high, told) in _SENSE.items():
        line = getattr(log, name)
        if line is None:
            continue
        with np.errstate(invalid="ignore"):
            beyond = (line < low) | (line > high)
        if beyond.any():
            changed[name] = np.where(beyond, np.nan, line)
            notes.append(
                trn(
                    "{what}: {n} value beyond {told} left out; look at its column and unit.",
                    "{what}: {n} values beyond {told} left out; look at its column and unit.",
                    int(np.count_nonzero(beyond)),
                    what=words,
                    told=told,
                )
            )
    return replace(log, **changed, notes=tuple(notes)) if changed else log
