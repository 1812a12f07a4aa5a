"""Rides of a second generator, which shares no code with the program: speeds drawn, gears shifted, sensors that err.

A rider follows drawn speeds with a first-order lag, shifts by engine speed with a second of slipping clutch, and a
recorder adds its own faults. Only what a profile says (teeth, ratios, circumference) is taken from the program.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from gearplan.bike.profile import Bike
from gearplan.ridelog.log import RideLog


@dataclass(frozen=True)
class Truth:
    """What was really ridden: sprockets, circumference (m) at a crawl, recorded over true speed, growth (s²/m²)."""

    front: int
    rear: int
    rolls: float
    shown: float
    growth: float
    satellites: bool
    box: tuple[float, ...]


def quotient(entered: object) -> float:
    """A ratio as entered: the number, or driven over driver."""
    if isinstance(entered, tuple):
        driver, driven = entered
        return float(driven) / float(driver)
    assert isinstance(entered, float | int)
    return float(entered)


def stage(rng: np.random.Generator, low: float, high: float) -> tuple[np.ndarray, np.ndarray]:
    """Speeds (m/s) every 0.02 s for three to six minutes."""
    step = 0.02
    count = int(rng.uniform(180, 360) / step)
    targets = np.zeros(count)
    at = 0
    while at < count:
        lasts = int(rng.uniform(5, 18) / step)
        targets[at : at + lasts] = rng.uniform(low, high) if rng.random() > 0.08 else 0.0
        at += lasts
    speed = np.zeros(count)
    for i in range(1, count):
        pull = (targets[i] - speed[i - 1]) / 2.5
        speed[i] = max(speed[i - 1] + step * min(max(pull, -5.0), 3.5), 0.0)
    return np.arange(count) * step, speed


def invent(bike: Bike, seed: int, *, satellites: bool | None = None) -> tuple[RideLog, Truth]:
    """A ride on a bike that may differ from its profile, and what it really was."""
    rng = np.random.default_rng([seed, 90210])
    on, box = bike.final_drive, bike.gearbox
    assert on.front is not None
    assert on.rear is not None
    assert box.gears is not None
    assert bike.engine.redline_rpm is not None
    gears = tuple(quotient(box.primary) * quotient(gear) for gear in box.gears)
    front, rear = on.front, on.rear
    if rng.random() > 0.35:
        front += int(rng.choice([-2, -1, 0, 1, 2], p=[0.08, 0.27, 0.4, 0.2, 0.05]))
        rear += int(np.rint(np.clip(rng.normal(0, 2.2), -7, 7)))
    measured = bike.tyre.rolling_circumference_mm
    assert measured
    rolls = measured / 1000 * math.exp(rng.normal(0, 0.01 if rng.random() < 0.85 else 0.02))
    by_instrument = rng.random() < 0.4
    shown = (bike.speedometer.indicated_over_true or 1.0) * math.exp(rng.normal(0, 0.006)) if by_instrument else 1.0
    growth = float(rng.uniform(0, 4e-6))
    sky = bool(rng.random() < 0.5) if satellites is None else satellites
    truth = Truth(front, rear, rolls, shown, growth, sky, gears)
    redline = bike.engine.redline_rpm * math.tau / 60
    top = 0.6 * redline * rolls / math.tau / (gears[-1] * rear / front)
    time, speed = stage(rng, min(8.0, 0.3 * top), min(top, 45.0))
    engine = turning(rng, speed, truth, redline)
    every = int(rng.choice([1, 2, 5, 10]))
    late = int(rng.choice([0, 0, 2, 8]))
    # Sensed at the rear, of which the tyre turns the slower the more it has grown.
    grown = 1.0 if bike.speedometer.sensor == "front wheel" else 1 + growth * speed**2
    road = np.roll(speed / grown, late) * shown
    road[:late] = road[late]
    road = road * (1 + 0.0008 * np.sin(time / rng.uniform(30, 90)))
    road = np.maximum(road + rng.normal(0, rng.uniform(0.01, 0.08), len(road)), 0)
    engine = engine + rng.normal(0, rng.uniform(0.5, 3), len(engine))
    coarse = float(rng.choice([0.01, 0.1, 1.0])) / 3.6
    # Half of those that record whole km/h cut off what is more.
    cut = coarse > 0.2 and bool(np.random.default_rng([seed, 1]).random() < 0.5)
    road = (np.floor(road / coarse) if cut else np.round(road / coarse)) * coarse
    engine = np.round(engine * 60 / math.tau) * math.tau / 60
    gps = speed + rng.normal(0, 0.05, len(speed)) if sky else None
    keep = np.arange(0, len(time), every)
    keep = keep[rng.random(len(keep)) > rng.choice([0.0, 0.15])]
    log = RideLog(
        f"ride {seed}",
        time[keep] - time[keep[0]],
        engine=engine[keep],
        road=road[keep],
        gps=None if gps is None else gps[keep],
        rows=len(keep),
    )
    return log, truth


def turning(rng: np.random.Generator, speed: np.ndarray, truth: Truth, redline: float) -> np.ndarray:
    """Engine speed (rad/s) over the steps of 0.02 s."""
    up, down = rng.uniform(0.5, 0.75) * redline, rng.uniform(0.22, 0.32) * redline
    per_metre = truth.rear / truth.front * math.tau / truth.rolls
    gear, slips, engine = 0, 0.0, np.zeros(len(speed))
    for i, v in enumerate(speed):
        locked = truth.box[gear] * per_metre * v / (1 + truth.growth * v * v)
        if slips <= 0 and locked > up and gear < len(truth.box) - 1:
            gear, slips = gear + 1, 0.3
        elif slips <= 0 and locked < down and gear > 0:
            gear, slips = gear - 1, 0.3
        locked = truth.box[gear] * per_metre * v / (1 + truth.growth * v * v)
        before = engine[i - 1] if i else 140.0
        engine[i] = before + 0.15 * (locked - before) if slips > 0 else max(locked, 140.0)
        slips -= 0.02
    return engine
