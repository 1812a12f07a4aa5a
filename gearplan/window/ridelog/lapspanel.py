"""The laps of a ride and the circuit made of one of them."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QPushButton, QVBoxLayout, QWidget

from gearplan.bike.text.written import lap_time, number, percent
from gearplan.language import tr
from gearplan.ridelog.laps.laps import Lap, Laps
from gearplan.ridelog.laps.tocircuit import CutCircuit
from gearplan.ridelog.telling.learned import Learned
from gearplan.window.kit import theme
from gearplan.window.kit.places.flow import Flow
from gearplan.window.kit.places.layout import scrolled
from gearplan.window.kit.plaintext import PlainLabel
from gearplan.window.kit.sentences import Sentences
from gearplan.window.kit.tables.texttable import TextTable
from gearplan.window.kit.view import View

_PRIVATE = tr("Places stay on this machine: a saved circuit holds metres along the lap, no coordinates.")


class LapsPanel(QWidget):
    """Shows laps and circuit; `lap_chosen` carries the lap that is to become the circuit, `circuit_asked` the circuit.

    `line_asked` wants the start line where the chart's mark stands.
    """

    lap_chosen = Signal(object)
    circuit_asked = Signal(object)
    line_asked = Signal()

    def __init__(self, view: View, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._view = view
        self._laps: Laps | None = None
        self._cut: CutCircuit | None = None
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 0, theme.UNIT, 0)
        column.setSpacing(theme.UNIT)
        self.words = Sentences()
        column.addWidget(self.words)
        self.table = TextTable(tr("Laps"), left=(4,))
        self.table.clicked.connect(self._lap_pressed)
        self.table.activated.connect(self._lap_pressed)
        column.addWidget(self.table)
        row = Flow()
        self.line = QPushButton(tr("Start line at the mark"))
        self.line.setToolTip(tr("Click in the chart where the lap is to begin, then press here"))
        self.line.clicked.connect(self.line_asked)
        self.best = QPushButton(tr("Best lap"))
        self.middle = QPushButton(tr("Lap in the middle"))
        self.best.clicked.connect(self._best)
        self.middle.clicked.connect(self._middle)
        for button in (self.line, self.best, self.middle):
            row.addWidget(button)
        column.addLayout(row)
        self.title = PlainLabel()
        self.title.setProperty("role", "title")
        self.title.setWordWrap(True)
        column.addWidget(self.title)
        self.sections = TextTable(tr("Sections of the circuit"), left=(1,))
        column.addWidget(self.sections)
        self.notes = Sentences(small=True)
        column.addWidget(self.notes)
        self.rank = QPushButton(tr("Rank gearing on this circuit"))
        self.rank.clicked.connect(self._save)
        column.addWidget(self.rank, 0, Qt.AlignmentFlag.AlignLeft)
        column.addStretch(1)
        outer.addWidget(scrolled(inside))

    def show_laps(self, learned: Learned | None, *, marked: bool) -> None:
        """Show what was learned; `marked` says that there is a mark where a line could be."""
        laps = None if learned is None else learned.laps
        self._laps, self._cut = laps, None if learned is None else learned.circuit
        self.line.setVisible(learned is not None and learned.log.placed)
        self.line.setEnabled(marked)
        there = laps is not None and laps.best is not None
        self.best.setVisible(there)
        self.middle.setVisible(there)
        self.table.setVisible(laps is not None)
        self.words.setText("" if learned is None else self._said(learned))
        if laps is not None:
            again = tr("alike, %") if laps.rough else tr("ridden again, %")
            self.table.show_texts(
                (tr("lap"), tr("time"), tr("length, m"), again, ""), [self._row(lap, laps) for lap in laps.laps]
            )
        self._show_circuit()

    def _said(self, learned: Learned) -> str:
        laps = learned.laps
        if laps is None:
            return learned.no_laps
        if laps.best is None:
            return learned.no_laps
        enough = percent(laps.repeated_from)
        if laps.rough:
            return tr(
                "Without positions the laps are told by the pattern of the speed, which is rougher; a "
                "lap's speeds are alike to those of the next or the one before to {enough} or more.",
                enough=enough,
            )
        return tr(
            "Cut where the start line is crossed; a click in a chart marks where else it could be. Of a "
            "lap at least {enough} is ridden again in the same direction. Press a lap to make it the "
            "circuit.",
            enough=enough,
        )

    def _row(self, lap: Lap, laps: Laps) -> tuple[str, ...]:
        told = []
        if laps.best is not None and lap.number == laps.best.number:
            told.append(tr("best"))
        if laps.median is not None and lap.number == laps.median.number:
            told.append(tr("middle"))
        if not lap.whole:
            told.append(tr("not whole") if lap.repeated >= laps.repeated_from else tr("no lap"))
        if self._cut is not None and lap.number == self._cut.lap.number:
            told.append(tr("→ circuit"))
        again = f"{100 * lap.repeated:.0f}"
        return str(lap.number), lap_time(lap.time), f"{lap.length:.0f}", again, ", ".join(told)

    def _show_circuit(self) -> None:
        cut = self._cut
        for widget in (self.title, self.sections, self.notes, self.rank):
            widget.setVisible(cut is not None)
        if cut is None:
            return
        circuit = cut.circuit
        self.title.setText(
            tr(
                "Lap {number} as a circuit: {length_m:.0f} m, {apexes} corners",
                number=cut.lap.number,
                length_m=circuit.length_m,
                apexes=len(cut.apexes),
            )
        )
        unit, factor = self._view.speed_unit, 1 / (3.6 * self._view.speed_factor)
        rows = [
            (
                str(place),
                tr(section.kind),
                f"{section.length_m:.0f}",
                "" if section.apex_kmh is None else f"{section.apex_kmh * factor:.0f}",
                number(section.turn_deg) if section.turn_deg else "",
                number(section.gradient_percent, 1, 1) if section.gradient_percent else "",
            )
            for place, section in enumerate(circuit.sections, 1)
        ]
        self.sections.show_texts(
            ("", tr("section"), "m", tr("apex, {unit}", unit=unit), tr("turn, °"), tr("gradient, %")), rows
        )
        self.notes.setText(" ".join((*cut.notes, _PRIVATE)))

    def _lap_pressed(self) -> None:
        row = self.table.currentIndex().row()
        if self._laps is not None and 0 <= row < len(self._laps.laps):
            self.lap_chosen.emit(self._laps.laps[row])

    def _best(self) -> None:
        if self._laps is not None and self._laps.best is not None:
            self.lap_chosen.emit(self._laps.best)

    def _middle(self) -> None:
        if self._laps is not None and self._laps.median is not None:
            self.lap_chosen.emit(self._laps.median)

    def _save(self) -> None:
        if self._cut is not None:
            self.circuit_asked.emit(self._cut.circuit)
