"""The speed chart for files and paper. Draws with Qt."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPolygonF

from gearplan.bike.text.units import RPM
from gearplan.language import tr
from gearplan.plan.set.compare import SpeedLines
from gearplan.sheet.appearance import BODY, LIGHT, SMALL, TITLE
from gearplan.sheet.axes import up_to
from gearplan.sheet.content import SpeedSheet
from gearplan.sheet.drawing import grid, line_height, pen, text, wrapped

_LEFT, _RIGHT, _TOP = 76.0, 24.0, 120.0
_ROW = 19.0


def draw(painter: QPainter, sheet: SpeedSheet, size: QRectF) -> None:
    """Draw the whole sheet into a box of drawing units."""
    top = _heading(painter, sheet, size.width())
    table_top = size.height() - 44 - _ROW * (len(sheet.rows) + 1)
    _chart(painter, sheet, QRectF(_LEFT, top, size.width() - _LEFT - _RIGHT, table_top - 62 - top))
    _table(painter, sheet, table_top, size.width())
    text(painter, QRectF(24, size.height() - 30, size.width() - 48, 18), sheet.caption, SMALL, LIGHT.quiet)


def _heading(painter: QPainter, sheet: SpeedSheet, width: float) -> float:
    """Write the head, every caution whole, and return where the chart begins."""
    text(painter, QRectF(24, 14, 620, 26), sheet.title, TITLE, LIGHT.text, bold=True)
    for y, words, dashed in ((46.0, sheet.fitted, True), (68.0, sheet.proposed, False)):
        painter.setPen(pen(LIGHT.quiet if dashed else LIGHT.accent, 1.6 if dashed else 2.6, dashed))
        painter.drawLine(QPointF(24, y + 10), QPointF(60, y + 10))
        text(painter, QRectF(70, y, 560, 20), words, BODY, LIGHT.quiet if dashed else LIGHT.text)
    text(painter, QRectF(70, 90, 560, 20), sheet.change, BODY, LIGHT.text, bold=True)
    word = QRectF(640, 14, width - 664, 24)
    said, wide, high = sheet.verdict, width - 664, line_height(SMALL)
    text(painter, word, said.head, TITLE, LIGHT.level(said.level), bold=True)
    told = [line for words in said.told for line in wrapped(words, SMALL, wide)]
    told += wrapped(f"{said.passed_head}.", SMALL, wide) if said.passed else ()
    for place, line in enumerate(told):
        text(painter, QRectF(640, 42 + place * high, wide + 20, high), line, SMALL, LIGHT.text)
    return max(_TOP, 42 + len(told) * high + 24)


def _chart(painter: QPainter, sheet: SpeedSheet, box: QRectF) -> None:
    known = [lines for lines in (sheet.on, sheet.lines) if lines is not None]
    x_end = up_to(max(float(k.redline_speed.max()) for k in known) / sheet.unit * 1.03, 20)
    y_end = up_to(max(k.redline for k in known) / RPM * 1.08, 1000)

    def at(speed: float, engine: float) -> QPointF:
        return QPointF(
            box.left() + speed / sheet.unit / x_end * box.width(),
            box.bottom() - engine / RPM / y_end * box.height(),
        )

    grid(painter, box, (x_end, y_end), (12, 10))
    middle = Qt.AlignmentFlag.AlignHCenter
    under = QRectF(box.left(), box.bottom() + 22, box.width(), 16)
    text(painter, under, tr("Road speed, {unit_name}", unit_name=sheet.unit_name), SMALL, LIGHT.quiet, align=middle)
    painter.save()
    painter.translate(18, box.center().y())
    painter.rotate(-90)
    text(painter, QRectF(-120, -8, 240, 16), tr("Engine speed, rpm"), SMALL, LIGHT.quiet, align=middle)
    painter.restore()
    if sheet.on is not None:
        _gears(painter, sheet.on, at, fitted=True)
    _gears(painter, sheet.lines, at, fitted=False)
    painter.setPen(pen(LIGHT.refuse, 1.2, dashed=True))
    painter.drawLine(at(0, sheet.lines.redline), QPointF(box.right(), at(0, sheet.lines.redline).y()))
    left = at(0, sheet.lines.redline)
    text(painter, QRectF(left.x() + 6, left.y() - 17, 200, 16), tr("redline"), SMALL, LIGHT.refuse)


def _gears(painter: QPainter, lines: SpeedLines, at: Callable[[float, float], QPointF], fitted: bool) -> None:
    """The run through the gears with their numbers, and the whole line of top gear."""
    colour = LIGHT.quiet if fitted else LIGHT.accent
    ends = lines.redline_speed.tolist() if not fitted else ()
    for number, speed in enumerate(ends, 1):
        end = at(speed, lines.redline)
        middle = Qt.AlignmentFlag.AlignHCenter
        place = QRectF(end.x() - 20, end.y() - 22, 40, 18)
        text(painter, place, str(number), BODY, LIGHT.text, bold=True, align=middle)
    painter.setPen(pen(colour, 1.0, fitted))
    points = zip(lines.gear_speed[-1].tolist(), lines.gear_engine.tolist(), strict=True)
    painter.drawPolyline(QPolygonF([at(speed, engine) for speed, engine in points]))
    painter.setPen(pen(colour, 1.6 if fitted else 2.6, fitted))
    corners = zip(lines.run_speed.tolist(), lines.run_engine.tolist(), strict=True)
    painter.drawPolyline(QPolygonF([at(v, n) for v, n in corners]))


def _table(painter: QPainter, sheet: SpeedSheet, top: float, whole: float) -> None:
    width = (whole - 48) / len(sheet.head)
    right = Qt.AlignmentFlag.AlignRight
    for line, row in enumerate((sheet.head, *sheet.rows)):
        for place, words in enumerate(row):
            box = QRectF(24 + place * width, top + line * _ROW, width - 12, _ROW)
            colour = LIGHT.quiet if line == 0 or place in (1, 3, 5) else LIGHT.text
            text(painter, box, words, SMALL, colour, align=right)
    painter.setPen(pen(LIGHT.line, 0.8))
    painter.drawLine(QPointF(24, top + _ROW), QPointF(whole - 24, top + _ROW))
