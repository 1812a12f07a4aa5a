"""What a person asks of pull, listed once: sprints, roll-ons, top speed, shifts, and the everyday side."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from gearplan.bike.profile import Bike
from gearplan.bike.text.units import KMH, MPH, RPM, STANDARD_GRAVITY
from gearplan.bike.text.written import number
from gearplan.drive.motion import roadload
from gearplan.drive.motion.thrust import hardly_reached, thrust
from gearplan.drive.speedometer import allowed
from gearplan.language import tr
from gearplan.plan.driveset import DriveSet
from gearplan.plan.pull.asked import ROLL_ONS, SPRINTS, Stretch, read_roll_ons, read_sprints
from gearplan.plan.pull.pull import Pull, counter_factor
from gearplan.plan.set.compare import engine_speeds
from gearplan.plan.set.evaluate import evaluate
from gearplan.plan.set.speedometer import speedometer_factor
from gearplan.plan.words import Speed


@dataclass(frozen=True, slots=True)
class PullRow:
    """One listed figure of the fitted and the proposed set, in the unit that `unit_name` names; `how` explains it.

    `key` names it among the doubts; `at` is the road speed (m/s) of an engine speed.
    """

    name: str
    unit_name: str
    digits: int
    before: float | None
    after: float | None
    how: str = "sprint"
    key: str = ""
    at: float = 0.0


#: The key of the top speed.
TOP = "top"


def row_key(stretch: Stretch, gear: int | None = None) -> str:
    """The key of a timed run through the gears, or in one (from 0)."""
    return stretch.name if gear is None else f"{gear + 1}: {stretch.name}"


def timed(pulled: Pull, stretch: Stretch, gear: int | None = None) -> float | None:
    """Seconds that a run takes, through the gears or in one (from 0); None where it gets no end."""
    if stretch.distance is not None:
        return pulled.run.time_to_distance(stretch.distance)
    assert stretch.end is not None
    if gear is not None:
        return pulled.roll_on(gear, stretch.start, stretch.end)
    return pulled.between(stretch.start, stretch.end) if stretch.start > 0 else pulled.run.time_to_speed(stretch.end)


def sprint_rows(
    on: Pull | None, proposed: Pull | None, asked: tuple[Stretch, ...] | None = None, unit: str = "km/h"
) -> tuple[PullRow, ...]:
    """The accelerations asked for, and top speed in a unit; None where a set does not get there."""
    found = []
    for stretch in read_sprints(SPRINTS) if asked is None else asked:
        before, after = (None if p is None else timed(p, stretch) for p in (on, proposed))
        name = _with_doubt(stretch_name(stretch), (on, proposed), (before, after), stretch.end)
        found.append(PullRow(name, "s", 1, before, after, key=row_key(stretch)))
    one = MPH if unit == "mph" else KMH
    tops = tuple(None if p is None or p.top is None else p.top.speed / one for p in (on, proposed))
    found.append(PullRow(tr("Top speed"), unit, 0, tops[0], tops[1], "top", TOP))
    return tuple(found)


def stretch_name(stretch: Stretch) -> str:
    """The name of a sprint; one that begins at speed goes through the gears."""
    return tr("{name}, through the gears", name=stretch.name) if stretch.start > 0 else stretch.name


def roll_on_rows(
    on: Pull | None, proposed: Pull | None, asked: tuple[Stretch, ...] | None = None
) -> tuple[PullRow, ...]:
    """Seconds from one road speed to another at full throttle in each gear."""
    known = proposed or on
    count = 0 if known is None else len(known.machine.overall)
    found = []
    for stretch in read_roll_ons(ROLL_ONS) if asked is None else asked:
        for gear in range(count):
            before, after = (None if p is None else timed(p, stretch, gear) for p in (on, proposed))
            name = _with_doubt(
                tr("Gear {gear}: {name}", gear=gear + 1, name=stretch.name),
                (on, proposed),
                (before, after),
                stretch.end,
                gear,
            )
            found.append(PullRow(name, "s", 1, before, after, key=row_key(stretch, gear)))
    return tuple(found)


def _with_doubt(
    name: str,
    pulls: tuple[Pull | None, Pull | None],
    times: tuple[float | None, float | None],
    end: float | None,
    gear: int | None = None,
) -> str:
    """The name of a timed run, and of which set its last speed is hardly reached."""
    if end is None:
        return name
    hardly = [
        p is not None and time is not None and hardly_reached(p.machine, p.road, end, gear)
        for p, time in zip(pulls, times, strict=True)
    ]
    if not any(hardly):
        return name
    if all(hardly):
        return tr("{name}, hardly reached", name=name)
    if hardly[1]:
        return tr("{name}, hardly reached as proposed", name=name)
    return tr("{name}, hardly reached as fitted", name=name)


def everyday_rows(
    bike: Bike,
    fitted_set: DriveSet,
    chosen: DriveSet,
    speeds: tuple[Speed, ...] = (Speed(100.0),),
) -> tuple[PullRow, ...]:
    """Engine speed in top at each road speed, turns per kilometre, speedometer and distance counter."""
    results = [evaluate(bike, s) for s in (fitted_set, chosen)]
    engine = [[None if n is None else n[-1] / RPM for n in (engine_speeds(r, v.si) for r in results)] for v in speeds]
    turns = [
        None if r.overall_ratio is None or r.rolling_circumference is None
        else 1000 * r.overall_ratio[-1] / r.rolling_circumference
        for r in results
    ]  # fmt: skip
    shown = [speedometer_factor(bike, s) for s in (fitted_set, chosen)]
    counted = [None if f is None else 100 * f for f in (counter_factor(bike, s) for s in (fitted_set, chosen))]
    return (
        *(
            PullRow(tr("Engine at {words} in top", words=speed.words), "rpm", 0, before, after, "engine", at=speed.si)
            for speed, (before, after) in zip(speeds, engine, strict=True)
        ),
        PullRow(tr("Engine turns per km in top"), "", 0, turns[0], turns[1], "turns"),
        *(_speedometer_row(speed, shown) for speed in speeds),
        PullRow(tr("Counter over a true 100 km"), "km", 1, counted[0], counted[1], "counter"),
    )


def _speedometer_row(speed: Speed, factors: list[float | None]) -> PullRow:
    before, after = (None if factor is None else speed.value * factor for factor in factors)
    return PullRow(tr("Speedometer at a true {words}", words=speed.words), speed.unit, 0, before, after, "speedometer")


def allowed_rows(
    bike: Bike, fitted_set: DriveSet, chosen: DriveSet, speeds: tuple[Speed, ...]
) -> tuple[tuple[str, ...], ...]:
    """Each true speed with what both sets show, what the rule allows at most, and the verdict in words."""
    found = []
    factors = [speedometer_factor(bike, s) for s in (fitted_set, chosen)]
    for speed in speeds:
        least, most = (bound * speed.value / speed.si for bound in allowed(speed.si))
        shown = [None if factor is None else speed.value * factor for factor in factors]
        told = shown[1]
        if told is None:
            verdict = "–"
        elif told < least - 1e-6:
            verdict = tr("too low")
        else:
            verdict = tr("within") if told <= most + 1e-6 else tr("too high")
        found.append((speed.words, *(number(value, 1, 1) for value in shown), number(most, 1, 1), verdict))
    return tuple(found)


def shift_rows(on: Pull | None, proposed: Pull | None) -> tuple[PullRow, ...]:
    """Best engine speed of each up-shift: where the next gear pulls harder, or the limiter."""
    known = proposed or on
    count = 0 if known is None else len(known.shift_engine)
    return tuple(
        PullRow(
            tr("Up-shift out of gear {gear}", gear=gear + 1),
            "rpm",
            0,
            None if on is None else on.shift_engine[gear] / RPM,
            None if proposed is None else proposed.shift_engine[gear] / RPM,
            "shift",
        )
        for gear in range(count)
    )


@dataclass(frozen=True, slots=True)
class Reserve:
    """What the gear (from 0) that leaves most leaves over the road load, both in N."""

    gear: int
    load: float
    left: float


def reserve(pulled: Pull, speed: float) -> Reserve | None:
    """The reserve at a road speed; None above the last gear's end."""
    load = float(roadload.road_load(pulled.road, speed))
    best: Reserve | None = None
    for gear in range(len(pulled.machine.overall)):
        if speed > pulled.machine.top_of(gear):
            continue
        left = float(thrust(pulled.machine, gear, speed)) - load
        if best is None or left > best.left:
            best = Reserve(gear, load, left)
    return best


def holding_gear(pulled: Pull, speed: float) -> int | None:
    """The highest gear (from 0) whose thrust holds a road speed (m/s); None where none does."""
    load = float(roadload.road_load(pulled.road, speed))
    held = (
        gear
        for gear in range(len(pulled.machine.overall))
        if speed <= pulled.machine.top_of(gear) and float(thrust(pulled.machine, gear, speed)) >= load
    )
    return max(held, default=None)


def climb(pulled: Pull, spare: float) -> float:
    """The further slope (a fraction) that a spare thrust could hold."""
    weight = pulled.road.mass * STANDARD_GRAVITY
    return math.tan(math.asin(min(max(spare / weight, -1.0), 1.0)))


def load_at(pulled: Pull, speed: float) -> float:
    """The road load at a speed on the level (N)."""
    return float(roadload.road_load(replace(pulled.road, slope=0.0), speed))
