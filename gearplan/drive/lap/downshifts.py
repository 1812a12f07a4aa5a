"""Down-shifts that take time before a corner: the throttle is shut early where braking is over too soon. SI.

Each takes its time with nothing driving. As long as the brakes are on that costs nothing; where all of them together
take longer the throttle is shut before, and the motorcycle rolls until the brakes must go on.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from gearplan.drive.lap.state import Entry, Ridden
from gearplan.drive.motion import force
from gearplan.drive.motion.machines import Floats, Ints

if TYPE_CHECKING:
    from gearplan.drive.lap.sections import Sections

_TRIES = 16
_CLOSE = 1e-4


def shut_early(lap: Sections, sec: Ints, set_: Ints, entry: Entry, ridden: Ridden) -> None:
    """Shut the throttle early in `ridden` (pairs of section and set) where the down-shifts need it."""
    wanted = lap.gear_for((sec + 1) % len(lap.length), set_, ridden.speed)
    each, length = lap.down_shift[set_], lap.length[sec]
    rest = length - ridden.brakes
    braked_from = np.sqrt(ridden.speed**2 + 2 * lap.braking[sec, set_] * rest)
    lasts = 2 * rest / np.maximum(braked_from + ridden.speed, 1e-9)
    rows = np.nonzero(ridden.braked & ((ridden.gear - wanted) * each > lasts + 1e-9))[0]
    if not len(rows):
        return
    end = ridden.speed[rows]
    trial = _Trial(lap, sec[rows], set_[rows], entry.some(rows), end, wanted[rows])
    low, high = np.zeros(len(rows)), ridden.brakes[rows].copy()
    at_low, at_high = trial.spare(low)[0], trial.spare(high)[0]
    for k in range(_TRIES):
        even = at_low / np.where(at_low == at_high, 1.0, at_low - at_high)
        share = 0.5 if k % 3 == 2 else np.clip(even, 0.02, 0.98)
        middle = low + share * (high - low)
        value = trial.spare(middle)[0]
        enough = value >= 0
        low, at_low = np.where(enough, middle, low), np.where(enough, value, at_low)
        high, at_high = np.where(enough, high, middle), np.where(enough, at_high, value)
        if float((high - low).max()) < _CLOSE:
            break
    _, found = trial.spare(low)
    ridden.put(rows, found)


class _Trial:
    """Pairs that shut the throttle somewhere before they brake to `end`, to be in the gears `wanted` then."""

    def __init__(self, lap: Sections, sec: Ints, set_: Ints, entry: Entry, end: Floats, wanted: Ints) -> None:
        self.lap, self.sec, self.set_, self.entry, self.end, self.wanted = lap, sec, set_, entry, end, wanted

    def spare(self, at: Floats) -> tuple[Floats, Ridden]:
        """How much time is left over after all down-shifts, shut at a distance, and what became of the pairs."""
        lap, m = self.lap, self.lap.machines
        length, braking = lap.length[self.sec], lap.braking[self.sec, self.set_]
        found = lap.ride(self.sec, self.set_, self.entry, np.maximum(at, 1e-9), np.full(len(at), np.inf))
        v = found.speed
        load = force.drag(m.square, v, lap.rules.wind + m.winds[self.set_])
        load = load + m.constant(self.set_, lap.slope[self.sec])
        rolls = np.asarray(load / m.own_mass[self.set_])
        # It rolls until it meets the speed from which the brakes come to the end's.
        lacking = self.end**2 + 2 * braking * length - v**2 - 2 * rolls * at
        with np.errstate(divide="ignore", invalid="ignore"):
            meets = np.where(braking > rolls, lacking / (2 * (braking - rolls)), at)
        late = meets > length
        meets = np.clip(meets, at, length)
        then = np.sqrt(np.maximum(self.end**2 + 2 * braking * (length - meets), 1e-12))
        time = 2 * (meets - at) / (v + then) + 2 * (length - meets) / (then + self.end)
        needs = (found.gear - self.wanted) * lap.down_shift[self.set_]
        found.time = found.time + time
        found.speed, found.brakes, found.rolls = self.end.copy(), at.copy(), rolls
        found.braked = np.ones(len(at), bool)
        # Nobody rolls below the speed of the corner.
        return np.where(late, np.maximum(time - needs, 0.0) + 1e-3, time - needs), found
