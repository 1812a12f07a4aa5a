"""What the photograph tells beside what the profile has, each with its doubt; one button takes it over."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QFrame, QGridLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from gearplan.bike.profile import Bike
from gearplan.language import tr
from gearplan.photo.miscount import Miscount
from gearplan.photo.profile import Row, rows
from gearplan.photo.told import Quantity, Told
from gearplan.window.kit import theme
from gearplan.window.kit.controls.tickbox import TickBox
from gearplan.window.kit.plaintext import PlainLabel

_HEADS = (tr("profile"), tr("picture"), "95 %")


class ResultPanel(QFrame):
    """Before and after, side by side. `take_asked` is for the ticked quantities, `count_asked` another numbering."""

    take_asked = Signal()
    count_asked = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("card", True)
        self._miscount: Miscount | None = None
        column = QVBoxLayout(self)
        column.setContentsMargins(*[theme.UNIT] * 4)
        column.setSpacing(theme.UNIT // 2)
        self.words = PlainLabel()
        self.words.setWordWrap(True)
        self.count = QPushButton(tr("Count it so"))
        self.count.clicked.connect(self._count)
        self.count.setAutoDefault(False)
        column.addWidget(self.words)
        column.addWidget(self.count, 0, Qt.AlignmentFlag.AlignLeft)
        grid = QGridLayout()
        grid.setHorizontalSpacing(theme.UNIT)
        grid.setVerticalSpacing(0)
        grid.setColumnStretch(0, 1)
        self._heads = [PlainLabel(head) for head in _HEADS]
        self._heads[2].setToolTip(tr("The value lies within it 95 times of 100."))
        for place, label in enumerate(self._heads):
            label.setProperty("role", "small")
            grid.addWidget(label, 0, place + 1, Qt.AlignmentFlag.AlignRight)
        self._grid = grid
        column.addLayout(grid)
        self.ticks: dict[Quantity, TickBox] = {}
        self._cells: dict[Quantity, tuple[QLabel, ...]] = {}
        self.take = QPushButton(tr("Take into the profile"))
        self.take.clicked.connect(self.take_asked)
        self.take.setAutoDefault(False)
        column.addWidget(self.take, 0, Qt.AlignmentFlag.AlignLeft)
        self.notes = PlainLabel()
        self.notes.setProperty("role", "small")
        self.notes.setWordWrap(True)
        column.addWidget(self.notes)

    def wanted(self) -> tuple[Quantity, ...]:
        """The quantities that are told and ticked."""
        return tuple(quantity for quantity, tick in self.ticks.items() if tick.isEnabled() and tick.isChecked())

    def show_told(self, bike: Bike, told: Told | None, words: str = "") -> None:
        """Show what is told now; `words` in its place while nothing can be told."""
        found = () if told is None else rows(bike, told)
        for row in found:
            self._show_row(row)
        shown = bool(found) and told is not None and not told.contradiction
        for cells in self._cells.values():
            for cell in cells:
                cell.setVisible(shown and bool(cell.text()))
        for widget in (*self.ticks.values(), *self._heads, self.take):
            widget.setVisible(shown)
        self._miscount = None if told is None else told.miscount
        self.count.setVisible(self._miscount is not None)
        said = (
            words
            if told is None
            else told.contradiction and tr("{contradiction} Nothing is taken.", contradiction=told.contradiction)
        )
        self.words.setText(said)
        self.words.setProperty("role", "error" if told is not None and told.contradiction else "")
        self.words.style().unpolish(self.words)
        self.words.style().polish(self.words)
        self.words.setVisible(bool(said))
        self.notes.setText("" if told is None else "\n".join(told.notes))
        self.notes.setVisible(bool(self.notes.text()))
        self._allow()

    def _show_row(self, row: Row) -> None:
        if row.quantity not in self.ticks:
            self._make_row(row)
        before, after, doubt, why = self._cells[row.quantity]
        before.setText(row.before)
        after.setText(row.after)
        doubt.setText(row.doubt)
        why.setText(row.why)
        tick = self.ticks[row.quantity]
        tick.setEnabled(row.number is not None)
        told = (
            tr("{after} {doubt}, {before} in the profile", after=row.after, doubt=row.doubt, before=row.before)
            if row.number is not None
            else tr("not told")
        )
        tick.setAccessibleDescription(f"{told}. {row.why}")

    def _make_row(self, row: Row) -> None:
        line = self._grid.rowCount()
        tick = TickBox(row.label)
        tick.setChecked(True)
        tick.toggled.connect(self._allow)
        self._grid.addWidget(tick, line, 0)
        cells = tuple(PlainLabel() for _ in range(4))
        for place, cell in enumerate(cells[:3]):
            self._grid.addWidget(cell, line, place + 1, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        cells[0].setProperty("role", "quiet")
        cells[3].setProperty("role", "small")
        cells[3].setWordWrap(True)
        self._grid.addWidget(cells[3], line + 1, 0, 1, 4)
        self.ticks[row.quantity], self._cells[row.quantity] = tick, cells

    def _allow(self) -> None:
        self.take.setEnabled(bool(self.wanted()))

    def _count(self) -> None:
        if self._miscount is not None:
            self.count_asked.emit(self._miscount.points)
