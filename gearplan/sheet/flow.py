"""Blocks that flow down a page and on to the next, and paragraphs that never leave their box. Draws with Qt."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache

from PySide6.QtCore import QRectF
from PySide6.QtGui import QFont, QFontMetricsF, QPainter

from gearplan.sheet.appearance import FAMILY
from gearplan.sheet.drawing import line_height, text, wrapped


@dataclass(frozen=True)
class Block:
    """Something of a known height that stays together; `draw` gets the painter and its box."""

    height: float
    draw: Callable[[QPainter, QRectF], None]


def broken(blocks: Sequence[Block], first: float, others: float) -> list[list[Block]]:
    """The blocks by pages that have so much height; a block too high for a page has one of its own."""
    pages: list[list[Block]] = [[]]
    left = first
    for block in blocks:
        if block.height > left and pages[-1]:
            pages.append([])
            left = others
        pages[-1].append(block)
        left -= block.height
    return pages


@lru_cache(maxsize=16)
def metrics(size: int, bold: bool = False) -> QFontMetricsF:
    """What text of the one family measures."""
    font = QFont(FAMILY)
    font.setPixelSize(size)
    font.setBold(bold)
    return QFontMetricsF(font)


@lru_cache(maxsize=2048)
def lines(words: str, size: int, width: float, bold: bool = False) -> tuple[str, ...]:
    """Words as lines no wider than asked; a word that is wider is broken. Measured bold they are a little shorter."""
    measure = metrics(size, bold).horizontalAdvance
    found: list[str] = []
    for line in wrapped(words, size, width / (1.08 if bold else 1.0)):
        rest = line
        while rest and measure(rest) > width:
            fitting = _fitting(rest, measure, width)
            found.append(rest[:fitting])
            rest = rest[fitting:]
        found.append(rest)
    return tuple(found)


def _fitting(words: str, measure: Callable[[str], float], width: float) -> int:
    """How many letters fit, at least one, by halving."""
    low, high = 1, len(words)
    while low < high:
        middle = (low + high + 1) // 2
        if measure(words[:middle]) <= width:
            low = middle
        else:
            high = middle - 1
    return low


def elided(words: str, size: int, width: float, bold: bool = False) -> str:
    """Words in one line, cut with an ellipsis where they are wider."""
    measure = metrics(size, bold).horizontalAdvance
    if measure(words) <= width:
        return words
    return words[: _fitting(words, measure, max(width - measure("…"), 1))] + "…"


def height(words: str, size: int, width: float, bold: bool = False) -> float:
    """How high a paragraph is; nothing for no words."""
    return len(lines(words, size, width, bold)) * line_height(size) if words else 0.0


def paragraph(painter: QPainter, box: QRectF, words: str, size: int, colour: str, *, bold: bool = False) -> float:
    """Write a paragraph from the top of a box; returns where it ends."""
    y, high = box.top(), line_height(size)
    if not words:
        return y
    for line in lines(words, size, box.width(), bold):
        text(painter, QRectF(box.left(), y, box.width() + 8, high), line, size, colour, bold=bold)
        y += high
    return y
