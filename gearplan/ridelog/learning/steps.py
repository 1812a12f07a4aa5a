"""A road speed in coarse steps: whether each value was rounded or cut off, which shows half a step too little. SI.

In one gear the true speed is in proportion to the engine's. Rounded values lie about that line, values that were cut
off half a step below it whatever the speed: at many speeds the two differ, at one they do not. A tyre that grows bends
the line too, by as much as its growth is not known.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from gearplan.bike.profile import Bike
from gearplan.bike.text.units import RPM
from gearplan.ridelog.learning import robust
from gearplan.ridelog.learning.ratios import Ratios, find_ratios
from gearplan.ridelog.learning.speeds import growth_before
from gearplan.ridelog.learning.sprockets import Ridden
from gearplan.ridelog.learning.turns import apart
from gearplan.ridelog.log import Flags, Floats, LogError, RideLog

#: Steps from so fine to so coarse are looked at (m/s); finer ones move no ratio by more than what is never known.
_FINEST, _COARSEST = 0.12, 1.0
#: A value may be off its step by so much of it; so many rows show the step, by so many different values.
_OFF_STEP, _SHOWN, _LEAST_VALUES = 0.02, 20_000, 3
#: How far an instrument's line may be off through nothing, as a share of the step; and the chance that it is off by
#: anything up to two steps: common experience, no source.
_LINE, _ELSE = 0.06, 0.05
#: From this chance on it is told as decided.
DECIDED = 0.95
_LEAST_ROWS, _ENOUGH, _BLOCK, _LEAST_BLOCKS = 100, 30_000, 5, 5


@dataclass(frozen=True, slots=True)
class Steps:
    """The step of the recorded speed (m/s), the chance that values were cut off instead of rounded, and by how much of
    a ridden ratio (relative) that is."""

    step: float
    cut: float
    ratio: float

    @property
    def decided(self) -> bool | None:
        """Whether the values were cut off; None where it is open."""
        return True if self.cut >= DECIDED else False if self.cut <= 1 - DECIDED else None


def step_of(line: Floats | None) -> float | None:
    """The coarse step that all values of a line are multiples of; None where there is none."""
    if line is None:
        return None
    known = line[np.isfinite(line)]
    values = np.unique(known[:: max(1, len(known) // _SHOWN)])
    if len(values) < _LEAST_VALUES:
        return None
    step = float(np.median(np.diff(values)))
    if not _FINEST <= step <= _COARSEST:
        return None
    # The median is off by what the digits of the file are off; many steps together are not.
    step = float(values[-1] - values[0]) / max(round(float(values[-1] - values[0]) / step), 1)
    return step if float(np.abs(values / step - np.round(values / step)).max()) < _OFF_STEP else None


def find_steps(
    log: RideLog, ratios: Ratios, growth: tuple[float, float], straight: Flags | None = None
) -> Steps | None:
    """Whether the speed was rounded or cut off; None where it has no coarse step or there is too little to tell from.

    `growth` is how much the recorded speed grows beyond the engine's with its square, by the tyre, and the doubt of
    that (s²/m²); `straight` says in which rows it stands upright, for a leaned tyre rolls less a turn.
    """
    step = step_of(log.speed)
    if step is None:
        return None
    log = apart(log)
    speed, engine = log.speed, log.engine
    assert speed is not None
    assert engine is not None
    told = (ratios.which >= 0) & np.isfinite(speed) & np.isfinite(engine)
    rows = np.flatnonzero(told if straight is None else told & straight)
    rows = rows[:: max(1, len(rows) // _ENOUGH)]
    if len(rows) < _LEAST_ROWS:
        return None
    known = np.isfinite(engine)
    turns = np.interp(log.time[rows] - ratios.lag, log.time[known], engine[known])
    gear = ratios.which[rows]
    even = turns / np.array([cluster.ratio for cluster in ratios.clusters])[gear]
    off = speed[rows] - even - growth[0] * even**3
    one, off, cubes = (_beside(line, even, gear) for line in (np.ones(len(rows)), off, even**3))
    weights = np.ones(len(rows))
    low = scale = 0.0
    for _ in range(8):
        power = robust.summed(weights, one**2)
        if power < 1e-4 * len(rows):
            return Steps(step, 0.5, step / 2 * float(np.mean(1 / speed[rows])))
        low = -robust.summed(weights, one * off) / power
        rest = off + low * one
        scale = max(robust.spread(rest), 0.1 * step)
        weights = 1 / (1 + (rest / (2.385 * scale)) ** 2)
    influence = weights * one * (off + low * one) / robust.summed(robust.slopes(weights), one**2)
    error, blocks = robust.blocked_error(influence, (log.time[rows] // _BLOCK).astype(np.int64))
    if blocks < _LEAST_BLOCKS:
        error = math.inf
    bends = growth[1] * robust.summed(weights, one * cubes) / robust.summed(weights, one**2)
    doubt = math.sqrt((robust.student(blocks - 1) / robust.Z * error) ** 2 + bends**2 + (_LINE * step) ** 2)
    rounded, cut = (_ELSE / (4 * step) + (1 - _ELSE) * _normal(low - middle, doubt) for middle in (0.0, step / 2))
    return Steps(step, cut / (rounded + cut), step / 2 * float(np.mean(1 / speed[rows])))


def put_right(log: RideLog, steps: Steps) -> RideLog:
    """The log with half a step added to a speed that was cut off."""
    name = "road" if log.road is not None else "gps"
    line = getattr(log, name)
    # At a standstill nothing was cut off.
    return replace(log, **{name: np.where(line > steps.step / 2, line + steps.step / 2, line)})


def _beside(line: Floats, even: Floats, gear: np.ndarray) -> Floats:
    """What of a line is not in proportion to the engine's speed in its gear."""
    count = int(gear.max()) + 1
    share = np.bincount(gear, line * even, count) / np.maximum(np.bincount(gear, even**2, count), 1e-12)
    return np.asarray(line - share[gear] * even)


def _normal(off: float, doubt: float) -> float:
    return 0.0 if math.isinf(doubt) else math.exp(-0.5 * (off / doubt) ** 2) / (doubt * math.sqrt(math.tau))


def cases(way: Ridden, steps: Steps | None) -> tuple[Ridden, ...]:
    """One way to take the ridden ratios as it is, or where that is open, with a speed as rounded and as cut off."""
    if steps is None or steps.decided is not None:
        return (way,)
    cut = replace(way, quotient=way.quotient * (1 - steps.ratio), chance=way.chance * steps.cut)
    return replace(way, chance=way.chance * (1 - steps.cut)), cut


def mixed(way: Ridden, steps: Steps | None) -> Ridden:
    """One way to take the ridden ratios with what the open question of its speed's steps makes of it."""
    if steps is None or steps.decided is not None:
        return way
    error = math.hypot(way.error, steps.ratio * math.sqrt(steps.cut * (1 - steps.cut)))
    return replace(way, quotient=way.quotient * (1 - steps.cut * steps.ratio), error=error)


def steps_put_right(log: RideLog, bike: Bike, straight: Flags | None = None) -> tuple[RideLog, Steps | None]:
    """The log with a speed that was cut off put right, and what its steps say; as it is where they say nothing."""
    if step_of(log.speed) is None:
        return log, None
    try:
        ratios = find_ratios(log, (bike.engine.idle_rpm or 0.0) * RPM, straight if log.road is None else None)
    except LogError:
        return log, None
    steps = find_steps(log, ratios, growth_before(bike, by_satellite=log.road is None), straight)
    return put_right(log, steps) if steps is not None and steps.decided else log, steps
