"""The points that a statement about a ride rests on, with the line through them."""

from __future__ import annotations

import numpy as np
import pyqtgraph as pg
from PySide6.QtWidgets import QWidget

from gearplan.language import tr
from gearplan.ridelog.log import Floats
from gearplan.ridelog.telling.evidence import Evidence
from gearplan.sheet.axes import round_step, up_to
from gearplan.window.kit import theme
from gearplan.window.kit.charts.pens import plain_axes
from gearplan.window.kit.charts.plainchart import PlainChart

#: Stray points beyond this share of them at either end do not squeeze the rest together.
_STRAY = 0.01


class EvidenceChart(PlainChart):
    """Shows one `Evidence` after another."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        plot = self.getPlotItem()
        plain_axes(plot)
        self._sticks = pg.PlotCurveItem(name="found", antialias=False, connect="pairs")
        self._points = pg.ScatterPlotItem(name="recorded", size=4, pxMode=True)
        self._line = pg.PlotCurveItem(name=tr("line through them"), antialias=True)
        for item in (self._sticks, self._points, self._line):
            plot.addItem(item, ignoreBounds=True)
        self.recolour()

    def recolour(self) -> None:
        """Take the colours of the current theme."""
        now, fine = self.dressed()
        # Of one width, so that the same time stands in one line in all charts.
        self.getPlotItem().getAxis("left").setWidth(theme.px(58))
        self._points.setPen(None)
        self._points.setBrush(pg.mkBrush(now.accent))
        self._sticks.setPen(pg.mkPen(now.accent, width=3 * fine))
        self._line.setPen(pg.mkPen(now.text, width=1.6 * fine))

    def show_evidence(self, shown: Evidence) -> None:
        """Draw points and line; the axes reach as far as they do."""
        self.setAccessibleName(tr("{title}: {up} over {across}", title=shown.title, up=shown.up, across=shown.across))
        empty = np.zeros(0)
        points = (empty, empty) if shown.sticks else (shown.x, shown.y)
        self._points.setData(*points)
        x, ends = empty, empty
        if shown.sticks:
            x, ends = shown.x, np.column_stack([np.zeros(len(shown.y)), shown.y])
        elif shown.spans is not None:
            x, ends = shown.x, np.column_stack(shown.spans)
        self._sticks.setData(np.repeat(x, 2), ends.ravel())
        self._line.setData(*((empty, empty) if shown.line is None else shown.line))
        plot = self.getPlotItem()
        plot.setLabel("bottom", shown.across)
        plot.setLabel("left", shown.up)
        drawn = np.append(shown.y, 0.0)
        if not shown.sticks:
            drawn = np.quantile(shown.y, [_STRAY, 1 - _STRAY])
        if shown.spans is not None:
            drawn = np.concatenate(shown.spans)
        if shown.line is not None:
            drawn = np.concatenate([drawn, shown.line[1]])
        air = 0.05 * float(np.ptp(shown.x)) or 1.0
        left, right = float(shown.x.min()) - air, float(shown.x.max()) + air
        bottom, top = _round_ends(drawn)
        plot.setRange(xRange=(left, right), yRange=(bottom, top), padding=0)
        step = round_step(top - bottom, 4)
        ticks = np.arange(up_to(bottom, step), top + step / 2, step).round(9).tolist()
        plot.getAxis("left").setTicks([[(value, f"{value:g}") for value in ticks]])


def _round_ends(values: Floats) -> tuple[float, float]:
    """Round numbers below and above all values."""
    low, high = float(values.min()), float(values.max())
    step = round_step(high - low, 5)
    bottom = -up_to(-low, step)
    return bottom, max(up_to(high, step), bottom + step)
