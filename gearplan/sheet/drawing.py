"""Pens and text of all drawings for files and paper. Draws with Qt."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from functools import lru_cache

import numpy as np
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPen

from gearplan.sheet.appearance import FAMILY, LIGHT, SMALL
from gearplan.sheet.axes import round_step


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


def grid(painter: QPainter, box: QRectF, ends: tuple[float, float], most: tuple[int, int]) -> None:
    """Lines at round values from 0 to the ends of both axes, at most so many steps, with their numbers outside."""
    for end, steps, across in zip(ends, most, (True, False), strict=True):
        step = round_step(end, steps)
        # A little beyond, so that rounding does not lose the end itself.
        for value in np.arange(0, end + step / 1e6, step).tolist():
            x, y = box.left() + value / end * box.width(), box.bottom() - value / end * box.height()
            painter.setPen(pen(LIGHT.line, 0.8))
            if across:
                painter.drawLine(QPointF(x, box.bottom()), QPointF(x, box.top()))
                place, align = QRectF(x - 30, box.bottom() + 4, 60, 16), Qt.AlignmentFlag.AlignHCenter
            else:
                painter.drawLine(QPointF(box.left(), y), QPointF(box.right(), y))
                place, align = QRectF(box.left() - 62, y - 8, 56, 16), Qt.AlignmentFlag.AlignRight
            text(painter, place, f"{value:.0f}", SMALL, LIGHT.quiet, align=align)


def largest_size(sizes: range, fits: Callable[[int], bool]) -> int:
    """The largest of rising sizes that fits, by halving; the smallest if none does."""
    low, high = 0, len(sizes) - 1
    while low < high:
        middle = (low + high + 1) // 2
        if fits(sizes[middle]):
            low = middle
        else:
            high = middle - 1
    return sizes[low]


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


@lru_cache(maxsize=512)
def wrapped(words: str, size: int, width: float) -> tuple[str, ...]:
    """Words as lines no wider than asked, broken only at spaces and never between a number and its unit.

    Qt would break a line inside "km/h". A single word wider than the width stays whole.
    """
    font = QFont(FAMILY)
    font.setPixelSize(size)
    metrics = QFontMetricsF(font)
    lines: list[str] = []
    for paragraph in words.split("\n"):
        line = ""
        for word in _WITH_UNIT.sub("\\1\u00a0\\2", paragraph).split(" "):
            longer = f"{line} {word}" if line else word
            if line and metrics.horizontalAdvance(longer) > width:
                lines.append(line)
                longer = word
            line = longer
        lines.append(line)
    return tuple(lines)


@lru_cache(maxsize=64)
def line_height(size: int) -> float:
    """From one line to the next."""
    font = QFont(FAMILY)
    font.setPixelSize(size)
    return QFontMetricsF(font).lineSpacing()


_WITH_UNIT = re.compile(r"(\d) (km/h|mph|rpm|%|mm|kg)")


def pen(colour: str, width: float, dashed: bool = False) -> QPen:
    """A pen with round joints."""
    pen = QPen(QColor(colour), width)
    pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
    if dashed:
        pen.setDashPattern([5, 4])
    return pen
