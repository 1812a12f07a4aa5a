"""One quantity over another, fitted behind proposed, with a mark where the bike stands."""

from __future__ import annotations

import numpy as np
import pyqtgraph as pg
from numpy.typing import NDArray
from PySide6.QtWidgets import QWidget

from gearplan.bike.text.written import shortest
from gearplan.language import tr
from gearplan.sheet.axes import round_step, up_to
from gearplan.window.kit import theme
from gearplan.window.kit.charts.labels import LineName
from gearplan.window.kit.charts.pens import dashed, plain_axes
from gearplan.window.kit.charts.plainchart import PlainChart

_LEAST_FILLED = 0.6

#: Left, right, bottom and top, in shown units.
_Ends = tuple[float, float, float, float]
Line = tuple[NDArray[np.float64], NDArray[np.float64]]


class PairChart(PlainChart):
    """A small chart; `label` and `across` name the axes, `unit` and `across_unit` are one of each in SI.

    `snaps` ends the axis across at a round number, so that it seldom changes; `mark` names the line across.
    """

    def __init__(
        self,
        label: str,
        unit: float,
        across: str,
        across_unit: float,
        *,
        snaps: bool = False,
        mark: str = tr("stands"),
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._unit, self._across_unit, self._snaps = unit, across_unit, snaps
        self._across = across
        self._on_shown: NDArray[np.float64] | None = None
        self._axes: _Ends | None = None
        self._held = False
        self.setAccessibleName(tr("{label} over {across}", label=label, across=across))
        plot = self.getPlotItem()
        plain_axes(plot)
        plot.setLabel("left", label)
        plot.setLabel("bottom", across)
        self._on = pg.PlotCurveItem(name=tr("fitted"), antialias=True, connect="finite")
        self._proposed = pg.PlotCurveItem(name=tr("proposed"), antialias=True, connect="finite")
        # Wide smooth lines are drawn piece by piece: many times faster.
        self._proposed.setSegmentedLineMode("on")
        self._stands = pg.InfiniteLine(angle=90, movable=False)
        self._stands.label = LineName(self._stands, mark, position=0.12)
        for item in (self._on, self._proposed, self._stands):
            plot.addItem(item, ignoreBounds=True)
        self.recolour()

    def hold(self, held: bool) -> None:
        """While a slider is held: lines without smooth edges, in half the time; the scales only widen."""
        self._held = held
        for item in (self._on, self._proposed):
            item.opts["antialias"] = not held

    def measure_in(self, label: str, unit: float) -> None:
        """Show the values in another unit from the next lines on."""
        if unit != self._unit:
            self._unit, self._axes, self._on_shown = unit, None, None
            self.getPlotItem().setLabel("left", label)

    def measure_across_in(self, across: str, unit: float) -> None:
        """Show what is across in another unit from the next lines on."""
        if across != self._across:
            self._across, self._across_unit, self._axes, self._on_shown = across, unit, None, None
            self.getPlotItem().setLabel("bottom", across)

    def recolour(self) -> None:
        """Take the colours of the current theme."""
        now, fine = self.dressed()
        self._on.setPen(dashed(now.quiet, 1.6 * fine))
        self._proposed.setPen(pg.mkPen(now.accent, width=2.4 * fine))
        self._stands.setPen(pg.mkPen(now.edge, width=1.2 * fine))
        self._stands.label.setColor(now.quiet)
        self._stands.label.setFont(theme.font(theme.SMALL))

    def show_lines(self, on: Line | None, proposed: Line | None, stands: float | None) -> None:
        """Draw both sets: (across, value) in SI each; `stands` is where the bike stands, if that has a meaning."""
        known = [line for line in (on, proposed) if line is not None]
        for item, line in ((self._on, on), (self._proposed, proposed)):
            shown = None if line is None else line[1]
            if item is self._on and shown is self._on_shown and shown is not None:
                continue
            if item is self._on:
                self._on_shown = shown
            if line is None:
                item.setData([], [])
            else:
                item.setData(line[0] / self._across_unit, line[1] / self._unit)
        self.put_mark(stands)
        if known:
            self._fit_axes(known)

    def put_mark(self, stands: float | None) -> None:
        """Put the line across somewhere else, or take it away."""
        self._stands.setVisible(stands is not None)
        if stands is not None:
            self._stands.setValue(stands / self._across_unit)

    def _fit_axes(self, known: list[Line]) -> None:
        plot = self.getPlotItem()
        x = np.concatenate([line[0] for line in known]) / self._across_unit
        y = np.concatenate([line[1] for line in known]) / self._unit
        y = y[np.isfinite(y)]
        if not len(y):
            return
        low, high, left, right = float(y.min()), float(y.max()), float(x.min()), float(x.max())
        least = 0.0 if self._held else _LEAST_FILLED
        if (self._snaps or self._held) and self._axes and _fills(self._axes, (left, right, low, high), least):
            return
        if self._held and self._axes:
            left, right = min(left, self._axes[0]), max(right, self._axes[1])
            low, high = min(low, self._axes[2]), max(high, self._axes[3])
        step = round_step(max(high - low, 1.0) * 1.2, 5)
        bottom, top = 0.0 - up_to(-low, step), up_to(high, step)
        if bottom == top:
            top += step
        if self._snaps:
            right = up_to(right, round_step(right, 4)) or 1.0
        wanted = (left, right, bottom, top)
        if wanted == self._axes:
            return
        self._axes = wanted
        plot.setRange(xRange=wanted[:2], yRange=wanted[2:], padding=0)
        plot.getAxis("left").setTicks([[(v, shortest(v)) for v in np.arange(bottom, top + step / 2, step).tolist()]])


def _fills(axes: _Ends, lines: _Ends, least: float) -> bool:
    """Whether lines fit on the paper as it is and fill so much of it: another scale costs several milliseconds."""
    across, up = lines[1] / (axes[1] or 1.0), lines[3] / (axes[3] or 1.0)
    return axes[0] <= lines[0] and axes[2] <= lines[2] and least <= across <= 1 and least <= up <= 1
