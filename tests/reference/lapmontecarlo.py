"""A Monte Carlo over what is in doubt about a lap: other random numbers, one bike and circuit a draw, a plain loop.

Nothing here is shared with how the program draws and leaves out laps, but the ranges and the lap of a set itself.
`python -m tests.reference.lapmontecarlo 100` does it for ten bikes on five circuits and prints what is found;
`--seed N` takes other random numbers, `--only WORDS` the cases in whose name each of the words stands.
"""

from __future__ import annotations

import argparse
import math
import time
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from gearplan.bike import library
from gearplan.bike.circuit import Circuit, Section
from gearplan.bike.demo import demo_bike
from gearplan.bike.files.circuitfile import demo_circuit
from gearplan.bike.profile import Bike, value, with_value
from gearplan.plan.choices.space import Space, default_space
from gearplan.plan.laps.draws import Doubts, usual_doubts
from gearplan.plan.laps.ranking import LapRanking, rank_laps
from gearplan.plan.laps.spread import plateau
from gearplan.setup import assumed, riding

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Held:
    """What came of one bike on one circuit: `share` of the draws in which a set that is not tied beats the one to take,
    at most, and that set; `inside` the share of draws in which the advised lap lies in its range; `loss` what it loses
    at its worst twentieth, `told` what the advice says of that."""

    share: float
    which: str
    inside: float
    loss: float
    told: float
    tied: int
    sets: int


def laps_of_a_draw(bike: Bike, circuit: Circuit, space: Space, doubts: Doubts, at: Floats) -> Floats:
    """Every set's lap with each doubt somewhere in its range, −1 to 1."""
    grip, wind, mass, shift_time, braking, apex = at

    def known(section: str, key: str) -> float:
        return assumed.known(bike, section, key).value

    part = 1 + doubts.grip * grip
    changed = with_value(bike, "load", "bike_kg", float(value(bike, "load", "bike_kg")) + doubts.mass_kg * mass)
    changed = with_value(changed, "tyre", "grip", known("tyre", "grip") * part)
    changed = with_value(
        changed, "load", "braking_mps2", known("load", "braking_mps2") * (1 + doubts.braking * braking)
    )
    later = known("engine", "shift_time_s") + doubts.shift_time_s * shift_time
    changed = with_value(changed, "engine", "shift_time_s", later)
    sections = []
    for s in circuit.sections:
        lean = s.lean_deg and math.degrees(math.atan(part * math.tan(math.radians(s.lean_deg))))
        apex_kmh = s.apex_kmh and s.apex_kmh * (1 + doubts.apex * apex)
        sections.append(replace(s, lean_deg=lean, grip=s.grip and s.grip * part, apex_kmh=apex_kmh))
    rules = riding.rules(changed, circuit.rider, wind=doubts.wind_mps * wind)
    found = rank_laps(changed, replace(circuit, sections=tuple(sections)), space, rules)
    assert isinstance(found, LapRanking)
    return found.time[: found.sets.ranked]


def held(bike: Bike, circuit: Circuit, space: Space, draws: int, seed: int) -> Held:
    """Ride every set in so many draws."""
    ranking = rank_laps(bike, circuit, space)
    assert isinstance(ranking, LapRanking)
    tied = plateau(ranking)
    assert tied is not None
    random, doubts = np.random.default_rng(seed), usual_doubts(bike)
    laps = np.array([laps_of_a_draw(bike, circuit, space, doubts, random.uniform(-1, 1, 6)) for _ in range(draws)])
    beats = (laps < laps[:, [tied.chosen]]).mean(axis=0)
    beats[tied.tied] = 0.0
    worst = int(beats.argmax())
    assert tied.range is not None
    low, high = tied.range.lap
    own = laps[:, tied.chosen]
    named = f"{ranking.sets.front[worst]}/{ranking.sets.rear[worst]}"
    return Held(
        float(beats[worst]),
        named,
        float(((own >= low) & (own <= high)).mean()),
        float(np.quantile(own - laps.min(axis=1), 0.95)),
        tied.loss,
        len(tied.tied),
        ranking.sets.ranked,
    )


def bikes() -> Iterator[tuple[str, Bike]]:
    """The demo bikes and others like them: weaker, stronger, heavier, geared otherwise, with less known."""
    for name in library.demo_bikes():
        yield name, demo_bike(name).bike
    wren, brindle, corvid = (demo_bike(name).bike for name in ("Wren 125", "Brindle 650", "Corvid 1000"))
    yield "weak 125", _times(wren, "engine", "torque", 0.85)
    yield "strong 125", _times(wren, "engine", "torque", 1.5)
    yield "heavy 650", with_value(brindle, "load", "bike_kg", 240.0)
    yield "650 without inertia", with_value(brindle, "engine", "inertia_kg_m2", None)
    yield "five gears", with_value(brindle, "gearbox", "gears", (brindle.gearbox.gears or ())[:5])
    yield "mild 1000", _times(corvid, "engine", "torque", 0.7)
    yield "slow shifts", with_value(corvid, "engine", "shift_time_s", 0.3)


def circuits() -> Iterator[Circuit]:
    """The demo circuits and two others: short by radius, and long by lean."""
    for name in library.demo_circuits():
        yield demo_circuit(name).circuit
    yield Circuit(
        "short, by radius",
        tuple(
            part
            for length, radius, turn in ((160, 22, 90), (90, 18, 80), (250, 35, -60), (120, 28, 110), (70, 40, 140))
            for part in (
                Section("straight", float(length)),
                Section("corner", radius * math.radians(abs(turn)), radius_m=float(radius), turn_deg=float(turn)),
            )
        ),
    )
    yield Circuit(
        "long, by lean",
        tuple(
            part
            for length, radius, lean in ((900, 60, 46), (400, 90, 44), (650, 35, 48), (300, 120, 42), (1000, 45, 47))
            for part in (
                Section("straight", float(length)),
                Section("corner", 1.2 * radius, radius_m=float(radius), lean_deg=float(lean), turn_deg=72.0),
            )
        ),
    )


def _times(bike: Bike, section: str, key: str, factor: float) -> Bike:
    return with_value(bike, section, key, tuple((n, factor * t) for n, t in value(bike, section, key)))


def main(draws: int, seed: int, only: list[str]) -> None:
    """Print each case, and how many are beyond one in twenty."""
    found: list[Held] = []
    for name, bike in bikes():
        for place, circuit in enumerate(circuits()):
            case = f"{name}, {circuit.name}"
            if not all(word in case for word in only):
                continue
            begun = time.process_time()
            one = held(bike, circuit, default_space(bike), draws, seed + place)
            found.append(one)
            print(
                f"{case}: {100 * one.share:.1f} % ({one.which}); {one.tied} of {one.sets} tied; loss {one.loss:.2f} s, "
                f"told {one.told:.2f} s; lap in its range in {100 * one.inside:.0f} %; "
                f"{time.process_time() - begun:.1f} s{'  <<<' if one.share > 0.05 else ''}",
                flush=True,
            )
    beyond = sum(one.share > 0.05 for one in found)
    print(f"{len(found)} cases of {draws} draws: {beyond} beyond 5 %, worst {100 * max(h.share for h in found):.1f} %")
    inside = [one.inside for one in found]
    print(
        f"The advised lap lies in its range in {100 * np.mean(inside):.1f} % of all draws, at least {min(inside):.2f}"
    )


if __name__ == "__main__":
    parser = argparse.ArgumentParser()
    parser.add_argument("draws", nargs="?", type=int, default=100)
    parser.add_argument("--seed", type=int, default=100)
    parser.add_argument("--only", nargs="*", default=[])
    asked = parser.parse_args()
    main(asked.draws, asked.seed, asked.only)
