"""The table under the speed chart: each gear's ratio, step, speed and engine speed, fitted and proposed."""

from __future__ import annotations

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QPersistentModelIndex, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent
from PySide6.QtWidgets import QAbstractItemView, QHeaderView, QTableView, QWidget

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
_DIFFERENCES = (7, 10)
_FITTED = (1, 5, 8)


class GearModel(QAbstractTableModel):
    """Rows are gears; every text comes from plan's rows."""

    def __init__(self, view: View, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._view = view
        self._rows: tuple[GearRow, ...] = ()
        self._cells: list[tuple[str, ...]] = []
        self._heads: tuple[str, ...] = ()

    def show_rows(self, rows: tuple[GearRow, ...], cursor: float) -> None:
        """Take new rows; `cursor` in m/s is named in the heads."""
        unit, factor = self._view.speed_unit, self._view.speed_factor
        at = f"rpm at {cursor / factor:.0f} {unit}"
        heads = (
            "Gear", "Overall\nfitted", "\nproposed", "Step to\nnext", "After\nshift, rpm",
            f"{unit} at redline\nfitted", "\nproposed", "\ndifference",
            f"{at}\nfitted", "\nproposed", "\ndifference",
        )  # fmt: skip
        reshaped = len(rows) != len(self._rows)
        if reshaped:
            self.beginResetModel()
        self._rows = rows
        self._cells = [self._texts(row, factor) for row in rows]
        if reshaped:
            self.endResetModel()
        if heads != self._heads:
            self._heads = heads
            self.headerDataChanged.emit(Qt.Orientation.Horizontal, 0, len(heads) - 1)

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
        """Text, alignment and, for the fitted columns, the quiet colour."""
        if role == Qt.ItemDataRole.DisplayRole:
            return self._cells[index.row()][index.column()]
        if role == Qt.ItemDataRole.TextAlignmentRole:
            return Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
        if role == Qt.ItemDataRole.ForegroundRole and index.column() in _FITTED:
            return QColor(theme.current().quiet)
        if role == Qt.ItemDataRole.FontRole:
            return theme.font(theme.SMALL + 1, bold=index.column() in _DIFFERENCES)
        if role == Qt.ItemDataRole.ToolTipRole:
            return "Double-click or press F1 for how it is computed"
        return None


class GearTable(QTableView):
    """The table; `how_asked` carries plan's key of the number and the gear."""

    how_asked = Signal(str, int)

    def __init__(self, view: View, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._model = GearModel(view, self)
        self.setModel(self._model)
        self.setAccessibleName("Each gear, fitted and proposed")
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setTabKeyNavigation(False)
        self.setShowGrid(False)
        self.verticalHeader().hide()
        self.verticalHeader().setDefaultSectionSize(22)
        self.verticalHeader().setMinimumSectionSize(22)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        header = self.horizontalHeader()
        header.setSectionResizeMode(QHeaderView.ResizeMode.Stretch)
        header.setMinimumSectionSize(36)
        header.setSectionResizeMode(0, QHeaderView.ResizeMode.Fixed)
        header.resizeSection(0, 40)
        header.setDefaultAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        header.setSectionsClickable(False)
        self.doubleClicked.connect(self._ask)

    def show_rows(self, rows: tuple[GearRow, ...], cursor: float) -> None:
        """Show new rows, as many lines high as there are gears."""
        self._model.show_rows(rows, cursor)
        self.setFixedHeight(self.horizontalHeader().sizeHint().height() + 22 * max(len(rows), 1) + 4)
        self.viewport().update()

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
