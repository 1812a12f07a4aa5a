"""The saw-tooth chart: road speed across, engine speed up, a run through the gears, fitted behind proposed.

Which set it is tell ink and line (dashed, solid), which gear a number at the line. Takes what plan computed and a speed
unit; the only arithmetic here is the unit of display. All items are made once and then given new data.
"""

from __future__ import annotations

import numpy as np
import pyqtgraph as pg
from numpy.typing import NDArray
from PySide6.QtCore import QEvent, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainterPath, QPen, QPolygonF
from PySide6.QtWidgets import QGraphicsPathItem, QGraphicsRectItem, QWidget

from gearplan.bike.text.units import RPM
from gearplan.language import tr
from gearplan.plan.set.compare import SpeedLines
from gearplan.sheet.axes import up_to
from gearplan.window.kit import theme
from gearplan.window.kit.charts.cursorchart import CursorChart
from gearplan.window.kit.charts.labels import Name
from gearplan.window.kit.charts.pens import dashed, dotted, round_axes
from gearplan.window.kit.view import View

Band = tuple[NDArray[np.float64], NDArray[np.float64]]

_MOST_GEARS = 8
#: How much of the paper the band hides, and the ground beyond the redline.
_BAND, _BEYOND = 0.25, 0.08
_ROUND_SPEED, _ROUND_RPM = 20.0, 1000.0


class SawtoothChart(CursorChart):
    """The chart; draws what plan computed."""

    def __init__(self, view: View, parent: QWidget | None = None) -> None:
        super().__init__(view, parent)
        self.setAccessibleName(tr("Saw-tooth: engine speed over road speed through all gears"))
        plot = self.getPlotItem()
        self._lines: SpeedLines | None = None
        self._axes: tuple[float, float, str] = (0.0, 0.0, "")
        self._grid = pg.PlotCurveItem(connect="pairs", antialias=False)
        self._beyond = QGraphicsRectItem()
        self._beyond.setPen(QPen(Qt.PenStyle.NoPen))
        self._fitted_run = pg.PlotCurveItem(name=tr("fitted"), antialias=True)
        self._run = pg.PlotCurveItem(name=tr("proposed"), antialias=True)
        #: The whole line of top gear, fitted and proposed, and of the gear under the pointer.
        self._fitted_top, self._top_gear, self._pointed = (pg.PlotCurveItem(antialias=True) for _ in range(3))
        #: How surely the proposed set's speeds are known.
        self.band = QGraphicsPathItem()
        self.band.setPen(QPen(Qt.PenStyle.NoPen))
        self._redline = pg.InfiniteLine(angle=0, movable=False)
        self._names = [Name(anchor=(0.5, 1.0)) for _ in range(_MOST_GEARS)]
        self._redline_name = Name(tr("redline"), anchor=(0.0, 0.0))
        #: The engine speed in top gear at the cursor, fitted at its left and proposed at its right.
        self._dots = pg.ScatterPlotItem(size=9)
        self._told = (Name(anchor=(1.05, 1.0)), Name(anchor=(-0.05, 0.0)))
        for item in (
            self._grid, self._beyond, self.band, self._fitted_top, self._fitted_run, self._pointed, self._top_gear,
            self._run, self._redline, *self._names, self._redline_name, self.cursor, self._dots, *self._told,
        ):  # fmt: skip
            plot.addItem(item, ignoreBounds=True)
        self.scene().sigMouseMoved.connect(self._pointer_moved)
        self.recolour()

    def recolour(self) -> None:
        """Take the colours of the current theme."""
        super().recolour()
        now = theme.current()
        self.getPlotItem().setLabel("left", tr("Engine speed, rpm"))
        # Pens count in the screen's own pixels, of which a fine screen has several to one of ours.
        fine = self.devicePixelRatioF()
        self._grid.setPen(pg.mkPen(now.raised, width=fine))
        self._fitted_top.setPen(dashed(now.quiet, fine))
        self._fitted_run.setPen(dashed(now.quiet, 1.6 * fine))
        for item, colour, share in ((self.band, now.accent, _BAND), (self._beyond, now.refuse, _BEYOND)):
            soft = QColor(colour)
            soft.setAlphaF(share)
            item.setBrush(soft)
        for curve in (self._top_gear, self._pointed):
            curve.setPen(pg.mkPen(now.accent, width=fine))
        self._run.setPen(pg.mkPen(now.accent, width=2.4 * fine))
        self._redline.setPen(dotted(now.refuse, 1.2 * fine))
        self._redline_name.setColor(QColor(now.refuse))
        self._redline_name.setFont(theme.font(theme.SMALL))
        for name, colour, bold in zip(self._told, (now.quiet, now.accent), (False, True), strict=True):
            name.setColor(QColor(colour))
            name.setFont(theme.font(theme.BODY, bold=bold))
        for name in self._names:
            name.setColor(QColor(now.text))
            name.setFont(theme.font(theme.BODY, bold=True))

    def show_lines(
        self, on: SpeedLines | None, proposed: SpeedLines | None, right: float, band: Band | None = None
    ) -> None:
        """Draw both sets; None for one that cannot be computed. The axis reaches to a road speed `right` (m/s) at
        least, so that it stands still while sets are tried. `band` is as `speed_band` gives it."""
        unit = self._view.speed_factor
        self._lines = proposed
        known = [lines for lines in (on, proposed) if lines is not None]
        self._fit_axes(known, right)
        for lines, run, top in ((on, self._fitted_run, self._fitted_top), (proposed, self._run, self._top_gear)):
            if lines is None:
                run.setData([], [])
                top.setData([], [])
            else:
                run.setData(lines.run_speed / unit, lines.run_engine / RPM)
                top.setData(lines.gear_speed[-1] / unit, lines.gear_engine / RPM)
        ends = [] if proposed is None else (proposed.redline_speed / unit).tolist()
        for index, name in enumerate(self._names):
            name.setVisible(index < len(ends))
            if proposed is not None and index < len(ends):
                name.setText(str(index + 1))
                name.setPos(ends[index], proposed.redline / RPM)
        self._pointed.setData([], [])
        self._show_band(proposed, band)
        for item in (self._redline, self._redline_name, self._beyond):
            item.setVisible(proposed is not None)
        if proposed is not None:
            limit = proposed.redline / RPM
            self._redline.setValue(limit)
            self._redline_name.setPos(0, limit)
            self._beyond.setRect(QRectF(0, limit, self._axes[0], self._axes[1] - limit))

    def _show_band(self, proposed: SpeedLines | None, band: Band | None) -> None:
        path = QPainterPath()
        if proposed is not None and band is not None:
            low, high = (ends / self._view.speed_factor for ends in band)
            engine = proposed.run_engine / RPM
            path.setFillRule(Qt.FillRule.WindingFill)
            for k in range(len(engine) - 1):
                x, y = (low[k], low[k + 1], high[k + 1], high[k]), (engine[k], engine[k + 1], engine[k + 1], engine[k])
                path.addPolygon(QPolygonF([QPointF(float(a), float(b)) for a, b in zip(x, y, strict=True)]))
        self.band.setPath(path)

    def show_cursor(self, speed: float, engine: tuple[float | None, float | None], end: float | None) -> None:
        """Put the cursor at a road speed (m/s), with a dot where each set's top gear (rad/s) meets it: the fitted one's
        first, None for one that is not told. Nothing is beyond `end`."""
        self.put_cursor(speed)
        x, now, spots = speed / self._view.speed_factor, theme.current(), []
        for value, name, colour in zip(engine, self._told, (now.quiet, now.accent), strict=True):
            shown = value is not None and (end is None or value <= end)
            name.setVisible(shown)
            if value is not None and shown:
                spots.append({"pos": (x, value / RPM), "pen": pg.mkPen(now.surface), "brush": pg.mkBrush(colour)})
                name.setText(f"{value / RPM:.0f}")
                name.setPos(x, value / RPM)
        self._dots.setData(spots)

    def _pointer_moved(self, place: QPointF) -> None:
        """Draw the whole line of the gear that is ridden at the speed under the pointer."""
        box, lines = self.getPlotItem().vb, self._lines
        if lines is None or not box.sceneBoundingRect().contains(place):
            return
        at = box.mapSceneToView(place).x() * self._view.speed_factor
        gear = min(int(np.searchsorted(lines.redline_speed, at)), len(lines.redline_speed) - 1)
        self._pointed.setData(lines.gear_speed[gear] / self._view.speed_factor, lines.gear_engine / RPM)

    def leaveEvent(self, event: QEvent) -> None:
        """No gear is pointed at any more."""
        self._pointed.setData([], [])
        super().leaveEvent(event)

    def _fit_axes(self, known: list[SpeedLines], right: float) -> None:
        fastest = max([right, *(float(lines.redline_speed.max()) for lines in known)])
        x = up_to(fastest / self._view.speed_factor * 1.03, _ROUND_SPEED) or 100.0
        y = up_to(max((lines.redline / RPM for lines in known), default=10000.0) * 1.08, _ROUND_RPM)
        if (x, y, self._view.speed_unit) == self._axes:
            return
        self.right = x
        self._axes = (x, y, self._view.speed_unit)
        plot = self.getPlotItem()
        plot.setLabel("bottom", tr("Road speed, {speed_unit}", speed_unit=self._view.speed_unit))
        round_axes(plot, self._grid, x, y)
