"""A list of words that are broken into lines where it is narrow."""

from __future__ import annotations

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QRect, QSize, Qt
from PySide6.QtGui import QFontMetrics, QResizeEvent
from PySide6.QtWidgets import QListWidget, QStyledItemDelegate, QStyleOptionViewItem, QWidget

from gearplan.window.kit import theme

_WRAP = int(Qt.TextFlag.TextWordWrap)


class _Wrapped(QStyledItemDelegate):
    """Each item as high as its lines need in the width of the list."""

    def sizeHint(self, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex) -> QSize:
        view = self.parent()
        assert isinstance(view, QListWidget)
        wide = view.viewport().width()
        # The style keeps some pixels on either side of the words.
        sign = view.iconSize().width() + 4 if index.data(Qt.ItemDataRole.DecorationRole) is not None else 0
        room = QRect(0, 0, max(wide - 2 * theme.UNIT - 8 - sign, 40), 10_000)
        words = QFontMetrics(option.font).boundingRect(room, _WRAP, str(index.data()))
        least = theme.px(theme.BENCH) if view.property("bench") else 0
        return QSize(wide, max(words.height() + theme.px(theme.UNIT), least))


class WordList(QListWidget):
    """Its items never run out at the right."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWordWrap(True)
        self.setTextElideMode(Qt.TextElideMode.ElideNone)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setItemDelegate(_Wrapped(self))

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Words wrap anew."""
        super().resizeEvent(event)
        self.scheduleDelayedItemsLayout()
