"""Two riders on one circuit: each one's own set, their laps, and where one is quicker. SI: s."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from gearplan.bike.circuit import Circuit
from gearplan.bike.text.units import KMH
from gearplan.bike.text.written import computed_lap
from gearplan.language import tr
from gearplan.plan.laps.ranking import LapRanking, LapRow
from gearplan.plan.laps.spread import Plateau
from gearplan.plan.words import teeth

Floats = NDArray[np.float64]

#: Less than this is not told of a section (s), and of so many at most.
_TOLD_FROM, _MOST_TOLD = 0.02, 6


@dataclass(frozen=True, eq=False)
class Side:
    """One rider's ranking of the sets, and what is tied in it (None while nobody knows)."""

    ranking: LapRanking
    tied: Plateau | None

    @property
    def name(self) -> str:
        """What the rider is called; empty if nothing is entered."""
        return self.ranking.circuit.rider.name

    @property
    def own(self) -> LapRow | None:
        """The set to take for this rider, or while that is not known the quickest; None without any lap."""
        known = self.tied
        if known is not None and self.ranking.has_details(known.chosen):
            return self.ranking.row(known.chosen)
        return next(iter(self.ranking.best(1)), None)

    def row_of(self, row: LapRow) -> LapRow | None:
        """This rider's lap with a set of the other's ranking, which has the same sets in the same order."""
        return self.ranking.row(row.index) if self.ranking.has_details(row.index) else None


@dataclass(frozen=True, slots=True)
class Gained:
    """A section (from 0) with how much the first rider is quicker there (s), each with their own set."""

    section: int
    gain: float
    text: str


def of_rider(circuit: Circuit, number: int) -> Circuit:
    """The circuit as one of its riders (from 0) rides it."""
    return replace(circuit, riders=circuit.riders[number : number + 1])


def rider_names(one: Side, other: Side) -> tuple[str, str]:
    """What both riders are called."""
    return one.name or tr("Rider 1"), other.name or tr("Rider 2")


def section_times(side: Side, row: LapRow) -> Floats:
    """Time of each section in a lap of a ranking."""
    place = int(np.nonzero(side.ranking.detailed == row.index)[0][0])
    return side.ranking.laps.section_time[:, place]


def where_gained(one: Side, other: Side, unit: float = KMH, unit_name: str = "km/h") -> tuple[Gained, ...]:
    """Every section, in driving order, with what the first rider gains there on the other."""
    mine, yours = one.own, other.own
    if mine is None or yours is None:
        return ()
    names = rider_names(one, other)
    first, second = section_times(one, mine), section_times(other, yours)
    uses = [{use.section: use for use in (*row.apex, *row.straight)} for row in (mine, yours)]
    found = []
    for n, section in enumerate(one.ranking.circuit.sections):
        gain = float(second[n] - first[n])
        here, there = uses[0][n], uses[1][n]
        told = tr("Section {n}, {note}: ", n=n + 1, note=section.note or section.kind)
        if abs(gain) < _TOLD_FROM:
            told += tr("no difference")
        else:
            told += tr("{names} gains {gain:.2f} s", names=names[0] if gain > 0 else names[1], gain=abs(gain))
        speeds = [f"{use.speed / unit:.0f}" for use in (here, there)]
        reasons = (
            [tr("{speeds} and {speeds2} {unit_name}", speeds=speeds[0], speeds2=speeds[1], unit_name=unit_name)]
            if speeds[0] != speeds[1]
            else []
        )
        if here.gear != there.gear:
            reasons.append(tr("gear {gear} and {gear2}", gear=here.gear, gear2=there.gear))
        found.append(Gained(n, gain, f"{told} ({', '.join(reasons)})." if reasons else f"{told}."))
    return tuple(found)


def riders_told(one: Side, other: Side, unit: float = KMH, unit_name: str = "km/h") -> tuple[str, ...]:
    """Both laps and sets, what the other's set would cost each, and where one gains most, in words."""
    mine, yours = one.own, other.own
    if mine is None or yours is None:
        return ()
    names = rider_names(one, other)
    told = [_laps(names, (mine, yours))]
    for side, name, row, another in ((one, names[0], mine, yours), (other, names[1], yours, mine)):
        if another.index == row.index:
            continue
        swapped = side.row_of(another)
        if swapped is not None:
            by = swapped.time - row.time
            way = f"{abs(by):.2f} s {'slower' if by > 0 else 'quicker'}" if abs(by) >= 0.005 else tr("as quick")
            told.append(
                tr(
                    "{name} with {named}: {time}, {way}.",
                    name=name,
                    named=_named(another),
                    time=computed_lap(swapped.time),
                    way=way,
                )
            )
    gains = sorted(where_gained(one, other, unit, unit_name), key=lambda gained: -abs(gained.gain))
    told += [gained.text for gained in gains[:_MOST_TOLD] if abs(gained.gain) >= _TOLD_FROM]
    return tuple(told)


def _named(row: LapRow) -> str:
    return f"{teeth(row.set)}{f' ({row.besides})' if row.besides else ''}"


def _laps(names: tuple[str, str], rows: tuple[LapRow, LapRow]) -> str:
    gap = rows[1].time - rows[0].time
    sets = [_named(row) for row in rows]
    with_sets = (
        [tr("with {name}", name=name) for name in sets]
        if sets[0] != sets[1]
        else ["", tr(", both with {sets}", sets=sets[0])]
    )
    first = tr(
        "{names} laps in {time} {with_sets}", names=names[0], time=computed_lap(rows[0].time), with_sets=with_sets[0]
    ).rstrip()
    second = f"{names[1]} in {computed_lap(rows[1].time)} {with_sets[1]}".replace(" ,", ",")
    if abs(gap) < 0.005:
        return tr("{first}, {second}: as quick.", first=first, second=second)
    return tr(
        "{first}, {second}: {names} is {gap:.2f} s quicker.",
        first=first,
        second=second,
        names=names[0] if gap > 0 else names[1],
        gap=abs(gap),
    )


def riders_values(one: Side, other: Side) -> dict[str, object]:
    """Both riders for JSON; sections count from 1."""
    sides = []
    for side, name in zip((one, other), rider_names(one, other), strict=True):
        row, on = side.own, side.ranking.fitted
        sides.append(
            {
                "name": name,
                "front": None if row is None else row.set.front,
                "rear": None if row is None else row.set.rear,
                "links": None if row is None else row.set.links,
                "besides": "" if row is None else row.besides,
                "lap_s": None if row is None else round(row.time, 5),
                "fitted_lap_s": None if on is None else round(on.time, 5),
                "leave": None if side.tied is None else side.tied.leave,
            }
        )
    gains = [{"section": g.section + 1, "first_gains_s": round(g.gain, 4)} for g in where_gained(one, other)]
    return {"riders": sides, "sections": gains}
