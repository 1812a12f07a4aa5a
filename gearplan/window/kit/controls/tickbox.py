"""A box to tick whose frame and mark are seen in light and in dark, large enough for a thumb."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QCheckBox, QWidget

from gearplan.window.kit import theme

#: Its side at the usual size of text.
_SIDE = 18


def is_for_touch(widget: QWidget) -> bool:
    """Whether a widget stands on a page that is used with a finger."""
    place: QWidget | None = widget
    while place is not None:
        if place.property("touch"):
            return True
        place = place.parentWidget()
    return False


class TickBox(QCheckBox):
    """Paints itself: the stock frame is darker than a dark window."""

    def sizeHint(self) -> QSize:
        """Box, words, and room for a thumb."""
        words = self.fontMetrics().size(Qt.TextFlag.TextShowMnemonic, self.text()).width()
        high = theme.px(theme.BENCH) if is_for_touch(self) else 4 * theme.UNIT
        return QSize(theme.px(_SIDE) + words + 3 * theme.UNIT, max(high, self.fontMetrics().height() + 6))

    def minimumSizeHint(self) -> QSize:
        """Its words are never cut off."""
        return self.sizeHint()

    def hitButton(self, _place: object) -> bool:
        """Box and words alike."""
        return True

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Frame, mark, words."""
        now, painter = theme.current(), QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        side = theme.px(_SIDE)
        box = QRectF(1.5, (self.height() - side) / 2, side, side)
        painter.setPen(QPen(QColor(now.accent if self.hasFocus() else now.quiet), 2 if self.hasFocus() else 1.2))
        painter.setBrush(QColor(now.surface))
        painter.drawRoundedRect(box, 3, 3)
        words_colour = QColor(now.text if self.isEnabled() else now.quiet)
        if self.isChecked():
            pen = QPen(words_colour, 2.6 * side / _SIDE)
            pen.setCapStyle(Qt.PenCapStyle.RoundCap)
            painter.setPen(pen)
            mark = ((4, 9.5), (7.8, 13.5), (14, 5))
            painter.drawPolyline([box.topLeft() + QPointF(x, y) * side / _SIDE for x, y in mark])
        painter.setPen(words_colour)
        words = QRectF(box.right() + theme.UNIT, 0, self.width() - box.right() - theme.UNIT, self.height())
        painter.drawText(words, Qt.AlignmentFlag.AlignVCenter, self.text())
