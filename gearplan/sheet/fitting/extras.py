"""What a job's card adds to the paper: the customer's signature, photos of the steps, a label. Draws with Qt."""

from __future__ import annotations

from itertools import pairwise

from PySide6.QtCore import QBuffer, QByteArray, QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QImage, QImageReader, QPainter

from gearplan.bike.work.jobcard import FIELD, LIFTED
from gearplan.plan.job.card import DUE_AGAIN
from gearplan.sheet.appearance import UNIT
from gearplan.sheet.drawing import line_height, pen, text
from gearplan.sheet.fitting.content import LabelSheet
from gearplan.sheet.fitting.stepdrawing import INK, LINE
from gearplan.sheet.flow import Block, elided, height, paragraph

#: Photos across and down a page, and the size of their titles.
_ACROSS, _DOWN, _TITLE = 2, 3, 11
#: Pixels of a photo on paper at most, on its longer side: enough for its place at 200 dots an inch.
_MOST_PIXELS = 1000
_LABEL = 20


def draw_signature(painter: QPainter, points: tuple[tuple[float, float], ...], box: QRectF) -> None:
    """The strokes of a signature in a box."""
    painter.setPen(pen(INK, 1.2))
    for one, other in pairwise(points):
        if LIFTED not in (one, other):
            painter.drawLine(_at(box, *one), _at(box, *other))


def photo_pages(photos: tuple[tuple[str, bytes], ...], room: float, width: float) -> list[list[Block]]:
    """Pages of photos, each below its title; one that cannot be read is left out."""
    read = [(title, image) for title, data in photos if (image := _image(data)) is not None]
    high = room / _DOWN - 1
    rows = [_row(read[at : at + _ACROSS], high, width) for at in range(0, len(read), _ACROSS)]
    return [rows[at : at + _DOWN] for at in range(0, len(rows), _DOWN)]


def draw_label(painter: QPainter, sheet: LabelSheet, size: QRectF) -> None:
    """A label: the bike large, the rest below in a frame."""
    lines = tuple(filter(None, (sheet.bike, sheet.whose, *sheet.lines)))
    painter.setPen(pen(INK, 1.4))
    frame = size.adjusted(6, 6, -6, -6)
    painter.drawRect(frame)
    inner = frame.adjusted(UNIT, UNIT, -UNIT, -UNIT)
    largest = _LABEL
    while largest > 7 and _label_height(lines, largest, inner.width()) > inner.height():
        largest -= 1
    y = inner.top()
    for at, line in enumerate(lines):
        bold = at == 0 or line.startswith(DUE_AGAIN)
        y = (
            paragraph(painter, QRectF(inner.left(), y, inner.width(), inner.height()), line, largest, INK, bold=bold)
            + 3
        )


def _label_height(lines: tuple[str, ...], size: int, width: float) -> float:
    return sum(height(line, size, width, True) + 3 for line in lines)


def _row(row: list[tuple[str, QImage]], high: float, width: float) -> Block:
    each = (width - UNIT * (_ACROSS - 1)) / _ACROSS

    def draw(painter: QPainter, box: QRectF) -> None:
        for place, (title, image) in enumerate(row):
            left = box.left() + place * (each + UNIT)
            head = line_height(_TITLE) + 4
            text(painter, QRectF(left, box.top() + 2, each, head), elided(title, _TITLE, each), _TITLE, INK)
            room = QRectF(left, box.top() + head + 2, each, high - head - UNIT)
            shown = QSize(image.width(), image.height()).scaled(
                int(room.width()), int(room.height()), Qt.AspectRatioMode.KeepAspectRatio
            )
            target = QRectF(room.left(), room.top(), shown.width(), shown.height())
            painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
            painter.drawImage(target, image)
            painter.setPen(pen(LINE, 0.6))
            painter.drawRect(target)

    return Block(high, draw)


def _image(data: bytes) -> QImage | None:
    store = QBuffer()
    store.setData(QByteArray(data))
    reader = QImageReader(store)
    reader.setAutoTransform(True)
    size = reader.size()
    if not size.isValid():
        return None
    if max(size.width(), size.height()) > _MOST_PIXELS:
        reader.setScaledSize(size.scaled(_MOST_PIXELS, _MOST_PIXELS, Qt.AspectRatioMode.KeepAspectRatio))
    image = reader.read()
    return None if image.isNull() else image


def _at(box: QRectF, x: float, y: float) -> QPointF:
    return QPointF(box.left() + x / FIELD * box.width(), box.top() + y / FIELD * box.height())
