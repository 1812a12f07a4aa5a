"""The pit board on A4, to be read from three metres. Draws with Qt."""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import partial

import numpy as np
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPolygonF

from gearplan.bike.text.written import counted
from gearplan.language import tr
from gearplan.sheet.appearance import LIGHT, SMALL
from gearplan.sheet.circuit.marks import Floats, placed
from gearplan.sheet.circuit.pitboard import PitBoard
from gearplan.sheet.distance import capital, type_of_capitals
from gearplan.sheet.drawing import pen, text
from gearplan.sheet.flow import elided, height, metrics, paragraph

#: In units of 1/96 inch: a figure of 14 mm, as three metres need.
_FIGURE = math.ceil(capital(3.0)) / 25.4 * 96
_MARGIN = 24.0
#: Between figures of two rows, and between the parts of one row.
_APART, _GAP = 26.0, 24.0
#: A map that is lower than this says nothing: then the corners go to a page of their own.
_LEAST_MAP = 330.0
_CAPTION = 18.0
#: So many points of the line from one to the next that figures keep clear of.
_EVERY = 3

Paint = Callable[[QPainter, QRectF], None]


def size_of_type() -> int:
    """Pixel size of the type whose capitals and figures are as high as they must be."""
    return type_of_capitals(_FIGURE)


def pages(board: PitBoard, size: QRectF) -> list[Paint]:
    """What paints each page: the map with the set, and the corners on the same page or on further ones."""
    row = _row_height()
    top = _head_height(board, size)
    room = size.height() - top - _MARGIN - _CAPTION
    both = math.ceil(len(board.corners) / 2)
    if room - both * row >= _LEAST_MAP:
        return [partial(_first, board, board.corners)]
    each = 2 * int((size.height() - 2 * _MARGIN - _CAPTION) // row)
    parts = [board.corners[k : k + each] for k in range(0, len(board.corners), each)]
    return [partial(_first, board, ()), *(partial(_corners_page, part) for part in parts)]


def _row_height() -> float:
    return _FIGURE + _APART


def _head_height(board: PitBoard, size: QRectF) -> float:
    words = height(board.small, SMALL, size.width() - 2 * _MARGIN)
    return _MARGIN + _CAPTION + words + 8 + _CAPTION + _row_height()


def _first(board: PitBoard, corners: tuple[tuple[str, str, str], ...], painter: QPainter, size: QRectF) -> None:
    inner = size.adjusted(_MARGIN, _MARGIN, -_MARGIN, -_MARGIN)
    text(painter, QRectF(inner.left(), inner.top(), inner.width(), _CAPTION), board.title, SMALL, LIGHT.text, bold=True)
    y = paragraph(painter, inner.adjusted(0, _CAPTION, 0, 0), board.small, SMALL, LIGHT.quiet) + 8
    third = inner.width() / 3
    for place, (caption, words) in enumerate(
        (
            (tr("sprockets"), board.set),
            (tr("end of the fastest straight: gear, 1000 rpm"), ""),
            (tr("last usable, the {last_is}, 1000 rpm", last_is=board.last_is), board.last),
        )
    ):
        left = inner.left() + place * third
        text(painter, QRectF(left, y, third - 8, _CAPTION), caption, SMALL, LIGHT.quiet)
        _figures(painter, QRectF(left, y + _CAPTION, third, _row_height()), words)
    _pair(painter, QRectF(inner.left() + third, y + _CAPTION, third, _row_height()), *board.end)
    y += _CAPTION + _row_height()
    below = _CAPTION + math.ceil(len(corners) / 2) * _row_height() if corners else 0.0
    _map(painter, board, QRectF(inner.left(), y, inner.width(), inner.bottom() - below - y))
    if corners:
        _corners(painter, corners, QRectF(inner.left(), inner.bottom() - below, inner.width(), below))


def _corners_page(corners: tuple[tuple[str, str, str], ...], painter: QPainter, size: QRectF) -> None:
    _corners(painter, corners, size.adjusted(_MARGIN, _MARGIN, -_MARGIN, -_MARGIN))


def _corners(painter: QPainter, corners: tuple[tuple[str, str, str], ...], box: QRectF) -> None:
    """Two columns of corner number, gear and engine speed, down the first, then down the second."""
    half = (box.width() - _GAP) / 2
    down = math.ceil(len(corners) / 2)
    for place, (number, gear, rpm) in enumerate(corners):
        left = box.left() + (place // down) * (half + _GAP)
        y = box.top() + _CAPTION + (place % down) * _row_height()
        if place % down == 0:
            text(painter, QRectF(left, box.top(), half, _CAPTION), tr("corner, gear, 1000 rpm"), SMALL, LIGHT.quiet)
        painter.setPen(pen(LIGHT.line, 1.0))
        painter.drawLine(QPointF(left, y), QPointF(left + half, y))
        wide = metrics(size_of_type(), True).horizontalAdvance("00")
        text(painter, QRectF(left, y, wide, _row_height()), number, size_of_type(), LIGHT.quiet, align=_RIGHT)
        _pair(painter, QRectF(left + wide + _GAP / 2, y, half - wide - _GAP / 2, _row_height()), gear, rpm)


def _pair(painter: QPainter, box: QRectF, gear: str, rpm: str) -> None:
    """A gear in a frame, so that nobody takes it for a digit of the engine speed, and that."""
    wide = metrics(size_of_type(), True).horizontalAdvance("0")
    frame = QRectF(box.left() + 2, box.center().y() - _FIGURE / 2 - 9, wide + 14, _FIGURE + 18)
    painter.setPen(pen(LIGHT.accent, 3))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRect(frame)
    text(painter, frame, gear, size_of_type(), LIGHT.accent, bold=True, align=Qt.AlignmentFlag.AlignHCenter)
    _figures(painter, QRectF(frame.right() + 12, box.top(), box.right() - frame.right() - 12, box.height()), rpm)


def _figures(painter: QPainter, box: QRectF, words: str) -> None:
    text(painter, box, elided(words, size_of_type(), box.width(), True), size_of_type(), LIGHT.text, bold=True)


def _map(painter: QPainter, board: PitBoard, box: QRectF) -> None:
    """The line, the start, and a wedge with the gear at each up-shift."""
    x, y = board.line.x, board.line.y
    around = _FIGURE + 16
    wide, high = max(float(np.ptp(x)), 1.0), max(float(np.ptp(y)), 1.0)
    scale = min((box.width() - 2 * around) / wide, (box.height() - 2 * around - 2 * _CAPTION) / high)
    scale = max(scale, 1e-6)
    across = box.center().x() + scale * (x - (x.min() + x.max()) / 2)
    down = box.center().y() - _CAPTION - scale * (y - (y.min() + y.max()) / 2)
    painter.setPen(pen(LIGHT.text, 6))
    painter.drawPolyline(QPolygonF([QPointF(*at) for at in zip(across.tolist(), down.tolist(), strict=True)]))
    measure = metrics(size_of_type(), True)
    # A figure keeps clear of the line's other parts too.
    along = zip(across[::_EVERY].tolist(), down[::_EVERY].tolist(), strict=True)
    taken = [(at_x - 4, at_y - 4, at_x + 4, at_y + 4) for at_x, at_y in along]
    places = placed(
        across, down, board.marks, lambda words: (measure.horizontalAdvance(words), _FIGURE), around * 0.62, taken
    )
    unnamed = 0
    for (point, gear), place in zip(board.marks, places, strict=True):
        _wedge(painter, across, down, point)
        if place is None:
            unnamed += 1
            continue
        where = QRectF(place[0] - 40, place[1] - 50, 80, 100)
        text(painter, where, gear, size_of_type(), LIGHT.accent, bold=True, align=Qt.AlignmentFlag.AlignHCenter)
    painter.setPen(pen(LIGHT.text, 3))
    painter.setBrush(Qt.GlobalColor.white)
    painter.drawRect(QRectF(float(across[0]) - 9, float(down[0]) - 9, 18, 18))
    left_out = tr("; {counted} no room", counted=counted(unnamed, "gear has", "gears have")) if unnamed else ""
    words = tr(
        "▶ shift up, with the gear that comes{left_out}; □ start. {note}", left_out=left_out, note=board.line.note
    )
    paragraph(
        painter, QRectF(box.left(), box.bottom() - 2 * _CAPTION, box.width(), _CAPTION), words, SMALL, LIGHT.quiet
    )


def _wedge(painter: QPainter, across: Floats, down: Floats, point: int) -> None:
    """A wedge on the line that points the way it is ridden."""
    one, other = max(point - 1, 0), min(point + 1, len(across) - 1)
    way = math.atan2(float(down[other] - down[one]), float(across[other] - across[one]))
    corners = [
        QPointF(float(across[point]) + r * math.cos(way + turn), float(down[point]) + r * math.sin(way + turn))
        for r, turn in ((18, 0.0), (16, 2.3), (16, -2.3))
    ]
    painter.setPen(pen(LIGHT.surface, 2))
    painter.setBrush(QColor(LIGHT.accent))
    painter.drawPolygon(QPolygonF(corners))


_RIGHT = Qt.AlignmentFlag.AlignRight
