"""The customer's page alone, over the whole screen, by one key."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QObject
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QMainWindow, QWidget

from gearplan.language import tr


class TurnRound(QObject):
    """Hides everything but the page, and brings it back. `parts` gives what is to be hidden, `show` tells the page."""

    def __init__(
        self, window: QMainWindow, parts: Callable[[], tuple[QWidget, ...]], show: Callable[[bool], None]
    ) -> None:
        super().__init__(window)
        self._window, self._parts, self._show = window, parts, show
        self._hidden: list[QWidget] = []
        self._was_maximised = False
        self.on = False
        self._back = QAction(window)
        self._back.setShortcut(tr("Esc"))
        self._back.setEnabled(False)
        self._back.triggered.connect(self.turn)
        window.addAction(self._back)

    def turn(self) -> None:
        """Turn the screen round to the customer, or back."""
        self.on = not self.on
        self._back.setEnabled(self.on)
        self._show(self.on)
        if self.on:
            self._was_maximised = self._window.isMaximized()
            self._hidden = [part for part in self._parts() if part.isVisible()]
            for part in self._hidden:
                part.hide()
            self._window.showFullScreen()
            return
        for part in self._hidden:
            part.show()
        if self._was_maximised:
            self._window.showMaximized()
        else:
            self._window.showNormal()
