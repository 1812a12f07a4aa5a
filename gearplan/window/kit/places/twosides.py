"""Two sides of a page, whose border is the same on all pages and goes below one another where it is narrow."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QSize, Qt
from PySide6.QtGui import QResizeEvent, QShowEvent
from PySide6.QtWidgets import (
    QFrame,
    QScrollArea,
    QSplitter,
    QStyle,
    QTabWidget,
    QWidget,
)

from gearplan.window.kit import theme

from .layout import card, fill
from .tabs import Spread

#: A page that scrolls is at least so high.
_LEAST_SCROLLED = 120
#: The left side's share of every page with two sides, until the user moves their border.
SEAM = 0.515
_seam = SEAM


def seam() -> float:
    """The left side's share of every page with two sides."""
    return _seam


def set_seam(share: float) -> None:
    """Put the border between the sides of every page elsewhere; a page takes it when it is shown or laid out."""
    global _seam
    _seam = share


class TwoSides(QScrollArea):
    """Two sides whose border the user can move; below one another where both have no room side by side.

    The border is that of all pages, unless a `share` of its own is given for the left side. The page scrolls down where
    it is too low for what the sides need at least.
    """

    def __init__(self, left: QWidget, right: QWidget, share: float | None = None) -> None:
        super().__init__()
        self._left, self._right = left, right
        self.split = QSplitter(Qt.Orientation.Horizontal)
        self.split.addWidget(left)
        self.split.addWidget(right)
        self._own = share
        self.split.setChildrenCollapsible(False)
        self.split.setHandleWidth(theme.UNIT)
        self.split.splitterMoved.connect(self._moved)
        self.setWidgetResizable(True)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setWidget(self.split)
        # Below the least of both sides the page scrolls, so its own least is small.
        self.split.installEventFilter(self)

    def minimumSizeHint(self) -> QSize:
        """As wide as the wider side needs: it can go below the other."""
        bar = self.style().pixelMetric(QStyle.PixelMetric.PM_ScrollBarExtent)
        wide = max(side.minimumSizeHint().width() for side in (self._left, self._right))
        return QSize(wide + bar, theme.px(_LEAST_SCROLLED))

    def sizeHint(self) -> QSize:
        """The page takes what the window gives."""
        return self.minimumSizeHint()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Another room is shared anew."""
        super().resizeEvent(event)
        self._share()

    def showEvent(self, event: QShowEvent) -> None:
        """The border may have been moved on another page."""
        super().showEvent(event)
        self._share()

    def eventFilter(self, _watched: object, event: QEvent) -> bool:
        """What the sides need may have changed."""
        if event.type() == QEvent.Type.LayoutRequest:
            self.updateGeometry()
            self._share()
        return False

    def _moved(self) -> None:
        sizes = self.split.sizes()
        if self.split.orientation() == Qt.Orientation.Horizontal:
            share = sizes[0] / max(sum(sizes), 1)
            if self._own is None:
                set_seam(share)
            else:
                self._own = share
        self._share()

    def _share(self) -> None:
        room, bar = self.size(), self.style().pixelMetric(QStyle.PixelMetric.PM_ScrollBarExtent)
        least = [side.minimumSizeHint().width() for side in (self._left, self._right)]
        handle = self.split.handleWidth()
        beside = sum(least) + handle <= room.width() - bar
        way = Qt.Orientation.Horizontal if beside else Qt.Orientation.Vertical
        if way != self.split.orientation():
            self.split.setOrientation(way)
        if beside:
            # Where the page scrolls the bar takes from the right side, so that the border stays.
            whole, inner = room.width() - handle, self.viewport().width() - handle
            share = seam() if self._own is None else self._own
            left = max(min(round(whole * share), inner - least[1]), least[0])
            self.split.setSizes([left, inner - left])
            high = max(_height_at(self._left, left - bar), _height_at(self._right, whole - left - bar))
        else:
            heights = [_height_at(side, room.width() - bar) for side in (self._left, self._right)]
            high = sum(heights) + handle
            spare = max(room.height() - high, 0)
            self.split.setSizes([heights[0] + spare // 2, heights[1] + spare - spare // 2])
        if high != self.split.minimumHeight():
            self.split.setMinimumHeight(high)


def _height_at(side: QWidget, width: int) -> int:
    """The least height of a side at a width."""
    inside = side.layout()
    least = side.minimumSizeHint().height()
    if inside is not None and inside.hasHeightForWidth():
        least = max(least, inside.totalMinimumHeightForWidth(width))
    return least


def two_sides(page: QWidget, left: QWidget, right: QWidget, share: float | None = None) -> TwoSides:
    """Fill a page with two sides, each on a card; `share` is the left side's where it is not that of all pages."""
    sides = TwoSides(_on_card(left), _on_card(right), share)
    fill(page, sides)
    return sides


def _on_card(side: QWidget) -> QWidget:
    """Tabs stand on a card, their words in its first row."""
    if not isinstance(side, QTabWidget | Spread):
        return side
    frame, column = card()
    column.addWidget(side)
    return frame
