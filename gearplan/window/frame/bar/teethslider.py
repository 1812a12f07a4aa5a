"""A slider over tooth counts."""

from __future__ import annotations

from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QWheelEvent
from PySide6.QtWidgets import QSlider, QStyle, QStyleOptionSlider, QWidget

from gearplan.window.kit import theme
from gearplan.window.kit.places.layout import least_width


class TeethSlider(QSlider):
    """A slider over tooth counts with a notch where the fitted set stands."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(Qt.Orientation.Horizontal, parent)
        self._fitted: int | None = None
        self.setPageStep(1)
        self.setTickPosition(QSlider.TickPosition.TicksBelow)
        self.setTickInterval(1)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        least_width(self, 160)

    def show_teeth(self, low: int, high: int, value: int | None, on: int | None) -> None:
        """Show range, value and the fitted count, without telling anybody."""
        self.blockSignals(True)
        if value is not None:
            low, high = min(low, value), max(high, value)
        if (low, high) != (self.minimum(), self.maximum()):
            self.setRange(low, high)
        self.setEnabled(value is not None)
        if value is not None and value != self.value():
            self.setValue(value)
        self.blockSignals(False)
        if on != self._fitted:
            self._fitted = on
            self.update()

    def wheelEvent(self, event: QWheelEvent) -> None:
        """One tooth a notch, and only with the focus."""
        if not self.hasFocus() or not event.angleDelta().y():
            event.ignore()
            return
        self.setValue(self.value() + (1 if event.angleDelta().y() > 0 else -1))
        event.accept()

    def paintEvent(self, event: QPaintEvent) -> None:
        """The style's slider, and the fitted notch over its groove."""
        super().paintEvent(event)
        if self._fitted is None or not self.minimum() <= self._fitted <= self.maximum():
            return
        option = QStyleOptionSlider()
        self.initStyleOption(option)
        handle = self.style().pixelMetric(QStyle.PixelMetric.PM_SliderLength, option, self)
        span = self.width() - handle
        x = handle / 2 + QStyle.sliderPositionFromValue(self.minimum(), self.maximum(), self._fitted, span)
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(theme.current().quiet))
        painter.drawPolygon([QPoint(int(x) - 4, 0), QPoint(int(x) + 4, 0), QPoint(int(x), 6)])
