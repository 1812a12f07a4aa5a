"""What is really fitted: the ridden ratios held against a profile. Pure; SI inside.

The road speed is taken as true unless satellites say otherwise. k = i_g·2π/U gives the final ratio over the rolling
circumference U: a set of sprockets is likely as far as the circumference that it asks for is, which the profile knows
to some 1 % when measured and 2 % when taken from the size (common experience, no source), and as far as people
fit such a set.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from gearplan.bike.profile import Bike, with_value
from gearplan.bike.units import KMH, MM, MPH, RPM
from gearplan.ridelog.learning import robust
from gearplan.ridelog.learning.ratios import FLOOR, Cluster, Ratios, find_ratios
from gearplan.ridelog.log import Floats, RideLog
from gearplan.setup import assumed
from gearplan.setup.ratios import box_ratios, final_ratio, gearbox, growth, rolling, whole_ratio

#: How far (one standard deviation, relative) a circumference may be from the profile's.
_DOUBT = {"measured": 0.01, "size": 0.02, "none": 0.12}
#: Chances that people fit another set, for each tooth away from the profile's: common practice, no source.
_STAYS, _CHANGED, _FRONT_FALLS, _REAR_FALLS = 0.6, 0.14, 0.5, 0.6
_FRONTS, _REARS = 3, 9
#: A ridden ratio this far (relative) from every gear of the profile is none of them.
_OF_NO_GEAR = 0.012
#: The profile's gearbox must explain this share of what was ridden.
_EXPLAINED = 0.7
#: From this doubt on a person should count the teeth.
_SURE = 0.8
_RADIANS_AWAY = 0.12
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
class Teeth:
    """A set of sprockets and how likely it is the one that was ridden; `circumference` (m) is what it asks for."""

    front: int
    rear: int
    likelihood: float
    circumference: float

    def applied(self, bike: Bike) -> Bike:
        """The profile with this set fitted."""
        return replace(bike, final_drive=replace(bike.final_drive, front=self.front, rear=self.rear))


@dataclass(frozen=True, slots=True)
class Rolled:
    """How far the rear tyre rolls in a turn (m) with its 95 % interval, if the most likely sprockets are fitted."""

    circumference: float
    low: float
    high: float
    profile: float | None
    profile_from: str

    def applied(self, bike: Bike) -> Bike:
        """The profile with the circumference as measured."""
        return with_value(bike, "tyre", "rolling_circumference_mm", round(self.circumference / MM, 1))


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
    speed, by satellites if there are any (else 1), with its error.
    """

    ratios: Ratios
    gears: tuple[Gear, ...]
    matched: str
    unit_asked: str | None
    final_over_rolled: float | None
    error: float
    teeth: tuple[Teeth, ...]
    rolled: Rolled | None
    gearbox: GearRatios | None
    scale: float
    scale_error: float
    by_satellite: bool
    sensor: str | None
    recorded: tuple[int | None, ...] = ()

    @cached_property
    def most_likely(self) -> Teeth | None:
        """The set that was most likely ridden."""
        return self.teeth[0] if self.teeth else None


def profile_circumference(bike: Bike) -> tuple[float | None, str]:
    """The profile's rolling circumference (m) and how well it is known: "measured", "size" or "none"."""
    found = rolling(bike)
    if found is None:
        return None, "none"
    return found.circumference, "measured" if found.by == "measured" else "size"


def infer_gears(log: RideLog, bike: Bike) -> Gears:
    """The gears of a ride against a profile; LogError in one line if the ride tells none."""
    ratios = find_ratios(log, (bike.engine.idle_rpm or 0.0) * RPM)
    scale, scale_error, by_satellite = _scale(log, ratios)
    # From here on k is that of the true speed, at a crawl: the tyre's growth is taken out.
    known = np.log([cluster.ratio for cluster in ratios.clusters]) + math.log(scale) + _growth(log, ratios, bike)
    box, rolled_by_profile = _entered_box(bike), profile_circumference(bike)
    final = final_ratio(bike.final_drive.front, bike.final_drive.rear)
    weights = np.sqrt(np.array([cluster.rows for cluster in ratios.clusters], float))
    expected = None
    if box is not None and final is not None and rolled_by_profile[0] is not None:
        expected = math.log(final * math.tau / rolled_by_profile[0])
    offset, numbers, off, matched, unit = _matched(known, weights, box, expected)
    shares = _shares(log, ratios)
    recorded = _recorded(log, ratios)
    if matched == "unknown":
        numbers = recorded
    sensor = bike.speedometer.sensor
    if offset is None or matched == "no" or unit is not None:
        gears = _gears(ratios, numbers, shares, known, rolled_by_profile[0])
        whole = not any(recorded) or recorded == list(range(1, len(recorded) + 1))
        box_found = _gearbox(bike, known, rolled_by_profile[0], final) if matched == "unknown" and whole else None
        return Gears(
            ratios=ratios,
            gears=gears,
            matched=matched,
            unit_asked=unit,
            final_over_rolled=None,
            error=0.0,
            teeth=(),
            rolled=None,
            gearbox=box_found,
            scale=scale,
            scale_error=scale_error,
            by_satellite=by_satellite,
            sensor=sensor,
            recorded=tuple(recorded),
        )
    error = math.hypot(_joint_error(ratios, numbers), scale_error)
    quotient = math.exp(offset) / math.tau
    teeth = _likely(bike, quotient, error, rolled_by_profile)
    rolled = None
    if teeth:
        u = teeth[0].circumference
        margin = robust.Z * error
        rolled = Rolled(u, u * math.exp(-margin), u * math.exp(margin), *rolled_by_profile)
    u_used = rolled.circumference if rolled is not None else rolled_by_profile[0]
    gears = _gears(ratios, numbers, shares, known, u_used, off)
    return Gears(
        ratios=ratios,
        gears=gears,
        matched=matched,
        unit_asked=None,
        final_over_rolled=quotient,
        error=error,
        teeth=teeth,
        rolled=rolled,
        gearbox=None,
        scale=scale,
        scale_error=scale_error,
        by_satellite=by_satellite,
        sensor=sensor,
        recorded=tuple(recorded),
    )


def _scale(log: RideLog, ratios: Ratios) -> tuple[float, float, bool]:
    """Road speed over satellite speed in gear: value, relative error, and whether there are satellites at all."""
    if log.road is None or log.gps is None:
        return 1.0, 0.0, log.road is None
    rows = np.flatnonzero((ratios.which >= 0) & (log.gps > 6) & np.isfinite(log.gps) & np.isfinite(log.road))
    if len(rows) < 50:
        return 1.0, 0.0, False
    known = np.log(log.road[rows] / log.gps[rows])
    centre, weights = robust.cauchy_centre(known, robust.spread(known))
    influence = robust.centre_influence(known, centre, weights)
    error, blocks = robust.blocked_error(influence, (log.time[rows] // 5).astype(np.int64))
    return math.exp(centre), robust.student(blocks - 1) / robust.Z * error, True


def _growth(log: RideLog, ratios: Ratios, bike: Bike) -> Floats:
    """What the tyre's growth takes from log k in each gear, by the profile's own figure."""
    grows = growth(bike)
    if not grows or log.speed is None:
        return np.zeros(len(ratios.clusters))
    squares = [float(np.mean(log.speed[ratios.which == g] ** 2)) for g in range(len(ratios.clusters))]
    return np.asarray(np.log1p(grows * np.nan_to_num(np.array(squares))))


def _matched(
    known: Floats, weights: Floats, box: Floats | None, expected: float | None
) -> tuple[float | None, list[int | None], list[float | None], str, str | None]:
    """The offset between ridden ratios and the profile's, each one's gear (from 1) and how far off it is.

    All pairings of a ridden ratio with a gear are tried as offsets; the best explains most with the least, and lies
    near the expected one, or near it in another unit of speed.
    """
    if box is None:
        return None, [None] * len(known), [None] * len(known), "unknown", None
    gears = np.log(box)
    tries = (known[:, None] - gears[None, :]).ravel()
    misses = known[None, :, None] - gears[None, None, :] - tries[:, None, None]
    cost = (np.minimum(np.abs(misses).min(2) / 0.01, 3.0) ** 2 @ weights) / weights.sum()
    units = {None: 0.0, "mph": math.log(MPH / KMH), "m/s": math.log(1 / KMH), "km/h": -math.log(MPH / KMH)}
    far = np.zeros((len(tries), 1))
    if expected is not None:
        # k is too high by the factor that the speed is too low.
        away = np.abs(tries[:, None] - expected - np.array(list(units.values()))[None, :])
        far = 0.5 * (away / _RADIANS_AWAY) ** 2 + np.array([0.0, 1.5, 1.5, 1.5])
    total = cost + far.min(1)
    best = int(np.argmin(total))
    unit = list(units)[int(np.argmin(far[best]))]
    numbers = [int(np.argmin(np.abs(one - gears - tries[best]))) for one in known]
    off = known - gears[numbers] - tries[best]
    good = np.abs(off) < _OF_NO_GEAR
    if min(weights[good].sum() / weights.sum(), good.mean()) < _EXPLAINED or float(far.min(1)[best]) > 6:
        return None, [None] * len(known), [None] * len(known), "no", None
    offset = tries[best] + float(np.dot(weights[good], off[good]) / weights[good].sum())
    told: list[int | None] = [number + 1 if fine else None for number, fine in zip(numbers, good, strict=True)]
    rest = known - gears[numbers] - offset
    return offset, told, [float(one) if fine else None for one, fine in zip(rest, good, strict=True)], "yes", unit


def _joint_error(ratios: Ratios, numbers: list[int | None]) -> float:
    """Relative error of the common factor of all gears, that of sensors included."""
    rows = np.array([c.rows if number is not None else 0 for c, number in zip(ratios.clusters, numbers, strict=True)])
    errors = np.array([cluster.error for cluster in ratios.clusters])
    weights = np.sqrt(rows) / np.sqrt(rows).sum()
    return math.hypot(float(np.sqrt(np.dot(weights**2, errors**2))), FLOOR)


def _likely(bike: Bike, quotient: float, error: float, rolled: tuple[float | None, str]) -> tuple[Teeth, ...]:
    """Sets of sprockets by likelihood: what circumference each asks for, and how often such a set is fitted."""
    about, source = rolled
    expected = assumed.circumference().value * MM if about is None else about
    doubt = math.hypot(_DOUBT[source], error)
    on = bike.final_drive
    known = on.front is not None and on.rear is not None
    front, rear = (on.front, on.rear) if on.front is not None and on.rear is not None else (14, 45)
    fronts = range(max(9, front - _FRONTS), front + _FRONTS + 1) if known else range(11, 19)
    rears = range(max(20, rear - _REARS), rear + _REARS + 1) if known else range(32, 58)
    found = []
    for f in fronts:
        for r in rears:
            u = r / f / quotient
            usual = _FRONT_FALLS ** abs(f - front) * _REAR_FALLS ** abs(r - rear) if known else 1.0
            chance = _STAYS if known and (f, r) == (front, rear) else _CHANGED * usual
            found.append((chance * math.exp(-0.5 * (math.log(u / expected) / doubt) ** 2), f, r, u))
    total = sum(one[0] for one in found)
    if total <= 0 or max(abs(math.log(u / expected)) for _, _, _, u in [max(found)]) > 6 * doubt:
        return ()
    ordered = sorted(found, reverse=True)
    return tuple(Teeth(f, r, chance / total, u) for chance, f, r, u in ordered if chance / total >= 0.01)[:6]


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
) -> tuple[Gear, ...]:
    found = []
    for g, cluster in enumerate(ratios.clusters):
        if numbers[g] is None and off is not None:
            # Held for a while, but no gear of this gearbox: a clutch that slipped evenly, or a coast.
            continue
        margin = robust.Z * cluster.error
        overall = None if circumference is None else math.exp(float(known[g])) * circumference / math.tau
        low = None if overall is None else overall * math.exp(-margin)
        high = None if overall is None else overall * math.exp(margin)
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
