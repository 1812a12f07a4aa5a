"""One set's leaned lap in small steps of time, in plain arithmetic: midpoint steps, events to the instant.

Independent of the program's tables and steps of distance; only what is given (ratios, shift speeds, limits) is taken
over. Rules: full throttle under thrust, the tyre's limits and what the friction ellipse leaves of the grip; up-shift
at the shift speed on the leaned radius where the next gear gains, also where a lean lifts the engine over its limiter
and the next gear loses less than rolling does; the speed itself never jumps; braking at an even deceleration.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from gearplan.bike.circuit import Circuit
from gearplan.drive.lap.rules import apex_speed
from gearplan.drive.motion.machines import Machines

G = 9.80665
STAND_UP = math.radians(60)
CRAWL = 0.5


@dataclass
class State:
    """Speed, gear (−1 by the speed), shift time left, lean left and metres until upright, at a section's start."""

    v: float
    gear: int = -1
    waiting: float = 0.0
    lean: float = 0.0
    stands: float = 0.0


class StepLap:
    """One set (the first of `machines`, without growth of the tyre) on one circuit."""

    def __init__(
        self,
        machines: Machines,
        circuit: Circuit,
        dt: float,
        *,
        lowest: int = 0,
        early: float = 0.0,
        first_below: float = math.inf,
        no_shift_beyond: float = math.inf,
        each_down: float = 0.0,
    ) -> None:
        """`lowest` gear (from 0) in corners that name none of their own, `early` up-shifts (rad/s), first gear
        left at `first_below` (m/s), no up-shift leaned beyond (rad), time of each down-shift in braking (s)."""
        m = machines
        self.m, self.circuit, self.dt = m, circuit, dt
        self.lowest, self.each_down, self.beyond = lowest, each_down, no_shift_beyond
        self.k = [float(k) for k in m.over_radius[0]]
        self.curve = list(zip(m.engine.tolist(), m.torque.tolist(), strict=True))
        self.crown = float(m.crown[0] / m.radius[0])
        self.up = [float(n) / k for n, k in zip(m.shift_engine[0], self.k, strict=True)]
        self.top = [m.limiter / k for k in self.k]
        self.last = len(self.k) - 1
        self.early = [max(up - early / k, up / 2) for up, k in zip(self.up, self.k, strict=True)]
        self.early[0], self.early[-1] = min(self.early[0], first_below), self.up[-1]
        self.own = m.mass + m.wheel_inertia / float(m.radius[0]) ** 2
        self.masses = [self.own + m.crank * k * k for k in self.k]
        self.lift, self.grip = float(m.lift[0]), float(m.grip[0])
        sections = circuit.sections
        self.slope = [math.atan(s.gradient_percent / 100) for s in sections]
        corner = [s.kind == "corner" for s in sections]
        self.radius = [(s.line_radius_m or math.inf) if c else math.inf for s, c in zip(sections, corner, strict=True)]
        apex = [apex_speed(s, m.friction) if c else math.inf for s, c in zip(sections, corner, strict=True)]
        # The tangent of the lean at the apex.
        self.apex = [
            a * a / (G * r) if math.isfinite(r) and self.crown > 0 else 0.0
            for a, r in zip(apex, self.radius, strict=True)
        ]
        self.cap = [min(a, max(self.top) * self.shrunk(t)) for a, t in zip(apex, self.apex, strict=True)]
        self.brake = [max(min(m.braking, G * (m.friction * math.cos(a) + math.sin(a))), 0.5) for a in self.slope]
        self.side = [max(m.friction, t) for t in self.apex]
        self.end, self.start = [0.0] * len(sections), [0.0] * len(sections)
        end = math.inf
        for _ in range(2):
            for i in reversed(range(len(sections))):
                self.end[i] = end
                end = min(self.cap[i], math.sqrt(end**2 + 2 * self.brake[i] * sections[i].length_m))
                self.start[i] = end

    def lap(self) -> float:
        """Seconds for the lap, ridden until it closes."""
        count = len(self.circuit.sections)
        first = next((i for i in range(count) if self.circuit.sections[i].kind == "corner"), 0)
        state, before = State(self.start[first]), math.inf
        for _ in range(6):
            total = 0.0
            for j in range(count):
                took, state = self.section((first + j) % count, state)
                total += took
            if abs(total - before) < 1e-6:
                break
            before = total
        return total

    def shrunk(self, tangent: float) -> float:
        return max(1 - self.crown * (1 - 1 / math.sqrt(1 + tangent * tangent)), 0.5)

    def torque(self, n: float) -> float:
        if n <= self.curve[0][0]:
            return self.curve[0][1]
        for (n0, t0), (n1, t1) in zip(self.curve, self.curve[1:], strict=False):
            if n <= n1:
                return t0 + (n - n0) / (n1 - n0) * (t1 - t0)
        return self.curve[-1][1]

    def load(self, v: float, i: int) -> float:
        m, a = self.m, self.slope[i]
        return m.density * m.drag_area * v * v / 2 + m.mass * G * (m.rolling * math.cos(a) + math.sin(a))

    def tangent(self, v: float, x: float, i: int, begun: State) -> float:
        if self.circuit.sections[i].kind == "corner":
            return v * v / (G * self.radius[i]) if self.apex[i] > 0 else 0.0
        return math.tan(begun.lean * max(1 - x / begun.stands, 0.0)) if begun.stands > 0 else 0.0

    def gains(self, v: float, gear: int | None, i: int, tangent: float) -> float:
        if gear is None:
            return -self.load(v, i) / self.own
        k = self.k[gear] / self.shrunk(tangent)
        n = v * k
        launches = gear == 0 and n < self.m.launch
        pulls = self.torque(self.m.launch if launches else n) * k * self.m.efficiency
        level = math.cos(self.slope[i])
        left = math.sqrt(max(1 - (tangent / self.side[i]) ** 2, 0.0))
        pulls = min(pulls, self.lift * level, self.grip * level * left if math.isfinite(self.grip) else math.inf)
        return (pulls - self.load(v, i)) / (self.own if launches else self.masses[gear])

    def rolls(self, v: float, gear: int, i: int) -> float:
        """Deceleration with the limiter cutting in."""
        return -self.load(v, i) / self.masses[gear]

    def section(self, i: int, begun: State) -> tuple[float, State]:
        section = self.circuit.sections[i]
        length, cap, end, brake = section.length_m, self.cap[i], self.end[i], self.brake[i]
        corner = section.kind == "corner"
        v, gear, waiting = min(begun.v, self.start[i]), begun.gear, begun.waiting
        at_apex = corner and v >= cap * (1 - 1e-9)
        if gear < 0 or at_apex:
            radius = self.shrunk(self.apex[i]) if corner else 1.0
            gear = self._by_speed(v, radius, i)
        if at_apex and self._holds(cap, gear, i):
            need = min((cap**2 - end**2) / (2 * brake), length) if end < cap else 0.0
            if need > 0:
                return (length - need) / cap + 2 * need / (cap + min(end, cap)), State(min(end, cap))
            return length / cap, self._upright_after(State(cap, gear), i)
        if v * v - end * end >= 2 * brake * length:
            return 2 * length / (v + end), State(end)
        drive = self._drive(i, begun, v, gear, waiting, math.inf)
        if self.each_down and drive[2] < length - 1e-9 and self._short(i, drive):
            # The throttle is shut where all down-shifts are just done as braking ends.
            low, high = 0.0, drive[2]
            for _ in range(40):
                shut = (low + high) / 2
                tried = self._drive(i, begun, v, gear, waiting, shut)
                low, high = (low, shut) if self._short(i, tried) else (shut, high)
            drive = self._drive(i, begun, v, gear, waiting, low)
        return drive[0], drive[1]

    def _by_speed(self, v: float, radius: float, i: int) -> int:
        section = self.circuit.sections[i]
        gear = sum(v >= up * radius * (1 - 1e-12) for up in self.early[:-1])
        lowest = self.lowest if section.lowest_gear is None else section.lowest_gear - 1
        return max(gear, min(lowest, self.last)) if section.kind == "corner" else gear

    def _short(self, i: int, drive: tuple[float, State, float, int, float]) -> bool:
        """Whether the down-shifts take longer than there is from where the throttle is shut."""
        took, _, _, gear, shut_at = drive
        following = (i + 1) % len(self.circuit.sections)
        corner = self.circuit.sections[following].kind == "corner"
        radius = self.shrunk(self.apex[following]) if corner else 1.0
        wanted = self._by_speed(self.end[i], radius, following)
        return (gear - wanted) * self.each_down > took - shut_at

    def _drive(
        self, i: int, begun: State, v: float, gear: int, waiting: float, shut: float
    ) -> tuple[float, State, float, int, float]:
        """(Time, state at the end, where braking begins, gear and time where the throttle is shut)."""
        section = self.circuit.sections[i]
        length, end, brake = section.length_m, self.end[i], self.brake[i]
        corner = section.kind == "corner"
        x = t = 0.0
        due, shut_gear, shut_time = False, gear, math.nan
        while True:
            tangent = self.tangent(v, x, i, begun)
            rolls = x >= shut
            if waiting <= 0 and not section.hold_gear and not rolls:
                gear, waiting = self._shifted(v, gear, i, tangent, due)
            dt = min(self.dt, waiting) if waiting > 0 else self.dt
            if rolls and math.isnan(shut_time):
                shut_gear, shut_time = gear, t - (x - shut) / v
            elif not rolls and x + v * dt > shut:
                dt = max((shut - x) / v, 1e-6)
            driven = None if waiting > 0 or rolls else gear
            half = v + self.gains(v, driven, i, tangent) * dt / 2
            middle = x + v * dt / 2
            then = max(v + self.gains(half, driven, i, self.tangent(half, middle, i, begun)) * dt, CRAWL)
            # Standing up the radius grows: the shift speed is met within a step though not at its end.
            leans = self.tangent(then, middle, i, begun)
            due = driven is not None and then > self._leaves(gear, i, tangent) * self.shrunk(leans)
            then = self._limited(v, then, middle, driven, gear, i, begun, dt)
            on = x + (v + then) / 2 * dt
            if on >= length or then * then - end * end > 2 * brake * (length - on):
                share = self._share(x, v, then, dt, length, end, brake)
                v, x, t = v + (then - v) * share, x + (v + v + (then - v) * share) / 2 * dt * share, t + dt * share
                if math.isnan(shut_time):
                    shut_gear, shut_time = gear, t
                if x < length - 1e-9:
                    return t + 2 * (length - x) / (v + end), State(end), x, shut_gear, shut_time
                state = State(v, gear, max(waiting - dt * share, 0.0))
                if corner:
                    return t, self._upright_after(state, i), length, shut_gear, shut_time
                state.stands = max(begun.stands - length, 0.0)
                state.lean = begun.lean * (1 - length / begun.stands) if state.stands > 0 else 0.0
                return t, state, length, shut_gear, shut_time
            waiting = max(waiting - dt, 0.0)
            x, v, t = on, then, t + dt

    def _holds(self, v: float, gear: int, i: int) -> bool:
        k = self.k[gear] / self.shrunk(self.apex[i])
        pulls = self.torque(max(v * k, self.m.launch if gear == 0 else 0.0)) * k * self.m.efficiency
        pulls = min(pulls, min(self.lift, self.grip) * math.cos(self.slope[i]))
        return v * k <= self.m.limiter * (1 + 1e-9) and pulls >= self.load(v, i)

    def _upright_after(self, state: State, i: int) -> State:
        state.lean = math.atan(state.v**2 / (G * self.radius[i])) if self.apex[i] > 0 else 0.0
        state.stands = state.v * state.lean / STAND_UP
        return state

    def _shifted(self, v: float, gear: int, i: int, tangent: float, due: bool) -> tuple[int, float]:
        radius = self.shrunk(tangent)
        may = math.atan(tangent) <= self.beyond
        if may and gear < self.last and (due or v >= self._leaves(gear, i, tangent) * radius * (1 - 1e-9)):
            following = self.gains(v, gear + 1, i, tangent)
            beyond = v > self.top[gear] * radius * (1 + 1e-6)
            if following > 0 or (beyond and following > self.rolls(v, gear, i)):
                return gear + 1, self.m.shift_time
            return gear, 0.0
        if gear == 0 or self.gains(v, gear, i, tangent) >= 0:
            return gear, 0.0
        drops = v < self._leaves(gear - 1, i, tangent) * radius * (1 - 1e-9)
        return (gear - 1 if drops else gear), 0.0

    def _leaves(self, gear: int, i: int, tangent: float) -> float:
        """The upright speed at which a gear is left: early if the next one pulls there."""
        early = self.early[gear]
        pulls = early < self.up[gear] and self.gains(early * self.shrunk(tangent), gear + 1, i, tangent) > 0
        return early if pulls else self.up[gear]

    def _limited(
        self, v: float, then: float, x: float, driven: int | None, gear: int, i: int, begun: State, dt: float
    ) -> float:
        if driven is None:
            return min(then, self.cap[i])
        limit = self.cap[i]
        holds = [self.top[gear]]
        held = self.circuit.sections[i].hold_gear or math.atan(self.tangent(then, x, i, begun)) > self.beyond
        if gear < self.last and not held:
            holds.append(self._leaves(gear, i, self.tangent(then, x, i, begun)))
        for hold in holds:
            at = hold
            # Where the lean hangs on the speed, so does the radius: to the fixed point.
            for _ in range(40 if self.circuit.sections[i].kind == "corner" else 1):
                at = hold * self.shrunk(self.tangent(at, x, i, begun))
            limit = min(limit, max(at, v) if hold < self.top[gear] else at)
        if then <= limit:
            return then
        return max(limit, min(then, v + self.rolls(v, gear, i) * dt))

    @staticmethod
    def _share(x: float, v: float, then: float, dt: float, length: float, end: float, brake: float) -> float:
        """The part of a step after which the section ends or braking begins, by bisection."""
        low, high = 0.0, 1.0
        for _ in range(50):
            share = (low + high) / 2
            speed = v + (then - v) * share
            on = x + (v + speed) / 2 * dt * share
            if on >= length or speed * speed - end * end > 2 * brake * (length - on):
                high = share
            else:
                low = share
        return high
