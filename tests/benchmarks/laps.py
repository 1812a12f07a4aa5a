"""How the cost of a lap ranking grows with sets, metres, gears and slopes, and what gearboxes cost.

Every figure is also given as a multiple of a fixed piece of numpy work, so that the machine cancels out.
"""

from __future__ import annotations

import resource
import time
from collections.abc import Callable
from dataclasses import replace

import numpy as np

from gearplan.bike import library
from gearplan.bike.circuit import Circuit
from gearplan.bike.demo import demo_bike
from gearplan.bike.files.circuitfile import demo_circuit
from gearplan.bike.profile import Bike
from gearplan.drive.lap.lap import lap_times
from gearplan.drive.lap.rules import UPRIGHT, USUAL, LapRules
from gearplan.drive.lap.trace import lap_trace
from gearplan.drive.motion.machines import Machines
from gearplan.plan.choices.space import default_space
from gearplan.plan.findings import Finding
from gearplan.plan.laps.ranking import LapRanking, rank_laps
from gearplan.plan.laps.search import search
from gearplan.plan.laps.sets import lap_sets, machines
from gearplan.plan.laps.spread import plateau

_ROUNDS = 7


def quickest(work: Callable[[], object], rounds: int = _ROUNDS) -> float:
    """Least milliseconds of processor time: what the work takes when nothing else runs."""
    times = []
    for _ in range(rounds):
        begun = time.process_time()
        work()
        times.append(1e3 * (time.process_time() - begun))
    return min(times)


def yardstick() -> float:
    """Milliseconds of sixty plain operations on 600 × 6 × 40 numbers."""
    numbers = np.linspace(1, 2, 600 * 6 * 40)

    def work() -> None:
        found = numbers
        for _ in range(60):
            found = found * numbers / (found + 1.0)

    return quickest(work)


def field(bike: Bike, fronts: tuple[int, int], rears: tuple[int, int]) -> Machines:
    sets = lap_sets(bike, default_space(bike, fronts=fronts, rears=rears))
    assert not isinstance(sets, Finding)
    return machines(sets)


def report() -> dict[str, float]:
    bike, circuit = demo_bike().bike, demo_circuit("Heronfleet").circuit
    made = field(bike, (11, 20), (30, 89))
    made = made.some(slice(0, 600))

    def laps(some: Machines, on: Circuit, rules: LapRules = UPRIGHT) -> float:
        return quickest(lambda: lap_times(replace(some), on, rules))

    found = {"yardstick, ms": yardstick()}
    for count in (75, 150, 300, 600):
        found[f"{count} sets x {circuit.length_m:.0f} m, upright, ms"] = laps(made.some(slice(0, count)), circuit)
    found["600 sets, leaned, grip shared, ms"] = laps(made, circuit, USUAL)
    for times in (2, 4):
        longer = replace(circuit, sections=tuple(replace(s, length_m=times * s.length_m) for s in circuit.sections))
        found[f"600 sets x {longer.length_m:.0f} m, the same sections, ms"] = laps(made, longer)
    twice = replace(circuit, sections=circuit.sections * 2)
    found[f"600 sets x {twice.length_m:.0f} m, twice the sections, ms"] = laps(made, twice)
    for gears in (2, 4, 6):
        fewer = replace(made, over_radius=made.over_radius[:, -gears:])
        found[f"600 sets, {gears} gears, ms"] = laps(fewer, circuit)
    for slopes in (1, 4, 7):
        hilly = tuple(replace(s, gradient_percent=float(k // 2 % slopes) - 2) for k, s in enumerate(circuit.sections))
        found[f"600 sets, {slopes} slopes, ms"] = laps(made, replace(circuit, sections=hilly))
    weak = field(demo_bike("Wren 125").bike, (12, 21), (30, 89)).some(slice(0, 600))
    found["600 sets that miss apex speeds, ms"] = laps(weak, circuit)
    found["trace of one set, ms"] = quickest(lambda: lap_trace(made.some(slice(0, 1)), circuit))
    space = default_space(bike, fronts=(13, 18), rears=(36, 52))
    ranking = rank_laps(bike, circuit, space)
    assert isinstance(ranking, LapRanking)
    found["ranking of 6 x 17 sets from the profile, ms"] = quickest(lambda: rank_laps(bike, circuit, space))
    for name in library.demo_bikes():
        rider = demo_bike(name).bike
        for place in library.demo_circuits():
            where, among = demo_circuit(place).circuit, default_space(rider)
            plain = quickest(lambda r=rider, w=where, a=among: rank_laps(r, w, a))  # type: ignore[misc]
            doubted = quickest(lambda r=rider, w=where, a=among: plateau(rank_laps(r, w, a)), 3)  # type: ignore[arg-type,misc]
            found[f"{name}, {place}: ranking, ms"] = plain
            found[f"{name}, {place}: ranking with what is in doubt, ms"] = doubted
            found[f"{name}, {place}: the one over the other"] = doubted / plain
    pairs = [gear for gear in bike.gearbox.gears or () if isinstance(gear, tuple)]
    options = tuple(((a or 0, b or 0), (a or 0, (b or 0) + 1), (a or 0, (b or 0) - 1)) for a, b in pairs)
    boxes = default_space(bike, fronts=(14, 17), rears=(38, 52))
    sets = lap_sets(bike, boxes, options)
    assert not isinstance(sets, Finding)
    for on in (1, 2):
        # Processor time; a helper's is known once it has ended.
        before, begun = resource.getrusage(resource.RUSAGE_CHILDREN), time.process_time()
        search(sets, circuit, USUAL, on=on)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        here = time.process_time() - begun
        helper = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
        found[f"{sets.count} sets with gearboxes on {on} cores, the busier one, s"] = max(here, helper)
    return found


if __name__ == "__main__":
    figures = report()
    unit = figures["yardstick, ms"]
    for label, figure in figures.items():
        multiple = figure * (1e3 if label.endswith(", s") else 1) / unit
        print(f"{label}\t{figure:.2f}\t{multiple:.1f} yardsticks")
