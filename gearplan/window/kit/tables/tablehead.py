"""The head of a table of texts: titles over several columns, a scroll bar over them, names that stay in sight."""

from __future__ import annotations

from functools import lru_cache

from PySide6.QtCore import QRect, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QHeaderView, QScrollBar, QTableView

from gearplan.language import tr
from gearplan.window.kit import theme
from gearplan.window.kit.shapes import paint_how

#: First column, last column and the title over them.
Group = tuple[int, int, str]
#: Air beside the words of a head.
_AIR = 14


@lru_cache(maxsize=4096)
def _wide(words: str, bold: bool, _scale: float) -> int:
    return theme.metrics(theme.SMALL, bold=bold).horizontalAdvance(words)


def words_width(words: str, *, bold: bool = False) -> int:
    """The width of words in a table."""
    return _wide(words, bold, theme.scale())


def head_width(words: str) -> int:
    """The width that a head needs."""
    return words_width(words) + _AIR


def _line() -> int:
    return theme.metrics(theme.SMALL).lineSpacing() + 5


class TableHead(QHeaderView):
    """A header with a second line above it for titles that span several columns.

    Over it stands a bar that scrolls the table sideways while it is wider than its room: below a long table a bar
    would be out of sight. Meanwhile the first `staying` columns stay where they are.
    """

    def __init__(
        self, name: str, scrolls: QScrollBar, parent: QTableView, *, lines: int = 1, explains: bool = False
    ) -> None:
        super().__init__(Qt.Orientation.Horizontal, parent)
        #: The numbers below can be asked how they are computed, and the heads carry the mark for it.
        self._explains = explains
        self._groups: tuple[Group, ...] = ()
        self._table, self._scrolls = parent, scrolls
        #: The columns' own names have so many lines.
        self._lines = lines
        self.staying = 0
        self.setDefaultAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignBottom)
        self.bar = QScrollBar(Qt.Orientation.Horizontal, self)
        self.bar.setAccessibleName(tr("Scroll sideways: {name}", name=name))
        self.bar.hide()
        self.bar.valueChanged.connect(scrolls.setValue)
        scrolls.valueChanged.connect(self._follow)
        scrolls.rangeChanged.connect(self._follow)

    @property
    def groups(self) -> tuple[Group, ...]:
        """The titles over the columns."""
        return self._groups

    @property
    def stay_wide(self) -> int:
        """How wide the columns are together that stay in sight."""
        return self.room(0, self.staying - 1)

    def show_groups(self, groups: tuple[Group, ...]) -> None:
        """Take other titles."""
        if groups != self._groups:
            self._groups = groups
            self.viewport().update()

    def scroll_sideways(self, on: bool, staying: int) -> None:
        """Whether the table scrolls sideways, and how many columns stay in sight then."""
        if (on, staying) != (not self.bar.isHidden(), self.staying):
            self.staying = staying
            self.bar.setVisible(on)
            self._place_bar()
            self._table.updateGeometries()
            self._table.viewport().update()

    def _follow(self) -> None:
        self.bar.setRange(self._scrolls.minimum(), self._scrolls.maximum())
        self.bar.setPageStep(self._scrolls.pageStep())
        self.bar.setSingleStep(self._scrolls.singleStep())
        self.bar.setValue(self._scrolls.value())
        self.viewport().update()

    @property
    def _bar_high(self) -> int:
        return 0 if self.bar.isHidden() else self.bar.sizeHint().height()

    def _place_bar(self) -> None:
        self.bar.setGeometry(0, 0, self.width(), self.bar.sizeHint().height())

    def resizeEvent(self, event: QResizeEvent) -> None:
        """The bar is as wide as the head."""
        super().resizeEvent(event)
        self._place_bar()

    def sizeHint(self) -> QSize:
        """Room for the lines and the bar."""
        return QSize(super().sizeHint().width(), (self._lines + bool(self._groups)) * _line() + self._bar_high)

    def _mark(self, painter: QPainter) -> None:
        for column in range(1, self.count()):
            words = str(self.model().headerData(column, Qt.Orientation.Horizontal))
            if self.isSectionHidden(column) or not words:
                continue
            wide = words_width(words)
            right = self.sectionViewportPosition(column) + self.sectionSize(column) - 7
            paint_how(painter, right - wide, right, self.height() - 2)

    def unseen(self) -> list[str]:
        """The titles over the columns that have no room there."""
        return [title for first, last, title in self._groups if 0 < self.room(first, last) < head_width(title)]

    def room(self, first: int, last: int) -> int:
        """The width of columns together."""
        return sum(self.sectionSize(column) for column in range(first, last + 1))

    def paintEvent(self, event: QPaintEvent) -> None:
        """The columns' own names, then the titles over them, then what stays in sight."""
        super().paintEvent(event)
        painter = QPainter(self.viewport())
        painter.setFont(theme.font(theme.SMALL))
        if self._explains:
            self._mark(painter)
        now, top = theme.current(), self._bar_high
        for first, last, title in self._groups:
            if not self.room(first, last):
                continue
            left = self.sectionViewportPosition(first)
            right = self.sectionViewportPosition(last) + self.sectionSize(last)
            box = QRect(left, top, right - left - 6, _line())
            painter.setPen(QColor(now.text))
            painter.drawText(box, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter, title)
            if last > first:
                painter.setPen(QColor(now.line))
                painter.drawLine(left + theme.UNIT, top + _line() - 1, right - 6, top + _line() - 1)
        for column in range(self.staying):
            place = QRect(self.room(0, column - 1), 0, self.sectionSize(column), self.height())
            painter.fillRect(place, QColor(now.surface))
            self.paintSection(painter, place, column)
