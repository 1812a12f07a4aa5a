"""The saw-tooth chart: road speed across, engine speed up, one line a gear, fitted behind proposed.

Takes what plan computed and a speed unit; the only arithmetic here is the unit of display. All items are made
once and then given new data.
"""

from __future__ import annotations

import numpy as np
import pyqtgraph as pg
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QColor, QPainterPath, QPen, QPolygonF
from PySide6.QtWidgets import QGraphicsPathItem, QWidget

from gearplan.bike.units import RPM
from gearplan.plan.set.compare import SpeedLines
from gearplan.sheet.axes import up_to
from gearplan.window.kit import theme
from gearplan.window.kit.charts.cursorchart import CursorChart
from gearplan.window.kit.charts.labels import Name
from gearplan.window.kit.charts.pens import dashed, dotted, round_axes
from gearplan.window.kit.view import View

Band = tuple[NDArray[np.float64], NDArray[np.float64]]

_MOST_GEARS = 8
#: How much of the paper the band hides.
_BAND = 0.25
_ROUND_SPEED, _ROUND_RPM = 20.0, 1000.0


class SawtoothChart(CursorChart):
    """The chart; draws what plan computed."""

    def __init__(self, view: View, parent: QWidget | None = None) -> None:
        super().__init__(view, parent)
        self._held = False
        plot = self.getPlotItem()
        self._grid = pg.PlotCurveItem(connect="pairs", antialias=False)
        self._fitted_gears = pg.PlotCurveItem(connect="pairs", antialias=True)
        self._fitted_run = pg.PlotCurveItem(antialias=True)
        self._gears = [pg.PlotCurveItem(antialias=True) for _ in range(_MOST_GEARS)]
        self._run = pg.PlotCurveItem(antialias=True)
        #: How surely the proposed set's speeds are known.
        self.band = QGraphicsPathItem()
        self.band.setPen(QPen(Qt.PenStyle.NoPen))
        self._redline = pg.InfiniteLine(angle=0, movable=False)
        self._names = [Name(anchor=(0.5, 1.0)) for _ in range(_MOST_GEARS)]
        self._redline_name = Name("redline", anchor=(0.0, 0.0))
        self._dots = pg.ScatterPlotItem(size=7)
        for item in (
            self._grid, self.band, self._fitted_gears, self._fitted_run, *self._gears, self._run, self._redline,
            *self._names, self._redline_name, self.cursor, self._dots,
        ):  # fmt: skip
            plot.addItem(item, ignoreBounds=True)
        self.recolour()

    def recolour(self) -> None:
        """Take the colours of the current theme."""
        super().recolour()
        now = theme.current()
        self.getPlotItem().setLabel("left", "Engine speed, rpm")
        # Pens count in the screen's own pixels, of which a fine screen has several to one of ours.
        fine = self.devicePixelRatioF()
        self._grid.setPen(pg.mkPen(now.raised, width=fine))
        self._fitted_gears.setPen(dashed(now.quiet, fine))
        self._fitted_run.setPen(dashed(now.quiet, 1.6 * fine))
        soft = QColor(now.accent)
        soft.setAlphaF(_BAND)
        self.band.setBrush(soft)
        self._run.setPen(pg.mkPen(now.accent, width=2.4 * fine))
        self._redline.setPen(dotted(now.refuse, 1.2 * fine))
        self._redline_name.setColor(QColor(now.refuse))
        self._redline_name.setFont(theme.font(theme.SMALL))
        self._dots.setPen(pg.mkPen(now.quiet, width=fine))
        self._dots.setBrush(pg.mkBrush(now.surface))
        for name_item in self._names:
            name_item.setFont(theme.font(theme.BODY, bold=True))

    def hold_range(self, held: bool) -> None:
        """While a slider is held the axes only grow, so that the lines move and not the paper."""
        self._held = held

    def show_lines(self, on: SpeedLines | None, proposed: SpeedLines | None, band: Band | None = None) -> None:
        """Draw both sets; None for one that cannot be computed. `band` is as `speed_band` gives it."""
        unit = self._view.speed_factor
        self._fit_axes(on, proposed)
        if on is None:
            self._fitted_gears.setData([], [])
            self._fitted_run.setData([], [])
        else:
            self._fitted_gears.setData(*_pairs(on, unit))
            self._fitted_run.setData(on.run_speed / unit, on.run_engine / RPM)
        count = 0 if proposed is None else len(proposed.redline_speed)
        for index, (curve, name) in enumerate(zip(self._gears, self._names, strict=True)):
            shown = proposed is not None and index < count
            curve.setVisible(shown)
            name.setVisible(shown)
            if proposed is None or not shown:
                continue
            colour = theme.current().gear(index, count)
            curve.setPen(pg.mkPen(colour, width=1.6 * self.devicePixelRatioF()))
            x = proposed.gear_speed[index] / unit
            curve.setData(x, proposed.gear_engine / RPM)
            name.setText(str(index + 1))
            name.setColor(colour)
            name.setPos(x[-1], proposed.redline / RPM)
        if proposed is None:
            self._run.setData([], [])
        else:
            self._run.setData(proposed.run_speed / unit, proposed.run_engine / RPM)
            self._redline.setValue(proposed.redline / RPM)
            self._redline_name.setPos(0, proposed.redline / RPM)
        self._show_band(proposed, band)
        self._redline.setVisible(proposed is not None)
        self._redline_name.setVisible(proposed is not None)

    def _show_band(self, proposed: SpeedLines | None, band: Band | None) -> None:
        path = QPainterPath()
        if proposed is not None and band is not None:
            engine = proposed.gear_engine / RPM
            path.setFillRule(Qt.FillRule.WindingFill)
            for low, high in zip(*(ends / self._view.speed_factor for ends in band), strict=True):
                x, y = np.append(low, high[::-1]), np.append(engine, engine[::-1])
                path.addPolygon(QPolygonF([QPointF(*point) for point in zip(x.tolist(), y.tolist(), strict=True)]))
        self.band.setPath(path)

    def show_cursor(self, speed: float, engine: tuple[float, ...] | None, redline: float | None) -> None:
        """Put the cursor at a road speed (m/s), with a dot on each gear's line that it meets."""
        unit = self._view.speed_factor
        self.put_cursor(speed)
        met = [n / RPM for n in engine or () if redline is None or n <= redline]
        self._dots.setData([speed / unit] * len(met), met)

    _top = 0.0
    _unit = ""

    def _fit_axes(self, on: SpeedLines | None, proposed: SpeedLines | None) -> None:
        unit = self._view.speed_factor
        known = [lines for lines in (on, proposed) if lines is not None]
        x = up_to(max((float(k.redline_speed.max()) / unit for k in known), default=100.0) * 1.03, _ROUND_SPEED)
        y = up_to(max((k.redline / RPM for k in known), default=10000.0) * 1.08, _ROUND_RPM)
        if self._held:
            x, y = max(x, self.right), max(y, self._top)
        if (x, y, self._view.speed_unit) == (self.right, self._top, self._unit):
            return
        self.right, self._top, self._unit = x, y, self._view.speed_unit
        plot = self.getPlotItem()
        plot.setLabel("bottom", f"Road speed, {self._view.speed_unit}")
        round_axes(plot, self._grid, x, y)


def _pairs(lines: SpeedLines, unit: float) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    between = np.repeat(np.arange(lines.gear_speed.shape[1]), 2)[1:-1]
    return lines.gear_speed[:, between].ravel() / unit, np.tile(lines.gear_engine[between], len(lines.gear_speed)) / RPM
