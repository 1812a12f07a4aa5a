"""The side view of the chain run for files and paper: to scale, with a millimetre grid. Draws with Qt."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPolygonF

from gearplan.bike.text.units import MM
from gearplan.language import tr
from gearplan.plan.set.sideview import SideView
from gearplan.sheet.appearance import BODY, LIGHT, SMALL, TITLE, UNIT
from gearplan.sheet.content import ChainSheet
from gearplan.sheet.drawing import line_height, pen, text, wrapped

_GRID = 0.05

At = Callable[[float, float], QPointF]


def draw(painter: QPainter, sheet: ChainSheet, size: QRectF) -> None:
    """Draw the whole sheet into a box of drawing units."""
    text(painter, QRectF(24, 14, 620, 26), sheet.title, TITLE, LIGHT.text, bold=True)
    for y, words, fitted in ((46.0, sheet.fitted, True), (68.0, sheet.proposed, False)):
        painter.setPen(pen(LIGHT.quiet if fitted else LIGHT.accent, 1.6 if fitted else 2.6, fitted))
        painter.drawLine(QPointF(24, y + 10), QPointF(60, y + 10))
        text(painter, QRectF(70, y, 560, 20), words, BODY, LIGHT.quiet if fitted else LIGHT.text)
    text(painter, QRectF(24, 92, 590, 48), f"{sheet.day}. {sheet.at}", SMALL, LIGHT.quiet, wrap=True)
    beside = QRectF(640, 14, size.width() - 664, 20)
    text(painter, beside, sheet.verdict.head, BODY, LIGHT.level(sheet.verdict.level), bold=True)
    # Each sentence is told whole: the drawing begins below them.
    wide, high = size.width() - 664, line_height(SMALL)
    told = [line for words in (*sheet.verdict.told, *sheet.verdict.passed) for line in wrapped(words, SMALL, wide)]
    for place, line in enumerate(told):
        text(painter, QRectF(640, 36 + place * high, wide + 20, high), line, SMALL, LIGHT.text)
    top = max(36 + len(told) * high, 128) + UNIT
    box = QRectF(40, top, size.width() - 64, size.height() - top - 168)
    draw_run(painter, sheet.on, sheet.view, box)
    width = (size.width() - 48) / 3
    rows = -(-len(sheet.rows) // 3)
    right = Qt.AlignmentFlag.AlignRight
    for column in range(3):
        left, top = 24 + column * width, size.height() - 143
        text(painter, QRectF(left, top, width * 0.74, 15), tr("fitted"), SMALL, LIGHT.quiet, align=right)
        text(painter, QRectF(left, top, width * 0.92, 15), tr("proposed"), SMALL, LIGHT.text, bold=True, align=right)
    for place, (label, before, after) in enumerate(sheet.rows):
        left, top = 24 + place // rows * width, size.height() - 128 + place % rows * 15
        text(painter, QRectF(left, top, width * 0.58, 15), label, SMALL, LIGHT.quiet)
        text(painter, QRectF(left, top, width * 0.74, 15), before, SMALL, LIGHT.quiet, align=right)
        text(painter, QRectF(left, top, width * 0.92, 15), after, SMALL, LIGHT.text, align=right)


def draw_run(painter: QPainter, on: SideView | None, view: SideView, box: QRectF) -> None:
    """Draw the run of a set to scale into a box, over that of the fitted one if there is one."""
    left, right = float(view.rear[0].min()) - 0.02, float(view.front[0].max()) + 0.03
    low = min(float(view.rear[1].min()), float(view.front[1].min())) - 0.015
    high = max(float(view.rear[1].max()), float(view.front[1].max())) + 0.015
    scale = min(box.width() / (right - left), box.height() / (high - low))
    middle_x, middle_z = (left + right) / 2, (low + high) / 2

    def at(x: float, z: float) -> QPointF:
        return QPointF(box.center().x() + (x - middle_x) * scale, box.center().y() - (z - middle_z) * scale)

    painter.save()
    painter.setClipRect(box)
    painter.setPen(pen(LIGHT.line, 0.6))
    for value in np.arange(-1.0, 1.0, _GRID).tolist():
        painter.drawLine(at(value, -1), at(value, 1))
        painter.drawLine(at(-1, value), at(1, value))
    if on is not None:
        _set(painter, on, at, fitted=True)
    painter.setPen(pen(LIGHT.edge, 9))
    painter.drawLine(at(*view.slot[0]), at(*view.slot[1]))
    if view.boss is not None:
        painter.setPen(pen(LIGHT.check, 1.4))
        painter.drawEllipse(at(0, 0), view.boss * scale, view.boss * scale)
    _set(painter, view, at, fitted=False)
    painter.setPen(pen(LIGHT.text, 1.4))
    painter.setBrush(QColor("white"))
    for place in ((0.0, 0.0), view.axle):
        painter.drawEllipse(at(*place), 5, 5)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.restore()
    beside = max((view.boss or 0.0) * scale, 6.0)
    # Left of both, where no line passes: between arm and upper run, and below the arm.
    for words, place, up in ((tr("pivot"), (0.0, 0.0), beside + 8), (tr("axle"), view.axle, -6.0)):
        here = at(*place) + QPointF(-beside - 82, -up)
        named = QRectF(here.x(), here.y(), 80, 16)
        text(painter, named, words, SMALL, LIGHT.quiet, align=Qt.AlignmentFlag.AlignRight)
    note = tr("Squares of {grid:.0f} mm", grid=_GRID / MM)
    text(painter, QRectF(box.left(), box.bottom() + 1, 200, 14), note, SMALL, LIGHT.quiet)


def _set(painter: QPainter, view: SideView, at: At, *, fitted: bool) -> None:
    quiet, strong = (LIGHT.quiet, LIGHT.quiet) if fitted else (LIGHT.text, LIGHT.accent)
    for line, colour, width in (
        (view.front, quiet, 1.0),
        (view.rear, quiet, 1.0),
        ((np.array([0, view.axle[0]]), np.array([0, view.axle[1]])), quiet, 1.8),
        (view.chain, strong, 1.2 if fitted else 2.6),
    ):
        painter.setPen(pen(colour, width, fitted))
        painter.drawPolyline(QPolygonF([at(x, z) for x, z in zip(line[0].tolist(), line[1].tolist(), strict=True)]))
