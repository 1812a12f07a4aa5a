"""Thrust in each gear, its limits, when to shift, and how fast it goes. SI: N, m, m/s, rad/s, kg."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from gearplan.drive.gearing import engine_speed, road_speed
from gearplan.drive.motion import force
from gearplan.drive.motion.roadload import Road
from gearplan.drive.sprocket import Values

Floats = NDArray[np.float64]
Ints = NDArray[np.int_]

#: From this share of the highest speed on, where drag sets it, a speed is hardly reached: the time to it hangs on the
#: last newtons that are left.
HARDLY = 0.97
#: Slower than this no speed counts as held (m/s).
_LEAST = 0.5
_EVEN = 16
#: Speeds this near each other, as a share, are the same.
_SAME = 1e-9


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
        """The lower of the two limits of the tyre (N)."""
        return min(self.lift, self.grip)

    def over_radius(self, gear: int) -> float:
        """Overall ratio of a gear (from 0) over the rolling radius at rest (1/m)."""
        return self.overall[gear] / self.radius

    def engine_at(self, gear: int, speed: Values) -> Floats:
        """Engine speed (rad/s) in a gear (from 0) at road speeds, the tyre grown."""
        return engine_speed(speed, self.overall[gear], self.radius, self.growth)

    def speed_at(self, gear: int, engine: Values) -> Floats:
        """Road speed (m/s) in a gear (from 0) at engine speeds, the tyre grown."""
        return road_speed(engine, self.overall[gear], self.radius, self.growth)

    def top_of(self, gear: int) -> float:
        """Road speed of a gear (from 0) at the limiter (m/s)."""
        return float(self.speed_at(gear, self.limiter))

    def equivalent_mass(self, gear: int | None) -> float:
        """m + I_w/R² + I_e·i²/R² (kg), R at rest; without the engine's part for None, the clutch open."""
        own = self.mass + self.wheel
        return own if gear is None else own + self.crank * self.over_radius(gear) ** 2


def thrust(machine: Machine, gear: int, speed: Values, *, limited: bool = True) -> Floats:
    """Thrust at the tyre (N) in a gear (from 0): T(n)·i·η/R; in first below the launch speed T(launch).

    The torque curve is linear between its points and held at its ends; above the limiter there is none. `limited`
    applies front lift and grip.
    """
    found = engine_thrust(machine, machine.overall[gear], machine.radius, speed, first=gear == 0)
    return np.asarray(np.minimum(found, machine.bound) if limited else found)


def engine_thrust(machine: Machine, overall: Values, radius: Values, speed: Values, *, first: bool) -> Floats:
    """What the engine alone gives at the tyre (N) for any overall ratios and rolling radii (m), which broadcast.

    Only the engine of the machine is taken; `first` says that the clutch slips below the launch speed.
    """
    found, turning = force.pull(machine, speed, np.asarray(overall, float) / radius, first=first)
    return np.asarray(np.where(turning <= machine.limiter * force.AT_LIMITER, found, 0.0))


def shift_speeds(machine: Machine, road: Road) -> tuple[float, ...]:
    """Road speed (m/s) of each up-shift, length gears − 1; the engine speed is `force.shift_engine`'s."""
    found = []
    for gear in range(len(machine.overall) - 1):
        engine = force.shift_engine(
            machine,
            top=min(machine.limiter, machine.shift_at),
            over_radius=np.array([machine.over_radius(gear)]),
            step=machine.overall[gear + 1] / machine.overall[gear],
            masses=(np.array([machine.equivalent_mass(gear)]), np.array([machine.equivalent_mass(gear + 1)])),
            load=(road.square, road.wind, road.constant),
            first=gear == 0,
        )
        found.append(float(machine.speed_at(gear, engine)[0]))
    return tuple(found)


@dataclass(frozen=True, slots=True)
class TopSpeed:
    """The greatest speed that can be held (m/s), in which gear (from 0), and by what it is limited."""

    speed: float
    gear: int
    limited_by: Literal["redline", "drag"]


def top_speed(machine: Machine, road: Road, gear: int | None = None) -> TopSpeed | None:
    """Greatest v at which some gear's thrust still meets the road load, capped by its limiter; or that of one gear.

    None if no gear can hold any speed (too steep).
    """
    gears = range(len(machine.overall)) if gear is None else (gear,)
    over_radius = np.array([[machine.over_radius(g) for g in gears]])
    speeds, which = _fastest(machine, road, over_radius, np.array([machine.bound]), first=gears[0] == 0)
    if np.isnan(speeds[0]):
        return None
    held = gears[int(which[0])]
    at_limiter = speeds[0] >= machine.top_of(held) * (1 - 1e-12)
    return TopSpeed(float(speeds[0]), held, "redline" if at_limiter else "drag")


def top_speeds(machine: Machine, road: Road, overall: Floats, radius: Floats, bound: Floats) -> Floats:
    """Greatest speeds that many sets can hold (m/s), NaN where none; `machine` gives the engine.

    `overall` has shape [set, gear], `radius` (m) and `bound` (the tyre's limit of the thrust, N) [set].
    """
    return _fastest(machine, road, overall / radius[:, None], bound, first=True)[0]


def hardly_reached(machine: Machine, road: Road, speed: float, gear: int | None = None) -> bool:
    """Whether a speed (m/s) lies so close below the highest one that drag allows, in all gears or in one (from 0).

    What little thrust is left there decides the time to it, and a breath of wind decides that.
    """
    beyond = speed / HARDLY
    for one in range(len(machine.overall)) if gear is None else (gear,):
        v = min(beyond, machine.top_of(one))
        if v >= speed and thrust(machine, one, v) >= force.drag(road.square, v, road.wind) + road.constant:
            return False
    top = top_speed(machine, road, gear)
    return top is not None and top.limited_by == "drag" and speed > HARDLY * top.speed


def _fastest(machine: Machine, road: Road, over_radius: Floats, bound: Floats, *, first: bool) -> tuple[Floats, Ints]:
    """(Greatest speed held, its gear) for each set; `over_radius` [set, gear], `first` whether gear 0 is first."""
    best, held = np.full(len(over_radius), np.nan), np.zeros(len(over_radius), int)
    can = _carried(road, bound)
    # From the last gear down: most of the others end below what it holds, and need not be asked.
    for gear in reversed(range(over_radius.shape[1])):
        k = over_radius[:, gear]
        top = road_speed(machine.limiter, k, 1.0, machine.growth)
        wanted = np.nonzero(~(np.minimum(top, can) < best * (1 - _SAME)))[0]
        if not len(wanted):
            continue
        found = _held(machine, road, k[wanted], machine.limiter, first=first and gear == 0)
        for place in np.nonzero(found > can[wanted])[0]:
            # Where the tyre carries less than the engine gives, only what lies below counts.
            row = wanted[place : place + 1]
            engine = float(engine_speed(can[row], k[row], 1.0, machine.growth)[0])
            found[place] = _held(machine, road, k[row], engine, first=first and gear == 0)[0] if engine > 0 else np.nan
        # Of gears that hold the same speed the lowest counts.
        better = np.isnan(best[wanted]) & ~np.isnan(found) | (found >= best[wanted] * (1 - _SAME))
        best[wanted[better]], held[wanted[better]] = found[better], gear
    return best, held


def _carried(road: Road, bound: Floats) -> Floats:
    """Greatest road speed at which a thrust meets the road load: k·u·|u| + c = F, solved for the air speed u."""
    left = bound - road.constant
    if road.square <= 0:
        return np.where(left >= 0, np.inf, -np.inf)
    return np.asarray(np.sign(left) * np.sqrt(np.abs(left) / road.square) - road.wind)


def _held(machine: Machine, road: Road, over_radius: Floats, top: float, *, first: bool) -> Floats:
    """Greatest speed (m/s) up to an engine speed at which one gear's engine meets the load, NaN if at none; [set].

    Nodes stand at every point of the torque curve. Between two of them thrust is straight and load a parabola, so
    that three values say whether thrust meets load somewhere between though it does at neither node.
    """
    at_end = force.torque_at(machine, max(top, machine.launch) if first else top)
    ends = road_speed(top, over_radius, 1.0, machine.growth)
    resists = force.drag(road.square, ends, road.wind) + road.constant
    if np.all(force.at_tyre(machine, at_end, over_radius, ends) >= resists) and np.all(ends >= _LEAST):
        return np.asarray(ends)
    points = np.asarray(machine.engine, float)
    at = np.concatenate([np.linspace(1e-3 * top, top, _EVEN), points, [machine.launch] if first else []])
    nodes = np.unique(at[(at >= 1e-3 * top) & (at <= top)])
    every = np.empty(2 * len(nodes) - 1)
    every[::2], every[1::2] = nodes, 0.5 * (nodes[1:] + nodes[:-1])
    torque = force.torque_at(machine, np.maximum(every, machine.launch) if first else every)

    def spare(n: Floats, gives: Floats, k: Floats) -> Floats:
        v = road_speed(n, k, 1.0, machine.growth)
        return np.asarray(force.at_tyre(machine, gives, k, v) - force.drag(road.square, v, road.wind) - road.constant)

    left = spare(every, torque, over_radius[:, None])
    low, middle, high = left[:, :-2:2], left[:, 1::2], left[:, 2::2]
    bend, slope = 0.5 * (low + high) - middle, 0.5 * (high - low)
    with np.errstate(divide="ignore", invalid="ignore"):
        peak = np.where(bend < 0, -0.5 * slope / bend, 2.0)
    inside = np.abs(peak) < 1
    holds = (low >= 0) | (high >= 0) | inside & (middle - 0.5 * slope * np.where(inside, -peak, 0.0) >= 0)
    some = np.nonzero(holds.any(axis=1))[0]
    found = np.full(len(over_radius), np.nan)
    j = (holds.shape[1] - 1 - np.argmax(holds[:, ::-1], axis=1))[some]
    k = over_radius[some]
    engine = np.full(len(some), top)
    rows = np.nonzero(high[some, j] < 0)[0]
    if len(rows):
        i, set_ = j[rows], some[rows]
        begins, ends = nodes[i], nodes[i + 1]
        share = np.where(low[set_, i] >= 0, 0.0, 0.5 * (1 + np.where(inside[set_, i], peak[set_, i], 0.0)))
        t0, t1 = torque[2 * i], torque[2 * i + 2]

        def excess(n: Floats) -> Floats:
            return spare(n, t0 + (n - begins) / (ends - begins) * (t1 - t0), k[rows])

        begin = begins + share * (ends - begins)
        engine[rows] = force.crossing(excess, begin, ends, np.maximum(excess(begin), 0.0), high[set_, i])
    found[some] = road_speed(engine, k, 1.0, machine.growth)
    return np.where(found >= _LEAST, found, np.nan)
