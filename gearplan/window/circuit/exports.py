"""What goes from the Circuit page to paper: the page itself and the pit board, as they are ridden today."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gearplan.plan.laps.ranking import Wanted
from gearplan.plan.laps.view import LapView
from gearplan.window.circuit.ranker import Ranker
from gearplan.window.document.document import Document
from gearplan.window.kit.view import View

if TYPE_CHECKING:
    from gearplan.sheet.circuit.content import CircuitSheet
    from gearplan.sheet.circuit.pitboard import PitBoard

#: The page has room for no more sets.
_MOST_ROWS = 20


def page_of(document: Document, view: View, lap: LapView, ranker: Ranker, wanted: Wanted, weather: str) -> CircuitSheet:
    """The page with both laps and the ranking; `weather` says what is changed for a wet track."""
    from gearplan.sheet.circuit.content import circuit_sheet

    ranking = ranker.ranking
    return circuit_sheet(
        document.bike,
        document.chosen,
        lap.ranking.circuit,
        lap,
        ranking,
        ranker.tied,
        () if ranking is None else ranking.best(_MOST_ROWS, wanted),
        unit=view.speed_factor,
        unit_name=view.speed_unit,
        weather=weather,
    )


def board_of(document: Document, lap: LapView, weather: str) -> PitBoard:
    """The pit board of the proposed set."""
    from gearplan.sheet.circuit.pitboard import pit_board

    return pit_board(document.bike, document.chosen, lap, weather=weather)
