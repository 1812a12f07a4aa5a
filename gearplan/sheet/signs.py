"""The verdicts' shapes. Each has one of its own (disc with tick, triangle, square with cross), so colour never stands
alone. Draws with Qt."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen, QPolygonF

from gearplan.plan.findings import Level
from gearplan.sheet.appearance import Theme


def paint_level(painter: QPainter, level: Level, box: QRectF, theme: Theme) -> None:
    """Draw a verdict's shape filling the square box."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(QColor(theme.level(level)))
    mark = QPen(QColor(theme.surface), max(1.4, box.width() / 8))
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
