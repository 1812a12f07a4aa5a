"""The parts of a lap in which lean matters or the gear is held: marched in small steps of distance. SI.

Leaned by φ the tyre rolls on a smaller radius, R − ρ(1 − cos φ), so the engine turns faster; and the grip that holds
the motorcycle in its line is not there for the drive: the friction ellipse. Each step is Heun's for the square of the
speed; shifts within a step count with the part of it that they take. Costs pairs × steps.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from gearplan.bike.units import STANDARD_GRAVITY
from gearplan.drive.lap.tables import LEAST_SPEED
from gearplan.drive.motion import force
from gearplan.drive.motion.machines import Floats, Ints, Machines

Bools = NDArray[np.bool_]

_LEAST_STEPS, _MOST_STEPS = 8, 400


@dataclass(frozen=True, eq=False)
class Stretch:
    """What is marched, for each pair (all of one length): which set, over what ground and under which rules.

    `begins` is the lean at the start (rad), which falls evenly with the distance to 0 after `stands` metres; where
    `radius` is not infinite the lean follows from the speed instead. `side` is the grip to the side. `cap` is a speed
    not exceeded, `end` the speed and `length` the distance at which braking must have come to it, at `braking` m/s².
    """

    set_: Ints
    slope: Floats
    distance: Floats
    begins: Floats
    stands: Floats
    radius: Floats
    side: Floats
    cap: Floats
    hold: Bools
    length: Floats
    end: Floats
    braking: Floats

    def some(self, rows: Ints) -> Stretch:
        """Some of the pairs."""
        return Stretch(**{f.name: getattr(self, f.name)[rows] for f in fields(self)})

    def leaned(self, begins: Floats, stands: Floats) -> Stretch:
        """The same, begun with a lean that is gone after a distance."""
        return replace(self, begins=np.where(stands > 0, begins, 0.0), stands=np.maximum(stands, 1e-9))


@dataclass(eq=False)
class Marched:
    """State of each pair; after the march that at its end. `braked` tells how far it came before it had to brake."""

    speed: Floats
    gear: Ints
    waiting: Floats
    time: Floats
    shifts: Ints
    at_limiter: Floats
    braked: Floats
    cannot_climb: Bools
    peak: Floats
    peak_gear: Ints


def march(
    machines: Machines,
    way: Stretch,
    v: Floats,
    gear: Ints,
    waiting: Floats,
    *,
    wind: float,
    lean_shrinks: bool,
    share_grip: bool,
    no_shift_beyond: float,
    steps: int,
) -> Marched:
    """Full throttle over each pair's distance; `braked` is NaN where no braking point was met.

    Where one was met, speed and time are those at that point.
    """
    step = _March(machines, way, wind, lean_shrinks, share_grip, no_shift_beyond)
    v = np.maximum(np.minimum(v, way.cap), LEAST_SPEED)
    state = Marched(
        v.copy(),
        gear.copy(),
        waiting.copy(),
        np.zeros(len(v)),
        np.zeros(len(v), int),
        np.zeros(len(v)),
        np.full(len(v), np.nan),
        np.zeros(len(v), bool),
        v.copy(),
        gear.copy(),
    )
    # From full lean the share of the grip grows as the root of the distance: small steps first.
    edges = (np.arange(steps + 1) / steps) ** (2 if share_grip and bool(np.any(way.begins > 0)) else 1)
    brakes = np.isfinite(way.end)
    over = np.where(brakes, v**2 - way.end**2 - 2 * way.braking * way.length, -1.0)
    state.braked[brakes & (over >= 0)] = 0.0
    for k in range(steps):
        was_v, was_time, was_gear = state.speed, state.time, state.gear
        begins, ds = edges[k] * way.distance, (edges[k + 1] - edges[k]) * way.distance
        step.one(state, begins, ds)
        excess = state.speed**2 - way.end**2 - 2 * way.braking * (way.length - (begins + ds))
        met = brakes & np.isnan(state.braked) & (excess > 0)
        if met.any():
            share = np.where(met, over / np.where(met, over - excess, 1.0), 0.0)
            at = begins + share * ds
            speed = np.sqrt(np.maximum(way.end**2 + 2 * way.braking * (way.length - at), LEAST_SPEED**2))
            state.braked = np.where(met, at, state.braked)
            state.speed = np.where(met, speed, state.speed)
            state.time = np.where(met, was_time + 2 * share * ds / (was_v + speed), state.time)
        done = ~np.isnan(state.braked) & ~met
        state.speed, state.time = np.where(done, was_v, state.speed), np.where(done, was_time, state.time)
        state.gear = np.where(done, was_gear, state.gear)
        faster = state.speed > state.peak
        state.peak, state.peak_gear = (
            np.where(faster, state.speed, state.peak),
            np.where(faster, state.gear, state.peak_gear),
        )
        over = np.where(brakes, excess, -1.0)
    return state


def steps_for(distance: Floats, step: float) -> int:
    """How many steps of about a length (m) the longest of some distances takes."""
    return int(np.clip(math.ceil(float(distance.max(initial=0.0)) / step), _LEAST_STEPS, _MOST_STEPS))


def can_hold(machines: Machines, way: Stretch, v: Floats, gear: Ints, radius: Floats, wind: float) -> Bools:
    """Whether a gear can hold a speed; `radius` is the leaned over the upright one, the whole grip is there."""
    m, set_ = machines, way.set_
    pulls, turning = force.pull(m, v, m.over_radius[set_, gear] / radius, first=gear == 0)
    pulls = np.minimum(pulls, force.bound(m.lift[set_], m.grip[set_], way.slope))
    load = force.drag(m.square, v, wind + m.winds[set_]) + m.constant(set_, way.slope)
    return np.asarray(np.where(turning <= m.limiter * (1 + 1e-9), pulls, 0.0) >= load)


def lean_of(speed: Floats, radius: Floats) -> Floats:
    """Lean of a steady turn (rad): tan φ = v²/(g·r), none where the radius is infinite. Source: balance of moments."""
    return np.asarray(np.arctan(speed**2 / (STANDARD_GRAVITY * radius)))


def shrunk(machines: Machines, set_: Ints, tangent: Floats) -> Floats:
    """Leaned over upright rolling radius, (R − ρ(1 − cos φ))/R, from tan φ; never below a half."""
    return _shrunk(machines.crown[set_] / machines.radius[set_], tangent)


def _shrunk(crown: Floats, tangent: Floats) -> Floats:
    """The same from the crown's radius over the tyre's."""
    return np.asarray(np.maximum(1 - crown * (1 - 1 / np.sqrt(1 + tangent * tangent)), 0.5))


class _March:
    """What stays the same from step to step; leans are given by their tangent."""

    def __init__(
        self, machines: Machines, way: Stretch, wind: float, shrinks: bool, share_grip: bool, no_shift_beyond: float
    ) -> None:
        self.m, self.way, self.wind = machines, way, wind + machines.winds[way.set_]
        self.beyond = math.tan(min(no_shift_beyond, 0.499 * math.pi))
        level = np.cos(way.slope)
        self.lift, self.grip = machines.lift[way.set_] * level, machines.grip[way.set_] * level
        self.constant = machines.constant(way.set_, way.slope)
        self.shift_time = machines.shift_times[way.set_]
        self.own = machines.own_mass[way.set_]
        self.standing, self.turning = bool(np.any(way.begins > 0)), bool(np.any(np.isfinite(way.radius)))
        self.over_gravity = 1 / (STANDARD_GRAVITY * way.radius)
        leans = self.standing or self.turning
        self.shrinks, self.share = leans and shrinks, leans and share_grip
        # Where no limit of the grip is known there is none to share.
        self.limited = np.isfinite(self.grip)
        self.known_grip = np.where(self.limited, self.grip, 0.0)
        self.all_limited = bool(self.limited.all())
        self.crown = machines.crown[way.set_] / machines.radius[way.set_]
        # One number for set and gear finds a value several times faster than two.
        self.row = way.set_ * machines.gears
        self.over_radius, self.gear_mass = machines.over_radius.ravel(), machines.gear_mass.ravel()
        self.shift_speed, self.limit_speed = machines.shift_speed.ravel(), machines.limit_speed.ravel()

    def tangent(self, v: Floats, at: Floats) -> Floats | float:
        """Tangent of the lean at a speed and a distance from the start."""
        found: Floats | float = 0.0
        if self.turning:
            found = v * v * self.over_gravity
        if self.standing:
            found = found + np.tan(self.way.begins * np.maximum(1 - at / self.way.stands, 0.0))
        return found

    def radius(self, tangent: Floats | float) -> Floats | float:
        """Leaned over upright rolling radius."""
        return _shrunk(self.crown, np.asarray(tangent)) if self.shrinks else 1.0

    def drive(self, v: Floats, gear: Ints, tangent: Floats | float, radius: Floats | float) -> Floats:
        """Acceleration at full throttle in a gear, below the limiter; `radius` is the leaned over the upright one."""
        m, key = self.m, self.row + gear
        first = gear == 0
        pulls, turning = force.pull(m, v, self.over_radius.take(key) / radius, first=first)
        grip = self.grip
        if self.share:
            grip = self.known_grip * force.grip_left(np.asarray(tangent), self.way.side)
            if not self.all_limited:
                grip = np.where(self.limited, grip, np.inf)
        pulls = np.minimum(pulls, np.minimum(self.lift, grip))
        mass = np.where(first & (turning < m.launch), self.own, self.gear_mass.take(key))
        return np.asarray((pulls - self.load(v)) / mass)

    def load(self, v: Floats) -> Floats:
        return np.asarray(force.drag(self.m.square, v, self.wind) + self.constant)

    def _rolled(self, v: Floats, gear: Ints, ds: Floats) -> Floats:
        """Speed after a step in gear with the limiter cutting in: only what resists slows."""
        mass = self.gear_mass.take(self.row + gear)
        guess = np.sqrt(np.maximum(v**2 - 2 * ds * self.load(v) / mass, LEAST_SPEED**2))
        return np.sqrt(np.maximum(v**2 - ds * (self.load(v) + self.load(guess)) / mass, LEAST_SPEED**2))

    def one(self, state: Marched, at: Floats, ds: Floats) -> None:
        """One step of every pair."""
        m, way, v, gear = self.m, self.way, state.speed, state.gear
        last = m.gears - 1
        lean = self.tangent(v, at)
        first = self.drive(v, gear, lean, self.radius(lean))
        u = v**2
        guess = np.sqrt(np.maximum(u + 2 * ds * first, LEAST_SPEED**2))
        after = self.tangent(guess, at + ds)
        radius = self.radius(after)
        mean = 0.5 * (first + self.drive(guess, gear, after, radius))
        new = np.sqrt(np.maximum(u + 2 * ds * mean, LEAST_SPEED**2))
        free = -self.load(v) / self.own
        # A shift under way takes part of the step.
        dt = 2 * ds / (v + new)
        off = np.minimum(state.waiting, dt)
        if off.any():
            new = np.sqrt(np.maximum(u + 2 * ds * (mean - off / dt * (mean - free)), LEAST_SPEED**2))
            state.waiting = np.maximum(state.waiting - dt, 0.0)
        shift_at = self.shift_speed.take(self.row + gear) * radius
        limit = self.limit_speed.take(self.row + gear) * radius
        # Laid over at the entry of a corner the engine may turn beyond the limiter: no drive then, but no jump either.
        beyond = v > limit * (1 + 1e-9)
        capped = new >= way.cap
        new = np.minimum(new, way.cap)
        may = (gear < last) & ~way.hold & (after <= self.beyond)
        crosses = may & (new >= shift_at) & (state.waiting <= 0)
        top = limit
        if crosses.any():
            following = np.minimum(gear + 1, last)
            gains = self.drive(shift_at, following, after, radius) > 0
            if beyond.any():
                loses_less = self.drive(v, following, after, radius) > -self.load(v) / self.gear_mass.take(
                    self.row + gear
                )
                gains |= beyond & loses_less
            top = np.where(crosses & ~gains, np.maximum(shift_at, np.minimum(v, limit)), limit)
            crosses &= gains
            share = np.clip((new - shift_at) / np.where(new > v, new - v, 1.0), 0.0, 1.0)
            rest = np.where(crosses, np.where(v >= shift_at, 1.0, share) * dt, 0.0)
            off = np.minimum(rest, self.shift_time)
            new = np.where(
                crosses, np.sqrt(np.maximum(new**2 - 2 * ds * off / dt * (mean - free), LEAST_SPEED**2)), new
            )
            state.waiting = np.where(crosses, self.shift_time - off, state.waiting)
            gear = np.where(crosses, gear + 1, gear)
            state.shifts = state.shifts + crosses
        limited = ~crosses & (new > top)
        if beyond.any():
            # Down a slope it would gain; beyond its limiter the engine never gives it more.
            top = np.where(beyond, np.maximum(top, np.minimum(self._rolled(v, gear, ds), v)), top)
        new = np.where(limited, top, new)
        down = (gear > 0) & ~way.hold & ~crosses & (state.waiting <= 0) & (mean < 0)
        if down.any():
            below = np.maximum(gear - 1, 0)
            down &= new < self.shift_speed.take(self.row + below) * radius * (1 - 1e-9)
            gear = np.where(down, below, gear)
        dt = 2 * ds / (v + new)
        at_limiter = limited & ~capped & (top >= limit)
        state.at_limiter = state.at_limiter + np.where(at_limiter & np.isnan(state.braked), dt, 0.0)
        state.time = state.time + dt
        state.cannot_climb |= new <= LEAST_SPEED
        state.speed, state.gear = new, gear
