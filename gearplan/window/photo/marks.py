"""What is drawn over a photograph: its points with their numbers, and the cross that aims."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen

from gearplan.bike.text import written
from gearplan.photo.points import PINS, Point
from gearplan.window.kit import theme

#: Seen on any photograph: a light line with a dark rim, the chosen point in another colour.
_LIGHT, _DARK, _CHOSEN = "#ffffff", "#000000", "#ffd24a"


def draw_point(
    painter: QPainter, point: Point, at: QPointF, miss: float | None, worded: list[QRectF], *, chosen: bool
) -> None:
    """A point at its place, its shape by its kind; `miss` is how far it lies off what was fitted, in px."""
    colour = _CHOSEN if chosen else _LIGHT
    size = 7.0 if chosen else 5.5
    for pen in (QPen(QColor(_DARK), 4.0), QPen(QColor(colour), 1.8)):
        painter.setPen(pen)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        if point.group in PINS:
            painter.drawEllipse(at, size, size)
        elif point.group.startswith("ground"):
            painter.drawPolyline([at + QPointF(-size, size), at, at + QPointF(size, size), at + QPointF(-size, size)])
        elif point.group.startswith("rim"):
            painter.drawRect(QRectF(at.x() - size, at.y() - size, 2 * size, 2 * size))
        else:
            painter.drawEllipse(at, size, size)
            painter.drawLine(at - QPointF(2 * size, 0), at + QPointF(2 * size, 0))
            painter.drawLine(at - QPointF(0, 2 * size), at + QPointF(0, 2 * size))
    _label(painter, point, miss, at + QPointF(size + 4, -size - 2), colour, worded)


def _label(painter: QPainter, point: Point, miss: float | None, at: QPointF, colour: str, worded: list[QRectF]) -> None:
    """The pin's number and how far the point is off, in px; left out where it would lie over another's."""
    words = [str(point.number)] if point.group in PINS else []
    if miss is not None:
        words.append(f"{written.number(miss, 1, 1)} px")
    said = ": ".join(words)
    room = QRectF(theme.metrics(theme.SMALL).boundingRect(said)).translated(at)
    if not said or any(room.intersects(other) for other in worded):
        return
    worded.append(room)
    painter.setFont(theme.font(theme.SMALL))
    for x, y in ((-1, 0), (1, 0), (0, -1), (0, 1)):
        painter.setPen(QColor(_DARK))
        painter.drawText(at + QPointF(x, y), said)
    painter.setPen(QColor(colour))
    painter.drawText(at, said)


def draw_cross(painter: QPainter, at: QPointF, arm: float, gap: float) -> None:
    """A cross with a gap in its middle."""
    for pen in (QPen(QColor(_DARK), 3.0), QPen(QColor(_CHOSEN), 1.0)):
        painter.setPen(pen)
        for x, y in ((1, 0), (-1, 0), (0, 1), (0, -1)):
            painter.drawLine(at + QPointF(x, y) * gap, at + QPointF(x, y) * arm)
