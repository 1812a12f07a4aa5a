"""The loop from a lap to its circuit and back, over many laps of an outside generator.

`python -m tests.ridelog.laps.ownlaps 200` prints it.
Lines of 6 to 12 turns, ridden with drag, mass, braking and grip of their own; the circuit is cut from the log, the lap
computed on it with the profile's values and fitted. The truth of the braking is what the rider's deceleration is on
average while it is more than 0.6 of its most: while it leans in, a tyre leaves less.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass, replace
from multiprocessing import Pool

import numpy as np
from scipy.signal import find_peaks

from gearplan.bike.demo import demo_bike
from gearplan.plan.findings import Finding
from gearplan.plan.laps.sets import fitted_machines
from gearplan.ridelog.laps.laps import find_laps
from gearplan.ridelog.laps.modelcheck import fit_model
from gearplan.ridelog.laps.tocircuit import circuit_of
from gearplan.ridelog.log import RideLog
from tests.ridelog.circling import Course, Ridden, as_profile, recorded, ridden, ring

NAMES = ("drag area", "mass", "braking", "grip")


@dataclass(frozen=True)
class Closed:
    """What a lap came to: computed over recorded, less one, before and after the fit; fitted over true, and whether
    the truth lies in the range, of each value; corners cut, and turns of the line that slow the rider."""

    before: float
    after: float
    quotients: tuple[float, ...]
    inside: tuple[bool, ...]
    corners: int
    turns: int


def drawn(seed: int, laps: int = 3) -> tuple[RideLog, Ridden, Course, int]:
    """The laps of a number: log, truth, course, and how many turns of the line slow the rider."""
    bike = demo_bike("Brindle 650").bike
    rng = np.random.default_rng([seed, 7])
    own = as_profile(bike)
    true = replace(
        own,
        braking=float(rng.uniform(4.5, 8.5)),
        lateral=float(rng.uniform(0.85, 1.25)),
        drag=own.drag * float(np.exp(rng.normal(0, 0.15))),
        mass=own.mass * float(np.exp(rng.normal(0, 0.04))),
    )
    turns = int(rng.integers(6, 13))
    course = ridden(bike, true, ring(rng, float(rng.uniform(1800, 4500)), turns), laps, rng, 0.004)
    return recorded(course, true, rng), true, course, _slowing(course)


def _slowing(course: Course) -> int:
    """Places of a lap where the speed is lowest, by scipy's own measure of how much lower than on both sides."""
    inside = (course.time >= course.laps[1]) & (course.time < course.laps[2])
    speed = course.speed[inside]
    start = int(np.argmax(speed))
    turned = np.append(np.roll(speed, -start), speed[start])
    return len(find_peaks(-turned, prominence=max(2.0, 0.06 * float(np.median(speed))))[0])


def closed(seed: int) -> Closed:
    """The loop of a number."""
    log, true, course, turns = drawn(seed)
    laps = find_laps(log)
    assert laps.best is not None
    cut = circuit_of(log, laps, laps.best, "own")
    made = fitted_machines(demo_bike("Brindle 650").bike)
    assert not isinstance(made, Finding)
    fit = fit_model(made, cut)
    slows = np.gradient(course.speed, 0.02)
    brakes = slows < -0.6 * true.braking
    braking = -float(np.sum(slows[brakes] * course.speed[brakes]) / np.sum(course.speed[brakes]))
    truths = (true.drag, true.mass, braking, true.lateral)
    return Closed(
        fit.before.off,
        fit.after.off,
        tuple(one.value / truth for one, truth in zip(fit.values, truths, strict=True)),
        tuple(one.low <= truth <= one.high for one, truth in zip(fit.values, truths, strict=True)),
        len(cut.apexes),
        turns,
    )


def main(count: int) -> None:
    """Print how the loops close."""
    with Pool() as pool:
        found = pool.map(closed, range(count), chunksize=2)
    off = np.array([one.after for one in found])
    print(
        f"{count} laps: computed against recorded, before {np.abs([f.before for f in found]).max():.2%} at most, after "
        f"{np.abs(off).max():.2%} at most, {np.sqrt(np.mean(off**2)):.2%} root mean square"
    )
    for k, name in enumerate(NAMES):
        quotients = np.array([one.quotients[k] for one in found])
        print(
            f"{name}: truth in the range {np.mean([one.inside[k] for one in found]):.1%}, fitted over true "
            f"{np.median(quotients):.3f} in the middle, {np.log(quotients).std():.3f} apart"
        )
    same = sum(one.corners == one.turns for one in found)
    print(
        f"corners as many as lowest speeds: {same}; one off: {sum(abs(one.corners - one.turns) == 1 for one in found)}"
    )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 200)
