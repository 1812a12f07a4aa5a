"""The page that a customer takes home, drawn. Draws with Qt."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainter

from gearplan.language import tr
from gearplan.sheet.appearance import BODY, LARGE, LIGHT, SMALL, TITLE, UNIT
from gearplan.sheet.customer.arranging import Arrangement, arranged, whole
from gearplan.sheet.customer.content import CustomerSheet
from gearplan.sheet.drawing import fitting_size, largest_size, line_height, pen, text, wrapped
from gearplan.sheet.letterhead import Logo, draw_head

_MARGIN = 6.0 * UNIT
#: The size of type of the figures' part, and how much higher it gets for its pictures where there is room.
_ANSWER, _PICTURES = 18, 120.0


def draw(painter: QPainter, sheet: CustomerSheet, logo: Logo | None, size: QRectF) -> None:
    """Draw the whole page into a box of drawing units."""
    inner = size.adjusted(_MARGIN, _MARGIN, -_MARGIN, -_MARGIN)
    y = _heading(painter, sheet, logo, inner)
    foot = _foot(painter, sheet, inner)
    y = _answer(painter, sheet, QRectF(inner.left(), y, inner.width(), foot - y))
    _sentences(painter, sheet, QRectF(inner.left(), y, inner.width(), foot - y))


def _heading(painter: QPainter, sheet: CustomerSheet, logo: Logo | None, inner: QRectF) -> float:
    """Shop and date, the motorcycle, both sets; returns where the rest begins."""
    y = draw_head(painter, sheet.shop, logo, inner)
    text(painter, QRectF(inner.left(), y, inner.width(), 18), sheet.day, BODY, LIGHT.quiet)
    y += 30
    shown = fitting_size(sheet.title, LARGE, inner.width(), bold=True)
    text(painter, QRectF(inner.left(), y, inner.width(), 34), sheet.title, shown, LIGHT.text, bold=True)
    y += 40
    if sheet.whose:
        shown = fitting_size(sheet.whose, BODY + 1, inner.width())
        text(painter, QRectF(inner.left(), y, inner.width(), 20), sheet.whose, shown, LIGHT.text)
        y += 28
    for words, fitted in ((sheet.fitted, True), (sheet.proposed, False)):
        painter.setPen(pen(LIGHT.quiet if fitted else LIGHT.accent, 1.6 if fitted else 2.8, fitted))
        painter.drawLine(QPointF(inner.left(), y + 10), QPointF(inner.left() + 36, y + 10))
        shown = fitting_size(words, BODY + 1, inner.width() - 48)
        ink = LIGHT.quiet if fitted else LIGHT.text
        text(painter, QRectF(inner.left() + 46, y, inner.width() - 46, 20), words, shown, ink, bold=not fitted)
        y += 24
    painter.setPen(pen(LIGHT.line, 1.0))
    painter.drawLine(QPointF(inner.left(), y + UNIT), QPointF(inner.right(), y + UNIT))
    return y + 3 * UNIT


def _sentences(painter: QPainter, sheet: CustomerSheet, box: QRectF) -> None:
    """The sentences, each a paragraph, in the largest type that has room."""
    told = _told(sheet)
    sizes = range(SMALL - 2, TITLE + 1)
    size = largest_size(sizes, lambda one: _height(told, one, box.width()) <= box.height())
    y = box.top()
    for words in told:
        high = _height([words], size, box.width())
        _paragraph(painter, QRectF(box.left(), y, box.width(), high), words, size, LIGHT.text)
        y += high


def _told(sheet: CustomerSheet) -> list[str]:
    """What is said of the proposed set, then of each other that is pinned."""
    told = [sentence.text for sentence in sheet.content.sentences]
    told += [row.told for row in sheet.rows if not row.proposed]
    return told + [tr("Missing: {words}", words=words) for words in sheet.content.lacking]


def _height(paragraphs: list[str], size: int, width: float) -> float:
    return sum(len(wrapped(words, size, width)) * line_height(size) + 0.6 * size for words in paragraphs)


def _paragraph(painter: QPainter, box: QRectF, words: str, size: int, colour: str) -> None:
    high = line_height(size)
    for place, line in enumerate(wrapped(words, size, box.width())):
        text(painter, QRectF(box.left(), box.top() + place * high, box.width(), high), line, size, colour)


def _answer(painter: QPainter, sheet: CustomerSheet, box: QRectF) -> float:
    """The figures with their pictures, or the pinned sets, and what is amiss, in the order of the screen; returns where
    they end."""
    left = box.height() - _height(_told(sheet), SMALL, box.width()) - 3 * UNIT
    shown = _in_largest_type(sheet, box.width(), left)
    wanted = shown.height(box.width())
    if not sheet.rows and any(picture is not None for _, picture in sheet.content.heads):
        wanted += min(_PICTURES, max(left - wanted, 0.0))
    shown.paint(painter, QRectF(box.left(), box.top(), box.width(), wanted), LIGHT)
    return box.top() + wanted + 3 * UNIT


def _in_largest_type(sheet: CustomerSheet, width: float, height: float) -> Arrangement:
    """Of the pinned sets all is told, in smaller type rather than less; the figures alone where they have no room."""
    sizes = range(_ANSWER, SMALL - 1, -1)
    tables = (whole(sheet.content, sheet.rows, size, width, height) for size in sizes if sheet.rows)
    figures = [arranged(sheet.content, (), size, width, height, growth=1.0, names=False) for size in sizes]
    return next((one for one in (*tables, *figures) if one.fits), figures[-1])


def _foot(painter: QPainter, sheet: CustomerSheet, inner: QRectF) -> float:
    """Assumptions and cautions at the bottom; returns where they begin."""
    words = "\n".join((*sheet.content.assumptions, *sheet.content.cautions))
    high = _height([words], SMALL, inner.width())
    top = inner.bottom() - high
    painter.setPen(pen(LIGHT.line, 1.0))
    painter.drawLine(QPointF(inner.left(), top - UNIT), QPointF(inner.right(), top - UNIT))
    _paragraph(painter, QRectF(inner.left(), top, inner.width(), high), words, SMALL, LIGHT.quiet)
    return top - 2 * UNIT
