"""How surely top speed and times are known: what of the bike is doubtful, carried to what is asked. SI."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from gearplan.bike.profile import Bike, entry
from gearplan.bike.text.units import unit_told
from gearplan.bike.text.written import Off, inside, shortest, signed
from gearplan.drive.motion.roadload import Road
from gearplan.drive.motion.thrust import Machine
from gearplan.drive.motion.versions import Versions, time_to_distance, time_to_speed
from gearplan.drive.tyre import rolling_radius
from gearplan.language import tr
from gearplan.plan.driveset import DriveSet
from gearplan.plan.findings import Finding
from gearplan.plan.pull.asked import Stretch
from gearplan.plan.pull.pull import Pull, pull
from gearplan.plan.pull.table import TOP, PullRow, row_key, timed
from gearplan.plan.set.doubts import GROWS_ON, PULLS_ON, ROLLS_ON, speed_share, speedometer_share
from gearplan.plan.set.evaluate import SetResult, evaluate
from gearplan.setup import doubt
from gearplan.setup.doubt import Doubtful, Input
from gearplan.setup.machine import Basis, basis, machine
from gearplan.setup.ratios import rolling

Floats = NDArray[np.float64]

#: What a top speed rests on, and what the time to get there does besides.
_TOP_ON = (
    *PULLS_ON,
    *ROLLS_ON,
    GROWS_ON,
    "load.drag_area_m2",
    "load.rolling_coefficient",
    "conditions.altitude_m",
    "conditions.temperature_c",
    "conditions.pressure_hpa",
)
_TIME_ON = (
    *_TOP_ON,
    "engine.launch_rpm",
    "engine.shift_time_s",
    "engine.inertia_kg_m2",
    "load.wheel_inertia_kg_m2",
)


@dataclass(frozen=True, slots=True)
class Effect:
    """What one input's doubt does to a result: its name and range in words, and by how much the result may move."""

    name: str
    doubt: str
    size: float


@lru_cache(maxsize=32)
def pull_doubts(
    bike: Bike,
    chosen: DriveSet,
    slope: float = 0.0,
    wind: float = 0.0,
    asked: tuple[Stretch, ...] = (),
    in_gear: tuple[Stretch, ...] = (),
) -> dict[str, Doubtful]:
    """The ranges of the top speed (m/s) and of every time asked for (s), by the keys of their rows.

    `asked` are runs through the gears, `in_gear` roll-ons in each gear. Every input is taken to either end of its
    range. Callers must not change the answer.
    """
    base = pull(bike, chosen, slope, wind)
    if isinstance(base, Finding):
        return {}
    result = evaluate(bike, chosen)
    found = _inputs(bike, result, _TIME_ON if asked or in_gear else _TOP_ON)
    # Each end of each input, as a place among the versions that differ.
    places: dict[tuple[str, float], int] = {}
    made, roads = [base.machine], [base.road]
    for one in found:
        for end in {one.low, one.high} - {one.value}:
            machine, road = _made(bike, one, end, result, base)
            alike = _same(machine, road, base)
            places[one.field, end] = 0 if alike else len(made)
            if not alike:
                made.append(machine)
                roads.append(road)
    every = _every(base, Versions(made, roads), asked, in_gear)
    middle = _told(base, asked, in_gear)

    def results(one: Input | None, to: float) -> dict[str, float | None]:
        if one is None:
            return middle
        at = places[one.field, to]
        return {key: _beside(middle[key], float(each[0]), float(each[at])) for key, each in every.items()}

    return doubt.carried(results, found)


def row_half(row: PullRow, found: Mapping[str, Doubtful], bike: Bike, chosen: DriveSet) -> Off:
    """By how much the proposed set's figure of a row may be off, in the row's unit; 0 where that is not known."""
    if row.after is None:
        return 0.0
    if row.key:
        known = found.get(row.key)
        if known is None:
            return 0.0
        down, up = known.sides
        return down * row.after / known.value, up * row.after / known.value
    if row.how in ("engine", "turns"):
        return speed_share(bike, chosen.tyre, row.at) * row.after
    return speedometer_share(bike, chosen) * row.after if row.how == "speedometer" else 0.0


@lru_cache(maxsize=64)
def top_speed_doubt(bike: Bike, chosen: DriveSet, slope: float = 0.0, wind: float = 0.0) -> Doubtful | None:
    """The range of the top speed alone (m/s); None where there is no top speed."""
    return pull_doubts(bike, chosen, slope, wind).get(TOP)


def _told(base: Pull, asked: tuple[Stretch, ...], in_gear: tuple[Stretch, ...]) -> dict[str, float | None]:
    return {
        TOP: None if base.top is None else base.top.speed,
        **{row_key(one): timed(base, one) for one in asked},
        **{row_key(one, gear): timed(base, one, gear) for one in in_gear for gear in range(len(base.machine.overall))},
    }


def _every(
    base: Pull, versions: Versions, asked: tuple[Stretch, ...], in_gear: tuple[Stretch, ...]
) -> dict[str, Floats]:
    """The same of every version, [version]; NaN where one does not get there."""
    tops = versions.top_speeds()
    found = {TOP: tops}
    if asked:
        marks = sorted({v for one in asked for v in (one.start, one.end) if v})
        run = versions.run(base.run, base.shift_speeds, tops, marks)
        for one in asked:
            if one.distance is not None:
                found[row_key(one)] = time_to_distance(run, one.distance)
            elif one.end is not None:
                begins = time_to_speed(run, one.start) if one.start > 0 else 0.0
                found[row_key(one)] = time_to_speed(run, one.end) - begins
    for one in in_gear:
        assert one.end is not None
        for gear in range(len(base.machine.overall)):
            found[row_key(one, gear)] = versions.roll_on(gear, one.start, one.end)
    return found


def _beside(middle: float | None, first: float, other: float) -> float | None:
    """The result moved by what one version differs from the first; None where either gets no end."""
    return None if middle is None or math.isnan(other - first) else middle + (other - first)


def _inputs(bike: Bike, result: SetResult, fields: tuple[str, ...] = _TIME_ON) -> tuple[Input, ...]:
    """What is doubtful of a set's pull; what is only typical of the gearbox as factors of the ratios."""
    idle = ROLLS_ON[1:] if result.rolls_by == "measured" else ROLLS_ON[:1]
    box = [
        Input(field, entry(*field.split(".")).label, 1.0, 1 - down, 1 + up, measured=False)
        for field, down, up in doubt.gearbox_shares(bike)
    ]
    return (*doubt.inputs(bike, [field for field in fields if field not in idle]), *box)


def _made(bike: Bike, one: Input, to: float, result: SetResult, base: Pull) -> tuple[Machine, Road]:
    """Machine and road of the same set with one input at another value."""
    if one.entry.startswith("gearbox."):
        # Ratios so many times as high are as good as a radius so many times as small: the wheels' part stays.
        return replace(base.machine, radius=base.machine.radius / to), base.road
    other = doubt.varied(bike, one, to)
    on, rolled = basis(other), rolling(other, result.set.tyre)
    assert isinstance(on, Basis)
    assert rolled is not None
    radius = float(rolling_radius(rolled.circumference))
    slope, wind = base.road.slope, base.road.wind
    return machine(on, base.machine.overall, radius, base.moved, slope), on.road(slope, wind)


def _same(made: Machine, road: Road, base: Pull) -> bool:
    """Whether it moves as before: nothing else differs than a limit of the tyre that the engine never reaches."""
    if road != base.road or replace(made, lift=base.machine.lift, grip=base.machine.grip) != base.machine:
        return False
    most = max(made.torque) * max(made.overall) / made.radius * made.efficiency
    return made.bound == base.machine.bound or min(made.bound, base.machine.bound) >= most


def effects(bike: Bike, chosen: DriveSet, found: Doubtful | None) -> tuple[Effect, ...]:
    """What the doubt of each input does to a result, the most first; those that do nothing are left out."""
    parts = {field: max(down, up) for field, down, up in found.parts} if found is not None else {}
    told = [
        Effect(inside(one.label), _range(one), parts[one.field])
        for one in _inputs(bike, evaluate(bike, chosen))
        if one.field in parts
    ]
    return tuple(sorted((one for one in told if one.size > 0), key=lambda one: -one.size))


def _range(one: Input) -> str:
    """The range of an input in words: "0.36 to 0.44 m²", "60 to 110 kg, assumed"."""
    section, key = one.entry.split(".")
    if one.field == doubt.TORQUE or section == "gearbox":
        shares = (100 * (one.low - 1), 100 * (one.high - 1))
        told = (
            f"± {shares[1]:.0f} %"
            if abs(sum(shares)) < 0.5
            else tr("{shares} to {shares2} %", shares=signed(shares[0]), shares2=signed(shares[1]))
        )
    else:
        unit = entry(section, key).unit
        low, high = (shortest(float(f"{end:.4g}")) for end in (one.low, one.high))
        told = tr("{low} to {high}", low=low, high=high) + (f" {unit_told(unit)}" if unit else "")
    return told if one.measured else tr("{told}, assumed", told=told)
