"""What is said aloud by a screen reader without being gone to."""

from __future__ import annotations

from PySide6.QtCore import QTimer
from PySide6.QtGui import QAccessible, QAccessibleAnnouncementEvent
from PySide6.QtWidgets import QWidget

#: While something is dragged nothing is said.
_AFTER_MS = 400


class Speaker:
    """Announces for a widget what changes, once it has come to rest; the same is not said twice."""

    def __init__(self, widget: QWidget, *, after: int = _AFTER_MS) -> None:
        self._widget = widget
        self._next = self._said = ""
        self._timer = QTimer(widget)
        self._timer.setSingleShot(True)
        self._timer.setInterval(after)
        self._timer.timeout.connect(self._say)

    def take(self, text: str, *, known: bool = False, again: bool = False) -> None:
        """Say this next; `known` takes it as said already, `again` says it even so."""
        self._next = text
        if known or again:
            self._said = text if known else ""
        if text == self._said:
            self._timer.stop()
        elif QAccessible.isActive():
            self._timer.start()

    def _say(self) -> None:
        self._said = self._next
        if self._said:
            QAccessible.updateAccessibility(QAccessibleAnnouncementEvent(self._widget, self._said))
