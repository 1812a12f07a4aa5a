"""The parts of a lap in which lean matters or the gear is held: marched in small steps of distance. SI.

Leaned by φ the tyre rolls on a smaller radius, R − ρ(1 − cos φ), so the engine turns faster; and the grip that holds
the motorcycle in its line is not there for the drive: the friction ellipse. Each step is Heun's for the square of the
speed; shifts within a step count with the part of it that they take. Costs pairs × steps.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, fields, replace
from itertools import pairwise
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from gearplan.bike.text.units import STANDARD_GRAVITY
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

    def some(self, rows: Ints) -> Marched:
        """Some of the pairs."""
        return Marched(**{f.name: getattr(self, f.name)[rows] for f in fields(self)})

    def put(self, rows: Ints, part: Marched) -> None:
        """Take some of the pairs as they are in another."""
        for f in fields(self):
            getattr(self, f.name)[rows] = getattr(part, f.name)


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
    no_shift_beyond: Floats | float,
    steps: int | Ints,
    early: Floats | None = None,
) -> Marched:
    """Full throttle over each pair's distance in its number of steps; `braked` is NaN where no braking point was met.

    Where one was met, speed and time are those at that point. `no_shift_beyond` is one lean or each pair's, `early`
    [set, gear] as in `tables`.
    """
    beyond = np.broadcast_to(no_shift_beyond, v.shape)
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
    kinds, kind = np.unique(np.broadcast_to(steps, v.shape), return_inverse=True)
    # From full lean the share of the grip grows as the root of the distance: small steps first.
    power = 2 if share_grip and bool(np.any(way.begins > 0)) else 1
    edges = np.ones((int(kinds.max(initial=0)) + 1, len(kinds)))
    for column, count in enumerate(kinds.tolist()):
        edges[: count + 1, column] = (np.arange(count + 1) / count) ** power
    brakes = np.isfinite(way.end)
    over = np.where(brakes, v**2 - way.end**2 - 2 * way.braking * way.length, -1.0)
    state.braked[brakes & (over >= 0)] = 0.0
    if len(kinds) < 2:
        _over_edges(_March(machines, way, wind, lean_shrinks, share_grip, beyond, early), state, edges, over)
        return state
    # Those with fewer steps are left behind on the way.
    done = 0
    for column, count in enumerate(kinds.tolist()):
        rows = np.nonzero(kind >= column)[0]
        part = state.some(rows)
        step = _March(machines, way.some(rows), wind, lean_shrinks, share_grip, beyond[rows], early)
        over[rows] = _over_edges(step, part, edges[done : count + 1, kind[rows]], over[rows])
        state.put(rows, part)
        done = count
    return state


def _over_edges(step: _March, state: Marched, edges: Floats, over: Floats) -> Floats:
    """March from edge to edge, shares of the distance [edge, pair]; `over` is by how much the square of the speed is
    beyond the one from which braking must begin, before and after.
    """
    way = step.way
    brakes = np.isfinite(way.end)
    braking, end = bool(brakes.any()), way.end**2
    done = ~np.isnan(state.braked)
    for share, following in pairwise(edges):
        was_v, was_time, was_gear = state.speed, state.time, state.gear
        begins, ds = share * way.distance, (following - share) * way.distance
        step.one(state, begins, ds)
        if braking:
            left = way.length - (begins + ds)
            excess = state.speed**2 - end - 2 * way.braking * left
            met = brakes & ~done & (excess > 0)
            if met.any():
                part = np.where(met, over / np.where(met, over - excess, 1.0), 0.0)
                at = begins + part * ds
                speed = np.sqrt(np.maximum(end + 2 * way.braking * (way.length - at), LEAST_SPEED**2))
                state.braked = np.where(met, at, state.braked)
                state.speed = np.where(met, speed, state.speed)
                state.time = np.where(met, was_time + 2 * part * ds / (was_v + speed), state.time)
            if done.any():
                state.speed, state.time = np.where(done, was_v, state.speed), np.where(done, was_time, state.time)
                state.gear = np.where(done, was_gear, state.gear)
            done = done | met
            over = np.where(brakes, excess, -1.0)
        faster = state.speed > state.peak
        state.peak = np.maximum(state.speed, state.peak)
        state.peak_gear = np.where(faster, state.gear, state.peak_gear)
    return over


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


@dataclass(frozen=True, eq=False, slots=True)
class _Geared:
    """What depends on the gear of each pair. `first` is False where nobody is in first gear, `may` marks those that
    may shift up from it.
    """

    over_radius: Floats
    mass: Floats
    first: Bools | Literal[False]
    shift_speed: Floats
    limit_speed: Floats
    may: Bools


class _March:
    """What stays the same from step to step; leans are given by their tangent."""

    def __init__(
        self,
        machines: Machines,
        way: Stretch,
        wind: float,
        shrinks: bool,
        share_grip: bool,
        no_shift_beyond: Floats,
        early: Floats | None,
    ) -> None:
        self.m, self.way, self.wind = machines, way, wind + machines.winds[way.set_]
        self.beyond = np.tan(np.clip(no_shift_beyond, 0.0, 0.499 * math.pi))
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
        self.early = None if early is None or early is machines.shift_speed else early.ravel()
        self._of: tuple[Ints, _Geared] | None = None

    def geared(self, gear: Ints) -> _Geared:
        """What depends on the gear, looked up once for as long as nobody shifts."""
        if self._of is None or self._of[0] is not gear:
            self._of = gear, self._geared(gear)
        return self._of[1]

    def _geared(self, gear: Ints) -> _Geared:
        key, first = self.row + gear, gear == 0
        return _Geared(
            self.over_radius.take(key),
            self.gear_mass.take(key),
            first if first.any() else False,
            self.shift_speed.take(key),
            self.limit_speed.take(key),
            (gear < self.m.gears - 1) & ~self.way.hold,
        )

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

    def drive(
        self, v: Floats, load: Floats, geared: _Geared, tangent: Floats | float, radius: Floats | float
    ) -> Floats:
        """Acceleration at full throttle in a gear, below the limiter; `radius` is the leaned over the upright one."""
        pulls, turning = self.pulls(v, geared, tangent, radius)
        mass = geared.mass
        if geared.first is not False:
            mass = np.where(geared.first & (turning < self.m.launch), self.own, mass)
        return np.asarray((pulls - load) / mass)

    def pulls(
        self, v: Floats, geared: _Geared, tangent: Floats | float, radius: Floats | float
    ) -> tuple[Floats, Floats]:
        """(Force at full throttle in a gear within the tyre's limits, engine speed)."""
        pulls, turning = force.pull(self.m, v, geared.over_radius / radius, first=geared.first)
        grip = self.grip
        if self.share:
            grip = self.known_grip * force.grip_left(np.asarray(tangent), self.way.side)
            if not self.all_limited:
                grip = np.where(self.limited, grip, np.inf)
        return np.asarray(np.minimum(pulls, np.minimum(self.lift, grip))), turning

    def load(self, v: Floats) -> Floats:
        """What resists at a speed."""
        return np.asarray(force.drag(self.m.square, v, self.wind) + self.constant)

    def shift_at(self, gear: Ints, usual: Floats, tangent: Floats | float, radius: Floats | float) -> Floats:
        """The speed at which a gear is left: the rider's early one if the next gear pulls there, else the usual one."""
        if self.early is None:
            return usual
        early = np.asarray(self.early.take(self.row + gear) * radius)
        then = self._geared(np.minimum(gear + 1, self.m.gears - 1))
        return np.where(self.drive(early, self.load(early), then, tangent, radius) > 0, early, usual)

    def _rolled(self, v: Floats, load: Floats, mass: Floats, ds: Floats) -> Floats:
        """Speed after a step in gear with the limiter cutting in: only what resists slows."""
        guess = np.sqrt(np.maximum(v**2 - 2 * ds * load / mass, LEAST_SPEED**2))
        return np.sqrt(np.maximum(v**2 - ds * (load + self.load(guess)) / mass, LEAST_SPEED**2))

    def one(self, state: Marched, at: Floats, ds: Floats) -> None:
        """One step of every pair."""
        way, v, gear = self.way, state.speed, state.gear
        geared, load = self.geared(gear), self.load(v)
        lean = self.tangent(v, at)
        first = self.drive(v, load, geared, lean, self.radius(lean))
        u = v**2
        guess = np.sqrt(np.maximum(u + 2 * ds * first, LEAST_SPEED**2))
        after = self.tangent(guess, at + ds)
        radius = self.radius(after)
        mean = 0.5 * (first + self.drive(guess, self.load(guess), geared, after, radius))
        new = np.sqrt(np.maximum(u + 2 * ds * mean, LEAST_SPEED**2))
        free = -load / self.own
        # A shift under way takes part of the step.
        dt = 2 * ds / (v + new)
        off = np.minimum(state.waiting, dt)
        if off.any():
            new = np.sqrt(np.maximum(u + 2 * ds * (mean - off / dt * (mean - free)), LEAST_SPEED**2))
            state.waiting = np.maximum(state.waiting - dt, 0.0)
        shift_at, limit = self.shift_at(gear, geared.shift_speed * radius, after, radius), geared.limit_speed * radius
        # Laid over at the entry of a corner the engine may turn beyond the limiter: no drive then, but no jump either.
        beyond = v > limit * (1 + 1e-9)
        some_beyond = bool(beyond.any())
        capped = new >= way.cap
        new = np.minimum(new, way.cap)
        crosses = geared.may & (after <= self.beyond) & (new >= shift_at) & (state.waiting <= 0)
        top = limit
        if crosses.any():
            following = np.minimum(gear + 1, self.m.gears - 1)
            then = self._geared(following)
            gains = self.drive(shift_at, self.load(shift_at), then, after, radius) > 0
            gains |= beyond
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
        some_limited = bool(limited.any())
        if some_limited:
            if some_beyond:
                # Down a slope it would gain; beyond its limiter the engine never gives it more.
                rolled = self._rolled(v, load, geared.mass, ds)
                top = np.where(beyond, np.maximum(top, np.minimum(rolled, v)), top)
            new = np.where(limited, top, new)
        down = mean < 0
        if down.any():
            down &= (gear > 0) & ~way.hold & ~crosses & (state.waiting <= 0)
            below = np.maximum(gear - 1, 0)
            usual = self.shift_speed.take(self.row + below) * radius
            down &= new < self.shift_at(below, usual, after, radius) * (1 - 1e-9)
            if down.any():
                # Nobody shifts down where it is the tyre that drives no harder.
                pulls = self.pulls(new, self._geared(below), after, radius)[0]
                down &= pulls > self.pulls(new, geared, after, radius)[0]
            if down.any():
                gear = np.where(down, below, gear)
        dt = 2 * ds / (v + new)
        if some_limited:
            at_limiter = limited & ~capped & (top >= limit) & np.isnan(state.braked)
            state.at_limiter = state.at_limiter + np.where(at_limiter, dt, 0.0)
        state.time = state.time + dt
        state.cannot_climb |= new <= LEAST_SPEED
        state.speed, state.gear = new, gear
