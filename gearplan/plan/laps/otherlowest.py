"""What hangs on the lowest gear in corners, where it is assumed. Times in s.

It is no doubt among the others, for the rider knows it and can say it. Drawn among them it would decide alone what is
tied wherever it is taken to be likelier than one in twenty, and nothing where it is not: measured on the demo bikes
and circuits, first gear in one case of eight tied 101 sets instead of 18 and left a set that loses 0.7 s.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from gearplan.drive.lap.lap import lap_times
from gearplan.language import tr
from gearplan.plan.laps.ranking import LapRanking
from gearplan.plan.laps.sets import machines
from gearplan.plan.words import teeth
from gearplan.setup import riding

Ints = NDArray[np.int_]

#: Of more sets nobody waits for another ride.
_MOST = 3000
#: Said from this much on (s) beyond what the set loses anyway.
_SAID_FROM = 0.05


def with_first_gear(ranking: LapRanking, rows: Ints, advised: int, loss: float) -> str:
    """Which of some sets would be the quickest with first gear in corners too, and how far the advised row is behind.

    Empty where the lowest gear was said, is first, or makes little difference to what that row loses as it is (s).
    """
    lowest = riding.lowest_gear(ranking.sets.bike, ranking.circuit.rider)
    if lowest.assumed is None or ranking.rules.lowest_gear != lowest.value or not 0 < len(rows) <= _MOST:
        return ""
    first = replace(ranking.rules, lowest_gear=1)
    among = np.append(rows, advised)
    time = lap_times(machines(ranking.sets, among), ranking.circuit, first).time
    if not np.isfinite(time[:-1]).any() or not np.isfinite(time[-1]):
        return ""
    quickest = int(np.nanargmin(time[:-1]))
    behind = float(time[-1] - time[quickest])
    if behind < loss + _SAID_FROM:
        return ""
    one, other = (teeth(ranking.sets.set_at(int(row))) for row in (among[quickest], advised))
    return tr(
        "Were first gear used in corners too, {one} would be the quickest and {other} {behind:.1f} s "
        "behind it: say under “How it is ridden” which gear is the lowest.",
        one=one,
        other=other,
        behind=behind,
    )
