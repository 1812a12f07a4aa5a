"""Two sets on one circuit as the charts show them: traces, gear bands, time gained, and how the map is shaded. SI."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from gearplan.bike.circuit import Circuit
from gearplan.bike.profile import Bike
from gearplan.bike.sections.doubts import Doubt, lap_doubts, section_doubts
from gearplan.bike.text.units import KMH, RPM
from gearplan.bike.text.written import computed_lap
from gearplan.drive.lap.rules import LapRules, apex_speed
from gearplan.drive.lap.trace import Trace
from gearplan.language import tr, trn
from gearplan.plan.choices.space import Space
from gearplan.plan.driveset import DriveSet, fitted
from gearplan.plan.findings import Finding
from gearplan.plan.laps.compare import gained
from gearplan.plan.laps.ranking import LapRanking, LapRow, rank_laps
from gearplan.plan.laps.sets import GearboxError
from gearplan.plan.laps.trackmap import circuit_map
from gearplan.setup.limits import friction

Floats = NDArray[np.float64]
Ints = NDArray[np.int_]

#: The map shades at most so many bands of engine speed.
_MOST_BANDS = 6
_POINTS = 500
#: Shorter stretches in one gear than this share of the lap get no mark.
_LEAST_MARKED = 0.015


@dataclass(frozen=True, eq=False)
class LapView:
    """The laps of the proposed and the fitted set (None while that is not known), and the ranking that holds both.

    `ahead` is (distance, seconds) that the proposed set is ahead.
    """

    ranking: LapRanking
    row: LapRow
    proposed: Trace
    on_row: LapRow | None
    on: Trace | None
    ahead: tuple[Floats, Floats] | None


@dataclass(frozen=True, slots=True)
class Band:
    """From one distance to another (m) in one gear (from 1)."""

    start: float
    end: float
    gear: int


@dataclass(frozen=True, eq=False)
class Shading:
    """Which level (from 0) each point of the map has, what the levels are called, and marks beside the line.

    `marks` are (index of the point, text): what the shade says, said again in words.
    """

    levels: Ints
    names: tuple[str, ...]
    marks: tuple[tuple[int, str], ...]


@lru_cache(maxsize=40)
def lap_view(bike: Bike, chosen: DriveSet, circuit: Circuit, rules: LapRules | None = None) -> LapView | Finding:
    """Both laps; or the finding that names what is missing of the profile, the set or the circuit."""
    ranking = set_ranking(bike, chosen, circuit, rules)
    if isinstance(ranking, Finding):
        return ranking
    # With gears of its own it is ridden with the bike's as well, and comes after.
    mine = ranking.sets.ranked - 1
    if mine not in ranking.order:
        return Finding("check", "lap", " ".join(ranking.notes))
    proposed, on_set = ranking.trace(mine, _step(circuit)), fitted(bike)
    on = None
    if ranking.fitted is not None:
        on = proposed if chosen == on_set else _fitted_trace(bike, circuit, rules)
    return LapView(
        ranking,
        ranking.row(mine),
        proposed,
        ranking.fitted,
        on,
        None if on is None else gained(on, proposed),
    )


def set_ranking(bike: Bike, chosen: DriveSet, circuit: Circuit, rules: LapRules | None) -> LapRanking | Finding:
    """The ranking of one set, and of the fitted one beside it; the finding names what is missing."""
    if chosen.front is None or chosen.rear is None:
        part = "front" if chosen.front is None else "rear"
        told = (
            tr("The lap needs the front sprocket's teeth.")
            if part == "front"
            else tr("The lap needs the rear sprocket's teeth.")
        )
        return Finding("check", "lap", told, field=f"final_drive.{part}")
    links = None if chosen.links is None else (chosen.links, chosen.links)
    space = Space((chosen.front,), (chosen.rear,), (chosen.chain,), (chosen.tyre,), links)
    options = None if chosen.gears is None else tuple((gear,) for gear in chosen.gears)
    try:
        return rank_laps(bike, circuit, space, rules, options)
    except GearboxError as refused:
        return Finding("check", "lap", tr("The proposed gears: {refused}.", refused=refused))


def _step(circuit: Circuit) -> float:
    """Metres between the points of a trace: no closer than a screen shows."""
    return max(circuit.length_m / _POINTS, 5.0)


@lru_cache(maxsize=8)
def _fitted_trace(bike: Bike, circuit: Circuit, rules: LapRules | None) -> Trace | None:
    """The fitted set's trace, which a drag of the proposed one does not change."""
    ranking = set_ranking(bike, fitted(bike), circuit, rules)
    return None if isinstance(ranking, Finding) else ranking.trace(ranking.sets.count - 1, _step(circuit))


def gear_bands(trace: Trace) -> tuple[Band, ...]:
    """Where each gear is used, in driving order."""
    changes = np.nonzero(np.diff(trace.gear))[0]
    starts = np.concatenate([[0], changes + 1])
    ends = np.concatenate([changes + 1, [len(trace.gear) - 1]])
    return tuple(
        Band(float(trace.distance[one]), float(trace.distance[other]), int(trace.gear[one]) + 1)
        for one, other in zip(starts.tolist(), ends.tolist(), strict=True)
    )


def shaded_by_gear(trace: Trace, distance: Floats) -> Shading:
    """Each point of the map by the gear in which it is ridden; every stretch is marked with its gear."""
    at = np.clip(np.searchsorted(trace.distance, distance, side="right") - 1, 0, len(trace.gear) - 1)
    levels = trace.gear[at]
    least = int(levels.min())
    return Shading(
        np.asarray(levels - least),
        tuple(str(gear + 1) for gear in range(least, int(levels.max()) + 1)),
        tuple(
            (int(np.argmin(np.abs(distance - (band.start + band.end) / 2))), str(band.gear))
            for band in gear_bands(trace)
            if band.end - band.start >= _LEAST_MARKED * float(distance[-1])
        ),
    )


def shaded_by_engine(trace: Trace, distance: Floats, row: LapRow, starts: tuple[float, ...]) -> Shading:
    """Each point of the map by engine speed in even bands; apexes and ends of straights are marked with theirs."""
    engine = np.interp(distance, trace.distance, trace.engine) / RPM
    low, high = float(engine.min()), float(engine.max())
    width = next(w for w in (250, 500, 1000, 2000, 5000) if math.ceil(high / w) - math.floor(low / w) <= _MOST_BANDS)
    first = math.floor(low / width)
    levels = np.minimum(np.floor(engine / width).astype(int) - first, _MOST_BANDS - 1)
    names = tuple(f"{(first + k) * width}–{(first + k + 1) * width}" for k in range(int(levels.max()) + 1))
    marks = []
    for use in row.apex:
        middle = (starts[use.section] + starts[use.section + 1]) / 2
        marks.append((int(np.argmin(np.abs(distance - middle))), f"{use.rpm:.0f}"))
    for use in row.straight:
        inside = (trace.section == use.section).nonzero()[0]
        fastest = trace.distance[inside[int(np.argmax(trace.speed[inside]))]]
        marks.append((int(np.argmin(np.abs(distance - fastest))), f"{use.rpm:.0f}"))
    return Shading(levels, names, tuple(marks))


def apex_speeds(bike: Bike, circuit: Circuit) -> tuple[float | None, ...]:
    """Apex speed of each section (m/s) as entered or as it follows from its radius; None on straights."""
    known = friction(bike).value
    return tuple(
        None
        if section.kind == "straight" or (section.apex_kmh is None and section.radius_m is None)
        else apex_speed(section, known)
        for section in circuit.sections
    )


def doubts_by_section(bike: Bike, circuit: Circuit) -> dict[int, tuple[Doubt, ...]]:
    """What is asked about single sections of a circuit that this bike is to ride, by their index."""
    found: dict[int, tuple[Doubt, ...]] = {}
    for doubt in section_doubts(circuit, friction(bike).value):
        assert doubt.index is not None
        found[doubt.index] = (*found.get(doubt.index, ()), doubt)
    return found


def doubts_of_lap(circuit: Circuit) -> tuple[str, ...]:
    """What is asked about the lap as a whole, and about the line that its lengths and turns make."""
    note = circuit_map(circuit).note if circuit.sections else ""
    return (*(doubt.text for doubt in lap_doubts(circuit)), *([note] if note else []))


def lap_sentence(view: LapView) -> str:
    """Both lap times, the shifts, and what stands against the proposed set, in words."""
    row, on = view.row, view.on_row
    told = trn(
        "The proposed set laps in {time} with {n} up-shift",
        "The proposed set laps in {time} with {n} up-shifts",
        row.up_shifts,
        time=computed_lap(row.time),
    )
    if on is not None:
        gap = row.time - on.time
        if abs(gap) < 0.005:
            told += tr(", as quick as the fitted one")
        elif gap > 0:
            told += tr(", {seconds:.2f} s slower than the fitted one", seconds=gap)
        else:
            told += tr(", {seconds:.2f} s quicker than the fitted one", seconds=-gap)
    told += "."
    if row.leaned_shifts:
        told += trn(
            " {n} up-shift falls while it is leaned over.",
            " {n} up-shifts fall while it is leaned over.",
            row.leaned_shifts,
        )
    if row.limiter >= 0.05:
        told += tr(" {limiter:.1f} s at the limiter.", limiter=row.limiter)
    if row.stuck:
        steep = view.ranking.circuit.sections[row.stuck[0]].gradient_percent > 0
        at = row.stuck[0] + 1
        told += (
            tr(" It cannot climb section {n}.", n=at) if steep else tr(" It pulls too little for section {n}.", n=at)
        )
    return told


def at_distance(view: LapView, distance: float, unit: float, unit_name: str) -> str:
    """What happens at a distance along the lap, in words."""
    told = [f"{distance:.0f} m"]
    for name, trace in ((tr("proposed"), view.proposed), (tr("fitted"), view.on)):
        if trace is None:
            continue
        speed = float(np.interp(distance, trace.distance, trace.speed)) / unit
        engine = float(np.interp(distance, trace.distance, trace.engine)) / RPM
        at = int(np.clip(np.searchsorted(trace.distance, distance, side="right") - 1, 0, len(trace.gear) - 1))
        told.append(
            tr(
                "{name} {speed:.0f} {unit_name}, {engine:.0f} rpm in gear {gear}",
                name=name,
                speed=speed,
                unit_name=unit_name,
                engine=engine,
                gear=int(trace.gear[at]) + 1,
            )
        )
    if view.ahead is not None:
        ahead = float(np.interp(distance, *view.ahead))
        told.append(
            tr("{seconds:.2f} s ahead so far", seconds=ahead)
            if ahead >= 0
            else tr("{seconds:.2f} s behind so far", seconds=-ahead)
        )
    return "; ".join(told) + "."


def use_rows(view: LapView, unit: float = KMH) -> tuple[tuple[str, ...], ...]:
    """Each section with gear, engine speed and speed of both sets, as texts in driving order."""
    after = {use.section: use for use in (*view.row.apex, *view.row.straight)}
    known = () if view.on_row is None else (*view.on_row.apex, *view.on_row.straight)
    before = {use.section: use for use in known}
    found = []
    for n, section in enumerate(view.ranking.circuit.sections):
        old, new = before.get(n), after[n]
        found.append(
            (
                str(n + 1),
                section.note or tr(section.kind),
                "–" if old is None else f"{old.gear}",
                "–" if old is None else f"{old.rpm:.0f}",
                f"{new.gear}",
                f"{new.rpm:.0f}",
                f"{new.speed / unit:.0f}",
            )
        )
    return tuple(found)
