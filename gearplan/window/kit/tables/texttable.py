"""A table of ready texts: columns as wide as they need, names that stay in sight, readable by a screen reader."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import QEvent, QModelIndex, QPersistentModelIndex, QPoint, QRect, QSize, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QAbstractItemView, QHeaderView, QStyle, QStyleOptionViewItem, QTableView, QWidget

from gearplan.language import tr
from gearplan.window.kit import theme

from .tablehead import Group, TableHead, head_width
from .textcells import TextDelegate, TextModel, Texts, row_height

_Index = QModelIndex | QPersistentModelIndex

#: A table that fills its place is at least so many rows high.
_LEAST_ROWS = 6
#: A table that needs more than this width may scroll sideways: so much has room in the smallest window, and where text
#: is large so much at its usual size.
_LEAST_WIDE, _LEAST_USUAL = 560, 300
#: The names of the rows stay in sight while a table scrolls sideways, unless they take more than this share of it.
_STAYING = 0.5
#: A table never spreads its columns over more than this width at the usual size of text: gaps are hard to read across.
_MOST_WIDE = 560
#: Of a column with more texts than so many, only so many of the longest are measured.
_MANY, _MEASURED = 40, 12


class TextTable(QTableView):
    """The table; `asked` carries (row, column) of the number that somebody wants explained.

    Every column is as wide as its longest text needs; what is left of the room goes to all of them. Where the room is
    too narrow for all, the table scrolls sideways by a bar over its heads, which stays in reach however high the table
    is, and the names of the rows stay in sight.
    `explains` says that somebody answers to `asked`.
    It is as high as its rows; with `fills` it takes the height that there is and scrolls by itself.
    Columns named in `bars` hold percentages of the longest and are drawn as bars, `differences` are changes in one unit
    with a bar below each, `zeros` those in which a zero is a quiet dot. `only_two` are columns that say nothing while
    both sets are the same. `tip` tells more of a row.
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
        differences: tuple[int, ...] = (),
        zeros: tuple[int, ...] = (),
        only_two: tuple[int, ...] = (),
        fills: bool = False,
        explains: bool = False,
        tip: Callable[[int], str] | None = None,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._model = TextModel(self)
        self._model.explains, self._model.left, self._model.tip = explains, left, tip
        self._fills = fills
        #: The width that each column needs: it grows while the heads stay, so that nothing jumps.
        self._needs: list[int] = []
        self._heads: tuple[str, ...] = ()
        self.setModel(self._model)
        self._delegate = TextDelegate(quiet, bold, left, bars, differences, zeros, self)
        self.setItemDelegate(self._delegate)
        self.setAccessibleName(name)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setTabKeyNavigation(False)
        self.setShowGrid(False)
        self.setHorizontalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.verticalHeader().hide()
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._header = TableHead(name, self.horizontalScrollBar(), self, explains=explains)
        self._only_two, self._one_set = only_two, False
        #: So many columns in front name the rows.
        self._names = 1 + min((column for column in left if column <= 1), default=0)
        self.setHorizontalHeader(self._header)
        self._header.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        self._header.setMinimumSectionSize(8)
        self._header.setSectionsClickable(False)
        # What stays in sight must not be moved along with the rest.
        self.horizontalScrollBar().valueChanged.connect(self.viewport().update)
        self.doubleClicked.connect(self._ask)
        self._set_heights()

    def show_texts(
        self,
        heads: tuple[str, ...],
        cells: Texts,
        groups: tuple[Group, ...] = (),
        *,
        one_set: bool = False,
        counts: frozenset[int] | None = None,
    ) -> None:
        """Show new texts; the table is as high as they need.

        With `one_set` fitted and proposed are the same: what only compares them is hidden, and what is proposed stands
        under "now". `counts` are the rows whose changes are bold; None for all.
        """
        if one_set:
            heads = tuple(tr("now") if head == tr("proposed") else head for head in heads)
        for column in self._delegate.take(cells, counts):
            self.viewport().update(self.columnViewportPosition(column), 0, self.columnWidth(column), self.height())
        self._header.show_groups(groups)
        self._model.show_texts(heads, cells)
        if one_set != self._one_set:
            self._one_set, self._heads = one_set, ()
            for column in self._only_two:
                self.setColumnHidden(column, one_set)
        self._measure(heads, cells, groups)
        self._share_width()

    def _measure(self, heads: tuple[str, ...], cells: Texts, groups: tuple[Group, ...]) -> None:
        """What each column needs; of many texts those of the most letters are also about the widest."""
        grown = list(self._needs) if heads == self._heads else [head_width(head) for head in heads]
        self._heads = heads
        for column in range(len(heads)):
            if self._delegate.is_bar(column):
                grown[column] = max(grown[column], theme.px(60))
                continue
            texts: Sequence[str] = {row[column] for row in cells}  # type: ignore[assignment]
            if len(texts) > _MANY:
                texts = sorted(texts, key=len)[-_MEASURED:]
            for words in texts:
                grown[column] = max(grown[column], self._delegate.wide(column, words))
        if self._one_set:
            for column in self._only_two:
                grown[column] = 0
        for first, last, title in groups:
            shown = [column for column in range(first, last + 1) if grown[column]]
            lacking = head_width(title) - sum(grown[first : last + 1])
            if shown and lacking > 0:
                grown[shown[-1]] += lacking
        if grown != self._needs:
            self._needs = grown
            self.updateGeometry()

    def _share_width(self) -> None:
        """Each column in sight has what it needs, and its part of what is left."""
        shown = [column for column in range(len(self._needs)) if not self.isColumnHidden(column)]
        spare = max(min(self.viewport().width(), theme.px(_MOST_WIDE)) - sum(self._needs), 0)
        for place, column in enumerate(shown):
            wide = self._needs[column] + spare // len(shown) + (1 if place < spare % len(shown) else 0)
            if column < self._header.count() and self._header.sectionSize(column) != wide:
                self._header.resizeSection(column, wide)
        over = self._needed() > self.viewport().width()
        names = sum(self._needs[: self._names])
        self._header.scroll_sideways(over, self._names if over and names <= _STAYING * self.viewport().width() else 0)
        self._set_heights()

    def _needed(self) -> int:
        return sum(self._needs)

    def _set_heights(self) -> None:
        rows, high = self._model.rowCount(), row_height()
        if self.verticalHeader().defaultSectionSize() != high:
            self.verticalHeader().setMinimumSectionSize(high)
            self.verticalHeader().setDefaultSectionSize(high)
        head = self._header.sizeHint().height()
        if self._fills:
            self.setMinimumHeight(head + high * _LEAST_ROWS)
            return
        wanted = head + high * max(rows, 1) + 4
        if self.minimumHeight() != wanted or self.maximumHeight() != wanted:
            self.setFixedHeight(wanted)

    def minimumSizeHint(self) -> QSize:
        """All columns, or as much of them as can be scrolled in."""
        least = max(_LEAST_WIDE, theme.px(_LEAST_USUAL))
        return QSize(min(self.sizeHint().width(), least), super().minimumSizeHint().height())

    def sizeHint(self) -> QSize:
        """All columns."""
        bar = self.verticalScrollBar().sizeHint().width() if self._fills else 0
        return QSize(self._needed() + 2 * self.frameWidth() + bar, super().sizeHint().height())

    def visualRect(self, index: _Index) -> QRect:
        """Where a cell stands; the names of the rows stay where they are."""
        place = super().visualRect(index)
        if index.column() < self._header.staying:
            place.moveLeft(self._header.room(0, index.column() - 1))
        return place

    def indexAt(self, point: QPoint) -> QModelIndex:
        """The cell in sight at a point."""
        at = super().indexAt(point)
        if point.x() < self._header.stay_wide:
            for column in range(self._header.staying):
                if point.x() < self._header.room(0, column):
                    return self._model.index(self.rowAt(point.y()), column)
        return at

    def scrollTo(
        self, index: _Index, hint: QAbstractItemView.ScrollHint = QAbstractItemView.ScrollHint.EnsureVisible
    ) -> None:
        """Bring a cell into sight, beside the names and not under them."""
        bar = self.horizontalScrollBar()
        if index.column() < self._header.staying:
            across = bar.value()
            super().scrollTo(index, hint)
            bar.setValue(across)
            return
        super().scrollTo(index, hint)
        bar.setValue(bar.value() - max(self._header.stay_wide - self.columnViewportPosition(index.column()), 0))

    def paintEvent(self, event: QPaintEvent) -> None:
        """The cells, and over them the names that stay."""
        super().paintEvent(event)
        if not self._header.staying or not event.rect().intersects(QRect(0, 0, self._header.stay_wide, self.height())):
            return
        painter = QPainter(self.viewport())
        now, option = theme.current(), QStyleOptionViewItem()
        painter.fillRect(0, 0, self._header.stay_wide, self.viewport().height(), QColor(now.surface))
        for row in range(max(self.rowAt(event.rect().top()), 0), self._model.rowCount()):
            if self.rowViewportPosition(row) > event.rect().bottom():
                break
            for column in range(self._header.staying):
                index = self._model.index(row, column)
                option.rect = self.visualRect(index)
                option.state = QStyle.StateFlag.State_None
                if self.selectionModel().isSelected(index):
                    option.state |= QStyle.StateFlag.State_Selected
                if self.hasFocus() and index == self.currentIndex():
                    option.state |= QStyle.StateFlag.State_HasFocus
                self._delegate.paint(painter, option, index)
        painter.setPen(QColor(now.line))
        painter.drawLine(self._header.stay_wide - 1, 0, self._header.stay_wide - 1, self.viewport().height())

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Another width is shared anew."""
        super().resizeEvent(event)
        self._share_width()

    def changeEvent(self, event: QEvent) -> None:
        """Text of another size needs other widths."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.StyleChange and self._heads:
            heads, self._heads = self._heads, ()
            self._measure(heads, self._model.cells, self._header.groups)
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
