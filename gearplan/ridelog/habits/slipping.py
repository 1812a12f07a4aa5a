"""What gives way under pull: a clutch that slips, a wheel that spins. Pure; SI.

While the clutch grips, engine over road speed keeps its gear's ratio however hard it pulls. A clutch that slips lets
the engine run ahead of the wheel wherever the engine pulls hard, in high gears too; a wheel that spins runs ahead of
the road, in low gears, where the thrust is greatest. The speed of the rear wheel beside a true one tells the two apart.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from gearplan.bike.profile import Bike
from gearplan.ridelog.learning.gears import Gears
from gearplan.ridelog.log import Flags, Floats, RideLog
from gearplan.setup.ratios import box_ratios

What = Literal["clutch", "wheel", "either", "lean"]

#: Ahead by so much (relative) counts; pulling and steady are from and up to so much (m/s²), faster than this (m/s).
_AHEAD, _PULLS, _STEADY, _FAST = 0.03, 0.8, 0.35, 8.0
#: Told if so much of the pulling time is ahead, and so many times as much as of the steady time.
_SHARE, _TIMES, _SPINS = 0.3, 5.0, 0.15
_LEAST_ROWS, _LEAST_SECONDS = 60, 6.0
#: Rows are looked at about so often (s).
_OFTEN = 0.05
#: Half the time over which acceleration is taken (s).
_HALF = 0.3
#: So long about a change of gear nothing is told (s).
_SHIFT = 0.8
#: High gears give way as often as low ones, by this share: then it is no wheel.
_ALIKE, _HIGH = 0.5, 4


@dataclass(frozen=True, slots=True, eq=False)
class Slip:
    """Something gives way under pull: shares of the time ahead by 3 % or more while pulling and while steady.

    `what` is as far as it can be told; "lean" says that it may be nothing but that: by satellite speed a leaned tyre
    looks like slip where nothing tells the lean. `low` and `high` are the shares in the lower and the higher ridden
    gears. `pulls` (m/s²) and `ahead` (relative) are the evidence.
    """

    what: What
    pulling: float
    steady: float
    low: float
    high: float
    by_wheels: bool
    pulls: Floats
    ahead: Floats


def pull_of(log: RideLog) -> Floats | None:
    """Acceleration in each row (m/s²), by the satellites if they are there; NaN where it is not known."""
    speed = log.gps if log.gps is not None else log.road
    if speed is None or not log.timed or len(log.time) < 20:
        return None
    half = max(1, round(_HALF / max(log.step, 1e-3)))
    found = np.full(len(speed), np.nan)
    if len(speed) <= 2 * half:
        return None
    span = log.time[2 * half :] - log.time[: -2 * half]
    found[half:-half] = np.where(
        span < 4 * half * log.step + 0.2, (speed[2 * half :] - speed[: -2 * half]) / span, np.nan
    )
    return found


def steady_only(log: RideLog) -> RideLog:
    """The log with the engine speed left out where it pulls or slows: there nothing slips."""
    pulls = pull_of(log)
    if pulls is None or log.engine is None:
        return log
    with np.errstate(invalid="ignore"):
        return replace(log, engine=np.where(np.abs(pulls) < _STEADY, log.engine, np.nan))


def find_slip(log: RideLog, gears: Gears, bike: Bike, straight: Flags | None = None) -> Slip | None:
    """What gives way under pull; None where nothing does, or where it cannot be told.

    `straight` says in which rows it stands upright, as far as it is known.
    """
    some = slice(None, None, max(1, round(_OFTEN / log.step)))
    log = log.rows_where(some)
    pulls = pull_of(log)
    box, ridden = box_ratios(bike), [gear for gear in gears.gears if gear.number is not None]
    if pulls is None or log.engine is None or log.speed is None or box is None or len(ridden) < 2:
        return None
    # A gear that was hardly ridden is no slip of the next one.
    own = np.mean([np.log(gear.cluster.ratio / box[(gear.number or 1) - 1]) for gear in ridden])
    centres = np.log(box) + own
    fast = (log.speed > _FAST) & np.isfinite(pulls) & (log.engine > 0)
    if log.road is None and straight is not None:
        fast &= straight[some]
    over = np.full(len(log.time), np.nan)
    # A speed that comes late looks like slip too.
    engine = np.interp(log.time - gears.ratios.lag, log.time, log.engine)
    fast &= np.isfinite(engine) & (engine > 0)
    over[fast] = np.log(engine[fast] / log.speed[fast])
    ahead, gear = _ahead(over, centres, log)
    spins = None if gears.sensor == "front wheel" else _wheel_ahead(log, pulls)
    if spins is not None and spins[0] > _SPINS and spins[0] > _TIMES * max(spins[1], 0.01):
        told = np.isfinite(spins[2])
        return Slip("wheel", spins[0], spins[1], 0.0, 0.0, True, pulls[told], spins[2][told])
    known = fast & np.isfinite(ahead)
    pulling, steady = known & (pulls > _PULLS), known & (np.abs(pulls) < _STEADY)
    least = max(_LEAST_ROWS, round(_LEAST_SECONDS / log.step))
    if np.count_nonzero(pulling) < least or np.count_nonzero(steady) < least:
        return None
    share, still = (float(np.mean(ahead[rows] > _AHEAD)) for rows in (pulling, steady))
    if share < _SHARE or share < _TIMES * still:
        return None
    upper = gear + 1 >= _HIGH
    low, high = (_share(ahead, pulling & side) for side in (~upper, upper))
    # Turns of the rear wheel, or of what drives it, keep the ratio however it spins.
    turns = log.road is not None and gears.sensor in ("rear wheel", "output shaft")
    seen = np.count_nonzero(pulling & upper) >= least
    what: What = "clutch" if turns or (seen and high >= _ALIKE * low) else "wheel" if seen else "either"
    if log.road is None and straight is None:
        what = "lean"
    return Slip(what, share, still, low, high, turns, pulls[known], ahead[known])


def _share(ahead: Floats, rows: Flags) -> float:
    return float(np.mean(ahead[rows] > _AHEAD)) if rows.any() else 0.0


def _ahead(over: Floats, centres: Floats, log: RideLog) -> tuple[Floats, Floats]:
    """How far the engine is ahead of the gear below (log), and which that is, from 0; NaN about changes of gear."""
    rising = centres[::-1]
    found = np.full(len(over), np.nan)
    told = np.isfinite(over)
    place = np.searchsorted(rising, over[told] + 0.012, "right") - 1
    inside = place >= 0
    found[np.flatnonzero(told)[inside]] = over[told][inside] - rising[place[inside]]
    gear = np.full(len(over), -1.0)
    gear[np.flatnonzero(told)[inside]] = len(centres) - 1 - place[inside]
    reach = max(1, round(_SHIFT / log.step))
    # A change of gear makes the ratio jump to another's; what slips comes back to its own.
    before, after = np.full(len(gear), np.nan), np.full(len(gear), np.nan)
    before[reach:], after[:-reach] = gear[:-reach], gear[reach:]
    found[(before > after) | (gear < 0)] = np.nan
    found[(before < after)] = np.nan
    return found, gear


def _wheel_ahead(log: RideLog, pulls: Floats) -> tuple[float, float, Floats] | None:
    """Shares of pulling and steady time in which the wheel is ahead of the satellites, and by how much; or None."""
    if log.road is None or log.gps is None:
        return None
    both = (log.road > _FAST) & (log.gps > _FAST) & np.isfinite(pulls)
    pulling, steady = both & (pulls > _PULLS), both & (np.abs(pulls) < _STEADY)
    if min(np.count_nonzero(pulling), np.count_nonzero(steady)) < _LEAST_ROWS:
        return None
    usual = float(np.median(log.road[steady] / log.gps[steady]))
    ahead = np.full(len(log.time), np.nan)
    ahead[both] = np.log(log.road[both] / log.gps[both] / usual)
    return _share(ahead, pulling), _share(ahead, steady), ahead
