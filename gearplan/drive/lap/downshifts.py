"""Down-shifts that take time before a corner: the throttle is shut early where braking is over too soon. SI.

Each takes its time with nothing driving. As long as the brakes are on that costs nothing; where all of them together
take longer the throttle is shut before, and the motorcycle rolls until the brakes must go on.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from gearplan.drive.lap.state import Bools, Entry, Ridden
from gearplan.drive.motion import force
from gearplan.drive.motion.machines import Floats, Ints

if TYPE_CHECKING:
    from gearplan.drive.lap.sections import Sections

#: Halves of the way up to the brakes: a millimetre of a kilometre.
_HALVINGS = 20


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
    low, high = np.zeros(len(rows)), ridden.brakes[rows]
    # Halved, for it jumps: a little later there may be one gear more to come down from.
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        enough, _ = trial.shut(middle)
        low, high = np.where(enough, middle, low), np.where(enough, high, middle)
    _, found = trial.shut(low)
    ridden.put(rows, found)


class _Trial:
    """Pairs that shut the throttle somewhere before they brake to `end`, to be in the gears `wanted` then."""

    def __init__(self, lap: Sections, sec: Ints, set_: Ints, entry: Entry, end: Floats, wanted: Ints) -> None:
        self.lap, self.sec, self.set_, self.entry, self.end, self.wanted = lap, sec, set_, entry, end, wanted

    def shut(self, at: Floats) -> tuple[Bools, Ridden]:
        """Whether there is time for all down-shifts if it is shut at a distance, and what became of the pairs."""
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
        return late | (time >= needs), found
