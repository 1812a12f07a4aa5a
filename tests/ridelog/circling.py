"""Laps and roads of a third generator, which shares no code with the program: a drawn line ridden by a law of force.

A closed line is a polygon with round corners, a road wanders by arcs; both are ridden metre by metre: the grip sets
the speed of each bend, engine, drag and rolling the drive (with the circle of friction), an even deceleration
the braking. The leaned tyre rolls on a shorter radius. Only what a profile holds as entered is taken from the program.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from gearplan.bike.profile import Bike
from gearplan.ridelog.log import RideLog
from tests.ridelog.invented import Truth, quotient

_G, _AIR, _DEGREE_NORTH, _DEGREE_EAST = 9.81, 1.2, 111_132.0, 78_847.0


@dataclass(frozen=True)
class Ridden:
    """What motorcycle, rider and day truly were: SI; `lateral` is the grip used in corners, `wind` how the air moves
    to the east and to the north."""

    front: int
    rear: int
    rolls: float
    drag: float
    mass: float
    braking: float
    lateral: float
    shown: float = 1.0
    growth: float = 0.0
    lowest: int = 1
    up: float = 0.97
    wind: tuple[float, float] = (0.0, 0.0)


def as_profile(bike: Bike) -> Ridden:
    """A rider of the bike as its profile says."""
    on, load = bike.final_drive, bike.load
    assert on.front
    assert on.rear
    assert bike.tyre.rolling_circumference_mm
    mass = (load.bike_kg or 0.0) + (load.rider_kg or 0.0)
    rolls = bike.tyre.rolling_circumference_mm / 1000
    return Ridden(on.front, on.rear, rolls, load.drag_area_m2 or 0.4, mass, 7.0, 1.0)


def ring(rng: np.random.Generator, length: float = 2500.0, turns: int = 8) -> tuple[np.ndarray, np.ndarray]:
    """A closed line (m, every metre) of straights and so many turns between 25 and 150°, eased in and out."""
    while True:
        angle = (np.arange(turns) + rng.uniform(-0.3, 0.3, turns)) * math.tau / turns
        away = rng.uniform(0.45, 1.25, turns)
        corners = np.column_stack([away * np.cos(angle), away * np.sin(angle)])
        edges = np.roll(corners, -1, 0) - corners
        edge = np.hypot(*edges.T)
        corners, edges, edge = (part * length / edge.sum() for part in (corners, edges, edge))
        heading = np.arctan2(edges[:, 1], edges[:, 0])
        turned = (heading - np.roll(heading, 1) + math.pi) % math.tau - math.pi
        reach = 0.42 * np.minimum(edge, np.roll(edge, 1))
        radius = np.minimum(rng.uniform(20, 110, turns), reach / np.tan(np.abs(turned) / 2))
        if np.all((np.abs(turned) > 0.45) & (np.abs(turned) < 2.6) & (radius > 14)):
            break
    places = []
    for corner, before, turn, r in zip(corners, np.roll(heading, 1), turned, radius, strict=True):
        back = r * math.tan(abs(turn) / 2)
        start = corner - back * np.array([math.cos(before), math.sin(before)])
        along = np.linspace(0, turn, max(int(abs(turn) * r), 8))
        side = math.copysign(1.0, turn)
        places.append(
            start
            + r
            * side
            * np.column_stack([np.sin(before + along) - math.sin(before), math.cos(before) - np.cos(before + along)])
        )
    path = np.vstack([*places, places[0][:1]])
    walked = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(path, axis=0).T))])
    even = np.arange(0, walked[-1], 1.0)
    # Beginning half-way along the longest straight; a rider eases into a turn over some metres.
    gap = int(np.argmax(np.diff(walked)))
    even = (even + (walked[gap] + walked[gap + 1]) / 2) % walked[-1]
    kernel = np.ones(21) / 21
    lines = [np.interp(even, walked, part) for part in path.T]
    x, y = (np.convolve(np.concatenate([line[-10:], line, line[:10]]), kernel, "valid") for line in lines)
    return x, y


def road(rng: np.random.Generator, length: float = 8000.0) -> tuple[np.ndarray, np.ndarray]:
    """A road that wanders (m, every metre): straights and arcs by chance."""
    bends: list[np.ndarray] = []
    while sum(map(len, bends)) < length:
        bends.append(np.zeros(int(rng.uniform(30, 400))))
        radius, angle = rng.uniform(25, 200), rng.uniform(0.3, 1.9)
        bends.append(np.full(int(radius * angle) + 1, rng.choice([-1, 1]) / radius))
    bend = np.convolve(np.concatenate(bends)[: int(length)], np.ones(15) / 15, "same")
    heading = np.cumsum(bend)
    return np.cumsum(np.cos(heading)), np.cumsum(np.sin(heading))


@dataclass(frozen=True)
class Course:
    """The ride in even steps of time: SI; `laps` are the times at which the line's first place is passed.

    `full` says where the throttle was wide open and the engine alone limited the pull.
    """

    time: np.ndarray
    speed: np.ndarray
    engine: np.ndarray
    gear: np.ndarray
    lean: np.ndarray
    x: np.ndarray
    y: np.ndarray
    height: np.ndarray
    full: np.ndarray
    laps: tuple[float, ...]


def ridden(
    bike: Bike,
    true: Ridden,
    line: tuple[np.ndarray, np.ndarray],
    laps: int,
    rng: np.random.Generator,
    ease: float = 0.0,
    height: np.ndarray | None = None,
) -> Course:
    """Ride a line: a closed one `laps` times, a road (0 laps) once; `ease` is how much the rider varies (relative).

    `height` is the line's at every metre; without it the line is level.
    """
    x, y = line
    height = np.zeros(len(x)) if height is None else height
    closed = laps > 0
    around = [np.concatenate([part[-30:], part, part[:30]]) if closed else part for part in (x, y)]
    bend = _bend(*around)[30:-30] if closed else _bend(x, y)
    times = max(laps, 1)
    bend = np.tile(bend, times)
    x, y, height = np.tile(x, times), np.tile(y, times), np.tile(height, times)
    knots = np.arange(0, len(bend) + 200, 200)
    wander = 1 + ease * np.interp(np.arange(len(bend)), knots, rng.normal(0, 1, len(knots)))
    most = np.minimum(np.sqrt(true.lateral * _G / np.maximum(np.abs(bend), 1e-5)) * wander, 90.0)
    ratios = [quotient(bike.gearbox.primary) * quotient(g) * true.rear / true.front for g in bike.gearbox.gears or ()]
    along, up = np.gradient(x), np.gradient(y)
    # The air moves more and less by a fourth, from one stretch to the next.
    gusts = np.interp(np.arange(len(x)), knots, 1 + 0.25 * rng.normal(0, 1, len(knots))) if any(true.wind) else 1.0
    behind = gusts * (along * true.wind[0] + up * true.wind[1]) / np.maximum(np.hypot(along, up), 1e-9)
    rise = np.gradient(height)
    if closed:
        # Where one lap follows on the other nothing leaps.
        rise[[0, -1]] = (rise[1] + rise[-2]) / 2
    speed, gear, slipping, full = _driven(bike, true, most, bend, ratios, (behind, rise))
    step = 1 / np.maximum(speed, 1.0)
    at = np.concatenate([[0.0], np.cumsum((step[1:] + step[:-1]) / 2)])
    time = np.arange(0, at[-1], 0.02)
    v, k = np.interp(time, at, speed), np.interp(time, at, bend)
    number = gear[np.minimum(np.searchsorted(at, time), len(gear) - 1)]
    lean = np.arctan(v**2 * k / _G)
    crown = (bike.tyre.crown_radius_mm or 90.0) / 1000
    radius = true.rolls / math.tau * (1 + true.growth * v**2) - crown * (1 - np.cos(lean))
    locked = np.array(ratios)[number - 1] * v / radius
    engine = locked.copy()
    for i in np.flatnonzero(slipping[np.minimum(np.searchsorted(at, time), len(gear) - 1)]).tolist():
        if i:
            engine[i] = engine[i - 1] + 0.25 * (locked[i] - engine[i - 1])
    count = len(bend) // times
    opened = full[np.minimum(np.searchsorted(at, time), len(gear) - 1)]
    passed = tuple(float(at[min(n * count, len(at) - 1)]) for n in range(times + 1)) if closed else ()
    x, y, height = (np.interp(time, at, part) for part in (x, y, height))
    return Course(time, v, engine, number, lean, x, y, height, opened, passed)


def _bend(x: np.ndarray, y: np.ndarray) -> np.ndarray:
    heading = np.unwrap(np.arctan2(np.gradient(y), np.gradient(x)))
    return np.convolve(np.gradient(heading), np.ones(9) / 9, "same")


def _driven(
    bike: Bike,
    true: Ridden,
    most: np.ndarray,
    bend: np.ndarray,
    ratios: list[float],
    day: tuple[np.ndarray, np.ndarray],
) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """Speed, gear, whether the clutch slips after a shift and whether the engine alone limits the pull, at every metre.

    `day` is how fast the air moves along (m/s) and how much the line rises (m for each metre).
    """
    engine = bike.engine
    assert engine.torque is not None
    assert engine.redline_rpm is not None
    curve_n = np.array([row[0] for row in engine.torque]) * math.tau / 60
    curve_t = np.array([row[1] for row in engine.torque])
    up = true.up * engine.redline_rpm * math.tau / 60
    radius = true.rolls / math.tau
    weight = true.mass * _G
    wheel = (bike.load.wheel_inertia_kg_m2 or 1.0) / radius**2
    crank = engine.inertia_kg_m2 or 0.03
    rolling = bike.load.rolling_coefficient or 0.018
    efficiency = engine.efficiency or 0.93
    chassis = bike.chassis
    assert chassis.wheelbase_mm
    assert chassis.com_height_mm
    assert chassis.com_ahead_of_rear_axle_mm
    # Moments about the rear contact: the front wheel lifts, or the rear one, loaded by the thrust itself, slips.
    ahead, high = (x / chassis.wheelbase_mm for x in (chassis.com_ahead_of_rear_axle_mm, chassis.com_height_mm))
    lift = weight * ahead / high
    left = 1 - true.lateral * high
    grip = math.inf if left <= 0 else true.lateral * weight * (1 - ahead) / left
    limit = most.copy()
    for i in range(len(most) - 2, -1, -1):
        aside = min(limit[i + 1] ** 2 * abs(bend[i]) / (true.lateral * _G), 1.0)
        slows = true.braking * math.sqrt(max(1 - aside**2, 0.0))
        limit[i] = min(limit[i], math.sqrt(limit[i + 1] ** 2 + 2 * slows))
    speed, gear, slips = np.zeros(len(most)), np.ones(len(most), int), np.zeros(len(most), bool)
    full = np.zeros(len(most), bool)
    across = float(np.hypot(*true.wind)) ** 2 - day[0] ** 2
    v, number, waits = min(limit[0], 15.0), 2, 0.0
    number = max(number, true.lowest)
    for i in range(len(most)):
        while number < len(ratios) and ratios[number - 1] * v / radius > up and waits <= 0:
            number, waits = number + 1, engine.shift_time_s or 0.15
        while number > true.lowest and ratios[number - 2] * v / radius < 0.9 * up and waits <= 0 and v > limit[i] - 0.5:
            number -= 1
        ratio = ratios[number - 1]
        push = 0.0
        if waits <= 0:
            push = float(np.interp(ratio * v / radius, curve_n, curve_t)) * ratio * efficiency / radius
            aside = min(v**2 * abs(bend[i]) / (true.lateral * _G), 1.0)
            tyre = min(lift, grip * math.sqrt(max(1 - aside**2, 0.0)))
            full[i], push = push < tyre, min(push, tyre)
        # Drag is along the air that meets the rider: its whole speed times what of it is ahead.
        ahead_air = v - day[0][i]
        met = math.sqrt(ahead_air**2 + max(across[i], 0.0))
        load = 0.5 * _AIR * true.drag * met * ahead_air + (rolling + day[1][i]) * weight
        mass = true.mass + wheel + (crank * (ratio / radius) ** 2 if waits <= 0 else 0.0)
        speed[i], gear[i], slips[i] = v, number, waits > 0
        waits -= 1 / max(v, 1.0)
        if i + 1 < len(most):
            free = math.sqrt(max(v * v + 2 * (push - load) / mass, 4.0))
            v = min(free, limit[i + 1])
            full[i] &= free <= limit[i + 1]
    return speed, gear, slips, full


def recorded(
    course: Course,
    true: Ridden,
    rng: np.random.Generator,
    *,
    rate: float = 20.0,
    places: bool = True,
    gps: bool = True,
    wheel: bool = True,
    place_noise: float = 0.4,
    throttle: bool = False,
    heights: bool = False,
) -> RideLog:
    """The course as a logger has it; the wheel's speed counts turns of the leaned and grown rear tyre.

    Recorded heights wander by some metres over minutes.
    """
    keep = np.arange(0, len(course.time), round(50 / rate))
    v, count = course.speed[keep], len(keep)
    radius = true.rolls / math.tau
    turns = course.engine[keep] * 0 + v / (1 + true.growth * v**2)
    crown = 0.09
    turns = turns / (1 - crown / radius * (1 - np.cos(course.lean[keep])))
    wander = 1 + 0.0006 * np.sin(course.time[keep] / rng.uniform(30, 90))
    shown = np.maximum(turns * true.shown * wander + rng.normal(0, 0.04, count), 0.0)
    north = course.y[keep] + rng.normal(0, place_noise, count)
    east = course.x[keep] + rng.normal(0, place_noise, count)
    return RideLog(
        "course",
        course.time[keep],
        engine=np.round((course.engine[keep] + rng.normal(0, 1.5, count)) * 60 / math.tau) * math.tau / 60,
        road=np.round(shown * 36) / 36 if wheel else None,
        gps=v + rng.normal(0, 0.06, count) if gps else None,
        latitude=45 + north / _DEGREE_NORTH if places else None,
        longitude=-30 + east / _DEGREE_EAST if places else None,
        altitude=course.height[keep] + _wandering(rng, course.time[keep]) if heights else None,
        throttle=np.where(course.full[keep], 1.0, 0.3) if throttle else None,
        rows=count,
    )


def _wandering(rng: np.random.Generator, time: np.ndarray) -> np.ndarray:
    """How far a height by satellite is off: slowly by some metres, from row to row by a decimetre."""
    knots = np.arange(0.0, time[-1] + 60, 60.0)
    return np.asarray(np.interp(time, knots, rng.normal(0, 1.5, len(knots))) + rng.normal(0, 0.1, len(time)))


def roamed(bike: Bike, seed: int, *, unplaced: bool = False) -> tuple[RideLog, Truth]:
    """A road ride on a bike that may differ from its profile, and what it really was; `unplaced` is recorded with the
    speed by satellite, but without positions, and in half of the rides without the wheel's speed."""
    rng = np.random.default_rng([seed, 4711])
    own = as_profile(bike)
    front, rear = own.front, own.rear
    if rng.random() < 0.45:
        front, rear = front + int(rng.choice([-1, 0, 0, 1])), rear + int(rng.integers(-4, 5))
    rolls = own.rolls * math.exp(rng.normal(0, 0.012))
    instrument = rng.random() < 0.35
    shown = (
        (bike.speedometer.indicated_over_true or 1.0) * math.exp(rng.normal(0, 0.012))
        if instrument
        else math.exp(rng.normal(0, 0.003))
    )
    growth = float(rng.uniform(0, 3e-6))
    lateral = float(rng.uniform(0.35, 0.9))
    true = Ridden(front, rear, rolls, own.drag, own.mass, float(rng.uniform(4, 8)), lateral, shown, growth, 1)
    course = ridden(bike, true, road(rng, 6000.0), 0, rng, 0.03)
    sky = bool(rng.random() < 0.5)
    wheel = not sky or bool(rng.random() < 0.6)
    if unplaced:
        sky, wheel = True, bool(rng.random() < 0.5)
    places = sky and not unplaced
    log = recorded(course, true, rng, rate=float(rng.choice([10, 20, 50])), places=places, gps=sky, wheel=wheel)
    box = tuple(quotient(bike.gearbox.primary) * quotient(gear) for gear in bike.gearbox.gears or ())
    return log, Truth(front, rear, rolls, shown, growth, sky, box)
