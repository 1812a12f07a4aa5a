"""Pages behind tabs; on a large screen several of them at once, each under its name."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QEvent, QSize, Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QApplication, QHBoxLayout, QTabWidget, QVBoxLayout, QWidget

from gearplan.language import tr
from gearplan.window.kit import theme
from gearplan.window.kit.plaintext import PlainLabel

#: No column of a spread is narrower than this at the usual size of text.
_COLUMN = 480
#: The height of a page's name above it, with the space below.
_NAME = 32


class Tabs(QTabWidget):
    """Tabs that tell the page when one of them needs more room."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        # It takes the focus for its bar, and a screen reader meets it first.
        self.setAccessibleName(tr("Tabs"))
        self.setDocumentMode(True)
        self.tabBar().setDrawBase(False)
        self.setElideMode(Qt.TextElideMode.ElideNone)
        self.currentChanged.connect(self._changed)

    def event(self, event: QEvent) -> bool:
        """Qt's own keeps this to itself."""
        if event.type() == QEvent.Type.LayoutRequest:
            self.updateGeometry()
        return super().event(event)

    def _changed(self, _index: int) -> None:
        self.updateGeometry()


@dataclass(frozen=True)
class Leaf:
    """A page of a spread: its name, and the height and width at which it is worth a place of its own.

    One that is to be `alone` has a column to itself.
    """

    name: str
    page: QWidget
    high: int
    wide: int = _COLUMN
    alone: bool = False


class Spread(QWidget):
    """Tabs where the room is small. Where it is large the first pages stand beside and below one another, the tabs hold
    the rest; where all have room there are no tabs. `changed` says that another page is in sight."""

    changed = Signal()

    def __init__(self, leaves: Sequence[Leaf], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._leaves = tuple(leaves)
        self._columns: tuple[tuple[int, ...], ...] = ()
        self._disabled: set[str] = set()
        self._together = False
        self._shelf = QHBoxLayout(self)
        self._shelf.setContentsMargins(0, 0, 0, 0)
        self._shelf.setSpacing(2 * theme.UNIT)
        self._cells: list[QWidget] = []
        self.tabs = Tabs()
        for leaf in self._leaves:
            self.tabs.addTab(leaf.page, tr(leaf.name))
        self.tabs.currentChanged.connect(self._turned)
        self._shelf.addWidget(self.tabs)

    def in_sight(self) -> tuple[str, ...]:
        """The names of the pages that can be seen now."""
        placed = {index for column in self._columns for index in column}
        open_one = self.tabs.currentWidget()
        return tuple(leaf.name for k, leaf in enumerate(self._leaves) if k in placed or leaf.page is open_one)

    def show_page(self, name: str) -> None:
        """Bring a page into sight."""
        page = next(leaf.page for leaf in self._leaves if leaf.name == name)
        if self.tabs.indexOf(page) >= 0:
            self.tabs.setCurrentWidget(page)

    def offer(self, name: str, there: bool) -> None:
        """Show or hide the tab of a page that has none but a tab."""
        page = next(leaf.page for leaf in self._leaves if leaf.name == name)
        self.tabs.setTabVisible(self.tabs.indexOf(page), there)

    def enable(self, name: str, there: bool) -> None:
        """Let the tab of a page be turned to, or not, whenever the page is behind one."""
        (self._disabled.discard if there else self._disabled.add)(name)
        page = next(leaf.page for leaf in self._leaves if leaf.name == name)
        if (at := self.tabs.indexOf(page)) >= 0:
            self.tabs.setTabEnabled(at, there)

    def keep_together(self, wanted: bool) -> None:
        """Keep all pages behind their tabs, however large the room, or no longer."""
        if wanted != self._together:
            self._together = wanted
            self._place(self._plan(self.size()))

    def minimumSizeHint(self) -> QSize:
        """What the tabs need: with less room than the pages have now they go back there."""
        needs = [leaf.page.minimumSizeHint() for leaf in self._leaves]
        high = max(each.height() for each in needs) + theme.px(_NAME)
        return QSize(max(self.tabs.minimumSizeHint().width(), *(each.width() for each in needs)), high)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Another room holds more or fewer pages."""
        super().resizeEvent(event)
        self._place(self._plan(event.size()))

    def event(self, event: QEvent) -> bool:
        """Text of another size needs other places."""
        if event.type() == QEvent.Type.LayoutRequest:
            self._place(self._plan(self.size()))
        return super().event(event)

    def _turned(self, _index: int) -> None:
        self.changed.emit()

    def _plan(self, room: QSize) -> tuple[tuple[int, ...], ...]:
        """The pages in columns; none where the tabs are to hold them all. As many as there is room for."""
        if self._together:
            return ()
        for count in range(len(self._leaves), 0, -1):
            # One alone behind a tab is a page of its own.
            if count != len(self._leaves) - 1 and (columns := self._packed(count, room)):
                return columns
        return ()

    def _packed(self, count: int, room: QSize) -> tuple[tuple[int, ...], ...]:
        """The first so many pages in columns with room for the tabs of the others; nothing where it is short."""
        last = max((leaf.high for leaf in self._leaves[count:]), default=0)
        wanted = [(leaf.high, leaf.wide, leaf.alone) for leaf in self._leaves[:count]]
        if last:
            wanted.append((last, max(leaf.wide for leaf in self._leaves[count:]), False))
        columns: list[list[int]] = [[]]
        used, widths = 0, [0]
        for index, (high, wide, alone) in enumerate(wanted):
            tall = theme.px(high + _NAME)
            after_alone = bool(columns[-1]) and (alone or self._leaves[columns[-1][-1]].alone)
            if after_alone or (columns[-1] and used + tall > room.height()):
                columns.append([])
                widths.append(0)
                used = 0
            if tall > room.height() and (columns[-1] or len(wanted) > 1):
                return ()
            columns[-1].append(index)
            widths[-1] = max(widths[-1], theme.px(wide))
            used += tall
        if sum(widths) + self._shelf.spacing() * (len(widths) - 1) > room.width():
            return ()
        return tuple(tuple(index for index in column if index < count) for column in columns)

    def _place(self, columns: tuple[tuple[int, ...], ...]) -> None:
        if columns == self._columns:
            return
        had = QApplication.focusWidget()
        self._columns = columns
        self.setUpdatesEnabled(False)
        self.tabs.blockSignals(True)
        placed = {index for column in columns for index in column}
        for cell in self._cells:
            self._shelf.removeWidget(cell)
        self._shelf.removeWidget(self.tabs)
        self.tabs.setParent(self)
        self._put_back(placed)
        for cell in self._cells:
            cell.setParent(None)
            cell.deleteLater()
        self._cells = [self._column(column, last=column is columns[-1]) for column in columns]
        for cell, column in zip(self._cells, columns, strict=True):
            self._shelf.addWidget(cell, max((self._leaves[index].wide for index in column), default=_COLUMN))
        if not columns:
            self._shelf.addWidget(self.tabs)
        # What the page is about first.
        self.tabs.setCurrentIndex(0)
        self.tabs.setVisible(len(placed) < len(self._leaves))
        self.tabs.blockSignals(False)
        self.setUpdatesEnabled(True)
        if had is not None and self.isAncestorOf(had):
            had.setFocus(Qt.FocusReason.OtherFocusReason)
        self.changed.emit()

    def _put_back(self, placed: set[int]) -> None:
        """Into the tabs what has no place of its own, in its order; out of them what has one."""
        for index, leaf in enumerate(self._leaves):
            at = self.tabs.indexOf(leaf.page)
            if index in placed and at >= 0:
                self.tabs.removeTab(at)
            elif index not in placed and at < 0:
                leaf.page.setMinimumHeight(0)
                at = self.tabs.insertTab(index - len([one for one in placed if one < index]), leaf.page, tr(leaf.name))
                self.tabs.setTabEnabled(at, leaf.name not in self._disabled)

    def _column(self, indices: tuple[int, ...], *, last: bool) -> QWidget:
        """Pages below one another under their names, each as high as it wants; the last takes what is left."""
        cell = QWidget()
        column = QVBoxLayout(cell)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(theme.UNIT // 2)
        rest = last and any(self.tabs.indexOf(leaf.page) >= 0 for leaf in self._leaves)
        for place in indices:
            leaf = self._leaves[place]
            name = PlainLabel(tr(leaf.name))
            name.setProperty("role", "title")
            column.addWidget(name)
            ends = place == indices[-1] and not rest
            column.addWidget(leaf.page, 1 if ends else 0)
            leaf.page.show()
            leaf.page.setMinimumHeight(0 if ends else theme.px(leaf.high))
        if rest:
            column.addWidget(self.tabs, 1)
        return cell
