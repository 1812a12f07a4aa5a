"""Which doubtful value moves a result most, so that nobody trusts the third digit."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from gearplan.drive import sprint as sprints
from gearplan.drive import thrust as thrusts
from gearplan.plan.pull.pull import Pull
from gearplan.setup.machine import thrust_limits, with_mass


@dataclass(frozen=True, slots=True)
class Effect:
    """What a doubtful value does: the result with it lower and higher by its doubt, less the result itself."""

    name: str
    doubt: str
    lower: float
    higher: float

    @property
    def size(self) -> float:
        """The larger of the two, without its sign."""
        return max(abs(self.lower), abs(self.higher))


def _varied(pulled: Pull, factor: float) -> dict[str, tuple[str, Pull]]:
    """The pull with each doubtful value scaled by its doubt; `factor` is −1 or +1."""
    m, r = pulled.machine, pulled.road

    def scaled(share: float) -> float:
        return 1 + factor * share

    return {
        "drag area": ("±10 %", replace(pulled, road=replace(r, drag_area=r.drag_area * scaled(0.10)))),
        "rolling coefficient": ("±20 %", replace(pulled, road=replace(r, rolling=r.rolling * scaled(0.20)))),
        "mass": (
            "±5 %",
            replace(pulled, machine=with_mass(m, scaled(0.05)), road=replace(r, mass=r.mass * scaled(0.05))),
        ),
        "torque": ("±5 %", replace(pulled, machine=replace(m, torque=tuple(t * scaled(0.05) for t in m.torque)))),
        "grip": ("±15 %", replace(pulled, machine=replace(m, grip=_spins_at(pulled, scaled(0.15))))),
        "shift time": ("±50 %", replace(pulled, machine=replace(m, shift_time=m.shift_time * scaled(0.50)))),
    }


def _spins_at(pulled: Pull, part: float) -> float:
    """The limit by grip with part of it: more grip also loads the rear wheel more."""
    _, grip = thrust_limits(pulled.limits, pulled.moved, pulled.road.slope, part)
    return float(grip)


def effects(pulled: Pull, result: Callable[[Pull], float | None]) -> tuple[Effect, ...]:
    """The effect of each doubt on a result of the pull, the largest first; empty where there is no result.

    The doubts are common practice, no source.
    """
    middle = result(pulled)
    if middle is None:
        return ()
    low, high = _varied(pulled, -1), _varied(pulled, 1)
    found = []
    for name, (doubt, _) in low.items():
        values = [result(_again(side[name][1])) for side in (low, high)]
        if None not in values:
            found.append(Effect(name, doubt, (values[0] or 0) - middle, (values[1] or 0) - middle))
    return tuple(sorted(found, key=lambda effect: -effect.size))


def top_speed_doubt(pulled: Pull) -> float:
    """How far all doubts together may move the top speed (m/s): the root of the sum of their squares.

    The same as `effects` gives for each, without working out the rest of the run. 0 without a top speed.
    """
    if pulled.top is None:
        return 0.0
    largest: dict[str, float] = {}
    for factor in (-1, 1):
        for name, (_, varied) in _varied(pulled, factor).items():
            # A shift takes no part in the top speed.
            top = None if name == "shift time" else thrusts.top_speed(varied.machine, varied.road)
            moved = 0.0 if top is None else abs(top.speed - pulled.top.speed)
            largest[name] = max(largest.get(name, 0.0), moved)
    return math.hypot(*largest.values())


def _again(pulled: Pull) -> Pull:
    """The same with shifts, top speed and run worked out anew."""
    shifts = thrusts.shift_speeds(pulled.machine, pulled.road)
    return replace(
        pulled,
        shift_speeds=shifts,
        top=thrusts.top_speed(pulled.machine, pulled.road),
        run=sprints.sprint(pulled.machine, pulled.road, shifts),
    )
