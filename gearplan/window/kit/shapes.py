"""The shapes that stand beside words: verdicts, and the line samples of the two sets."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QPushButton, QWidget

from gearplan.plan.findings import Level
from gearplan.sheet.signs import paint_level
from gearplan.window.kit import theme
from gearplan.window.kit.places.layout import fixed_height, fixed_width


def paint_verdict(painter: QPainter, level: Level, box: QRectF) -> None:
    """Draw a verdict's shape in the window's colours, filling the square box."""
    paint_level(painter, level, box, theme.current())


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
        fixed_width(self, size)
        fixed_height(self, size)

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
