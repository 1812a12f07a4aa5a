"""What the speedometer shows with a set fitted, and whether the rule allows it; for one set and for many. SI."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from gearplan.bike.profile import Bike
from gearplan.bike.text.units import KMH, RPM
from gearplan.bike.text.written import against, measured, shortest
from gearplan.drive import gearing, speedometer, tyre
from gearplan.drive.sprocket import Values
from gearplan.language import marked, tr
from gearplan.plan.driveset import DriveSet
from gearplan.plan.findings import Finding, in_order
from gearplan.setup.ratios import box_ratios, final_ratio, growth, rolling

#: What its finding is about.
SPEEDOMETER = marked("speedometer")

#: So little over or under is the same speed.
_SAME = 1e-9


def shown_over_true(bike: Bike, final: Values, circumference: Values) -> NDArray[np.float64] | None:
    """Indicated over true speed for final ratios and rolling circumferences (m), which broadcast.

    None while sensor, its error or the fitted set are not entered.
    """
    s, on, rolls = bike.speedometer, bike.final_drive, rolling(bike)
    before = final_ratio(on.front, on.rear)
    if s.sensor is None or s.indicated_over_true is None or before is None or rolls is None:
        return None
    return speedometer.indicated_over_true(
        s.indicated_over_true, s.sensor, before, final, rolls.circumference, circumference
    )


def speedometer_factor(bike: Bike, chosen: DriveSet) -> float | None:
    """Indicated over true speed with a set fitted; None while sensor, its error or the ratios are not entered."""
    final, rolls = final_ratio(chosen.front, chosen.rear), rolling(bike, chosen.tyre)
    if final is None or rolls is None:
        return None
    found = shown_over_true(bike, final, rolls.circumference)
    return None if found is None else float(found)


@lru_cache(maxsize=64)
def rule_speed(bike: Bike) -> float:
    """The true speed (m/s, whole km/h) at which the rule binds most: the highest at which it is tested.

    While the fitted set's speed at the redline is not known, 100 km/h.
    """
    on, box, rolls, redline = bike.final_drive, box_ratios(bike), rolling(bike), bike.engine.redline_rpm
    final = final_ratio(on.front, on.rear)
    if box is None or rolls is None or redline is None or final is None:
        return 100 * KMH
    radius = tyre.rolling_radius(rolls.circumference)
    reached = float(np.max(gearing.road_speed(redline * RPM, box * final, radius, growth(bike))))
    return max(round(speedometer.highest_test_speed(reached) / KMH), 1) * KMH


def speedometer_levels(bike: Bike, final: Values, size: str | None) -> NDArray[np.int_]:
    """What `speedometer_finding` says of final ratios with a tyre size: 0 fits (or not known), 1 check."""
    rolls = rolling(bike, size)
    shown = None if rolls is None else shown_over_true(bike, final, rolls.circumference)
    if shown is None:
        return np.zeros(np.shape(final), int)
    return np.broadcast_to(breaks_rule(bike, shown), np.shape(final)).astype(int)


def breaks_rule(bike: Bike, shown: Values) -> NDArray[np.bool_]:
    """Whether indicated over true speeds lie outside what the rule allows."""
    true, factor = rule_speed(bike), np.asarray(shown, float)
    least, most = (bound / true for bound in speedometer.allowed(true))
    return np.asarray((factor < least - _SAME) | (factor > most + _SAME))


def on_track(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """The same findings where nothing but the track is ridden: the rule for speedometers decides nothing there."""
    return in_order(replace(f, aside=True) if f.about == SPEEDOMETER else f for f in findings)


def speedometer_finding(bike: Bike, chosen: DriveSet, off: float = 0.0) -> Finding | None:
    """Whether the speedometer stays within the rule; None where that is not known.

    With `off` (km/h), by which what it shows may be off, it is told so.
    """
    factor = speedometer_factor(bike, chosen)
    if factor is None:
        return None
    about, source = SPEEDOMETER, tr("UN Regulation No. 39, paragraph 5.3; local law decides")
    true = rule_speed(bike)
    most = speedometer.allowed(true)[1] / true
    at = true / KMH
    shown = factor * at
    doubtful = measured(shown, off)
    if not breaks_rule(bike, factor):
        text = tr("At {at:.0f} km/h the speedometer shows {shows} km/h, within the rule.", at=at, shows=doubtful)
        return Finding("fits", about, text, shown, at * most, "km/h", source)
    if factor < 1:
        told = doubtful if off else against(shown, at)
        text = tr(
            "At {at:.0f} km/h the speedometer would show {shows} km/h: less than true, which no rule allows.",
            at=at,
            shows=told,
        )
        return Finding("check", about, text, shown, at, "km/h", source)
    limit = shortest(round(at * most, 1))
    told = doubtful if off else against(shown, at * most)
    text = tr(
        "At {at:.0f} km/h the speedometer would show {shows} km/h; at most {limit} are allowed.",
        at=at,
        shows=told,
        limit=limit,
    )
    return Finding("check", about, text, shown, at * most, "km/h", source)
