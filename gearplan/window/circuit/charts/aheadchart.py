"""How far the proposed set is ahead of the fitted one along the lap, in front of where the tied sets end."""

from __future__ import annotations

import numpy as np
import pyqtgraph as pg
from PySide6.QtGui import QColor
from PySide6.QtWidgets import QWidget

from gearplan.bike.text.written import difference
from gearplan.window.circuit.charts.lapchart import LapChart, Line
from gearplan.window.kit import theme
from gearplan.window.kit.charts.labels import Name

#: A lead or a loss (s) that is worth its number.
_LEAST_NAMED = 0.01


class AheadChart(LapChart):
    """Seconds ahead, filled to the line at which neither set leads; the greatest lead and loss carry their numbers."""

    def __init__(self, parent: QWidget | None = None) -> None:
        self._tied = pg.LinearRegionItem(orientation="horizontal", movable=False)
        self._extremes = (Name(anchor=(0.5, 1.0)), Name(anchor=(0.5, 0.0)))
        super().__init__("ahead, s", across=False, parent=parent)
        self._tied.setZValue(-20)
        self._tied.hide()
        self._proposed.setFillLevel(0.0)
        for item in (self._tied, *self._extremes):
            self.getPlotItem().addItem(item, ignoreBounds=True)

    def recolour(self) -> None:
        """Take the colours of the current theme."""
        super().recolour()
        now = theme.current()
        filled = QColor(now.accent)
        filled.setAlphaF(0.18)
        self._proposed.setBrush(pg.mkBrush(filled))
        self._tied.setBrush(pg.mkBrush(now.raised))
        for line in self._tied.lines:
            line.setPen(pg.mkPen(None))
        for name in self._extremes:
            name.setFont(theme.font(theme.SMALL, bold=True))
            name.setColor(QColor(now.text))

    def show_ahead(self, ahead: Line | None) -> None:
        """Draw (distance in m, seconds ahead), or nothing without a fitted set."""
        self.show_lines(None, ahead)
        for name, pick in zip(self._extremes, (np.argmax, np.argmin), strict=True):
            at = None if ahead is None else int(pick(ahead[1]))
            seconds = 0.0 if ahead is None or at is None else float(ahead[1][at])
            wanted = abs(seconds) >= _LEAST_NAMED and (seconds > 0) == (pick is np.argmax)
            name.setVisible(wanted)
            if wanted and ahead is not None and at is not None:
                words = f"{difference(0.0, seconds, 1, 2)} s"
                if name.toPlainText() != words:
                    name.setText(words)
                name.setPos(float(ahead[0][at]), seconds)

    def show_tied(self, gaps: tuple[float, float] | None) -> None:
        """Put the band where the laps of the tied sets end: between two gaps to the fitted set (s)."""
        self._tied.setVisible(gaps is not None)
        if gaps is not None:
            self._tied.setRegion((-gaps[1], -gaps[0]))
