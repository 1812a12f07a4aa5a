"""Do something once a widget has been painted for the first time, so that the eye has something meanwhile."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, QTimer, Signal
from PySide6.QtWidgets import QWidget


class FirstPaint(QObject):
    """Emits `painted` once, after the first paint event of the widget has been dealt with."""

    painted = Signal()

    def __init__(self, widget: QWidget) -> None:
        super().__init__(widget)
        self._widget = widget
        self._waiting = True
        # A timer of its own, which ends with the widget: one that is closed at once has nothing left to tell.
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.timeout.connect(self._tell)
        widget.installEventFilter(self)

    def eventFilter(self, _watched: QObject, event: QEvent) -> bool:
        """Wait for the paint event; the timer lets it finish first."""
        if event.type() == QEvent.Type.Paint and self._waiting:
            self._waiting = False
            self._soon.start(0)
        return False

    def _tell(self) -> None:
        self._widget.removeEventFilter(self)
        self.painted.emit()
        self.deleteLater()
