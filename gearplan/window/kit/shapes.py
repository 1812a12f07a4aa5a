"""The shapes that stand beside words: verdicts, and the line samples of the two sets.

Each verdict has a shape of its own (disc with tick, triangle, square with cross), so colour never stands alone.
"""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QPushButton, QWidget

from gearplan.plan.findings import Level
from gearplan.window.kit import theme


def paint_verdict(painter: QPainter, level: Level, box: QRectF) -> None:
    """Draw a verdict's shape filling the square box."""
    now = theme.current()
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(QColor(now.level(level)))
    mark = QPen(QColor(now.surface), max(1.4, box.width() / 8))
    mark.setCapStyle(Qt.PenCapStyle.RoundCap)
    side, left, top = box.width(), box.left(), box.top()

    def at(x: float, y: float) -> QPointF:
        return QPointF(left + x * side, top + y * side)

    if level == "fits":
        painter.drawEllipse(box)
        painter.setPen(mark)
        painter.drawPolyline(QPolygonF([at(0.26, 0.54), at(0.43, 0.70), at(0.74, 0.34)]))
    elif level == "check":
        painter.drawPolygon(QPolygonF([at(0.5, 0.04), at(1.0, 0.96), at(0.0, 0.96)]))
        painter.setPen(mark)
        painter.drawLine(at(0.5, 0.40), at(0.5, 0.62))
        painter.drawPoint(at(0.5, 0.80))
    else:
        painter.drawRoundedRect(box, side * 0.12, side * 0.12)
        painter.setPen(mark)
        painter.drawLine(at(0.28, 0.28), at(0.72, 0.72))
        painter.drawLine(at(0.72, 0.28), at(0.28, 0.72))
    painter.restore()


def paint_how(painter: QPainter, left: float, right: float, y: float) -> None:
    """The one mark of every number that can be asked how it is computed: dots below it."""
    pen = QPen(QColor(theme.current().quiet), 1.6)
    pen.setCapStyle(Qt.PenCapStyle.RoundCap)
    pen.setDashPattern([0.1, 2.2])
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(pen)
    painter.drawLine(QPointF(left, y), QPointF(right, y))
    painter.restore()


class HowButton(QPushButton):
    """A number that explains itself when it is pressed."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("figure", True)

    def paintEvent(self, event: QPaintEvent) -> None:
        """The number, and the mark below it."""
        super().paintEvent(event)
        wide = self.fontMetrics().horizontalAdvance(self.text())
        middle = self.width() / 2
        paint_how(QPainter(self), middle - wide / 2, middle + wide / 2, self.height() - 3.5)


class VerdictShape(QWidget):
    """A verdict's shape as a widget; the word beside it is somebody else's."""

    def __init__(self, size: int, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._level: Level = "fits"
        self.setFixedSize(QSize(size, size))

    def show_level(self, level: Level) -> None:
        """Show another verdict."""
        if level != self._level:
            self._level = level
            self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Draw the shape."""
        painter = QPainter(self)
        paint_verdict(painter, self._level, QRectF(self.rect()).adjusted(1, 1, -1, -1))


class LineSample(QWidget):
    """How a set's lines look in every chart: proposed solid, fitted quiet and dashed."""

    def __init__(self, *, dashed: bool, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._dashed = dashed
        self.setFixedSize(QSize(32, 12))

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Draw the sample."""
        now = theme.current()
        pen = QPen(QColor(now.quiet if self._dashed else now.accent), 1.6 if self._dashed else 2.6)
        if self._dashed:
            pen.setDashPattern([4, 3])
        painter = QPainter(self)
        painter.setPen(pen)
        painter.drawLine(0, self.height() // 2, self.width(), self.height() // 2)
