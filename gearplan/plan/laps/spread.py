"""The plateau of a lap ranking: which sets are tied within what nobody knows exactly, and what then breaks the tie.

Each assumption is moved up and down by itself and the quickest sets are ridden again. What counts is not how much the
laps change but how much the differences between sets do; independent doubts add by their squares.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from gearplan.bike.circuit import Circuit
from gearplan.bike.units import DEGREE, KMH, RPM
from gearplan.bike.written import counted
from gearplan.drive.lap.lap import lap_times
from gearplan.drive.machines import Machines
from gearplan.plan.laps.ranking import EVERY, LapRanking, LapRow, Wanted
from gearplan.plan.laps.sets import machines
from gearplan.plan.words import teeth
from gearplan.setup.machine import with_mass

Floats = NDArray[np.float64]
Ints = NDArray[np.int_]

#: Differences below this share of the lap mean nothing: about the error of the lap itself.
LEAST_SPREAD = 0.0004
_MOST_ROWS = 150
#: Sets slower than the best by more are not looked at (a share of the lap).
_NEAR = 0.01


@dataclass(frozen=True, slots=True)
class Doubts:
    """How far each assumption may be off, each way: common practice, no source; the user's to change."""

    grip: float = 0.1
    wind_mps: float = 2.0
    mass_kg: float = 5.0
    shift_time_s: float = 0.03


USUAL_DOUBTS = Doubts()
#: Least and most that a doubt can be.
DOUBT_BOUNDS = {"grip": (0.0, 0.5), "wind_mps": (0.0, 20.0), "mass_kg": (0.0, 100.0), "shift_time_s": (0.0, 1.0)}


@dataclass(frozen=True, eq=False)
class Plateau:
    """The sets that nobody can tell from the quickest. Rows are indices of the ranking, the quickest first.

    `behind` is each row's time less the quickest's, `spread` what that difference is uncertain by (s), `by` its parts
    by assumption [assumption, row] with their fields of `Doubts` in `keys` and their names in
    `names`. `tied` are the rows within their spread; `chosen` is
    the one of them that a mechanic would take, for the reasons in `why`.
    """

    rows: Ints
    behind: Floats
    spread: Floats
    keys: tuple[str, ...]
    names: tuple[str, ...]
    by: Floats
    tied: Ints
    chosen: int
    why: tuple[str, ...]

    @property
    def sentence(self) -> str:
        """What the plateau means, in words."""
        doubted = ", ".join(self.names) or "the error of the lap itself"
        if len(self.tied) <= 1:
            return f"One set is quickest beyond all doubt ({doubted})."
        widest = float(self.behind[np.isin(self.rows, self.tied)].max())
        return (
            f"{len(self.tied)} sets lie within {max(widest, 0.01):.2f} s of the quickest, less than they are in doubt "
            f"by ({doubted}): they are tied."
        )

    @property
    def worth(self) -> dict[str, float]:
        """By how much each doubt, by its field of `Doubts`, may move a tied set against the quickest (s)."""
        among = np.isin(self.rows, self.tied)
        return {key: float(part[among].max()) for key, part in zip(self.keys, self.by, strict=True)}


def advice(ranking: LapRanking, tied: Plateau) -> str:
    """What the plateau means, and which of the tied sets to take and why, in words."""
    if len(tied.tied) <= 1:
        return tied.sentence
    one = ranking.sets.set_at(tied.chosen)
    besides = ranking.sets.besides(tied.chosen)
    why = f": {', '.join(tied.why)}" if tied.why else ""
    return f"{tied.sentence} Of these take {teeth(one)}{f' ({besides})' if besides else ''}{why}."


def plateau(ranking: LapRanking, doubts: Doubts = USUAL_DOUBTS, wanted: Wanted = EVERY) -> Plateau | None:
    """The plateau among the wanted sets; None where no set is wanted. Costs nine small rankings."""
    rows = ranking.rows(wanted)[:_MOST_ROWS]
    if not len(rows):
        return None
    best = float(ranking.time[rows[0]])
    rows = rows[ranking.time[rows] <= best * (1 + _NEAR)]
    known = set(ranking.detailed.tolist())
    rows = np.array([row for row in rows.tolist() if row in known])
    behind = ranking.time[rows] - best
    made = machines(ranking.sets, rows)
    parts: list[Floats] = []
    keys: list[str] = []
    names: list[str] = []
    for key, name, ways in _variations(ranking, rows, made, doubts):
        changes = [laps - laps[0] - behind for laps in ways]
        # A variation whose lap could not be computed says nothing.
        parts.append(np.abs(np.nan_to_num(np.stack(changes))).max(axis=0))
        names.append(name)
        keys.append(key)
    by = np.stack(parts) if parts else np.zeros((0, len(rows)))
    spread = np.maximum(np.sqrt((by**2).sum(axis=0)), LEAST_SPREAD * best)
    tied = rows[behind <= spread]
    rated = sorted((ranking.row(int(k)) for k in tied), key=_preference)
    return Plateau(rows, behind, spread, tuple(keys), tuple(names), by, tied, rated[0].index, _why(rated))


def _variations(
    ranking: LapRanking, rows: Ints, made: Machines, doubts: Doubts
) -> Iterator[tuple[str, str, list[Floats]]]:
    """(Field of `Doubts`, name, lap times at both ends) for each assumption that is in doubt."""
    circuit, rules = ranking.circuit, ranking.rules

    def ride(machine: Machines, on: Circuit = circuit, wind: float = rules.wind) -> Floats:
        return lap_times(machine, on, replace(rules, wind=wind)).time

    def heavier(by: float) -> Machines:
        return with_mass(made, max(1 + by / made.mass, 0.5))

    if doubts.grip:
        ends = (1 - doubts.grip, 1 + doubts.grip)
        yield (
            "grip",
            f"grip ±{100 * doubts.grip:.3g} %",
            [ride(machines(ranking.sets, rows, grip=part), _with_grip(circuit, part)) for part in ends],
        )
    if doubts.wind_mps:
        yield (
            "wind_mps",
            f"wind ±{doubts.wind_mps / KMH:.3g} km/h",
            [ride(made, wind=rules.wind + way * doubts.wind_mps) for way in (-1, 1)],
        )
    if doubts.mass_kg:
        yield "mass_kg", f"mass ±{doubts.mass_kg:.3g} kg", [ride(heavier(way * doubts.mass_kg)) for way in (-1, 1)]
    if doubts.shift_time_s:
        yield (
            "shift_time_s",
            f"shift time ±{doubts.shift_time_s:.3g} s",
            [ride(replace(made, shift_time=max(made.shift_time + way * doubts.shift_time_s, 0.0))) for way in (-1, 1)],
        )


def _with_grip(circuit: Circuit, part: float) -> Circuit:
    """Corners whose speed follows from grip or lean, with more or less of it; entered apex speeds stay."""
    made = []
    for s in circuit.sections:
        lean = s.lean_deg
        if lean is not None:
            lean = math.atan(part * math.tan(lean * DEGREE)) / DEGREE
        made.append(replace(s, grip=None if s.grip is None else s.grip * part, lean_deg=lean))
    return replace(circuit, sections=tuple(made))


def _preference(row: LapRow) -> tuple[float, ...]:
    """What a mechanic looks at among equals, the more important first."""
    return (
        len(row.stuck),
        not row.fits,
        not row.at_hand,
        row.leaned_shifts,
        row.up_shifts,
        round(row.limiter, 1),
        -round(row.least_apex_engine, -1) if math.isfinite(row.least_apex_engine) else 0.0,
        row.time,
    )


def _why(rated: list[LapRow]) -> tuple[str, ...]:
    """In what the first is better than some of the others."""
    one, others = rated[0], rated[1:]
    found = []
    if one.at_hand and any(not row.at_hand for row in others):
        found.append("the fitted chain fits")
    elif one.fits and any(not row.fits for row in others):
        found.append("a chain fits")
    if any(row.leaned_shifts > one.leaned_shifts for row in others):
        found.append("no up-shift while leaned" if not one.leaned_shifts else "fewer up-shifts while leaned")
    if any(row.up_shifts > one.up_shifts for row in others):
        found.append(f"{counted(one.up_shifts, 'up-shift')}, others up to {max(row.up_shifts for row in others)}")
    if any(row.limiter > one.limiter + 0.05 for row in others):
        found.append(f"{one.limiter:.1f} s at the limiter, others up to {max(row.limiter for row in others):.1f} s")
    higher = [row for row in others if row.least_apex_engine < one.least_apex_engine - 20 * RPM]
    if math.isfinite(one.least_apex_engine) and higher:
        found.append(f"never below {one.least_apex_engine / RPM:.0f} rpm at an apex")
    if not found and others:
        found.append("quickest of those that are equal in all else")
    return tuple(found)
