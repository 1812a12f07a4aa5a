"""The table of sections: edited in its cells by keyboard and mouse; its columns and its place never change by it."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QItemSelectionModel, QModelIndex, QObject, QPersistentModelIndex, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QKeySequence, QResizeEvent
from PySide6.QtWidgets import (
    QAbstractItemDelegate,
    QAbstractItemView,
    QComboBox,
    QHeaderView,
    QLineEdit,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTableView,
    QWidget,
)

from gearplan.bike.circuit import section_entry
from gearplan.bike.sections.cells import COLUMNS
from gearplan.language import tr
from gearplan.window.circuit.sections.model import CHECK, KEYS, SectionsModel
from gearplan.window.kit import theme
from gearplan.window.kit.tables.tablehead import TableHead

_Index = QModelIndex | QPersistentModelIndex

#: As wide as these is the least that a column has room for.
_SAMPLES = {
    "kind": "straight",
    "length_m": "1234.5",
    "turn_deg": tr("120 right"),
    "apex_kmh": "(118.4)",
    "radius_m": "(1234.5)",
    "gradient_percent": "+12.5",
    "note": tr("a note of some words"),
    "grip": "1.25",
    "lean_deg": "48.5",
    "lowest_gear": "2",
    "hold_gear": "yes",
    None: tr("radius? …"),
}
_AIR = 12
#: The table is at least so many rows high, and so wide at the usual size of text.
_LEAST_ROWS, _LEAST_WIDE = 4, 300


def _row_high() -> int:
    return theme.metrics(theme.SMALL).lineSpacing() + 10


class CellDelegate(QStyledItemDelegate):
    """A line or a choice in the cell; a shortcut of the window finds what was typed in force."""

    def createEditor(self, parent: QWidget, _option: QStyleOptionViewItem, index: _Index) -> QWidget:
        """A list for what is one of a few words, a line of text for all else."""
        key = KEYS[index.column()]
        what = section_entry(key) if key else None
        if what is not None and what.kind == "choice":
            box = QComboBox(parent)
            for choice in what.choices:
                box.addItem(tr(choice), choice)
            box.activated.connect(self._chosen)
            editor: QWidget = box
        else:
            line = QLineEdit(parent)
            line.setFrame(False)
            line.setAlignment(index.data(Qt.ItemDataRole.TextAlignmentRole))
            line.setStyleSheet("padding: 0 3px; border-radius: 0;")
            editor = line
        editor.setFont(theme.font(theme.SMALL))
        editor.setAccessibleName(str(index.data(Qt.ItemDataRole.AccessibleTextRole)))
        return editor

    def setEditorData(self, editor: QWidget, index: _Index) -> None:
        """What the cell holds, whole."""
        text = str(index.data(Qt.ItemDataRole.EditRole))
        if isinstance(editor, QComboBox):
            editor.setCurrentText(text)
        elif isinstance(editor, QLineEdit):
            editor.setText(text)
            editor.selectAll()

    def setModelData(self, editor: QWidget, model: object, index: _Index) -> None:
        """What was typed or chosen."""
        assert isinstance(model, SectionsModel)
        if isinstance(editor, QComboBox):
            model.setData(index, editor.currentData())
        elif isinstance(editor, QLineEdit):
            model.setData(index, editor.text())

    def _chosen(self) -> None:
        """A word picked from the list is meant at once."""
        editor = self.sender()
        assert isinstance(editor, QWidget)
        self.commitData.emit(editor)
        self.closeEditor.emit(editor, QAbstractItemDelegate.EndEditHint.NoHint)

    def eventFilter(self, editor: QObject, event: QEvent) -> bool:
        """A shortcut may save or print: what was typed counts from then on."""
        if event.type() == QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent):
            own = (QKeySequence.StandardKey.Undo, QKeySequence.StandardKey.Redo, QKeySequence.StandardKey.Copy)
            if event.modifiers() & ~Qt.KeyboardModifier.ShiftModifier and not any(map(event.matches, own)):
                assert isinstance(editor, QWidget)
                self.commitData.emit(editor)
        return super().eventFilter(editor, event)

    def sizeHint(self, _option: QStyleOptionViewItem, _index: _Index) -> QSize:
        """A row's height; words that have no room are told whole beside the table."""
        return QSize(0, _row_high())


class SectionsTable(QTableView):
    """The table; `moved_to` carries the row at hand, the other signals what was asked of the rows by key.

    `clear_asked`, `copy_asked`, `paste_asked`; `insert_asked`, `delete_asked`; `move_asked` carries −1 or 1.
    """

    moved_to = Signal(int)
    clear_asked = Signal()
    copy_asked = Signal()
    paste_asked = Signal()
    insert_asked = Signal()
    delete_asked = Signal()
    move_asked = Signal(int)

    def __init__(self, model: SectionsModel, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setModel(model)
        self.setItemDelegate(CellDelegate(self))
        self.setAccessibleName(tr("Sections of the circuit"))
        self.setAccessibleDescription(
            tr(
                "Type or press F2 to edit a cell, Enter goes down, Delete empties the chosen cells; Insert adds "
                "a section, "
                "Ctrl with Delete removes the chosen ones, Alt with Up or Down moves one; Ctrl with C or V "
                "copies, pastes."
            )
        )
        self.setSelectionMode(QAbstractItemView.SelectionMode.ExtendedSelection)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectItems)
        trigger = QAbstractItemView.EditTrigger
        self.setEditTriggers(trigger.DoubleClicked | trigger.EditKeyPressed | trigger.AnyKeyPressed)
        # Tab leaves the table; in a cell that is edited it goes to the next one.
        self.setTabKeyNavigation(False)
        self.setWordWrap(False)
        self.setHorizontalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        # There before it is needed, so that nothing moves when it comes.
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOn)
        # Below a high table its own bar would be out of sight.
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._head = TableHead(tr("Sections of the circuit"), self.horizontalScrollBar(), self, lines=2)
        self.setHorizontalHeader(self._head)
        across, down = self._head, self.verticalHeader()
        across.setSectionResizeMode(QHeaderView.ResizeMode.Interactive)
        across.setHighlightSections(False)
        across.setMinimumSectionSize(8)
        down.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        down.setDefaultAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        down.setMinimumSectionSize(8)
        self._set_sizes()

    def _set_sizes(self) -> None:
        """The columns' and rows' sizes follow from the size of text alone."""
        down = self.verticalHeader()
        down.setDefaultSectionSize(_row_high())
        down.setFixedWidth(theme.metrics(theme.SMALL).horizontalAdvance("500") + _AIR)
        self._share_width()
        self.setMinimumHeight(self.horizontalHeader().sizeHint().height() + _row_high() * (_LEAST_ROWS + 1))

    def _share_width(self) -> None:
        """What is left of the room goes to what is wrong and to the note."""
        metrics = theme.metrics(theme.SMALL)
        bold = theme.metrics(theme.SMALL, bold=True)
        wide = []
        for column, key in enumerate(KEYS):
            head = str(self.model().headerData(column, Qt.Orientation.Horizontal, Qt.ItemDataRole.DisplayRole))
            sample = (bold if key is None else metrics).horizontalAdvance(_SAMPLES[key])
            heads = max(metrics.horizontalAdvance(line) for line in head.split("\n"))
            wide.append(max(heads, sample) + _AIR)
        self._head.scroll_sideways(sum(wide) > self.viewport().width(), 0)
        spare = max(self.viewport().width() - sum(wide), 0)
        wide[CHECK] += spare // 2
        wide[KEYS.index("note")] += spare - spare // 2
        for column, width in enumerate(wide):
            if self.columnWidth(column) != width:
                self.setColumnWidth(column, width)

    def minimumSizeHint(self) -> QSize:
        """It scrolls sideways."""
        return QSize(theme.px(_LEAST_WIDE), self.minimumHeight())

    def sizeHint(self) -> QSize:
        """The same: the page gives what it has left."""
        return self.minimumSizeHint()

    def row_at_hand(self) -> int:
        """The row of the cell at hand; 0 where there is none."""
        return max(self.currentIndex().row(), 0)

    def rows(self) -> tuple[int, int]:
        """The first and the last row of the chosen cells, else the row at hand twice."""
        chosen = [index.row() for index in self.selectedIndexes()]
        return (min(chosen), max(chosen)) if chosen else (self.row_at_hand(), self.row_at_hand())

    def keys(self) -> tuple[str, ...]:
        """The entries of the chosen columns, in their order."""
        chosen = {index.column() for index in self.selectedIndexes()} or {self.currentIndex().column()}
        return tuple(key for column, key in enumerate(KEYS) if column in chosen and key is not None)

    def take(self, row: int) -> None:
        """Bring a row to hand and into sight; the column stays."""
        index = self.model().index(row, max(self.currentIndex().column(), 0))
        if index.isValid() and (row != self.currentIndex().row() or not self.selectedIndexes()):
            select = QItemSelectionModel.SelectionFlag.ClearAndSelect
            self.selectionModel().setCurrentIndex(index, select)

    def key_at_hand(self) -> str:
        """The entry at which a paste begins: that of the first chosen column."""
        keys = self.keys()
        return keys[0] if keys else COLUMNS[0]

    def currentChanged(self, current: _Index, previous: _Index) -> None:
        """Another cell is at hand."""
        super().currentChanged(current, previous)
        if current.row() != previous.row() and current.isValid():
            self.moved_to.emit(current.row())

    def closeEditor(self, editor: QWidget, hint: QAbstractItemDelegate.EndEditHint) -> None:
        """Enter goes on in the row below, Tab edits the next cell that can be edited."""
        hints, at = QAbstractItemDelegate.EndEditHint, self.currentIndex()
        along = {hints.EditNextItem: 1, hints.EditPreviousItem: -1}.get(hint, 0)
        super().closeEditor(editor, hints.NoHint if along else hint)
        if hint == hints.SubmitModelCache and (below := at.siblingAtRow(at.row() + 1)).isValid():
            self.setCurrentIndex(below)
        elif along:
            self._edit_beside(at, along)

    def _edit_beside(self, at: QModelIndex, along: int) -> None:
        place = at.row() * len(KEYS) + at.column() + along
        if KEYS[place % len(KEYS)] is None:
            place += along
        beside = self.model().index(place // len(KEYS), place % len(KEYS))
        if beside.isValid():
            self.setCurrentIndex(beside)
            self.edit(beside)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """The keys that work on rows and on the clipboard."""
        control = event.modifiers() == Qt.KeyboardModifier.ControlModifier
        alt = event.modifiers() == Qt.KeyboardModifier.AltModifier
        key = Qt.Key(event.key())
        if event.matches(QKeySequence.StandardKey.Copy):
            self.copy_asked.emit()
        elif event.matches(QKeySequence.StandardKey.Paste):
            self.paste_asked.emit()
        elif control and key == Qt.Key.Key_Delete:
            self.delete_asked.emit()
        elif key in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace) and not event.modifiers():
            self.clear_asked.emit()
        elif key == Qt.Key.Key_Insert:
            self.insert_asked.emit()
        elif alt and key in (Qt.Key.Key_Up, Qt.Key.Key_Down):
            self.move_asked.emit(1 if key == Qt.Key.Key_Down else -1)
        else:
            super().keyPressEvent(event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Another width is shared anew."""
        super().resizeEvent(event)
        self._share_width()

    def changeEvent(self, event: QEvent) -> None:
        """Text of another size needs other sizes."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.StyleChange:
            self._set_sizes()
