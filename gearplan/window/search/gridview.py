"""The grid of sets as a table: a model over plan's grid, and a delegate that paints ratio and fit of a cell.

The stock delegate needs longer than a frame for a grid of this size; this one does not, and the cells stay
ordinary cells for the keyboard and the screen reader.
"""

from __future__ import annotations

from PySide6.QtCore import QEvent, QModelIndex, QPersistentModelIndex, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QResizeEvent
from PySide6.QtWidgets import QAbstractItemView, QHeaderView, QTableView, QWidget

from gearplan.bike.profile import Bike
from gearplan.language import tr
from gearplan.plan.driveset import DriveSet
from gearplan.plan.set.grid import Grid
from gearplan.window.search.gridcells import GridDelegate, least_cell
from gearplan.window.search.gridmodel import NEARLY, GridModel

_Index = QModelIndex | QPersistentModelIndex

LEGEND = tr(
    "Final ratios. Cross: does not fit. Triangle: fits, but check. Dashed frame: fitted. Underlined: "
    "within {nearly:.0%} of the proposed ratio. Click or Enter proposes a set.",
    nearly=NEARLY,
)
#: So long after the last change it is told why the cell at hand is judged so (ms).
_AT_REST = 250


class GridView(QTableView):
    """The table. `proposed` carries the DriveSet of a cell that was clicked or entered; `how_asked` as elsewhere;
    `in_hand` tells of the cell under the pointer, or else of the one that the keys are at."""

    proposed = Signal(object)
    in_hand = Signal(str)
    how_asked = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._model = GridModel(self)
        #: While the proposed cell is made the current one: why it is so takes longer to tell than a slider's step.
        self._moving = False
        self._rest = QTimer(self)
        self._rest.setSingleShot(True)
        self._rest.timeout.connect(self._tell_why)
        self.setModel(self._model)
        self.setItemDelegate(GridDelegate(self))
        self.setAccessibleName(tr("Grid of sprocket sets: front teeth across, rear teeth down"))
        self.setSelectionMode(QAbstractItemView.SelectionMode.NoSelection)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setHorizontalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setTabKeyNavigation(False)
        self.setMouseTracking(True)
        self.entered.connect(self._pointed_at)
        for header in (self.horizontalHeader(), self.verticalHeader()):
            header.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
            header.setHighlightSections(False)
            header.setSectionsClickable(False)
        self.horizontalHeader().setStretchLastSection(False)
        self.verticalHeader().setDefaultAlignment(Qt.AlignmentFlag.AlignCenter)

    def show_grid(self, bike: Bike, grid: Grid, chosen: DriveSet) -> None:
        """Show a grid with the chosen set marked; brings its cell into sight when it changed."""
        before = self._model.chosen
        shape = self._model.rowCount(), self._model.columnCount()
        self._model.show_grid(bike, grid, chosen)
        if shape != (self._model.rowCount(), self._model.columnCount()):
            self._share_room()
        now = self._model.chosen
        if now is not None and now != before:
            index = self._model.index(*now)
            self._moving = True
            self.setCurrentIndex(index)
            self._moving = False
            self.scrollTo(index)
        self._tell(self.currentIndex(), why=False)
        self._rest.start(_AT_REST)

    def _tell_why(self) -> None:
        if not self.underMouse():
            self._tell(self.currentIndex(), why=True)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Cells share the room there is; when there is too little they keep their least size and scroll."""
        super().resizeEvent(event)
        self._share_room()

    def currentChanged(self, current: _Index, previous: _Index) -> None:
        """The keys are at another cell."""
        super().currentChanged(current, previous)
        if not self._moving:
            self._tell(current, why=True)

    def leaveEvent(self, event: QEvent) -> None:
        """The pointer is on no cell any more."""
        super().leaveEvent(event)
        self._tell(self.currentIndex(), why=True)

    def _pointed_at(self, index: QModelIndex) -> None:
        self._tell(index, why=True)

    def _tell(self, index: _Index, *, why: bool) -> None:
        if index.isValid() and self._model.grid is not None:
            self.in_hand.emit(self._model.told(index.row(), index.column(), why=why))

    def changeEvent(self, event: QEvent) -> None:
        """Text of another size needs other cells."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.StyleChange:
            self._share_room()

    def minimumSizeHint(self) -> QSize:
        """A few cells can be seen at a time."""
        least = least_cell()
        return QSize(4 * least.width(), 4 * least.height())

    def rows_high(self, rows: int) -> int:
        """The height in which so many rows stand without scrolling."""
        head = self.horizontalHeader().sizeHint().height()
        return rows * least_cell().height() + head + 2 * self.frameWidth()

    def sizeHint(self) -> QSize:
        """The same: a page gives what it has left."""
        return self.minimumSizeHint()

    def _share_room(self) -> None:
        view, cell = self.viewport().size(), least_cell()
        for header, room, least in (
            (self.horizontalHeader(), view.width(), cell.width()),
            (self.verticalHeader(), view.height(), cell.height()),
        ):
            count = max(header.count(), 1)
            header.setDefaultSectionSize(min(max(room // count, least), 2 * least))

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """A click proposes the set under the pointer."""
        super().mouseReleaseEvent(event)
        index = self.indexAt(event.position().toPoint())
        if event.button() == Qt.MouseButton.LeftButton and index.isValid():
            self._propose(index)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Arrows walk the cells, Enter or Space proposes, F1 explains."""
        index = self.currentIndex()
        if index.isValid() and event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space):
            self._propose(index)
            return
        if event.key() == Qt.Key.Key_F1:
            self.ask_at_hand()
            return
        super().keyPressEvent(event)

    def ask_at_hand(self) -> None:
        """Ask how a cell's numbers are computed."""
        self.how_asked.emit("links")

    def _propose(self, index: QModelIndex) -> None:
        if self._model.grid is not None:
            self.proposed.emit(self._model.grid.set_at(index.row(), index.column()))
