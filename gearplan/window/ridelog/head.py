"""The head of the Ride log page: opening a ride, which one is open, how far reading has come."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import (
    QHBoxLayout,
    QProgressBar,
    QPushButton,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from gearplan.language import tr
from gearplan.window.kit import theme
from gearplan.window.kit.places.flow import Flow
from gearplan.window.kit.places.layout import fixed_width
from gearplan.window.kit.plaintext import PlainLabel
from gearplan.window.kit.sentences import Sentences

_EMPTY = tr(
    "A recorded ride tells what is really fitted and how far the tyre rolls, and its laps become a circuit. Open a CSV "
    "file with engine speed and road speed, with positions too if there are any, a GPX file, or a satellite receiver's "
    "NMEA sentences. It stays on this machine."
)
#: Text and buttons where nothing is open yet stand in a block of so much at most.
_BLOCK = 420
#: As wide as Qt lets a widget be.
_ANY = 16_777_215


class Head(QWidget):
    """The page connects the buttons `open`, `demo` and `stop`. While nothing is open yet it says what can be opened."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        middle = QHBoxLayout(self)
        middle.setContentsMargins(0, 0, 0, 0)
        middle.setSpacing(0)
        self._alone = False
        self._block = QWidget()
        # The block takes what it may; only what is left goes to its sides.
        middle.addStretch(0)
        middle.addWidget(self._block, 1)
        middle.addStretch(0)
        column = QVBoxLayout(self._block)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(2 * theme.UNIT)
        self.empty = Sentences(_EMPTY)
        column.addWidget(self.empty)
        row = Flow()
        column.addLayout(row)
        self.open = QPushButton(tr("&Open a ride…"))
        self.demo = QPushButton(tr("Demo ride"))
        self.demo.setToolTip(tr("Laps of an invented rider on this bike, with other sprockets than the profile says"))
        self.name = PlainLabel()
        self.name.setWordWrap(True)
        self.name.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
        self.progress = QProgressBar()
        self.progress.setRange(0, 100)
        fixed_width(self.progress, 160)
        self.progress.setAccessibleName(tr("How far the ride is read"))
        self.stop = QPushButton(tr("Cancel"))
        for widget in (self.open, self.demo, self.name, self.progress, self.stop):
            row.addWidget(widget)

    def show_start(self, *, alone: bool) -> None:
        """Stand alone in the middle of the page, or above what a ride tells."""
        self.empty.setVisible(alone)
        if self.open.property("primary") != alone:
            self.open.setProperty("primary", alone)
            self.open.style().unpolish(self.open)
            self.open.style().polish(self.open)
        self._alone = alone
        self._narrow()
        card = self.parentWidget()
        place = None if card is None else card.layout()
        assert place is not None
        place.setAlignment(self, Qt.AlignmentFlag.AlignVCenter if alone else Qt.AlignmentFlag(0))

    def resizeEvent(self, event: QResizeEvent) -> None:
        """The size of text may be another, too."""
        super().resizeEvent(event)
        self._narrow()

    def _narrow(self) -> None:
        self._block.setMaximumWidth(theme.px(_BLOCK) if self._alone else _ANY)

    def show_progress(self, share: float, words: str) -> None:
        """Say how far it is (0 to 1), in words if there are any."""
        self.progress.setValue(round(100 * share))
        self.progress.setFormat(words or "%p %")

    def show_busy(self, *, busy: bool) -> None:
        """Progress and its end are there while something is worked on."""
        self.progress.setVisible(busy)
        self.stop.setVisible(busy)
