"""Many sets on one motorcycle at once, as the lap needs them; one array row a set. SI: N, m, m/s, rad/s, kg."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from gearplan.drive.gearing import engine_speed, road_speed
from gearplan.drive.motion import force
from gearplan.drive.sprocket import Values

Floats = NDArray[np.float64]
Ints = NDArray[np.int_]

#: Points of the torque curve that lie within this share of the peak from the line of their neighbours add nothing.
_STRAIGHT_ENOUGH = 2e-4
_UNIFORM = 25


@dataclass(frozen=True, eq=False)
class Varied:
    """What differs from set to set of that which machines have in common; every array has the shape [set].

    `mass`, `friction`, `braking` and `apex` (the apex speeds that are entered) are factors, `wind` (m/s, a head wind),
    `shift_time` (s) are added; so are, to the lap's rules, `lowest` (gears, to the lowest one in a corner),
    `first_below` (m/s), `short_shift` (rad/s), `no_shift_beyond` (rad) and `down_shift` (s). Lift and grip of the
    machines are those with this mass and friction.
    """

    mass: Floats
    friction: Floats
    braking: Floats
    apex: Floats
    wind: Floats
    shift_time: Floats
    lowest: Ints
    first_below: Floats
    short_shift: Floats
    no_shift_beyond: Floats
    down_shift: Floats

    def some(self, which: Ints | slice) -> Varied:
        """The same for some of the sets."""
        return Varied(**{f.name: getattr(self, f.name)[which] for f in fields(self)})


@dataclass(frozen=True, eq=False)
class Machines:
    """One engine and chassis with many sets.

    `engine` and `torque` are the points of the curve (rad/s, N·m). `over_radius` [set, gear] is the overall ratio
    over the rolling radius (1/m), so that engine speed is over_radius · v. `radius`, `crown` (of the tyre's round
    section), `lift` and `grip` (limits of the thrust on the level, infinite where not known) have shape [set].
    `growth` is the relative growth of the radius with the square of the speed (s²/m²), `friction` the tyre's grip,
    `braking` the net deceleration that the rider uses (m/s²). `varied` is what of all this differs between the sets.
    """

    engine: Floats
    torque: Floats
    over_radius: Floats
    radius: Floats
    crown: Floats
    lift: Floats
    grip: Floats
    efficiency: float
    limiter: float
    launch: float
    shift_at: float
    shift_time: float
    mass: float
    wheel_inertia: float
    crank: float
    drag_area: float
    density: float
    rolling: float
    friction: float
    braking: float
    growth: float = 0.0
    varied: Varied | None = None

    @property
    def count(self) -> int:
        """How many sets there are."""
        return int(self.over_radius.shape[0])

    @property
    def gears(self) -> int:
        """How many gears there are."""
        return int(self.over_radius.shape[1])

    @cached_property
    def masses(self) -> Floats:
        """Mass [set]."""
        return self._each(self.mass, None if self.varied is None else self.varied.mass)

    @cached_property
    def frictions(self) -> Floats:
        """The tyre's grip [set]."""
        return self._each(self.friction, None if self.varied is None else self.varied.friction)

    @cached_property
    def brakings(self) -> Floats:
        """Net deceleration that the rider uses [set]."""
        return self._each(self.braking, None if self.varied is None else self.varied.braking)

    @cached_property
    def shift_times(self) -> Floats:
        """Time without drive in a shift [set]; never below 0."""
        if self.varied is None:
            return np.full(self.count, self.shift_time)
        return np.asarray(np.maximum(self.shift_time + self.varied.shift_time, 0.0))

    @cached_property
    def winds(self) -> Floats:
        """Head wind besides that of the lap's rules [set]."""
        return np.zeros(self.count) if self.varied is None else self.varied.wind

    def _each(self, common: float, factor: Floats | None) -> Floats:
        return np.full(self.count, common) if factor is None else np.asarray(common * factor)

    @cached_property
    def own_mass(self) -> Floats:
        """Equivalent mass with the clutch open, m + I_w/R² [set]."""
        return np.asarray(self.masses + self.wheel_inertia / self.radius**2)

    @cached_property
    def gear_mass(self) -> Floats:
        """Equivalent mass in each gear, with the engine's part [set, gear]."""
        return np.asarray(self.own_mass[:, None] + self.crank * self.over_radius**2)

    @property
    def top_shift(self) -> float:
        """Engine speed beyond which nobody stays in a gear that has another above it."""
        return min(self.limiter, self.shift_at)

    @property
    def square(self) -> float:
        """Drag over the square of the air speed (N·s²/m²)."""
        return 0.5 * self.density * self.drag_area

    def constant(self, set_: Ints | slice, slope: Values) -> Floats:
        """Rolling and gradient of sets on slopes in rad (N)."""
        return force.rolling_and_slope(self.masses[set_], self.rolling, slope)

    def speed_at(self, engine: Floats, over_radius: Floats) -> Floats:
        """Road speed (m/s) of an engine speed, the tyre grown."""
        return road_speed(engine, over_radius, 1.0, self.growth)

    def engine_at(self, speed: Floats, over_radius: Floats) -> Floats:
        """Engine speed (rad/s) of a road speed, the tyre grown."""
        return engine_speed(speed, over_radius, 1.0, self.growth)

    @cached_property
    def knots(self) -> Floats:
        """Engine speeds between which the torque is a straight line, ascending, within the limiter."""
        kept = _significant(self.engine, self.torque)
        return np.asarray(kept[(kept > 0) & (kept < self.limiter)])

    @cached_property
    def nodes(self) -> Floats:
        """Engine speeds at which the tables stand: close together where a lap is ridden, and at every knot."""
        low, high = 1e-3 * self.limiter, self.limiter
        lower = np.linspace(low, 0.45 * high, _UNIFORM // 4, endpoint=False)
        upper = np.linspace(0.45 * high, high, _UNIFORM - _UNIFORM // 4)
        fixed = np.concatenate([self.knots, [self.launch]])
        fixed = fixed[(fixed > low) & (fixed < high)]
        free = np.concatenate([lower, upper[:-1]])
        # A free node close to a fixed one only costs time.
        if len(fixed):
            gap = np.abs(free[:, None] - fixed[None, :]).min(axis=1)
            free = free[(gap > 0.004 * high) | (free == low)]
        return np.unique(np.concatenate([free, fixed, [high]]))

    @cached_property
    def shift_engine(self) -> Floats:
        """Engine speed (rad/s) of each up-shift on the level without wind [set, gear]; the limiter in the last gear.

        `force.shift_engine`'s, as for one machine.
        """
        found = np.full(self.over_radius.shape, self.limiter)
        level = self.constant(slice(None), 0.0)
        for gear in range(self.gears - 1):
            step = self.over_radius[:, gear + 1] / self.over_radius[:, gear]
            # Sets with the same two gears share the curve; a race gearbox has a few kinds.
            kinds, which = np.unique(np.round(step, 12), return_inverse=True)
            for kind, ratio in enumerate(kinds):
                rows = np.nonzero(which == kind)[0]
                found[rows, gear] = force.shift_engine(
                    self,
                    top=self.top_shift,
                    over_radius=self.over_radius[rows, gear],
                    step=float(ratio),
                    masses=(self.gear_mass[rows, gear], self.gear_mass[rows, gear + 1]),
                    load=(self.square, 0.0, level[rows]),
                    first=gear == 0,
                )
        return found

    @cached_property
    def shift_speed(self) -> Floats:
        """Road speed of each up-shift, upright [set, gear]; that of the limiter in the last gear."""
        return self.speed_at(self.shift_engine, self.over_radius)

    @cached_property
    def limit_speed(self) -> Floats:
        """Road speed at the limiter, upright [set, gear]."""
        return self.speed_at(np.full(self.over_radius.shape, self.limiter), self.over_radius)

    def some(self, which: Ints | slice) -> Machines:
        """The same with some of the sets."""
        rows = {key: getattr(self, key)[which] for key in ("over_radius", "radius", "crown", "lift", "grip")}
        return replace(self, **rows, varied=None if self.varied is None else self.varied.some(which))


def _significant(engine: Floats, torque: Floats) -> Floats:
    """The points of a curve that matter (Douglas and Peucker's rule, 1973, on the torque)."""
    if len(engine) < 3:
        return engine
    allowed = _STRAIGHT_ENOUGH * max(float(np.max(torque)), 1e-9)
    keep = np.zeros(len(engine), bool)
    keep[[0, -1]] = True
    spans = [(0, len(engine) - 1)]
    while spans:
        low, high = spans.pop()
        if high - low < 2:
            continue
        line = np.interp(engine[low + 1 : high], engine[[low, high]], torque[[low, high]])
        off = np.abs(torque[low + 1 : high] - line)
        worst = int(np.argmax(off))
        if off[worst] > allowed:
            middle = low + 1 + worst
            keep[middle] = True
            spans += [(low, middle), (middle, high)]
    return np.asarray(engine[keep])
