"""Wind and slope over many rides of an outside generator. `python -m tests.ridelog.habits.windy 200` prints it.

Rings and roads over hills by chance, in winds by chance, ridden with thrust, drag and mass some per cent off the
profile; with heights recorded as satellites tell them, or without.
"""

from __future__ import annotations

import math
import sys
from collections.abc import Sequence
from dataclasses import dataclass, replace
from multiprocessing import Pool

import numpy as np

from gearplan.bike.demo import demo_bike
from gearplan.ridelog.habits.driving import Driving
from gearplan.ridelog.habits.wind import Wind
from gearplan.ridelog.telling.learned import learn
from tests.ridelog.circling import as_profile, recorded, ridden, ring, road


@dataclass(frozen=True)
class Blown:
    """What a ride tells beside the wind that there was (m/s, to the east and to the north)."""

    drove: Driving | None
    wind: tuple[float, float]

    @property
    def told(self) -> Wind | None:
        """The wind, if it is told."""
        return None if self.drove is None or isinstance(self.drove.wind, str) else self.drove.wind

    def held(self, one: Wind) -> tuple[bool, bool, bool]:
        """Whether the truth lies in the range of the speed, of the bearing, and in the ellipse of both (95 %)."""
        east, north = self.wind
        off = np.array([one.east - east, one.north - north])
        from_ = math.atan2(-east, -north)
        turned = 0.0 if one.bearing is None else abs(math.remainder(one.bearing - from_, math.tau))
        return (
            one.low <= math.hypot(east, north) <= one.high,
            turned <= one.off,
            float(off @ np.linalg.solve(np.array(one.covariance), off)) < 5.99,
        )


def hills(rng: np.random.Generator, x: np.ndarray, y: np.ndarray, steep: float) -> np.ndarray:
    """The height of a line on a hillside with hills: waves over the plane, the same in both directions."""
    tilt = rng.normal(0, steep / 2, 2)
    found = tilt[0] * x + tilt[1] * y
    for _ in range(5):
        wave = math.tau / rng.uniform(300, 1500)
        way = rng.uniform(0, math.tau)
        along = x * math.cos(way) + y * math.sin(way)
        found = found + steep / 2 / wave * rng.normal() * np.sin(along * wave + rng.uniform(0, math.tau))
    return np.asarray(found)


def blown(seed: int, *, heights: bool | None = None, closed: bool | None = None, steep: float | None = None) -> Blown:
    """The ride of a number."""
    bike = demo_bike("Brindle 650").bike
    rng = np.random.default_rng([seed, 555])
    own = as_profile(bike)
    wind = (float(rng.normal(0, 4)), float(rng.normal(0, 4)))
    true = replace(
        own,
        lateral=float(rng.uniform(0.6, 1.1)),
        drag=own.drag * math.exp(rng.normal(0, 0.1)),
        mass=own.mass * math.exp(rng.normal(0, 0.04)),
        wind=wind,
    )
    around = bool(rng.random() < 0.5) if closed is None else closed
    line = ring(rng, float(rng.uniform(2200, 4500)), int(rng.integers(6, 12))) if around else road(rng, 9000.0)
    height = hills(rng, *line, float(rng.uniform(0, 0.03)) if steep is None else steep)
    course = ridden(bike, true, line, 4 if around else 0, rng, 0.01, height)
    told = bool(rng.random() < 0.5) if heights is None else heights
    log = recorded(course, true, rng, rate=10.0, throttle=True, heights=told)
    return Blown(learn(log, bike).drove, wind)


def main(count: int) -> None:
    """Print how often what is told of the wind is so."""
    for heights in (True, False):
        for closed in (True, False):
            with Pool() as pool:
                rides = pool.starmap(_one, [(seed, heights, closed) for seed in range(count)], chunksize=4)
            _print(rides, f"{'laps' if closed else 'road'} {'with' if heights else 'without'} heights")


def _one(seed: int, heights: bool, closed: bool) -> Blown:
    return blown(seed, heights=heights, closed=closed)


def _print(rides: Sequence[Blown], name: str) -> None:
    told = [one for one in rides if one.told is not None]
    why = [one.drove.wind for one in rides if one.drove is not None and isinstance(one.drove.wind, str)]
    held = np.array([one.held(one.told) for one in told if one.told is not None]).reshape(-1, 3)
    off = [math.hypot(o.told.east - o.wind[0], o.told.north - o.wind[1]) for o in told if o.told is not None]
    shares = ", ".join(f"{100 * share:.1f} %" for share in held.mean(0)) if len(told) else "none"
    print(
        f"{name}: {len(told)} of {len(rides)} told; truth in the range of speed, bearing, both: {shares}; off by "
        f"{np.median(off) if off else math.nan:.2f} m/s in the middle; not told for { {w: why.count(w) for w in why} }"
    )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 200)
