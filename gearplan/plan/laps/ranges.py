"""In which range a lap lies while not everything is known exactly, and whether one set is surely quicker. SI: s.

The range holds 95 of 100 cases of what is in doubt (`draws`).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from gearplan.bike.text.written import computed_lap
from gearplan.drive.lap.lap import lap_times
from gearplan.language import tr
from gearplan.plan.laps.draws import Doubts, draws, usual_doubts
from gearplan.plan.laps.ranking import LapRanking
from gearplan.plan.laps.sets import machines

Floats = NDArray[np.float64]

#: Shares of the cases that lie below the range's ends.
_ENDS = (0.025, 0.975)
#: A range whose middle is off the fitted set's lap by less than this share of it says nothing of who is quicker.
_NEITHER = 0.1


@dataclass(frozen=True, slots=True)
class LapRange:
    """Least and greatest lap of a set, and of its gap to the fitted set (None without one)."""

    lap: tuple[float, float]
    gap: tuple[float, float] | None

    @property
    def sure(self) -> bool:
        """Whether it is quicker, or slower, than the fitted set wherever the truth lies in the range."""
        return self.gap is not None and (self.gap[0] > 0 or self.gap[1] < 0)


def lap_range(laps: Floats, fitted: Floats | None) -> LapRange | None:
    """The range of a set from its laps in every draw, and the fitted set's; None where some lap is not known."""
    if not np.isfinite(laps).all():
        return None
    gap = None if fitted is None or not np.isfinite(fitted).all() else _ends(laps - fitted)
    return LapRange(_ends(laps), gap)


def ridden_range(ranking: LapRanking, row: int, doubts: Doubts | None = None) -> LapRange | None:
    """The range of one row of a ranking, with the fitted set ridden in the same cases. Costs some 130 laps."""
    doubts = (usual_doubts(ranking.sets.bike) if doubts is None else doubts).of(ranking.rules)
    drawn = draws(doubts)
    rows = np.array([row, ranking.sets.count - 1] if ranking.fitted_time is not None else [row])
    which = np.tile(np.arange(drawn.count), len(rows))
    mass = machines(ranking.sets, rows[:1]).mass
    made = machines(ranking.sets, np.repeat(rows, drawn.count), varied=drawn.varied(which, mass))
    laps = lap_times(made, ranking.circuit, ranking.rules).time.reshape(len(rows), drawn.count)
    return lap_range(laps[0], laps[1] if len(rows) > 1 else None)


def range_values(found: LapRange | None) -> dict[str, Any]:
    """The range for JSON: `doubt` with the ends of lap and gap, and whether the sign of the gap is `sure`."""
    if found is None:
        return {"doubt": None, "sure": None}
    doubt = {"lap_s": _written(found.lap), "gap_s": None if found.gap is None else _written(found.gap)}
    return {"doubt": doubt, "sure": None if found.gap is None else found.sure}


def range_sentence(found: LapRange | None, *, itself: bool) -> str:
    """The range in words; `itself`: the set is the fitted one."""
    if found is None:
        return ""
    told = tr("In doubt: {lap} to {lap2}", lap=computed_lap(found.lap[0]), lap2=computed_lap(found.lap[1]))
    if itself or found.gap is None:
        return f"{told}."
    low, high = found.gap
    if found.sure:
        if low > 0:
            return tr(
                "{told}, {least:.2f} to {most:.2f} s slower than the fitted one.", told=told, least=low, most=high
            )
        return tr("{told}, {least:.2f} to {most:.2f} s quicker than the fitted one.", told=told, least=-high, most=-low)
    given = {"told": told, "low": -low, "high": high}
    if abs(low + high) < _NEITHER * (high - low):
        return tr(
            "{told}; no more likely quicker than slower than the fitted one: from {low:.2f} s quicker to {high:.2f} s "
            "slower.",
            **given,
        )
    if low + high < 0:
        return tr(
            "{told}; probably quicker than the fitted one: from {low:.2f} s quicker to {high:.2f} s slower.", **given
        )
    return tr("{told}; probably slower than the fitted one: from {low:.2f} s quicker to {high:.2f} s slower.", **given)


def _ends(values: Floats) -> tuple[float, float]:
    # Of so few cases the ends lie further out than a straight line between them says (Weibull's plotting positions).
    low, high = np.quantile(values, _ENDS, method="weibull")
    return float(low), float(high)


def _written(ends: tuple[float, float]) -> list[float]:
    return [round(end, 4) for end in ends]
