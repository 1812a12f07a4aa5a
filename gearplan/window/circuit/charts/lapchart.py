"""One quantity along the lap, fitted behind proposed, with gear bands and a cursor that all charts share."""

from __future__ import annotations

import math

import numpy as np
import pyqtgraph as pg
from numpy.typing import NDArray
from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent
from PySide6.QtWidgets import QWidget

from gearplan.bike.text.written import shortest
from gearplan.language import tr
from gearplan.sheet.axes import round_step, up_to
from gearplan.window.kit import theme
from gearplan.window.kit.charts.labels import Name
from gearplan.window.kit.charts.pens import dashed, dotted, plain_axes
from gearplan.window.kit.charts.plainchart import PlainChart

Line = tuple[NDArray[np.float64], NDArray[np.float64]]
#: From, to (m) and the gear from 1.
Band = tuple[float, float, int]

_MOST_BANDS = 60
#: A chart whose distances stand below another one needs less room.
_LEAST_BARE = QSize(180, 60)
_LEAST_FILLED = 0.6
#: Two laps that are alike differ by less than is worth a scale of its own.
_LEAST_HIGH = 0.1


class LapChart(PlainChart):
    """A chart over distance; `moved_to` carries the distance (m) to which the user took the cursor."""

    moved_to = Signal(float)

    def __init__(
        self, label: str, *, across: bool, banded: bool = False, from_zero: bool = True, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._right = self._low = self._high = 0.0
        self._held = False
        self._from_zero, self._label, self._named_across = from_zero, label, across
        if not across:
            self.LEAST = _LEAST_BARE
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName(tr("{label} along the lap", label=label))
        plot = self.getPlotItem()
        plain_axes(plot)
        plot.setLabel("left", label)
        if across:
            plot.setLabel("bottom", tr("Distance along the lap, m"))
        else:
            # The charts stand one above the other: the last one's distances serve all.
            plot.getAxis("bottom").setStyle(showValues=False)
        self._grid = pg.PlotCurveItem(connect="pairs", antialias=False)
        self._on = pg.PlotCurveItem(name=tr("fitted"), antialias=True)
        self._proposed = pg.PlotCurveItem(name=tr("proposed"), antialias=True)
        self._proposed.setSegmentedLineMode("on")
        self._limit = pg.InfiniteLine(angle=0, movable=False)
        self._limit.hide()
        self._cursor = pg.InfiniteLine(angle=90, movable=False)
        self._bands = pg.PlotCurveItem(connect="pairs", antialias=False)
        self._names = [Name(anchor=(0.5, 0.0)) for _ in range(_MOST_BANDS if banded else 0)]
        for item in (self._grid, self._bands, self._on, self._proposed, self._limit, self._cursor, *self._names):
            plot.addItem(item, ignoreBounds=True)
        self.recolour()

    def recolour(self) -> None:
        """Take the colours of the current theme."""
        now, fine = self.dressed()
        plot = self.getPlotItem()
        # Of one width, so that the same distance stands in one line in all charts.
        plot.getAxis("left").setWidth(theme.px(56))
        if not self._named_across:
            plot.getAxis("bottom").setHeight(theme.px(theme.UNIT) + 2)
        self._grid.setPen(pg.mkPen(now.raised, width=fine))
        self._on.setPen(dashed(now.quiet, 1.4 * fine))
        self._proposed.setPen(pg.mkPen(now.accent, width=2.0 * fine))
        self._limit.setPen(dotted(now.refuse, 1.2 * fine))
        self._cursor.setPen(pg.mkPen(now.text, width=1.2 * fine))
        self._bands.setPen(dotted(now.edge, fine))
        for name in self._names:
            name.setFont(theme.font(theme.SMALL, bold=True))
            name.setColor(QColor(now.text))

    def hold(self, held: bool) -> None:
        """While a slider is held: lines without smooth edges, in half the time; the scales only widen."""
        self._held = held
        for item in (self._on, self._proposed):
            item.opts["antialias"] = not held

    def name_axis(self, label: str) -> None:
        """Another name of the axis, when the unit changes."""
        if label == self._label:
            return
        self._label = label
        self.getPlotItem().setLabel("left", label)
        self.setAccessibleName(tr("{label} along the lap", label=label))

    def show_lines(self, on: Line | None, proposed: Line | None, limit: float | None = None) -> None:
        """Draw both sets as (distance in m, value in the shown unit), and a limit across."""
        known = [line for line in (on, proposed) if line is not None]
        for item, line in ((self._on, on), (self._proposed, proposed)):
            item.setData(*(([], []) if line is None else line))
        self._limit.setVisible(limit is not None)
        if limit is not None:
            self._limit.setValue(limit)
        if known:
            self._fit_axes(known, limit)

    def show_bands(self, bands: tuple[Band, ...]) -> None:
        """Write the gears along the top, with a line at each shift."""
        edges = np.array([band[0] for band in bands[1:]])
        self._bands.setData(np.repeat(edges, 2), np.tile([self._low, self._high], len(edges)))
        wide = self._right / 60
        shown = [band for band in bands if band[1] - band[0] >= wide][: len(self._names)]
        for index, name in enumerate(self._names):
            name.setVisible(index < len(shown))
            if index < len(shown):
                start, end, gear = shown[index]
                if name.toPlainText() != str(gear):
                    name.setText(str(gear))
                name.setPos((start + end) / 2, self._high)

    def put_cursor(self, distance: float) -> None:
        """Put the cursor at a distance (m)."""
        self._cursor.setValue(distance)

    def _fit_axes(self, known: list[Line], limit: float | None) -> None:
        right = max(float(line[0][-1]) for line in known)
        low, high = (pick(float(pick(line[1])) for line in known) for pick in (min, max))
        if self._from_zero:
            low = min(0.0, low)
        high = max(high, limit or 0.0, low + _LEAST_HIGH)
        fits = self._low <= low and high <= self._high and right == self._right
        # The scale stays while the lines fit it and fill most of it: another one costs half a frame.
        if fits and (self._held or (high - low) >= _LEAST_FILLED * (self._high - self._low)):
            return
        if self._held and self._high > self._low:
            low, high = min(low, self._low), max(high, self._high)
        step = round_step(high - low, 3)
        self._right, self._low, self._high = right, math.floor(low / step) * step, up_to(high, step)
        plot = self.getPlotItem()
        plot.setRange(xRange=(0, right), yRange=(self._low, self._high), padding=0)
        across = np.arange(0, right, round_step(right, 12))
        up = np.arange(self._low, self._high + step / 2, step)
        for name, ticks in (("bottom", across), ("left", up)):
            shown = [(value, shortest(value)) for value in np.round(ticks, 6).tolist()]
            plot.getAxis(name).setTicks([shown])
        self._grid.setData(
            np.concatenate([np.repeat(across, 2), np.tile([0, right], len(up))]),
            np.concatenate([np.tile([self._low, self._high], len(across)), np.repeat(up, 2)]),
        )

    def _go_to(self, event: QMouseEvent) -> None:
        at = self.getPlotItem().vb.mapSceneToView(self.mapToScene(event.position().toPoint()))
        self.moved_to.emit(min(max(float(at.x()), 0.0), self._right))

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """A press brings the cursor there."""
        self.setFocus(Qt.FocusReason.MouseFocusReason)
        self._go_to(event)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """So does a drag."""
        if event.buttons() & Qt.MouseButton.LeftButton:
            self._go_to(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Left and Right move the cursor by ten metres, with Shift by a hundred."""
        if event.key() in (Qt.Key.Key_Left, Qt.Key.Key_Right):
            by = 100.0 if event.modifiers() & Qt.KeyboardModifier.ShiftModifier else 10.0
            to = self._cursor.value() + (by if event.key() == Qt.Key.Key_Right else -by)
            self.moved_to.emit(min(max(to, 0.0), self._right))
            return
        super().keyPressEvent(event)
