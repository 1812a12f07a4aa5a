"""The frame that all charts share."""

from __future__ import annotations

import pyqtgraph as pg
from PySide6.QtCore import QEvent, Qt
from PySide6.QtWidgets import QWidget


class PlainChart(pg.PlotWidget):  # type: ignore[misc]
    """A chart without menu, buttons or mouse of its own; who derives from it adds items and `recolour`."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        # The background covers all of it, so nothing behind needs painting.
        self.viewport().setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self.setMenuEnabled(False)
        self.hideButtons()
        self.setMouseEnabled(x=False, y=False)

    def recolour(self) -> None:
        """Take the colours of the current theme."""
        raise NotImplementedError

    def event(self, event: QEvent) -> bool:
        """Take pens for another screen when the window moves to one."""
        if event.type() == QEvent.Type.DevicePixelRatioChange:
            self.recolour()
        return bool(super().event(event))
