"""The speed by satellite against the wheel's: what the speedometer flatters, and how the tyre grows. SI."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from gearplan.bike.profile import Bike, with_value
from gearplan.bike.text.units import KMH
from gearplan.ridelog.learning.ratios import FLOOR
from gearplan.ridelog.learning.robust import Z, line_fit
from gearplan.ridelog.log import Flags, Floats, RideLog
from gearplan.setup.ratios import growth

_LEAST_SPEED, _STEADY = 7.0, 0.6
_BLOCK = 10.0
_AT = 100 * KMH
_MOST_ROWS = 20_000
_MOST_GROWTH = 1e-4
#: How far the growth of a tyre with speed may be from the profile's (relative); and where there is none entered, what
#: it may be and how far from that (s²/m²): common experience, no source.
_GROWTH_ENTERED, _GROWTH_UNKNOWN = 0.25, (1.5e-6, 1.2e-6)


def growth_before(bike: Bike, *, by_satellite: bool) -> tuple[float, float]:
    """How a recorded speed grows beyond the engine's with its square before anything is measured, and the doubt of it
    (s²/m²): as the profile's tyre. Speed that counts turns of the rear wheel, or of what drives it, does not.
    """
    if not by_satellite and bike.speedometer.sensor in ("rear wheel", "output shaft"):
        return 0.0, 0.0
    entered = growth(bike)
    return (entered, _GROWTH_ENTERED * entered) if entered else _GROWTH_UNKNOWN


@dataclass(frozen=True, slots=True, eq=False)
class SpeedError:
    """The wheel's speed over the satellites' at one speed, with 95 % intervals; and the tyre's growth g in R(1 + g·v²).

    `growth` is None where the speeds ridden are too much alike to tell. `speeds` and `quotients` are the evidence.
    """

    at: float
    quotient: float
    low: float
    high: float
    growth: float | None
    growth_low: float
    growth_high: float
    speeds: Floats
    quotients: Floats

    @property
    def grows(self) -> bool:
        """Whether the growth is more than nothing, as far as it is known."""
        return self.growth is not None and self.growth_low > 0

    def applied(self, bike: Bike) -> Bike:
        """The profile with the speedometer's error."""
        return with_value(bike, "speedometer", "indicated_over_true", round(self.quotient, 4))

    def growth_applied(self, bike: Bike) -> Bike:
        """The profile with the tyre's growth."""
        grown = min(max(self.growth or 0.0, 0.0), _MOST_GROWTH)
        return with_value(bike, "tyre", "growth_per_mps2", float(f"{grown:.3g}"))


def compare_speeds(log: RideLog, straight: Flags | None = None) -> SpeedError | None:
    """Wheel against satellites, where both were recorded and ridden steadily for a while; else None.

    `straight` says in which rows the motorcycle stands upright: a leaned tyre turns faster at the same speed.
    log(wheel/satellite) = log c − g·v² to first order, fitted robustly; blocks of 10 s for the errors.
    """
    if log.road is None or log.gps is None or not log.timed:
        return None
    both = np.isfinite(log.road) & np.isfinite(log.gps) & (log.gps > _LEAST_SPEED) & (log.road > _LEAST_SPEED)
    dense = log.every(int(np.count_nonzero(both)))
    rows = np.flatnonzero(both)[::dense]
    if len(rows) < 100:
        return None
    time, gps, road = log.time[rows], log.gps[rows], log.road[rows]
    half = max(1, round(0.5 / max(float(np.median(np.diff(time))), 1e-3)))
    if len(rows) <= 2 * half + 50:
        return None
    # Braking and accelerating would show which of the two is late instead.
    span = time[2 * half :] - time[: -2 * half]
    pull = (road[2 * half :] - road[: -2 * half]) / span
    steady = (np.abs(pull) < _STEADY) & (span < 4 * half * dense * log.step + 0.2)
    if straight is not None:
        steady &= straight[rows][half:-half]
    time, gps, road = (line[half:-half][steady] for line in (time, gps, road))
    thin = max(1, len(time) // _MOST_ROWS)
    time, gps, road = time[::thin], gps[::thin], road[::thin]
    if len(time) < 60:
        return None
    known = np.log(road / gps)
    square = road**2
    fit = line_fit(square, known, (time // _BLOCK).astype(np.int64))
    if fit is None:
        return None
    at = min(_AT, float(np.quantile(gps, 0.8)))
    value, margin = fit.at(at**2), math.hypot(fit.margin(1.0, at**2), Z * FLOOR)
    wide = float(np.quantile(gps, 0.95) - np.quantile(gps, 0.05)) > 8.0
    grown = math.hypot(fit.margin(0.0, 1.0), Z * FLOOR / float(np.std(square)))
    return SpeedError(
        at,
        math.exp(value),
        math.exp(value - margin),
        math.exp(value + margin),
        -fit.slope if wide else None,
        -fit.slope - grown,
        -fit.slope + grown,
        gps,
        np.exp(known),
    )
