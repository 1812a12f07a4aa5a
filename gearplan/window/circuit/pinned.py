"""The set to take, the proposed and the fitted one over the ranking, each with the range in which its gap lies."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QRectF, Signal
from PySide6.QtGui import QColor, QPainter, QPen
from PySide6.QtWidgets import QStyledItemDelegate, QStyleOptionViewItem, QWidget

from gearplan.language import tr
from gearplan.plan.laps.text import PINNED_HEADS, Pinned
from gearplan.window.kit import theme
from gearplan.window.kit.tables.texttable import TextTable

#: The column whose range is drawn.
_DRAWN = 4
#: How many rows there are at most.
_MOST = 3
_THICK, _TICK = 4.0, 12.0


class IntervalDelegate(QStyledItemDelegate):
    """Draws each row's range on one scale: what is tied as a grey band behind, the fitted set as a dashed line, the
    range as a bar with a tick where the gap lies as entered. The cell's text says the same to a screen reader."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.rows: Sequence[Pinned] = ()
        self.band: tuple[float, float] | None = None

    def _scale(self) -> tuple[float, float]:
        # Of the band as much as there is room for: it may be many times as wide.
        known = [0.0]
        for row in self.rows:
            known += [*(row.ends or ()), *(() if row.gap is None else (row.gap,))]
        low, high = min(known), max(known)
        air = max(0.06 * (high - low), 0.01)
        return low - air, high + air

    def paint(
        self, painter: QPainter, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> None:
        """Draw one row."""
        if index.row() >= len(self.rows):
            return
        row, now = self.rows[index.row()], theme.current()
        box = QRectF(option.rect.adjusted(4, 0, -4, 0))
        low, high = self._scale()

        def at(seconds: float) -> float:
            return box.left() + (seconds - low) / (high - low) * box.width()

        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if self.band is not None:
            left, right = (min(max(at(end), box.left()), box.right()) for end in self.band)
            painter.fillRect(QRectF(left, box.top(), max(right - left, 1.0), box.height()), QColor(now.raised))
            painter.setPen(QPen(QColor(now.edge), 1))
            for end, there in zip(self.band, (left, right), strict=True):
                # No line where the band goes on beyond what is drawn.
                if box.left() < at(end) < box.right():
                    painter.drawLine(round(there), round(box.top()), round(there), round(box.bottom()))
        middle, zero = box.center().y(), at(0.0)
        pen = QPen(QColor(now.quiet), 1.2)
        pen.setDashPattern([3, 2])
        painter.setPen(pen)
        painter.drawLine(round(zero), round(box.top()), round(zero), round(box.bottom()))
        ink = QColor(now.accent if tr("proposed") in row.names else now.text)
        if row.ends is not None and not row.itself:
            left, right = (at(end) for end in row.ends)
            painter.fillRect(QRectF(left, middle - _THICK / 2, max(right - left, 1.0), _THICK), ink)
        if row.gap is not None:
            painter.fillRect(QRectF(at(row.gap) - 1.5, middle - _TICK / 2, 3, _TICK), ink)
        painter.restore()


class PinnedSets(TextTable):
    """`picked` carries the set of a row."""

    picked = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(tr("Set to take, proposed and fitted"), bold=(2,), left=(0, 1), tip=self._tip, parent=parent)
        self._intervals = IntervalDelegate(self)
        self.setItemDelegateForColumn(_DRAWN, self._intervals)
        self.setSelectionBehavior(TextTable.SelectionBehavior.SelectRows)
        self.clicked.connect(self._pick)
        self.activated.connect(self._pick)
        self.show_rows((), None)

    def show_rows(self, rows: Sequence[Pinned], band: tuple[float, float] | None) -> None:
        """Show the sets, and between which gaps (s) the tied ones lie."""
        self._intervals.rows, self._intervals.band = rows, band
        empty = ("",) * len(PINNED_HEADS)
        # As high as with all three, so that nothing below moves.
        self.show_texts(PINNED_HEADS, [*(row.texts for row in rows), *[empty] * (_MOST - len(rows))])
        self.viewport().update()

    def _tip(self, place: int) -> str:
        rows = self._intervals.rows
        between = rows[place].texts[_DRAWN] if place < len(rows) else ""
        return tr("In doubt {between} s against the fitted set", between=between) if between else ""

    def _pick(self) -> None:
        at = self.currentIndex().row()
        if 0 <= at < len(self._intervals.rows):
            self.picked.emit(self._intervals.rows[at].row.set)
