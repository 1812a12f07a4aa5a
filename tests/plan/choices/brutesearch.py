"""The search written down once more without arrays: every set by itself through `numbers`, ranked pair against pair."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import lru_cache
from typing import Any

from gearplan.bike.profile import Bike
from gearplan.commands.output.numbersjson import set_numbers
from gearplan.plan.choices.space import Space
from gearplan.plan.choices.wishes import Wish
from gearplan.plan.driveset import DriveSet, fitted
from gearplan.plan.set.conversion import drive_mass
from gearplan.plan.set.evaluate import evaluate

_NEAR = 1e-9


def survivors(bike: Bike, wishes: tuple[Wish, ...], space: Space, links: range) -> list[DriveSet]:
    """Every set that fits and meets each limit, all link counts tried one by one; one chain for each pair."""
    on = fitted(bike)
    best: dict[tuple[object, ...], DriveSet] = {}
    for tyre in space.tyres:
        for chain in space.chains:
            for front in space.fronts:
                for rear in space.rears:
                    every = [DriveSet(front, rear, n, chain, tyre) for n in links if n % 2 == 0]
                    left = [s for s in every if evaluate(bike, s).verdict != "does not fit" and _meets(bike, wishes, s)]
                    if left:
                        best[front, rear, chain, tyre] = min(left, key=lambda s: _far(s, on.links))
    return list(best.values())


def _far(chosen: DriveSet, at_hand: int | None) -> tuple[int, ...]:
    count = chosen.links or 0
    return (-count,) if at_hand is None else (abs(count - at_hand), count)


def _meets(bike: Bike, wishes: tuple[Wish, ...], chosen: DriveSet) -> bool:
    return all(_one(bike, wish, chosen) for wish in wishes if wish.limit)


@lru_cache(maxsize=4096)
def _values(bike: Bike, chosen: DriveSet) -> dict[str, Any]:
    return set_numbers(bike, evaluate(bike, chosen))


def _one(bike: Bike, wish: Wish, chosen: DriveSet) -> bool:
    on = fitted(bike)
    now, then = _values(bike, on), _values(bike, chosen)
    revs = then["rpm_at_100_kmh"][-1] / now["rpm_at_100_kmh"][-1] - 1
    gear = -1 if not wish.gear else wish.gear - 1
    asked = wish.value or 0.0
    match wish.kind:
        case "engine speed":
            assert wish.speed is not None
            return _bounded(wish, then["rpm_at_100_kmh"][gear] * wish.speed.si * 3.6 / 100, asked)
        case "reach":
            assert wish.speed is not None
            return _bounded(wish, then["speed_at_redline_kmh"][gear], wish.speed.si * 3.6)
        case "top speed":
            assert wish.speed is not None
            return then["top_speed_kmh"] is not None and _bounded(wish, then["top_speed_kmh"], wish.speed.si * 3.6)
        case "pull":
            return _bounded(wish, revs, asked / 100)
        case "keep":
            return {
                "chain": (chosen.links, chosen.chain) == (on.links, on.chain),
                "front sprocket": chosen.front == on.front,
                "rear sprocket": chosen.rear == on.rear,
            }[wish.part]
        case "teeth":
            return _bounded(wish, (chosen.front if wish.part == "front sprocket" else chosen.rear) or 0, asked)
        case "same ratio":
            return abs(then["final_ratio"] / now["final_ratio"] - 1) <= asked / 100 + _NEAR
        case "wheelbase":
            return abs(then["wheelbase_mm"] - now["wheelbase_mm"]) <= asked + 100 * _NEAR
        case "speedometer":
            true = round(min(120, 0.8 * max(now["speed_at_redline_kmh"])))
            shown = then["speedometer_indicated_at_100_kmh"] * true / 100
            return bool(true - _NEAR <= shown <= 1.1 * true + 4 + _NEAR)
        case "sure":
            return bool(then["verdict"] == "fits")
        case "calmer":
            return 0.01 - _NEAR <= -revs <= 0.10 + _NEAR
        case "livelier":
            return 0.01 - _NEAR <= revs <= 0.10 + _NEAR
    raise AssertionError(wish.kind)


def _bounded(wish: Wish, value: float, asked: float) -> bool:
    near = _NEAR * max(abs(asked), 1.0)
    return value >= asked - near if wish.bound == "at least" else value <= asked + near


def _new_parts(bike: Bike, chosen: DriveSet) -> int:
    on = fitted(bike)
    other = chosen.chain != on.chain
    return sum(
        (other or chosen.front != on.front, other or chosen.rear != on.rear, other or chosen.links != on.links)
    ) + (chosen.tyre is not None)


def _aims(bike: Bike, wishes: tuple[Wish, ...], chosen: DriveSet) -> list[tuple[float, float, float]]:
    """(value, weight, least span) of every aim, said and unsaid."""
    now, then = _values(bike, fitted(bike)), _values(bike, chosen)
    revs = then["rpm_at_100_kmh"][-1] / now["rpm_at_100_kmh"][-1]
    dip = then["chordal_variation_percent"] / 100
    known = []
    for wish in wishes:
        if wish.kind == "calmer":
            known.append((revs, 1.0, 0.02))
        if wish.kind == "livelier":
            known.append((-revs, 1.0, 0.02))
        if wish.kind == "smoother":
            known.append((dip, 1.0, 0.002))
        if wish.kind == "lighter":
            known.append((drive_mass(evaluate(bike, chosen)).total or math.inf, 1.0, 0.2))
    parts = float(_new_parts(bike, chosen))
    return [*known, (parts, 0.5, 1.0), (abs(revs - 1), 0.5, 0.02), (dip, 0.25, 0.002)]


def _tie(bike: Bike, chosen: DriveSet) -> tuple[float, ...]:
    result = evaluate(bike, chosen)
    clear = [c for c in (result.run.upper_clearance, result.run.lower_clearance) if c is not None]
    return (
        round(result.chordal_dip or 0.0, 13),
        -(result.run.rear_turns_to_meet_again or 0),
        round(drive_mass(result).total or math.inf, 11),
        -round(min(clear), 11) if clear else math.inf,
    )


def ranked(bike: Bike, wishes: tuple[Wish, ...], left: list[DriveSet]) -> list[tuple[float, DriveSet]]:
    """All unbeaten sets with their ratings, best first; sets alike on the road are left out after the best of them."""
    table = {s: _aims(bike, wishes, s) for s in left}
    tie = {s: _tie(bike, s) for s in left}

    def beats(one: DriveSet, other: DriveSet) -> bool:
        mine, theirs = ([round(value, 11) for value, _, _ in table[s]] for s in (one, other))
        if any(a > b for a, b in zip(mine, theirs, strict=True)):
            return False
        return mine != theirs or tie[one] < tie[other]

    unbeaten = [s for s in left if not any(beats(other, s) for other in left if other is not s)]
    rated: dict[DriveSet, float] = {}
    for s in unbeaten:
        total = 1.0
        for aim in range(len(table[s])):
            values = [table[other][aim][0] for other in left]
            value, weight, least = table[s][aim]
            span = max(max(values) - min(values), least)
            total *= (0.1 + 0.9 * min(max(1 - (value - min(values)) / span, 0.0), 1.0)) ** weight
        rated[s] = total
    order = sorted(unbeaten, key=lambda s: (-round(rated[s], 9), tie[s]))
    listed: list[DriveSet] = []
    for s in order:
        if not any(_alike(bike, one, s) for one in listed):
            listed.append(s)
    return [(rated[s], s) for s in listed]


def _alike(bike: Bike, one: DriveSet, other: DriveSet) -> bool:
    turns = [_values(bike, s)["rpm_at_100_kmh"][-1] for s in (one, other)]
    return (
        abs(turns[1] / turns[0] - 1) <= 0.01
        and (one.chain, one.tyre) == (other.chain, other.tyre)
        and _new_parts(bike, other) >= _new_parts(bike, one)
    )


def varied(bike: Bike, front: int, rear: int, links: int, slack: float, room: float) -> Bike:
    """A demo bike with other teeth, links, slack and adjuster."""
    c = bike.chassis
    assert c.axle_now_mm is not None
    chassis = replace(c, slack_mm=slack, axle_range_mm=(c.axle_now_mm - room, c.axle_now_mm + room))
    return replace(bike, chassis=chassis, final_drive=replace(bike.final_drive, front=front, rear=rear, links=links))
