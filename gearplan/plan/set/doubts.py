"""How surely the numbers of one set are known, each as a range in which it lies 95 times of 100. SI."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from gearplan.bike.profile import Bike
from gearplan.bike.text.units import KMH, MM
from gearplan.bike.text.written import Off, number, with_doubt
from gearplan.drive.gearing import grown
from gearplan.drive.speedometer import allowed
from gearplan.drive.tyre import rolling_radius
from gearplan.language import tr
from gearplan.plan.chain.reach import Reach, reach
from gearplan.plan.driveset import DriveSet
from gearplan.plan.findings import Finding, probably
from gearplan.plan.set.evaluate import SetResult
from gearplan.plan.set.geometrydoubts import geometry_doubts
from gearplan.plan.set.speedometer import SPEEDOMETER, rule_speed, speedometer_finding
from gearplan.plan.set.strength import DOUBTED_BELOW, REFUSED_BELOW, STRENGTH, pulling, strength
from gearplan.setup import doubt, wornchain
from gearplan.setup.doubt import Doubtful, Input
from gearplan.setup.ratios import other_tyre, rolling

Floats = NDArray[np.float64]

#: What the rolling circumference rests on, and what bounds the thrust besides.
ROLLS_ON = ("tyre.rolling_circumference_mm", "tyre.rolling_factor")
#: What it grows by with the speed.
GROWS_ON = "tyre.growth_per_mps2"
PULLS_ON = (
    doubt.TORQUE,
    "engine.efficiency",
    "load.bike_kg",
    "load.rider_kg",
    "tyre.grip",
    "chassis.wheelbase_mm",
    "chassis.com_height_mm",
    "chassis.com_ahead_of_rear_axle_mm",
)
#: Not part of where the axle of a set is, only of how far that is from where it stands.
_OF_NOW = ("chassis.axle_now_mm", "chassis.adjuster_left_mm", "chassis.centre_distance_mm", wornchain.FIELD)


@lru_cache(maxsize=128)
def set_doubts(bike: Bike, result: SetResult) -> dict[str, Doubtful]:
    """The ranges of the numbers that `evaluate` gives, by their names there; those without a doubt are left out.

    "speed_at_redline" is that in the last gear, as a factor of it. Callers must not change it.
    """
    return {
        **_rolling(bike, result),
        **_chain(bike, result),
        **strength_doubts(bike, result),
        **geometry_doubts(bike, result),
    }


@lru_cache(maxsize=64)
def rolling_doubt(bike: Bike, size: str | None = None) -> Doubtful | None:
    """The range of the rolling circumference (m) of the tyre, or of another size; None where there is none."""
    known = rolling(bike, size)
    if known is None:
        return None

    def results(one: Input | None, to: float) -> dict[str, float | None]:
        found = rolling(bike if one is None else doubt.varied(bike, one, to), size)
        return {"circumference": None if found is None else found.circumference}

    fields = ROLLS_ON[:1] if known.by == "measured" else ROLLS_ON[1:]
    return doubt.carried(results, doubt.inputs(bike, fields)).get("circumference")


def rolling_share(bike: Bike, size: str | None = None) -> float:
    """By what share the rolling circumference may be off; 0 where none is known."""
    rolls = rolling_doubt(bike, size)
    return 0.0 if rolls is None else rolls.half / rolls.value


def speed_doubt(bike: Bike, size: str | None, speed: float) -> Doubtful | None:
    """The range of a road speed (m/s) in a gear at an engine speed, as a factor of it; None where no tyre is known.

    It goes with the rolling circumference, whatever the gear, with how much the tyre grows at that speed, and with a
    gearbox that is only typical.
    """
    tyre = tyre_doubt(bike, size, speed)
    # A higher ratio is a lower speed.
    box = [_inverse(*one) for one in doubt.gearbox_shares(bike)]
    return None if tyre is None else _from_parts(1.0, [*tyre.parts, *box])


def tyre_doubt(bike: Bike, size: str | None, speed: float) -> Doubtful | None:
    """The same for what the tyre alone leaves in doubt."""
    rolls = rolling_doubt(bike, size)
    if rolls is None:
        return None
    return _from_parts(1.0, [*times(rolls, 1 / rolls.value).parts, *_grown(bike, speed)])


def _grown(bike: Bike, speed: float) -> list[tuple[str, float, float]]:
    """By which shares the radius at a road speed (m/s) may be less and more than as taken, by the tyre's growth."""
    found = []
    for one in doubt.inputs(bike, [GROWS_ON]):
        down, up = (abs(float(grown(speed, end) / grown(speed, one.value)) - 1) for end in (one.low, one.high))
        found.append((one.field, down, up))
    return found


def speed_share(bike: Bike, size: str | None, speed: float) -> float:
    """By what share a road speed (m/s) in a gear, or the engine speed there, may be off; 0 where none is known."""
    found = speed_doubt(bike, size, speed)
    return 0.0 if found is None else found.half


def top_share(bike: Bike, result: SetResult) -> float:
    """The same at the highest speed that a set reaches at the redline."""
    speeds = result.speed_at_redline
    return speed_share(bike, result.set.tyre, 0.0 if speeds is None else speeds[-1])


def speed_band(bike: Bike, size: str | None, speeds: Floats) -> tuple[Floats, Floats] | None:
    """Road speeds (m/s) at the least and at the most that they may be; None where no tyre is known."""
    every = [speed_doubt(bike, size, float(speed)) for speed in speeds]
    low, high = ([one.low for one in every if one is not None], [one.high for one in every if one is not None])
    return None if None in every else (speeds * np.array(low), speeds * np.array(high))


def _rolling(bike: Bike, result: SetResult) -> dict[str, Doubtful]:
    rolls, speeds = rolling_doubt(bike, result.set.tyre), None
    if result.speed_at_redline:
        speeds = speed_doubt(bike, result.set.tyre, result.speed_at_redline[-1])
    found = {"rolling_circumference": rolls, "speed_at_redline": speeds}
    return {key: one for key, one in found.items() if one is not None}


def _chain(bike: Bike, result: SetResult) -> dict[str, Doubtful]:
    arm, run = reach(bike), result.run
    if not isinstance(arm, Reach) or arm.moves is None or run.moves is None or run.centre_distance is None:
        return {}
    found = {"moves": at(arm.moves, run.moves)}
    if run.axle_position is not None:
        here = [part for part in arm.moves.parts if doubt.entry_of(part[0]) not in _OF_NOW]
        found["axle_position"] = _from_parts(run.axle_position, here)
    new = [part for part in arm.moves.parts if part[0] == doubt.NEW_CHAIN]
    found["centre_distance"] = _from_parts(run.centre_distance, new)
    if run.wheelbase is not None:
        base = doubt.inputs(bike, ["chassis.wheelbase_mm"])
        off = [(one.field, (one.value - one.low) * MM, (one.high - one.value) * MM) for one in base]
        way = ("moves", arm.moves.value - arm.moves.low, arm.moves.high - arm.moves.value)
        found["wheelbase"] = _from_parts(run.wheelbase, [way, *off])
        if run.front_load_share is not None and not arm.geometry_known:
            found["front_load_share"] = _front_load(bike, run.front_load_share, run.wheelbase, [way, *off])
    return found


def _front_load(bike: Bike, share: float, base: float, longer: list[tuple[str, float, float]]) -> Doubtful:
    """The range of b/w: the axle's way makes both longer, what the wheelbase (m) is off by w alone, b's own doubt b."""
    ahead, parts = share * base, []
    for field, down, up in longer:
        ends = [((ahead + by) if field == "moves" else ahead) / (base + by) - share for by in (-down, up)]
        parts.append((field, max(0.0, *(-end for end in ends)), max(0.0, *ends)))
    for one in doubt.inputs(bike, ["chassis.com_ahead_of_rear_axle_mm"]):
        parts.append((one.field, (one.value - one.low) * MM / base, (one.high - one.value) * MM / base))
    return _from_parts(share, parts)


@lru_cache(maxsize=128)
def strength_doubts(bike: Bike, result: SetResult) -> dict[str, Doubtful]:
    """The ranges of "peak_tension" and "safety" alone; callers must not change the answer."""
    strong, rolls = result.strength, result.rolling_circumference
    if strong.peak_tension is None or rolls is None:
        return {}
    radius = rolling_radius(rolls)

    def results(one: Input | None, to: float) -> dict[str, float | None]:
        other = bike if one is None else doubt.varied(bike, one, to)
        found = strength(
            other, result.set, pulling(other), result.overall_ratio, radius, result.run.pitch, result.run.moved, None
        )
        return {"peak_tension": found.peak_tension, "safety": found.safety}

    found = doubt.carried(results, doubt.inputs(bike, PULLS_ON))
    if strong.limited_by != "engine":
        return found
    # What the engine gives at the chain goes with the overall ratio.
    for key, one in found.items():
        shares = [_inverse(*each) if key == "safety" else each for each in doubt.gearbox_shares(bike)]
        box = [(field, one.value * down, one.value * up) for field, down, up in shares]
        found[key] = _from_parts(one.value, [*one.parts, *box]) if box else one
    return found


def judged(bike: Bike, result: SetResult) -> SetResult:
    """The result with each finding's `sure` as the doubts have it, and what is not sure said so.

    Exact where a limit lies near.
    """
    return replace(result, findings=tuple(_sure(bike, result, finding) for finding in result.findings))


def _sure(bike: Bike, result: SetResult, finding: Finding) -> Finding:
    if finding.value is None or not finding.sure:
        return finding
    if finding.about == SPEEDOMETER:
        off = speedometer_share(bike, result.set) * finding.value
        limits = [bound / KMH for bound in allowed(rule_speed(bike))]
        if all(abs(finding.value - limit) > off for limit in limits):
            return finding
        told = speedometer_finding(bike, result.set, off) or finding
        return replace(finding, text=probably(told.text), sure=False)
    limits = [REFUSED_BELOW, DOUBTED_BELOW]
    if finding.about != STRENGTH or not any(0.6 < finding.value / limit < 1.6 for limit in limits):
        return finding
    safety = strength_doubts(bike, result).get("safety")
    if safety is None or not any(safety.low < limit < safety.high for limit in limits):
        return finding
    return _unsure(finding, safety.sides, 1)


def _unsure(finding: Finding, half: Off, digits: int) -> Finding:
    """The finding as it is said where its number may as well lie on the other side of the limit."""
    value = finding.value or 0.0
    _, off = with_doubt(value, half, 1, digits)
    unit = f" {finding.unit}" if finding.unit else ""
    if isinstance(half, tuple) and not off.startswith("±"):
        known = tr(
            "It lies between {low} and {high}.",
            low=number(value - half[0], 1, digits),
            high=f"{number(value + half[1], 1, digits)}{unit}",
        )
    else:
        known = tr("Known to {off}.", off=f"{off}{unit}")
    text = f"{probably(finding.text)} {known}"
    return replace(finding, text=text, short=probably(finding.short), sure=False)


def speedometer_share(bike: Bike, chosen: DriveSet) -> float:
    """By what share what the speedometer shows at a true speed may be off: as its own error was read, and the tyre.

    The tyre in the profile was on the bike when the error was read, and had grown as it does; another one rolls as far
    as its size says.
    """
    factor = bike.speedometer.indicated_over_true
    read = 0.0
    if factor is not None:
        read = doubt.entered_within(bike, "speedometer.indicated_over_true", factor) / factor
    if bike.speedometer.sensor == "front wheel" or not other_tyre(bike, chosen.tyre):
        return read
    return math.hypot(read, rolling_share(bike), rolling_share(bike, chosen.tyre))


def at(found: Doubtful, value: float) -> Doubtful:
    """The same range about another value."""
    by = value - found.value
    return Doubtful(value, found.low + by, found.high + by, found.parts)


def times(found: Doubtful, factor: float) -> Doubtful:
    """The same range of a number so many times as large."""
    parts = tuple((field, down * factor, up * factor) for field, down, up in found.parts)
    return Doubtful(found.value * factor, found.low * factor, found.high * factor, parts)


def _from_parts(value: float, parts: Iterable[tuple[str, float, float]]) -> Doubtful:
    every = tuple(parts)
    low = value - math.hypot(*(down for _, down, _ in every))
    return Doubtful(value, low, value + math.hypot(*(up for _, _, up in every)), every)


def _inverse(field: str, down: float, up: float) -> tuple[str, float, float]:
    """The shares of what goes down as a ratio with these shares goes up; exact, for they are large."""
    return field, 1 - 1 / (1 + up), 1 / (1 - down) - 1
