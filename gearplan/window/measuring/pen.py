"""The pen of the sketches: what is measured, with arrows and words, on top of the outlines.

Text and arrows stay the same on the screen however large the sketch is.
"""

from __future__ import annotations

import math

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPolygonF, QTransform

from gearplan.window.kit import theme
from gearplan.window.measuring.outlines import LIT, OUTLINE, THIN, Outlines, Point

#: Pixels: length and half width of an arrow's head, how far an extension line goes on, room around a text.
_HEAD, _WING, _BEYOND, _ROOM = 9.0, 3.0, 5.0, 3.0


class Pen(Outlines):
    """Draws one sketch with its dimensions; `texts` are the texts that were drawn and where, in pixels."""

    def __init__(self, painter: QPainter, room: QRectF, box: tuple[float, float, float, float], lit: str) -> None:
        super().__init__(painter, room, box, lit)
        self.texts: list[tuple[str, QRectF]] = []

    def dimension(
        self,
        name: str,
        start: Point,
        end: Point,
        text: str = "",
        *,
        off: float = 0.0,
        beside: Point | None = None,
        from_floor: bool = False,
    ) -> None:
        """A dimension from point to point, its line moved to the left of its way by `off` pixels.

        The text breaks the line and lies along it unless that is upright; with `beside` it stands next to the line's
        middle, moved by so many pixels (right, down), with its nearer edge there. One that starts `from_floor` needs no
        extension line there.
        """
        lit = self.is_lit(name)
        colour = self._colours.accent if lit else self._colours.quiet
        one, other = self.at(start), self.at(end)
        along = other - one
        length = math.hypot(along.x(), along.y()) or 1.0
        unit = QPointF(along.x() / length, along.y() / length)
        aside = QPointF(unit.y() * off, -unit.x() * off)
        if off:
            reach = math.copysign(abs(off) + _BEYOND, off)
            away = QPointF(unit.y(), -unit.x())
            with self._with(self._style(colour, THIN)) as painter:
                for point in (other,) if from_floor else (one, other):
                    painter.drawLine(point + away * math.copysign(3.0, off), point + away * reach)
        one, other = one + aside, other + aside
        outside = length < 2.6 * _HEAD
        with self._with(self._style(colour, LIT if lit else THIN)) as painter:
            painter.drawLine(one - unit * (2 * _HEAD if outside else 0), other + unit * (2 * _HEAD if outside else 0))
        for tip, way in ((one, -1.0 if outside else 1.0), (other, 1.0 if outside else -1.0)):
            self._head(tip, unit * way, colour)
        if text:
            middle = (one + other) / 2
            slope = math.degrees(math.atan2(-along.y(), along.x()))
            slope -= 180 * round(slope / 180)
            if beside is not None:
                self._words(text, middle + QPointF(*beside), colour, beside, bold=lit)
            else:
                self._words(text, middle, colour, None, bold=lit, turned=slope if abs(slope) < 45 else 0.0)

    def angle(self, name: str, centre: Point, radius: float, start: float, end: float, text: str = "") -> None:
        """An angle about a centre between two directions in degrees, from the right over the top; radius in mm."""
        lit = self.is_lit(name)
        colour = self._colours.accent if lit else self._colours.quiet
        at, r = self.at(centre), radius * self.scale
        self._curved(at, r, start, end, colour, LIT if lit else THIN)
        sense = math.copysign(1.0, end - start)
        self._arc_head(at, r, start, sense, colour)
        self._arc_head(at, r, end, -sense, colour)
        if text:
            turn = math.radians((start + end) / 2)
            away = (math.cos(turn) * 8, -math.sin(turn) * 8)
            middle = QPointF(at.x() + r * math.cos(turn), at.y() - r * math.sin(turn))
            self._words(text, middle + QPointF(*away), colour, away, bold=lit)

    def arc(self, name: str, centre: Point, radius: float, start: float, end: float) -> None:
        """An arc without arrows; degrees from the right over the top."""
        colour = self._colours.accent if self.is_lit(name) else self._colours.quiet
        self._curved(self.at(centre), radius * self.scale, start, end, colour, OUTLINE)

    def turning(self, name: str, centre: Point, radius: float, start: float, end: float, text: str) -> None:
        """Something turns about a centre: an arc with one arrow, the text beyond it."""
        lit = self.is_lit(name)
        colour = self._colours.accent if lit else self._colours.quiet
        at, r = self.at(centre), radius * self.scale
        self._curved(at, r, start, end, colour, LIT if lit else THIN)
        self._arc_head(at, r, end, math.copysign(1.0, start - end), colour)
        turn = math.radians((start + end) / 2)
        away = (math.cos(turn), -math.sin(turn))
        top = QPointF(at.x() + (r + 4) * away[0], at.y() + (r + 4) * away[1])
        self._words(text, top, colour, away, bold=lit)

    def reading(self, name: str, place: Point, text: str) -> None:
        """What an instrument shows: an arrow down from a place, and the text below it."""
        lit = self.is_lit(name)
        colour = self._colours.accent if lit else self._colours.quiet
        tip = self.at(place) + QPointF(0, 24)
        with self._with(self._style(colour, LIT if lit else THIN)) as painter:
            painter.drawLine(tip - QPointF(0, 22), tip - QPointF(0, _HEAD))
        self._head(tip, QPointF(0, -1), colour)
        self._words(text, tip + QPointF(0, 2), colour, (0, 1), bold=lit)

    def mark(self, name: str, *points: Point) -> None:
        """A line that belongs to a dimension, such as a plumb line or a chalk mark."""
        colour = self._colours.accent if self.is_lit(name) else self._colours.quiet
        with self._with(self._style(colour, OUTLINE)) as painter:
            painter.drawPolyline(QPolygonF([self.at(point) for point in points]))

    def radius(self, name: str, centre: Point, radius: float, degrees: float, text: str) -> None:
        """A radius: an arrow from the centre to the rim, and the text where its line goes on."""
        lit = self.is_lit(name)
        colour = self._colours.accent if lit else self._colours.quiet
        turn = math.radians(degrees)
        unit = QPointF(math.cos(turn), -math.sin(turn))
        at = self.at(centre)
        tip = at + unit * radius * self.scale
        with self._with(self._style(colour, LIT if lit else THIN)) as painter:
            painter.drawLine(at, tip)
        with self._with(self._style(colour, THIN)) as painter:
            painter.drawLine(tip, tip + unit * 26)
        self._head(tip, -unit, colour)
        self._words(text, tip + unit * 28, colour, (unit.x(), unit.y()), bold=lit)

    def patch(self, name: str, *corners: Point) -> None:
        """A gap that is measured, shaded while it is lit."""
        if self.is_lit(name):
            with self._with(Qt.PenStyle.NoPen, self._colours.selected) as painter:
                painter.drawPolygon(QPolygonF([self.at(corner) for corner in corners]))

    def ring(self, name: str, centre: Point, radius: float) -> None:
        """A ring around what is to be read or counted."""
        lit = self.is_lit(name)
        colour = self._colours.accent if lit else self._colours.quiet
        with self._with(self._style(colour, LIT if lit else THIN)) as painter:
            painter.drawEllipse(self.at(centre), radius * self.scale, radius * self.scale)

    def name(self, text: str, place: Point, by: Point, name: str = "") -> None:
        """Names a part: the text stands `by` pixels (right, down) from its place, with a thin line to it."""
        lit = bool(name) and self.is_lit(name)
        colour = self._colours.accent if lit else self._colours.quiet
        start = self.at(place)
        end = start + QPointF(*by)
        with self._with(self._style(colour, THIN)) as painter:
            painter.drawLine(start, end)
        with self._with(Qt.PenStyle.NoPen, colour) as painter:
            painter.drawEllipse(start, 2.0, 2.0)
        self._words(text, end + QPointF(math.copysign(2, by[0]), 0), colour, by, bold=lit)

    def words(self, text: str, place: Point, *, name: str = "", size: float = 0.0, turned: float = 0.0) -> None:
        """A text about a place, in the colour of a dimension if it has its name; `turned` to the left in degrees.

        With a `size` in millimetres it is one that stands on the part itself.
        """
        lit = bool(name) and self.is_lit(name)
        colour = self._colours.accent if lit else self._colours.text if size else self._colours.quiet
        self._words(text, self.at(place), colour, None, bold=lit, size=size, turned=turned)

    def marking(self, text: str, name: str, centre: Point, radius: float, size: float) -> None:
        """Letters along the top of a circle, as they stand on a tyre; radius and size in mm."""
        lit = self.is_lit(name)
        metrics = QFontMetricsF(self._part_font(size, bold=lit))
        wide = [metrics.horizontalAdvance(letter) * 1.06 for letter in text]
        at = -sum(wide) / 2
        for letter, width in zip(text, wide, strict=True):
            turn = math.pi / 2 - (at + width / 2) / (radius * self.scale)
            place = (centre[0] + radius * math.cos(turn), centre[1] + radius * math.sin(turn))
            self.words(letter, place, name=name, size=size, turned=math.degrees(turn) - 90)
            at += width

    def _part_font(self, size: float, *, bold: bool) -> QFont:
        return theme.exact_font(max(1, round(size * self.scale)), bold=bold)

    def _curved(self, at: QPointF, r: float, start: float, end: float, colour: str, width: float) -> None:
        """The line of an arc about a place on the sketch, from one direction in degrees to another."""
        with self._with(self._style(colour, width)) as painter:
            painter.drawArc(QRectF(at.x() - r, at.y() - r, 2 * r, 2 * r), round(16 * start), round(16 * (end - start)))

    def _arc_head(self, at: QPointF, r: float, degrees: float, sense: float, colour: str) -> None:
        """An arrow's head at an end of an arc, which goes on from there counter-clockwise (1) or clockwise (−1)."""
        turn = math.radians(degrees)
        tip = QPointF(at.x() + r * math.cos(turn), at.y() - r * math.sin(turn))
        # The head follows the arc: turned by half of its own length.
        bent = turn + sense * _HEAD / (2 * r)
        self._head(tip, QPointF(-math.sin(bent), -math.cos(bent)) * sense, colour)

    def _head(self, tip: QPointF, way: QPointF, colour: str) -> None:
        """An arrow's head at its tip; `way` goes from the tip into the line."""
        base = tip + way * _HEAD
        across = QPointF(-way.y(), way.x()) * _WING
        with self._with(Qt.PenStyle.NoPen, colour) as painter:
            painter.drawPolygon(QPolygonF([tip, base + across, base - across]))

    def _words(
        self,
        text: str,
        place: QPointF,
        colour: str,
        side: Point | None,
        *,
        bold: bool,
        size: float = 0.0,
        turned: float = 0.0,
    ) -> None:
        """Text on a patch of paper: about a place, or beyond it on the side to which `side` points."""
        self._painter.setFont(self._part_font(size, bold=bold) if size else theme.font(theme.SMALL, bold=bold))
        metrics = self._painter.fontMetrics()
        wide, high = metrics.horizontalAdvance(text) + 2 * _ROOM, float(metrics.height())
        box = QRectF(-wide / 2, -high / 2, wide, high)
        if side is not None:
            if abs(side[0]) >= abs(side[1]):
                box.moveLeft(0 if side[0] > 0 else -wide)
            else:
                box.moveTop(0 if side[1] > 0 else -high)
        self._painter.save()
        here = QTransform().translate(place.x(), place.y()).rotate(-turned)
        self._painter.setTransform(here, True)
        if not size:
            self.texts.append((text, here.mapRect(box)))
            self._painter.fillRect(box.adjusted(0, 1, 0, -1), QColor(self._colours.surface))
        self._painter.setPen(QColor(colour))
        self._painter.drawText(box, Qt.AlignmentFlag.AlignCenter, text)
        self._painter.restore()
