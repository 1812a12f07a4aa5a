"""A rider's own lap time, which sets the apex speeds of all corners."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QLabel, QPushButton, QVBoxLayout, QWidget

from gearplan.bike.circuit import Circuit
from gearplan.bike.numbertext import parse_lap_time
from gearplan.window.kit.fields import ErrorLabel, ValueField, labelled
from gearplan.window.kit.flow import Flow
from gearplan.window.kit.layout import fixed_width


class OwnLapForm(QWidget):
    """`asked` carries the lap time (s) of the fitted set; what came of it is told below until the circuit changes."""

    asked = Signal(float)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._told_of: Circuit | None = None
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        row = Flow()
        self.time = ValueField(parse_lap_time)
        self.time.setPlaceholderText("1:45.3")
        fixed_width(self.time, 96)
        self.time.passed.connect(self._ask)
        self.button = QPushButton("Set apex speeds to it")
        self.button.clicked.connect(self._ask)
        for widget in (labelled("M&y lap, fitted set", self.time), self.time, self.button):
            row.addWidget(widget)
        column.addLayout(row)
        self.errors = ErrorLabel()
        self.time.errors = self.errors
        column.addWidget(self.errors)
        self.told = QLabel()
        self.told.setWordWrap(True)
        self.told.hide()
        column.addWidget(self.told)

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
        self.told.setText(text)
        self.told.setVisible(bool(text))

    def _ask(self) -> None:
        value = self.time.value
        if isinstance(value, float | int):
            self.asked.emit(float(value))
