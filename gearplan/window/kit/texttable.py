"""A table of ready texts: painted cell by cell, repainting only what changed, readable by a screen reader."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import (
    QAbstractTableModel,
    QEvent,
    QModelIndex,
    QPersistentModelIndex,
    QPoint,
    QRect,
    QSize,
    Qt,
    Signal,
)
from PySide6.QtGui import QColor, QKeyEvent, QPainter, QPaintEvent, QPen, QResizeEvent
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
from gearplan.window.kit.tablehead import Group, TableHead, head_width, words_width

_Index = QModelIndex | QPersistentModelIndex

Texts = Sequence[tuple[str, ...]]
#: Air beside a cell's words.
_AIR = 10
#: A table that fills its place is at least so many rows high.
_LEAST_ROWS = 6
#: A table that needs more than this width may scroll sideways: so much has room in the smallest window, and where text
#: is large so much at its usual size.
_LEAST_WIDE, _LEAST_USUAL = 560, 300
#: The names of the rows stay in sight while a table scrolls sideways, unless they take more than this share of it.
_STAYING = 0.5
#: Of no more cells than so many each is told to have changed.
_FEW = 60
#: A table never spreads its columns over more than this width at the usual size of text: gaps are hard to read across.
_MOST_WIDE = 560
#: What is written of two values between which there is no difference, or one that rounds away.
_NOTHING, _NEXT_TO_NOTHING = "±0", "<"
#: A small difference as a bar below its number is at least so long, and so high.
_LEAST_BAR, _BAR_HIGH = 1, 3
#: Of a column with more texts than so many, only so many of the longest are measured.
_MANY, _MEASURED = 40, 12


def _row() -> int:
    return theme.metrics(theme.SMALL).lineSpacing() + 8


def tell_changed(model: QAbstractTableModel, cells: Sequence[tuple[int, int]]) -> None:
    """Tell views and screen readers which (row, column) say something else; of many, that any may."""
    if len(cells) > _FEW:
        model.dataChanged.emit(model.index(0, 0), model.index(model.rowCount() - 1, model.columnCount() - 1))
        return
    for row, column in cells:
        # One by one, for of a range a view paints all that is in sight.
        index = model.index(row, column)
        model.dataChanged.emit(index, index)


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
        renamed, before = heads != self._heads, self.cells
        if reshaped:
            self.beginResetModel()
        self.cells, self._heads = cells, heads
        if reshaped:
            self.endResetModel()
            return
        if renamed and heads:
            self.headerDataChanged.emit(Qt.Orientation.Horizontal, 0, len(heads) - 1)
        rows = enumerate(zip(before, cells, strict=True))
        tell_changed(self, [(row, c) for row, (was, now) in rows for c in range(len(heads)) if was[c] != now[c]])

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


def _nothing(words: str) -> bool:
    return words.startswith((_NOTHING, _NEXT_TO_NOTHING))


def _amount(words: str) -> float:
    """The number of a written difference, 0 where there is none."""
    figure = words.removesuffix(" %").replace("−", "-")
    try:
        return float(figure)
    except ValueError:
        return 0.0


class TextDelegate(QStyledItemDelegate):
    """Paints a cell's text alone; the stock delegate asks the model seven times a cell, which a slider step feels.

    No difference is a quiet dot, and no difference is bold that rounds away. In a column of `differences`, all in one
    unit, each has a bar below it, to the left of the middle for less and to the right for more, and the largest alone
    is bold.
    """

    def __init__(
        self,
        quiet: tuple[int, ...],
        bold: tuple[int, ...],
        left: tuple[int, ...],
        bars: tuple[int, ...],
        differences: tuple[int, ...],
        parent: QWidget,
    ) -> None:
        super().__init__(parent)
        self._quiet, self._bold, self._left, self._bars = quiet, bold, left, bars
        self._differences = differences
        #: The largest difference of each column of them.
        self._largest: dict[int, float] = {}
        #: The rows that count; None where all do.
        self._counts: frozenset[int] | None = None
        self._heading: frozenset[int] = frozenset()

    def take(self, cells: Texts, counts: frozenset[int] | None) -> list[int]:
        """Weigh new texts; returns the columns that look different even where their texts are the same."""
        largest = {c: max((abs(_amount(row[c])) for row in cells), default=0.0) for c in self._differences}
        anew = [column for column in self._differences if largest[column] != self._largest.get(column)]
        if counts != self._counts:
            anew += self._bold
        self._largest, self._counts = largest, counts
        # A row with nothing but a name is the head of those below it.
        self._heading = frozenset(k for k, row in enumerate(cells) if row and not any(row[1:]))
        return anew

    def _is_bold(self, row: int, column: int, words: str) -> bool:
        if row in self._heading:
            return True
        if column in self._differences:
            return abs(_amount(words)) == self._largest.get(column) != 0
        return column in self._bold and not _nothing(words) and (self._counts is None or row in self._counts)

    def _paint_difference(self, painter: QPainter, column: int, words: str, box: QRect) -> None:
        largest, by, now = self._largest.get(column, 0.0), _amount(words), theme.current()
        if not largest or not by:
            return
        middle, high = box.center().x(), theme.px(_BAR_HIGH)
        long = max(round(abs(by) / largest * box.width() / 2), _LEAST_BAR)
        at = middle if by > 0 else middle - long
        painter.fillRect(at, box.bottom() - high + 1, long, high, QColor(now.accent))
        painter.fillRect(middle, box.bottom() - high, 1, high + 1, QColor(now.quiet))

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
        if column in self._differences:
            self._paint_difference(painter, column, words, box)
        painter.setFont(theme.font(theme.SMALL, bold=self._is_bold(index.row(), column, words)))
        quiet = column in self._quiet or _nothing(words)
        painter.setPen(QColor(now.quiet if quiet else now.text))
        words = "·" if words.startswith(_NOTHING) else words
        side = Qt.AlignmentFlag.AlignRight
        if column in self._left:
            side = Qt.AlignmentFlag.AlignLeft
        painter.drawText(box, side | Qt.AlignmentFlag.AlignVCenter, words)
        if option.state & QStyle.StateFlag.State_HasFocus:
            painter.setPen(QPen(QColor(now.accent), 2))
            painter.drawRect(option.rect.adjusted(1, 1, -1, -1))

    def sizeHint(self, _option: QStyleOptionViewItem, index: _Index) -> QSize:
        """What the words need."""
        model, column = index.model(), index.column()
        assert isinstance(model, TextModel)
        words = "" if column in self._bars else model.cells[index.row()][column]
        return QSize(self.wide(column, words), _row())

    def wide(self, column: int, words: str) -> int:
        """The width that words need in a column."""
        return words_width(words, bold=column in self._bold or column in self._differences) + _AIR

    def is_bar(self, column: int) -> bool:
        """Whether a column is drawn as bars."""
        return column in self._bars


class TextTable(QTableView):
    """The table; `asked` carries (row, column) of the number that somebody wants explained.

    Every column is as wide as its longest text needs; what is left of the room goes to all of them. Where the room is
    too narrow for all, the table scrolls sideways by a bar over its heads, which stays in reach however high the table
    is, and the names of the rows stay in sight.
    `explains` says that somebody answers to `asked`.
    It is as high as its rows; with `fills` it takes the height that there is and scrolls by itself.
    Columns named in `bars` hold percentages of the longest and are drawn as bars, `differences` are changes in one unit
    with a bar below each. `only_two` are columns that say nothing while both sets are the same. `tip` tells more of a
    row.
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
        self._delegate = TextDelegate(quiet, bold, left, bars, differences, self)
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
            heads = tuple("now" if head == "proposed" else head for head in heads)
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
        rows, high = self._model.rowCount(), _row()
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
