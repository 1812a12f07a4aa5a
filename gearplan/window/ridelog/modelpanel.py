"""The computed lap over the recorded one, what the log says of the values it rests on, and the sets on the own lap."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QPushButton, QVBoxLayout, QWidget

from gearplan.bike.profile import Bike
from gearplan.bike.text.written import computed_lap, difference
from gearplan.language import tr
from gearplan.plan.driveset import DriveSet
from gearplan.plan.laps.ranking import LapRow
from gearplan.plan.words import teeth
from gearplan.ridelog.laps.modelcheck import fit_words, model_words, ranked_words
from gearplan.window.kit import theme
from gearplan.window.kit.places.layout import fixed_height, scrolled
from gearplan.window.kit.plaintext import PlainLabel
from gearplan.window.kit.sentences import Sentences
from gearplan.window.kit.tables.texttable import TextTable
from gearplan.window.kit.view import View
from gearplan.window.ridelog.work import Modelled, told_by

if TYPE_CHECKING:
    from gearplan.window.kit.charts.pairchart import PairChart

_WHAT = tr(
    "A lap computed with the set that was ridden, over the lap that became the circuit; then drag area, mass, braking "
    "and grip fitted to it, and every set ranked on that lap with the fitted values and its own apex speeds."
)
_HIGH = 200
_HEADS = ("", tr("set"), tr("links"), tr("lap"), tr("against fitted"), tr("up-shifts"))


class ModelPanel(QWidget):
    """`wanted` asks for the computation; `taken` wants the fitted values taken over, `proposed` carries a set."""

    wanted = Signal()
    taken = Signal()
    proposed = Signal(object)

    def __init__(self, view: View, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._view = view
        self._rows: tuple[LapRow, ...] = ()
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 0, theme.UNIT, 0)
        column.setSpacing(theme.UNIT)
        self.words = Sentences(_WHAT)
        column.addWidget(self.words)
        self.compute = QPushButton(tr("Compute this lap"))
        self.compute.clicked.connect(self.wanted)
        column.addWidget(self.compute, 0, Qt.AlignmentFlag.AlignLeft)
        self._chart_place = QVBoxLayout()
        column.addLayout(self._chart_place)
        self.caption = PlainLabel(tr("dashed: computed · solid: recorded"))
        self.caption.setProperty("role", "small")
        column.addWidget(self.caption)
        self.values = Sentences()
        column.addWidget(self.values)
        self.take = QPushButton(tr("Take what the lap decides"))
        self.take.clicked.connect(self.taken)
        column.addWidget(self.take, 0, Qt.AlignmentFlag.AlignLeft)
        self.title = PlainLabel()
        self.title.setProperty("role", "title")
        self.title.setWordWrap(True)
        column.addWidget(self.title)
        self.sentence = Sentences()
        column.addWidget(self.sentence)
        self.table = TextTable(tr("Sets on your own lap"), left=(1,))
        self.table.setToolTip(tr("A double click proposes the set"))
        self.table.doubleClicked.connect(self._pressed)
        column.addWidget(self.table)
        column.addStretch(1)
        outer.addWidget(scrolled(inside))
        self.show_model(None, Bike(), possible=False)

    @cached_property
    def chart(self) -> PairChart:
        """Speed over distance."""
        from gearplan.window.kit.charts.pairchart import PairChart

        made = PairChart(self._view.speed_unit, self._view.speed_factor, "metres", 1.0)
        fixed_height(made, _HIGH)
        self._chart_place.addWidget(made)
        return made

    def recolour(self) -> None:
        """Take the colours of the current theme."""
        if "chart" in self.__dict__:
            self.chart.recolour()

    def show_model(self, found: Modelled | None, bike: Bike, *, possible: bool) -> None:
        """Show what was computed, or that it can be; `possible` says that there is a circuit."""
        fit = None if found is None else found.fit
        self.compute.setVisible(found is None)
        self.compute.setEnabled(possible)
        for widget in (self.caption, self.values, self.take):
            widget.setVisible(fit is not None)
        ranked = found is not None and bool(found.rows)
        self.title.setVisible(ranked)
        self.sentence.setVisible(ranked)
        self.table.setVisible(ranked)
        if "chart" in self.__dict__:
            self.chart.setVisible(fit is not None)
        if found is None:
            self.words.setText(_WHAT if possible else tr("This needs a lap that became a circuit."))
            return
        if fit is None:
            self.words.setText(found.lacking)
        else:
            check = fit.before
            self.words.setText(model_words(check, self._view.speed_unit))
            self.chart.setVisible(True)
            self.chart.measure_in(self._view.speed_unit, self._view.speed_factor)
            self.chart.show_lines((check.along, check.speed), (check.along, check.recorded), None)
            self.values.setText("\n".join(fit_words(fit, bike)))
            self.take.setEnabled(any(one.decided for one in fit.values) and fit.applied(bike) != bike)
        self.title.setText(ranked_words(fit, found.lowest_gear, taken=told_by(found.ranked) == told_by(bike)))
        self.sentence.setText(found.sentence)
        self._rows = found.rows if found.fitted is None else (*found.rows, found.fitted)
        cells = [_cells(str(place), row) for place, row in enumerate(found.rows, 1)]
        if found.fitted is not None:
            cells.append(_cells(tr("now"), found.fitted))
        self.table.show_texts(_HEADS, cells)

    def _pressed(self) -> None:
        at = self.table.currentIndex().row()
        if 0 <= at < len(self._rows):
            chosen: DriveSet = self._rows[at].set
            self.proposed.emit(chosen)


def _cells(place: str, row: LapRow) -> tuple[str, ...]:
    gap = "" if row.gap is None else f"{difference(row.time - row.gap, row.time, 1, 2)} s"
    return place, teeth(row.set), str(row.set.links or "–"), computed_lap(row.time), gap, str(row.up_shifts)
