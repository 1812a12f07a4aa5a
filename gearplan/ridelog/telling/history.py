"""The rides of one bike, one after another: what is kept of each, and what changed from one to the next. Pure."""

from __future__ import annotations

import hashlib
import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from gearplan.bike.entries import entries_in
from gearplan.bike.profile import Bike
from gearplan.bike.text.numbertext import odometer_text
from gearplan.bike.text.units import MM
from gearplan.bike.text.written import percent
from gearplan.bike.values import check_entry
from gearplan.bike.work.rides import SPEEDS, Ride
from gearplan.language import tr
from gearplan.ridelog.learning import robust
from gearplan.ridelog.learning.gears import SURE
from gearplan.ridelog.log import RideLog
from gearplan.ridelog.telling.evidence import Evidence
from gearplan.ridelog.telling.learned import Learned
from gearplan.ridelog.telling.remark import Remark

#: Pressure, warmth and load change how far a tyre rolls by up to this; and wear from new to the end of the tread by no
#: more than this (relative; common practice, no source).
_FROM_DAY_TO_DAY, _WORN = 0.004, 0.03
#: Teeth behind where a ride does not say (common practice, no source).
_REAR = 45
_FINGERPRINT = 12


def entry_of(learned: Learned, date: str | None = None, odometer_km: float | None = None) -> Ride | str:
    """What is kept of a ride; or in words why it tells nothing to keep."""
    gears, log = learned.gears, learned.log
    likely = None if gears is None else gears.most_likely
    if gears is None or likely is None or gears.final_over_rolled is None:
        return tr("This ride tells nothing of tyre and sprockets that another could be held against.")
    shown = None if gears.by_satellite else likely.indicated.value
    if learned.speeds is not None:
        shown = learned.speeds.quotient
    ride = Ride(
        date=date,
        odometer_km=odometer_km,
        front=likely.front,
        rear=likely.rear,
        likelihood=1.0 if learned.counted else round(likely.likelihood, 3),
        rolling_circumference_mm=round(likely.rolled.value / MM, 1),
        rolling_circumference_low_mm=round(likely.rolled.low / MM, 1),
        rolling_circumference_high_mm=round(likely.rolled.high / MM, 1),
        indicated_over_true=None if shown is None else round(shown, 4),
        speed_by=SPEEDS[0] if gears.by_satellite else SPEEDS[1],
        final_over_rolled_per_m=round(gears.final_over_rolled, 6),
        final_over_rolled_off=round(math.expm1(robust.Z * gears.error), 6),
        read_from=_fingerprint(log),
    )
    if any(check_entry(what, getattr(ride, key)) for key, what in entries_in(Ride)):
        return tr("What this ride tells is beyond sense: look at its columns and their units.")
    return ride


def kept(bike: Bike, ride: Ride) -> Bike | str:
    """The bike with one more ride, by date; or in words what contradicts the rides that it has."""
    if (same := next((one for one in bike.rides if one.read_from == ride.read_from), None)) is not None:
        return tr(
            "This ride is in the history already{text}.", text=tr(", on {date}", date=same.date) if same.date else ""
        )
    for one in bike.rides:
        if None in (one.date, one.odometer_km, ride.date, ride.odometer_km):
            continue
        first, then = sorted((one, ride), key=_day)
        assert first.odometer_km is not None
        assert then.odometer_km is not None
        if first.date != then.date and first.odometer_km > then.odometer_km:
            return tr(
                "The odometer was at {distance} on {date}, so it cannot be at {distance2} on {date2}. Put "
                "date or odometer right; leave the odometer empty if the instrument was changed.",
                distance=_distance(first),
                date=first.date,
                distance2=_distance(then),
                date2=then.date,
            )
    return replace(bike, rides=tuple(sorted((*bike.rides, ride), key=_day)))


def changes(rides: Sequence[Ride]) -> tuple[str, ...]:
    """For each ride what changed since the one before it or, little by little, since the last change; "" for nothing.

    A change counts where it is beyond both rides' ranges and beyond what pressure and warmth do.
    """
    return tuple(text for text, _ in _changes(rides))


def story(rides: Sequence[Ride]) -> tuple[str, ...]:
    """The changes, the newest first; of what came little by little only how far it has come."""
    found = _changes(rides)
    then = [*found[1:], ("", False)]
    return tuple(text for (text, slow), (_, on) in zip(found, then, strict=False) if text and not (slow and on))[::-1]


def _changes(rides: Sequence[Ride]) -> list[tuple[str, bool]]:
    """The text for each ride, and whether it tells what came little by little."""
    found: list[tuple[str, bool]] = []
    since: Ride | None = None
    for at, ride in enumerate(rides):
        step = _change(rides[at - 1], ride) if at else ""
        slow = "" if step or since is None else _drift(since, ride)
        found.append((step or slow, bool(slow)))
        if step or since is None:
            since = ride
    return found


def of_history(learned: Learned, bike: Bike) -> Remark | None:
    """What a ride says against the rides that are kept of the bike; None for nothing, or where it is one of them."""
    ride = entry_of(learned)
    if isinstance(ride, str) or not bike.rides or any(one.read_from == ride.read_from for one in bike.rides):
        return None
    text = changes((*bike.rides, ride))[-1]
    return Remark("check", "history", text, source=tr("ridden ratios of both rides")) if text else None


def history_evidence(rides: Sequence[Ride]) -> Evidence | None:
    """The circumference of each ride with its range over the odometer, or over the rides where that is not known."""
    known = [one for one in rides if one.rolling_circumference_mm is not None]
    if not known:
        return None
    distances = [one.odometer_km for one in known]
    far = [distance for distance in distances if distance is not None]
    by_distance = len(far) == len(known)
    across = np.array(far if by_distance else range(1, len(known) + 1), float)
    middle = np.array([one.rolling_circumference_mm for one in known], float)
    low, high = (
        np.array(
            [getattr(one, name) if getattr(one, name) is not None else one.rolling_circumference_mm for one in known]
        )
        for name in ("rolling_circumference_low_mm", "rolling_circumference_high_mm")
    )
    title = tr("Rolling circumference with its range, for the sprockets of each ride")
    return Evidence(title, tr("odometer, km") if by_distance else "ride", "mm", across, middle, spans=(low, high))


def _fingerprint(log: RideLog) -> str:
    """The same for the same values, whatever the file is called."""
    found = hashlib.sha256()
    for channel in (log.time, log.engine, log.road, log.gps):
        found.update(b"-" if channel is None else channel.tobytes())
    return found.hexdigest()[:_FINGERPRINT]


def _day(ride: Ride) -> tuple[str, float]:
    return ride.date or "", math.inf if ride.odometer_km is None else ride.odometer_km


def _distance(ride: Ride) -> str:
    text = odometer_text(ride.odometer_km or 0.0)
    return text if text.endswith("mi") else f"{text} km"


def _change(before: Ride, after: Ride) -> str:
    """What changed from one ride to the next, in words; "" for nothing."""
    found = _shorter(before, after)
    if found is None or not found[1]:
        return ""
    shorter, against = found[0], tr("Against {when}", when=_when(before))
    by = _or_the_instrument(before, after)
    sets = [(one.front, one.rear) for one in (before, after)]
    sure = all((one.likelihood or 0.0) >= SURE and one.front and one.rear for one in (before, after))
    if abs(shorter) < 0.5 / (before.rear or _REAR) and not (sure and sets[0] != sets[1]):
        # Less than half a tooth behind: no sprocket. What a tyre loses so is told as wear, which adds up.
        if shorter > 0:
            return ""
        return tr(
            "{against} the tyre rolls {more} a turn, too little for a tooth: a newer tyre or another{by}.",
            against=against,
            more=_more(-shorter),
            by=by,
        )
    if not sure:
        given = {"against": against, "share": _share(shorter), "by": by}
        if shorter > 0:
            return tr(
                "{against} it is geared {share} shorter: other sprockets, or a tyre worn or changed{by}. Count "
                "the teeth to tell which.",
                **given,
            )
        return tr(
            "{against} it is geared {share} longer: other sprockets, or a tyre worn or changed{by}. Count "
            "the teeth to tell which.",
            **given,
        )
    if sets[0] != sets[1]:
        both = (before.likelihood or 0.0) * (after.likelihood or 0.0)
        likely = "" if both == 1 else tr(", {both} likely", both=percent(both))
        rolls = _ratio(after) - _ratio(before) - shorter
        text = tr(
            "{against} sprockets changed: {now} instead of {before}{likely}.",
            against=against,
            now=f"{sets[1][0]}/{sets[1][1]}",
            before=f"{sets[0][0]}/{sets[0][1]}",
            likely=likely,
        )
        return (
            tr("{text} The tyre rolls {more} a turn.", text=text, more=_more(rolls))
            if abs(rolls) > _beyond(before, after)
            else text
        )
    given = {"against": against, "more": _more(-shorter), "by": by}
    if shorter < 0:
        return tr(
            "{against} the tyre rolls {more} a turn, with the same sprockets: a newer tyre or another{by}.", **given
        )
    if shorter <= _WORN:
        return tr(
            "{against} the tyre rolls {more} a turn, with the same sprockets: worn, or another tyre{by}.", **given
        )
    return tr(
        "{against} the tyre rolls {more} a turn, with the same sprockets: another tyre, as wear does not go so far"
        "{by}.",
        **given,
    )


def _drift(since: Ride, ride: Ride) -> str:
    """What came little by little, so that no sprocket was changed; "" for nothing."""
    found = _shorter(since, ride)
    if found is None or not found[1]:
        return ""
    given = {"when": _when(since), "more": _more(-found[0]), "by": _or_the_instrument(since, ride)}
    if found[0] > 0:
        return tr("Since {when} the tyre rolls {more} a turn, little by little: it wears{by}.", **given)
    return tr("Since {when} the tyre rolls {more} a turn, little by little: look at its pressure{by}.", **given)


def _shorter(before: Ride, after: Ride) -> tuple[float, bool] | None:
    """By how much the second ride is geared shorter (log), and whether that counts; None where they don't compare."""
    by_set = before.speed_by != after.speed_by
    ridden = [_ridden(one, by_set=by_set) for one in (before, after)]
    if ridden[0] is None or ridden[1] is None:
        return None
    shorter = ridden[1][0] - ridden[0][0]
    return shorter, abs(shorter) > _beyond(before, after)


def _beyond(before: Ride, after: Ride) -> float:
    """More than this (log) is a change: both ranges together, or what differs from day to day."""
    by_set = before.speed_by != after.speed_by
    ridden = [_ridden(one, by_set=by_set) for one in (before, after)]
    return max(sum(one[1] for one in ridden if one is not None), _FROM_DAY_TO_DAY)


def _or_the_instrument(before: Ride, after: Ride) -> str:
    return "" if before.speed_by == after.speed_by == SPEEDS[0] else tr(", or what the speed is measured by")


def _ridden(ride: Ride, *, by_set: bool) -> tuple[float, float] | None:
    """Log of the ridden ratio over the circumference and its 95 % range: as ridden, or as true for the ride's set."""
    if not by_set:
        value, off = ride.final_over_rolled_per_m, ride.final_over_rolled_off
        return None if value is None or off is None else (math.log(value), math.log1p(off))
    middle, low, high = (
        ride.rolling_circumference_mm,
        ride.rolling_circumference_low_mm,
        ride.rolling_circumference_high_mm,
    )
    if middle is None or low is None or high is None or not ride.front or not ride.rear:
        return None
    return _ratio(ride) - math.log(middle * MM), abs(math.log(high / low)) / 2


def _ratio(ride: Ride) -> float:
    """Log of the final ratio."""
    assert ride.front
    assert ride.rear
    return math.log(ride.rear / ride.front)


def _when(ride: Ride) -> str:
    far = "" if ride.odometer_km is None else _distance(ride)
    return f"{ride.date} ({far})" if ride.date and far else ride.date or far or tr("an earlier ride")


def _share(log: float) -> str:
    return percent(abs(math.expm1(log)), 1)


def _more(grown: float) -> str:
    share = _share(grown)
    return tr("{share} more", share=share) if grown > 0 else tr("{share} less", share=share)
