"""The laws of force and motion, once, for one motorcycle and for many: every argument broadcasts. SI.

N, m, m/s, rad/s, kg, rad. Ratios come as `over_radius`, the overall ratio over the rolling radius at rest (1/m).
Valid for a tyre that does not slip and speeds at which air is incompressible. Sources are named at each law.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from gearplan.bike.text.units import STANDARD_GRAVITY
from gearplan.drive.gearing import engine_speed, grown, grows, road_speed
from gearplan.drive.sprocket import Values

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

#: An engine speed that much above the limiter is still at it: rounding.
AT_LIMITER = 1 + 1e-12
#: Even points between the ends of a search, besides those of the torque curve.
_EVEN = 25
_MOST_ROUNDS = 60
_CLOSE = 4e-16
#: Below it two terms of 1/x cancel by more than the next term of their series counts.
_CANCELS = 1e-4


class Engine(Protocol):
    """What the laws ask of `thrust.Machine` and `machines.Machines`."""

    @property
    def engine(self) -> tuple[float, ...] | Floats:
        """Engine speeds of the torque curve's points (rad/s), ascending."""
        ...

    @property
    def torque(self) -> tuple[float, ...] | Floats:
        """Torque at those points (N·m)."""
        ...

    @property
    def efficiency(self) -> float:
        """Share of the crank's power that arrives at the tyre."""
        ...

    @property
    def launch(self) -> float:
        """Engine speed at which the clutch slips in first gear (rad/s); 0 without one."""
        ...

    @property
    def growth(self) -> float:
        """Relative growth of the rolling radius with the square of the speed (s²/m²)."""
        ...


# -- thrust -------------------------------------------------------------------------------------------------------


def torque_at(engine: Engine, turning: Values) -> Floats:
    """Torque (N·m) at engine speeds, linear between the curve's points and held at its ends."""
    return np.asarray(np.interp(turning, engine.engine, engine.torque))


def at_tyre(engine: Engine, torque: Values, over_radius: Values, speed: Values, growth: Values | None = None) -> Floats:
    """Force at the tyre (N) of a torque at the crank: T·i·η/R, R as grown at the speed, by the engine's own `growth`
    unless another is given."""
    by = engine.growth if growth is None else growth
    share = engine.efficiency / grown(speed, by) if grows(by) else engine.efficiency
    return np.asarray(torque * np.asarray(over_radius, float) * share)


def pull(engine: Engine, speed: Values, over_radius: Values, *, first: bool | Bools) -> tuple[Floats, Floats]:
    """(Force at the tyre in N, engine speed in rad/s) at full throttle, without any limit.

    `first` marks first gear, in which the clutch slips below the launch speed: the torque is that of the launch.
    """
    v = np.asarray(speed, float)
    turning = engine_speed(v, over_radius, 1.0, engine.growth)
    driven = turning if first is False else np.where(first, np.maximum(turning, engine.launch), turning)
    return at_tyre(engine, torque_at(engine, driven), over_radius, v), turning


def bound(lift: Values, grip: Values, slope: Values = 0.0) -> Floats:
    """The lower of both limits of the tyre on a slope (N), from those on the level: they go with its cosine."""
    return np.asarray(np.minimum(lift, grip) * np.cos(slope))


def grip_left(tangent: Floats, side: Floats) -> Floats:
    """Share of the grip that a lean leaves for the drive, √(1 − (tan φ/μ)²): the friction ellipse."""
    used = tangent / side
    return np.asarray(np.sqrt(np.maximum(1 - used * used, 0.0)))


# -- the tyre's limits -----------------------------------------------------------------------------------------------


def lift_limit(mass: Values, ahead: Values, height: Values) -> Floats:
    """Thrust at which the front wheel lifts on the level: m·g·b/h.

    b the centre of mass ahead of the rear contact, h its height. Source: moments about the rear contact point;
    Cossalter, Motorcycle Dynamics (from memory).
    """
    return np.asarray(mass * STANDARD_GRAVITY * ahead / height)


def grip_limit(mass: Values, ahead: Values, height: Values, wheelbase: Values, grip: Values) -> Floats:
    """Thrust at which the rear tyre spins on the level: μ·m·g·((w − b)/w)/(1 − μ·h/w).

    Load moves to the rear as the motorcycle accelerates; without limit (infinite) where the denominator is not
    positive: it then lifts the front wheel first.
    """
    room = 1 - np.asarray(grip, float) * height / wheelbase
    with np.errstate(divide="ignore"):
        force = grip * mass * STANDARD_GRAVITY * (wheelbase - ahead) / wheelbase / np.where(room > 0, room, np.nan)
    return np.asarray(np.where(room > 0, force, np.inf))


# -- what resists -------------------------------------------------------------------------------------------------


def drag(square: Values, speed: Values, wind: Values) -> Floats:
    """Drag (N), k·u·|u|, u the air speed: road speed and head wind; a faster tail wind pushes. k = ½·ρ·CdA."""
    air = np.asarray(speed, float) + wind
    return np.asarray(square * air * np.abs(air))


def rolling_and_slope(mass: Values, rolling: Values, slope: Values) -> Floats:
    """Rolling resistance and gradient (N), m·g·(c_r·cos a + sin a), for slopes a in rad, up positive."""
    return np.asarray(mass * STANDARD_GRAVITY * (rolling * np.cos(slope) + np.sin(slope)))


# -- coasting -----------------------------------------------------------------------------------------------------


def coasted(
    square: Values, constant: Values, mass: Values, wind: Values, speed: Values, time: Values
) -> tuple[Floats, Floats]:
    """(Speed, distance) after coasting for a time without drive from a road speed of 0 or more; stops at standstill.

    Closed form of m·du/dt = −(k·u·|u| + c) for every wind, slope and sign: while the air comes from one side,
    u = (u₀·C − c·t/m·S)/(C + k·u₀·t/m·S) with z = k·c·t²/m², C = cos √z and S = sin √z/√z (hyperbolic for z < 0);
    the way through the air is m/k·ln of that denominator. Where the air turns, it goes on from rest in the air.
    """
    k, c, m, w, v, t = np.broadcast_arrays(*(np.asarray(a, float) for a in (square, constant, mass, wind, speed, time)))
    u = v + w
    # Looked at from the side from which the air comes: there it flows by at u ≥ 0.
    side = np.where((u < 0) | ((u == 0) & (c > 0)), -1.0, 1.0)
    flow, against = side * u, side * c
    still = np.zeros_like(flow)
    turns = np.where(against > 0, _time_between(k, against, m, flow, still), np.inf)
    slows = k * u * np.abs(u) + c > 0
    # Standstill: the air then flows by at the wind's own speed, perhaps after it has turned.
    before = side * w >= 0
    first = _time_between(k, against, m, np.where(before, flow, 0.0), np.abs(w))
    stops = np.where(slows, np.where(before, first, turns + _time_between(k, -against, m, still, -side * w)), np.inf)
    lasts = np.minimum(t, stops)
    until = np.minimum(lasts, turns)
    after, run = _one_way(k, against, m, flow, until)
    air, way = side * after, side * run
    rest = lasts - until
    if np.any(rest > 0):
        after, run = _one_way(k, -against, m, still, rest)
        air, way = np.where(rest > 0, -side * after, air), way - side * np.where(rest > 0, run, 0.0)
    return np.where(stops <= t, 0.0, np.maximum(air - w, 0.0)), np.maximum(way - w * lasts, 0.0)


def _one_way(k: Floats, c: Floats, m: Floats, u: Floats, t: Floats) -> tuple[Floats, Floats]:
    """(Air speed, way through the air) after a time in which the air speed u stays 0 or more."""
    over = t / m
    z = k * c * over * over
    cosine, sine = _cosine(z), _sine(z)
    below = cosine + k * u * over * sine
    after = (u * cosine - c * over * sine) / below
    # 1 less, without cancelling: cos x − 1 = −2·sin²(x/2).
    half = _sine(z / 4)
    less = k * u * over * sine - z * half * half / 2
    with np.errstate(divide="ignore", invalid="ignore"):
        way = np.where(k > 0, m / np.where(k > 0, k, 1.0) * np.log1p(less), u * t - c * t * over / 2)
    return np.maximum(after, 0.0), way


def _time_between(k: Floats, c: Floats, m: Floats, u: Floats, then: Floats) -> Floats:
    """Time in which the air speed goes from one value to another, both 0 or more; infinite where it never does."""
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        x = (u - then) / (c + k * u * then)
        z = k * c * x * x
        root = np.sqrt(np.abs(z))
        turned = np.where(z > 0, np.arctan(root), np.arctanh(np.where(root < 1, root, np.nan)))
        found = m * x * np.where(root > 1e-9, turned / root, 1.0)
    return np.where((found >= 0) & np.isfinite(found), found, np.where(u == then, 0.0, np.inf))


def _cosine(z: Floats) -> Floats:
    root = np.sqrt(np.abs(z))
    return np.where(z > 0, np.cos(root), np.cosh(np.minimum(root, 300.0)))


def _sine(z: Floats) -> Floats:
    """sin √z/√z, 1 at 0; hyperbolic below."""
    root = np.sqrt(np.abs(z))
    safe = np.where(root > 1e-9, root, 1.0)
    return np.where(root > 1e-9, np.where(z > 0, np.sin(safe), np.sinh(np.minimum(safe, 300.0))) / safe, 1.0)


# -- what changes evenly ------------------------------------------------------------------------------------------


def mean_exp(x: Values) -> Floats:
    """(eˣ − 1)/x, the mean of the exponential from 0 to x; 1 at 0."""
    x = np.asarray(x, float)
    return np.asarray(np.where(x == 0, 1.0, np.expm1(np.minimum(x, 700.0)) / np.where(x == 0, 1.0, x)))


def mean_place(x: Values) -> Floats:
    """1/x − 1/(eˣ − 1): where between both ends, as a share, the mean lies that weighs each place by 1/F.

    F goes in a straight line and x is the logarithm of F at the far end over F at the near one; a half at 0, where
    both terms would cancel.
    """
    x = np.asarray(x, float)
    near = np.abs(x) < _CANCELS
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        exact = 1 / x - 1 / np.expm1(x)
    return np.asarray(np.where(near, 0.5 - x / 12, exact))


# -- where one thing meets another --------------------------------------------------------------------------------


def crossing(excess: Callable[[Floats], Floats], low: Floats, high: Floats, at_low: Floats, at_high: Floats) -> Floats:
    """Where a function is 0 between places at which its signs differ, all at once, to the last digits.

    `excess` takes places of the shape of `low`. False position with the kept end halved (Dowell and Jarratt, 1971).
    """
    low, high = np.array(low, float), np.array(high, float)
    one, other = np.array(at_low, float), np.array(at_high, float)
    found = np.where(one == 0, low, high)
    for _ in range(_MOST_ROUNDS):
        with np.errstate(divide="ignore", invalid="ignore"):
            share = one / (one - other)
        share = np.where(np.isfinite(share), np.clip(share, 0.0, 1.0), 0.5)
        found = low + share * (high - low)
        value = excess(found)
        same = value * other > 0
        # The end that stays loses half of its weight, so that it is left soon.
        one = np.where(same, one / 2, other)
        low = np.where(same, low, high)
        high, other = found, value
        if not ((value != 0) & (np.abs(high - low) > _CLOSE * np.abs(found))).any():
            break
    return found


def shift_engine(
    engine: Engine,
    *,
    top: float,
    over_radius: Floats,
    step: float,
    masses: tuple[Floats, Floats],
    load: tuple[float, float, Values],
    first: bool,
) -> Floats:
    """Engine speed (rad/s) of the up-shift out of one gear, of shape [set].

    The lower of `top` (limiter, or the rider's shift speed) and the speed from which the next gear accelerates harder,
    before the limits of lift and grip. `over_radius` [set] is that of this gear, `step` how much of it the next has,
    `masses` the equivalent masses in both [set], `load` (k, wind, constant or that of each set) of the road. Nodes
    stand at every point of the torque curve, as seen from either gear, so that between two of them both torques are
    straight.
    """
    square, wind, constant = load
    low = 0.2 * top
    points = np.asarray(engine.engine, float)
    at = np.concatenate([np.linspace(low, top, _EVEN), points, points / step, [engine.launch]])
    at = np.unique(at[(at >= low) & (at <= top)])
    here, after = torque_at(engine, np.maximum(at, engine.launch) if first else at), torque_at(engine, at * step)
    now, then = masses[0], masses[1]
    constant = np.broadcast_to(np.asarray(constant, float), now.shape)

    def better(n: Floats, torque: Floats, following: Floats, rows: NDArray[np.int_] | slice) -> Floats:
        k = over_radius[rows]
        if n.ndim > 1:
            k, one, other, rest = k[:, None], now[rows][:, None], then[rows][:, None], constant[rows][:, None]
        else:
            one, other, rest = now[rows], then[rows], constant[rows]
        v = road_speed(n, k, 1.0, engine.growth)
        resists = drag(square, v, wind) + rest
        pulls, would = (at_tyre(engine, t, k * part, v) for t, part in ((torque, 1.0), (following, step)))
        return np.asarray((would - resists) / other - (pulls - resists) / one)

    gain = better(at[None, :], here[None, :], after[None, :], slice(None))
    worse = gain <= 0
    last = worse.shape[1] - 1 - np.argmax(worse[:, ::-1], axis=1)
    found = np.where(worse.any(axis=1), top, at[0])
    rows = np.nonzero(worse.any(axis=1) & (last < len(at) - 1))[0]
    if len(rows):
        j = last[rows]
        low_n, high_n = at[j], at[j + 1]

        def gains(n: Floats) -> Floats:
            share = (n - low_n) / (high_n - low_n)
            torque, following = (t[j] + share * (t[j + 1] - t[j]) for t in (here, after))
            return better(n, torque, following, rows)

        found[rows] = crossing(gains, low_n, high_n, gain[rows, j], gain[rows, j + 1])
    return found
