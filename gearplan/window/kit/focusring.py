"""Where the keyboard is, on whatever does not show it by itself: charts, tables, lists, sliders, scrolling texts."""

from __future__ import annotations

import shiboken6
from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QApplication, QLineEdit, QPushButton, QScrollArea, QWidget

from gearplan.window.kit import theme

_WIDE = 2
#: These have a border of their own for it, by the style sheet.
_BORDERED = (QLineEdit, QPushButton)


class _Ring(QWidget):
    """A frame over the whole of a widget; it takes no click and moves nothing."""

    def __init__(self, around: QWidget) -> None:
        super().__init__(around)
        self.setProperty("overlay", True)
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        around.installEventFilter(self)
        self._fit(around)
        self.show()

    def _fit(self, around: QWidget) -> None:
        self.setGeometry(around.rect())
        self.raise_()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """It is as large as what it stands around."""
        if event.type() == QEvent.Type.Resize:
            assert isinstance(watched, QWidget)
            self._fit(watched)
        return False

    def paintEvent(self, _event: QPaintEvent) -> None:
        """The frame."""
        painter = QPainter(self)
        pen = QPen(QColor(theme.current().accent), _WIDE)
        pen.setJoinStyle(Qt.PenJoinStyle.MiterJoin)
        painter.setPen(pen)
        painter.drawRect(self.rect().adjusted(1, 1, -1, -1))


class FocusRing(QObject):
    """Follows the keyboard through the whole application."""

    def __init__(self, app: QApplication) -> None:
        super().__init__(app)
        self._ring: _Ring | None = None
        self._begun = False
        app.focusChanged.connect(self._moved)

    def _moved(self, _before: QWidget | None, now: QWidget | None) -> None:
        # A ring may have gone with the widget that it stood around.
        if self._ring is not None and shiboken6.isValid(self._ring):
            self._ring.hide()
            self._ring.deleteLater()
        # Where the window gives the keyboard to begin with, nobody has gone yet: no frame before it moves.
        begun, self._begun = self._begun, self._begun or now is not None
        if not begun:
            self._ring = None
            return
        self._ring = None if now is None or now.isWindow() or isinstance(now, _BORDERED) else _Ring(around(now))


def around(widget: QWidget) -> QWidget:
    """What is to be framed: of a text that scrolls, its place."""
    place = widget.parentWidget()
    area = place.parentWidget() if place is not None else None
    return area if isinstance(area, QScrollArea) and area.widget() is widget else widget
