"""The line of a track with its edges, and the turns that were found on it, numbered."""

from __future__ import annotations

import numpy as np
import pyqtgraph as pg
from PySide6.QtCore import QSize
from PySide6.QtGui import QColor, QFontMetrics
from PySide6.QtWidgets import QWidget

from gearplan.language import tr
from gearplan.plan.lines.preview import Preview
from gearplan.sheet.circuit.marks import placed
from gearplan.window.kit import theme
from gearplan.window.kit.charts.labels import Name
from gearplan.window.kit.charts.plainchart import PlainChart

_MOST_NAMES = 80
#: Pixels between a mark and the line, and about the whole.
_BESIDE, _ABOUT = 12.0, 26.0


class LineChart(PlainChart):
    """Draws a preview; turns are wide, the rest is narrow, so that colour alone tells nothing."""

    LEAST = QSize(180, 180)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._shown: Preview | None = None
        plot = self.getPlotItem()
        plot.hideAxis("left")
        plot.hideAxis("bottom")
        plot.setAspectLocked(True)
        plot.disableAutoRange()
        self._edges = [pg.PlotCurveItem(antialias=True) for _ in range(2)]
        self._line = pg.PlotCurveItem(name=tr("line of the circuit"), antialias=True)
        self._turns = pg.PlotCurveItem(antialias=True, connect="finite")
        self._turns.setSegmentedLineMode("on")
        self._start = pg.ScatterPlotItem(size=11, symbol="s")
        self._names = [Name(anchor=(0.5, 0.5)) for _ in range(_MOST_NAMES)]
        for item in (*self._edges, self._line, self._turns, self._start, *self._names):
            plot.addItem(item, ignoreBounds=True)
        plot.vb.sigResized.connect(self._fit)
        self.recolour()

    def sizeHint(self) -> QSize:
        """No higher than it must be: the page gives what room there is."""
        return self.minimumSizeHint()

    def recolour(self) -> None:
        """Take the colours of the current theme."""
        now, fine = theme.current(), self.devicePixelRatioF()
        self.setBackground(now.surface)
        for edge in self._edges:
            edge.setPen(pg.mkPen(now.quiet, width=fine))
        self._line.setPen(pg.mkPen(now.text, width=1.2 * fine))
        self._turns.setPen(pg.mkPen(now.accent, width=4 * fine))
        self._start.setPen(pg.mkPen(now.text, width=1.4 * fine))
        self._start.setBrush(pg.mkBrush(now.surface))
        for name in self._names:
            name.setFont(theme.font(theme.SMALL, bold=True))
            name.setColor(QColor(now.text))

    def show_preview(self, shown: Preview) -> None:
        """Draw the line and what was found on it."""
        self._shown = shown
        for index, edge in enumerate(self._edges):
            edge.setData(*(shown.edges[index] if shown.edges else ([], [])))
        self._line.setData(shown.x, shown.y)
        self._turns.setData(np.where(shown.turn, shown.x, np.nan), np.where(shown.turn, shown.y, np.nan))
        self._start.setData([shown.x[shown.start]], [shown.y[shown.start]])
        self._fit()

    def _fit(self) -> None:
        if self._shown is None:
            return
        x, y = self._shown.x, self._shown.y
        wide, high = max(float(np.ptp(x)), 10.0), max(float(np.ptp(y)), 10.0)
        place = self.getPlotItem().vb.size()
        pixel = max(wide / max(place.width() - 2 * _ABOUT, 1.0), high / max(place.height() - 2 * _ABOUT, 1.0))
        margin = min(_ABOUT * pixel, 0.4 * max(wide, high))
        self.getPlotItem().setRange(
            xRange=(float(x.min()) - margin, float(x.max()) + margin),
            yRange=(float(y.min()) - margin, float(y.max()) + margin),
            padding=0,
        )
        step_x, step_y = self.getPlotItem().vb.viewPixelSize()
        metrics = QFontMetrics(theme.font(theme.SMALL, bold=True))
        marks = self._shown.marks[:_MOST_NAMES]
        places = placed(
            x / step_x,
            y / step_y,
            marks,
            lambda text: (metrics.horizontalAdvance(text) + 2.0, metrics.capHeight() + 4.0),
            _BESIDE,
        )
        for index, name in enumerate(self._names):
            at = places[index] if index < len(marks) else None
            name.setVisible(at is not None)
            if at is not None:
                name.setText(marks[index][1])
                name.setPos(at[0] * step_x, at[1] * step_y)
