"""Which doubtful value moves a result most, so that nobody trusts the third digit."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from gearplan.drive import sprint as sprints
from gearplan.drive import thrust as thrusts
from gearplan.plan.pull import Pull


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
            replace(
                pulled,
                machine=replace(m, mass=m.mass * scaled(0.05)),
                road=replace(r, mass=r.mass * scaled(0.05)),
            ),
        ),
        "torque": ("±5 %", replace(pulled, machine=replace(m, torque=tuple(t * scaled(0.05) for t in m.torque)))),
        "grip": ("±15 %", replace(pulled, machine=replace(m, grip=m.grip * scaled(0.15)))),
        "shift time": ("±50 %", replace(pulled, machine=replace(m, shift_time=m.shift_time * scaled(0.50)))),
    }


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


def _again(pulled: Pull) -> Pull:
    """The same with shifts, top speed and run worked out anew."""
    shifts = thrusts.shift_speeds(pulled.machine, pulled.road)
    return replace(
        pulled,
        shift_speeds=shifts,
        top=thrusts.top_speed(pulled.machine, pulled.road),
        run=sprints.sprint(pulled.machine, pulled.road, shifts),
    )
