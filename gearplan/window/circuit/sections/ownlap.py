"""A rider's own lap time, which sets the apex speeds of all corners."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QWidget

from gearplan.bike.circuit import Circuit
from gearplan.bike.text.numbertext import parse_lap_time
from gearplan.language import tr
from gearplan.window.circuit.sections.said import Said
from gearplan.window.kit import theme
from gearplan.window.kit.controls.fields import ValueField, labelled
from gearplan.window.kit.places.layout import fixed_width


class OwnLapForm(QWidget):
    """`asked` carries the lap time (s) of the fitted set; `said` tells what came of it until the circuit changes."""

    asked = Signal(float)

    def __init__(self, said: Said, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._said = said
        self._told_of: Circuit | None = None
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(theme.UNIT // 2)
        self.time = ValueField(parse_lap_time)
        self.time.setPlaceholderText(tr("such as 1:45.3"))
        fixed_width(self.time, 112)
        self.time.errors = said
        self.time.passed.connect(self._ask)
        self.button = QPushButton(tr("Set apex speeds to it"))
        self.button.clicked.connect(self._ask)
        for widget in (labelled(tr("M&y lap, fitted set"), self.time), self.time, self.button):
            row.addWidget(widget)

    def refresh(self, circuit: Circuit | None) -> None:
        """What was told holds for the circuit that it was told of only."""
        self.button.setEnabled(circuit is not None and bool(circuit.sections))
        if circuit is not self._told_of:
            self.say("", circuit)

    def forget(self) -> None:
        """Another circuit: the lap time was that of the last one."""
        self.time.forget()
        self.time.show_value("", None)

    def say(self, text: str, circuit: Circuit | None) -> None:
        """Tell what came of the lap time, and of which circuit that is said."""
        self._told_of = circuit
        self._said.say(text, tr("own lap"))

    def _ask(self) -> None:
        value = self.time.value
        if isinstance(value, float | int):
            self.asked.emit(float(value))
