"""The quote, drawn: as many pages as it takes, the sets side by side. Draws with Qt."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QPainter

from gearplan.language import tr
from gearplan.sheet.appearance import BODY, LARGE, LIGHT, SMALL, UNIT
from gearplan.sheet.drawing import fitting_size, line_height, pen, text
from gearplan.sheet.flow import Block, broken, height, paragraph
from gearplan.sheet.letterhead import Logo, draw_head, head_height
from gearplan.sheet.quote.content import QuoteSheet, SheetSet

Paint = Callable[[QPainter, QRectF], None]

_MARGIN, _GAP = 6.0 * UNIT, 3.0 * UNIT
_FOOT = 20.0
#: The room for an amount at the right of a column, in widths of its type.
_AMOUNT = 6.0
_RIGHT = Qt.AlignmentFlag.AlignRight


def pages(sheet: QuoteSheet, logo: Logo | None, size: QRectF) -> list[Paint]:
    """The pages: the shop's head and what it is about on the first, its number on every one."""
    inner = size.adjusted(_MARGIN, _MARGIN, -_MARGIN, -_MARGIN)
    first = head_height(sheet.shop, logo) + _about_height(sheet)
    blocks = _blocks(sheet, inner.width())
    found = broken(blocks, inner.height() - first - _FOOT, inner.height() - _FOOT)
    return [partial(_page, sheet, logo, part, at, len(found)) for at, part in enumerate(found, 1)]


def _page(
    sheet: QuoteSheet, logo: Logo | None, blocks: list[Block], number: int, count: int, painter: QPainter, size: QRectF
) -> None:
    inner = size.adjusted(_MARGIN, _MARGIN, -_MARGIN, -_MARGIN)
    y = inner.top()
    if number == 1:
        y = draw_head(painter, sheet.shop, logo, inner)
        y = _about(painter, sheet, QRectF(inner.left(), y, inner.width(), _about_height(sheet)))
    for block in blocks:
        block.draw(painter, QRectF(inner.left(), y, inner.width(), block.height))
        y += block.height
    foot = QRectF(inner.left(), inner.bottom() - 14, inner.width(), 14)
    told = f"{sheet.title}, {sheet.bike}"
    text(painter, foot, told, fitting_size(told, SMALL, inner.width() - 110), LIGHT.quiet)
    text(painter, foot, tr("Page {number} of {count}", number=number, count=count), SMALL, LIGHT.quiet, align=_RIGHT)


def _about_height(sheet: QuoteSheet) -> float:
    return 40 + 24 + (22 if sheet.whose else 0) + 3 * UNIT


def _about(painter: QPainter, sheet: QuoteSheet, box: QRectF) -> float:
    """Number, days, motorcycle and whose it is; returns where the rest begins."""
    half = box.width() / 2
    y = box.top() + UNIT
    shown = fitting_size(sheet.title, LARGE, half, bold=True)
    text(painter, QRectF(box.left(), y, half, 34), sheet.title, shown, LIGHT.text, bold=True)
    for place, (label, words) in enumerate(sheet.head):
        line = QRectF(box.left() + half, y + 18 * place, half, 18)
        text(painter, line, f"{label}: {words}", BODY, LIGHT.text, align=_RIGHT)
    y += 38
    shown = fitting_size(sheet.bike, BODY + 2, box.width(), bold=True)
    text(painter, QRectF(box.left(), y, box.width(), 22), sheet.bike, shown, LIGHT.text, bold=True)
    y += 24
    if sheet.whose:
        shown = fitting_size(sheet.whose, BODY, box.width())
        text(painter, QRectF(box.left(), y, box.width(), 20), sheet.whose, shown, LIGHT.text)
        y += 22
    painter.setPen(pen(LIGHT.line, 1.0))
    painter.drawLine(QPointF(box.left(), y + UNIT / 2), QPointF(box.right(), y + UNIT / 2))
    return y + UNIT


def _blocks(sheet: QuoteSheet, width: float) -> list[Block]:
    wide = (width - _GAP * (len(sheet.sets) - 1)) / max(len(sheet.sets), 1)
    size = BODY if len(sheet.sets) == 1 else SMALL
    found = [_names(sheet, wide)]
    found += [_row(sheet, key, size, wide) for key in sheet.rows]
    found.append(_sums(sheet, size, wide))
    if any(one.notes for one in sheet.sets):
        found.append(_side_by_side([one.notes for one in sheet.sets], wide))
    found += [_note(words, width) for words in sheet.notes]
    found.append(_signatures(sheet))
    return found


def _left(box: QRectF, place: int, wide: float) -> float:
    return box.left() + place * (wide + _GAP)


def _names(sheet: QuoteSheet, wide: float) -> Block:
    """Name, set and verdict of each."""

    def parts(one: SheetSet) -> tuple[tuple[str, int, str, bool], ...]:
        return (
            (one.name, BODY + 2, LIGHT.text, True),
            (one.set, SMALL, LIGHT.text, False),
            (one.verdict, SMALL, LIGHT.quiet, False),
        )

    highest = max(sum(height(words, size, wide, bold) for words, size, _, bold in parts(one)) for one in sheet.sets)

    def draw(painter: QPainter, box: QRectF) -> None:
        for place, one in enumerate(sheet.sets):
            y = box.top() + UNIT / 2
            for words, size, colour, bold in parts(one):
                here = QRectF(_left(box, place, wide), y, wide, box.height())
                y = paragraph(painter, here, words, size, colour, bold=bold)

    return Block(highest + 2 * UNIT, draw)


def _row(sheet: QuoteSheet, key: str, size: int, wide: float) -> Block:
    """The same part of every set, where a set has it."""
    name = wide - _AMOUNT * size
    cells = [(place, one.cells[key]) for place, one in enumerate(sheet.sets) if key in one.cells]
    highest = max(height(cell.name, size, name) + height(cell.detail, SMALL, name) for _, cell in cells)

    def draw(painter: QPainter, box: QRectF) -> None:
        for place, cell in cells:
            left, y = _left(box, place, wide), box.top() + 3
            painter.setPen(pen(LIGHT.line, 0.6))
            painter.drawLine(QPointF(left, box.top()), QPointF(left + wide, box.top()))
            amount = QRectF(left + name, y, wide - name, line_height(size))
            shown = fitting_size(cell.amount, size, amount.width())
            text(painter, amount, cell.amount, shown, LIGHT.text, align=_RIGHT)
            y = paragraph(painter, QRectF(left, y, name, highest), cell.name, size, LIGHT.text)
            paragraph(painter, QRectF(left, y, name, highest), cell.detail, SMALL, LIGHT.quiet)

    return Block(highest + 7, draw)


def _sums(sheet: QuoteSheet, size: int, wide: float) -> Block:
    high = line_height(size + 2) + 3

    def draw(painter: QPainter, box: QRectF) -> None:
        for place, one in enumerate(sheet.sets):
            left, y = _left(box, place, wide), box.top() + 4
            painter.setPen(pen(LIGHT.text, 1.2))
            painter.drawLine(QPointF(left, box.top()), QPointF(left + wide, box.top()))
            for at, (label, amount) in enumerate(one.sums):
                last = at == len(one.sums) - 1
                big = size + 2 if last else size
                text(painter, QRectF(left, y, wide, high), label, big, LIGHT.text, bold=last)
                room = 0.72 * wide
                shown = fitting_size(amount, big, room, bold=last)
                right = QRectF(left + wide - room, y, room, high)
                text(painter, right, amount, shown, LIGHT.text, bold=last, align=_RIGHT)
                y += high

    return Block(max(len(one.sums) for one in sheet.sets) * high + 2 * UNIT, draw)


def _side_by_side(told: list[str], wide: float) -> Block:
    highest = max(height(words, SMALL, wide) for words in told)

    def draw(painter: QPainter, box: QRectF) -> None:
        for place, words in enumerate(told):
            here = QRectF(_left(box, place, wide), box.top(), wide, highest)
            paragraph(painter, here, words, SMALL, LIGHT.text)

    return Block(highest + 2 * UNIT, draw)


def _note(words: str, width: float) -> Block:
    def draw(painter: QPainter, box: QRectF) -> None:
        paragraph(painter, box, words, SMALL, LIGHT.quiet)

    return Block(height(words, SMALL, width) + UNIT, draw)


def _signatures(sheet: QuoteSheet) -> Block:
    high = 52.0

    def draw(painter: QPainter, box: QRectF) -> None:
        each = (box.width() - _GAP) / len(sheet.signatures)
        for place, label in enumerate(sheet.signatures):
            left, y = box.left() + place * (each + _GAP), box.top() + high
            painter.setPen(pen(LIGHT.text, 0.8))
            painter.drawLine(QPointF(left, y), QPointF(left + each, y))
            shown = fitting_size(label, SMALL, each)
            text(painter, QRectF(left, y + 2, each, 15), label, shown, LIGHT.quiet)

    return Block(high + 20, draw)
