"""Random circuits ridden by random machines, as many as asked for: `python -m tests.drive.lap.anycircuit 100000`.

Prints each circuit with a lap that cannot be, then how many there were. The suite rides some hundreds of them.
"""

from __future__ import annotations

import argparse
import math
from dataclasses import replace

import numpy as np
from numpy.random import Generator

from gearplan.bike.circuit import Circuit, Section, refusal
from gearplan.bike.text.units import DEGREE
from gearplan.drive.lap import lap
from gearplan.drive.lap.rules import UPRIGHT, LapRules
from gearplan.drive.motion.machines import Machines
from tests.drive.randommachines import as_many, some_machine, some_road, with_ratio

#: Nobody goes slower than this (m/s).
_LEAST_SPEED = 0.5
_SETS = 12
_MARCHED = 0.08


def some_circuit(rng: Generator, *, held: bool) -> Circuit:
    """One to six sections: straights alone, or with corners that few or all motorcycles take at their apex speed.

    `held`: in some sections the gear is held.
    """
    corners = float(rng.choice([0.0, 0.0, 0.4]))
    drawn = (_corner(rng) if rng.random() < corners else _straight(rng) for _ in range(rng.integers(1, 7)))
    return Circuit("", tuple(replace(s, hold_gear=held and bool(rng.random() < 0.2)) for s in drawn))


def _gradient(rng: Generator, most: float) -> float:
    return float(rng.choice([0.0, rng.uniform(-most, most), rng.uniform(-most / 8, most / 8)]))


def _straight(rng: Generator) -> Section:
    return Section(
        "straight",
        float(np.exp(rng.uniform(math.log(0.2), math.log(4000)))),
        gradient_percent=_gradient(rng, 40),
    )


def _corner(rng: Generator) -> Section:
    side = rng.random()
    return Section(
        "corner",
        float(np.exp(rng.uniform(math.log(0.2), math.log(400)))),
        gradient_percent=_gradient(rng, 20),
        apex_kmh=float(rng.uniform(3, 400)) if rng.random() < 0.5 else None,
        radius_m=float(np.exp(rng.uniform(math.log(2), math.log(2000)))),
        grip=float(rng.uniform(0.1, 3)) if side < 0.3 else None,
        lean_deg=float(rng.uniform(1, 70)) if side > 0.7 else None,
        lowest_gear=int(rng.integers(1, 9)) if rng.random() < 0.2 else None,
    )


def some_sets(rng: Generator) -> Machines:
    """Some sets of a random machine."""
    one = some_machine(rng, growth=float(rng.choice([0.0, 0.0, 5e-6, 1e-3])))
    if rng.random() < 0.3:
        one = replace(one, torque=tuple(t * float(rng.uniform(0.02, 0.5)) for t in one.torque))
    made = as_many([with_ratio(one, float(part)) for part in rng.uniform(0.7, 1.4, _SETS)], some_road(rng, one))
    return replace(
        made,
        crown=np.full(made.count, float(rng.choice([0.0, 0.09, 0.3]))),
        shift_time=float(rng.choice([made.shift_time, 3.0], p=[0.9, 0.1])),
        friction=float(rng.uniform(0.2, 2)),
        braking=float(rng.choice([0.5, 6.0, 9.0, 25.0])),
    )


def some_rules(rng: Generator, *, leans: bool) -> LapRules:
    """Upright or leaned, in the usual way or another."""
    wind = float(rng.choice([0.0, rng.uniform(-20, 20)]))
    if not leans:
        return replace(UPRIGHT, wind=wind)
    return LapRules(
        wind=wind,
        share_grip=bool(rng.random() < 0.7),
        lean=bool(rng.random() < 0.7),
        no_shift_beyond=float(rng.choice([math.inf, 0.0, 20 * DEGREE])),
        apex_engine_min=float(rng.choice([0.0, 700.0])),
        stand_up=float(rng.choice([10.0, 60.0])) * DEGREE,
    )


def wrong(seed: int) -> str:
    """What cannot be about the laps of one random circuit; empty where nothing is."""
    rng = np.random.default_rng(seed)
    # Leaned or in a held gear a lap is marched, which takes ten times as long.
    marched = rng.random() < _MARCHED
    made, circuit, rules = some_sets(rng), some_circuit(rng, held=marched), some_rules(rng, leans=marched)
    if refusal(circuit):
        return ""
    laps = lap.lap_times(made, circuit, rules)
    length = np.array([s.length_m for s in circuit.sections])[:, None]
    fastest = made.limit_speed.max(axis=1)
    told = {
        "not finite": ~np.isfinite(laps.section_time),
        "quicker than the gears go": laps.section_time < length / fastest * (1 - 1e-6),
        "slower than a walk": laps.section_time > length / _LEAST_SPEED * (1 + 1e-6),
        "a peak beyond the gears": laps.peak > fastest * (1 + 1e-6),
        "refused": np.broadcast_to(np.isnan(laps.time), laps.section_time.shape),
        "longer at the limiter than in the section": laps.limiter > laps.section_time * (1 + 1e-6) + 1e-9,
        "no speed": ~(laps.speed > 0),
        "fewer than no shifts": laps.shifts < 0,
    }
    found = {name: np.argwhere(where) for name, where in told.items() if where.any()}
    return "; ".join(f"{name} in section, set {where[:3].tolist()}" for name, where in found.items())


def main() -> None:
    """Ride the circuits asked for."""
    asked = argparse.ArgumentParser(prog="python -m tests.drive.lap.anycircuit", description=__doc__)
    asked.add_argument("circuits", type=int)
    asked.add_argument("--first", type=int, default=0, help="the first seed")
    given = asked.parse_args()
    # Some circuits of a few metres never bring a lap that ends as it began: no more of it than shows a fault.
    lap._MOST_ROUNDS = 10
    count = 0
    for seed in range(given.first, given.first + given.circuits):
        if told := wrong(seed):
            count += 1
            print(f"{seed}: {told}", flush=True)
    print(f"{count} of {given.circuits} circuits with a lap that cannot be", flush=True)


if __name__ == "__main__":
    main()
