"""The list of pages at the left, in the order of the work."""

from __future__ import annotations

from PySide6.QtCore import QModelIndex, QSize, Qt
from PySide6.QtGui import QColor, QResizeEvent
from PySide6.QtWidgets import QAbstractItemView, QListWidget, QListWidgetItem, QWidget

from gearplan.language import tr
from gearplan.window.kit import theme
from gearplan.window.kit.pageicons import page_icon

#: What is done first stands first.
GROUPS = (
    (tr("Set up"), ("All bikes", "Bike", "Ride log")),
    (tr("Find"), ("Choices", "Speed", "Chain", "Pull", "Circuit")),
    (tr("Hand over"), ("Customer", "Quote", "Fitting")),
)
_ICON = 20
_PAGE_HIGH, _HEAD_HIGH = 34, 26
_MOVES = QAbstractItemView.CursorAction


class Rail(QListWidget):
    """The pages with their drawings, below a head for each group; the heads go where it is too low for all."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("rail")
        self.setAccessibleName(tr("Pages"))
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._heads: list[QListWidgetItem] = []
        self._pages: dict[str, QListWidgetItem] = {}
        for head, pages in GROUPS:
            item = QListWidgetItem(head, self)
            item.setFlags(Qt.ItemFlag.NoItemFlags)
            self._heads.append(item)
            for name in pages:
                item = self._pages[name] = QListWidgetItem(tr(name), self)
                item.setData(Qt.ItemDataRole.UserRole, name)
        self.dress()

    @property
    def page(self) -> str:
        """The page that is marked, or was last."""
        marked = self.selectedItems()
        # While the mark moves the list's own current row still is the one before.
        return str((marked[0] if marked else self.currentItem()).data(Qt.ItemDataRole.UserRole))

    def go(self, page: str) -> None:
        """Mark a page."""
        self.setCurrentItem(self._pages[page])

    def dress(self) -> None:
        """Take size of text and colours; set by hand, since the view measures before it knows the style sheet."""
        size = theme.px(_ICON)
        self.setIconSize(QSize(size, size))
        for name, item in self._pages.items():
            item.setSizeHint(QSize(0, theme.px(_PAGE_HIGH)))
            item.setIcon(page_icon(name, size))
        for item in self._heads:
            item.setSizeHint(QSize(0, theme.px(_HEAD_HIGH)))
            item.setFont(theme.font(theme.SMALL))
            item.setForeground(QColor(theme.current().quiet))
        widest = max(theme.metrics(bold=True).horizontalAdvance(tr(name)) for name in self._pages)
        self.setFixedWidth(widest + size + theme.px(24) + 3 * theme.UNIT)
        self._show_heads()

    def _show_heads(self) -> None:
        needs = len(self._pages) * theme.px(_PAGE_HIGH) + len(self._heads) * theme.px(_HEAD_HIGH)
        for item in self._heads:
            item.setHidden(needs > self.height())

    def resizeEvent(self, event: QResizeEvent) -> None:
        """A lower window has room for the pages alone."""
        super().resizeEvent(event)
        self._show_heads()

    def moveCursor(self, action: QAbstractItemView.CursorAction, _modifiers: Qt.KeyboardModifier) -> QModelIndex:
        """The keys pass over the heads."""
        order = list(self._pages.values())
        at = order.index(self.currentItem()) if self.currentItem() in order else 0
        steps = {_MOVES.MoveUp: -1, _MOVES.MovePrevious: -1, _MOVES.MoveDown: 1, _MOVES.MoveNext: 1}
        if action in steps:
            at = min(max(at + steps[action], 0), len(order) - 1)
        elif action in (_MOVES.MoveHome, _MOVES.MovePageUp):
            at = 0
        elif action in (_MOVES.MoveEnd, _MOVES.MovePageDown):
            at = len(order) - 1
        return self.indexFromItem(order[at])
