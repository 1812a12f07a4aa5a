"""What a person asks of pull, listed once: sprints, roll-ons, top speed, shifts, and the everyday side."""

from __future__ import annotations

import math
from dataclasses import dataclass

from gearplan.bike.profile import Bike
from gearplan.bike.units import KMH, MPH, RPM
from gearplan.drive import roadload
from gearplan.drive.thrust import thrust
from gearplan.plan.driveset import DriveSet
from gearplan.plan.evaluate import evaluate
from gearplan.plan.pull import Pull, speedometer_factor

QUARTER_MILE = 402.336


@dataclass(frozen=True, slots=True)
class PullRow:
    """One listed figure of the fitted and the proposed set, in the unit that `unit_name` names; `how` explains it."""

    name: str
    unit_name: str
    digits: int
    before: float | None
    after: float | None
    how: str = "sprint"


def sprint_rows(on: Pull | None, proposed: Pull | None) -> tuple[PullRow, ...]:
    """Timed accelerations from standstill, and top speed; None where a set does not get there."""
    sets = (on, proposed)

    def row(name: str, unit: str, digits: int, values: tuple[float | None, ...]) -> PullRow:
        return PullRow(name, unit, digits, values[0], values[1])

    found = [
        row(name, "s", 2, tuple(None if p is None else p.run.time_to_speed(speed) for p in sets))
        for name, speed in (
            ("0–50 km/h", 50 * KMH),
            ("0–100 km/h", 100 * KMH),
            ("0–60 mph", 60 * MPH),
            ("0–200 km/h", 200 * KMH),
        )
    ]
    for name, metres in (("400 m", 400.0), ("Quarter mile", QUARTER_MILE)):
        found.append(row(name, "s", 2, tuple(None if p is None else p.run.time_to_distance(metres) for p in sets)))
    found.append(row("60–100 km/h, through the gears", "s", 2, tuple(_between(p, 60 * KMH, 100 * KMH) for p in sets)))
    tops = tuple(None if p is None or p.top is None else p.top.speed / KMH for p in sets)
    found.append(PullRow("Top speed", "km/h", 0, tops[0], tops[1], "top"))
    return tuple(found)


def roll_on_rows(on: Pull | None, proposed: Pull | None, start: float, end: float) -> tuple[PullRow, ...]:
    """Seconds from one road speed to another (m/s) at full throttle in each gear."""
    known = proposed or on
    count = 0 if known is None else len(known.machine.overall)
    return tuple(
        PullRow(
            f"{start / KMH:.0f}–{end / KMH:.0f} km/h in gear {gear + 1}",
            "s",
            2,
            None if on is None else on.roll_on(gear, start, end),
            None if proposed is None else proposed.roll_on(gear, start, end),
        )
        for gear in range(count)
    )


def everyday_rows(bike: Bike, fitted_set: DriveSet, chosen: DriveSet) -> tuple[PullRow, ...]:
    """Engine turns per kilometre in top gear and what the speedometer shows at a true 100 km/h."""
    results = [evaluate(bike, s) for s in (fitted_set, chosen)]
    turns = [
        None if r.overall_ratio is None or r.rolling_circumference is None
        else 1000 * r.overall_ratio[-1] / r.rolling_circumference
        for r in results
    ]  # fmt: skip
    shown = [speedometer_factor(bike, s) for s in (fitted_set, chosen)]
    hundred = [None if factor is None else 100 * factor for factor in shown]
    return (
        PullRow("Engine turns per km in top", "", 0, turns[0], turns[1], "turns"),
        PullRow("Speedometer at a true 100 km/h", "km/h", 1, hundred[0], hundred[1], "speedometer"),
    )


def shift_rows(on: Pull | None, proposed: Pull | None) -> tuple[PullRow, ...]:
    """Best engine speed of each up-shift: where the next gear pulls harder, or the limiter."""
    known = proposed or on
    count = 0 if known is None else len(known.shift_engine)
    return tuple(
        PullRow(
            f"Up-shift out of gear {gear + 1}",
            "rpm",
            0,
            None if on is None else on.shift_engine[gear] / RPM,
            None if proposed is None else proposed.shift_engine[gear] / RPM,
            "shift",
        )
        for gear in range(count)
    )


def reserve(pulled: Pull, speed: float) -> tuple[int, float] | None:
    """(gear from 0, thrust left over the road load in N) in the gear that leaves most at a road speed; None above."""
    load = float(roadload.road_load(pulled.road, speed))
    best: tuple[int, float] | None = None
    for gear in range(len(pulled.machine.overall)):
        if speed > pulled.machine.top_of(gear):
            continue
        left = float(thrust(pulled.machine, gear, speed)) - load
        if best is None or left > best[1]:
            best = (gear, left)
    return best


def climb(pulled: Pull, spare: float) -> float:
    """The further slope (a fraction) that a spare thrust could hold."""
    weight = pulled.road.mass * 9.80665
    return math.tan(math.asin(min(max(spare / weight, -1.0), 1.0)))


def _between(pulled: Pull | None, start: float, end: float) -> float | None:
    return None if pulled is None else pulled.between(start, end)
