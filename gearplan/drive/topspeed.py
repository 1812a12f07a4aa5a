"""Top speeds of many sets at once, the same as `thrust.top_speed` finds for each. SI."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from gearplan.drive import thrust as thrusts
from gearplan.drive.roadload import Road, road_load
from gearplan.drive.thrust import Machine, engine_thrust

Floats = NDArray[np.float64]

_BLOCK = 40


def top_speeds(machine: Machine, road: Road, overall: Floats, radius: Floats, bound: Floats) -> Floats:
    """Greatest speeds that can be held (m/s), NaN where none can; `machine` gives the engine.

    `overall` has shape [set, gear], `radius` and `bound` (the tyre's limit of the thrust, N) [set].
    """
    best = np.full(len(radius), np.nan)
    for gear in range(overall.shape[1]):
        ratio = overall[:, gear]
        top = machine.limiter * radius / ratio
        # A gear that ends below what another holds cannot be the fastest.
        wanted = np.nonzero(~(top <= best))[0]
        if len(wanted):
            found = _in_gear(machine, road, ratio[wanted], radius[wanted], top[wanted], first=gear == 0)
            better = np.isnan(best[wanted]) | (found > best[wanted] * (1 + 1e-9))
            best[wanted] = np.where(better & ~np.isnan(found), found, best[wanted])
    # The tyre's limit plays no part unless it lies below what drag asks for at that speed: then each by itself.
    for k in np.nonzero(~(bound > 1.2 * road_load(road, best)))[0]:
        own = replace(
            machine, overall=tuple(overall[k].tolist()), radius=float(radius[k]), lift=float(bound[k]), grip=np.inf
        )
        single = thrusts.top_speed(own, road)
        best[k] = np.nan if single is None else single.speed
    return best


def _in_gear(machine: Machine, road: Road, ratio: Floats, radius: Floats, top: Floats, *, first: bool) -> Floats:
    """Greatest speed held in one gear: the last of the points at which thrust meets load, and on to the crossing."""
    last = thrusts.FINE - 1
    step = (top - 0.5) / last

    def spare(which: NDArray[np.int_], points: NDArray[np.int_]) -> Floats:
        v = np.where(points == last, top[which, None], points * step[which, None] + 0.5)
        force = engine_thrust(machine, ratio[which, None], radius[which, None], v, first=first)
        return np.asarray(force - road_load(road, v))

    every = np.arange(len(top))
    found = np.full(len(top), np.nan)
    held = spare(every, np.array([last]))[:, 0] >= 0
    found[held] = top[held]
    left = every[~held]
    high = last
    while len(left) and high > 0:
        low = max(high - _BLOCK, 0)
        points = np.arange(low, high + 1)
        over = spare(left, points)
        holds = over[:, :-1] >= 0
        some = holds.any(axis=1)
        k = holds.shape[1] - 1 - np.argmax(holds[:, ::-1], axis=1)
        rows = np.nonzero(some)[0]
        here, after = over[rows, k[rows]], over[rows, k[rows] + 1]
        v, then = (points[k[rows]] + shift for shift in (0, 1))
        at = v * step[left[rows]] + 0.5
        following = np.where(then == last, top[left[rows]], then * step[left[rows]] + 0.5)
        found[left[rows]] = at + here / (here - after) * (following - at)
        left = left[~some]
        high = low
    return found
