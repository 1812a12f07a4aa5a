"""What stands on the page of a circuit, apart from how it is drawn."""

from __future__ import annotations

from dataclasses import dataclass

from gearplan.bike.circuit import Circuit
from gearplan.bike.profile import Bike
from gearplan.drive.lap.trace import Trace
from gearplan.language import tr
from gearplan.plan.driveset import DriveSet, fitted
from gearplan.plan.laps import view as lapview
from gearplan.plan.laps.compare import gain_sentences
from gearplan.plan.laps.ranking import LapRanking, LapRow
from gearplan.plan.laps.spread import Plateau, because, headline
from gearplan.plan.laps.text import grouped, pinned, row_texts, same_set, tied_gaps, tied_rows
from gearplan.plan.laps.trackmap import CircuitMap, circuit_map
from gearplan.plan.laps.view import Band, Floats, LapView, Shading
from gearplan.plan.words import set_name

_ROWS = 14
_MOST_WORDS = 5


@dataclass(frozen=True, eq=False)
class CircuitSheet:
    """A circuit's page. `unit` is m/s in one of `unit_name`; `rows` are texts under `head`, `besides` what else
    than teeth and links each of them changes, such as gear pairs. `ahead` is (distance, seconds) that the proposed set
    is ahead, `tied` between which gaps to the fitted set (s) the tied sets lie."""

    title: str
    fitted: str
    proposed: str
    headline: str
    sentence: str
    plateau: str
    words: tuple[str, ...]
    line: CircuitMap
    shading: Shading
    on: Trace | None
    lap: Trace
    ahead: tuple[Floats, Floats] | None
    tied: tuple[float, float] | None
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
    weather: str = "",
) -> CircuitSheet:
    """The page of both sets' laps, with the quickest `rows` of a ranking if there is one; the set to take, the proposed
    and the fitted one stand first. `weather` says what is changed for a wet track."""
    line = circuit_map(circuit)
    told = () if lap.on_row is None else gain_sentences(lap.ranking, lap.on_row, lap.row, unit, unit_name)
    words = told[: _MOST_WORDS + 1]
    marks = frozenset() if ranking is None else tied_rows(ranking, tied)
    first = () if ranking is None else pinned(ranking, tied, lap.row, None)
    listed = () if ranking is None else grouped(rows, ranking, tied)
    listed = tuple(row for row in listed if not any(same_set(row.set, one.row.set) for one in first))[:_ROWS]
    notes = (
        "" if ranking is None else " ".join((*ranking.notes, *filter(None, ("" if tied is None else tied.otherwise,))))
    )
    return CircuitSheet(
        title=(
            tr(
                "{name} at {name2}, {length_m:.0f} m{text}",
                name=bike.name or tr("Unnamed bike"),
                name2=circuit.name or tr("an unnamed circuit"),
                length_m=circuit.length_m,
                text=tr(", wet") if weather else "",
            )
        ),
        fitted=tr("Fitted {set_name}", set_name=set_name(fitted(bike))),
        proposed=tr("Proposed {set_name}", set_name=set_name(chosen)),
        headline="" if tied is None or ranking is None else headline(ranking, tied),
        sentence=lapview.lap_sentence(lap),
        plateau="" if tied is None or ranking is None else f"{because(ranking, tied)} {tied.sentence}",
        words=words[1:],
        line=line,
        shading=lapview.shaded_by_gear(lap.proposed, line.distance),
        on=lap.on,
        lap=lap.proposed,
        ahead=lap.ahead,
        tied=None if ranking is None else tied_gaps(ranking, tied),
        bands=lapview.gear_bands(lap.proposed),
        unit=unit,
        unit_name=unit_name,
        head=("", tr("set"), tr("links"), tr("lap"), tr("gap, s"), tr("shifts")),
        rows=(
            *((", ".join(one.names), *row_texts(one.row)) for one in first),
            *(("tied" if row.index in marks else "", *row_texts(row)) for row in listed),
        ),
        besides=(*(one.row.besides for one in first), *(row.besides for row in listed)),
        notes=tr("{weather} {notes} Computed speeds, not advice.", weather=weather, notes=notes).strip(),
    )
