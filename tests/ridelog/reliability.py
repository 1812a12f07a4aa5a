"""Many rides of unlike generators: how often what is stated is so. `python -m tests.ridelog.reliability 500`.

Half of the rides are drawn by `invented`, half by `circling`: towns and roads without places, roads with lean and
places; and as many again are roads with lean of which nothing tells the lean, told by themselves. Tyres are 1 to 2 %
off the profile's, sets changed or not, speeds true or as an instrument shows them.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from multiprocessing import Pool

from scipy.stats import binom

from gearplan.bike.demo import demo_bike
from gearplan.bike.profile import Bike
from gearplan.ridelog.learning.gears import Gears
from gearplan.ridelog.log import RideLog
from gearplan.ridelog.telling.learned import learn
from gearplan.ridelog.telling.offers import offers
from tests.ridelog.circling import roamed
from tests.ridelog.invented import Truth, invent

BIKES = ("Corvid 1000", "Brindle 650")
BINS = (0.01, 0.05, 0.1, 0.2, 0.4, 0.6, 0.8, 1.0001)


@dataclass(frozen=True)
class Told:
    """What one ride tells beside what it was; `gears` is None where nothing was told, `takes` what it offers, `shown`
    the measured wheel's speed over the satellites'."""

    gears: Gears | None
    truth: Truth
    takes: tuple[str, ...] = ()
    shown: float | None = None

    @property
    def right(self) -> list[bool]:
        """Of each set that is told whether it is the one that was ridden."""
        sets = () if self.gears is None else self.gears.teeth
        return [(one.front, one.rear) == (self.truth.front, self.truth.rear) for one in sets]


def told(seed: int) -> Told:
    """The ride of a number."""
    bike = demo_bike(BIKES[seed // 2 % 2]).bike
    return _learned(bike, *(invent(bike, seed) if seed % 2 else roamed(bike, seed)))


def told_unplaced(seed: int) -> Told:
    """The ride of a number, a road with lean that nothing in the log tells."""
    bike = demo_bike(BIKES[seed // 2 % 2]).bike
    return _learned(bike, *roamed(bike, seed, unplaced=True))


def _learned(bike: Bike, log: RideLog, truth: Truth) -> Told:
    learned = learn(log, bike)
    shown = None if learned.speeds is None else learned.speeds.quotient
    return Told(learned.gears, truth, tuple(offer.label for offer in offers(learned, bike)), shown)


@dataclass(frozen=True)
class Held:
    """How many of how many ranges hold the truth: over all sets, of the right set, of the overall ratios."""

    all_sets: tuple[int, int]
    own: tuple[int, int]
    overall: tuple[int, int]


def held(rides: Sequence[Told]) -> Held:
    """What the rides' ranges hold."""
    every, own, overall = [], [], []
    for one in rides:
        if one.gears is None or one.gears.rolled is None:
            continue
        truth = one.truth
        every.append(one.gears.rolled.low <= truth.rolls <= one.gears.rolled.high)
        for teeth, right in zip(one.gears.teeth, one.right, strict=True):
            if right:
                own.append(teeth.rolled.low <= truth.rolls <= teeth.rolled.high)
        for gear in one.gears.gears:
            if gear.number is not None and gear.low is not None and gear.high is not None:
                overall.append(gear.low <= truth.box[gear.number - 1] * truth.rear / truth.front <= gear.high)
    return Held((sum(every), len(every)), (sum(own), len(own)), (sum(overall), len(overall)))


def table(rides: Sequence[Told]) -> list[tuple[float, float, int, float, int]]:
    """The reliability table: (from, to, sets stated so, their mean likelihood, those that were ridden)."""
    pairs = [
        (teeth.likelihood, right)
        for one in rides
        if one.gears is not None
        for teeth, right in zip(one.gears.teeth, one.right, strict=True)
    ]
    found = []
    for low, high in pairwise(BINS):
        inside = [(stated, right) for stated, right in pairs if low <= stated < high]
        mean = sum(stated for stated, _ in inside) / max(len(inside), 1)
        found.append((low, high, len(inside), mean, sum(right for _, right in inside)))
    return found


def surely(rides: Sequence[Told]) -> tuple[int, int, float]:
    """How many rides state a set with 80 % or more, how many of those are wrong, and how many were stated to be."""
    sure = [one for one in rides if one.gears is not None and one.gears.teeth and one.gears.teeth[0].likelihood >= 0.8]
    stated = sum(1 - one.gears.teeth[0].likelihood for one in sure if one.gears is not None)
    return len(sure), sum(not one.right[0] for one in sure), stated


def main(count: int) -> None:
    """Print what so many rides hold."""
    with Pool() as pool:
        rides = pool.map(told, range(count), chunksize=5)
        unplaced = pool.map(told_unplaced, range(count), chunksize=5)
    _print((("all", rides), ("roads with lean", rides[::2]), ("towns and roads", rides[1::2])))
    print()
    _print((("roads with lean that nothing tells", unplaced),))


def _print(named: Sequence[tuple[str, Sequence[Told]]]) -> None:
    rides = named[0][1]
    silent = sum(one.gears is None or not one.gears.teeth for one in rides)
    print(f"{len(rides)} rides, {silent} of which name no set")
    for name, some in named:
        of = held(some)
        print(
            f"{name}: truth in the range of the circumference {_share(*of.all_sets)}, of the right set's own "
            f"{_share(*of.own)}, of the overall ratio {_share(*of.overall)}"
        )
    print("stated       sets   mean   ridden   share")
    for low, high, sets, mean, right in table(rides):
        print(f"{low:4.2f}–{min(high, 1):4.2f}  {sets:7d}  {mean:5.3f}  {right:7d}   {right / max(sets, 1):5.3f}")
    sure, wrong, stated = surely(rides)
    most = int(binom.ppf(0.975, sure, stated / max(sure, 1)))
    print(f"stated with 80 % or more: {sure} rides, {wrong} wrong; {stated:.1f} stated to be, 95 % of draws ≤ {most}")


def _share(good: int, of: int) -> str:
    return f"{good} of {of} ({100 * good / max(of, 1):.1f} %)"


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 500)
