"""How the engine was used against what the computation advises, and the pull measured beside the computed one. SI.

Only stretches under full pull count: where the throttle was open or, without one, where it accelerates nearly as hard
as computed. A change up before or after the advised speed costs what the other gear would have gained in between.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from gearplan.bike.profile import Bike
from gearplan.bike.text.units import STANDARD_GRAVITY
from gearplan.drive.motion.roadload import Road, road_load
from gearplan.drive.motion.sprint import roll_on
from gearplan.drive.motion.thrust import Machine, shift_speeds, thrust
from gearplan.ridelog.habits.shifts import UpShift
from gearplan.ridelog.habits.slipping import pull_of
from gearplan.ridelog.habits.wind import NO_PLACES, TOO_LITTLE, Pulled, Untold, Wind, drag_of, find_wind
from gearplan.ridelog.learning import robust
from gearplan.ridelog.learning.gears import Gears
from gearplan.ridelog.learning.lean import course
from gearplan.ridelog.log import Flags, Floats, RideLog
from gearplan.setup.machine import Basis, basis, machine
from gearplan.setup.ratios import box_ratios

#: A throttle from here on is open; without one, so much of the computed acceleration and at least this (m/s²).
_OPEN, _NEARLY, _LEAST_PULL = 0.85, 0.75, 0.8
#: Full pull is looked for from so many seconds before a change to so many before it, as acceleration is a mean over
#: some time; and how long after it what was gained counts.
_FROM, _TO, _AFTER = 0.8, 0.3, 8.0
#: So much of that stretch must be full pull.
_MOSTLY = 0.6
#: Rows are looked at about so often (s).
_OFTEN = 0.05
_LEAST_ROWS, _BLOCK = 60, 5.0
#: Half the length over which a slope is taken from the heights (s), and from which speed on (m/s).
_SLOPE, _SLOW = 2.0, 6.0
#: The engine alone limits the pull up to so much of what the tyre bears.
_OWN_PULL = 0.98


@dataclass(frozen=True, slots=True, eq=False)
class Driving:
    """How it was ridden under full pull: `seconds` of it, and between which engine speeds half of that lies (rad/s).

    `changes` are the changes up that count, each with the advised engine speed (rad/s) and the time lost (s). `share`
    is the measured thrust over the computed one with its 95 % interval, None where too little was ridden; `level` says
    that no heights were known. `wind` is in it, or taken out of it where it is told; else it says why not. `speeds`
    (m/s), `measured` and `computed` (N) are the evidence.
    """

    seconds: float
    low: float
    high: float
    changes: tuple[tuple[UpShift, float, float], ...]
    share: tuple[float, float, float] | None
    level: bool
    wind: Wind | Untold
    speeds: Floats
    measured: Floats
    computed: Floats

    @property
    def lost(self) -> float:
        """Time lost by changes that came early or late (s)."""
        return math.fsum(lost for _, _, lost in self.changes)


def driving(
    log: RideLog, gears: Gears, shifts: tuple[UpShift, ...], bike: Bike, straight: Flags | None = None
) -> Driving | None:
    """How the engine was used; None where the profile lacks what the thrust needs, or there was no full pull.

    `straight` says in which rows it stands upright: leaned, the tyre limits the pull, so without it none is measured.
    """
    made = _made(gears, bike)
    some = slice(None, None, max(1, round(_OFTEN / log.step)))
    log, which = log.rows_where(some), gears.ratios.which[some]
    straight = None if straight is None else straight[some]
    pulls = pull_of(log)
    if made is None or pulls is None or log.engine is None or log.speed is None:
        return None
    one, road = made
    numbers = np.array([number or 0 for number in gears.numbers] + [0])
    gear = numbers[np.where(which >= 0, which, -1)]
    speed = log.gps if log.gps is not None else log.speed / (gears.indicated.value if gears.indicated else 1.0)
    slope = _slope(log, speed)
    known = (gear > 0) & np.isfinite(log.engine) & np.isfinite(pulls) & np.isfinite(speed) & (speed > _SLOW)
    computed, measured, wanted = (np.full(len(speed), np.nan) for _ in range(3))
    for number in sorted(set(gear[known].tolist())):
        rows = known & (gear == number)
        mass = one.equivalent_mass(number - 1)
        computed[rows] = thrust(one, number - 1, speed[rows])
        load = road_load(road, speed[rows]) + one.mass * STANDARD_GRAVITY * slope[rows]
        measured[rows] = mass * pulls[rows] + load
        wanted[rows] = (computed[rows] - load) / mass
    # At the limiter nothing pulls.
    full = _full(log, known & (computed > 0), pulls, wanted)
    if straight is not None:
        full &= straight
    if np.count_nonzero(full) < _LEAST_ROWS:
        return None
    low, high = np.quantile(log.engine[full], [0.25, 0.75])
    step = log.step
    advised = shift_speeds(one, road)
    changes = []
    for shift in shifts:
        first, last, here, then = np.searchsorted(
            log.time, [shift.at - _FROM, shift.at - _TO, shift.at, shift.at + _AFTER]
        ).tolist()
        if shift.gear > len(advised) or np.count_nonzero(full[first:last]) < _MOSTLY * (_FROM - _TO) / step:
            continue
        after = speed[here:then][np.isfinite(speed[here:then])]
        if not len(after):
            continue
        at = float(after[0])
        best = advised[shift.gear - 1]
        lost = _lost(one, road, shift.gear - 1, at, min(best, float(after.max())) if at < best else best)
        changes.append((shift, float(one.engine_at(shift.gear - 1, best)), lost))
    rows = np.flatnonzero(full)
    share = None
    wind: Wind | Untold = TOO_LITTLE
    if log.throttle is not None and straight is not None:
        wind, taken, doubt = _wind(log, one, road, rows, (speed, computed, measured))
        measured[rows] += taken
        share = _share(log.time[rows], measured[rows] / computed[rows], doubt)
    return Driving(
        float(log.durations()[full].sum()),
        float(low),
        float(high),
        tuple(changes),
        share,
        log.altitude is None,
        wind,
        speed[rows],
        measured[rows],
        computed[rows],
    )


def _wind(
    log: RideLog,
    one: Machine,
    road: Road,
    rows: NDArray[np.intp],
    ridden: tuple[Floats, Floats, Floats],
) -> tuple[Wind | Untold, Floats, float]:
    """The wind by the rows under full pull, what it takes from the pull in each (N; 0 where it is not told), and the
    doubt of that as a share of the computed thrust."""
    speed, computed, measured = (line[rows] for line in ridden)
    none = np.zeros(len(rows))
    way = course(log)
    if way is None:
        return NO_PLACES, none, 0.0
    known = np.interp(log.time[rows], way.time, way.known.astype(float), 0.0, 0.0) == 1
    heading, x, y = (np.interp(log.time[rows], way.time, line) for line in (way.heading, way.x, way.y))
    east, north = np.cos(heading), np.sin(heading)
    # Where a tyre limits the pull, the throttle does not tell it.
    own = known & (computed < _OWN_PULL * one.bound)
    pulled = Pulled(*(line[own] for line in (log.time[rows], x, y, east, north, speed, computed, measured)))
    wind = find_wind(pulled, road, by_heights=log.altitude is not None)
    if isinstance(wind, str):
        return wind, none, 0.0
    airs = ((wind.east, wind.north), (wind.east + 1, wind.north), (wind.east, wind.north + 1))
    took, by_east, by_north = (np.where(known, drag_of(road, speed, east, north, air), 0.0) for air in airs)
    slope = np.array([np.mean((by_east - took) / computed), np.mean((by_north - took) / computed)])
    return wind, took, math.sqrt(float(slope @ np.array(wind.covariance) @ slope))


def _share(time: Floats, quotients: Floats, doubt: float) -> tuple[float, float, float] | None:
    """Measured over computed thrust with its 95 % interval, `doubt` being of all rows; None for too little ridden."""
    ratio = np.log(np.maximum(quotients, 1e-3))
    centre, weights = robust.cauchy_centre(ratio, max(robust.spread(ratio), 1e-4))
    influence = robust.centre_influence(ratio, centre, weights)
    error, blocks = robust.blocked_error(influence, (time // _BLOCK).astype(np.int64))
    margin = math.hypot(robust.student(blocks - 1) * error, robust.Z * doubt)
    return (math.exp(centre), math.exp(centre - margin), math.exp(centre + margin)) if blocks > 2 else None


def _made(gears: Gears, bike: Bike) -> tuple[Machine, Road] | None:
    """The machine as it was ridden, and what resists it."""
    on, box, likely = basis(bike), box_ratios(bike), gears.most_likely
    if not isinstance(on, Basis) or box is None or likely is None:
        return None
    overall = tuple((box * likely.rear / likely.front).tolist())
    made = machine(replace(on, growth=0.0), overall, likely.circumference / math.tau)
    return made, on.road()


def _full(log: RideLog, known: Flags, pulls: Floats, wanted: Floats) -> Flags:
    """Rows under full pull."""
    with np.errstate(invalid="ignore"):
        if log.throttle is not None:
            return np.asarray(known & (log.throttle > _OPEN) & (pulls > 0))
        return np.asarray(known & (pulls > _NEARLY * wanted) & (pulls > _LEAST_PULL))


def _slope(log: RideLog, speed: Floats) -> Floats:
    """The slope in each row by the heights, 0 without them."""
    level = np.zeros(len(speed))
    if log.altitude is None:
        return level
    known = np.isfinite(log.altitude)
    half = max(1, round(_SLOPE / log.step))
    if np.count_nonzero(known) < 20 or len(speed) <= 2 * half:
        return level
    height = np.interp(log.time, log.time[known], log.altitude[known])
    way = np.concatenate([[0.0], np.cumsum(np.diff(log.time) * np.nan_to_num(speed[1:]))])
    far = way[2 * half :] - way[: -2 * half]
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        level[half:-half] = np.where(far > 10, (height[2 * half :] - height[: -2 * half]) / far, 0.0)
    return np.clip(level, -0.3, 0.3)


def _lost(one: Machine, road: Road, gear: int, at: float, best: float) -> float:
    """Seconds lost by changing up from a gear (from 0) at one speed instead of at the best."""
    low, high = min(at, best), max(at, best)
    if high - low < 0.1:
        return 0.0
    times = [roll_on(one, road, one_of, low, high) for one_of in (gear, gear + 1)]
    if times[0] is None or times[1] is None:
        return 0.0
    return max(times[1] - times[0] if at < best else times[0] - times[1], 0.0)
