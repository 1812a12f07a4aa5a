"""The head of the Ride log page: opening a ride, which one is open, how far reading has come."""

from __future__ import annotations

from PySide6.QtWidgets import QLabel, QProgressBar, QPushButton, QSizePolicy, QWidget

from gearplan.window.kit.flow import Flow
from gearplan.window.kit.layout import fixed_width


class Head(QWidget):
    """The page connects the buttons `open`, `demo` and `stop`."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        row = Flow()
        self.setLayout(row)
        self.open = QPushButton("&Open a ride…")
        self.demo = QPushButton("Demo ride")
        self.demo.setToolTip("Laps of an invented rider on this bike, with other sprockets than the profile says")
        self.name = QLabel()
        self.name.setWordWrap(True)
        self.name.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
        self.progress = QProgressBar()
        self.progress.setRange(0, 100)
        fixed_width(self.progress, 160)
        self.progress.setAccessibleName("How far the ride is read")
        self.stop = QPushButton("Cancel")
        for widget in (self.open, self.demo, self.name, self.progress, self.stop):
            row.addWidget(widget)

    def show_progress(self, share: float, words: str) -> None:
        """Say how far it is (0 to 1), in words if there are any."""
        self.progress.setValue(round(100 * share))
        self.progress.setFormat(words or "%p %")

    def show_busy(self, *, busy: bool) -> None:
        """Progress and its end are there while something is worked on."""
        self.progress.setVisible(busy)
        self.stop.setVisible(busy)
