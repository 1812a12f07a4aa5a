"""The grid of sets as a table: a model over plan's grid, and a delegate that paints ratio and fit of a cell.

The stock delegate needs longer than a frame for a grid of this size; this one does not, and the cells stay
ordinary cells for the keyboard and the screen reader.
"""

from __future__ import annotations

from PySide6.QtCore import (
    QAbstractTableModel,
    QEvent,
    QModelIndex,
    QPersistentModelIndex,
    QPoint,
    QRect,
    QRectF,
    QSize,
    Qt,
    Signal,
)
from PySide6.QtGui import QBrush, QColor, QKeyEvent, QMouseEvent, QPainter, QPen, QResizeEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHeaderView,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTableView,
    QWidget,
)

from gearplan.bike.profile import Bike
from gearplan.bike.text import written
from gearplan.plan import words
from gearplan.plan.driveset import DriveSet
from gearplan.plan.findings import Level
from gearplan.plan.set.doubts import judged
from gearplan.plan.set.evaluate import evaluate
from gearplan.plan.set.grid import Grid
from gearplan.window.kit import theme
from gearplan.window.kit.shapes import paint_verdict
from gearplan.window.kit.tables.textcells import tell_changed

_Index = QModelIndex | QPersistentModelIndex

#: Cells within this share of the proposed ratio are shown as nearly the same.
NEARLY = 0.01
LEGEND = (
    "Final ratios. Hatched: does not fit. Triangle: to be checked. Dashed frame: fitted. "
    f"Underlined: within {NEARLY:.0%} of the proposed ratio. Click or Enter proposes a set."
)
#: The side of a verdict's shape in a cell, and how far the plate below it in the proposed cell reaches beyond it.
_SHAPE, _PLATE = 12, 2
#: Left and right of a cell's words, and above and below them.
_MARGIN, _AIR = 6, 6


class GridModel(QAbstractTableModel):
    """Rear teeth down, front teeth across; the words of a cell come from plan."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.bike = Bike()
        self.grid: Grid | None = None
        self.chosen: tuple[int, int] | None = None
        self.on: tuple[int, int] | None = None
        self.near: list[list[bool]] = []

    def show_grid(self, bike: Bike, grid: Grid, chosen: DriveSet) -> None:
        """Take another grid or another chosen set."""
        was, before = self.grid, self._looks()
        same = grid is was and bike is self.bike
        reshaped = was is None or (grid.fronts, grid.rears) != (was.fronts, was.rears)
        if reshaped:
            self.beginResetModel()
        self.bike, self.grid = bike, grid
        self.chosen = grid.cell_of(chosen.front, chosen.rear)
        self.on = grid.cell_of(bike.final_drive.front, bike.final_drive.rear)
        ratio = chosen.rear / chosen.front if chosen.front and chosen.rear else None
        self.near = grid.near(ratio, NEARLY).tolist() if ratio else []
        if reshaped:
            self.endResetModel()
        elif same:
            # Only cells that look otherwise now: painting all of them would take a good part of a frame.
            tell_changed(self, sorted({cell[:2] for cell in before ^ self._looks()}))
        else:
            self.dataChanged.emit(self.index(0, 0), self.index(self.rowCount() - 1, self.columnCount() - 1))

    def _looks(self) -> set[tuple[int, int, str]]:
        """The cells that stand out, with what marks them."""
        marked = {(r, c, "near") for r, row in enumerate(self.near) for c, near in enumerate(row) if near}
        return marked | ({(*self.chosen, "chosen")} if self.chosen else set())

    def rowCount(self, _parent: _Index | None = None) -> int:
        """Rear tooth counts."""
        return len(self.grid.rears) if self.grid else 0

    def columnCount(self, _parent: _Index | None = None) -> int:
        """Front tooth counts."""
        return len(self.grid.fronts) if self.grid else 0

    def headerData(self, section: int, orientation: Qt.Orientation, role: int = 0) -> object:
        """Tooth counts, the fitted ones marked."""
        if self.grid is None:
            return None
        across = orientation == Qt.Orientation.Horizontal
        count = (self.grid.fronts if across else self.grid.rears)[section]
        if role == Qt.ItemDataRole.DisplayRole:
            return str(count)
        if role == Qt.ItemDataRole.AccessibleTextRole:
            return f"{'front' if across else 'rear'} {count}"
        return None

    def data(self, index: _Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        """Text for the screen reader and the tooltip; the delegate asks for `cell` directly."""
        if self.grid is None or not index.isValid():
            return None
        row, column = index.row(), index.column()
        if role in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.AccessibleTextRole):
            ratio, change, links = self.cell(row, column)
            parts = [words.teeth(self.grid.set_at(row, column)), ratio, change, f"{links} links"]
            parts.append(self.grid.levels[row][column])
            if self.near and self.near[row][column]:
                parts.append("nearly the proposed ratio")
            if (row, column) == self.on:
                parts.append("fitted")
            if (row, column) == self.chosen:
                parts.append("proposed")
            return ", ".join(parts)
        if role == Qt.ItemDataRole.ToolTipRole:
            result = judged(self.bike, evaluate(self.bike, self.grid.set_at(row, column)))
            title = f"{words.teeth(result.set)}: {words.VERDICT[result.verdict]}"
            told = [title, *(f"{f.level}: {f.text}" for f in result.findings)]
            if again := result.run.rear_turns_to_meet_again:
                told.append(f"The same rear tooth meets the same link every {again} turns; more is better.")
            return "\n".join(told)
        return None

    def told(self, row: int, column: int, *, why: bool) -> str:
        """A cell's figures and verdict in words, and `why` so."""
        assert self.grid is not None
        chosen = self.grid.set_at(row, column)
        ratio, change, links = self.cell(row, column)
        verdict, order = words.VERDICT[self.grid.levels[row][column]], self.grid.links[row][column]
        told = f"{words.teeth(chosen)}: {ratio}, {change} against fitted"
        if chosen.links is None or order in (None, chosen.links):
            told += f", {links} links. {verdict}."
        else:
            # The verdict is on the links at hand; others would do.
            told += f". {verdict} with {chosen.links} links; {order} would do."
        if why:
            result = judged(self.bike, evaluate(self.bike, chosen))
            against = [f.text for f in result.findings if f.level == result.verdict != "fits" and not f.aside]
            told += f" {against[0]}" if against else ""
        return told

    def cell(self, row: int, column: int) -> tuple[str, str, str]:
        """(final ratio, change against fitted, links to order) as shown."""
        assert self.grid is not None
        grid = self.grid
        links = grid.links[row][column]
        change = None if grid.change is None else float(grid.change[row, column])
        return (
            f"{grid.ratio[row, column]:.3f}",
            written.signed_percent(change),
            "–" if links is None else str(links),
        )


def _least_cell() -> QSize:
    """What a ratio and a verdict's shape need at least."""
    bold = theme.metrics(theme.BODY, bold=True)
    wide = bold.horizontalAdvance("0.000") + _SHAPE + _MARGIN // 2 + 2 * _MARGIN
    return QSize(wide, max(bold.height(), _SHAPE + 2 * _PLATE) + _AIR)


class GridDelegate(QStyledItemDelegate):
    """Paints the ratio, and the fit: plain where it fits, a triangle where it is to be checked, hatched where not."""

    def sizeHint(self, _option: QStyleOptionViewItem, index: _Index) -> QSize:
        """What the words of a cell need."""
        model = index.model()
        assert isinstance(model, GridModel)
        wide = theme.metrics(theme.BODY, bold=True).horizontalAdvance(model.cell(index.row(), index.column())[0])
        least = _least_cell()
        return QSize(wide + _SHAPE + _MARGIN // 2 + 2 * _MARGIN, least.height())

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: _Index) -> None:
        """Draw one cell."""
        model = index.model()
        assert isinstance(model, GridModel)
        assert model.grid is not None
        row, column = index.row(), index.column()
        now, rect = theme.current(), option.rect
        is_chosen, is_on = (row, column) == model.chosen, (row, column) == model.on
        level = model.grid.levels[row][column]
        ink = now.quiet if level == "does not fit" else now.text
        if is_chosen:
            painter.fillRect(rect, QColor(now.accent))
            ink = now.on_accent
        elif level == "does not fit":
            painter.fillRect(rect, QBrush(QColor(now.line), Qt.BrushStyle.BDiagPattern))
        ratio, wide = model.cell(row, column)[0], rect.width() - 2 * _MARGIN
        painter.setFont(theme.font(theme.BODY, bold=is_chosen or is_on))
        painter.setPen(QColor(ink))
        words_box = QRect(rect.left() + _MARGIN, rect.top(), wide, rect.height())
        if level == "does not fit" and not is_chosen:
            # The hatching must not cross the figures.
            metrics = theme.metrics(theme.BODY, bold=is_on)
            plate = QRect(words_box.left() - 2, 0, metrics.horizontalAdvance(ratio) + 4, metrics.ascent() + 2)
            plate.moveCenter(QPoint(plate.center().x(), rect.center().y()))
            painter.fillRect(plate, QColor(now.surface))
        painter.drawText(words_box, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, ratio)
        if model.near and model.near[row][column] and not is_chosen:
            metrics = theme.metrics(theme.BODY, bold=is_on)
            y = rect.center().y() + metrics.height() // 2
            painter.fillRect(words_box.left(), y, metrics.horizontalAdvance(ratio), 2, QColor(now.accent))
        if level == "check" or (is_chosen and level == "does not fit"):
            self._paint_shape(painter, level, rect, is_chosen)
        if is_on:
            pen = QPen(QColor(now.on_accent if is_chosen else now.text), 1.6)
            pen.setDashPattern([4, 3])
            painter.setPen(pen)
            painter.drawRect(rect.adjusted(0, 0, -1, -1))
        if option.state & QStyle.StateFlag.State_HasFocus:
            painter.setPen(QPen(QColor(now.text), 2))
            painter.drawRect(rect.adjusted(1, 1, -2, -2))

    @staticmethod
    def _paint_shape(painter: QPainter, level: Level, rect: QRect, on_plate: bool) -> None:
        """A verdict's shape at the right, on the proposed cell on a plate of the paper's colour."""
        box = QRectF(rect.right() - _MARGIN - _SHAPE + 1, rect.center().y() - _SHAPE / 2, _SHAPE, _SHAPE)
        if on_plate:
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(QColor(theme.current().surface))
            painter.drawRoundedRect(box.adjusted(-_PLATE, -_PLATE, _PLATE, _PLATE), 3, 3)
        paint_verdict(painter, level, box)
        painter.setBrush(Qt.BrushStyle.NoBrush)


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
        self.setModel(self._model)
        self.setItemDelegate(GridDelegate(self))
        self.setAccessibleName("Grid of sprocket sets: front teeth across, rear teeth down")
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
        least = _least_cell()
        return QSize(4 * least.width(), 4 * least.height())

    def rows_high(self, rows: int) -> int:
        """The height in which so many rows stand without scrolling."""
        head = self.horizontalHeader().sizeHint().height()
        return rows * _least_cell().height() + head + 2 * self.frameWidth()

    def sizeHint(self) -> QSize:
        """The same: a page gives what it has left."""
        return self.minimumSizeHint()

    def _share_room(self) -> None:
        view, cell = self.viewport().size(), _least_cell()
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
