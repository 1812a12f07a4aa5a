"""How a quantity is now and then, for paper and window alike: bars, or a dial for the engine. Draws with Qt.

Fitted is quiet and dashed, proposed solid. All words are in the one size that is given: nothing is written smaller.
"""

from __future__ import annotations

import math

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen

from gearplan.language import tr
from gearplan.plan.customer.page import Picture
from gearplan.sheet.appearance import Theme
from gearplan.sheet.drawing import line_height, pen, text
from gearplan.sheet.flow import metrics

#: Heights and widths in sizes of the type: a bar at least and at most, the gap between rows, the least dial.
_BAR, _LARGEST_BAR, _GAP = 0.5, 1.8, 0.35
_DIAL = 4.0


def picture_height(size: int) -> float:
    """How high a picture is at least: two rows of words, each with its bar."""
    return 2 * (line_height(size) + _BAR * size) + _GAP * size


def picture_width(picture: Picture, size: int) -> float:
    """How wide a picture is at least: as wide as its longer words."""
    return max(metrics(size, bold).horizontalAdvance(words) for words, bold in _words(picture))


def paint_picture(painter: QPainter, picture: Picture, theme: Theme, box: QRectF, size: int) -> None:
    """Draw one picture into a box, at its top."""
    if picture.kind == "engine" and _dial_fits(box, size):
        _dial(painter, picture, theme, box, size)
        return
    spare = (box.height() - picture_height(size)) / 2
    bar = min(_BAR * size + max(spare, 0.0), _LARGEST_BAR * size)
    y = box.top()
    for (words, bold), value in zip(_words(picture), (picture.before, picture.after), strict=True):
        line = QRectF(box.left(), y, box.width(), line_height(size))
        text(painter, line, words, size, theme.text if bold else theme.quiet, bold=bold)
        paint_bar(
            painter, (value or 0.0) / picture.end, theme, QRectF(box.left(), line.bottom(), box.width(), bar), bold
        )
        y = line.bottom() + bar + _GAP * size


def paint_bar(painter: QPainter, share: float, theme: Theme, room: QRectF, proposed: bool) -> None:
    """A bar over a share of its room: dashed for what is fitted, solid for what is proposed."""
    line = max(1.0, min(0.08 * room.height(), 3.0))
    bar = QRectF(room.left(), room.top(), max(room.width() * min(share, 1.0), 2 * line), room.height())
    painter.setPen(Qt.PenStyle.NoPen if proposed else pen(theme.quiet, line, True))
    painter.setBrush(QColor(theme.accent) if proposed else Qt.BrushStyle.NoBrush)
    painter.drawRect(bar if proposed else bar.adjusted(line / 2, line / 2, -line / 2, -line / 2))
    painter.setBrush(Qt.BrushStyle.NoBrush)


def _words(picture: Picture) -> tuple[tuple[str, bool], tuple[str, bool]]:
    return (tr("now {before_words}", before_words=picture.before_words), False), (
        tr("then {after_words}", after_words=picture.after_words),
        True,
    )


def _dial_fits(box: QRectF, size: int) -> bool:
    return box.height() >= _DIAL * size + 2 * line_height(size) and box.width() >= 2 * _DIAL * size


def _dial(painter: QPainter, picture: Picture, theme: Theme, box: QRectF, size: int) -> None:
    """A half circle from 0 to the end with a needle for each set, and the range beyond the redline marked."""
    high = line_height(size)
    band = 0.5 * size
    radius = min((box.width() - band) / 2, box.height() - 2 * high - band)
    centre = QPointF(box.left() + radius + band / 2, box.top() + radius + band / 2)
    circle = QRectF(centre.x() - radius, centre.y() - radius, 2 * radius, 2 * radius)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(_flat(theme.edge, 0.3 * band))
    painter.drawArc(circle, 0, 180 * 16)
    if picture.mark is not None and picture.mark < picture.end:
        painter.setPen(_flat(theme.refuse, band))
        painter.drawArc(circle, 0, round(180 * 16 * (1 - picture.mark / picture.end)))
    for value, fitted in ((picture.before, True), (picture.after, False)):
        if value is not None:
            painter.setPen(pen(theme.quiet if fitted else theme.accent, (0.12 if fitted else 0.24) * size, fitted))
            painter.drawLine(centre, _on(centre, 0.88 * radius, value / picture.end))
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(QColor(theme.accent))
    painter.drawEllipse(centre, 0.3 * size, 0.3 * size)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    y = centre.y() + band / 2
    for told, bold in _words(picture):
        here = QRectF(box.left(), y, box.width(), high)
        text(painter, here, told, size, theme.text if bold else theme.quiet, bold=bold)
        y += high


def _on(centre: QPointF, radius: float, share: float) -> QPointF:
    angle = math.pi * (1 - min(max(share, 0.0), 1.0))
    return QPointF(centre.x() + radius * math.cos(angle), centre.y() - radius * math.sin(angle))


def _flat(colour: str, width: float) -> QPen:
    made = QPen(QColor(colour), width)
    made.setCapStyle(Qt.PenCapStyle.FlatCap)
    return made
