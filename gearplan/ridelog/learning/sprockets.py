"""Which sprockets, tyre and error of the speed are likely, given the ratio that was ridden. Pure; SI inside.

Gears tell k = i_g·(r/f)·2π/(U·c): sprockets r/f, rolling circumference U and c, the recorded over the true speed, only
together. Beforehand U is known as far as the profile knows it and c as far as the speed's source does; every set of
sprockets is then as likely as people fit it and as it needs a tyre and a speed that can be (Bayes' rule over all
cases). What is told of U and c is told over all sets and for each.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from gearplan.bike.profile import Bike, with_value
from gearplan.bike.text.units import MM
from gearplan.ridelog.learning.robust import quantiles
from gearplan.ridelog.log import Floats
from gearplan.setup import assumed
from gearplan.setup.ratios import rolling

#: How far (one standard deviation, relative) a circumference may be from the profile's, with the chance of each: most
#: are as good as their source, some belong to another tyre, a worn one or another pressure. Common experience, no
#: source.
_DOUBT = {
    "measured": ((0.85, 0.01), (0.15, 0.025)),
    "size": ((0.85, 0.018), (0.15, 0.04)),
    "none": ((1.0, 0.12),),
}
#: A recorded speed that nothing checks is true (the logger was set to the wheel) or what the instrument shows: (chance,
#: relative error, one standard deviation of it). Common experience, no source; of an instrument that nobody has
#: compared, the rule (UN Regulation 39: never low, at most a tenth and 4 km/h high) leaves some per cent.
_TRUE = (0.6, 0.0, 0.002)
_AS_PROFILE_CHANCE, _AS_PROFILE_ERROR = 0.4, 0.009
_BY_RULE = (0.4, 0.04, 0.025)
#: The chance that a speed without satellites is the output shaft's, where the profile says that it is sensed there.
_BY_SHAFT = 0.2
#: Chances that people fit another set, for each tooth away from the profile's; with these two in five keep the
#: profile's: common practice, no source.
_STAYS, _CHANGED, _FRONT_FALLS, _REAR_FALLS = 1.7, 0.16, 0.6, 0.7
_FRONTS, _REARS = 3, 9
#: A set that is told has at least this likelihood; at most so many are.
_TOLD, _MOST = 0.01, 6
_BEYOND = 6.0


@dataclass(frozen=True, slots=True)
class Range:
    """A value with its 95 % interval."""

    value: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Teeth:
    """A set of sprockets and how likely it is the one that was ridden.

    `circumference` (m) is how far the tyre rolls a turn, `indicated` the recorded over the true speed (1 by
    satellites), if this set is fitted.
    """

    front: int
    rear: int
    likelihood: float
    rolled: Range
    indicated: Range

    @property
    def circumference(self) -> float:
        """How far the tyre rolls a turn (m)."""
        return self.rolled.value

    def applied(self, bike: Bike) -> Bike:
        """The profile with this set fitted."""
        return replace(bike, final_drive=replace(bike.final_drive, front=self.front, rear=self.rear))


@dataclass(frozen=True, slots=True)
class Rolled:
    """How far the rear tyre rolls in a turn (m): with the most likely sprockets, and between what over all sets."""

    circumference: float
    low: float
    high: float
    profile: float | None
    profile_from: str

    def applied(self, bike: Bike) -> Bike:
        """The profile with the circumference as measured."""
        return with_circumference(bike, self.circumference)


def with_circumference(bike: Bike, circumference: float) -> Bike:
    """The profile with a rolling circumference (m)."""
    return with_value(bike, "tyre", "rolling_circumference_mm", round(circumference / MM, 1))


@dataclass(frozen=True, slots=True)
class Fitted:
    """What was likely ridden: the sets, the likeliest first, and tyre, speed and final ratio over all sets.

    `gearing` says how likely each of the ways is to take the ridden ratios for gears.
    """

    teeth: tuple[Teeth, ...]
    rolled: Rolled
    indicated: Range
    final: Range
    gearing: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Ridden:
    """One way to take the ridden ratios for gears: the final ratio over (circumference times recorded over true speed).

    `error` is relative; `chance` says how well the ratios fit these gears, not to scale.
    """

    quotient: float
    error: float
    chance: float = 1.0


def profile_circumference(bike: Bike) -> tuple[float | None, str]:
    """The profile's rolling circumference (m) and how well it is known: "measured", "size" or "none"."""
    found = rolling(bike)
    if found is None:
        return None, "none"
    return found.circumference, "measured" if found.by == "measured" else "size"


def likely(
    bike: Bike, ways: Sequence[Ridden], *, by_satellite: bool, counted: tuple[int, int] | None = None
) -> Fitted | None:
    """Sets of sprockets by likelihood, with what each and what all together say; None if no set can be.

    `by_satellite` says that the speed is true; `counted` is a set that a person has counted: then there is no other.
    """
    about, source = profile_circumference(bike)
    expected = math.log(assumed.circumference().value * MM if about is None else about)
    sets = _sets(bike, counted)
    ratio = np.log(np.array([r / f for _, f, r in sets]))
    parts = [part for way in ways for part in _parts(bike, way, ratio, expected, source, by_satellite=by_satellite)]
    logs = np.log(np.array([chance for chance, _, _ in sets])) + np.array([part.fits for part in parts])
    best = np.unravel_index(int(np.argmax(logs)), logs.shape)
    if parts[int(best[0])].beyond[int(best[1])] > _BEYOND:
        return None
    chances = np.exp(logs - logs[best])
    chances /= chances.sum()
    of_set = chances.sum(0)
    tyres, speeds = (
        (np.array([getattr(part, name)[0] for part in parts]), np.array([getattr(part, name)[1] for part in parts]))
        for name in ("tyre", "speed")
    )
    told = [int(i) for i in np.argsort(-of_set, kind="stable") if of_set[i] >= _TOLD][:_MOST]
    if not told:
        return None
    teeth = tuple(
        Teeth(
            sets[i][1],
            sets[i][2],
            float(of_set[i]),
            _range(chances[:, i], tyres[0][:, i], tyres[1][:, i]),
            _range(chances[:, i], speeds[0][:, i], speeds[1][:, i]),
        )
        for i in told
    )
    first = teeth[0]
    rolled, speed = _range(chances, *tyres), _range(chances, *speeds)
    final = _range(of_set, ratio, np.full(len(ratio), 1e-6))
    each = chances.sum(1).reshape(len(ways), -1).sum(1)
    return Fitted(
        teeth,
        Rolled(first.circumference, rolled.low, rolled.high, about, source),
        replace(speed, value=first.indicated.value),
        replace(final, value=first.rear / first.front),
        tuple(each.tolist()),
    )


def _range(chances: Floats, means: Floats, errors: Floats) -> Range:
    """The median and the 95 % interval of what cases say whose logarithms are normal."""
    low, middle, high = quantiles(chances.ravel(), means.ravel(), errors.ravel(), (0.025, 0.5, 0.975))
    return Range(math.exp(middle), math.exp(low), math.exp(high))


@dataclass(frozen=True, slots=True)
class _Part:
    """One case of tyre and speed for all sets: how well each fits (log), how far off it is (in standard deviations),
    and mean and error of log U and log c."""

    fits: Floats
    beyond: Floats
    tyre: tuple[Floats, Floats]
    speed: tuple[Floats, Floats]


def _parts(
    bike: Bike, way: Ridden, ratio: Floats, expected: float, source: str, *, by_satellite: bool
) -> Iterator[_Part]:
    """Every case of tyre and speed for one way to take the ridden ratios."""
    asked = ratio - math.log(way.quotient)
    shaft = None if by_satellite else _shaft(bike, way, expected)
    for tyre_chance, tyre in _DOUBT[source]:
        for chance, mean, error in _calibrations(bike, by_satellite=by_satellite):
            yield _of_speed(asked, expected, tyre, mean, error, way.error, way.chance * tyre_chance * chance)
        if shaft is not None:
            yield _of_shaft(ratio, shaft, expected, tyre, way.error, way.chance * tyre_chance * _BY_SHAFT)


def _of_speed(
    asked: Floats, expected: float, tyre: float, mean: float, error: float, ridden: float, chance: float
) -> _Part:
    """The sets, where the recorded speed is so much over the true one: normal beforehand, so normal thereafter."""
    variance = tyre**2 + error**2 + ridden**2
    off = asked - expected - mean
    even = np.ones(len(asked))
    return _Part(
        math.log(chance) - 0.5 * off**2 / variance - 0.5 * math.log(variance),
        np.abs(off) / math.sqrt(variance),
        (expected + tyre**2 / variance * off, even * math.sqrt(tyre**2 * (error**2 + ridden**2) / variance)),
        (mean + error**2 / variance * off, even * math.sqrt(error**2 * (tyre**2 + ridden**2) / variance)),
    )


def _of_shaft(
    ratio: Floats, shaft: tuple[float, float, float], expected: float, tyre: float, ridden: float, chance: float
) -> _Part:
    """The sets, where the recorded speed is the output shaft's, set for the profile's set: all fit alike."""
    off, shown, was = shaft
    variance = _AS_PROFILE_ERROR**2 + ridden**2
    even = np.ones(len(ratio))
    return _Part(
        even * (math.log(chance) - 0.5 * off**2 / variance - 0.5 * math.log(variance)),
        even * abs(off) / math.sqrt(variance),
        (even * expected, even * tyre),
        (shown + ratio - was, even * math.hypot(tyre, _AS_PROFILE_ERROR)),
    )


def _shaft(bike: Bike, way: Ridden, expected: float) -> tuple[float, float, float] | None:
    """How far the ride is off the output shaft's own speed, what that shows, and the log of the profile's ratio."""
    on, speedometer = bike.final_drive, bike.speedometer
    if speedometer.sensor != "output shaft" or on.front is None or on.rear is None:
        return None
    was, shown = math.log(on.rear / on.front), math.log(speedometer.indicated_over_true or 1.0)
    return was - math.log(way.quotient) - expected - shown, shown, was


def _calibrations(bike: Bike, *, by_satellite: bool) -> tuple[tuple[float, float, float], ...]:
    """What the recorded speed may be over the true one: (chance, log of it, error)."""
    if by_satellite:
        return ((1.0, 0.0, 0.0),)
    shown = bike.speedometer.indicated_over_true
    if shown is None:
        return (_TRUE, _BY_RULE)
    return (_TRUE, (_AS_PROFILE_CHANCE, math.log(shown), _AS_PROFILE_ERROR))


def _sets(bike: Bike, counted: tuple[int, int] | None) -> list[tuple[float, int, int]]:
    """The sets that can be fitted, each with how often people do so (not to scale), front and rear."""
    if counted is not None:
        return [(1.0, *counted)]
    on = bike.final_drive
    if on.front is None or on.rear is None:
        return [(1.0, f, r) for f in range(11, 19) for r in range(32, 58)]
    front, rear = on.front, on.rear
    return [
        (_changed(f - front, r - rear), f, r)
        for f in range(max(9, front - _FRONTS), front + _FRONTS + 1)
        for r in range(max(20, rear - _REARS), rear + _REARS + 1)
    ]


def _changed(front: int, rear: int) -> float:
    """How often people fit so many teeth more or fewer than the profile has."""
    return _STAYS if front == rear == 0 else _CHANGED * _FRONT_FALLS ** abs(front) * _REAR_FALLS ** abs(rear)
