"""What the gearing does to thrust, top speed and acceleration, for one set. SI."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from gearplan.bike.profile import Bike
from gearplan.drive import gearing
from gearplan.drive.motion import sprint as sprints
from gearplan.drive.motion import thrust as thrusts
from gearplan.drive.motion.roadload import Road
from gearplan.drive.motion.thrust import Machine, TopSpeed
from gearplan.language import tr
from gearplan.plan.driveset import DriveSet
from gearplan.plan.findings import Finding, missing
from gearplan.plan.set.evaluate import evaluate
from gearplan.plan.set.speedometer import speedometer_factor
from gearplan.setup import assumed
from gearplan.setup.assumed import Assumed
from gearplan.setup.limits import TyreLimits
from gearplan.setup.machine import Basis, basis, machine

_ABOUT = "pull"


@dataclass(frozen=True, slots=True)
class Pull:
    """One set's pull. `assumed` is what was taken for missing entries; `shift_engine` is in rad/s.

    `limits` are what the machine's lift and grip were worked out from, the axle `moved` back (m); None where the
    figures for them are missing.
    """

    machine: Machine
    road: Road
    shift_speeds: tuple[float, ...]
    shift_engine: tuple[float, ...]
    top: TopSpeed | None
    run: sprints.Sprint
    assumed: tuple[Assumed, ...]
    limits: TyreLimits | None = None
    moved: float = 0.0

    def roll_on(self, gear: int, start: float, end: float) -> float | None:
        """Seconds from one speed to another in a gear (from 0), full throttle."""
        return _roll_on(self.machine, self.road, gear, start, end)

    def between(self, start: float, end: float) -> float | None:
        """Seconds from one speed to another through the gears, part of the run from standstill."""
        first, last = self.run.time_to_speed(start), self.run.time_to_speed(end)
        return None if first is None or last is None else last - first


@lru_cache(maxsize=256)
def _roll_on(machine: Machine, road: Road, gear: int, start: float, end: float) -> float | None:
    """Kept: each step of a slider asks for those of the fitted set again."""
    return sprints.roll_on(machine, road, gear, start, end)


def lacking(bike: Bike, chosen: DriveSet) -> list[tuple[str, str]]:
    """What of the profile has to be entered before anything moves, as (section.key, label); nothing where all is."""
    result, on = evaluate(bike, chosen), basis(bike)
    found = [] if isinstance(on, Basis) else list(on)
    wanted = (
        ("tyre.size", tr("the tyre's size"), result.rolling_radius),
        ("gearbox.gears", tr("the ratios"), result.overall_ratio),
    )
    return found + [(path, label) for path, label, given in wanted if given is None]


@lru_cache(maxsize=64)
def pull(bike: Bike, chosen: DriveSet, slope: float = 0.0, wind: float = 0.0) -> Pull | Finding:
    """The pull of a set on a slope (rad) against a wind (m/s); or the finding that names what is missing."""
    result, on = evaluate(bike, chosen), basis(bike)
    radius, overall = result.rolling_radius, result.overall_ratio
    if not isinstance(on, Basis) or radius is None or overall is None:
        return missing(_ABOUT, tr("The pull"), lacking(bike, chosen), aside=True)
    one, road = machine(on, overall, radius, result.run.moved, slope), on.road(slope, wind)
    shifts = thrusts.shift_speeds(one, road)
    return Pull(
        machine=one,
        road=road,
        shift_speeds=shifts,
        shift_engine=shift_engine(one, shifts),
        top=thrusts.top_speed(one, road),
        run=sprints.sprint(one, road, shifts),
        assumed=on.assumed,
        limits=on.limits,
        moved=result.run.moved,
    )


def shift_engine(one: Machine, shifts: tuple[float, ...]) -> tuple[float, ...]:
    """Engine speed (rad/s) at the road speed (m/s) of each up-shift."""
    found = gearing.engine_speed(np.array(shifts), np.array(one.overall[: len(shifts)]), one.radius, one.growth)
    return tuple(np.asarray(found).tolist())


def counter_factor(bike: Bike, chosen: DriveSet) -> float | None:
    """Counted over true distance with a set fitted: the counter sees what the speedometer sees.

    None while sensor or ratios are not entered. The counter is right as fitted unless its own error is entered.
    """
    s = bike.speedometer
    right = assumed.known(bike, "speedometer", "distance_over_true").value
    if s.sensor is None:
        return None
    as_one = replace(bike, speedometer=replace(s, indicated_over_true=1.0))
    moved = speedometer_factor(as_one, chosen)
    return None if moved is None else right * moved
