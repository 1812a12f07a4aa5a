"""What stands on the page of a circuit, apart from how it is drawn."""

from __future__ import annotations

from dataclasses import dataclass

from gearplan.bike.circuit import Circuit
from gearplan.bike.profile import Bike
from gearplan.drive.lap.trace import Trace
from gearplan.plan.driveset import DriveSet, fitted
from gearplan.plan.laps import view as lapview
from gearplan.plan.laps.compare import gain_sentences
from gearplan.plan.laps.ranking import LapRanking, LapRow
from gearplan.plan.laps.spread import Plateau, advice
from gearplan.plan.laps.text import row_texts, tied_rows
from gearplan.plan.laps.trackmap import CircuitMap, circuit_map
from gearplan.plan.laps.view import Band, LapView, Shading
from gearplan.plan.words import set_name

_ROWS = 14
_MOST_WORDS = 5


@dataclass(frozen=True, eq=False)
class CircuitSheet:
    """A circuit's page. `unit` is m/s in one of `unit_name`; `rows` are texts under `head`, `besides` what else
    than teeth and links each of them changes, such as gear pairs."""

    title: str
    fitted: str
    proposed: str
    sentence: str
    plateau: str
    words: tuple[str, ...]
    line: CircuitMap
    shading: Shading
    on: Trace | None
    lap: Trace
    bands: tuple[Band, ...]
    unit: float
    unit_name: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    besides: tuple[str, ...]
    notes: str


def circuit_sheet(
    bike: Bike,
    chosen: DriveSet,
    circuit: Circuit,
    lap: LapView,
    ranking: LapRanking | None,
    tied: Plateau | None,
    rows: tuple[LapRow, ...],
    *,
    unit: float,
    unit_name: str,
) -> CircuitSheet:
    """The page of both sets' laps, with the quickest `rows` of a ranking if there is one."""
    line = circuit_map(circuit)
    told = () if lap.on_row is None else gain_sentences(lap.ranking, lap.on_row, lap.row, unit, unit_name)
    words = told[: _MOST_WORDS + 1]
    marks = frozenset() if ranking is None else tied_rows(ranking, tied)
    listed = rows[:_ROWS]
    if ranking is not None and tied is not None and tied.chosen not in {row.index for row in listed}:
        # The one to take is on the page wherever it stands.
        listed = (*rows[: _ROWS - 1], *((ranking.row(tied.chosen),) if ranking.has_details(tied.chosen) else ()))
    notes = "" if ranking is None else " ".join(ranking.notes)
    return CircuitSheet(
        title=f"{bike.name or 'Unnamed bike'} at {circuit.name or 'an unnamed circuit'}, {circuit.length_m:.0f} m",
        fitted=f"Fitted {set_name(fitted(bike))}",
        proposed=f"Proposed {set_name(chosen)}",
        sentence=lapview.lap_sentence(lap),
        plateau="" if tied is None or ranking is None else advice(ranking, tied),
        words=words[1:],
        line=line,
        shading=lapview.shaded_by_gear(lap.proposed, line.distance),
        on=lap.on,
        lap=lap.proposed,
        bands=lapview.gear_bands(lap.proposed),
        unit=unit,
        unit_name=unit_name,
        head=("", "set", "links", "lap", "gap, s", "shifts"),
        rows=tuple(
            (
                "●" if tied is not None and row.index == tied.chosen else "=" if row.index in marks else "",
                *row_texts(row),
            )
            for row in listed
        ),
        besides=tuple(row.besides for row in listed),
        notes=f"{notes} Computed speeds, not advice. ● the one to take, = tied with it.".strip(),
    )
