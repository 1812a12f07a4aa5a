"""A rider's own up-shift against the best one: where, how far the engine falls, and what it costs. SI."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from gearplan.bike.text.units import RPM
from gearplan.drive.gearing import road_speed
from gearplan.drive.motion import sprint as sprints
from gearplan.drive.motion import thrust as thrusts
from gearplan.language import tr
from gearplan.plan.pull.pull import Pull, shift_engine

#: Over this distance the cost of a shift habit is told.
OVER = 400.0


@dataclass(frozen=True, slots=True)
class UpShift:
    """One up-shift out of a gear (from 1): engine speeds in rad/s, road speed in m/s.

    `falls_to` is what the engine turns in the next gear after the best shift; `limited` says that the limiter sets it.
    """

    gear: int
    best: float
    speed: float
    falls_to: float
    limited: bool
    own: float | None


@dataclass(frozen=True, slots=True)
class Habit:
    """All up-shifts, and the seconds over `OVER` with the best and with the rider's own (None without one)."""

    shifts: tuple[UpShift, ...]
    best_time: float | None
    own_time: float | None


def habit(pulled: Pull, own_at: float | None) -> Habit:
    """Best up-shifts of a pull beside shifting always at one engine speed (rad/s)."""
    free = replace(pulled.machine, shift_at=math.inf)
    speeds = thrusts.shift_speeds(free, pulled.road)
    held = None if own_at is None else min(own_at, free.limiter)
    falls_to = shift_engine(replace(free, overall=free.overall[1:]), speeds)
    shifts = tuple(
        UpShift(
            gear + 1,
            turning,
            speed,
            falls_to[gear],
            speed >= free.top_of(gear) * (1 - 1e-9),
            held,
        )
        for gear, (speed, turning) in enumerate(zip(speeds, shift_engine(free, speeds), strict=True))
    )
    best = sprints.sprint(free, pulled.road, speeds).time_to_distance(OVER)
    if held is None:
        return Habit(shifts, best, None)
    own_speeds = tuple(np.asarray(road_speed(held, np.array(free.overall[:-1]), free.radius, free.growth)).tolist())
    return Habit(shifts, best, sprints.sprint(free, pulled.road, own_speeds).time_to_distance(OVER))


def habit_sentence(found: Habit) -> str:
    """What the rider's own shift speed costs, in words."""
    own = found.shifts[0].own if found.shifts else None
    if own is None:
        return tr("Enter the engine speed at which you shift to see what it costs against the best.")
    if found.own_time is None or found.best_time is None:
        return tr("Shifting at {own:.0f} rpm, {over:.0f} m are not reached here.", own=own / RPM, over=OVER)
    cost = found.own_time - found.best_time
    lost = tr("about {cost:.1f} s", cost=cost) if cost >= 0.05 else tr("less than 0.1 s")
    told = tr(
        "Shifting always at {own:.0f} rpm costs {lost} over {over:.0f} m from standstill",
        own=own / RPM,
        lost=lost,
        over=OVER,
    )
    early = [shift.gear for shift in found.shifts if own < shift.best * 0.995]
    late = [shift.gear for shift in found.shifts if own > shift.best * 1.005]
    where = []
    if early:
        where.append(tr("early out of {gears}", gears=_gears(early)))
    if late:
        where.append(tr("late out of {gears}", gears=_gears(late)))
    return f"{told}: {' and '.join(where)}." if where else tr("{told}: it is the best one in every gear.", told=told)


def _gears(which: list[int]) -> str:
    names = [str(gear) for gear in which]
    many = tr("{join} and {names}", join=", ".join(names[:-1]), names=names[-1]) if len(names) > 1 else names[0]
    return f"{'gears' if len(names) > 1 else 'gear'} {many}"
