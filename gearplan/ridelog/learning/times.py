"""How the time of a ride was spent: in gears, in bands of engine speed, at the limiter. SI."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from gearplan.bike.profile import Bike
from gearplan.bike.text.units import RPM
from gearplan.ridelog.learning.ratios import Ratios
from gearplan.ridelog.log import RideLog

_BAND = 1000 * RPM
_RUNS = 300 * RPM
#: From this share of the limiter on the engine is at it: logs round and limiters wander.
_AT_LIMITER = 0.985
_APART = 0.5
#: A gear that was held so long was ridden (s).
_RIDDEN = 0.5


@dataclass(frozen=True, slots=True)
class Band:
    """A band of engine speed (rad/s) and the share of the running time in it."""

    low: float
    high: float
    share: float


@dataclass(frozen=True, slots=True)
class LimiterHit:
    """A stretch at the limiter: when it began (s), how long it took (s), at which speed (m/s), in which cluster."""

    at: float
    duration: float
    speed: float | None
    cluster: int


@dataclass(frozen=True, slots=True)
class Times:
    """Shares of the recorded time: in gears together, out of gear while moving, standing; the bands; the limiter.

    `unjudged` is the share in which it moved but the values are missing or too rare and coarse to tell a gear.
    """

    in_gear: float
    between: float
    standing: float
    bands: tuple[Band, ...]
    hits: tuple[LimiterHit, ...]
    unjudged: float = 0.0


def spent(log: RideLog, ratios: Ratios, bike: Bike) -> Times:
    """How the time was spent; the limiter is the profile's, else its redline."""
    engine, speed = log.engine, log.speed
    assert engine is not None
    assert speed is not None
    durations = log.durations()
    whole = float(durations.sum()) or 1.0
    in_gear = float(durations[ratios.which >= 0].sum()) / whole
    stands = speed < 0.7
    still = float(durations[stands].sum()) / whole
    unjudged = float(durations[(ratios.which == -2) & ~stands].sum()) / whole
    runs = np.isfinite(engine) & (engine > _RUNS)
    running = float(durations[runs].sum()) or 1.0
    inside = np.bincount((engine[runs] // _BAND).astype(np.int64), durations[runs])
    bands = [Band(i * _BAND, (i + 1) * _BAND, float(s) / running) for i, s in enumerate(inside.tolist()) if s > 0]
    hits = _hits(log, ratios, bike, durations)
    return Times(in_gear, max(1 - in_gear - still - unjudged, 0.0), still, tuple(bands), hits, unjudged)


def lowest_gear(log: RideLog, ratios: Ratios, numbers: tuple[int | None, ...], first: float, last: float) -> int | None:
    """The lowest gear that was ridden for a while between two times (s); None where no gear is known there.

    `numbers` are the gears of the clusters.
    """
    inside = (log.time >= first) & (log.time < last)
    durations = log.durations()
    ridden = [
        number
        for g, number in enumerate(numbers)
        if number is not None and float(durations[inside & (ratios.which == g)].sum()) >= _RIDDEN
    ]
    return min(ridden, default=None)


def _hits(log: RideLog, ratios: Ratios, bike: Bike, durations: np.ndarray) -> tuple[LimiterHit, ...]:
    limit = bike.engine.end_rpm
    # Without a time nobody knows how long it took.
    if limit is None or log.engine is None or not log.timed:
        return ()
    rows = np.flatnonzero(log.engine >= _AT_LIMITER * limit * RPM)
    if not len(rows):
        return ()
    found = []
    for group in np.split(rows, np.flatnonzero(np.diff(log.time[rows]) > _APART) + 1):
        at = int(group[0])
        clusters = ratios.which[group]
        known = clusters[clusters >= 0]
        cluster = int(np.bincount(known).argmax()) if len(known) else -1
        speed = log.speed[at] if log.speed is not None and np.isfinite(log.speed[at]) else None
        found.append(LimiterHit(float(log.time[at]), float(durations[group].sum()), speed, cluster))
    return tuple(found)
