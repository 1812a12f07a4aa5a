"""Which overall ratios were ridden: the clusters of engine speed over road speed, told apart from slip and coasting.

k = engine speed / road speed (rad/s over m/s) is i_g/R while the clutch grips. In its logarithm each gear is a narrow
peak; a slipping clutch, coasting and shifts make k wander, so rows where it wanders are left out before the peaks are
looked for. The centre of a peak is a robust mean, its error comes from blocks of consecutive seconds.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from gearplan.bike.text.units import RPM
from gearplan.language import tr
from gearplan.ridelog.learning import robust
from gearplan.ridelog.learning.turns import apart
from gearplan.ridelog.log import Flags, Floats, LogError, RideLog

_LEAST_SPEED = 2.5
_LEAST_ENGINE = 500 * RPM
#: Widths of the histogram's bins and bounds of its smoothing, in the logarithm of the ratio.
_BIN, _SMOOTH = 0.002, (0.004, 0.012)
#: Two gears of one gearbox are further apart than this (common sense, no source: the closest are about 5 %).
_APART = 0.034
_MOST_GEARS = 9
#: Half the time over which k must hold still (s), and seconds of one block for the errors.
_STILL, _BLOCK = 0.25, 5.0
#: What is never known better, by rounding and slow wander of sensors (one standard deviation).
FLOOR = 0.0005
#: A lag shorter than this moves no ratio by more than the floor (s).
_LAG_COUNTS = 0.003
#: A lag is sought as exactly as this (s).
_LAG_EXACT = 1e-5
#: The longest lag that is believed (s); rows rarer than this (s) leave much unseen between them.
_MOST_LAG, _RARE = 0.6, 0.5
_ENOUGH = 30_000
_ROUNDS, _SLOWER = 3, 3.0
#: The longest drop-out that is bridged (s).
_BRIDGED = 5.0


@dataclass(frozen=True, slots=True)
class Cluster:
    """One ridden gear: k = engine over road speed (rad/m), its 95 % interval, standard error of its logarithm.

    `rows` were used for it; `spread` is the scatter of a single reading (relative).
    """

    ratio: float
    low: float
    high: float
    error: float
    blocks: int
    rows: int
    spread: float


@dataclass(frozen=True, slots=True, eq=False)
class Ratios:
    """The gears that were ridden, the shortest first, with the evidence.

    `bins` (centres, log k) and `density` (rows a bin, smoothed) are the histogram; `which` is for each row of the log
    the index of its cluster, or −1 (clutch, shift, standstill), −2 where a value is missing or nothing can be told.
    `lag` is how many seconds the road speed comes after the engine speed; it is put right. `residuals` are relative,
    `residual_of` says of which cluster. `in_turn` says that the two speeds were read in turn, which is put right too.
    """

    clusters: tuple[Cluster, ...]
    bins: Floats
    density: Floats
    which: NDArray[np.int64]
    residuals: Floats
    residual_of: NDArray[np.int64]
    lag: float
    in_turn: bool = False


@dataclass(slots=True, eq=False)
class _Pairs:
    """Rows with both speeds: their places in the log, times and log k, with its smoothed course."""

    rows: NDArray[np.intp]
    time: Floats
    speed: Floats
    engine: Floats
    k: Floats
    smooth: Floats
    change: Floats
    pull: Floats


def find_ratios(log: RideLog, idle: float = 0.0, straight: Flags | None = None) -> Ratios:
    """The clusters of a ride; LogError in one line if engine or road speed are not there or never in gear.

    `idle` is the engine's idle speed if it is known (rad/s), else it is taken from where the motorcycle stands: there,
    and a little above, the engine may turn by itself. Where `straight` is given, only those rows tell the ratios: by
    satellite speed a leaned tyre looks like a shorter gear.
    """
    one_clock = apart(log)
    return replace(_of_clock(one_clock, idle, straight), in_turn=one_clock is not log)


def _of_clock(log: RideLog, idle: float, straight: Flags | None) -> Ratios:
    """The clusters of a log whose rows belong to one moment each."""
    if (dense := log.every(len(log.time))) > 1:
        some = None if straight is None else straight[::dense]
        found = _of_clock(log.rows_where(slice(None, None, dense)), idle, some)
        return replace(found, which=np.repeat(found.which, dense)[: len(log.time)])
    # The lag alone needs no more than some rows a second.
    thin = max(1, len(log.time) // _ENOUGH)
    if thin > 1 and log.step < 0.04:
        some = None if straight is None else straight[::thin]
        found = _found(log.rows_where(slice(None, None, thin)), 0.0, idle, some)
        return _found(log, found.lag if abs(found.lag) >= _LAG_COUNTS else 0.0, idle, straight)
    found = _found(log, 0.0, idle, straight)
    return found if abs(found.lag) < _LAG_COUNTS else _found(log, found.lag, idle, straight)


def _found(log: RideLog, lag: float, idle: float, straight: Flags | None) -> Ratios:
    """The clusters with the engine speed taken from `lag` seconds earlier, and what lag is left besides."""
    pairs = _pairs(log, lag, idle)
    still = _still(pairs)
    if straight is not None and np.count_nonzero(still & straight[pairs.rows]) > 0.2 * np.count_nonzero(still):
        still &= straight[pairs.rows]
    if np.count_nonzero(still) < 20:
        raise LogError(tr("Engine speed and road speed never keep one ratio for long enough to tell a gear."))
    bins, density, noise = _histogram(pairs, still)
    centres = _peaks(bins, density, noise)
    clusters: list[Cluster] = []
    widths = _widths(centres, np.full(len(centres), noise))
    for turn in range(_ROUNDS):
        if not len(centres):
            break
        # About the new centre, as wide as that gear's own noise asks: a cut on one side only would pull.
        nearest, off = _nearest(pairs.k, centres)
        inside = still & (np.abs(off) < widths[nearest])
        most = None if turn == _ROUNDS - 1 else _ENOUGH // 4
        clusters, centres, own = _refined(pairs, nearest, inside, len(centres), most)
        widths = _widths(centres, np.maximum(own, noise))
    if not clusters:
        raise LogError(tr("No gear stands out: engine speed and road speed show no ratio that is kept."))
    nearest, off = _nearest(pairs.k, centres)
    inside = np.asarray(still & (np.abs(off) < widths[nearest]))
    which = np.full(len(log.time), -2)
    if log.engine is not None and log.speed is not None:
        which[np.isfinite(log.speed) & np.isfinite(log.engine)] = -1
    near, apart = _nearest(pairs.smooth, centres)
    which[pairs.rows] = np.where(np.abs(apart) < np.maximum(widths[near], 0.02), near, -1)
    if log.step >= _RARE:
        # So rare that a shift or a rounded speed fills the time between rows: no gear is seen, nor that there is none.
        within = (pairs.smooth < centres[0] + 0.05) & (pairs.smooth > centres[-1] - 0.05)
        which[pairs.rows[~still & within & (which[pairs.rows] == -1)]] = -2
    _bridge(which, log.time)
    left = _lag(pairs, centres, inside, max(_MOST_LAG, 1.5 * log.step))
    rest, of = off[inside], nearest[inside]
    return Ratios(tuple(clusters), bins, density, which, rest, of, lag + left)


def _bridge(which: NDArray[np.int64], time: Floats) -> None:
    """Rows without a value between two rows of one gear, a few seconds apart, are taken to be in it too."""
    here = np.arange(len(which))
    before = np.maximum.accumulate(np.where(which > -2, here, 0))
    after = np.minimum.accumulate(np.where(which > -2, here, len(which) - 1)[::-1])[::-1]
    missing = (which == -2) & (which[before] == which[after]) & (time[after] - time[before] < _BRIDGED)
    which[missing] = which[before][missing]


def _pairs(log: RideLog, lag: float, idle: float) -> _Pairs:
    speed, engine = log.speed, log.engine
    if engine is None or speed is None:
        lacking = "engine speed" if engine is None else tr("road speed")
        raise LogError(tr("The log has no {lacking}; the gears need engine speed and road speed.", lacking=lacking))
    for line, what in ((engine, tr("Engine speed")), (speed, tr("Road speed"))):
        known = line[np.isfinite(line)]
        if not len(known) or not (known > 0).any():
            raise LogError(tr("{what} is zero or missing throughout; check its column.", what=what))
    both = np.isfinite(engine) & np.isfinite(speed)
    fewest = min(np.count_nonzero(np.isfinite(engine)), np.count_nonzero(np.isfinite(speed)))
    if np.count_nonzero(both) < 0.3 * fewest or lag:
        # Where engine and road speed were written in turns, or one comes late: from the rows on either side.
        known = np.isfinite(engine)
        last = np.maximum.accumulate(np.where(known, np.arange(len(known)), 0))
        both = np.isfinite(speed) & (log.time - log.time[last] < log.gap_from)
        engine = np.interp(log.time - lag, log.time[known], engine[known])
    standing = both & (speed < 0.7) & (engine > 0.5 * _LEAST_ENGINE)
    if np.count_nonzero(standing) > 10:
        idle = float(np.median(engine[standing]))
    moving = both & (speed > _LEAST_SPEED) & (engine > max(_LEAST_ENGINE, 1.12 * idle))
    rows = np.flatnonzero(moving)
    if len(rows) < 30:
        raise LogError(tr("The motorcycle hardly moves in this log, so no gear can be told."))
    time, v, n = log.time[rows], speed[rows], engine[rows]
    k = np.log(n / v)
    step = float(np.median(np.diff(time)))
    half = max(1, round(_STILL / step))
    before, after = _means(k, half)
    pause = np.empty(len(rows), bool)
    pause[:] = True
    pause[half:-half] = time[2 * half :] - time[: -2 * half] > 2.5 * half * step + 0.05
    change = np.where(pause, np.inf, np.abs(after - before))
    slow, quick = _means(v, half)
    # The means on both sides lie one half (and a row) apart.
    pull = np.where(pause, 0.0, (quick - slow) / ((half + 1) * step) / v)
    return _Pairs(rows, time, v, n, k, (before + after) / 2, change, pull)


def _means(values: Floats, half: int) -> tuple[Floats, Floats]:
    """For each row the mean of the `half` rows before it with itself, and after it with itself."""
    total = np.concatenate([[0.0], np.cumsum(values)])
    here = np.arange(len(values))
    first, last = np.maximum(here - half, 0), np.minimum(here + half + 1, len(values))
    return (total[here + 1] - total[first]) / (here + 1 - first), (total[last] - total[here]) / (last - here)


def _still(pairs: _Pairs) -> Flags:
    """Rows at which k holds still, judged by how much it usually moves."""
    finite = pairs.change[np.isfinite(pairs.change)]
    if not len(finite):
        return np.zeros(len(pairs.k), bool)
    usual = float(np.quantile(finite, 0.4))
    # The same noise of the speed moves k the more, the slower it goes.
    slower = np.clip(float(np.median(pairs.speed)) / pairs.speed, 1.0, _SLOWER)
    still = pairs.change < np.minimum(max(3.5 * usual, 0.006) * slower, 0.05)
    # The last of a slip looks still for a moment: what lies beside restless rows is left out too.
    half = max(1, round(_STILL / float(np.median(np.diff(pairs.time)))))
    before, after = _means(still.astype(float), 2 * half)
    return np.asarray(still & (np.minimum(before, after) > 0.75))


def _histogram(pairs: _Pairs, still: Flags) -> tuple[Floats, Floats, float]:
    k = pairs.k[still]
    noise = robust.spread(k - pairs.smooth[still])
    # Rounded speeds scatter by their step, though neighbours do not differ.
    steps = np.diff(np.unique(pairs.speed[still][:20000]))
    coarse = float(np.median(steps)) / math.sqrt(12) if len(steps) else 0.0
    noise = max(noise, coarse / float(np.median(pairs.speed[still])))
    low, high = np.quantile(k, [0.001, 0.999])
    count = max(8, math.ceil((high - low + 0.2) / _BIN))
    counts, edges = np.histogram(k, count, (low - 0.1, low - 0.1 + count * _BIN))
    width = min(max(noise, _SMOOTH[0]), _SMOOTH[1]) / _BIN
    reach = np.arange(-math.ceil(4 * width), math.ceil(4 * width) + 1)
    kernel = np.exp(-0.5 * (reach / width) ** 2)
    density = np.convolve(counts, kernel / kernel.sum(), "full")[len(reach) // 2 :][: len(counts)]
    return (edges[:-1] + edges[1:]) / 2, density, noise


def _peaks(bins: Floats, density: Floats, noise: float) -> Floats:
    """The peaks that stand out, the highest ratio first, in log k."""
    inner = (density[1:-1] >= density[:-2]) & (density[1:-1] > density[2:])
    found = np.flatnonzero(inner) + 1
    found = found[np.argsort(-density[found])]
    rows = float(density.sum())
    taken: list[int] = []
    reach = max(2.5 * noise, 0.008)
    for at in found.tolist():
        near = np.abs(bins - bins[at]) <= reach
        ring = (np.abs(bins - bins[at]) <= 3 * reach) & ~near
        around = float(np.median(density[ring])) if ring.any() else 0.0
        if density[near].sum() < max(15.0, 0.003 * rows) or density[at] < 2.0 * around:
            continue
        clear = True
        for other in taken:
            low, high = sorted((at, other))
            valley = density[low : high + 1].min()
            clear = clear and abs(bins[at] - bins[other]) >= _APART and valley < 0.6 * density[at]
        if clear and len(taken) < _MOST_GEARS:
            taken.append(at)
    return np.sort(bins[taken])[::-1]


def _nearest(k: Floats, centres: Floats) -> tuple[NDArray[np.int64], Floats]:
    """For each row the nearest centre (which fall) and how far it lies above it."""
    between = (centres[:-1] + centres[1:]) / 2
    which = len(centres) - 1 - np.searchsorted(between[::-1], k)
    return which, k - centres[which]


def _widths(centres: Floats, noise: Floats) -> Floats:
    """How far from each centre a row may lie to belong to it."""
    gap = np.full(len(centres), 1.0)
    if len(centres) > 1:
        apart = -np.diff(centres)
        gap = np.minimum(np.append(apart, 1.0), np.append(1.0, apart))
    return np.asarray(np.minimum(np.maximum(4.5 * noise, 0.012), 0.45 * gap))


def _refined(
    pairs: _Pairs, nearest: NDArray[np.int64], inside: Flags, count: int, most: int | None
) -> tuple[list[Cluster], Floats, Floats]:
    """The clusters, their centres and the noise of a single reading of each; from `most` rows of a cluster, or all."""
    clusters: list[Cluster] = []
    noise: list[float] = []
    for g in range(count):
        rows = np.flatnonzero(inside & (nearest == g))
        if len(rows) < 10:
            continue
        if most is not None:
            rows = rows[:: max(1, len(rows) // most)]
        values = pairs.k[rows]
        scale = max(robust.spread(values), 1e-5)
        centre, weights = robust.cauchy_centre(values, scale)
        influence = robust.centre_influence(values, centre, weights)
        error, blocks = robust.blocked_error(influence, (pairs.time[rows] // _BLOCK).astype(np.int64))
        if blocks < 4:
            error = max(error, scale / math.sqrt(max(blocks, 1)))
        margin = math.hypot(robust.student(blocks - 1) * error, robust.Z * FLOOR)
        ratio = math.exp(centre)
        error = margin / robust.Z
        clusters.append(
            Cluster(ratio, ratio * math.exp(-margin), ratio * math.exp(margin), error, blocks, len(rows), scale)
        )
        noise.append(robust.spread(values - pairs.smooth[rows]))
    return clusters, np.log(np.array([cluster.ratio for cluster in clusters])), np.array(noise)


def _lag(pairs: _Pairs, centres: Floats, inside: Flags, most: float) -> float:
    """How late the road speed is (s): a late speed makes k too high by lag·a/v while accelerating.

    The slope of k over a/v within the gears, each gear's own mean taken out, with Cauchy weights.
    """
    which, off = _nearest(pairs.k, centres)
    rows = np.flatnonzero(inside)
    rows = rows[:: -(-len(rows) // _ENOUGH)]
    which, off, pull = which[rows], off[rows], pairs.pull[rows]
    found, weights = 0.0, np.ones(len(off))
    for _ in range(8):
        total = np.bincount(which, weights, len(centres)) + 1e-12
        pull_about = pull - (np.bincount(which, weights * pull, len(centres)) / total)[which]
        off_about = off - (np.bincount(which, weights * off, len(centres)) / total)[which]
        power = robust.summed(weights, pull_about**2)
        if power < 1e-9 * len(pull):
            return 0.0
        before, found = found, robust.summed(weights, pull_about * off_about) / power
        if abs(found - before) < _LAG_EXACT:
            break
        rest = off_about - found * pull_about
        weights = 1 / (1 + (rest / (2.385 * max(robust.spread(rest), 1e-6))) ** 2)
    return found if abs(found) < most else 0.0
