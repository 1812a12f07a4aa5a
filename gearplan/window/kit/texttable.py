"""A table of ready texts: painted cell by cell, repainting only what changed, readable by a screen reader."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QPersistentModelIndex, QRect, QSize, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHeaderView,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTableView,
    QWidget,
)

from gearplan.window.kit import theme

_Index = QModelIndex | QPersistentModelIndex

#: First column, last column and the title over them.
Group = tuple[int, int, str]
Texts = Sequence[tuple[str, ...]]
_LINE = 19
_ROW = 22
#: So wide is a column at least, in a table that can scroll sideways and in one that cannot.
_LEAST_SCROLLED, _LEAST_COLUMN = 44, 54
#: A table that fills its place is at least so many rows high.
_LEAST_ROWS = 6


class TextModel(QAbstractTableModel):
    """Rows of texts under heads."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.cells: Texts = ()
        self.explains = False
        self.left: tuple[int, ...] = ()
        #: What is told of a row under the pointer.
        self.tip: Callable[[int], str] | None = None
        self._heads: tuple[str, ...] = ()

    def show_texts(self, heads: tuple[str, ...], cells: Texts) -> None:
        """Take new texts."""
        reshaped = len(cells) != len(self.cells) or len(heads) != len(self._heads)
        if reshaped:
            self.beginResetModel()
        renamed = heads != self._heads
        self.cells, self._heads = cells, heads
        if reshaped:
            self.endResetModel()
        elif renamed and heads:
            self.headerDataChanged.emit(Qt.Orientation.Horizontal, 0, len(heads) - 1)

    def rowCount(self, _parent: _Index | None = None) -> int:
        """Rows."""
        return len(self.cells)

    def columnCount(self, _parent: _Index | None = None) -> int:
        """Columns."""
        return len(self._heads)

    def headerData(self, section: int, orientation: Qt.Orientation, role: int = 0) -> object:
        """The heads."""
        if orientation == Qt.Orientation.Horizontal and role == Qt.ItemDataRole.DisplayRole:
            return self._heads[section]
        if role == Qt.ItemDataRole.TextAlignmentRole and section in self.left:
            return Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignBottom
        return None

    def data(self, index: _Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        """The text, for the screen reader too, and what can be done with it."""
        if role == Qt.ItemDataRole.DisplayRole:
            return self.cells[index.row()][index.column()]
        if role == Qt.ItemDataRole.ToolTipRole and self.explains:
            return "Double-click or press F1 for how it is computed"
        if role == Qt.ItemDataRole.ToolTipRole and self.tip is not None:
            return self.tip(index.row())
        return None


class TextDelegate(QStyledItemDelegate):
    """Paints a cell's text alone; the stock delegate asks the model seven times a cell, which a slider step feels."""

    def __init__(
        self,
        quiet: tuple[int, ...],
        bold: tuple[int, ...],
        left: tuple[int, ...],
        bars: tuple[int, ...],
        parent: QWidget,
    ) -> None:
        super().__init__(parent)
        self._quiet, self._bold, self._left, self._bars = quiet, bold, left, bars

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: _Index) -> None:
        """Draw one cell."""
        model = index.model()
        assert isinstance(model, TextModel)
        now, column = theme.current(), index.column()
        if option.state & QStyle.StateFlag.State_Selected:
            painter.fillRect(option.rect, QColor(now.selected))
        words, box = model.cells[index.row()][column], option.rect.adjusted(4, 0, -6, 0)
        if column in self._bars:
            box.setWidth(round(box.width() * float(words.rstrip(" %") or 0) / 100))
            painter.fillRect(box.adjusted(0, 6, 0, -6), QColor(now.text))
            return
        painter.setFont(theme.font(theme.SMALL, bold=column in self._bold))
        painter.setPen(QColor(now.quiet if column in self._quiet else now.text))
        side = Qt.AlignmentFlag.AlignRight
        if column in self._left:
            side = Qt.AlignmentFlag.AlignLeft
            words = painter.fontMetrics().elidedText(words, Qt.TextElideMode.ElideRight, box.width())
        painter.drawText(box, side | Qt.AlignmentFlag.AlignVCenter, words)


class GroupedHeader(QHeaderView):
    """A header with a second line above it for titles that span several columns."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(Qt.Orientation.Horizontal, parent)
        self._groups: tuple[Group, ...] = ()
        self.setDefaultAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignBottom)

    @property
    def lines(self) -> int:
        """How many lines the header has."""
        return 2 if self._groups else 1

    def show_groups(self, groups: tuple[Group, ...]) -> None:
        """Take other titles."""
        if groups != self._groups:
            self._groups = groups
            self.viewport().update()

    def sizeHint(self) -> QSize:
        """Room for the lines."""
        return QSize(super().sizeHint().width(), self.lines * _LINE)

    def paintEvent(self, event: QPaintEvent) -> None:
        """The columns' own names, then the titles over them."""
        super().paintEvent(event)
        painter = QPainter(self.viewport())
        painter.setFont(theme.font(theme.SMALL))
        now = theme.current()
        for first, last, title in self._groups:
            left = self.sectionViewportPosition(first)
            right = self.sectionViewportPosition(last) + self.sectionSize(last)
            box = QRect(left, 0, right - left - 6, _LINE)
            painter.setPen(QColor(now.text))
            painter.drawText(box, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter, title)
            if last > first:
                painter.setPen(QColor(now.line))
                painter.drawLine(left + theme.UNIT, _LINE - 1, right - 6, _LINE - 1)


class TextTable(QTableView):
    """The table; `asked` carries (row, column) of the number that somebody wants explained.

    `explains` says that somebody answers to that.
    `first_width` fixes the first column, or lets it stretch with the others where it is 0; `widths` fixes others.
    With `most_rows` the table is no higher than so many and scrolls by itself; with `fills` it takes the height that
    there is, and scrolls both ways.
    Columns named in `bars` hold percentages of the longest and are drawn as bars. `tip` tells more of a row.
    """

    asked = Signal(int, int)

    def __init__(
        self,
        name: str,
        *,
        quiet: tuple[int, ...] = (),
        bold: tuple[int, ...] = (),
        left: tuple[int, ...] = (),
        bars: tuple[int, ...] = (),
        first_width: int = 0,
        widths: dict[int, int] | None = None,
        most_rows: int = 0,
        fills: bool = False,
        explains: bool = False,
        tip: Callable[[int], str] | None = None,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._model = TextModel(self)
        self._model.explains, self._model.left, self._model.tip = explains, left, tip
        self._most_rows, self._fills = most_rows, fills
        self._widths = ({0: first_width} if first_width else {}) | (widths or {})
        self.setModel(self._model)
        self.setItemDelegate(TextDelegate(quiet, bold, left, bars, self))
        self.setAccessibleName(name)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setTabKeyNavigation(False)
        self.setShowGrid(False)
        self.verticalHeader().hide()
        self.verticalHeader().setDefaultSectionSize(_ROW)
        self.verticalHeader().setMinimumSectionSize(_ROW)
        if fills:
            self.setMinimumHeight(_LINE + _ROW * _LEAST_ROWS)
        else:
            self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._header = GroupedHeader(self)
        self.setHorizontalHeader(self._header)
        self._header.setSectionResizeMode(QHeaderView.ResizeMode.Stretch)
        self._header.setMinimumSectionSize(_LEAST_SCROLLED if fills else 36)
        self._header.setSectionsClickable(False)
        self.doubleClicked.connect(self._ask)

    def show_texts(self, heads: tuple[str, ...], cells: Texts, groups: tuple[Group, ...] = ()) -> None:
        """Show new texts; the table is as high as they need."""
        before = self._model.cells
        self._header.show_groups(groups)
        self._model.show_texts(heads, cells)
        self._share_width()
        if not self._fills:
            rows = min(len(cells), self._most_rows) if self._most_rows else len(cells)
            self.setFixedHeight(self._header.lines * _LINE + _ROW * max(rows, 1) + 4)
        for row, (old, new) in enumerate(itertools.zip_longest(before, cells, fillvalue=())):
            for column, text in enumerate(new):
                if column >= len(old) or old[column] != text:
                    self.update(self._model.index(row, column))

    def _share_width(self) -> None:
        """Columns of a fixed width have it, but the widest of them leaves the others their least."""
        if not self._widths:
            return
        others = self._model.columnCount() - len(self._widths)
        least = _LEAST_SCROLLED if self._fills else _LEAST_COLUMN
        lacking = sum(self._widths.values()) + others * least - self.viewport().width()
        widest = max(self._widths, key=lambda column: self._widths[column])
        for column, width in self._widths.items():
            if column == widest and lacking > 0:
                width = max(width - lacking, least)
            if column < self._header.count() and self._header.sectionSize(column) != width:
                self._header.setSectionResizeMode(column, QHeaderView.ResizeMode.Fixed)
                self._header.resizeSection(column, width)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Another width is shared anew."""
        super().resizeEvent(event)
        self._share_width()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """F1 explains the number at hand."""
        if event.key() == Qt.Key.Key_F1:
            self.ask_at_hand()
            return
        super().keyPressEvent(event)

    def ask_at_hand(self) -> None:
        """Ask how the number under the keyboard is computed."""
        if self.currentIndex().isValid():
            self._ask(self.currentIndex())

    def _ask(self, index: QModelIndex) -> None:
        self.asked.emit(index.row(), index.column())
