"""How far the proposed set is ahead of the fitted one along the lap, and at its end where the tied sets end."""

from __future__ import annotations

import numpy as np
import pyqtgraph as pg
from PySide6.QtGui import QColor
from PySide6.QtWidgets import QWidget

from gearplan.bike.text.written import difference
from gearplan.language import tr
from gearplan.window.circuit.charts.lapchart import LapChart, Line
from gearplan.window.kit import theme
from gearplan.window.kit.charts.labels import Name

#: A lead or a loss (s) that is worth its number.
_LEAST_NAMED = 0.01
#: From this share of the lap on the strip stands.
_STRIP = 0.97


class AheadChart(LapChart):
    """Seconds ahead, filled to the line at which neither set leads; the greatest lead and loss carry their numbers.

    At the lap's end a grey strip shows where the tied sets end, and a ring where the one to take does.
    """

    def __init__(self, parent: QWidget | None = None) -> None:
        self._tied = pg.BarGraphItem(x0=[], x1=[], y0=0.0, y1=0.0, pen=None)
        self._take = pg.ScatterPlotItem(name=tr("where the one to take ends"), size=9)
        self._ends: tuple[float, float, float] | None = None
        self._ahead: Line | None = None
        self._extremes = (Name(anchor=(0.5, 1.0)), Name(anchor=(0.5, 0.0)))
        super().__init__(tr("ahead, s"), across=False, parent=parent)
        self._tied.setZValue(-20)
        self._proposed.setFillLevel(0.0)
        for item in (self._tied, self._take, *self._extremes):
            self.getPlotItem().addItem(item, ignoreBounds=True)

    def recolour(self) -> None:
        """Take the colours of the current theme."""
        super().recolour()
        now = theme.current()
        filled = QColor(now.accent)
        filled.setAlphaF(0.18)
        self._proposed.setBrush(pg.mkBrush(filled))
        self._tied.setOpts(brush=pg.mkBrush(now.raised), pen=pg.mkPen(now.edge, width=self.devicePixelRatioF()))
        self._take.setPen(pg.mkPen(now.text, width=1.6 * self.devicePixelRatioF()))
        self._take.setBrush(pg.mkBrush(now.surface))
        for name in self._extremes:
            name.setFont(theme.font(theme.SMALL, bold=True))
            name.setColor(QColor(now.text))

    def show_ahead(self, ahead: Line | None) -> None:
        """Draw (distance in m, seconds ahead), or nothing without a fitted set."""
        self._ahead = ahead
        self.show_lines(None, ahead)
        self._put_tied()
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

    def show_tied(self, gaps: tuple[float, float] | None, take: float | None) -> None:
        """Put the strip between two gaps to the fitted set (s), and the ring at that of the set to take."""
        self._ends = None if gaps is None or take is None else (-gaps[1], -gaps[0], -take)
        if self._ahead is not None:
            self._fit_axes([self._ahead], None)
        self._put_tied()

    def _fit_axes(self, known: list[Line], limit: float | None) -> None:
        """The scale holds the strip and the ring too, however far they are from the line."""
        ends = np.array(self._ends or ())
        super()._fit_axes([*known, *([(np.full(len(ends), known[0][0][-1]), ends)] if len(ends) else [])], limit)

    def _put_tied(self) -> None:
        ends, right = self._ends, self._right
        there = ends is not None and right > 0
        low, high, take = ends or (0.0, 0.0, 0.0)
        self._tied.setOpts(x0=[_STRIP * right] if there else [], x1=[right] if there else [], y0=low, y1=high)
        self._take.setData([right * (1 + _STRIP) / 2] if there else [], [take] if there else [])
