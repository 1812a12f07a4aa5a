"""A line drawing for each page, drawn for this program and licensed as it is: one pen, one grid of 20 by 20."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QIcon, QPainter, QPen, QPixmap, QPolygonF

from gearplan.window.kit import theme

_GRID = 20
_PEN = 1.6

#: Of each page its lines, point by point, and its circles as x,y,radius.
_DRAWN: dict[str, tuple[str, str]] = {
    # A list.
    "All bikes": ("8,5 18,5; 8,10 18,10; 8,15 18,15", "3.5,5,1.5; 3.5,10,1.5; 3.5,15,1.5"),
    # Two wheels and a frame.
    "Bike": ("4.5,13.5 9,8 14,8 15.5,13.5; 9,8 11,13.5 14,8; 13,5 16,5", "4.5,13.5,3; 15.5,13.5,3"),
    # A recorded line.
    "Ride log": ("2,3 2,17 18,17; 4,12 7,7 10,13 13,5 17,9", ""),
    # Wishes, ticked.
    "Choices": ("2,5 4,7 7,3; 2,14 4,16 7,12; 10,5 18,5; 10,14 18,14", ""),
    # The saw-tooth.
    "Speed": ("2,17 8,4 8,10 13,4 13,8 18,4", ""),
    # Sprockets and the runs between them.
    "Chain": ("6.4,4.1 15.4,7.2; 6.4,15.9 15.4,12.8", "6,10,6; 15.5,10,2.8"),
    # Thrust against road speed.
    "Pull": ("2,3 2,17 18,17; 4,6 8,5 12,9 17,14", ""),
    # A lap with its finish line.
    "Circuit": ("4,15 3,9 6,4 11,6 16,4 17,9 13,11 14,16 8,17 4,15; 1,12 6,11", ""),
    # Whom it is shown to.
    "Customer": ("3,17 4,13 7,11.5 13,11.5 16,13 17,17", "10,6,3.5"),
    # A sheet with lines and a sum.
    "Quote": ("4,2 16,2 16,18 4,18 4,2; 7,6 13,6; 7,9.5 13,9.5; 10,14.5 13,14.5", ""),
    # A spanner.
    "Fitting": ("3,17 11,9; 14.5,2.6 12,5 12.4,7.6 15,8 17.4,5.5 17,9 14,10.6 11,9 9.4,6 11,3 14.5,2.6", ""),
}


def page_icon(page: str, size: int) -> QIcon:
    """The drawing of a page in the colour of text, so many pixels wide; none for a page that has no drawing."""
    if page not in _DRAWN:
        return QIcon()
    icon = QIcon()
    for ratio in (1, 2):
        picture = QPixmap(size * ratio, size * ratio)
        picture.fill(Qt.GlobalColor.transparent)
        painter = QPainter(picture)
        painter.scale(size * ratio / _GRID, size * ratio / _GRID)
        _draw(painter, page)
        painter.end()
        picture.setDevicePixelRatio(ratio)
        icon.addPixmap(picture, QIcon.Mode.Normal)
        icon.addPixmap(picture, QIcon.Mode.Selected)
    return icon


def _draw(painter: QPainter, page: str) -> None:
    pen = QPen(QColor(theme.current().text), _PEN)
    pen.setCapStyle(Qt.PenCapStyle.RoundCap)
    pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(pen)
    lines, circles = (part.split("; ") if part else [] for part in _DRAWN[page])
    for line in lines:
        painter.drawPolyline(QPolygonF([QPointF(*map(float, point.split(","))) for point in line.split()]))
    for circle in circles:
        x, y, radius = map(float, circle.split(","))
        painter.drawEllipse(QRectF(x - radius, y - radius, 2 * radius, 2 * radius))
