"""The fitting sheet, drawn: one to three pages in black and white, with boxes for greasy hands. Draws with Qt."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter

from gearplan.language import tr
from gearplan.sheet.appearance import CONTRAST_LIGHT as PAPER
from gearplan.sheet.appearance import UNIT
from gearplan.sheet.chaindrawing import draw_run
from gearplan.sheet.drawing import line_height, pen, text
from gearplan.sheet.fitting.content import FittingSheet, SheetPart
from gearplan.sheet.fitting.extras import draw_signature, photo_pages
from gearplan.sheet.fitting.stepdrawing import INK, LINE, QUIET, check_box, step_block, write_box
from gearplan.sheet.flow import Block, broken, elided, height, lines, paragraph
from gearplan.sheet.letterhead import Logo, draw_logo
from gearplan.sheet.signs import paint_level

Paint = Callable[[QPainter, QRectF], None]

_MARGIN = 4.5 * UNIT
_HEAD, _FOOT = 46.0, 20.0
_MOST_PAGES = 3
#: The most width of the shop's logo.
_LOGO = 90.0
_SIZES = range(13, 4, -1)
_GROUPS = {"order": tr("To order"), "look up": tr("To look up in the manual first"), "reuse": tr("Reused")}


def pages(sheet: FittingSheet, logo: Logo | None, size: QRectF) -> list[Paint]:
    """The pages, in the largest type with which they are no more than three."""
    inner = size.adjusted(_MARGIN, _MARGIN, -_MARGIN, -_MARGIN)
    room = inner.height() - _HEAD - _FOOT
    for one in _SIZES:
        found = broken(_blocks(sheet, one, inner.width()), room, room)
        if len(found) <= _MOST_PAGES:
            break
    found += photo_pages(sheet.photos, room, inner.width())
    return [partial(_page, sheet, logo, blocks, number, len(found)) for number, blocks in enumerate(found, 1)]


def _page(
    sheet: FittingSheet,
    logo: Logo | None,
    blocks: list[Block],
    number: int,
    count: int,
    painter: QPainter,
    size: QRectF,
) -> None:
    inner = size.adjusted(_MARGIN, _MARGIN, -_MARGIN, -_MARGIN)
    paging = tr("Page {number} of {count}", number=number, count=count)
    right_end, beside = inner.right(), 220.0 if sheet.shop.name else 110.0
    if logo is not None:
        draw_logo(painter, logo, QRectF(right_end - _LOGO, inner.top(), _LOGO, _HEAD - 8))
        right_end -= _LOGO + UNIT
    left = right_end - beside
    wide = left - inner.left()
    text(painter, QRectF(inner.left(), inner.top(), wide, 22), elided(sheet.bike, 17, wide, True), 17, INK, bold=True)
    told = elided(sheet.title, 13, wide)
    text(painter, QRectF(inner.left(), inner.top() + 22, wide, 18), told, 13, INK)
    right = Qt.AlignmentFlag.AlignRight
    name = elided(sheet.shop.name, 13, beside, True) or tr("Fitting sheet")
    if sheet.shop.name:
        paging = tr("Fitting sheet, page {number} of {count}", number=number, count=count)
    text(painter, QRectF(left, inner.top(), beside, 22), name, 13, INK if sheet.shop.name else QUIET, align=right)
    text(painter, QRectF(left, inner.top() + 22, beside, 18), paging, 13, INK, align=right)
    painter.setPen(pen(INK, 1.4))
    painter.drawLine(QPointF(inner.left(), inner.top() + _HEAD - 4), QPointF(inner.right(), inner.top() + _HEAD - 4))
    y = inner.top() + _HEAD
    for block in blocks:
        block.draw(painter, QRectF(inner.left(), y, inner.width(), block.height))
        y += block.height
    foot = tr(
        "The maker's manual and the machine's service data come first. A line left blank is filled from the manual."
    )
    text(painter, QRectF(inner.left(), inner.bottom() - 14, inner.width(), 14), foot, 10, QUIET)


def _blocks(sheet: FittingSheet, size: int, width: float) -> list[Block]:
    found = [_job(sheet, size, width)]
    found += [_words(words, size, width, bold=True) for words in sheet.exceptions]
    found.append(_sets(sheet, size, width))
    found += _parts(sheet, size, width)
    found.append(_cautions(sheet, size, width))
    if sheet.lacking:
        words = tr("Not in the service data yet, a blank line below: ") + "; ".join(sheet.lacking) + "."
        found.append(_words(words, size, width))
    found += [step_block(step, number, size, width) for number, step in enumerate(sheet.steps, 1)]
    found.append(_signatures(sheet, size))
    return found


def _words(words: str, size: int, width: float, *, bold: bool = False) -> Block:
    def draw(painter: QPainter, box: QRectF) -> None:
        paragraph(painter, box.adjusted(0, 4, 0, 0), words, size, INK, bold=bold)

    return Block(height(words, size, width, bold) + 12, draw)


def _job(sheet: FittingSheet, size: int, width: float) -> Block:
    """Date, odometer and technician in a row; consent and note below, each over the whole width."""
    short = [pair for pair in sheet.head if pair[0] in (tr("Date"), tr("Odometer"), tr("Technician"))]
    long = [pair for pair in sheet.head if pair not in short]
    row = max(26.0, 2.2 * size) + line_height(size) + 4
    heights = [max(22.0, height(words, size, width - 16) + 8) + line_height(size) + 4 for _, words in long]

    def draw(painter: QPainter, box: QRectF) -> None:
        each = (box.width() - 2 * UNIT * (len(short) - 1)) / max(len(short), 1)
        for place, (label, words) in enumerate(short):
            left = box.left() + place * (each + 2 * UNIT)
            write_box(painter, QRectF(left, box.top(), each, row - 6), label, words, "", size)
        y = box.top() + row
        for (label, words), high in zip(long, heights, strict=True):
            write_box(painter, QRectF(box.left(), y, box.width(), high - 6), label, words, "", size, wrap=True)
            y += high

    return Block(row + sum(heights) + 4, draw)


def _sets(sheet: FittingSheet, size: int, width: float) -> Block:
    """Both sets with their numbers at the left, the chain run at the right."""
    left = 0.5 * width - UNIT
    row = line_height(size) + 1
    beside = row + 4
    # The state with its sign first, each caution in a line of its own, and quiet what passed.
    parts = (
        (sheet.head_line, INK, True, beside),
        *((words, INK, False, beside) for words in sheet.heeded),
        (" ".join(sheet.reasons), QUIET, False, 0.0),
    )
    told = [(*part, height(part[0], size, left - part[3], part[2]) + 2) for part in parts if part[0]]
    names = [height(words, size, left - 44, bold) for words, bold in ((sheet.fitted, False), (sheet.proposed, True))]
    high = max(sum(names) + 8 + row * (len(sheet.rows) + 1) + 6 + sum(tall for *_, tall in told), 168.0) + 14

    def draw(painter: QPainter, box: QRectF) -> None:
        y = box.top() + 2
        for words, bold, tall in zip((sheet.fitted, sheet.proposed), (False, True), names, strict=True):
            painter.setPen(pen(INK, 2.6 if bold else 1.2, not bold))
            painter.drawLine(QPointF(box.left(), y + row / 2), QPointF(box.left() + 36, y + row / 2))
            paragraph(painter, QRectF(box.left() + 44, y, left - 44, tall), words, size, INK, bold=bold)
            y += tall + 2
        for label, before, after in (("", tr("before"), tr("after")), *sheet.rows):
            text(painter, QRectF(box.left(), y, left, row), label, size, QUIET)
            right = Qt.AlignmentFlag.AlignRight
            text(painter, QRectF(box.left(), y, 0.8 * left, row), before, size, INK, align=right)
            text(painter, QRectF(box.left(), y, left, row), after, size, INK, bold=bool(label), align=right)
            y += row
        y += 4
        paint_level(painter, sheet.verdict, QRectF(box.left() + 1, y + 1, row - 3, row - 3), PAPER)
        for words, colour, bold, shift, tall in told:
            paragraph(painter, QRectF(box.left() + shift, y, left - shift, tall), words, size, colour, bold=bold)
            y += tall
        picture = QRectF(box.left() + 0.5 * width + UNIT, box.top(), 0.5 * width - UNIT, box.height() - 26)
        if sheet.view is not None:
            draw_run(painter, sheet.on, sheet.view, picture)
        else:
            shown = lines(sheet.no_view, size, picture.width() - 2 * UNIT)
            painter.setPen(pen(LINE, 1.0))
            painter.drawRect(picture)
            most = int((picture.height() - UNIT) / line_height(size))
            words = "\n".join(shown[:most])
            paragraph(painter, picture.adjusted(UNIT, UNIT / 2, -UNIT, 0), words, size, QUIET)

    return Block(high, draw)


def _parts(sheet: FittingSheet, size: int, width: float) -> list[Block]:
    """A heading and a line for each part; what is reused needs no line to write on, so it stands in a paragraph."""
    found = []
    each = tr("Price each, {currency}", currency=sheet.currency) if sheet.currency else tr("Price each")
    for action, title in _GROUPS.items():
        listed = [part for part in sheet.parts if part.action == action]
        if action == "reuse":
            if listed:
                found.append(_words(f"{title}: " + "; ".join(part.name for part in listed) + ".", size, width))
            continue
        for place, part in enumerate(listed):
            found.append(_part(part, title if place == 0 else "", each, size, width))
    return found


def _part(part: SheetPart, title: str, each: str, size: int, width: float) -> Block:
    head = line_height(size) + 5 if title else 0.0
    name = 0.56 * width
    high = max(19.0, height(part.name, size, name - 30) + 5)

    def draw(painter: QPainter, box: QRectF) -> None:
        columns = (
            (name, 0.1 * width, tr("Quantity"), part.quantity),
            (name + 0.11 * width, 0.2 * width, tr("Number"), part.number),
            (name + 0.32 * width, 0.12 * width, each, part.price),
        )
        if title:
            text(painter, QRectF(box.left(), box.top() + 4, name, head - 5), title, size, INK, bold=True)
            for left, wide, label, _ in columns:
                shown = elided(label, size - 1, wide)
                text(painter, QRectF(box.left() + left, box.top() + 4, wide, head - 5), shown, size - 1, QUIET)
        y = box.top() + head
        check_box(painter, QRectF(box.left(), y + 2, 15, 15))
        paragraph(painter, QRectF(box.left() + 24, y + 2, name - 30, high), part.name, size, INK)
        painter.setPen(pen(LINE, 0.8))
        for left, wide, _, words in columns:
            base = y + high - 3
            painter.setPen(pen(LINE, 0.8))
            painter.drawLine(QPointF(box.left() + left, base), QPointF(box.left() + left + wide, base))
            shown = elided(words, size, wide)
            text(painter, QRectF(box.left() + left, base - 17, wide, 17), shown, size, INK)

    return Block(high + head, draw)


def _cautions(sheet: FittingSheet, size: int, width: float) -> Block:
    small = max(size - 1, _SIZES[-1])
    inside = width - 2 * UNIT
    high = sum(height(words, small, inside) + 2 for words in sheet.cautions)

    def draw(painter: QPainter, box: QRectF) -> None:
        frame = box.adjusted(0, UNIT, 0, -UNIT)
        painter.setPen(pen(INK, 1.2))
        painter.setBrush(QColor("#f2f2f2"))
        painter.drawRect(frame)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        y = frame.top() + 5
        for words in sheet.cautions:
            y = paragraph(painter, QRectF(frame.left() + UNIT, y, inside, high), words, small, INK) + 2

    return Block(high + 8 + 2 * UNIT, draw)


def _signatures(sheet: FittingSheet, size: int) -> Block:
    """Handed over: two wide lines, over the second what the customer drew."""
    high = 40.0

    def draw(painter: QPainter, box: QRectF) -> None:
        each = (box.width() - 3 * UNIT) / 2
        for place, label in enumerate(
            (tr("Technician, date, signature"), tr("Handed over to the customer, date, signature"))
        ):
            left = box.left() + place * (each + 3 * UNIT)
            painter.setPen(pen(INK, 0.8))
            painter.drawLine(QPointF(left, box.top() + high), QPointF(left + each, box.top() + high))
            if place:
                draw_signature(painter, sheet.signature, QRectF(left, box.top() + 2, min(each, 3.4 * high), high))
            shown = elided(label, max(size - 1, 5), each)
            text(painter, QRectF(left, box.top() + high + 1, each, 14), shown, max(size - 1, 5), QUIET)

    return Block(high + 18, draw)
