"""Ranks the sets for a second rider beside the first, and tells both side by side."""

from __future__ import annotations

from PySide6.QtCore import QObject

from gearplan.language import tr
from gearplan.plan.laps.draws import Doubts
from gearplan.plan.laps.ranking import Wanted
from gearplan.plan.laps.riders import Side, of_rider, riders_told
from gearplan.window.circuit.ranker import Question, Ranker
from gearplan.window.circuit.riderform import RiderForm
from gearplan.window.kit.view import View


class TwoRiders(QObject):
    """`one` is the first rider's ranking, `other` the second's."""

    def __init__(self, one: Ranker, form: RiderForm, view: View, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._one, self._form, self._view = one, form, view
        self.other = Ranker(self)
        for ranker in (one, self.other):
            ranker.ranked.connect(self._tell)

    def ask(self, asked: Question | str, wanted: Wanted, doubts: Doubts) -> None:
        """Rank the sets of the first rider's question for the second too; for nobody where there is none."""
        if isinstance(asked, str) or len(asked[1].riders) < 2:
            self.other.ask("", wanted, doubts)
            self._form.say(())
            return
        bike, circuit, space, _, options = asked
        self.other.ask((bike, of_rider(circuit, 1), space, self._form.rules(bike, circuit, 1), options), wanted, doubts)
        self._tell()

    def _tell(self) -> None:
        one, other = self._one, self.other
        if other.busy and other.ranking is None:
            self._form.say((tr("Ranking the sets for both riders …"),))
        elif one.ranking is not None and other.ranking is not None:
            sides = Side(one.ranking, one.tied), Side(other.ranking, other.tied)
            self._form.say(riders_told(*sides, self._view.speed_factor, self._view.speed_unit))
