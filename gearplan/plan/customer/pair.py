"""What the customer asks, and both sets with all that is known of them: how each pulls, turns and how fast it goes.

What is said of the fitted set follows from it alone, so that it stays as it is while the proposed set is changed.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from gearplan.bike.profile import Bike
from gearplan.bike.text.units import RPM
from gearplan.drive.motion.thrust import thrust
from gearplan.plan.choices.wishes import TOP_GEAR
from gearplan.plan.customer.words import engine_figure, top_figure
from gearplan.plan.driveset import DriveSet, fitted
from gearplan.plan.findings import Finding
from gearplan.plan.pull.doubts import top_speed_doubt
from gearplan.plan.pull.pull import Pull, pull
from gearplan.plan.pull.table import holding_gear
from gearplan.plan.set.compare import engine_speeds
from gearplan.plan.set.doubts import speed_share
from gearplan.plan.set.evaluate import SetResult, fitted_and
from gearplan.plan.words import Figure, Speed

#: A torque curve's points may stand so far off in engine speed: common practice, no source.
_CURVE_SHIFT = 0.03
_LEAST_PULL_DOUBT = 0.005


@dataclass(frozen=True, slots=True)
class Asked:
    """What the customer names: cruising speed, and the speed and gear in which the pull matters (None: top gear)."""

    cruise: Speed = Speed(120.0)
    pull_at: Speed = Speed(80.0)
    pull_gear: int = TOP_GEAR


@dataclass(frozen=True, slots=True)
class Cruising:
    """The highest gear (from 0) in which a speed is held, whether it is the last, and the engine speed in it."""

    gear: int
    last: bool
    rpm: float


@dataclass(frozen=True, slots=True)
class Pair:
    """Both sets. `lacking` is what a pull needs and the bike does not tell."""

    bike: Bike
    on: SetResult
    then: SetResult
    on_pull: Pull | None
    then_pull: Pull | None
    lacking: Finding | None

    @property
    def changed(self) -> bool:
        """Whether anything is different."""
        return self.on.set != self.then.set

    def gear(self, gear: int) -> int | None:
        """A gear from 0; None if the bike has none such."""
        count = len(self.then.overall_ratio or ())
        if not 0 <= gear <= count or not count:
            return None
        return count - 1 if gear == TOP_GEAR else gear - 1

    def forces(self, asked: Asked) -> tuple[float | None, float | None]:
        """Thrust (N) where the pull matters, fitted and proposed; None for one that is not known or has none there."""
        gear = self.gear(asked.pull_gear)
        found = [
            0.0 if one is None or gear is None else float(thrust(one.machine, gear, asked.pull_at.si))
            for one in (self.on_pull, self.then_pull)
        ]
        before, after = (force if force > 0 else None for force in found)
        return before, after

    def force_doubt(self, asked: Asked) -> float:
        """By how much the ratio of both thrusts may be off."""
        gear, forces = self.gear(asked.pull_gear), self.forces(asked)
        doubt = _LEAST_PULL_DOUBT
        if self.on_pull is None or self.then_pull is None or gear is None or None in forces:
            return doubt
        ratio = (forces[1] or 0.0) / (forces[0] or 1.0)
        for shift in (1 - _CURVE_SHIFT, 1 + _CURVE_SHIFT):
            moved = [
                float(
                    thrust(
                        replace(p.machine, engine=tuple(n * shift for n in p.machine.engine)), gear, asked.pull_at.si
                    )
                )
                for p in (self.on_pull, self.then_pull)
            ]
            if min(moved) > 0:
                doubt = max(doubt, abs(moved[1] / moved[0] - ratio))
        return doubt

    def cruising(self, speed: float) -> tuple[Cruising | None, Cruising | None]:
        """How the fitted and the proposed set hold a cruising speed (m/s); None where they do not, or nobody knows."""
        on = _cruising(self.on, self.on_pull, speed)
        return on, _cruising(self.then, self.then_pull, speed)

    def engine_now(self, speed: float) -> Figure | None:
        """How the fitted set's engine speed at a cruising speed (m/s) is said."""
        on, _ = self.cruising(speed)
        return None if on is None else engine_figure(on.rpm, speed_share(self.bike, self.on.set.tyre, speed))

    def top_now(self, unit: str) -> Figure | None:
        """How the fitted set's top speed is said in a unit."""
        if self.on_pull is None or self.on_pull.top is None:
            return None
        return top_figure(self.on_pull.top.speed, top_doubt(self.bike, self.on.set), unit)


def pair_of(bike: Bike, proposed: DriveSet) -> Pair:
    """The fitted set and a proposed one."""
    on, then = fitted_and(bike, proposed)
    pulls = [pull(bike, one) for one in (fitted(bike), proposed)]
    known = [None if isinstance(one, Finding) else one for one in pulls]
    return Pair(bike, on, then, known[0], known[1], pulls[1] if isinstance(pulls[1], Finding) else None)


def top_doubt(bike: Bike, chosen: DriveSet) -> float:
    """By how much a set's top speed (m/s) may be off."""
    found = top_speed_doubt(bike, chosen)
    return 0.0 if found is None else found.half


def _cruising(result: SetResult, known: Pull | None, speed: float) -> Cruising | None:
    speeds = engine_speeds(result, speed)
    if not speeds:
        return None
    last = len(speeds) - 1
    # Without a pull the last gear is taken to hold it.
    gear = last if known is None else holding_gear(known, speed)
    return None if gear is None else Cruising(gear, gear == last, speeds[gear] / RPM)
