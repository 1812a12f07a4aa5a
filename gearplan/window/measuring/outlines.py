"""What the sketches are drawn with: lines of a workshop drawing in millimetres, and parts that many of them show.

A sketch is drawn in its own millimetres, x to the right (forward), y up, and made as large as the place allows. The
width of lines stays the same on the screen.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPen, QPolygonF

from gearplan.window.kit import theme

if TYPE_CHECKING:
    from collections.abc import Iterator

Point = tuple[float, float]

#: Widths of lines in pixels: outlines, thin lines, the dimension that is lit.
OUTLINE, THIN, LIT = 1.4, 1.0, 2.0


class Outlines:
    """Draws one sketch into a rectangle; `lit` names the dimension that stands out: a field, a half of one, a reading.

    A dimension may have several names, parted by spaces.
    """

    def __init__(self, painter: QPainter, room: QRectF, box: tuple[float, float, float, float], lit: str) -> None:
        self._painter, self._lit = painter, lit
        left, low, right, high = box
        self.scale = min(room.width() / (right - left), room.height() / (high - low))
        self._zero = QPointF(
            room.center().x() - self.scale * (left + right) / 2, room.center().y() + self.scale * (low + high) / 2
        )
        self._turn: tuple[Point, float] | None = None
        self._colours = theme.current()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setFont(theme.font(theme.SMALL))

    # Places and looks.

    def at(self, point: Point) -> QPointF:
        """Where a point of the sketch lies on the screen."""
        if self._turn is not None:
            (x, y), turn = self._turn
            dx, dy = point[0] - x, point[1] - y
            point = (x + dx * math.cos(turn) - dy * math.sin(turn), y + dx * math.sin(turn) + dy * math.cos(turn))
        return QPointF(self._zero.x() + self.scale * point[0], self._zero.y() - self.scale * point[1])

    @contextmanager
    def turned(self, about: Point, degrees: float) -> Iterator[None]:
        """Draw what follows turned to the left about a point."""
        self._turn = (about, math.radians(degrees))
        yield
        self._turn = None

    def shows(self, *names: str) -> bool:
        """Whether dimensions belong to what is asked: one of their fields is lit, or nothing is."""
        return not self._lit or any(self._lit == name or self._lit.startswith(f"{name}.") for name in names)

    def is_lit(self, names: str) -> bool:
        """Whether a dimension stands out: one of its names, parted by spaces, is lit."""
        return any(
            self._lit == name or (bool(self._lit) and name.startswith(f"{self._lit}.")) for name in names.split()
        )

    def _style(self, colour: str, width: float, *, dashed: bool = False, dotted: bool = False) -> QPen:
        pen = QPen(QColor(colour), width)
        pen.setCapStyle(Qt.PenCapStyle.RoundCap)
        pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
        if dashed or dotted:
            pen.setCapStyle(Qt.PenCapStyle.FlatCap)
            pen.setDashPattern([6, 3] if dashed else [10, 3, 2, 3])
        return pen

    @contextmanager
    def _with(self, pen: QPen | Qt.PenStyle, fill: str = "") -> Iterator[QPainter]:
        self._painter.setPen(pen)
        self._painter.setBrush(QColor(fill) if fill else Qt.BrushStyle.NoBrush)
        yield self._painter

    def _fill(self, fill: str) -> str:
        return {"": "", "body": self._colours.raised, "paper": self._colours.surface}[fill]

    # The thing itself.

    def line(self, *points: Point, width: float = OUTLINE, dashed: bool = False, quiet: bool = False) -> None:
        """A line through points."""
        colour = self._colours.quiet if quiet else self._colours.text
        with self._with(self._style(colour, width, dashed=dashed)) as painter:
            painter.drawPolyline(QPolygonF([self.at(point) for point in points]))

    def centre_line(self, start: Point, end: Point) -> None:
        """A line of dots and dashes, for an axis or a level."""
        with self._with(self._style(self._colours.quiet, THIN, dotted=True)) as painter:
            painter.drawLine(self.at(start), self.at(end))

    def circle(
        self, centre: Point, radius: float, *, fill: str = "", width: float = OUTLINE, quiet: bool = False
    ) -> None:
        """A circle; `fill` is "body", "paper" or empty."""
        colour = self._colours.quiet if quiet else self._colours.text
        with self._with(self._style(colour, width), self._fill(fill)) as painter:
            painter.drawEllipse(self.at(centre), radius * self.scale, radius * self.scale)

    def shape(
        self, points: Sequence[Point], *, fill: str = "body", round_by: float = 0.0, width: float = OUTLINE
    ) -> None:
        """A closed outline; its corners may be rounded by so many millimetres."""
        with self._with(self._style(self._colours.text, width), self._fill(fill)) as painter:
            painter.drawPath(self._rounded([self.at(point) for point in points], round_by * self.scale))

    def curve(self, start: Point, *bends: tuple[Point, Point, Point], fill: str = "", quiet: bool = False) -> None:
        """A line of Bézier bends, each two handles and an end; closed if it is filled."""
        path = QPainterPath(self.at(start))
        for one, other, end in bends:
            path.cubicTo(self.at(one), self.at(other), self.at(end))
        if fill:
            path.closeSubpath()
        colour = self._colours.quiet if quiet else self._colours.text
        with self._with(self._style(colour, OUTLINE), self._fill(fill)) as painter:
            painter.drawPath(path)

    def limbs(self, *lines: tuple[float, Sequence[Point]], quiet: bool = False) -> None:
        """Lines as thick as limbs (thickness in mm), outlined as one body."""
        edge = self._colours.quiet if quiet else self._colours.text
        for grow, colour in ((OUTLINE, edge), (-OUTLINE, self._colours.surface)):
            for thick, points in lines:
                with self._with(self._style(colour, thick * self.scale + grow)) as painter:
                    painter.drawPolyline(QPolygonF([self.at(point) for point in points]))

    def dashed_circle(self, centre: Point, radius: float) -> None:
        """A circle of dashes: a pitch circle, or where a part was."""
        with self._with(self._style(self._colours.quiet, THIN, dashed=True)) as painter:
            painter.drawEllipse(self.at(centre), radius * self.scale, radius * self.scale)

    def bolt(self, centre: Point, radius: float = 6.0) -> None:
        """A shaft seen from its end: a small disc with its centre marked."""
        at, r = self.at(centre), max(radius * self.scale, 3.5)
        with self._with(self._style(self._colours.text, OUTLINE), self._colours.surface) as painter:
            painter.drawEllipse(at, r, r)
        with self._with(Qt.PenStyle.NoPen, self._colours.text) as painter:
            painter.drawEllipse(at, 1.4, 1.4)

    def mass(self, centre: Point) -> None:
        """The mark of a centre of mass: a disc in four quarters, two of them dark."""
        at, r = self.at(centre), 9.0
        box = QRectF(at.x() - r, at.y() - r, 2 * r, 2 * r)
        with self._with(self._style(self._colours.text, OUTLINE), self._colours.surface) as painter:
            painter.drawEllipse(at, r, r)
            painter.setBrush(QColor(self._colours.text))
            for start in (0, 180):
                painter.drawPie(box, 16 * start, 16 * 90)

    def hexagon(self, centre: Point, radius: float) -> None:
        """A nut or a bolt's head."""
        corners = [math.radians(60 * k) for k in range(6)]
        x, y = centre
        self.shape([(x + radius * math.cos(turn), y + radius * math.sin(turn)) for turn in corners], fill="paper")

    def plate(self, one: Point, other: Point, radius: float) -> None:
        """An outer side plate of a chain between two pins that lie level: two eyes and a waist."""
        (x0, y), (x1, _) = one, other
        reach, waist = (x1 - x0) / 2, radius * 0.72
        middle = (x0 + x1) / 2
        bulge = radius * 1.3
        self.curve(
            (x0, y + radius),
            ((x0 + reach / 2, y + radius), (middle - reach / 3, y + waist), (middle, y + waist)),
            ((middle + reach / 3, y + waist), (x1 - reach / 2, y + radius), (x1, y + radius)),
            ((x1 + bulge, y + radius), (x1 + bulge, y - radius), (x1, y - radius)),
            ((x1 - reach / 2, y - radius), (middle + reach / 3, y - waist), (middle, y - waist)),
            ((middle - reach / 3, y - waist), (x0 + reach / 2, y - radius), (x0, y - radius)),
            ((x0 - bulge, y - radius), (x0 - bulge, y + radius), (x0, y + radius)),
            fill="body",
        )

    def ruler(self, start: Point, end: Point, wide: float) -> None:
        """A ruler's edge from point to point, its blade to the right of the way, `wide` mm."""
        one, other = self.at(start), self.at(end)
        length = math.hypot(other.x() - one.x(), other.y() - one.y())
        unit = (other - one) / length
        aside = QPointF(-unit.y(), unit.x()) * wide * self.scale
        with self._with(self._style(self._colours.quiet, THIN), self._colours.surface) as painter:
            painter.drawPolygon(QPolygonF([one, other, other + aside, one + aside]))
            count = int(length // 6)
            for tick in range(1, count):
                foot = one + unit * (length * tick / count)
                painter.drawLine(foot, foot + aside * (0.5 if tick % 5 == 0 else 0.3))

    def dots(self, start: Point, end: Point) -> None:
        """The drawing leaves out what lies between two points."""
        with self._with(Qt.PenStyle.NoPen, self._colours.text) as painter:
            for share in (0.2, 0.5, 0.8):
                painter.drawEllipse(self.at(start) + (self.at(end) - self.at(start)) * share, 1.8, 1.8)

    def paper_break(self, x: float, low: float, high: float) -> None:
        """Takes away an edge and draws the wavy line of a broken-off part instead."""
        one, other = self.at((x, low)), self.at((x, high))
        with self._with(Qt.PenStyle.NoPen, self._colours.surface) as painter:
            painter.drawRect(QRectF(one.x() - 4, other.y(), 8, one.y() - other.y()))
        third = (other.y() - one.y()) / 3
        path = QPainterPath(one + QPointF(-4, 0))
        path.cubicTo(one + QPointF(-10, third), one + QPointF(4, 2 * third), other + QPointF(-4, 0))
        with self._with(self._style(self._colours.quiet, THIN)) as painter:
            painter.drawPath(path)

    def floor(self, left: float, right: float, height: float = 0.0) -> None:
        """The floor, with the strokes of a cut below it."""
        one, other = self.at((left, height)), self.at((right, height))
        with self._with(self._style(self._colours.text, OUTLINE)) as painter:
            painter.drawLine(one, other)
        with self._with(self._style(self._colours.quiet, THIN)) as painter:
            x = one.x() + 8
            while x < other.x():
                painter.drawLine(QPointF(x, one.y() + 1), QPointF(x - 6, one.y() + 6))
                x += 12

    @staticmethod
    def _rounded(points: list[QPointF], radius: float) -> QPainterPath:
        """A closed path through points whose corners are rounded."""
        path = QPainterPath()
        count = len(points)
        for index, corner in enumerate(points):
            before, after = points[index - 1], points[(index + 1) % count]
            enter, leave = (_towards(corner, other, radius) for other in (before, after))
            if index == 0:
                path.moveTo(enter)
            else:
                path.lineTo(enter)
            path.quadTo(corner, leave)
        path.closeSubpath()
        return path


def _towards(start: QPointF, end: QPointF, by: float) -> QPointF:
    """From a point towards another by a length, at most half of the way."""
    way = end - start
    length = math.hypot(way.x(), way.y()) or 1.0
    return start + way * (min(by, length / 2) / length)
