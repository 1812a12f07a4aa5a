"""A chart over road speed with a cursor that can be pressed, dragged and moved by keys."""

from __future__ import annotations

import pyqtgraph as pg
from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent
from PySide6.QtWidgets import QWidget

from gearplan.window.kit import theme
from gearplan.window.kit.charts.labels import LineName
from gearplan.window.kit.charts.pens import plain_axes
from gearplan.window.kit.charts.plainchart import PlainChart
from gearplan.window.kit.view import View


class CursorChart(PlainChart):
    """The frame of such a chart; `cursor_moved` carries the road speed in m/s to which the user dragged the cursor.

    Who derives from it adds items, `recolour` and the axes, whose right end is `right` in the shown unit.
    """

    LEAST = QSize(260, 210)

    cursor_moved = Signal(float)

    def __init__(self, view: View, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._view = view
        self.right = 1.0
        self._held = False
        self._box = self.getPlotItem().vb
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        plain_axes(self.getPlotItem())
        self.cursor = pg.InfiniteLine(angle=90, movable=True)
        self.cursor.label = LineName(self.cursor, position=0.0, anchors=[(0.0, 1.0), (1.0, 1.0)])
        self.cursor.sigDragged.connect(self._dragged)

    def recolour(self) -> None:
        """Take the colours of the current theme."""
        now, fine = self.dressed()
        self.cursor.setPen(pg.mkPen(now.text, width=1.2 * fine))
        self.cursor.setHoverPen(pg.mkPen(now.accent, width=3 * fine))
        self.cursor.label.setColor(QColor(now.text))
        self.cursor.label.setFont(theme.font(theme.SMALL, bold=True))

    def put_cursor(self, speed: float) -> None:
        """Put the cursor at a road speed (m/s)."""
        shown = speed / self._view.speed_factor
        self.cursor.setValue(shown)
        self.cursor.label.setFormat(f"{shown:.0f} {self._view.speed_unit}")

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Left and Right move the cursor by one unit of speed, with Shift by ten."""
        if event.key() in (Qt.Key.Key_Left, Qt.Key.Key_Right):
            by = 10 if event.modifiers() & Qt.KeyboardModifier.ShiftModifier else 1
            self._move_to(round(self.cursor.value()) + (by if event.key() == Qt.Key.Key_Right else -by))
            return
        super().keyPressEvent(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """A press anywhere in the plot brings the cursor there; it can then be dragged on."""
        at = self.mapToScene(event.position().toPoint())
        self._held = event.button() == Qt.MouseButton.LeftButton and self._box.sceneBoundingRect().contains(at)
        if self._held:
            self._move_to(self._box.mapSceneToView(at).x())
        super().mousePressEvent(event)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """The cursor stays where it is let go: of quick moves the scene leaves some out, the last one too."""
        super().mouseReleaseEvent(event)
        if self._held:
            self._held = False
            self._move_to(self._box.mapSceneToView(self.mapToScene(event.position().toPoint())).x())

    def _dragged(self) -> None:
        self._move_to(self.cursor.value())

    def _move_to(self, shown: float) -> None:
        self.cursor_moved.emit(min(max(shown, 0.0), self.right) * self._view.speed_factor)
