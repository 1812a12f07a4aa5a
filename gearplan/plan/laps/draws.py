"""What is not known exactly about a lap, drawn as one fixed set of points within its ranges. SI.

The points are Sobol's (1967), in the middle of their cells: each doubt takes as many values, evenly spread, as there
are points, and no pair of doubts leaves a gap. They are the same every time, so that the same question has the same
answer. From 64 to 128 of them what the advised set loses at its worst moved by 4 ms at most on nine pairs of demo
bike and circuit; 32 were 20 ms off.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from gearplan.bike.profile import Bike
from gearplan.bike.text.units import DEGREE, KMH, RPM
from gearplan.drive.lap.rules import LapRules
from gearplan.drive.motion.machines import Varied
from gearplan.language import tr
from gearplan.setup import doubt

Floats = NDArray[np.float64]
Ints = NDArray[np.int_]

_POINTS_LOG2 = 6
#: In so many of the cases the lowest gear in corners is that of the rule (common practice, no source).
_AS_BY_THE_RULE = 0.75
#: Degree, polynomial and first direction numbers of each dimension but the first (Joe and Kuo, 2008).
_DIRECTIONS = (
    (1, 0, (1,)),
    (2, 1, (1, 3)),
    (3, 1, (1, 3, 1)),
    (3, 2, (1, 1, 1)),
    (4, 1, (1, 1, 3, 3)),
    (4, 4, (1, 3, 5, 13)),
    (5, 2, (1, 1, 5, 5, 17)),
    (5, 4, (1, 1, 5, 5, 5)),
    (5, 7, (1, 1, 7, 11, 19)),
    (5, 11, (1, 1, 5, 1, 1)),
)


@dataclass(frozen=True, slots=True)
class Doubts:
    """How far each assumption may be off, each way.

    Grip, braking and apex speeds are shares of what is taken; grip counts where a corner's speed follows from grip
    or lean, apex speeds where it is entered. `lowest_gear` is by how many gears the lowest one in a corner may be
    another than by the rules; in `_AS_BY_THE_RULE` of the cases it is not. The rest is about the rider's other rules
    (m/s, rad/s, rad, s).
    """

    grip: float = 0.0
    wind_mps: float = 0.0
    mass_kg: float = 0.0
    shift_time_s: float = 0.0
    braking: float = 0.0
    apex: float = 0.0
    lowest_gear: float = 0.0
    first_below_mps: float = 0.0
    short_shift: float = 0.0
    no_shift_beyond: float = 0.0
    down_shift_s: float = 0.0

    def of(self, rules: LapRules) -> Doubts:
        """The same without those about rules that the rider does not have."""
        has = {
            "first_below_mps": math.isfinite(rules.first_below),
            "short_shift": rules.short_shift > 0,
            "no_shift_beyond": math.isfinite(rules.no_shift_beyond),
            "down_shift_s": rules.down_shift > 0,
        }
        return replace(self, **{key: 0.0 for key, there in has.items() if not there})


#: Nothing is in doubt.
NO_DOUBTS = Doubts()


def usual_doubts(bike: Bike) -> Doubts:
    """How far each assumption may be off for a bike, by `setup.doubt`: as its entries were read, or are assumed."""
    found = {
        "grip": doubt.share_range(bike, "tyre.grip"),
        "wind_mps": doubt.WIND,
        "mass_kg": doubt.half_range(bike, "load.bike_kg", "load.rider_kg"),
        "shift_time_s": doubt.half_range(bike, "engine.shift_time_s"),
        "braking": doubt.share_range(bike, "load.braking_mps2"),
        "apex": doubt.APEX_SHARE,
    }
    # No doubt is known to more than two digits.
    within = {key: float(f"{min(value, DOUBT_BOUNDS[key][1]):.2g}") for key, value in found.items()}
    return Doubts(
        **within,
        first_below_mps=doubt.FIRST_BELOW,
        short_shift=doubt.SHORT_SHIFT,
        no_shift_beyond=doubt.NO_SHIFT_BEYOND,
        down_shift_s=doubt.DOWN_SHIFT,
    )


#: Least and most that a doubt can be.
DOUBT_BOUNDS = {
    "grip": (0.0, 0.5),
    "wind_mps": (0.0, 20.0),
    "mass_kg": (0.0, 100.0),
    "shift_time_s": (0.0, 1.0),
    "braking": (0.0, 0.5),
    "apex": (0.0, 0.3),
    "lowest_gear": (0.0, 3.0),
    "first_below_mps": (0.0, 50 * KMH),
    "short_shift": (0.0, 3000 * RPM),
    "no_shift_beyond": (0.0, 45 * DEGREE),
    "down_shift_s": (0.0, 0.5),
}
#: Which coordinate of the points belongs to which doubt.
_ORDER = (
    *("mass_kg", "grip", "braking", "apex", "wind_mps", "shift_time_s", "lowest_gear"),
    *("first_below_mps", "short_shift", "no_shift_beyond", "down_shift_s"),
)


def names(doubts: Doubts) -> dict[str, str]:
    """Each doubt that is not 0 in words, by its field."""
    every = {
        "grip": tr("grip ±{grip:.3g} %", grip=100 * doubts.grip),
        "wind_mps": tr("wind ±{wind_mps:.3g} km/h", wind_mps=doubts.wind_mps / KMH),
        "mass_kg": tr("mass ±{mass_kg:.3g} kg", mass_kg=doubts.mass_kg),
        "shift_time_s": tr("shift time ±{shift_time_s:.3g} s", shift_time_s=doubts.shift_time_s),
        "braking": tr("braking ±{braking:.3g} %", braking=100 * doubts.braking),
        "apex": tr("apex speeds ±{apex:.3g} %", apex=100 * doubts.apex),
        "lowest_gear": tr("lowest gear ±{lowest_gear:.0f}", lowest_gear=doubts.lowest_gear),
        "first_below_mps": tr(
            "first gear below ±{first_below_mps:.3g} km/h", first_below_mps=doubts.first_below_mps / KMH
        ),
        "short_shift": tr("early up-shifts ±{short_shift:.3g} rpm", short_shift=doubts.short_shift / RPM),
        "no_shift_beyond": tr(
            "lean of the last up-shift ±{no_shift_beyond:.3g}°", no_shift_beyond=doubts.no_shift_beyond / DEGREE
        ),
        "down_shift_s": tr("down-shift time ±{down_shift_s:.3g} s", down_shift_s=doubts.down_shift_s),
    }
    return {key: text for key, text in every.items() if getattr(doubts, key)}


@lru_cache(maxsize=4)
def sobol(log2: int, dimensions: int) -> Floats:
    """2^log2 points of Sobol's sequence in the unit cube, each in the middle of its cell [point, dimension]."""
    count, index = 2**log2, np.arange(2**log2)
    gray = index ^ (index >> 1)
    found = np.zeros((count, dimensions), np.int64)
    for column in range(dimensions):
        numbers = _direction_numbers(column, log2)
        for bit in range(log2):
            found[:, column] ^= np.where(gray >> bit & 1, numbers[bit], 0)
    points = np.asarray((found + 0.5) / count, float)
    points.setflags(write=False)
    return points


def _direction_numbers(column: int, log2: int) -> list[int]:
    """Direction numbers of one dimension, as whole numbers below 2^log2."""
    if column == 0:
        return [1 << (log2 - 1 - bit) for bit in range(log2)]
    degree, polynomial, first = _DIRECTIONS[column - 1]
    m = list(first)
    while len(m) < log2:
        new = m[-degree] ^ (m[-degree] << degree)
        for k in range(1, degree):
            if polynomial >> (degree - 1 - k) & 1:
                new ^= m[-k] << k
        m.append(new)
    return [number << (log2 - 1 - bit) for bit, number in enumerate(m[:log2])]


@dataclass(frozen=True, eq=False)
class Draws:
    """The draws of some doubts. `at` is where each lies in its range, −1 to 1 [draw, doubt of `keys`]."""

    doubts: Doubts
    keys: tuple[str, ...]
    at: Floats

    @property
    def count(self) -> int:
        """How many draws there are; one where nothing is in doubt."""
        return len(self.at)

    @property
    def twentieth(self) -> int:
        """How many draws are taken to be one in twenty; at least one.

        One fewer than by counting: the share found in so few draws may be one of them too small, and it is better to
        name a set too many as tied and a loss too great.
        """
        return max(round(self.count / 20) - 1, 1)

    def varied(self, which: Ints, mass: float) -> Varied:
        """What differs between sets of which each rides one of the draws; `mass` is what they have in common (kg)."""
        by = {key: getattr(self.doubts, key) * self.at[which, k] for k, key in enumerate(self.keys)}
        none = np.zeros(len(which))
        off = {key: by.get(key, none) for key in _ORDER}
        return Varied(
            mass=np.maximum(1 + off["mass_kg"] / mass, 0.5),
            friction=1 + off["grip"],
            braking=1 + off["braking"],
            apex=1 + off["apex"],
            wind=off["wind_mps"],
            shift_time=off["shift_time_s"],
            lowest=np.round(off["lowest_gear"]).astype(int),
            first_below=off["first_below_mps"],
            short_shift=off["short_shift"],
            no_shift_beyond=off["no_shift_beyond"],
            down_shift=off["down_shift_s"],
        )


def draws(doubts: Doubts) -> Draws:
    """The draws of the doubts that are not 0."""
    keys = tuple(key for key in _ORDER if getattr(doubts, key))
    if not keys:
        return Draws(doubts, keys, np.zeros((1, 0)))
    at = 2 * sobol(_POINTS_LOG2, len(_ORDER)) - 1
    if doubts.lowest_gear:
        # Gears are whole: mostly that of the rule, and of the others as many draws with each.
        gears = _ORDER.index("lowest_gear")
        beyond = (np.abs(at[:, gears]) - _AS_BY_THE_RULE) / (1 - _AS_BY_THE_RULE)
        whole = np.where(beyond < 0, 0, np.floor(beyond * doubts.lowest_gear) + 1)
        at[:, gears] = np.sign(at[:, gears]) * whole / doubts.lowest_gear
    return Draws(doubts, keys, at[:, [_ORDER.index(key) for key in keys]])
