"""Draws the speed chart for paper and files, always light. The one file outside the window that imports Qt."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from pathlib import Path

import numpy as np
from PySide6.QtCore import QBuffer, QIODevice, QMarginsF, QPointF, QRectF, QSize, QSizeF, Qt
from PySide6.QtGui import (
    QColor,
    QFont,
    QFontDatabase,
    QGuiApplication,
    QImage,
    QPageSize,
    QPainter,
    QPdfWriter,
    QPen,
    QPolygonF,
)
from PySide6.QtSvg import QSvgGenerator

from gearplan.bike.atomic import replace_file
from gearplan.bike.library import resource
from gearplan.bike.profile import Bike
from gearplan.bike.units import RPM
from gearplan.plan.compare import SpeedLines
from gearplan.plan.driveset import DriveSet
from gearplan.plan.sentences import VERDICT
from gearplan.sheet.appearance import BODY, FAMILY, LIGHT, SMALL, TITLE
from gearplan.sheet.axes import round_step, up_to
from gearplan.sheet.content import SpeedSheet, speed_sheet

#: The drawing's own size; everything is placed in these units.
_WIDTH, _HEIGHT = 1120.0, 792.0
_LEFT, _RIGHT, _TOP = 76.0, 24.0, 120.0
_ROW = 19.0


def save_speed_picture(bike: Bike, chosen: DriveSet, target: Path, mph: bool = False) -> None:
    """Draw fitted and proposed set to a .png, .svg or .pdf file.

    ValueError for another ending or a bike that has no speeds yet, OSError if the file cannot be written.
    """
    sheet = speed_sheet(bike, chosen, mph)
    _application()
    draw = {".png": _png, ".svg": _svg, ".pdf": _pdf}.get(target.suffix.lower())
    if draw is None:
        raise ValueError("the picture's name must end in .png, .svg or .pdf")
    replace_file(target, draw(sheet))


def speed_image(bike: Bike, chosen: DriveSet, mph: bool = False) -> QImage:
    """The same picture in memory, twice its nominal size in pixels."""
    return _image(speed_sheet(bike, chosen, mph))


def _application() -> None:
    """Fonts need an application; on the command line there is none yet, and no display is needed."""
    if QGuiApplication.instance() is None:
        os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
        _kept.append(QGuiApplication(sys.argv[:1]))
    if FAMILY not in QFontDatabase.families():
        for name in ("Lato-Regular.ttf", "Lato-Bold.ttf"):
            QFontDatabase.addApplicationFontFromData(resource("fonts", name).read_bytes())


_kept: list[QGuiApplication] = []


def _png(sheet: SpeedSheet) -> bytes:
    store = QBuffer()
    store.open(QIODevice.OpenModeFlag.WriteOnly)
    _image(sheet).save(store, "PNG")  # type: ignore[call-overload]
    return bytes(store.data().data())


def _image(sheet: SpeedSheet) -> QImage:
    image = QImage(QSize(int(2 * _WIDTH), int(2 * _HEIGHT)), QImage.Format.Format_RGB32)
    image.fill(Qt.GlobalColor.white)
    painter = QPainter(image)
    painter.scale(2, 2)
    _draw(painter, sheet)
    painter.end()
    return image


def _svg(sheet: SpeedSheet) -> bytes:
    store = QBuffer()
    store.open(QIODevice.OpenModeFlag.WriteOnly)
    made = QSvgGenerator()
    made.setOutputDevice(store)
    made.setViewBox(QRectF(0, 0, _WIDTH, _HEIGHT))
    made.setSize(QSize(int(_WIDTH), int(_HEIGHT)))
    made.setTitle(sheet.title)
    painter = QPainter(made)
    _draw(painter, sheet)
    painter.end()
    return bytes(store.data().data())


def _pdf(sheet: SpeedSheet) -> bytes:
    store = QBuffer()
    store.open(QIODevice.OpenModeFlag.WriteOnly)
    made = QPdfWriter(store)
    # Points: Qt rounds a page to whole points, so nothing is lost.
    made.setPageSize(QPageSize(QSizeF(842, 595), QPageSize.Unit.Point))
    made.setPageMargins(QMarginsF(0, 0, 0, 0))
    made.setResolution(300)
    made.setTitle(sheet.title)
    painter = QPainter(made)
    scale = min(made.width() / _WIDTH, made.height() / _HEIGHT)
    painter.scale(scale, scale)
    _draw(painter, sheet)
    painter.end()
    return bytes(store.data().data())


def _draw(painter: QPainter, sheet: SpeedSheet) -> None:
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    _heading(painter, sheet)
    table_top = _HEIGHT - 44 - _ROW * (len(sheet.rows) + 1)
    _chart(painter, sheet, QRectF(_LEFT, _TOP, _WIDTH - _LEFT - _RIGHT, table_top - 62 - _TOP))
    _table(painter, sheet, table_top)
    _text(painter, QRectF(24, _HEIGHT - 30, _WIDTH - 48, 18), sheet.caption, SMALL, LIGHT.quiet)


def _heading(painter: QPainter, sheet: SpeedSheet) -> None:
    _text(painter, QRectF(24, 14, 620, 26), sheet.title, TITLE, LIGHT.text, bold=True)
    for y, words, dashed in ((46.0, sheet.fitted, True), (68.0, sheet.proposed, False)):
        painter.setPen(_pen(LIGHT.quiet if dashed else LIGHT.accent, 1.6 if dashed else 2.6, dashed))
        painter.drawLine(QPointF(24, y + 10), QPointF(60, y + 10))
        _text(painter, QRectF(70, y, 560, 20), words, BODY, LIGHT.quiet if dashed else LIGHT.text)
    _text(painter, QRectF(70, 90, 560, 20), sheet.change, BODY, LIGHT.text, bold=True)
    word = QRectF(640, 14, _WIDTH - 664, 24)
    _text(painter, word, VERDICT[sheet.verdict], TITLE, LIGHT.level(sheet.verdict), bold=True)
    reasons = QRectF(640, 42, _WIDTH - 664, _TOP - 46)
    _text(painter, reasons, "\n".join(sheet.reasons), SMALL, LIGHT.text, wrap=True)


def _chart(painter: QPainter, sheet: SpeedSheet, box: QRectF) -> None:
    known = [lines for lines in (sheet.on, sheet.lines) if lines is not None]
    x_end = up_to(max(float(k.redline_speed.max()) for k in known) / sheet.unit * 1.03, 20)
    y_end = up_to(max(k.redline for k in known) / RPM * 1.08, 1000)

    def at(speed: float, engine: float) -> QPointF:
        return QPointF(
            box.left() + speed / sheet.unit / x_end * box.width(),
            box.bottom() - engine / RPM / y_end * box.height(),
        )

    for step, end, across in ((round_step(x_end, 12), x_end, True), (round_step(y_end, 10), y_end, False)):
        for value in np.arange(0, end + step / 2, step).tolist():
            here = at(value * sheet.unit, 0) if across else at(0, value * RPM)
            far = QPointF(here.x(), box.top()) if across else QPointF(box.right(), here.y())
            painter.setPen(_pen(LIGHT.line, 0.8))
            painter.drawLine(here, far)
            place = (
                QRectF(here.x() - 30, box.bottom() + 4, 60, 16)
                if across
                else QRectF(here.x() - 62, here.y() - 8, 56, 16)
            )
            align = Qt.AlignmentFlag.AlignHCenter if across else Qt.AlignmentFlag.AlignRight
            _text(painter, place, f"{value:.0f}", SMALL, LIGHT.quiet, align=align)
    middle = Qt.AlignmentFlag.AlignHCenter
    under = QRectF(box.left(), box.bottom() + 22, box.width(), 16)
    _text(painter, under, f"Road speed, {sheet.unit_name}", SMALL, LIGHT.quiet, align=middle)
    painter.save()
    painter.translate(18, box.center().y())
    painter.rotate(-90)
    _text(painter, QRectF(-120, -8, 240, 16), "Engine speed, rpm", SMALL, LIGHT.quiet, align=middle)
    painter.restore()
    if sheet.on is not None:
        _gears(painter, sheet.on, at, fitted=True)
    _gears(painter, sheet.lines, at, fitted=False)
    painter.setPen(_pen(LIGHT.refuse, 1.2, dashed=True))
    painter.drawLine(at(0, sheet.lines.redline), QPointF(box.right(), at(0, sheet.lines.redline).y()))
    left = at(0, sheet.lines.redline)
    _text(painter, QRectF(left.x() + 6, left.y() - 17, 200, 16), "redline", SMALL, LIGHT.refuse)


def _gears(painter: QPainter, lines: SpeedLines, at: Callable[[float, float], QPointF], fitted: bool) -> None:
    count = len(lines.redline_speed)
    for index in range(count):
        low = at(float(lines.idle_speed[index]), lines.idle)
        high = at(float(lines.redline_speed[index]), lines.redline)
        colour = LIGHT.quiet if fitted else LIGHT.gear(index, count)
        painter.setPen(_pen(colour, 0.9 if fitted else 1.4, fitted))
        painter.drawLine(low, high)
        if not fitted:
            place = QRectF(high.x() - 20, high.y() - 22, 40, 18)
            middle = Qt.AlignmentFlag.AlignHCenter
            _text(painter, place, str(index + 1), BODY, colour, bold=True, align=middle)
    painter.setPen(_pen(LIGHT.quiet if fitted else LIGHT.accent, 1.6 if fitted else 2.6, fitted))
    corners = zip(lines.run_speed.tolist(), lines.run_engine.tolist(), strict=True)
    painter.drawPolyline(QPolygonF([at(v, n) for v, n in corners]))


def _table(painter: QPainter, sheet: SpeedSheet, top: float) -> None:
    width = (_WIDTH - 48) / len(sheet.head)
    right = Qt.AlignmentFlag.AlignRight
    for line, row in enumerate((sheet.head, *sheet.rows)):
        for place, words in enumerate(row):
            box = QRectF(24 + place * width, top + line * _ROW, width - 12, _ROW)
            colour = LIGHT.quiet if line == 0 or place in (1, 3, 5) else LIGHT.text
            _text(painter, box, words, SMALL, colour, align=right)
    painter.setPen(_pen(LIGHT.line, 0.8))
    painter.drawLine(QPointF(24, top + _ROW), QPointF(_WIDTH - 24, top + _ROW))


def _text(
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


def _pen(colour: str, width: float, dashed: bool = False) -> QPen:
    pen = QPen(QColor(colour), width)
    pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
    if dashed:
        pen.setDashPattern([5, 4])
    return pen
