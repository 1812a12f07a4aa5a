"""Thrust in each gear, its limits, when to shift, and how fast it goes. SI: N, m, m/s, rad/s, kg."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from gearplan.drive import roadload
from gearplan.drive.roadload import Road
from gearplan.drive.sprocket import Values

Floats = NDArray[np.float64]

#: Points between standstill and limiter at which thrust and load are compared.
FINE = 400


@dataclass(frozen=True, slots=True)
class Machine:
    """One set on one motorcycle, as the thrust needs it.

    `engine` and `torque` are the points of the curve (rad/s, N·m), `overall` the overall ratios, first gear first.
    `lift` and `grip` are the thrust limits (infinite where not known). `mass` is without, `wheel` the equivalent
    mass of the wheels (I_w/R², kg), `crank` the engine's inertia (kg·m²). `growth` is the relative growth of the
    rolling radius with the square of the speed (s²/m²).
    """

    engine: tuple[float, ...]
    torque: tuple[float, ...]
    overall: tuple[float, ...]
    radius: float
    efficiency: float
    limiter: float
    launch: float
    shift_at: float
    shift_time: float
    lift: float
    grip: float
    mass: float
    wheel: float
    crank: float
    growth: float = 0.0

    @property
    def bound(self) -> float:
        """The lower of the two limits of the tyre."""
        return min(self.lift, self.grip)

    def top_of(self, gear: int) -> float:
        """Road speed of a gear (from 0) at the limiter."""
        return self.limiter * self.radius / self.overall[gear]

    def equivalent_mass(self, gear: int | None) -> float:
        """m + I_w/R² + I_e·i²/R²; without the engine's part for None, the clutch open."""
        own = self.mass + self.wheel
        return own if gear is None else own + self.crank * (self.overall[gear] / self.radius) ** 2


def thrust(machine: Machine, gear: int, speed: Values, *, limited: bool = True) -> Floats:
    """Thrust at the tyre in a gear (from 0): T(n)·i·η/R; in first below the launch speed T(launch).

    The torque curve is linear between its points and held at its ends; above the limiter there is none. `limited`
    applies front lift and grip.
    """
    force = engine_thrust(machine, machine.overall[gear], machine.radius, speed, first=gear == 0)
    return np.asarray(np.minimum(force, machine.bound) if limited else force)


def engine_thrust(machine: Machine, overall: Values, radius: Values, speed: Values, *, first: bool) -> Floats:
    """What the engine alone gives at the tyre for any overall ratios and rolling radii, which broadcast with `speed`.

    Only the engine of the machine is taken; `first` says that the clutch slips below the launch speed.
    """
    v, i = np.asarray(speed, float), np.asarray(overall, float)
    n = v * i / radius
    turning = np.maximum(n, machine.launch) if first else n
    force = np.interp(turning, machine.engine, machine.torque) * i * machine.efficiency / radius
    return np.asarray(np.where(n <= machine.limiter * (1 + 1e-12), force, 0.0))


def shift_speeds(machine: Machine, road: Road) -> tuple[float, ...]:
    """Road speed of each up-shift, length gears − 1.

    The lower of the limiter (or the shift speed that the user sets) and the speed from which the next gear
    accelerates harder; the crossing uses the thrust before the limits of lift and grip.
    """
    found = []
    for gear in range(len(machine.overall) - 1):
        top = min(machine.limiter, machine.shift_at) * machine.radius / machine.overall[gear]
        v = np.linspace(0.2 * top, top, FINE)
        load = roadload.road_load(road, v)
        here, after = (
            (thrust(machine, g, v, limited=False) - load) / machine.equivalent_mass(g) for g in (gear, gear + 1)
        )
        gain = after - here
        if gain[-1] <= 0:
            found.append(top)
            continue
        # The last place where this gear is still the better one, and straight on to the crossing.
        below = np.nonzero(gain <= 0)[0]
        if not len(below):
            found.append(float(v[0]))
            continue
        k = int(below[-1])
        share = gain[k] / (gain[k] - gain[k + 1])
        found.append(float(v[k] + share * (v[k + 1] - v[k])))
    return tuple(found)


@dataclass(frozen=True, slots=True)
class TopSpeed:
    """The greatest speed that can be held (m/s), in which gear (from 0), and by what it is limited."""

    speed: float
    gear: int
    limited_by: Literal["redline", "drag"]


def top_speed(machine: Machine, road: Road) -> TopSpeed | None:
    """Greatest v at which some gear's thrust still meets the road load, capped by its limiter.

    None if no gear can hold any speed (too steep).
    """
    best: TopSpeed | None = None
    for gear in range(len(machine.overall)):
        top = machine.top_of(gear)
        v = np.linspace(0.5, top, FINE)
        spare = thrust(machine, gear, v) - roadload.road_load(road, v)
        holds = np.nonzero(spare >= 0)[0]
        if not len(holds):
            continue
        k = int(holds[-1])
        found = TopSpeed(top, gear, "redline")
        if k < FINE - 1:
            share = spare[k] / (spare[k] - spare[k + 1])
            found = TopSpeed(float(v[k] + share * (v[k + 1] - v[k])), gear, "drag")
        if best is None or found.speed > best.speed * (1 + 1e-9):
            best = found
    return best
