"""The shop's stock list edited as a table; columns that the program does not use stay as they are."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QPersistentModelIndex, Qt, QTimer, Signal
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QFileDialog,
    QMessageBox,
    QPushButton,
    QTableView,
    QVBoxLayout,
    QWidget,
)

from gearplan.bike.stocklist.columns import LABELS, Layout
from gearplan.bike.stocklist.reading import StockFile, StockList, new_list, save_list, stamp, stock_of, told
from gearplan.bike.stocklist.table import StockError, Table
from gearplan.language import tr
from gearplan.window.kit import theme
from gearplan.window.kit.controls.fields import labelled
from gearplan.window.kit.places.flow import Flow
from gearplan.window.kit.plaintext import PlainLabel, plain
from gearplan.window.tables.stockcolumns import asked

_PATIENCE_MS = 400
_MOST_TOLD = 3
_WIDEST = 260

_Index = QModelIndex | QPersistentModelIndex
_NOWHERE = QModelIndex()
_SHOWN = (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.EditRole)


class StockDialog(QDialog):
    """Shows a list and takes changes; `listed` is the list as it was saved last."""

    def __init__(self, listed: StockList | None, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.listed = listed or new_list()
        self.setWindowTitle(
            tr("Stock list {name}", name=self.listed.path.name) if self.listed.path else tr("Stock list")
        )
        self.resize(960, 600)
        column = QVBoxLayout(self)
        column.setSpacing(theme.UNIT)
        self.rows = _Rows(self.listed.table, self.listed.layout, self.listed.found)
        self.table = QTableView()
        self.table.setModel(self.rows)
        self.table.setAlternatingRowColors(True)
        self.table.setWordWrap(False)
        self.rows.edited.connect(self._edited)
        column.addWidget(labelled(tr("&Parts that the shop has"), self.table))
        column.addWidget(self.table, 1)
        self.words = PlainLabel()
        self.words.setWordWrap(True)
        self.words.setMinimumHeight(3 * theme.UNIT)
        column.addWidget(self._changing())
        column.addWidget(self.words)
        self.buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Cancel)
        self.keep, self.keep_as = QPushButton(tr("Save")), QPushButton(tr("Save as…"))
        self.buttons.addButton(self.keep, QDialogButtonBox.ButtonRole.ActionRole)
        self.buttons.addButton(self.keep_as, QDialogButtonBox.ButtonRole.ActionRole)
        # Enter belongs to the table.
        for button in (self.keep, self.keep_as):
            button.setAutoDefault(False)
        self.keep.setToolTip("Ctrl+S")
        QShortcut(QKeySequence.StandardKey.Save, self, self._save)
        self.keep.clicked.connect(self._save)
        self.keep_as.clicked.connect(self._ask_save)
        self.buttons.rejected.connect(self.reject)
        column.addWidget(self.buttons)
        self._pause = QTimer(self)
        self._pause.setSingleShot(True)
        self._pause.setInterval(_PATIENCE_MS)
        self._pause.timeout.connect(self._tell)
        self._fit_columns()
        self._tell()

    def _changing(self) -> QWidget:
        place = QWidget()
        row = Flow()
        place.setLayout(row)
        for words, slot, key in (
            (tr("&Add a part"), self._add, "Ctrl+N"),
            (tr("&Remove the row"), self._remove, "Ctrl+Del"),
            (tr("&Undo"), self.undo, "Ctrl+Z"),
            (tr("&Columns…"), self._ask_columns, ""),
        ):
            button = QPushButton(words)
            button.setAutoDefault(False)
            button.clicked.connect(slot)
            if key:
                QShortcut(QKeySequence(key), self, slot)
                button.setToolTip(plain(key))
            row.addWidget(button)
        return place

    @property
    def changed(self) -> bool:
        """Whether something is not saved yet."""
        return self.rows.table != self.listed.table

    def save(self, path: Path) -> bool:
        """Write the list; what cannot be written is said, and the table stays."""
        try:
            self.listed = save_list(self.listed, self.rows.table, path)
        except OSError as failed:
            self.words.setText(tr("Not saved to {path}: {strerror}.", path=path, strerror=failed.strerror))
            return False
        except StockError as refused:
            self.words.setText(tr("Not saved: {refused}.", refused=refused))
            return False
        self.accept()
        return True

    def undo(self) -> None:
        """Take the last change back."""
        self.rows.undo()

    def reject(self) -> None:
        """Leave the changes only when that is said."""
        if self.changed:
            answer = QMessageBox.question(
                self,
                tr("Stock list"),
                tr("Leave the list without saving its changes?"),
                QMessageBox.StandardButton.Discard | QMessageBox.StandardButton.Cancel,
                QMessageBox.StandardButton.Cancel,
            )
            if answer != QMessageBox.StandardButton.Discard:
                return
        super().reject()

    def _edited(self) -> None:
        self._pause.start()

    def _tell(self) -> None:
        self._pause.stop()
        self.rows.look_again()
        self.words.setText(told(self.rows.found, _MOST_TOLD))

    def _add(self) -> None:
        self.rows.add()
        index = self.rows.index(self.rows.rowCount() - 1, 0)
        self.table.setCurrentIndex(index)
        self.table.setFocus()
        self.table.edit(index)

    def _remove(self) -> None:
        chosen = {index.row() for index in self.table.selectionModel().selectedIndexes()}
        if chosen:
            self.rows.remove(chosen)

    def _ask_columns(self) -> None:
        said = asked(self.rows.table, self.rows.layout, "", self)
        if said is not None:
            self.rows.read_as(said)
            self.listed = StockList(self.listed.table, said, self.listed.found, self.listed.path, self.listed.stamp)
            self._tell()

    def _save(self) -> None:
        path = self.listed.path
        if path is None or self.listed.table.sheet:
            self._ask_save()
        elif stamp(path) not in (self.listed.stamp, None):
            self.words.setText(
                tr("{name} was changed by another program meanwhile. Save under another name.", name=path.name)
            )
        else:
            self.save(path)

    def _ask_save(self) -> None:
        path = self.listed.path or Path("stock.csv")
        # A spreadsheet's own file stays as it is; what was edited goes beside it.
        known = str(path.with_suffix(".csv") if self.listed.table.sheet else path)
        name, _ = QFileDialog.getSaveFileName(self, tr("Save the stock list"), known, tr("Stock lists (*.csv)"))
        if name:
            self.save(Path(name) if Path(name).suffix else Path(f"{name}.csv"))

    def _fit_columns(self) -> None:
        self.table.resizeColumnsToContents()
        for column in range(self.rows.columnCount()):
            if self.table.columnWidth(column) > theme.px(_WIDEST):
                self.table.setColumnWidth(column, theme.px(_WIDEST))
        self.table.horizontalHeader().setStretchLastSection(True)


@dataclass(frozen=True, slots=True)
class _State:
    """A table, and what it holds as it was looked at last."""

    table: Table
    layout: Layout
    found: StockFile = field(compare=False)


class _Rows(QAbstractTableModel):
    """The parts of a table, row by row, its columns as they stand there, and what is to be looked at in a last one."""

    edited = Signal()

    def __init__(self, table: Table, layout: Layout, found: StockFile) -> None:
        super().__init__()
        self._now = _State(table, layout, found)
        self._before: list[_State] = []

    @property
    def table(self) -> Table:
        """The table as it stands."""
        return self._now.table

    @property
    def layout(self) -> Layout:
        """What its columns hold."""
        return self._now.layout

    @property
    def found(self) -> StockFile:
        """The parts in it as they were looked at last."""
        return self._now.found

    def look_again(self) -> None:
        """Find the parts in the table as it stands."""
        now = self._now
        self._now = _State(now.table, now.layout, stock_of(now.table, now.layout))
        if self.rowCount():
            last = self.columnCount() - 1
            self.dataChanged.emit(self.index(0, last), self.index(self.rowCount() - 1, last))

    def read_as(self, layout: Layout) -> None:
        """Take the columns as a person says that they are."""
        self._now = _State(self._now.table, layout, self._now.found)
        self.headerDataChanged.emit(Qt.Orientation.Horizontal, 0, self.columnCount() - 1)

    def add(self) -> None:
        """A row more at the end."""
        self._change(self.table.with_row(len(self.table.rows), ("",) * len(self.layout.columns)))

    def remove(self, rows: set[int]) -> None:
        """Take rows away."""
        self._change(self.table.without_rows({row + self.layout.first for row in rows}))

    def undo(self) -> None:
        """The table as it was before the last change."""
        if self._before:
            self.beginResetModel()
            self._now = self._before.pop()
            self.endResetModel()
            self.edited.emit()

    def rowCount(self, parent: _Index = _NOWHERE) -> int:
        """The rows of parts."""
        return 0 if parent.isValid() else len(self.table.rows) - self.layout.first

    def columnCount(self, parent: _Index = _NOWHERE) -> int:
        """The table's columns, and one for what is to be looked at."""
        return 0 if parent.isValid() else len(self.layout.columns) + 1

    def flags(self, index: _Index) -> Qt.ItemFlag:
        """All but the last column can be edited."""
        flags = super().flags(index)
        return flags if index.column() == len(self.layout.columns) else flags | Qt.ItemFlag.ItemIsEditable

    def data(self, index: _Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        """A cell's text."""
        row = index.row() + self.layout.first
        if role in _SHOWN:
            if index.column() == len(self.layout.columns):
                return self.found.wrong.get(row, "")
            cells = self.table.rows[row]
            return cells[index.column()] if index.column() < len(cells) else ""
        if role == Qt.ItemDataRole.ToolTipRole:
            return plain(self.found.wrong.get(row, ""))
        return None

    def setData(self, index: _Index, value: Any, role: int = Qt.ItemDataRole.EditRole) -> bool:
        """Take what was typed."""
        if role != Qt.ItemDataRole.EditRole:
            return False
        if str(value) != self.data(index):
            now = self._now
            self._before.append(now)
            row = index.row() + now.layout.first
            self._now = _State(now.table.with_cell(row, index.column(), str(value)), now.layout, now.found)
            self.dataChanged.emit(index, index)
            self.edited.emit()
        return True

    def headerData(self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        """Above a column its heading and what it is taken as, beside a row its line in the file."""
        if role != Qt.ItemDataRole.DisplayRole:
            return None
        if orientation == Qt.Orientation.Vertical:
            return str(self.table.lines[section + self.layout.first])
        if section == len(self.layout.columns):
            return tr("To be looked at")
        column = self.layout.columns[section]
        own = LABELS[column.kind] if column.kind != "unused" else ""
        heading = column.heading or tr("column {section}", section=section + 1)
        return f"{heading}\n{own}" if own and own.lower() != heading.replace("_", " ").lower() else heading

    def _change(self, table: Table) -> None:
        self.beginResetModel()
        self._before.append(self._now)
        # What was wrong with a row is looked for anew, since the rows have moved.
        self._now = _State(table, self.layout, StockFile(self.found.stock))
        self.endResetModel()
        self.edited.emit()
