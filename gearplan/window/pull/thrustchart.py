"""Thrust over road speed: one curve a gear, fitted behind proposed, with the road load for several slopes."""

from __future__ import annotations

import numpy as np
import pyqtgraph as pg
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QColor, QPainterPath, QPen, QPolygonF
from PySide6.QtWidgets import QGraphicsPathItem, QWidget

from gearplan.language import tr
from gearplan.plan.pull.curves import PullCurves
from gearplan.plan.pull.table import Reserve
from gearplan.sheet.axes import up_to
from gearplan.window.kit import theme
from gearplan.window.kit.charts.cursorchart import CursorChart
from gearplan.window.kit.charts.labels import Name
from gearplan.window.kit.charts.pens import dashed, round_axes
from gearplan.window.kit.view import View

Band = tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]

_MOST_GEARS = 8
_MOST_SLOPES = 5
_LEAST_FILLED = 0.6
#: The name of the strongest gear stands above its peak.
_HEADROOM = 1.12
#: How much of the paper the band hides.
_BAND = 0.25
#: Where the road loads have their names, in parts of the greatest speed.
_LOAD_NAMES_FROM, _LOAD_NAMES_APART = 0.01, 0.09


class ThrustChart(CursorChart):
    """The chart; draws what plan computed in the view's speed unit."""

    def __init__(self, view: View, parent: QWidget | None = None) -> None:
        super().__init__(view, parent)
        self.setAccessibleName(tr("Thrust over road speed in each gear, with the road load"))
        plot = self.getPlotItem()
        plot.setLabel("left", tr("Thrust at the tyre, N"))
        self._grid = pg.PlotCurveItem(connect="pairs", antialias=False)
        #: How surely the proposed set's thrust is known.
        self.band = QGraphicsPathItem()
        self.band.setPen(QPen(Qt.PenStyle.NoPen))
        self._fitted = pg.PlotCurveItem(name=tr("fitted, all gears"), antialias=True, connect="finite")
        self._gears = [
            pg.PlotCurveItem(name=tr("gear {gear}", gear=gear), antialias=True) for gear in range(1, _MOST_GEARS + 1)
        ]
        for curve in self._gears:
            # Wide smooth lines are drawn piece by piece: many times faster.
            curve.setSegmentedLineMode("on")
        self._gear_names = [Name(anchor=(1.0, 0.5)) for _ in range(_MOST_GEARS)]
        self._loads = [pg.PlotCurveItem(name="road load", antialias=True) for _ in range(_MOST_SLOPES)]
        self._load_names = [Name(anchor=(0.0, 1.0)) for _ in range(_MOST_SLOPES)]
        self._top = pg.ScatterPlotItem(size=11, symbol="d")
        self._reserve = pg.PlotCurveItem(antialias=True)
        #: In the corner where no curve runs.
        self._reserve_name = Name(anchor=(1.0, 0.0))
        self._top_end = 1.0
        self._held = False
        self._unit = ""
        for item in (
            self._grid, self.band, self._fitted, *self._loads, *self._gears, *self._gear_names, *self._load_names,
            self._reserve, self._reserve_name, self.cursor, self._top,
        ):  # fmt: skip
            plot.addItem(item, ignoreBounds=True)
        self.recolour()

    def recolour(self) -> None:
        """Take the colours of the current theme."""
        super().recolour()
        now, fine = theme.current(), self.devicePixelRatioF()
        self._grid.setPen(pg.mkPen(now.raised, width=fine))
        self._fitted.setPen(dashed(now.quiet, 1.4 * fine))
        soft = QColor(now.accent)
        soft.setAlphaF(_BAND)
        self.band.setBrush(soft)
        for curve, name in zip(self._gears, self._gear_names, strict=True):
            curve.setPen(pg.mkPen(now.accent, width=2.2 * fine))
            name.setColor(QColor(now.accent))
        for load, name in zip(self._loads, self._load_names, strict=True):
            load.setPen(pg.mkPen(now.refuse, width=1.4 * fine))
            name.setColor(QColor(now.refuse))
            name.setFont(theme.font(theme.SMALL))
        for name in self._gear_names:
            name.setFont(theme.font(theme.BODY, bold=True))
        self._reserve.setPen(pg.mkPen(now.text, width=3 * fine))
        self._reserve_name.setColor(QColor(now.text))
        self._reserve_name.setFont(theme.font(theme.SMALL, bold=True))
        self._top.setPen(pg.mkPen(now.text, width=1.4 * fine))
        self._top.setBrush(pg.mkBrush(now.accent))

    def hold(self, held: bool) -> None:
        """While a slider is held: lines without smooth edges, in half the time; the scales only widen."""
        self._held = held
        for item in (self._fitted, *self._gears, *self._loads):
            item.opts["antialias"] = not held

    def show_curves(
        self, on: PullCurves | None, proposed: PullCurves | None, right: float, band: Band | None = None
    ) -> None:
        """Draw both sets; the axis reaches to a road speed `right` (m/s) at least, `band` is as of `thrust_band`."""
        unit = self._view.speed_factor
        if on is None:
            self._fitted.setData([], [])
        else:
            parts = [np.append(part, np.nan) for gear in on.gears for part in gear]
            self._fitted.setData(np.concatenate(parts[0::2]) / unit, np.concatenate(parts[1::2]))
        count = 0 if proposed is None else len(proposed.gears)
        for index, (curve, name) in enumerate(zip(self._gears, self._gear_names, strict=True)):
            shown = proposed is not None and index < count
            curve.setVisible(shown)
            name.setVisible(shown)
            if proposed is None or not shown:
                continue
            speed, force = proposed.gears[index]
            curve.setData(speed / unit, force)
            name.setText(str(index + 1))
            name.setPos(float(speed[0]) / unit, float(force[0]))
        loads = () if proposed is None else proposed.loads
        for index, (line, name) in enumerate(zip(self._loads, self._load_names, strict=True)):
            line.setVisible(index < len(loads))
            name.setVisible(index < len(loads))
            if index < len(loads):
                words, speed, force = loads[index]
                line.setData(speed / unit, force)
                name.setText(words)
                line.opts["name"] = tr("road load, {words}", words=words)
                # One beside the other, since the lines lie close together.
                at = (_LOAD_NAMES_FROM + index * _LOAD_NAMES_APART) * float(speed[-1])
                name.setPos(at / unit, float(np.interp(at, speed, force)))
        top = None if proposed is None else proposed.top
        self._top.setData(*(([], []) if top is None else ([top[0] / unit], [top[1]])))
        self._show_band(band)
        if proposed is not None:
            self._fit_axes([curves for curves in (on, proposed) if curves is not None], right)

    def _show_band(self, band: Band | None) -> None:
        path = QPainterPath()
        if band is not None:
            speed, low, high = band
            x, y = np.append(speed, speed[::-1]) / self._view.speed_factor, np.append(low, high[::-1])
            path.addPolygon(QPolygonF([QPointF(*point) for point in zip(x.tolist(), y.tolist(), strict=True)]))
        self.band.setPath(path)

    def show_reserve(self, speed: float, spare: Reserve | None) -> None:
        """Put the cursor at a road speed (m/s), and on it what the best gear leaves over the road load."""
        self.put_cursor(speed)
        shown = spare is not None and spare.left > 0
        self._reserve.setVisible(shown)
        self._reserve_name.setVisible(shown)
        if spare is None or not shown:
            return
        at = speed / self._view.speed_factor
        self._reserve.setData([at, at], [spare.load, spare.load + spare.left])
        told = tr(
            "gear {gear} leaves {left:.0f} N at {at:.0f} {speed_unit}",
            gear=spare.gear + 1,
            left=spare.left,
            at=at,
            speed_unit=self._view.speed_unit,
        )
        self._reserve_name.setText(told)
        self._reserve_name.setPos(self.right, self._top_end)

    def _fit_axes(self, known: list[PullCurves], right: float) -> None:
        unit = self._view.speed_factor
        widest = max(1.0, right, *(float(g[0][-1]) for k in known for g in k.gears)) / unit * 1.02
        highest = max(1.0, *(float(g[1].max()) for k in known for g in k.gears)) * _HEADROOM
        other = self._unit != self._view.speed_unit
        # The paper stays while the lines fit on it and fill most of it: another scale costs half a frame.
        least = 0.0 if self._held else _LEAST_FILLED
        if not other and least <= widest / self.right <= 1 and least <= highest / self._top_end <= 1:
            return
        if self._held and not other:
            widest, highest = max(widest, self.right), max(highest, self._top_end)
        self.right, self._top_end, self._unit = up_to(widest, 50), up_to(highest, 500), self._view.speed_unit
        plot = self.getPlotItem()
        plot.setLabel("bottom", tr("Road speed, {speed_unit}", speed_unit=self._view.speed_unit))
        round_axes(plot, self._grid, self.right, self._top_end)
