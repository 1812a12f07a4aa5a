"""The session sheet on A4 or Letter: three sessions a page, lines wide enough to write on. Draws with Qt."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainter

from gearplan.sheet.appearance import BODY, LIGHT, SMALL, TITLE, UNIT
from gearplan.sheet.drawing import pen, text
from gearplan.sheet.flow import elided, metrics, paragraph
from gearplan.sheet.session.content import Blank, SessionSheet

_MARGIN = 44.0
_SESSIONS = 3


def draw(painter: QPainter, sheet: SessionSheet, size: QRectF) -> None:
    """Draw the whole sheet into a box of drawing units."""
    inner = size.adjusted(_MARGIN, _MARGIN - UNIT, -_MARGIN, -_MARGIN + UNIT)
    text(painter, QRectF(inner.left(), inner.top(), inner.width(), 28), sheet.title, TITLE, LIGHT.text, bold=True)
    y = inner.top() + 36
    half = inner.width() / 2
    for place, words in enumerate(sheet.head[:2]):
        text(painter, QRectF(inner.left() + place * half, y, half, 20), words, BODY, LIGHT.text)
    y = paragraph(painter, QRectF(inner.left(), y + 26, inner.width(), 40), sheet.head[2], BODY, LIGHT.text) + UNIT
    foot = 2 * SMALL + UNIT
    each = (inner.bottom() - foot - y) / _SESSIONS
    for place in range(_SESSIONS):
        _session(painter, sheet, QRectF(inner.left(), y + place * each, inner.width(), each - UNIT))
    paragraph(painter, QRectF(inner.left(), inner.bottom() - foot, inner.width(), foot), sheet.foot, SMALL, LIGHT.quiet)


def _session(painter: QPainter, sheet: SessionSheet, box: QRectF) -> None:
    """One session in a frame, its fields line by line."""
    painter.setPen(pen(LIGHT.line, 1.2))
    painter.drawRect(box)
    high = (box.height() - UNIT) / len(sheet.lines)
    for place, line in enumerate(sheet.lines):
        shares = sum(blank.share for blank in line)
        left = box.left() + UNIT
        wide = box.width() - 2 * UNIT
        for blank in line:
            width = wide * blank.share / shares
            _field(painter, blank, QRectF(left, box.top() + place * high, width - UNIT, high))
            left += width


def _field(painter: QPainter, blank: Blank, box: QRectF) -> None:
    """A small label over a line to write on, or words to be ringed."""
    label = QRectF(box.left(), box.top() + 4, box.width(), SMALL + 4)
    text(painter, label, elided(blank.label, SMALL, box.width()), SMALL, LIGHT.quiet)
    if blank.choices:
        left = box.left()
        for word in blank.choices:
            text(painter, QRectF(left, box.bottom() - BODY - 6, 80, BODY + 6), word, BODY, LIGHT.text)
            left += metrics(BODY).horizontalAdvance(word) + 3 * UNIT
        return
    painter.setPen(pen(LIGHT.quiet, 0.7))
    painter.drawLine(QPointF(box.left(), box.bottom()), QPointF(box.right(), box.bottom()))
