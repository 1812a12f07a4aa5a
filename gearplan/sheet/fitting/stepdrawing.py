"""One step of the fitting sheet: box to tick, what to do, targets, places to write, initials. Draws with Qt."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QPainter

from gearplan.language import tr
from gearplan.sheet.appearance import UNIT
from gearplan.sheet.drawing import line_height, pen, text
from gearplan.sheet.fitting.content import OK, OUT_OF_RANGE, SheetBlank, SheetStep
from gearplan.sheet.flow import Block, elided, height, metrics, paragraph

#: Black and greys that print.
INK, QUIET, LINE = "#000000", "#404040", "#808080"

_TICK, _LEFT, _SIGN = 26.0, 40.0, 74.0
_NARROW, _WIDE = 112.0, 250.0
#: So much of the width may be places to write beside the words.
_BESIDE = 0.4


@dataclass(frozen=True)
class _Cell:
    """A place to write within the rows of a step."""

    blank: SheetBlank
    width: float
    height: float


def step_block(step: SheetStep, number: int, size: int, width: float) -> Block:
    """The step as a block that stays together."""
    whole = width - _LEFT - _SIGN - UNIT
    # A few short blanks stand beside the words, more of them below.
    beside = _beside(step, size, whole)
    right = sum(cell.width for cell in beside)
    inside = whole - right - (UNIT if beside else 0)
    fine = step.told == (OK,)
    title = f"{number}. {step.title}" + (f": {OK}" if fine else "")
    caution = tr("Caution: {caution}", caution=step.caution) if step.caution else ""
    tool = tr("Tool: {tool}.", tool=step.tool) if step.tool else ""
    told = [words for words in (f"{step.how} {tool}".strip(), *_targets(step)) if words]
    rows = [] if beside else _rows(step, size, whole)
    results = "" if fine else " ".join(step.told)
    wrong = any(words.startswith(OUT_OF_RANGE) for words in step.told)
    high = height(title, size + 1, inside, True) + sum(height(words, size, inside) for words in told)
    high += height(caution, size, inside, True) + sum(max(c.height for c in row) + _gap(row) for row in rows)
    high += height(results, size, inside, wrong)

    def draw(painter: QPainter, box: QRectF) -> None:
        painter.setPen(pen(LINE, 0.7))
        painter.drawLine(QPointF(box.left(), box.top()), QPointF(box.right(), box.top()))
        check_box(painter, QRectF(box.left() + 3, box.top() + 6, _TICK, _TICK), ticked=step.ticked)
        left = box.left() + _LEFT
        y = paragraph(painter, QRectF(left, box.top() + 4, inside, high), title, size + 1, INK, bold=True)
        for words in told:
            y = paragraph(painter, QRectF(left, y, inside, high), words, size, INK)
        y = paragraph(painter, QRectF(left, y, inside, high), caution, size, INK, bold=True)
        for row in rows:
            x = left
            for cell in row:
                _draw_blank(painter, QRectF(x, y + 2, cell.width - UNIT, cell.height), cell.blank, size)
                x += cell.width
            y += max(cell.height for cell in row) + _gap(row)
        paragraph(painter, QRectF(left, y, inside, high), results, size, INK, bold=wrong)
        x = left + whole - right
        for cell in beside:
            _draw_blank(painter, QRectF(x, box.top() + 6, cell.width - UNIT, cell.height), cell.blank, size)
            x += cell.width
        sign = QRectF(box.right() - _SIGN, box.top() + 6, _SIGN, _TICK + line_height(size - 2))
        write_box(painter, sign, tr("Initials"), step.initials, "", size)

    least = max(_TICK + line_height(max(size - 2, 5)), *(cell.height for cell in beside), 0) + 9
    return Block(max(high + 8, least), draw)


def check_box(painter: QPainter, box: QRectF, *, ticked: bool = False) -> None:
    """A box to tick, ticked where it is done."""
    painter.setPen(pen(INK, 1.4))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRect(box)
    if ticked:
        painter.setPen(pen(INK, 2.6))
        x, y, wide, high = box.left(), box.top(), box.width(), box.height()
        painter.drawLine(QPointF(x + 0.2 * wide, y + 0.5 * high), QPointF(x + 0.42 * wide, y + 0.76 * high))
        painter.drawLine(QPointF(x + 0.42 * wide, y + 0.76 * high), QPointF(x + 0.84 * wide, y + 0.2 * high))


def write_box(
    painter: QPainter, box: QRectF, label: str, words: str, unit: str, size: int, *, wrap: bool = False
) -> None:
    """A labelled box to write in, with its unit at the right end; filled where there are words."""
    small = max(size - 2, 5)
    under = line_height(small)
    text(painter, QRectF(box.left(), box.top(), box.width(), under), elided(label, small, box.width()), small, QUIET)
    frame = QRectF(box.left(), box.top() + under, box.width(), box.height() - under)
    painter.setPen(pen(INK, 1.0))
    painter.drawRect(frame)
    room = frame.width() - 8
    if unit:
        text(painter, frame.adjusted(4, 0, -4, 0), unit, small, QUIET, align=Qt.AlignmentFlag.AlignRight)
        room -= metrics(small).horizontalAdvance(unit) + 4
    if wrap:
        paragraph(painter, frame.adjusted(8, 3, -8, 0), words, size, INK)
    elif words:
        shown = elided(words, size, room, True)
        text(painter, QRectF(frame.left() + 4, frame.top(), room + 6, frame.height()), shown, size, INK, bold=True)


def _targets(step: SheetStep) -> list[str]:
    """What to aim at in a line, with a blank where it is not known."""
    told = []
    for label, words, unit, source in step.targets:
        if words:
            told.append(f"{label} {words}" + (f" [{source}]" if source else ""))
        else:
            told.append(tr("{label} ____________ {unit} [page ________]", label=label, unit=unit))
    return [tr("Target: {join}.", join="; ".join(told))] if told else []


def _rows(step: SheetStep, size: int, width: float) -> list[list[_Cell]]:
    """The places to write, in as many rows as the width asks for."""
    rows: list[list[_Cell]] = []
    left = 0.0
    for blank in step.blanks:
        cell = _cell(blank, size, width)
        if not rows or cell.width > left:
            rows.append([])
            left = width
        rows[-1].append(cell)
        left -= cell.width
    return rows


def _beside(step: SheetStep, size: int, width: float) -> list[_Cell]:
    """The places to write if they go beside the words; none if they need rows of their own."""
    if any(blank.choices for blank in step.blanks):
        return []
    cells = [_cell(blank, size, width) for blank in step.blanks]
    return cells if sum(cell.width for cell in cells) <= _BESIDE * width else []


def _gap(row: list[_Cell]) -> float:
    """Room below a row; ticks need less of it than boxes."""
    return 2.0 if all(cell.blank.choices for cell in row) else 4.0


def _cell(blank: SheetBlank, size: int, width: float) -> _Cell:
    if blank.choices:
        measure = metrics(max(size - 1, 5)).horizontalAdvance
        needed = metrics(size).horizontalAdvance(blank.label) + 2 * UNIT
        needed += sum(_tick_width(measure(choice)) for choice in blank.choices)
        return _Cell(blank, width / 2 if needed <= width / 2 else width, max(16.0, line_height(size) + 2))
    high = max(22.0, 2.0 * size) + line_height(max(size - 2, 5))
    needed = metrics(size, True).horizontalAdvance(f"{blank.text} {blank.unit}") + 28
    least, most = (_WIDE, width) if blank.wide else (_NARROW, _WIDE)
    return _Cell(blank, min(max(least, needed), most), high)


def _draw_blank(painter: QPainter, box: QRectF, blank: SheetBlank, size: int) -> None:
    if not blank.choices:
        write_box(painter, box, blank.label, blank.text, blank.unit, size)
        return
    small = max(size - 1, 5)
    ticks = [_tick_width(metrics(small).horizontalAdvance(choice)) for choice in blank.choices]
    x = box.right() - sum(ticks)
    text(painter, QRectF(box.left(), box.top(), x - box.left(), box.height()), blank.label, size, INK)
    for choice, wide in zip(blank.choices, ticks, strict=True):
        check_box(painter, QRectF(x, box.top() + 1, 13, 13), ticked=blank.text == choice)
        text(painter, QRectF(x + 18, box.top(), wide - 18, box.height()), choice, small, INK)
        x += wide


def _tick_width(words: float) -> float:
    return words + 18 + UNIT
