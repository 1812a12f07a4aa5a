"""The three pictures of the customer's page, for paper and window alike: how it pulls, turns and how fast it goes.

Fitted is quiet and dashed, proposed solid. Draws with Qt.
"""

from __future__ import annotations

import math
from functools import lru_cache

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPen

from gearplan.plan.customer.page import Picture
from gearplan.sheet.appearance import FAMILY, Theme
from gearplan.sheet.drawing import pen, text

_LEFT, _RIGHT, _CENTRE = Qt.AlignmentFlag.AlignLeft, Qt.AlignmentFlag.AlignRight, Qt.AlignmentFlag.AlignHCenter


def paint_picture(painter: QPainter, picture: Picture, theme: Theme, box: QRectF, size: int) -> None:
    """Draw one picture into a box; `size` is that of the small type, everything else follows from it."""
    title = QRectF(box.left(), box.top(), box.width(), 1.6 * size)
    shown = fitting_size(picture.title, size, title.width())
    text(painter, title, picture.title, shown, theme.quiet)
    below = QRectF(box.left(), title.bottom() + 0.3 * size, box.width(), box.height() - 1.9 * size)
    if picture.before is None and picture.after is None:
        text(painter, below, "not known yet", size, theme.quiet, align=_CENTRE)
    elif picture.kind == "engine":
        _gauge(painter, picture, theme, below, size)
    else:
        _bars(painter, picture, theme, below, size)


@lru_cache(maxsize=256)
def fitting_size(words: str, size: int, width: float, *, bold: bool = False) -> int:
    """The largest type size up to `size` in which words fit into a width on one line; not below a third of it."""
    font = QFont(FAMILY)
    font.setBold(bold)
    font.setPixelSize(size)
    needed = QFontMetricsF(font).horizontalAdvance(words)
    if needed <= width:
        return size
    # Widths go with the size, but for the rounding of each letter's.
    return max(math.floor(size * width / needed - 0.25), size // 3, 5)


def _bars(painter: QPainter, picture: Picture, theme: Theme, box: QRectF, size: int) -> None:
    """Two bars one under the other, with their values behind them."""
    label = 4.6 * size
    room = box.width() - label - 0.5 * size
    high = min(box.height() * 0.27, 3.4 * size)
    gap = (box.height() - 2 * high) / 3
    for row, (name, value, words, fitted) in enumerate(
        (
            ("now", picture.before, picture.before_words, True),
            ("then", picture.after, picture.after_words, False),
        )
    ):
        top = box.top() + gap * (0.5 + row) + high * row
        bar = QRectF(box.left() + label, top, room * (value or 0.0) / picture.end, high)
        colour = theme.quiet if fitted else theme.text
        text(painter, QRectF(box.left(), top, label, high), name, size, colour, bold=not fitted)
        painter.setPen(pen(theme.quiet, 0.12 * size, True) if fitted else Qt.PenStyle.NoPen)
        painter.setBrush(Qt.BrushStyle.NoBrush if fitted else QColor(theme.accent))
        painter.drawRoundedRect(bar, 0.25 * size, 0.25 * size)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        inside = bar.adjusted(0, 0, -0.5 * size, 0)
        ink = theme.quiet if fitted else theme.on_accent
        if value is None or bar.width() < 7 * size:
            inside = QRectF(bar.right() + 0.4 * size, top, box.right() - bar.right(), high)
            ink = theme.quiet if fitted else theme.text
        side = _RIGHT if inside.left() == bar.left() else _LEFT
        text(painter, inside, words, round(1.25 * size), ink, bold=not fitted, align=side)
    if picture.mark is not None and 0 < picture.mark < picture.end:
        # Ticks between and under the bars: nothing runs through their words.
        x = box.left() + label + room * picture.mark / picture.end
        lower = box.top() + gap * 1.5 + high
        bottom = lower + high
        painter.setPen(pen(theme.quiet, 0.12 * size))
        painter.drawLine(QPointF(x, lower - gap), QPointF(x, lower))
        painter.drawLine(QPointF(x, bottom), QPointF(x, bottom + 0.3 * gap))
        place = QRectF(x - 6 * size, bottom + 0.3 * gap, 12 * size, 1.4 * size)
        text(painter, place, f"{picture.mark_name} {picture.mark:g}", round(0.85 * size), theme.quiet, align=_CENTRE)


def _gauge(painter: QPainter, picture: Picture, theme: Theme, box: QRectF, size: int) -> None:
    """A half circle from 0 to the end with a needle for each set and the limit's range marked."""
    radius = min(box.width() / 2.2, box.height() - 2.6 * size)
    centre = QPointF(box.center().x(), box.top() + radius + 0.4 * size)
    circle = QRectF(centre.x() - radius, centre.y() - radius, 2 * radius, 2 * radius)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(_flat(theme.line, 0.7 * size))
    painter.drawArc(circle, 0, 180 * 16)
    if picture.mark is not None and picture.mark < picture.end:
        share = 1 - picture.mark / picture.end
        painter.setPen(_flat(theme.refuse, 0.7 * size))
        painter.drawArc(circle, 0, round(180 * 16 * share))
        at = _on(centre, 0.82 * radius, picture.mark / picture.end)
        place = QRectF(at.x() - 6 * size, at.y() - 0.2 * size, 6 * size, 1.3 * size)
        text(painter, place, picture.mark_name, round(0.85 * size), theme.refuse, align=_RIGHT)
    for value, fitted in ((picture.before, True), (picture.after, False)):
        if value is None:
            continue
        colour = theme.quiet if fitted else theme.accent
        painter.setPen(pen(colour, (0.16 if fitted else 0.34) * size, fitted))
        painter.drawLine(centre, _on(centre, 0.9 * radius, value / picture.end))
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(QColor(theme.accent))
    painter.drawEllipse(centre, 0.5 * size, 0.5 * size)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    under = centre.y() + 0.7 * size
    half = box.width() / 2
    for left, name, words, fitted in (
        (box.left(), "now", picture.before_words, True),
        (box.left() + half, "then", picture.after_words, False),
    ):
        colour = theme.quiet if fitted else theme.text
        place = QRectF(left, under, half, 1.7 * size)
        words = f"{name} {words}"
        shown = fitting_size(words, round(1.2 * size), half - 4, bold=not fitted)
        text(painter, place, words, shown, colour, bold=not fitted, align=_CENTRE)


def _on(centre: QPointF, radius: float, share: float) -> QPointF:
    angle = math.pi * (1 - min(max(share, 0.0), 1.0))
    return QPointF(centre.x() + radius * math.cos(angle), centre.y() - radius * math.sin(angle))


def _flat(colour: str, width: float) -> QPen:
    made = QPen(QColor(colour), width)
    made.setCapStyle(Qt.PenCapStyle.FlatCap)
    return made
