"""The grid of sprocket sets as a table's model: ratios, verdicts, and what is said of a cell."""

from __future__ import annotations

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QPersistentModelIndex, Qt
from PySide6.QtWidgets import QWidget

from gearplan.bike.profile import Bike
from gearplan.bike.text import written
from gearplan.language import decimal, tr
from gearplan.plan import words
from gearplan.plan.driveset import DriveSet
from gearplan.plan.findings import Level, level_words
from gearplan.plan.set.doubts import judged
from gearplan.plan.set.evaluate import evaluate
from gearplan.plan.set.grid import Grid
from gearplan.plan.set.verdict import verdict as judge
from gearplan.window.kit.plaintext import plain
from gearplan.window.kit.tables.textcells import tell_changed

_Index = QModelIndex | QPersistentModelIndex

#: Cells within this share of the proposed ratio are shown as nearly the same.
NEARLY = 0.01
#: What is said of a cell while sets are tried; how many cautions there are is told a little later.
_AT_ONCE: dict[Level, str] = {**words.VERDICT, "check": tr("To be checked")}


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
            return f"{tr('front') if across else tr('rear')} {count}"
        return None

    def data(self, index: _Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        """Text for the screen reader and the tooltip; the delegate asks for `cell` directly."""
        if self.grid is None or not index.isValid():
            return None
        row, column = index.row(), index.column()
        if role in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.AccessibleTextRole):
            ratio, change, links = self.cell(row, column)
            parts = [words.teeth(self.grid.set_at(row, column)), ratio, change, tr("{links} links", links=links)]
            parts.append(level_words(self.grid.levels[row][column]))
            if self.near and self.near[row][column]:
                parts.append(tr("nearly the proposed ratio"))
            if (row, column) == self.on:
                parts.append(tr("fitted"))
            if (row, column) == self.chosen:
                parts.append(tr("proposed"))
            return ", ".join(parts)
        if role == Qt.ItemDataRole.ToolTipRole:
            result = judged(self.bike, evaluate(self.bike, self.grid.set_at(row, column)))
            title = f"{words.teeth(result.set)}: {judge(result).head}"
            told = [title, *(f"{level_words(f.level)}: {f.text}" for f in result.findings)]
            if again := result.run.rear_turns_to_meet_again:
                told.append(
                    tr("The same rear tooth meets the same link every {again} turns; more is better.", again=again)
                )
            return plain("\n".join(told))
        return None

    def told(self, row: int, column: int, *, why: bool) -> str:
        """A cell's figures and verdict in words, and `why` so."""
        assert self.grid is not None
        chosen = self.grid.set_at(row, column)
        ratio, change, links = self.cell(row, column)
        level, order = self.grid.levels[row][column], self.grid.links[row][column]
        result = judged(self.bike, evaluate(self.bike, chosen)) if why else None
        verdict = judge(result).head if result is not None and level == "check" else _AT_ONCE[level]
        told = tr("{teeth}: {ratio}, {change} against fitted", teeth=words.teeth(chosen), ratio=ratio, change=change)
        if chosen.links is None or order in (None, chosen.links):
            told += tr(", {links} links. {verdict}.", links=links, verdict=verdict)
        else:
            # The verdict is on the links at hand; others would do.
            told += f". {verdict} with {chosen.links} links; {order} would do."
        if result is not None:
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
            decimal(f"{grid.ratio[row, column]:.3f}"),
            written.signed_percent(change),
            "–" if links is None else str(links),
        )
