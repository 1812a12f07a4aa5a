"""How long each ratio of engine speed to road speed was ridden, with the peaks that were taken as gears."""

from __future__ import annotations

import numpy as np
import pyqtgraph as pg
from PySide6.QtGui import QColor
from PySide6.QtWidgets import QWidget

from gearplan.bike.text.units import RPM
from gearplan.language import tr
from gearplan.ridelog.learning.gears import Gears
from gearplan.sheet.axes import round_step, up_to
from gearplan.window.kit import theme
from gearplan.window.kit.charts.labels import Name
from gearplan.window.kit.charts.pens import plain_axes, put_grid
from gearplan.window.kit.charts.plainchart import PlainChart
from gearplan.window.kit.view import View

_MOST_PEAKS = 10
_MOST_STEPS = 10


class RatioChart(PlainChart):
    """The histogram that the gears were read from; across it rpm per unit of road speed."""

    def __init__(self, view: View, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._view = view
        self.setAccessibleName(tr("How long each ratio was ridden, with the gears"))
        plot = self.getPlotItem()
        plain_axes(plot)
        plot.setLabel("left", tr("share, %"))
        self._curve = pg.PlotCurveItem(name=tr("share of the ride"), antialias=True)
        self._peaks = pg.PlotCurveItem(antialias=False, connect="pairs")
        self._names = [Name(anchor=(0.5, 1.0)) for _ in range(_MOST_PEAKS)]
        self._grid = pg.PlotCurveItem(connect="pairs", antialias=False)
        for item in (self._grid, self._peaks, self._curve, *self._names):
            plot.addItem(item, ignoreBounds=True)
        self.recolour()

    def recolour(self) -> None:
        """Take the colours of the current theme."""
        now, fine = self.dressed()
        # Of one width, so that the same time stands in one line in all charts.
        self.getPlotItem().getAxis("left").setWidth(theme.px(58))
        self._grid.setPen(pg.mkPen(now.raised, width=fine))
        self._curve.setPen(pg.mkPen(now.accent, width=1.2 * fine))
        self._curve.setBrush(pg.mkBrush(now.selected))
        self._curve.setFillLevel(0)
        self._peaks.setPen(pg.mkPen(now.quiet, width=fine))
        for name in self._names:
            name.setFont(theme.font(theme.BODY, bold=True))
            name.setColor(QColor(now.text))

    def show_gears(self, gears: Gears) -> None:
        """Draw the histogram and name its peaks."""
        found = gears.ratios
        one = self._view.speed_factor / RPM
        density = 100 * found.density / max(float(found.density.sum()), 1.0)
        across = np.exp(found.bins) * one
        self._curve.setData(across, density)
        places = np.array([cluster.ratio for cluster in found.clusters]) * one
        heights = np.interp(places, across, density)
        self._peaks.setData(np.repeat(places, 2), np.column_stack([np.zeros(len(places)), heights]).ravel())
        numbers = {gear.cluster.ratio: gear.number for gear in gears.gears}
        for index, name in enumerate(self._names):
            name.setVisible(index < len(places))
            if index < len(places):
                number = numbers.get(found.clusters[index].ratio)
                name.setText("?" if number is None else str(number))
                name.setPos(float(places[index]), float(heights[index]))
        plot = self.getPlotItem()
        plot.setLabel("bottom", tr("rpm per {speed_unit}", speed_unit=self._view.speed_unit))
        wide, high = (0.93 * float(places.min()), 1.07 * float(places.max())), (0.0, 1.2 * float(density.max()))
        plot.setRange(xRange=wide, yRange=high, padding=0)
        lines = []
        for axis, (low, end) in (("bottom", wide), ("left", high)):
            step = round_step(end - low, _MOST_STEPS)
            lines.append(np.arange(up_to(low, step), end, step))
            plot.getAxis(axis).setTicks([[(value, f"{value:g}") for value in lines[-1].round(6).tolist()]])
        put_grid(self._grid, lines[0], lines[1], wide, high)
