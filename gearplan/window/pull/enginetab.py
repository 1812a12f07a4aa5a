"""The engine's curve: typed or pasted as a table, imported, dragged; or its peaks; corrected to standard air."""

from __future__ import annotations

from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QTimer, Signal
from PySide6.QtGui import QFocusEvent
from PySide6.QtWidgets import QFileDialog, QPlainTextEdit, QPushButton, QVBoxLayout, QWidget

from gearplan.bike import enginecurve
from gearplan.bike.enginecurve import CurveError, Points
from gearplan.language import tr
from gearplan.plan.pull.pull import Pull
from gearplan.setup.torque import EngineTorque, engine_curves, engine_torque, engine_words
from gearplan.window.document.document import Document
from gearplan.window.document.entryform import EntryForm
from gearplan.window.kit import theme
from gearplan.window.kit.controls.fields import ErrorLabel, labelled
from gearplan.window.kit.places.flow import Flow
from gearplan.window.kit.places.layout import fixed_height
from gearplan.window.kit.plaintext import PlainLabel
from gearplan.window.kit.view import View
from gearplan.window.pull.tabs import Doubts, PullTab

if TYPE_CHECKING:
    from gearplan.window.pull.enginechart import EngineChart

_PATIENCE_MS = 700
#: What cannot be read, by its place in the file and its label.
_CURVE = ("engine.torque", tr("Torque curve"))


class CurveText(QPlainTextEdit):
    """The table as text, a point a line; `left` when the focus goes."""

    left = Signal()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """The edits of this visit are one step."""
        super().focusOutEvent(event)
        self.left.emit()


class EngineTab(PullTab):
    """The editor of the engine's curve; what is typed stays until the profile's own curve changes."""

    ENTRIES = tuple(
        ("engine", key)
        for key in (
            "torque_at",
            "efficiency",
            "correction",
            "tested_pressure_hpa",
            "tested_temperature_c",
            "tested_humidity_percent",
        )
    )
    PEAKS = tuple(("engine", key) for key in ("peak_torque_nm", "peak_torque_rpm", "peak_power_kw", "peak_power_rpm"))

    def __init__(self, document: Document, view: View, parent: QWidget | None = None) -> None:
        super().__init__(document, view, parent)
        self._points: Points | None = ()
        self.problem = ""
        self._pause = QTimer(self)
        self._pause.setSingleShot(True)
        self._pause.setInterval(_PATIENCE_MS)
        self._pause.timeout.connect(self._rest)
        self.words = PlainLabel()
        self.words.setWordWrap(True)
        self._chart_place = QVBoxLayout()
        self.text = CurveText()
        self.text.setTabChangesFocus(True)
        self.text.setFont(theme.font(theme.SMALL))
        self.text.setPlaceholderText("2000  41\n4000  55\n7000  64")
        fixed_height(self.text, 120)
        self.text.textChanged.connect(self._typed)
        self.text.left.connect(self._left)
        label = labelled(tr("C&urve: engine speed in rpm, torque in N·m, a point a line"), self.text)
        label.setWordWrap(True)
        hint = PlainLabel(
            tr(
                "Paste a table from a spreadsheet, with its headings if it has power or other units. Points in "
                "the chart "
                "can be dragged; a double-click adds one, Delete takes the chosen one away."
            )
        )
        hint.setProperty("role", "small")
        hint.setWordWrap(True)
        buttons = Flow()
        self.load = QPushButton(tr("Import a table…"))
        self.load.clicked.connect(self._ask_import)
        self.take = QPushButton(tr("Take the assumed shape as points"))
        self.take.clicked.connect(self._take_shape)
        buttons.addWidget(self.load)
        buttons.addWidget(self.take)
        self.errors = ErrorLabel()
        self.notes = PlainLabel()
        self.notes.setProperty("role", "small")
        self.notes.setWordWrap(True)
        self.form = EntryForm(document, self.ENTRIES)
        peaks = PlainLabel(tr("Without a curve, from the peaks alone:"))
        self.peaks = EntryForm(document, self.PEAKS)
        self._column.addLayout(self._chart_place)
        self._column.addWidget(self.words)
        self._column.addWidget(label)
        self._column.addWidget(self.text)
        self._column.addWidget(self.errors)
        self._column.addWidget(self.notes)
        self._column.addLayout(buttons)
        for widget in (hint, self.form, peaks, self.peaks):
            self._column.addWidget(widget)
        self._column.addStretch(1)

    @cached_property
    def chart(self) -> EngineChart:
        """The chart, made when the tab is first shown."""
        from gearplan.window.pull.enginechart import EngineChart

        chart = EngineChart()
        fixed_height(chart, 200)
        chart.edited.connect(self._dragged)
        chart.finished.connect(self._document.end_merge)
        self._chart_place.addWidget(chart)
        return chart

    def recolour(self) -> None:
        """Take the colours of the current theme."""
        if "chart" in self.__dict__:
            self.chart.recolour()

    def show_pulls(self, _on: Pull | None, _proposed: Pull | None, _doubts: Doubts) -> None:
        """Show the engine as it is now."""
        engine = self._document.bike.engine
        gives = engine_torque(engine)
        known = gives if isinstance(gives, EngineTorque) else None
        self.chart.show_engine(None if known is None else engine_curves(known), engine.torque or ())
        self.words.setText(engine_words(gives))
        self.take.setVisible(known is not None and known.origin == "assumed shape")
        if engine.torque != self._points:
            self._points = engine.torque
            self._show_text()
        self.form.refresh()
        self.peaks.refresh()

    def forget(self) -> None:
        """Another bike: drop text that was refused for the last one."""
        self.problem = ""
        self._document.note_unread(*_CURVE, "")
        self._points = ()
        self.notes.setText("")
        self._say()

    def import_table(self, path: Path) -> None:
        """Take the curve from a file; what was wrong with it is said."""
        try:
            text = enginecurve.read_text(path)
            read = enginecurve.read_curve(text)
        except CurveError as refused:
            self.errors.say(f"{path.name}: {refused}", self.load)
            return
        self.errors.say("", self.load)
        self.notes.setText(" ".join(read.notes))
        self._document.set_value("engine", "torque", read.points, tr("Import a torque curve"))
        self._document.end_merge()

    def _show_text(self) -> None:
        self.text.blockSignals(True)
        self.text.setPlainText("\n".join(f"{rpm:g}\t{torque:g}" for rpm, torque in self._points or ()))
        self.text.blockSignals(False)
        self.problem = ""
        self._document.note_unread(*_CURVE, "")
        self._say()

    def _typed(self) -> None:
        text = self.text.toPlainText()
        try:
            read = enginecurve.read_curve(text) if text.strip() else None
        except CurveError as refused:
            self.problem = str(refused)
            self._document.note_unread(*_CURVE, text.strip())
            self._pause.start()
            return
        self.problem = ""
        self._document.note_unread(*_CURVE, "")
        self._say()
        self.notes.setText("" if read is None else " ".join(n for n in read.notes if not n.startswith("There is no")))
        points = None if read is None else read.points
        if points != self._points:
            self._points = points
            self._document.set_value("engine", "torque", points, tr("Torque curve"))

    def _rest(self) -> None:
        """The typing pauses: what cannot be read is no curve."""
        if self.problem and self._points is not None:
            self._points = None
            self._document.set_value("engine", "torque", None, tr("Torque curve"))
        self._say()

    def _left(self) -> None:
        self._rest()
        self._document.end_merge()

    def _say(self) -> None:
        self._pause.stop()
        self.text.setAccessibleDescription(self.problem)
        self.errors.say(self.problem, self.text)

    def _dragged(self, points: Points) -> None:
        self._points = points
        self._show_text()
        self._document.set_value("engine", "torque", points, tr("Drag a torque point"))

    def _take_shape(self) -> None:
        gives = engine_torque(self._document.bike.engine)
        if isinstance(gives, EngineTorque):
            points = tuple((float(round(rpm)), round(torque / gives.factor, 1)) for rpm, torque in gives.points)
            self._document.set_value("engine", "torque", points, tr("Take the assumed shape"))
            self._document.end_merge()

    def _ask_import(self) -> None:
        name, _ = QFileDialog.getOpenFileName(
            self.window(), tr("Import an engine curve"), "", tr("Tables (*.csv *.txt *.tsv);;All files (*)")
        )
        if name:
            self.import_table(Path(name))
