"""The table under the speed chart: each gear's ratio, step, speed and engine speed, fitted and proposed."""

from __future__ import annotations

import itertools

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QPersistentModelIndex, QRect, QSize, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHeaderView,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTableView,
    QWidget,
)

from gearplan.bike.units import RPM
from gearplan.plan.compare import GearRow
from gearplan.plan.sentences import number, signed, signed_percent
from gearplan.window import theme
from gearplan.window.view import View

_Index = QModelIndex | QPersistentModelIndex

# What each column is about, for "how?"; in the order of the columns.
_KEYS = (
    "overall",
    "overall:fitted",
    "overall",
    "step",
    "after_shift",
    "speed_at_redline:fitted",
    "speed_at_redline",
    "speed_at_redline",
    "engine_at_cursor:fitted",
    "engine_at_cursor",
    "engine_at_cursor",
)
Group = tuple[int, int, str]
_DIFFERENCES = (7, 10)
_FITTED = (1, 5, 8)
_LINE = 19
_ROW = 22


class GearModel(QAbstractTableModel):
    """Rows are gears; every text comes from plan's rows."""

    def __init__(self, view: View, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._view = view
        self._rows: tuple[GearRow, ...] = ()
        self._cells: list[tuple[str, ...]] = []
        self._heads: tuple[str, ...] = ()

    def show_rows(self, rows: tuple[GearRow, ...], cursor: float) -> tuple[Group, ...]:
        """Take new rows; returns the titles of the groups of columns, which name the cursor (m/s)."""
        unit, factor = self._view.speed_unit, self._view.speed_factor
        heads = ("Gear", "fitted", "proposed", "next", "shift, rpm", *("fitted", "proposed", "change") * 2)
        groups = (
            (1, 2, "Overall ratio"),
            (3, 3, "Step to"),
            (4, 4, "After"),
            (5, 7, f"{unit} at the redline"),
            (8, 10, f"rpm at {cursor / factor:.0f} {unit}"),
        )
        reshaped = len(rows) != len(self._rows)
        if reshaped:
            self.beginResetModel()
        self._rows = rows
        self._cells = [self._texts(row, factor) for row in rows]
        if reshaped:
            self.endResetModel()
        self._heads = heads
        return groups

    def _texts(self, row: GearRow, factor: float) -> tuple[str, ...]:
        speeds, engine = row.speed_at_redline, row.engine_at_cursor
        return (
            str(row.gear),
            number(row.overall[0], 1, 3),
            number(row.overall[1], 1, 3),
            signed_percent(row.step).lstrip("+"),
            number(row.after_shift, RPM, 0),
            number(speeds[0], factor, 1),
            number(speeds[1], factor, 1),
            signed(speeds, factor, 1),
            number(engine[0], RPM, 0),
            number(engine[1], RPM, 0),
            signed(engine, RPM, 0),
        )

    def texts(self) -> list[tuple[str, ...]]:
        """What all cells say, row by row."""
        return self._cells

    def text(self, row: int, column: int) -> str:
        """What one cell says."""
        return self._cells[row][column]

    def rowCount(self, _parent: _Index | None = None) -> int:
        """Gears."""
        return len(self._rows)

    def columnCount(self, _parent: _Index | None = None) -> int:
        """Columns."""
        return len(_KEYS)

    def headerData(self, section: int, orientation: Qt.Orientation, role: int = 0) -> object:
        """The heads, two lines each."""
        if orientation == Qt.Orientation.Horizontal and role == Qt.ItemDataRole.DisplayRole and self._heads:
            return self._heads[section]
        return None

    def data(self, index: _Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        """The text, for the screen reader too, and what can be done with it."""
        if role == Qt.ItemDataRole.DisplayRole:
            return self.text(index.row(), index.column())
        if role == Qt.ItemDataRole.ToolTipRole:
            return "Double-click or press F1 for how it is computed"
        return None


class GearDelegate(QStyledItemDelegate):
    """Paints a cell's text alone; the stock delegate asks the model seven times a cell, which a slider step feels."""

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: _Index) -> None:
        """Draw one cell."""
        model = index.model()
        assert isinstance(model, GearModel)
        now, column = theme.current(), index.column()
        if option.state & QStyle.StateFlag.State_Selected:
            painter.fillRect(option.rect, QColor(now.selected))
        painter.setFont(theme.font(theme.SMALL, bold=True) if column in _DIFFERENCES else theme.font(theme.SMALL))
        painter.setPen(QColor(now.quiet if column in _FITTED else now.text))
        painter.drawText(
            option.rect.adjusted(0, 0, -6, 0),
            Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter,
            model.text(index.row(), column),
        )


class GroupedHeader(QHeaderView):
    """A header with a second line above it for titles that span several columns."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(Qt.Orientation.Horizontal, parent)
        self._groups: tuple[Group, ...] = ()
        self.setDefaultAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignBottom)

    def show_groups(self, groups: tuple[Group, ...]) -> None:
        """Take other titles."""
        if groups != self._groups:
            self._groups = groups
            self.viewport().update()

    def sizeHint(self) -> QSize:
        """Room for two lines."""
        return QSize(super().sizeHint().width(), 2 * _LINE)

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


class GearTable(QTableView):
    """The table; `how_asked` carries plan's key of the number and the gear."""

    how_asked = Signal(str, int)

    def __init__(self, view: View, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._model = GearModel(view, self)
        self.setModel(self._model)
        self.setItemDelegate(GearDelegate(self))
        self.setAccessibleName("Each gear, fitted and proposed")
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setTabKeyNavigation(False)
        self.setShowGrid(False)
        self.verticalHeader().hide()
        self.verticalHeader().setDefaultSectionSize(_ROW)
        self.verticalHeader().setMinimumSectionSize(_ROW)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._header = header = GroupedHeader(self)
        self.setHorizontalHeader(header)
        header.setSectionResizeMode(QHeaderView.ResizeMode.Stretch)
        header.setMinimumSectionSize(36)
        header.setSectionResizeMode(0, QHeaderView.ResizeMode.Fixed)
        header.resizeSection(0, 40)
        header.setSectionsClickable(False)
        self.doubleClicked.connect(self._ask)

    def show_rows(self, rows: tuple[GearRow, ...], cursor: float) -> None:
        """Show new rows, as many lines high as there are gears."""
        before = self._model.texts()
        self._header.show_groups(self._model.show_rows(rows, cursor))
        self.setFixedHeight(2 * _LINE + _ROW * max(len(rows), 1) + 4)
        for row, (old, new) in enumerate(itertools.zip_longest(before, self._model.texts(), fillvalue=())):
            for column, text in enumerate(new):
                if column >= len(old) or old[column] != text:
                    self.update(self._model.index(row, column))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """F1 explains the number at hand."""
        if event.key() == Qt.Key.Key_F1 and self.currentIndex().isValid():
            self._ask(self.currentIndex())
            return
        super().keyPressEvent(event)

    def ask_at_hand(self) -> None:
        """Ask how the number under the keyboard is computed."""
        self._ask(self.currentIndex())

    def _ask(self, index: QModelIndex) -> None:
        self.how_asked.emit(_KEYS[index.column()], index.row() + 1)
