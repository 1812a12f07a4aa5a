"""What a table of texts holds and how a cell is painted: only what changed is told and painted anew."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import (
    QAbstractTableModel,
    QModelIndex,
    QPersistentModelIndex,
    QRect,
    QSize,
    Qt,
)
from PySide6.QtGui import QColor, QPainter, QPen
from PySide6.QtWidgets import (
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QWidget,
)

from gearplan.language import tr
from gearplan.window.kit import theme
from gearplan.window.kit.plaintext import plain

from .tablehead import words_width

_Index = QModelIndex | QPersistentModelIndex

Texts = Sequence[tuple[str, ...]]
#: Air beside a cell's words.
_AIR = 10
#: Of no more cells than so many each is told to have changed.
_FEW = 60
#: What is written of two values between which there is no difference, or one that rounds away.
_NOTHING, _NEXT_TO_NOTHING = "±0", "<"
#: A small difference as a bar below its number is at least so long, and so high.
_LEAST_BAR, _BAR_HIGH = 1, 3


def row_height() -> int:
    """How high a row of a table is."""
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
        if orientation == Qt.Orientation.Horizontal and role == Qt.ItemDataRole.AccessibleTextRole:
            return self._heads[section] or ("bar" if section else "name")
        if role == Qt.ItemDataRole.TextAlignmentRole and section in self.left:
            return Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignBottom
        return None

    def data(self, index: _Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        """The text, for the screen reader too, and what can be done with it."""
        if role == Qt.ItemDataRole.DisplayRole:
            return self.cells[index.row()][index.column()]
        if role == Qt.ItemDataRole.AccessibleTextRole:
            return self._spoken(index.row(), index.column())
        if role == Qt.ItemDataRole.ToolTipRole and self.explains:
            return tr("Double-click or press F1 for how it is computed")
        if role == Qt.ItemDataRole.ToolTipRole and self.tip is not None:
            return plain(self.tip(index.row()))
        return None

    def _spoken(self, row: int, column: int) -> str:
        """The text of a cell; one without says whose it is and that it is empty."""
        texts = self.cells[row]
        if texts[column].strip():
            return texts[column]
        return ", ".join(filter(None, (texts[0] if column else "", self._heads[column]))) + tr(": empty")


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

    No difference is a quiet dot, as is a zero in a column of `zeros`, and no difference is bold that rounds away. In a
    column of `differences`, all in one unit, each has a bar below it, to the left of the middle for less and to the
    right for more, and the largest alone is bold.
    """

    def __init__(
        self,
        quiet: tuple[int, ...],
        bold: tuple[int, ...],
        left: tuple[int, ...],
        bars: tuple[int, ...],
        differences: tuple[int, ...],
        zeros: tuple[int, ...],
        parent: QWidget,
    ) -> None:
        super().__init__(parent)
        self._quiet, self._bold, self._left, self._bars = quiet, bold, left, bars
        self._differences, self._zeros = differences, zeros
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
            if column == 0:
                bar = QRect(option.rect.left(), option.rect.top(), theme.PICKED, option.rect.height())
                painter.fillRect(bar, QColor(now.accent))
        words, box = model.cells[index.row()][column], option.rect.adjusted(4, 0, -6, 0)
        if column in self._bars:
            box.setWidth(round(box.width() * float(words.rstrip(" %") or 0) / 100))
            painter.fillRect(box.adjusted(0, 6, 0, -6), QColor(now.text))
            return
        if column in self._differences:
            self._paint_difference(painter, column, words, box)
        painter.setFont(theme.font(theme.SMALL, bold=self._is_bold(index.row(), column, words)))
        dot = words.startswith(_NOTHING) or (column in self._zeros and bool(words) and not words.strip("0.,"))
        quiet = column in self._quiet or dot or _nothing(words)
        painter.setPen(QColor(now.quiet if quiet else now.text))
        words = "·" if dot else words
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
        return QSize(self.wide(column, words), row_height())

    def wide(self, column: int, words: str) -> int:
        """The width that words need in a column."""
        return words_width(words, bold=column in self._bold or column in self._differences) + _AIR

    def is_bar(self, column: int) -> bool:
        """Whether a column is drawn as bars."""
        return column in self._bars
