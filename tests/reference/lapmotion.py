"""One set's lap by the equation of motion itself, integrated by scipy over the distance, section after section.

Independent of the program's tables: quasi-steady lap without lean. Corners are held at their apex speed where the
thrust allows; where the speed is below, full throttle up to it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.integrate import solve_ivp

from gearplan.bike.circuit import Circuit
from gearplan.drive.motion.machines import Machines
from gearplan.drive.motion.roadload import Road
from gearplan.drive.motion.thrust import Machine

G = 9.80665
CRAWL = 0.5


@dataclass
class Rider:
    machine: Machine
    road: Road
    shifts: tuple[float, ...]
    friction: float
    braking: float
    slope: float = 0.0

    def force(self, v: float, gear: int) -> float:
        m = self.machine
        i = m.overall[gear]
        n = v * i / m.radius
        at = max(n, m.launch) if gear == 0 else n
        full = float(np.interp(at, m.engine, m.torque)) * i * m.efficiency / m.radius
        return min(full, min(m.lift, m.grip) * math.cos(self.slope))

    def load(self, v: float) -> float:
        r, a = self.road, self.slope
        air = v + r.wind
        pull = 0.5 * r.density * r.drag_area * air * abs(air)
        return pull + r.mass * G * (r.rolling * math.cos(a) + math.sin(a))

    def mass(self, v: float, gear: int | None) -> float:
        m = self.machine
        own = m.mass + m.wheel
        if gear is None or (gear == 0 and v * m.overall[0] / m.radius < m.launch):
            return own
        return own + m.crank * (m.overall[gear] / m.radius) ** 2

    def gains(self, v: float, gear: int | None) -> float:
        drive = 0.0 if gear is None else self.force(v, gear)
        return (drive - self.load(v)) / self.mass(v, gear)

    def gear_at(self, v: float) -> int:
        return sum(v >= up * (1 - 1e-12) for up in self.shifts)

    def top(self, gear: int) -> float:
        return self.machine.top_of(gear)


def lap(rider: Rider, circuit: Circuit, apex: list[float], rounds: int = 12) -> float:
    """Lap time (s); `apex` holds the speed of each corner, infinite on straights."""
    sections = circuit.sections
    slopes = [math.atan(s.gradient_percent / 100) for s in sections]
    brake = [max(0.5, min(rider.braking, G * (rider.friction * math.cos(a) + math.sin(a)))) for a in slopes]
    top = max(rider.top(g) for g in range(len(rider.machine.overall)))
    cap = [min(v, top) for v in apex]
    ends = [math.inf] * len(sections)
    end = math.inf
    for _ in range(2):
        for k in reversed(range(len(sections))):
            ends[k] = end
            end = min(cap[k], math.sqrt(end**2 + 2 * brake[k] * sections[k].length_m))
    v, gear, waiting = min(end, cap[0]), -1, 0.0
    last = math.inf
    for _ in range(rounds):
        total = 0.0
        for k, section in enumerate(sections):
            rider.slope = slopes[k]
            time, v, gear, waiting = _section(rider, section.length_m, cap[k], ends[k], brake[k], v, gear, waiting)
            total += time
        if abs(total - last) < 1e-7:
            break
        last = total
    return total


def _section(
    r: Rider, length: float, cap: float, end: float, brake: float, v: float, gear: int, waiting: float
) -> tuple[float, float, int, float]:
    s = t = 0.0
    v = min(v, cap)
    if gear < 0:
        gear = r.gear_at(v)
    last = len(r.machine.overall) - 1

    def braking(s: float, v: float) -> float:
        return v * v - end * end - 2 * brake * (length - s)

    def braked() -> tuple[float, float, int, float]:
        return t + 2 * (length - s) / (v + end), end, -1, 0.0

    if braking(s, v) >= -1e-9 and end < math.inf and end <= v:
        return braked()
    while s < length - 1e-9:
        up = gear < last and v >= r.shifts[gear] - 1e-9
        if waiting <= 0 and up:
            if r.gains(v, gear + 1) > 0:
                gear, waiting = gear + 1, r.machine.shift_time
            elif r.gains(v, gear) < 0:
                gear = r.gear_at(v)
        ceiling = min(cap, r.top(gear) if gear == last else r.shifts[gear])
        drive = None if waiting > 0 else gear
        if waiting <= 0:
            if r.gains(v, gear) < 0:
                gear = drive = min(gear, r.gear_at(v))
            floor = r.shifts[gear - 1] if gear > 0 else CRAWL
            held = v >= ceiling - 1e-9 and r.gains(v, gear) >= 0
            if not held and gear > 0 and abs(v - floor) < 1e-9 and r.gains(v, gear) < 0:
                if r.gains(v, gear - 1) >= 0:
                    # Held by the lower gear, at the speed from which it would shift.
                    held, gear = True, gear - 1
                else:
                    gear = drive = gear - 1
                    floor = r.shifts[gear - 1] if gear > 0 else CRAWL
            if held or (v <= CRAWL + 1e-9 and r.gains(v, gear) < 0):
                to = length - s
                if end < v:
                    to = min(to, length - (v * v - end * end) / (2 * brake) - s)
                t, s = t + to / v, s + to
                return braked() if s < length - 1e-9 else (t, v, gear, 0.0)
        else:
            floor = CRAWL

        def motion(_s: float, y: Any, drive: int | None = drive) -> list[float]:
            speed = math.sqrt(max(y[0], 0.2))
            return [2 * r.gains(speed, drive), 1 / speed]

        started = t
        entered = v
        events: list[Any] = [
            lambda s, y: y[0] - end * end - 2 * brake * (length - s) if end < math.inf else -1.0,
            lambda _s, y, top=ceiling, d=drive: y[0] - (top * top if d is not None else 1e9),
            lambda _s, y, low=floor, v=entered: y[0] - low * low + (1e-7 if low < v - 1e-9 else 1e9),
            lambda _s, y, until=started + waiting, d=drive: y[1] - (until if d is None else 1e9),
        ]
        for event, way in zip(events, (1, 1, -1, 1), strict=True):
            event.terminal, event.direction = True, way
        run = solve_ivp(motion, (s, length), [v * v, t], events=events, max_step=1.0, rtol=1e-8, atol=1e-9)
        assert run.t_events is not None
        s, t, v = float(run.t[-1]), float(run.y[1, -1]), math.sqrt(float(run.y[0, -1]))
        waiting = max(0.0, waiting - (t - started)) if drive is None else 0.0
        if len(run.t_events[0]):
            return braked()
        if len(run.t_events[1]):
            v = ceiling
        if len(run.t_events[2]):
            v = floor
        if len(run.t_events[3]):
            waiting = 0.0
    return t, v, gear, waiting


def machines_of(
    machine: Machine, road: Road, *, friction: float, braking: float, crown: float = 0.0, growth: float = 0.0
) -> Machines:
    """The single set of `drive.motion.thrust` in the form that the program's own lap takes."""
    return Machines(
        engine=np.array(machine.engine, float),
        torque=np.array(machine.torque, float),
        over_radius=np.array([machine.overall], float) / machine.radius,
        radius=np.array([machine.radius]),
        crown=np.array([crown]),
        lift=np.array([machine.lift]),
        grip=np.array([machine.grip]),
        efficiency=machine.efficiency,
        limiter=machine.limiter,
        launch=machine.launch,
        shift_at=machine.shift_at,
        shift_time=machine.shift_time,
        mass=machine.mass,
        wheel_inertia=machine.wheel * machine.radius**2,
        crank=machine.crank,
        drag_area=road.drag_area,
        density=road.density,
        rolling=road.rolling,
        friction=friction,
        braking=braking,
        growth=growth,
    )
