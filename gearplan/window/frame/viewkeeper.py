"""What is remembered of the view: speed unit and what is to be timed and listed, written when it changes."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

from PySide6.QtCore import QObject, QTimer

from gearplan.window.frame.settings import Remembered, asked
from gearplan.window.kit.view import View

#: What is being typed is written when the typing pauses.
_AFTER_MS = 500


class ViewKeeper(QObject):
    """Gives the view what was remembered, and remembers what becomes of it."""

    def __init__(self, view: View, remembered: Remembered, parent: QObject) -> None:
        super().__init__(parent)
        self._view, self._remembered = view, remembered
        view.asked = asked(remembered.now)
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(_AFTER_MS)
        self._timer.timeout.connect(self.keep)
        view.changed.connect(self._timer.start)
        view.asked_changed.connect(self._timer.start)

    def keep(self) -> None:
        """Write now what has changed."""
        self._timer.stop()
        now = self._remembered.now
        change = partial(replace, speed_unit=self._view.speed_unit, **self._view.asked)
        if change(now) != now:
            self._remembered.keep(change)
