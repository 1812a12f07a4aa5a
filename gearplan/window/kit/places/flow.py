"""Controls side by side that go on in the next line where the room is too narrow for all of them."""

from __future__ import annotations

from PySide6.QtCore import QPoint, QRect, QSize, Qt
from PySide6.QtWidgets import QHBoxLayout, QLayout, QLayoutItem, QSizePolicy, QWidget

from gearplan.window.kit import theme


class Flow(QLayout):
    """Lays widgets out as words in a line; `push` sends what follows to the right end of its line."""

    def __init__(self, *, spacing: int = theme.UNIT) -> None:
        super().__init__()
        self._items: list[QLayoutItem] = []
        self._pushed: int | None = None
        self.setContentsMargins(0, 0, 0, 0)
        self.setSpacing(spacing)

    def push(self) -> None:
        """What is added from here on stands at the right end, where one line holds all."""
        self._pushed = len(self._items)

    def addItem(self, item: QLayoutItem) -> None:
        """Qt adds widgets by this."""
        self._items.append(item)

    def count(self) -> int:
        """How many there are."""
        return len(self._items)

    def itemAt(self, index: int) -> QLayoutItem | None:
        """One of them."""
        return self._items[index] if 0 <= index < len(self._items) else None

    def takeAt(self, index: int) -> QLayoutItem | None:
        """Take one out."""
        return self._items.pop(index) if 0 <= index < len(self._items) else None

    def expandingDirections(self) -> Qt.Orientation:
        """It takes no more room than it needs."""
        return Qt.Orientation(0)

    def hasHeightForWidth(self) -> bool:
        """The narrower, the more lines."""
        return True

    def heightForWidth(self, width: int) -> int:
        """The height of all lines."""
        return self._lay_out(QRect(0, 0, width, 0), place=False)

    def minimumSize(self) -> QSize:
        """As narrow as the widest of them."""
        shown = [item.minimumSize() for item in self._items if not item.isEmpty()]
        return QSize(
            max((size.width() for size in shown), default=0), max((size.height() for size in shown), default=0)
        )

    def sizeHint(self) -> QSize:
        """All of them in one line."""
        shown = [item.sizeHint() for item in self._items if not item.isEmpty()]
        gaps = self.spacing() * max(len(shown) - 1, 0)
        return QSize(sum(size.width() for size in shown) + gaps, max((size.height() for size in shown), default=0))

    def setGeometry(self, rect: QRect) -> None:
        """Put them in their places."""
        super().setGeometry(rect)
        self._lay_out(rect, place=True)

    def _lay_out(self, rect: QRect, *, place: bool) -> int:
        lines: list[list[tuple[QLayoutItem, int]]] = [[]]
        used = 0
        for item in self._items:
            if item.isEmpty():
                continue
            wide = min(max(item.sizeHint().width(), item.minimumSize().width()), max(rect.width(), 1))
            if lines[-1] and used + self.spacing() + wide > rect.width():
                lines.append([])
                used = 0
            used += wide + (self.spacing() if lines[-1] else 0)
            lines[-1].append((item, wide))
        y = rect.y()
        for line in lines:
            high = max((_height(item, wide) for item, wide in line), default=0)
            if place:
                self._place(line, QRect(rect.x(), y, rect.width(), high))
            y += high + self.spacing()
        return max(y - self.spacing() - rect.y(), 0)

    def _place(self, line: list[tuple[QLayoutItem, int]], room: QRect) -> None:
        spare = room.width() - sum(wide for _, wide in line) - self.spacing() * (len(line) - 1)
        growing = [item for item, _ in line if _grows(item)]
        x = room.x()
        for item, wide in line:
            if growing:
                wide += spare // len(growing) if _grows(item) else 0
            elif self._pushed is not None and self._items.index(item) == self._pushed:
                x += spare
            high = min(_height(item, wide), room.height())
            item.setGeometry(QRect(QPoint(x, room.y() + (room.height() - high) // 2), QSize(wide, high)))
            x += wide + self.spacing()


def _height(item: QLayoutItem, wide: int) -> int:
    return item.heightForWidth(wide) if item.hasHeightForWidth() else item.sizeHint().height()


def _grows(item: QLayoutItem) -> bool:
    return bool(item.expandingDirections() & Qt.Orientation.Horizontal)


def together(*widgets: QWidget, grows: bool = False) -> QWidget:
    """Widgets that stay in one line, such as a label with its field and unit."""
    group = QWidget()
    row = QHBoxLayout(group)
    row.setContentsMargins(0, 0, 0, 0)
    row.setSpacing(theme.UNIT // 2)
    for widget in widgets:
        row.addWidget(widget)
    across = QSizePolicy.Policy.Expanding if grows else QSizePolicy.Policy.Maximum
    group.setSizePolicy(across, QSizePolicy.Policy.Fixed)
    return group
