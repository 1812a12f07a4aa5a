"""What the Circuit page asks of the laps: bike and circuit as they are today, how they are ridden, among which sets."""

from __future__ import annotations

from itertools import starmap

from gearplan.bike import circuit as circuits
from gearplan.bike.circuit import Circuit
from gearplan.drive.lap.rules import LapRules
from gearplan.language import tr
from gearplan.plan import words
from gearplan.plan.findings import Finding
from gearplan.plan.laps.view import LapView, lap_view
from gearplan.plan.season.wet import Wet
from gearplan.window.circuit.ranges import LapRanges
from gearplan.window.circuit.ranker import Question
from gearplan.window.circuit.riderform import RiderForm
from gearplan.window.circuit.seasonform import Asked
from gearplan.window.document.document import Document


class Questions:
    """Made of the document, of how it is ridden and of the ranges of sets, anew each time."""

    def __init__(self, document: Document, rider: RiderForm, ranges: LapRanges) -> None:
        self._document, self._rider, self._ranges = document, rider, ranges

    def known(self) -> LapView | Finding | None:
        """Both sets' laps, what they lack, or None without a circuit."""
        circuit = self._document.circuit
        if circuit is None:
            return None
        if left_out := self._left_out():
            return Finding("check", "circuit", left_out)
        today = self.today(circuit)
        return lap_view(today.bike, self._document.chosen, today.circuit, self.rules(today))

    def lap(self) -> LapView | None:
        """Both sets' laps, if they can be ridden."""
        known = self.known()
        return known if isinstance(known, LapView) else None

    def ranking(self) -> Question | str:
        """What the ranking depends on, or why there is none."""
        bike, circuit = self._document.bike, self._document.circuit
        if circuit is None:
            return tr("Choose a circuit first.")
        if refused := self._left_out() or circuits.refusal(circuit):
            return refused
        space = self._ranges.space(bike)
        if isinstance(space, str):
            return space
        today = self.today(circuit)
        return today.bike, today.circuit, space, self.rules(today), self._ranges.alternatives(bike)

    def season(self, several: tuple[Circuit, ...]) -> Asked | str:
        """What is to be ranked on several circuits, as they are today."""
        bike = self._document.bike
        space = self._ranges.space(bike)
        if isinstance(space, str):
            return space
        today = [self.today(circuit) for circuit in several]
        ridden = tuple(one.circuit for one in today)
        return today[0].bike, ridden, space, self._ranges.alternatives(bike), self._ranges.doubts

    @property
    def wet(self) -> bool:
        """Whether the track is wet."""
        return self._rider.wet.isChecked()

    @property
    def weather(self) -> str:
        """What is changed for a wet track."""
        circuit = self._document.circuit
        return "" if circuit is None else self.today(circuit).told

    def today(self, circuit: Circuit) -> Wet:
        """The bike on a circuit, in the wet if it is."""
        return self._rider.weather(self._document.bike, circuit)

    def rules(self, today: Wet) -> LapRules:
        """How the lap is ridden."""
        return self._rider.rules(today.bike, today.circuit)

    def _left_out(self) -> str:
        """What is typed of the circuit and cannot be read."""
        return " ".join(starmap(words.unread, self._document.unread("circuit")))
