"""What the customer's page is built of, for paper and window alike. Draws with Qt.

Each part says how high it is in a size of type and a width, and paints itself in no smaller type than that.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Protocol

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter

from gearplan.language import tr
from gearplan.plan.customer.page import Picture
from gearplan.plan.customer.words import Sentence
from gearplan.plan.driveset import DriveSet
from gearplan.plan.findings import Level
from gearplan.plan.words import teeth
from gearplan.sheet.appearance import Theme
from gearplan.sheet.customer.pictures import paint_bar, paint_picture, picture_height, picture_width
from gearplan.sheet.customer.rows import Row
from gearplan.sheet.drawing import line_height, pen, text
from gearplan.sheet.flow import lines, metrics, paragraph
from gearplan.sheet.signs import paint_level

#: In sizes of the type: between columns, beside a sign, around words on a band, and a bar below a row's figure.
_BETWEEN, _SIGN, _AROUND, _ROW_BAR = 1.0, 1.3, 0.4, 0.3
#: What stands beside a figure takes so many lines at most, and a picture is so high at most.
_MOST_LINES, _PICTURE, _ABOVE_PICTURE = 3, 8.0, 0.4

TOO_WIDE = math.inf


class Part(Protocol):
    """One part of the page."""

    def height(self, size: int, width: float) -> float:
        """How high it is at least; `TOO_WIDE` where the width does not hold it."""

    def most(self, size: int, width: float) -> float:
        """How high it is where there is room."""

    def paint(self, painter: QPainter, box: QRectF, size: int, theme: Theme) -> None:
        """Draw it into a box at least so high."""


@dataclass(frozen=True)
class Names:
    """Which sets are compared, each with its sample of line, and the motorcycle's name where `bike` is given."""

    bike: str
    on: DriveSet
    then: DriveSet

    def height(self, size: int, width: float) -> float:
        """One line."""
        return 1.3 * line_height(size) if self._wide(size) <= width else TOO_WIDE

    most = height

    def paint(self, painter: QPainter, box: QRectF, size: int, theme: Theme) -> None:
        """The sets at the right where the bike is named, else at the left."""
        high = line_height(size)
        if self.bike:
            text(painter, QRectF(box.left(), box.top(), box.width(), high), self.bike, size, theme.text, bold=True)
        x = box.right() - self._sets_wide(size) if self.bike else box.left()
        for words, proposed in self._sets():
            y = box.top() + high / 2
            colour, thick = (theme.accent, 0.14 * size) if proposed else (theme.quiet, 0.08 * size)
            painter.setPen(pen(colour, thick, not proposed))
            painter.drawLine(QPointF(x, y), QPointF(x + 1.4 * size, y))
            x += 1.8 * size
            wide = metrics(size, proposed).horizontalAdvance(words)
            ink = theme.text if proposed else theme.quiet
            text(painter, QRectF(x, box.top(), wide + size, high), words, size, ink, bold=proposed)
            x += wide + size

    def _sets(self) -> tuple[tuple[str, bool], ...]:
        if self.on == self.then:
            return ((tr("now {teeth}", teeth=teeth(self.on)), False),)
        return (tr("now {teeth}", teeth=teeth(self.on)), False), (
            tr("then {differing}", differing=_differing(self.on, self.then)),
            True,
        )

    def _sets_wide(self, size: int) -> float:
        sets = self._sets()
        words = sum(metrics(size, bold).horizontalAdvance(one) + 1.8 * size for one, bold in sets)
        return words + (len(sets) - 1) * size

    def _wide(self, size: int) -> float:
        bike = metrics(size, True).horizontalAdvance(self.bike) + 1.5 * size if self.bike else 0.0
        return bike + self._sets_wide(size)


def _differing(on: DriveSet, then: DriveSet) -> str:
    """The proposed set's teeth, and what else of it differs."""
    told = [teeth(then)]
    if then.chain != on.chain and then.chain:
        told.append(tr("{chain} chain", chain=then.chain))
    if then.links != on.links and then.links is not None:
        told.append(tr("{links} links", links=then.links))
    if then.tyre is not None:
        told.append(then.tyre)
    return ", ".join(told)


@dataclass(frozen=True)
class Signed:
    """Words beside a verdict's sign; on a `band` they stand on a ground of their own."""

    level: Level
    words: str
    bold: bool = False
    band: bool = False

    def height(self, size: int, width: float) -> float:
        """Lines in the width beside the sign."""
        around = 2 * _AROUND * size if self.band else 0.0
        room = width - (_SIGN + 0.3) * size - around
        if not _words_fit(self.words, size, room, self.bold):
            return TOO_WIDE
        return len(lines(self.words, size, room, self.bold)) * line_height(size) + around

    most = height

    def paint(self, painter: QPainter, box: QRectF, size: int, theme: Theme) -> None:
        """The sign at the first line."""
        inside, high = box, line_height(size)
        if self.band:
            painter.fillRect(box, QColor(theme.raised))
            painter.fillRect(QRectF(box.left(), box.top(), 0.2 * size, box.height()), QColor(theme.level(self.level)))
            inside = box.adjusted(_AROUND * size, _AROUND * size, -_AROUND * size, -_AROUND * size)
        sign = QRectF(inside.left() + 0.1 * size, inside.top() + (high - 0.9 * size) / 2, 0.9 * size, 0.9 * size)
        paint_level(painter, self.level, sign, theme)
        beside = inside.adjusted((_SIGN + 0.1) * size, 0, 0, 0)
        colour = theme.refuse if self.level == "does not fit" and self.bold else theme.text
        beside.setWidth(inside.width() - (_SIGN + 0.3) * size)
        paragraph(painter, beside, self.words, size, colour, bold=self.bold)


@dataclass(frozen=True)
class Heads:
    """Figures side by side, each with what belongs to it and its picture below; in grey where the set does not fit.

    A figure is `factor` times as large as the other type.
    """

    heads: tuple[tuple[Sentence, Picture | None], ...]
    factor: float
    pictures: bool = True
    grey: bool = False

    def height(self, size: int, width: float) -> float:
        """The figures, the most lines beside one, and the pictures where there is one."""
        column, large = self._column(size, width), self._large(size)
        for head, picture in self.heads:
            if metrics(large, True).horizontalAdvance(head.short) > column:
                return TOO_WIDE
            if self.pictures and picture is not None and picture_width(picture, size) > column:
                return TOO_WIDE
            if not _words_fit(head.beside, size, column) or len(lines(head.beside, size, column)) > _MOST_LINES:
                return TOO_WIDE
        pictures = _ABOVE_PICTURE * size + picture_height(size) if self._pictured else 0.0
        return self._words_high(size, width) + pictures

    def most(self, size: int, width: float) -> float:
        """The pictures are as high as they are wide enough for."""
        pictures = min(_PICTURE * size, 0.8 * self._column(size, width))
        if not self._pictured or pictures < picture_height(size):
            return self.height(size, width)
        return self._words_high(size, width) + _ABOVE_PICTURE * size + pictures

    def paint(self, painter: QPainter, box: QRectF, size: int, theme: Theme) -> None:
        """One head after the other."""
        column, large = self._column(size, box.width()), self._large(size)
        above = self._words_high(size, box.width()) + _ABOVE_PICTURE * size
        ink = theme.quiet if self.grey else theme.text
        for place, (head, picture) in enumerate(self.heads):
            x = box.left() + place * (column + _BETWEEN * size)
            text(painter, QRectF(x, box.top(), column + 8, line_height(large)), head.short, large, ink, bold=True)
            paragraph(painter, QRectF(x, box.top() + line_height(large), column, 0), head.beside, size, theme.quiet)
            if self.pictures and picture is not None:
                here = QRectF(x, box.top() + above, column, box.height() - above)
                paint_picture(painter, picture, theme, here, size)

    @property
    def _pictured(self) -> bool:
        return self.pictures and any(picture is not None for _, picture in self.heads)

    def _large(self, size: int) -> int:
        return round(self.factor * size)

    def _column(self, size: int, width: float) -> float:
        count = max(len(self.heads), 1)
        return (width - (count - 1) * _BETWEEN * size) / count

    def _words_high(self, size: int, width: float) -> float:
        column = self._column(size, width)
        most = max((len(lines(head.beside, size, column)) for head, _ in self.heads), default=0)
        return line_height(self._large(size)) + most * line_height(size) if self.heads else 0.0


@dataclass(frozen=True)
class Rows:
    """Sets one below the other under the same heads, what is fitted on top; `about` names the columns in order."""

    rows: tuple[Row, ...]
    about: tuple[str, ...]
    bars: bool = True
    priced: bool = True

    def height(self, size: int, width: float) -> float:
        """A line for the heads, and each set's."""
        names, column = self._columns(size, width)
        for words, _, bold in self._names():
            if metrics(size, bold).horizontalAdvance(words) + _SIGN * size > names:
                return TOO_WIDE
        for about in self.about:
            told = [_HEADS[about], *(words for words, _ in self._cells(about))]
            if max(metrics(size, True).horizontalAdvance(words) for words in told) > column:
                return TOO_WIDE
        return (len(self.rows) + 1) * self._row(size) + line_height(size)

    def most(self, size: int, _width: float) -> float:
        """A little air between the rows."""
        return (len(self.rows) + 1) * (self._row(size) + 0.6 * size) + line_height(size)

    def paint(self, painter: QPainter, box: QRectF, size: int, theme: Theme) -> None:
        """Heads, names, and each figure with its bar on a scale that all sets share."""
        names, column = self._columns(size, box.width())
        high = line_height(size)
        row = (box.height() - high) / (len(self.rows) + 1)
        for place, (words, level, bold) in enumerate(self._names()):
            y = box.top() + high + place * row
            painter.setPen(pen(theme.line, 1.0))
            painter.drawLine(QPointF(box.left(), y), QPointF(box.right(), y))
            if level is not None:
                sign = QRectF(box.left(), y + (high - 0.8 * size) / 2, 0.8 * size, 0.8 * size)
                paint_level(painter, level, sign, theme)
            here = QRectF(box.left() + _SIGN * size, y, names, high)
            text(painter, here, words, size, theme.text if bold else theme.quiet, bold=bold)
        if self._prices_wide(size):
            text(painter, QRectF(box.left(), box.top(), box.width(), high), _PRICE, size, theme.quiet, align=_RIGHT)
            for down, one in enumerate(self.rows, 1):
                here = QRectF(box.left(), box.top() + high + down * row, box.width(), high)
                text(painter, here, one.price, size, theme.text, bold=one.proposed, align=_RIGHT)
        for place, about in enumerate(self.about):
            x = box.left() + names + place * (column + _BETWEEN * size)
            text(painter, QRectF(x, box.top(), column, high), _HEADS[about], size, theme.quiet)
            cells = self._cells(about)
            end = 1.1 * max((value for _, value in cells), default=0.0)
            for down, ((words, value), (_, level, bold)) in enumerate(zip(cells, self._names(), strict=True)):
                y = box.top() + high + down * row
                ink = theme.quiet if down == 0 or level == "does not fit" else theme.text
                text(painter, QRectF(x, y, column, high), words, size, ink, bold=bold)
                if self.bars and end > 0 and value > 0:
                    bar = QRectF(x, y + high, column, _ROW_BAR * size)
                    paint_bar(painter, value / end, theme, bar, down > 0)

    def _names(self) -> list[tuple[str, Level | None, bool]]:
        """Each row's name, its verdict's sign, and whether it is the one proposed."""
        now = self.rows[0].content.fitted
        found: list[tuple[str, Level | None, bool]] = [(tr("now {teeth}", teeth=teeth(now)), None, False)]
        return found + [(one.title, one.content.level, one.proposed) for one in self.rows]

    def _cells(self, about: str) -> list[tuple[str, float]]:
        """What stands under a head, from the fitted set on."""
        pictures = [next(p for p in one.content.pictures if p.kind == about) for one in self.rows]
        first = pictures[0]
        return [(first.before_words, first.before or 0.0), *((p.after_words, p.after or 0.0) for p in pictures)]

    def _columns(self, size: int, width: float) -> tuple[float, float]:
        """The width of the names, and of each column after them."""
        wide = max(metrics(size, True).horizontalAdvance(words) for words, _, _ in self._names())
        names = wide + (_SIGN + _BETWEEN) * size
        room = width - names - self._prices_wide(size)
        return names, (room - (len(self.about) - 1) * _BETWEEN * size) / max(len(self.about), 1)

    def _prices_wide(self, size: int) -> float:
        """The width of the prices with the gap before them, none where none is told."""
        told = [one.price for one in self.rows if one.price] if self.priced else []
        if not told:
            return 0.0
        return max(metrics(size, True).horizontalAdvance(words) for words in (_PRICE, *told)) + _BETWEEN * size

    def _row(self, size: int) -> float:
        return line_height(size) + ((_ROW_BAR + 0.3) * size if self.bars else 0.2 * size)


_PRICE = tr("Price")
_RIGHT = Qt.AlignmentFlag.AlignRight
_HEADS = {"pull": tr("Pull"), "engine": tr("Engine"), "top speed": tr("Top speed")}


def _words_fit(words: str, size: int, width: float, bold: bool = False) -> bool:
    """Whether each word has room in a line of its own."""
    return all(metrics(size, bold).horizontalAdvance(word) <= width for word in words.split(" "))
