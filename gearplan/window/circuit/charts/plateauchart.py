"""How far every final ratio is behind the quickest set, where the sets that are tied lie, and the one to take."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pyqtgraph as pg
from numpy.typing import NDArray
from PySide6.QtGui import QColor
from PySide6.QtWidgets import QWidget

from gearplan.language import tr
from gearplan.window.kit import theme
from gearplan.window.kit.charts.labels import LineName, Name
from gearplan.window.kit.charts.pairchart import PairChart
from gearplan.window.kit.charts.pens import dashed

Floats = NDArray[np.float64]

#: Seconds: beyond the edge of every picture.
_TALL = 1e4


class PlateauChart(PairChart):
    """The quickest at each ratio as a line, before grey where the tied sets lie; a ring with its name for the one to
    take."""

    def __init__(self, parent: QWidget | None = None) -> None:
        self._band = pg.BarGraphItem(x0=[], x1=[], y0=0.0, y1=0.0, pen=None)
        self._fitted = pg.InfiniteLine(angle=90, movable=False)
        self._fitted.label = LineName(self._fitted, tr("fitted"), position=0.7)
        self._chosen = pg.ScatterPlotItem(name=tr("to take"), size=11)
        self._chosen_name = Name(anchor=(0.2, 1.1))
        super().__init__(tr("behind, s"), 1.0, tr("final ratio; grey is tied"), 1.0, mark=tr("proposed"))
        self.setParent(parent)
        self._stands.label.setPosition(0.92)
        self._band.setZValue(-20)
        self._fitted.hide()
        for item in (self._band, self._fitted, self._chosen, self._chosen_name):
            self.getPlotItem().addItem(item, ignoreBounds=True)

    def recolour(self) -> None:
        """Take the colours of the current theme."""
        super().recolour()
        now, fine = theme.current(), self.devicePixelRatioF()
        self._band.setOpts(brush=pg.mkBrush(now.raised), pen=pg.mkPen(now.edge, width=fine))
        # As everywhere: proposed solid in its colour, fitted dashed and quiet.
        self._stands.setPen(pg.mkPen(now.accent, width=1.6 * fine))
        self._stands.label.setColor(now.accent)
        self._fitted.setPen(dashed(now.quiet, 1.2 * fine))
        self._fitted.label.setColor(now.quiet)
        self._fitted.label.setFont(theme.font(theme.SMALL))
        self._chosen.setPen(pg.mkPen(now.text, width=1.6 * fine))
        self._chosen.setBrush(pg.mkBrush(now.surface))
        self._chosen_name.setColor(QColor(now.text))
        self._chosen_name.setFont(theme.font(theme.SMALL, bold=True))

    def clear_lines(self) -> None:
        """There is no ranking: nothing of the last one stays."""
        self.show_lines(None, None, None)
        self._fitted.hide()
        self.show_tied((), None)

    def show_tied(self, spans: Sequence[tuple[float, float]], chosen: tuple[float, float, str] | None) -> None:
        """Put the grey from ratio to ratio where tied sets lie, and a ring with its name (ratio, seconds, name) for the
        one to take."""
        ends = np.reshape(spans, (-1, 2))
        self._band.setOpts(x0=ends[:, 0], x1=ends[:, 1], y0=-_TALL, y1=_TALL)
        self._chosen_name.setVisible(chosen is not None)
        self._chosen.setData(*(([], []) if chosen is None else ([chosen[0]], [chosen[1]])))
        if chosen is not None:
            self._chosen_name.setText(chosen[2])
            self._chosen_name.setPos(chosen[0], chosen[1])

    def put_fitted(self, ratio: float | None) -> None:
        """Mark the fitted set's ratio, if it has one."""
        self._fitted.setVisible(ratio is not None)
        if ratio is not None:
            self._fitted.setValue(ratio)
            self._part_names()

    def put_mark(self, stands: float | None) -> None:
        """Put the proposed set's line somewhere else."""
        super().put_mark(stands)
        self._part_names()

    def _part_names(self) -> None:
        """The names of both lines stand on their outer sides, so that neither crosses the other line."""
        first = self._stands.value() <= self._fitted.value()
        for line, left in ((self._stands, first), (self._fitted, not first)):
            line.label.anchors = [(1.0 if left else 0.0, 0.5)] * 2
            line.label.updatePosition()
