"""The page of a circuit: map, speed along the lap, and the quickest sets. Draws with Qt."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPolygonF

from gearplan.bike.text.written import difference
from gearplan.drive.lap.trace import Trace
from gearplan.language import tr
from gearplan.sheet.appearance import BODY, LARGE, LIGHT, SMALL, TITLE
from gearplan.sheet.axes import up_to
from gearplan.sheet.circuit.content import CircuitSheet
from gearplan.sheet.circuit.marks import placed
from gearplan.sheet.drawing import grid, line_height, pen, text, wrapped

_ROW = 18.0
_MARGIN = 24.0
#: A lead or a loss (s) that is worth its number.
_LEAST_NAMED = 0.01


def draw(painter: QPainter, sheet: CircuitSheet, size: QRectF) -> None:
    """Draw the whole sheet into a box of drawing units."""
    width, height = size.width(), size.height()
    top = _heading(painter, sheet, width)
    right = width - 400
    # What has to be said stands whole: the chart gives way to it.
    notes = wrapped(sheet.notes, SMALL, width - 2 * _MARGIN)
    foot = max(line_height(SMALL) * len(notes), 40.0) + 22
    _map(painter, sheet, QRectF(_MARGIN, top, right - _MARGIN - 24, 250))
    charts = QRectF(76, top + 296, right - 108, height - top - 296 - 38 - foot)
    if sheet.ahead is not None:
        # What differs between the sets has the larger half.
        high = 0.5 * (charts.height() - 34)
        _ahead(painter, sheet, QRectF(charts.left(), charts.top() + 4, charts.width(), high))
        charts.setTop(charts.top() + high + 34)
    _chart(painter, sheet, charts)
    _table(painter, sheet, QRectF(right, top, 400 - _MARGIN, height - top - 10 - foot))
    note = QRectF(_MARGIN, height - foot, width - 2 * _MARGIN, foot - 10)
    text(painter, note, "\n".join(notes), SMALL, LIGHT.quiet, wrap=True)


def _heading(painter: QPainter, sheet: CircuitSheet, width: float) -> float:
    text(painter, QRectF(_MARGIN, 14, width - 48, 26), sheet.title, TITLE, LIGHT.text, bold=True)
    for y, words, dashed in ((46.0, sheet.fitted, True), (68.0, sheet.proposed, False)):
        painter.setPen(pen(LIGHT.quiet if dashed else LIGHT.accent, 1.6 if dashed else 2.6, dashed))
        painter.drawLine(QPointF(_MARGIN, y + 10), QPointF(60, y + 10))
        text(painter, QRectF(70, y, width - 100, 20), words, BODY, LIGHT.quiet if dashed else LIGHT.text)
    text(painter, QRectF(_MARGIN, 92, width - 48, 20), sheet.sentence, BODY, LIGHT.text)
    advised = QRectF(width - 400, 44, 400 - _MARGIN, 30)
    text(painter, advised, sheet.headline, LARGE, LIGHT.text, bold=True)
    return 124.0


def _map(painter: QPainter, sheet: CircuitSheet, box: QRectF) -> None:
    x, y = sheet.line.x, sheet.line.y
    wide, high = max(float(np.ptp(x)), 1.0), max(float(np.ptp(y)), 1.0)
    scale = min((box.width() - 40) / wide, (box.height() - 40) / high)
    left = box.center().x() - scale * wide / 2 - scale * float(x.min())
    low = box.center().y() + scale * high / 2 + scale * float(y.min())

    def at(point: int) -> QPointF:
        return QPointF(left + scale * float(x[point]), low - scale * float(y[point]))

    count = len(sheet.shading.names)
    levels = sheet.shading.levels.tolist()
    start = 0
    for point in range(1, len(levels) + 1):
        if point == len(levels) or levels[point] != levels[start]:
            painter.setPen(pen(LIGHT.gear(levels[start], count), 2.2 + 0.6 * levels[start]))
            painter.drawPolyline(QPolygonF([at(k) for k in range(start, min(point, len(levels) - 1) + 1)]))
            start = point
    marks = sheet.shading.marks
    places = placed(left + scale * x, low - scale * y, marks, lambda words: (8.0 * len(words) + 2, 13.0), 13.0)
    for (_, words), place in zip(marks, places, strict=True):
        if place is not None:
            where = QRectF(place[0] - 20, place[1] - 9, 40, 18)
            text(painter, where, words, SMALL, LIGHT.text, bold=True, align=_CENTRE)
    painter.setPen(pen(LIGHT.text, 1.4))
    painter.setBrush(Qt.GlobalColor.white)
    painter.drawRect(QRectF(at(0).x() - 5, at(0).y() - 5, 10, 10))
    under = QRectF(box.left(), box.bottom() + 2, box.width(), 16)
    text(painter, under, tr("Map: the thicker the higher the gear, its number beside it; □ start"), SMALL, LIGHT.quiet)


def _chart(painter: QPainter, sheet: CircuitSheet, box: QRectF) -> None:
    end = float(sheet.lap.distance[-1])
    known = [trace for trace in (sheet.on, sheet.lap) if trace is not None]
    high = up_to(max(float(trace.speed.max()) for trace in known) / sheet.unit * 1.02, 20)

    def at(distance: float, speed: float) -> QPointF:
        return QPointF(box.left() + distance / end * box.width(), box.bottom() - speed / high * box.height())

    grid(painter, box, (end, high), (10, 5))
    under = QRectF(box.left(), box.bottom() + 20, box.width(), 16)
    words = tr("Speed, {unit_name}, over the distance along the lap, m; gears above", unit_name=sheet.unit_name)
    text(painter, under, words, SMALL, LIGHT.quiet, align=_CENTRE)
    for band in sheet.bands:
        if band.end - band.start >= end / 50:
            here = at((band.start + band.end) / 2, high)
            box_of = QRectF(here.x() - 12, here.y() - 18, 24, 16)
            text(painter, box_of, str(band.gear), SMALL, LIGHT.text, bold=True, align=_CENTRE)
    for trace, dashed in ((sheet.on, True), (sheet.lap, False)):
        if trace is not None:
            painter.setPen(pen(LIGHT.quiet if dashed else LIGHT.accent, 1.4 if dashed else 2.2, dashed))
            painter.drawPolyline(_polygon(trace, sheet.unit, at))


def _ahead(painter: QPainter, sheet: CircuitSheet, box: QRectF) -> None:
    """Seconds ahead over the lap, before the grey band in which the tied sets end."""
    assert sheet.ahead is not None
    distance, seconds = sheet.ahead
    end = float(distance[-1])
    low, high = min(float(seconds.min()), 0.0), max(float(seconds.max()), 0.0)
    air = max(0.2 * (high - low), 0.02)
    low, high = low - air, high + air

    def at(where: float, ahead: float) -> QPointF:
        inside = min(max(ahead, low), high)
        return QPointF(
            box.left() + where / end * box.width(), box.bottom() - (inside - low) / (high - low) * box.height()
        )

    if sheet.tied is not None:
        painter.fillRect(QRectF(at(0, -sheet.tied[0]), at(end, -sheet.tied[1])), QColor(LIGHT.raised))
        painter.setPen(pen(LIGHT.edge, 0.8))
        for gap in sheet.tied:
            if low < -gap < high:
                painter.drawLine(at(0, -gap), at(end, -gap))
    painter.setPen(pen(LIGHT.edge, 0.8))
    painter.drawLine(at(0, low), at(0, high))
    painter.drawLine(at(0, 0.0), at(end, 0.0))
    painter.setPen(pen(LIGHT.accent, 2.2))
    pairs = zip(distance.tolist(), seconds.tolist(), strict=True)
    painter.drawPolyline(QPolygonF([at(*pair) for pair in pairs]))
    zero = QRectF(box.left() - 46, at(0, 0.0).y() - 8, 40, 16)
    text(painter, zero, "0", SMALL, LIGHT.quiet, align=Qt.AlignmentFlag.AlignRight)
    for pick, above in ((np.argmax, True), (np.argmin, False)):
        place = int(pick(seconds))
        if abs(seconds[place]) >= _LEAST_NAMED and (seconds[place] > 0) == above:
            point = at(float(distance[place]), float(seconds[place]))
            left = min(max(point.x() - 30, box.left()), box.right() - 60)
            words = f"{difference(0.0, float(seconds[place]), 1, 2)} s"
            name = QRectF(left, point.y() - 18 if above else point.y() + 2, 60, 16)
            text(painter, name, words, SMALL, LIGHT.text, bold=True, align=_CENTRE)
    words = tr("Proposed ahead of fitted, s{text}", text=tr("; grey: where the tied sets end") if sheet.tied else "")
    text(painter, QRectF(box.left(), box.top() - 18, box.width(), 16), words, SMALL, LIGHT.quiet)


def _polygon(trace: Trace, unit: float, at: Callable[[float, float], QPointF]) -> QPolygonF:
    pairs = zip(trace.distance.tolist(), (trace.speed / unit).tolist(), strict=True)
    return QPolygonF([at(distance, speed) for distance, speed in pairs])


def _table(painter: QPainter, sheet: CircuitSheet, box: QRectF) -> None:
    y = box.top()
    for words in (sheet.plateau, *sheet.words):
        lines = wrapped(words, SMALL, box.width())
        high = line_height(SMALL) * len(lines)
        text(painter, QRectF(box.left(), y, box.width(), high + 2), "\n".join(lines), SMALL, LIGHT.text, wrap=True)
        y += high + (6 if words else 0)
    y += 8
    widths = (96, 56, 50, 64, 58, 50)
    right = Qt.AlignmentFlag.AlignRight
    besides = ("", *sheet.besides)
    for number, row in enumerate((sheet.head, *sheet.rows) if sheet.rows else ()):
        under = wrapped(besides[number], SMALL, sum(widths) - widths[0]) if besides[number] else []
        if y + _ROW + line_height(SMALL) * len(under) > box.bottom():
            break
        x = box.left()
        for place, (words, width) in enumerate(zip(row, widths, strict=True)):
            cell = QRectF(x, y, width - 6, _ROW)
            align = Qt.AlignmentFlag.AlignLeft if place == 0 else right
            text(painter, cell, words, SMALL, LIGHT.quiet if number == 0 else LIGHT.text, bold=place == 3, align=align)
            x += width
        if number == 0:
            painter.setPen(pen(LIGHT.line, 0.8))
            painter.drawLine(QPointF(box.left(), y + _ROW), QPointF(box.left() + sum(widths), y + _ROW))
        y += _ROW
        for line in under:
            text(painter, QRectF(box.left() + widths[0], y, sum(widths), _ROW), line, SMALL, LIGHT.quiet)
            y += line_height(SMALL)


_CENTRE = Qt.AlignmentFlag.AlignHCenter
