"""Pens and text of all drawings for files and paper. Draws with Qt."""

from __future__ import annotations

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QColor, QFont, QPainter, QPen

from gearplan.sheet.appearance import FAMILY


def text(
    painter: QPainter,
    box: QRectF,
    words: str,
    size: int,
    colour: str,
    *,
    bold: bool = False,
    wrap: bool = False,
    align: Qt.AlignmentFlag = Qt.AlignmentFlag.AlignLeft,
) -> None:
    """Write words into a box, in the one type family."""
    font = QFont(FAMILY)
    font.setPixelSize(size)
    font.setBold(bold)
    # Joined letters could not be searched for or copied from a PDF.
    for joined in ("liga", "clig", "dlig"):
        font.setFeature(QFont.Tag(joined), 0)
    painter.setFont(font)
    painter.setPen(QColor(colour))
    flags = align | (Qt.AlignmentFlag.AlignTop if wrap else Qt.AlignmentFlag.AlignVCenter)
    painter.drawText(box, int(flags) | (Qt.TextFlag.TextWordWrap if wrap else 0), words)


def pen(colour: str, width: float, dashed: bool = False) -> QPen:
    """A pen with round joints."""
    pen = QPen(QColor(colour), width)
    pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
    if dashed:
        pen.setDashPattern([5, 4])
    return pen
