"""What is really fitted: the ridden ratios held against a profile. Pure; SI inside.

The ridden ratios are held against the steps of the profile's gearbox, which tells the gears; one ratio alone may be
any of them. What is left is the final ratio over circumference and error of the speed: see `sprockets`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from gearplan.bike.profile import Bike, with_value
from gearplan.bike.text.units import RPM
from gearplan.ridelog.learning import robust
from gearplan.ridelog.learning.matching import leaned_cases, match, ways
from gearplan.ridelog.learning.ratios import FLOOR, Cluster, Ratios, find_ratios
from gearplan.ridelog.learning.speeds import SpeedError, growth_before
from gearplan.ridelog.learning.sprockets import Range, Ridden, Rolled, Teeth, likely, profile_circumference
from gearplan.ridelog.learning.steps import Steps, cases, mixed
from gearplan.ridelog.log import Flags, Floats, RideLog
from gearplan.setup.ratios import box_ratios, final_ratio, gearbox, whole_ratio

#: From this likelihood on a set or a gear is told as decided; a range wider than this is none.
SURE = 0.8
TOO_WIDE = 1.02
#: So many rows are enough to hold road against satellite speed.
_ENOUGH = 50
#: The log's own gear column counts for a cluster if so much of it agrees.
_CLEARLY = 0.8


@dataclass(frozen=True, slots=True)
class Gear:
    """A ridden gear: its number if the profile tells it, k, overall ratio with its 95 % interval, share of time.

    `overall` is None while no circumference is known.
    """

    number: int | None
    cluster: Cluster
    overall: float | None
    low: float | None
    high: float | None
    share: float
    off: float | None


@dataclass(frozen=True, slots=True)
class GearRatios:
    """The gearbox as ridden, for a profile without one: ratios of the gears, first gear first."""

    gears: tuple[float, ...]

    def applied(self, bike: Bike) -> Bike:
        """The profile with these gears."""
        return with_value(bike, "gearbox", "gears", tuple(round(ratio, 3) for ratio in self.gears))


@dataclass(frozen=True, eq=False)
class Gears:
    """All that engine speed and road speed tell.

    `matched` says whether the ridden ratios are those of the profile's gearbox: "yes", "no" (another bike), or
    "unknown" (the profile has none). `unit_asked` is the unit that the road speed is more likely in, if another one
    explains it. `recorded` is what the log's own gear column calls each cluster. `scale` is road speed over true
    speed, by satellites if there are any (else 1). `indicated` is what that is without satellites, as
    far as it can be. `gearing` are the ways to take the clusters for gears, the likeliest first, with their chances.
    """

    ratios: Ratios
    gears: tuple[Gear, ...]
    matched: str
    unit_asked: str | None
    final_over_rolled: float | None
    error: float
    teeth: tuple[Teeth, ...]
    rolled: Rolled | None
    indicated: Range | None
    gearing: tuple[tuple[tuple[int | None, ...], float], ...]
    gearbox: GearRatios | None
    scale: float
    by_satellite: bool
    sensor: str | None
    recorded: tuple[int | None, ...] = ()

    @cached_property
    def undecided(self) -> tuple[str, ...]:
        """What the ride cannot decide: of "gear", "sprockets", "circumference" and "speed"."""
        if self.rolled is None or self.most_likely is None:
            return ()
        found = {
            "gear": self.gearing[0][1] < SURE,
            "sprockets": self.most_likely.likelihood < SURE,
            "circumference": self.rolled.high / self.rolled.low > TOO_WIDE,
            "speed": self.indicated is not None and self.indicated.high / self.indicated.low > TOO_WIDE,
        }
        return tuple(what for what, open_ in found.items() if open_)

    @cached_property
    def numbers(self) -> tuple[int | None, ...]:
        """The gear of each cluster; None where it is none or is not known."""
        known = {gear.cluster.ratio: gear.number for gear in self.gears}
        return tuple(known.get(cluster.ratio) for cluster in self.ratios.clusters)

    @cached_property
    def most_likely(self) -> Teeth | None:
        """The set that was most likely ridden."""
        return self.teeth[0] if self.teeth else None


def infer_gears(
    log: RideLog,
    bike: Bike,
    speeds: SpeedError | None = None,
    straight: Flags | None = None,
    counted: tuple[int, int] | None = None,
    steps: Steps | None = None,
    *,
    leans: bool = False,
) -> Gears:
    """The gears of a ride against a profile; LogError in one line if the ride tells none.

    `speeds` tells of the tyre's growth, where it was measured; `straight` in which rows the motorcycle stands upright;
    `counted` is the set that a person has counted; `steps` says whether a speed in coarse steps was cut off;
    `leans` that it is known to be this motorcycle, ridden leaned.
    """
    ratios = find_ratios(log, (bike.engine.idle_rpm or 0.0) * RPM, straight if log.road is None else None)
    scale, apart, by_satellite = _scale(log, ratios, straight)
    # From here on k is that of the true speed, at a crawl: the tyre's growth is taken out.
    grown, growth_error = _growth(log, ratios, bike, speeds, by_satellite=by_satellite)
    known = np.log([cluster.ratio for cluster in ratios.clusters]) + math.log(scale) + grown
    box, rolled_by_profile = _entered_box(bike), profile_circumference(bike)
    final = final_ratio(bike.final_drive.front, bike.final_drive.rear)
    weights = np.sqrt(np.array([cluster.rows for cluster in ratios.clusters], float))
    expected = None
    if box is not None and final is not None and rolled_by_profile[0] is not None:
        expected = math.log(final * math.tau / rolled_by_profile[0])
    lean_open = log.road is None and straight is None
    found = match(known, weights, box, expected, lean_open=lean_open, leans=leans)
    shares = _shares(log, ratios)
    recorded = _recorded(log, ratios)
    numbers = recorded if found.matched == "unknown" else list(found.numbers)
    told = Gears(
        ratios=ratios,
        gears=(),
        matched=found.matched,
        unit_asked=found.unit,
        final_over_rolled=None,
        error=0.0,
        teeth=(),
        rolled=None,
        indicated=None,
        gearing=(),
        gearbox=None,
        scale=scale,
        by_satellite=by_satellite,
        sensor=bike.speedometer.sensor,
        recorded=tuple(recorded),
    )
    if box is None or found.offset is None or found.unit is not None:
        whole = not any(recorded) or recorded == list(range(1, len(recorded) + 1))
        box_found = _gearbox(bike, known, rolled_by_profile[0], final) if found.matched == "unknown" and whole else None
        return replace(told, gears=_gears(ratios, numbers, shares, known, rolled_by_profile[0]), gearbox=box_found)
    taken = ways(known, weights, np.log(box), recorded, found, lean_open=lean_open)
    ridden = [
        Ridden(
            math.exp(way.offset) / math.tau,
            math.hypot(_joint_error(ratios, way.numbers) if apart is None else apart, FLOOR, growth_error),
            way.chance,
        )
        for way in taken
    ]
    # Against satellites the step falls out: what it takes from the recorded speed, it takes from the ratio too.
    open_ = None if by_satellite and log.road is not None else steps
    every = [
        case
        for way, one in zip(taken, ridden, strict=True)
        for speed in cases(one, open_)
        for case in leaned_cases(speed, way.leaned)
    ]
    fitted = likely(bike, every, by_satellite=by_satellite, counted=counted)
    if fitted is None:
        return replace(
            told,
            gears=_gears(ratios, numbers, shares, known, rolled_by_profile[0], list(found.off)),
            final_over_rolled=ridden[0].quotient,
            error=ridden[0].error,
        )
    gearing = np.array(fitted.gearing).reshape(len(taken), -1).sum(1).tolist()
    order = sorted(range(len(taken)), key=lambda i: -gearing[i])
    way, chosen = taken[order[0]], ridden[order[0]]
    rest = [
        None if n is None else float(one) - way.offset - math.log(box[n - 1])
        for one, n in zip(known, way.numbers, strict=True)
    ]
    # Circumference times the speed's error: with it the overall ratio is that of gear and likeliest sprockets.
    together = fitted.final.value / chosen.quotient
    beyond = fitted.final.low / fitted.final.value, fitted.final.high / fitted.final.value
    return replace(
        told,
        gears=_gears(ratios, list(way.numbers), shares, known, together, rest, beyond),
        final_over_rolled=mixed(chosen, open_).quotient,
        error=mixed(chosen, open_).error,
        teeth=fitted.teeth,
        rolled=fitted.rolled,
        indicated=None if by_satellite else fitted.indicated,
        gearing=tuple((taken[i].numbers, gearing[i]) for i in order),
    )


def _scale(log: RideLog, ratios: Ratios, straight: Flags | None) -> tuple[float, float | None, bool]:
    """Road speed over satellite speed in gear, and whether there are satellites at all.

    The error between them is that of the engine speed over the satellite speed: what the road speed errs drops out.
    It is None where one of the two speeds is not there.
    """
    if log.road is None or log.gps is None or log.engine is None:
        return 1.0, None, log.road is None
    both = (ratios.which >= 0) & (log.gps > 6) & np.isfinite(log.gps) & np.isfinite(log.road)
    rows = np.flatnonzero(both if straight is None else both & straight)
    rows = rows[:: log.every(len(rows))]
    if len(rows) < _ENOUGH:
        # Leaned rows alone tell no true turn of the wheel: the recorded speed is taken as if there were no satellites.
        return 1.0, None, False
    known = np.log(log.road[rows] / log.gps[rows])
    centre, _ = robust.cauchy_centre(known, robust.spread(known))
    told = rows[np.isfinite(log.engine[rows])]
    gears = np.log([cluster.ratio for cluster in ratios.clusters])[ratios.which[told]]
    rest = np.log(np.maximum(log.engine[told], 1.0) / log.gps[told]) - gears - centre
    middle, weights = robust.cauchy_centre(rest, robust.spread(rest))
    influence = robust.centre_influence(rest, middle, weights)
    error, blocks = robust.blocked_error(influence, (log.time[told] // 5).astype(np.int64))
    return math.exp(centre), robust.student(blocks - 1) / robust.Z * error, True


def _growth(
    log: RideLog, ratios: Ratios, bike: Bike, speeds: SpeedError | None, *, by_satellite: bool
) -> tuple[Floats, float]:
    """What the tyre's growth takes from log k in each gear, and the error of that.

    The growth is the profile's, or the one measured against satellites, each by its weight. Speed that counts turns of
    the rear wheel, or of what drives it, knows nothing of it.
    """
    grows, doubt = growth_before(bike, by_satellite=by_satellite)
    if not grows:
        return np.zeros(len(ratios.clusters)), 0.0
    if speeds is not None and speeds.growth is not None and bike.speedometer.sensor != "front wheel":
        measured = (speeds.growth_high - speeds.growth_low) / (2 * robust.Z)
        share = doubt**2 / (doubt**2 + measured**2)
        grows, doubt = grows + share * (speeds.growth - grows), doubt * math.sqrt(1 - share)
    if log.speed is None:
        return np.zeros(len(ratios.clusters)), 0.0
    squares = np.nan_to_num(
        np.array([float(np.mean(log.speed[ratios.which == g] ** 2)) for g in range(len(ratios.clusters))])
    )
    rows = np.array([cluster.rows for cluster in ratios.clusters], float)
    return np.log1p(np.maximum(grows * squares, -0.05)), doubt * float(np.dot(rows, squares) / rows.sum())


def _joint_error(ratios: Ratios, numbers: Sequence[int | None]) -> float:
    """Relative error of the common factor of all gears, without what is never known better."""
    rows = np.array([c.rows if number is not None else 0 for c, number in zip(ratios.clusters, numbers, strict=True)])
    errors = np.array([cluster.error for cluster in ratios.clusters])
    weights = np.sqrt(rows) / np.sqrt(rows).sum()
    return float(np.sqrt(np.dot(weights**2, np.maximum(errors**2 - FLOOR**2, 0.0))))


def _recorded(log: RideLog, ratios: Ratios) -> list[int | None]:
    """The gear that the log's own column gives to each cluster; None where it gives none, or not clearly."""
    found: list[int | None] = []
    for g in range(len(ratios.clusters)):
        told = np.zeros(0) if log.gear is None else log.gear[ratios.which == g]
        told = told[np.isfinite(told) & (told > 0) & (told < 10)].astype(int)
        counts = np.bincount(told) if len(told) else np.zeros(1)
        found.append(int(counts.argmax()) if len(told) and counts.max() > _CLEARLY * len(told) else None)
    return found


def _shares(log: RideLog, ratios: Ratios) -> list[float]:
    """The share of the recorded time in each cluster."""
    durations = log.durations()
    whole = float(durations.sum()) or 1.0
    return [float(durations[ratios.which == g].sum()) / whole for g in range(len(ratios.clusters))]


def _gears(
    ratios: Ratios,
    numbers: list[int | None],
    shares: list[float],
    known: Floats,
    circumference: float | None,
    off: list[float | None] | None = None,
    beyond: tuple[float, float] = (1.0, 1.0),
) -> tuple[Gear, ...]:
    """The gears with their overall ratios; `beyond` is how far the final ratio may be below and above."""
    found = []
    for g, cluster in enumerate(ratios.clusters):
        if numbers[g] is None and off is not None:
            # Held for a while, but no gear of this gearbox: a clutch that slipped evenly, or a coast.
            continue
        margin = robust.Z * cluster.error
        overall = None if circumference is None else math.exp(float(known[g])) * circumference / math.tau
        low = None if overall is None else overall * math.exp(-margin) * beyond[0]
        high = None if overall is None else overall * math.exp(margin) * beyond[1]
        found.append(Gear(numbers[g], cluster, overall, low, high, shares[g], None if off is None else off[g]))
    return tuple(found)


def _entered_box(bike: Bike) -> Floats | None:
    """The gearbox, if all of it was entered: a ride is not matched to steps that are only typical."""
    return None if gearbox(bike).assumed else box_ratios(bike)


def _gearbox(bike: Bike, known: Floats, rolled: float | None, final: float | None) -> GearRatios | None:
    """The gears of a profile that has none, where primary, final drive and circumference are there."""
    primary = whole_ratio(bike.gearbox.primary)
    if primary is None or rolled is None or final is None:
        return None
    return GearRatios(tuple((np.exp(known) * rolled / math.tau / final / primary).tolist()))
