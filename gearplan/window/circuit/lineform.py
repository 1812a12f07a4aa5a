"""The line of a track that the circuit was made of: how wide it is, how finely it is cut, and the turns on it."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QPushButton, QSlider, QVBoxLayout, QWidget

from gearplan.bike.circuit import Circuit
from gearplan.language import tr
from gearplan.plan.lines.centreline import MOST_WIDTH, CentreLine, centre_line, said_of
from gearplan.plan.lines.points import LineError
from gearplan.plan.lines.preview import Preview, preview
from gearplan.plan.lines.sections import USUAL_FINENESS
from gearplan.setup.assumed import track_width
from gearplan.window.circuit.charts.linechart import LineChart
from gearplan.window.document.document import Document
from gearplan.window.kit import shownunits, theme
from gearplan.window.kit.controls.fields import ErrorLabel, labelled
from gearplan.window.kit.controls.numberfield import NumberField, UnitLabel
from gearplan.window.kit.places.flow import Flow, together
from gearplan.window.kit.places.layout import fixed_width, least_width
from gearplan.window.kit.plaintext import PlainLabel

_STEPS = 20


class LineForm(QWidget):
    """Shows what would be made of the document's line; a button puts it in place of the sections, one step to undo."""

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._read: CentreLine | None = None
        self._line: CentreLine | None = None
        self.shown: Preview | None = None
        column = QVBoxLayout(self)
        column.setContentsMargins(*[theme.UNIT] * 4)
        column.addLayout(self._controls())
        self.errors = ErrorLabel()
        self.width_m.errors = self.errors
        column.addWidget(self.errors)
        self.found = PlainLabel()
        self.found.setWordWrap(True)
        self.take = QPushButton(tr("Take these sections"))
        self.take.clicked.connect(self._taken)
        row = Flow()
        row.addWidget(self.found)
        row.push()
        row.addWidget(self.take)
        column.addLayout(row)
        self.chart = LineChart()
        # In a small window the whole of it is in sight.
        self.chart.setMaximumHeight(theme.px(340))
        column.addWidget(self.chart, 1)
        self.notes = PlainLabel()
        self.notes.setWordWrap(True)
        self.notes.setProperty("role", "quiet")
        column.addWidget(self.notes)
        column.addStretch()

    def _controls(self) -> Flow:
        row = Flow()
        self.slider = _Slider()
        self.slider.setAccessibleName(tr("Turns told apart, coarser to finer"))
        self.slider.valueChanged.connect(self._show)
        coarser = labelled(tr("C&oarser"), self.slider)
        row.addWidget(together(coarser, self.slider, PlainLabel("finer")))
        self.width_m = NumberField(_width_refusal, unit="m")
        fixed_width(self.width_m, 96)
        self.width_m.finished.connect(self._width_given)
        self.width_m.passed.connect(self._width_given)
        row.addWidget(together(labelled(tr("&Width of the track"), self.width_m), self.width_m, UnitLabel("m")))
        return row

    def refresh(self) -> None:
        """Show the document's line, if it is another one from its beginning."""
        line = self._document.line
        if line is not self._read:
            self._read = self._line = line
            self.width_m.forget()
            self.width_m.show_number(None)
            self.slider.blockSignals(True)
            self.slider.setValue(round(USUAL_FINENESS * _STEPS))
            self.slider.blockSignals(False)
        if line is not None:
            known = line.track.left is not None and line.track.right is not None
            usual = track_width().value
            self.width_m.setPlaceholderText(
                tr("by the file") if known else tr("{text} assumed", text=shownunits.current().text(usual, "m"))
            )
            self._show()

    def recolour(self) -> None:
        """Take the colours of the current theme."""
        self.chart.recolour()

    def _width_given(self) -> None:
        if self._read is None or self.width_m.problem:
            return
        width = self.width_m.value
        made = self._read if width is None else centre_line(self._read.points, float(str(width)))
        self._line = made
        self._show()

    def _show(self) -> None:
        if self._line is None:
            return
        at = self._document.circuit or Circuit()
        try:
            self.shown = preview(self._line, self.slider.value() / _STEPS, at.name)
        except LineError as refused:
            self.found.setText(str(refused))
            self.take.setEnabled(False)
            return
        made = self.shown.circuit
        same = made.sections == at.sections
        self.found.setText(f"{said_of(made)}{(tr(', as the circuit has them') if same else '')}")
        self.take.setEnabled(not same)
        self.chart.show_preview(self.shown)
        self.chart.setAccessibleName(tr("Line of the track: {said_of}", said_of=said_of(made)))
        self.notes.setText(" ".join(f"{note.rstrip('.')}." for note in self._line.notes))

    def _taken(self) -> None:
        if self.shown is not None:
            self._document.edit_circuit(tr("Take the sections of the line"), self.shown.circuit)


class _Slider(QSlider):
    def __init__(self) -> None:
        super().__init__(Qt.Orientation.Horizontal)
        self.setRange(0, _STEPS)
        self.setPageStep(4)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        least_width(self, 120)

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Only with the focus, so that a page that scrolls changes nothing."""
        if self.hasFocus():
            super().wheelEvent(event)
        else:
            event.ignore()


def _width_refusal(width: float) -> str | None:
    return (
        None
        if 0 <= width <= MOST_WIDTH
        else tr(
            "{width:g} m: give 0 to {most_width:g} m; 0 takes the line as ridden", width=width, most_width=MOST_WIDTH
        )
    )
