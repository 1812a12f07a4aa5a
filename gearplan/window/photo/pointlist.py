"""The steps with their points and how far each misses, as one list: choosing a row chooses the step or the point."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QListWidget, QListWidgetItem, QWidget

from gearplan.bike.text import written
from gearplan.language import tr
from gearplan.photo.points import GROUPS, PINS, SINGLE, Group, of
from gearplan.window.kit import theme
from gearplan.window.photo.words import TITLES
from gearplan.window.photo.work import PhotoWork

_INDEX = Qt.ItemDataRole.UserRole


class PointList(QListWidget):
    """Rows of steps, in their order, each followed by its points."""

    def __init__(self, work: PhotoWork, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._work = work
        self._filling = False
        self.setAccessibleName(tr("Steps and points"))
        self.setWordWrap(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.currentRowChanged.connect(self._row_chosen)
        work.changed.connect(self.refresh)
        work.moved.connect(self._show_choice)
        self.refresh()

    def minimumSizeHint(self) -> QSize:
        """Some rows at least."""
        return QSize(theme.px(200), 6 * theme.metrics().lineSpacing())

    def sizeHint(self) -> QSize:
        """What is left."""
        return self.minimumSizeHint()

    def refresh(self) -> None:
        """Write the rows anew; what did not change keeps its item, so that a reader's place is kept."""
        wanted: list[tuple[str, Group | int]] = []
        for place, group in enumerate(GROUPS):
            found = of(self._work.points, group)
            count = "" if not found else " ✓" if group in SINGLE else f" ({len(found)})"
            wanted.append((f"{place + 1}. {TITLES[group]}{count}", group))
            for point in found:
                miss = self._work.miss(point)
                off = "" if miss is None else f": {written.number(miss, 1, 1)} px off"
                name = (
                    tr("pin {number}", number=point.number)
                    if group in PINS
                    else "point"
                    if group in SINGLE
                    else tr("point {number}", number=point.number)
                )
                wanted.append((f"      {name}{off}", self._work.points.index(point)))
        self._filling = True
        while self.count() > len(wanted):
            self.takeItem(self.count() - 1)
        for row, (words, data) in enumerate(wanted):
            if row == self.count():
                self.addItem(QListWidgetItem())
            item = self.item(row)
            item.setText(words)
            item.setData(_INDEX, data)
            font = theme.font(bold=isinstance(data, str))
            item.setFont(font)
        self._filling = False
        self._show_choice()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Del takes the chosen point away; [ and ] count a pin to another number."""
        key = event.key()
        if key in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace):
            self._work.remove()
        elif key in (Qt.Key.Key_BracketLeft, Qt.Key.Key_BracketRight):
            self._work.count(-1 if key == Qt.Key.Key_BracketLeft else 1)
        else:
            super().keyPressEvent(event)

    def _show_choice(self) -> None:
        wanted = self._work.step if self._work.chosen is None else self._work.chosen
        for row in range(self.count()):
            if self.item(row).data(_INDEX) == wanted and row != self.currentRow():
                self._filling = True
                self.setCurrentRow(row)
                self._filling = False
                self.scrollToItem(self.item(row))

    def _row_chosen(self, row: int) -> None:
        if self._filling or row < 0:
            return
        data = self.item(row).data(_INDEX)
        if isinstance(data, int):
            self._work.choose(data)
        else:
            self._work.take_step(data)
