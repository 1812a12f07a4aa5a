"""Demo logs: rides and laps of an invented rider, with a known truth, recorded by an imperfect logger.

The motion follows the thrust and the road load of `gearplan.drive`; a rider with a will of its own accelerates, shifts,
slips the clutch, cruises, coasts with the clutch in and stops. The logger adds noise, rounding, lag, drift and
drop-outs. Everything is drawn from a seed, so the same call gives the same log. The laps run in the Atlantic.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from gearplan.bike.circuit import Circuit
from gearplan.bike.text.units import DEGREE, KMH, RPM
from gearplan.drive.motion.roadload import Road, road_load
from gearplan.drive.motion.thrust import Machine, shift_speeds, thrust
from gearplan.language import tr
from gearplan.ridelog.log import Floats, RideLog
from gearplan.ridelog.places import radii

#: Where the demo circuits lie: water.
_PLACE = (45.0, -30.0)
_STEP = 0.05
_BRAKING = 6.0


@dataclass(frozen=True, slots=True, eq=False)
class Motion:
    """What truly happened, at even steps of time: SI; `gear` from 1, 0 while the clutch is in or slips.

    `x`, `y`, `height` are None for a ride without a place; `laps` are the times at which a lap began.
    """

    time: Floats
    speed: Floats
    engine: Floats
    gear: Floats
    throttle: Floats
    x: Floats | None = None
    y: Floats | None = None
    height: Floats | None = None
    laps: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Logger:
    """How a log is recorded: noise as standard deviations, `drift` as the amplitude of a slow wander of the speed.

    `shown_over_true` is how much the wheel's speed flatters at a crawl, `growth` of the tyre's radius with speed
    squared (s²/m²) makes it flatter less. `drop_outs` counts stretches of a few seconds without a value.
    """

    rate: float = 20.0
    engine_noise: float = 15 * RPM
    engine_step: float = 1 * RPM
    speed_noise: float = 0.15 * KMH
    speed_step: float = 0.1 * KMH
    lag: float = 0.04
    drift: float = 0.0005
    shown_over_true: float = 1.0
    growth: float = 0.0
    drop_outs: int = 2
    gps: bool = False
    gps_noise: float = 0.06
    place_noise: float = 0.4
    height_noise: float = 0.3


def demo_ride(machine: Machine, road: Road, seed: int, *, minutes: float = 5.0, idle: float = 1300 * RPM) -> Motion:
    """A road ride: towns, open road and now and then a long coast with the clutch in."""
    rng = np.random.default_rng(seed)
    steps = int(minutes * 60 / _STEP)
    speed, engine, gear, throttle = (np.zeros(steps) for _ in range(4))
    rider = _Rider(machine, road, idle, rng)
    for i in range(steps):
        rider.step(i * _STEP)
        speed[i], engine[i], gear[i], throttle[i] = rider.speed, rider.engine, rider.shown_gear, rider.throttle
    return Motion(np.arange(steps, dtype=float) * _STEP, speed, engine, gear, throttle)


@dataclass(slots=True)
class _Rider:
    """A rider who follows targets of speed; one step is _STEP seconds."""

    machine: Machine
    road: Road
    idle: float
    rng: np.random.Generator
    speed: float = 0.0
    engine: float = 0.0
    gear: int = 0
    throttle: float = 0.0
    target: float = 0.0
    until: float = 0.0
    coasts: bool = False
    eager: float = 0.6
    shifting: float = -1.0
    wanted: int = 0
    open_clutch: bool = True

    @property
    def shown_gear(self) -> int:
        return 0 if self.open_clutch else self.gear + 1

    def _plan(self, now: float) -> None:
        kind = self.rng.random()
        top = 0.75 * self.machine.limiter * self.machine.radius / self.machine.overall[-1]
        self.coasts = kind > 0.82 and self.speed > 14
        if self.coasts:
            self.until = now + self.rng.uniform(6, 14)
        elif kind < 0.1:
            self.target, self.until = 0.0, now + self.rng.uniform(8, 16)
        else:
            slips_to = 0.7 * self.machine.launch * self.machine.radius / self.machine.overall[0]
            self.target = self.rng.uniform(max(0.18 * min(top, 45.0), slips_to), min(top, 45.0))
            self.until = now + self.rng.uniform(6, 22)
        self.eager = self.rng.uniform(0.35, 0.9)

    def step(self, now: float) -> None:
        if now >= self.until:
            self._plan(now)
        overall, radius = self.machine.overall, self.machine.radius
        if self.shifting >= 0:
            self.shifting -= _STEP
            if self.shifting < 0:
                self.gear = self.wanted
        locked = self.speed * overall[self.gear] / radius
        slipping = self.gear == 0 and locked < 0.55 * self.machine.launch and self.target > 0.5
        self.open_clutch = self.coasts or self.shifting >= 0 or locked < 1.05 * self.idle or slipping
        load = float(road_load(self.road, self.speed)) if self.speed > 0.05 else 0.0
        mass = self.machine.equivalent_mass(None if self.open_clutch else self.gear)
        force, self.throttle = self._force(load, slipping)
        self.speed = max(0.0, self.speed + (force - load) / mass * _STEP)
        self._turn(slipping)
        if self.shifting < 0 and not self.open_clutch:
            self._shift()
        elif self.open_clutch and not slipping and self.shifting < 0 and not self.coasts:
            # Rolled out: into the gear for the speed before the clutch is let in again.
            self.gear = 0

    def _force(self, load: float, slipping: bool) -> tuple[float, float]:
        if self.coasts or self.shifting >= 0:
            return 0.0, 0.0
        wanted = load + 500.0 * float(np.clip(0.7 * (self.target - self.speed), -4.0, 4.0))
        most = float(thrust(self.machine, self.gear, self.speed))
        if slipping:
            return min(wanted, 0.45 * most), 0.4
        if wanted >= 0:
            force = min(wanted, self.eager * most) if not self.open_clutch else 0.0
            return force, float(np.clip(force / most, 0, 1)) if most else 0.0
        return wanted, 0.0

    def _turn(self, slipping: bool) -> None:
        locked = self.speed * self.machine.overall[self.gear] / self.machine.radius
        if not self.open_clutch:
            self.engine = locked
        elif slipping:
            self.engine += (max(0.55 * self.machine.launch, locked) - self.engine) * 0.3
        elif self.shifting >= 0:
            ahead = self.speed * self.machine.overall[self.wanted] / self.machine.radius
            self.engine += (ahead - self.engine) * 0.4
        else:
            self.engine += (self.idle - self.engine) * 0.12

    def _shift(self) -> None:
        limiter, last = self.machine.limiter, len(self.machine.overall) - 1
        if self.engine > (0.35 + 0.5 * self.eager) * limiter and self.gear < last:
            self.wanted = self.gear + 1
        elif self.engine < 0.26 * limiter and self.gear > 0:
            self.wanted = self.gear - 1
        else:
            return
        self.shifting, self.open_clutch = 0.25, True


def closing(circuit: Circuit) -> Circuit:
    """The circuit with its straights lengthened or shortened as little as it takes to end where it began."""
    starts = np.concatenate([[0.0], np.cumsum([s.turn_deg for s in circuit.sections])]) * DEGREE
    heading = (starts[:-1] + starts[1:]) / 2
    free = [i for i, s in enumerate(circuit.sections) if s.kind == "straight"]
    lengths = np.array([s.length_m for s in circuit.sections])
    half = np.diff(starts) / 2
    chord = np.where(np.abs(half) > 1e-9, np.sin(half) / np.where(half == 0, 1, half), 1.0)
    along = np.array([np.cos(heading) * chord, np.sin(heading) * chord])
    change = np.linalg.lstsq(along[:, free], -(along @ lengths), rcond=None)[0]
    sections = list(circuit.sections)
    for i, by in zip(free, change.tolist(), strict=True):
        sections[i] = replace(sections[i], length_m=max(sections[i].length_m + by, 5.0))
    return replace(circuit, sections=tuple(sections))


def demo_laps(machine: Machine, road: Road, circuit: Circuit, laps: int = 4, *, ease: float = 0.0) -> Motion:
    """Laps of a closing circuit, from a rolling start to a slow lap home; `ease` slows every other lap by that share.

    Each corner with an apex speed is held at it, straights are driven by thrust and a braking of 6 m/s².
    """
    s, limit, heading, slope = _line(circuit)
    step = float(s[1] - s[0])
    parts = []
    for lap in range(laps + 2):
        slower = 1 - (0.12 if lap in (0, laps + 1) else ease * (lap % 2))
        parts.append(np.minimum(limit, 1e3) * slower)
    bound = np.concatenate(parts)
    shifts = np.array(shift_speeds(machine, road))
    v = _driven(machine, road, bound, np.tile(slope, laps + 2), step, shifts)
    first, last = int(0.55 * len(s)), len(bound) - int(0.4 * len(s))
    v, place = v[first:last], np.arange(first, last) * step
    at = np.concatenate([[0.0], np.cumsum(2 * step / (v[1:] + v[:-1]))])
    time = np.arange(0, float(at[-1]), _STEP / 2)
    speed = np.asarray(np.interp(time, at, v))
    along = np.asarray(np.interp(time, at, place))
    gear = 1 + np.searchsorted(shifts, speed)
    overall = np.array(machine.overall)[gear - 1]
    engine = speed * overall / machine.radius
    for i in np.flatnonzero(np.diff(gear)).tolist():
        # The clutch is open for the time of a shift, and the engine finds its new speed meanwhile.
        width = 4
        low, high = max(i - width, 0), min(i + width, len(time) - 1)
        engine[low:high] = np.linspace(engine[low], engine[high], high - low)
        gear[low:high] = 0
    rising = np.gradient(speed, time) > -0.3
    length = len(s) * step
    begun = tuple(float(np.interp(length * lap, along, time)) for lap in range(1, laps + 2))
    wrapped = along % length
    x, y, height = (
        np.asarray(np.interp(wrapped, np.append(s, length), np.append(line, line[0])))
        for line in _map(s, heading, slope)
    )
    return Motion(time, speed, engine, gear.astype(float), rising.astype(float), x, y, height, begun)


def _line(circuit: Circuit, step: float = 1.0) -> tuple[Floats, Floats, Floats, Floats]:
    """Distance, greatest speed, heading (rad) and slope (rad) along one lap."""
    starts = np.array(circuit.starts_m)
    count = round(circuit.length_m / step)
    s = np.linspace(0, circuit.length_m, count, endpoint=False)
    at = np.clip(np.searchsorted(starts, s, side="right") - 1, 0, len(circuit.sections) - 1)
    apex = [math.inf if (q.kind == "straight" or q.apex_kmh is None) else q.apex_kmh * KMH for q in circuit.sections]
    turned = np.concatenate([[0.0], np.cumsum([q.turn_deg for q in circuit.sections])]) * DEGREE
    heading = np.interp(s, starts, turned)
    slope = np.arctan(np.array([q.gradient_percent for q in circuit.sections]) / 100)[at]
    return np.asarray(s, float), np.array(apex)[at], np.asarray(heading), np.asarray(slope)


def _driven(machine: Machine, road: Road, bound: Floats, slope: Floats, step: float, shifts: Floats) -> Floats:
    """Speed at each step under the bound: forward under thrust with a pause for each up-shift, backward braking."""
    v = bound.copy()
    for i in range(len(v) - 2, -1, -1):
        v[i] = min(v[i], math.sqrt(v[i + 1] ** 2 + 2 * _BRAKING * step))
    grid = np.linspace(0.5, max(machine.top_of(g) for g in range(len(machine.overall))), 500)
    gears = range(len(machine.overall))
    pulled = np.max([(thrust(machine, g, grid) - road_load(road, grid)) / machine.equivalent_mass(g) for g in gears], 0)
    rolled = -road_load(road, grid) / machine.equivalent_mass(None)
    gear, pause = int(np.searchsorted(shifts, v[0])), 0.0
    for i in range(1, len(v)):
        if v[i - 1] < v[i]:
            wanted = int(np.searchsorted(shifts, v[i - 1]))
            if wanted > gear:
                gear, pause = wanted, machine.shift_time
            driven = float(np.interp(v[i - 1], grid, pulled if pause <= 0 else rolled))
            pause -= step / v[i - 1]
            gained = v[i - 1] ** 2 + 2 * (driven - 9.81 * float(slope[i])) * step
            v[i] = min(v[i], math.sqrt(max(gained, 1.0)))
        if v[i] >= bound[i] or v[i] < v[i - 1] - _BRAKING * step / v[i - 1] / 2:
            gear, pause = int(np.searchsorted(shifts, v[i])), 0.0
    return v


def _map(s: Floats, heading: Floats, slope: Floats) -> tuple[Floats, Floats, Floats]:
    """Metres east, north and up along one lap; the height is closed."""
    step = float(s[1] - s[0])
    share = np.linspace(0, 1, len(s), endpoint=False)

    def closed(step_by_step: Any) -> Floats:
        line: Floats = np.concatenate([np.zeros(1), np.cumsum(step_by_step * step)])
        return np.asarray(line[:-1] - share * line[-1], float)

    return closed(np.cos(heading)), closed(np.sin(heading)), closed(np.sin(slope))


def recorded(motion: Motion, seed: int, logger: Logger | None = None, *, name: str = tr("demo ride")) -> RideLog:
    """The motion as a logger records it."""
    how = Logger() if logger is None else logger
    rng = np.random.default_rng(seed + 7919)
    time = np.arange(float(motion.time[0]), float(motion.time[-1]), 1 / how.rate)
    count = len(time)

    def at(line: Floats, lag: float = 0.0) -> Floats:
        return np.asarray(np.interp(time - lag, motion.time, line))

    engine = _rounded(at(motion.engine) + rng.normal(0, how.engine_noise, count), how.engine_step)
    true = at(motion.speed, how.lag)
    wander = 1 + how.drift * np.sin(math.tau * time / rng.uniform(40, 90) + rng.uniform(0, math.tau))
    shown = true * how.shown_over_true / (1 + how.growth * true**2) * wander
    road = _rounded(np.maximum(shown + rng.normal(0, how.speed_noise, count), 0.0), how.speed_step)
    last = np.clip(np.searchsorted(motion.time, time, side="right") - 1, 0, len(motion.time) - 1)
    gear, throttle = motion.gear[last], at(motion.throttle)
    for _ in range(how.drop_outs):
        begun = rng.integers(0, max(count - 1, 1))
        line = engine if rng.random() < 0.5 else road
        line[begun : begun + int(rng.uniform(1, 4) * how.rate)] = np.nan
    log = RideLog(name, time - time[0], engine=engine, road=road, gear=gear, throttle=throttle, rows=count)
    if how.gps or motion.x is not None:
        gps = at(motion.speed) + _slow_noise(rng, count, how.gps_noise, 1.5 * how.rate)
        log = replace(log, gps=np.maximum(gps, 0.0))
    if motion.x is None or motion.y is None or motion.height is None:
        return log
    meridian, across = radii(_PLACE[0])
    east, north = (at(line) + _slow_noise(rng, count, how.place_noise, 20 * how.rate) for line in (motion.x, motion.y))
    longitude = _PLACE[1] + east / (across * math.cos(_PLACE[0] * DEGREE)) / DEGREE
    height = 40 + at(motion.height) + _slow_noise(rng, count, how.height_noise, 20 * how.rate)
    return replace(log, latitude=_PLACE[0] + north / meridian / DEGREE, longitude=longitude, altitude=height)


def _rounded(values: Floats, step: float) -> Floats:
    return np.asarray(np.round(values / step) * step)


def _slow_noise(rng: np.random.Generator, count: int, deviation: float, rows: float) -> Floats:
    """Noise that wanders over some rows: white noise averaged, brought to its deviation."""
    width = max(1, int(rows))
    white = rng.normal(0, 1, count + width)
    total = np.cumsum(white)
    return np.asarray((total[width:] - total[:-width]) / math.sqrt(width) * deviation)[:count]


def csv_text(log: RideLog) -> str:
    """The log as a CSV file with headings that need no question."""
    shown: list[tuple[str, Floats | None, float, int]] = [
        ("time_s", log.time, 1.0, 3),
        ("rpm", log.engine, RPM, 0),
        ("speed_kmh", log.road, KMH, 2),
        ("gps_speed_kmh", log.gps, KMH, 2),
        ("latitude_deg", log.latitude, 1.0, 8),
        ("longitude_deg", log.longitude, 1.0, 8),
        ("altitude_m", log.altitude, 1.0, 2),
        ("gear", log.gear, 1.0, 0),
        ("throttle_percent", log.throttle, 0.01, 1),
        ("lean_deg", log.lean, DEGREE, 2),
    ]
    present = [(name, line / unit, places) for name, line, unit, places in shown if line is not None]
    heads = ",".join(name for name, _, _ in present)
    forms = ",".join(f"%.{places}f" for _, _, places in present)
    lines = [forms % tuple(row) for row in np.column_stack([line for _, line, _ in present]).tolist()]
    return "\n".join([heads, *lines, ""]).replace("nan", "")
