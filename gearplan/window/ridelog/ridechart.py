"""A recorded channel over time: drawn with its peaks, dragged and zoomed along the time at the frame's rate."""

from __future__ import annotations

import numpy as np
import pyqtgraph as pg
from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QWidget

from gearplan.language import tr
from gearplan.ridelog.log import Floats
from gearplan.ridelog.thinning import Pyramid
from gearplan.sheet.axes import round_step, up_to
from gearplan.window.kit import theme
from gearplan.window.kit.charts.pens import dotted, plain_axes
from gearplan.window.kit.charts.plainchart import PlainChart
from gearplan.window.kit.places.layout import fixed_height

_MOST_POINTS = 2400
_ZOOM, _PAN = 1.5, 0.2
#: A strip's height, and what the time below it takes.
_HIGH, _FOR_TIME = 62, 40
_LEAST_SPAN = 1.0


class RideChart(PlainChart):
    """One or two channels over minutes; `pointed` carries the time (s) that was clicked.

    It is a strip of fixed height. Drag or the arrow keys move along the time, the wheel or + and − zoom, Home shows the
    whole ride.
    """

    pointed = Signal(float)

    def __init__(self, label: str, unit: float, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._label, self._unit = label, unit
        self._traces: list[Pyramid] = []
        self._span = (0.0, 1.0)
        self._most = self._top = 1.0
        self.setMouseEnabled(x=True, y=False)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName(tr("{label} over time", label=label))
        plot = self.getPlotItem()
        plain_axes(plot)
        plot.setLabel("left", label)
        self.show_time(named=True)
        # The second channel lies under the first.
        names = ("recorded", tr("second channel"))
        self._curves = [pg.PlotCurveItem(name=name, antialias=False, connect="finite") for name in names]
        self._laps = pg.PlotCurveItem(antialias=False, connect="pairs")
        self._cursor = pg.InfiniteLine(angle=90, movable=False)
        self._cursor.hide()
        for item in (self._laps, self._curves[1], self._curves[0], self._cursor):
            plot.addItem(item, ignoreBounds=True)
        plot.getViewBox().sigXRangeChanged.connect(self._ranged)
        self.scene().sigMouseClicked.connect(self._clicked)
        self.recolour()

    def recolour(self) -> None:
        """Take the colours of the current theme."""
        now, fine = self.dressed()
        # Of one width, so that the same time stands in one line in all charts.
        self.getPlotItem().getAxis("left").setWidth(theme.px(58))
        self._curves[0].setPen(pg.mkPen(now.accent, width=fine))
        self._curves[1].setPen(pg.mkPen(now.quiet, width=fine))
        self._laps.setPen(dotted(now.quiet, 1.2 * fine))
        self._cursor.setPen(pg.mkPen(now.text, width=1.2 * fine))

    def show_time(self, *, named: bool) -> None:
        """Name the time at the axis across or not: of two strips one above another the lower one is enough."""
        plot = self.getPlotItem()
        plot.setLabel("bottom", tr("minutes"))
        plot.showAxis("bottom", named)
        fixed_height(self, _HIGH + (_FOR_TIME if named else 0))

    def measure_in(self, label: str, unit: float) -> None:
        """Show the values in another unit."""
        if unit != self._unit:
            self._label, self._unit = label, unit
            self.getPlotItem().setLabel("left", label)
            self._fit_up()
            self._ranged()

    def show_channels(self, time: Floats, channels: list[Floats]) -> None:
        """Show one or two channels (SI), the first in front; the whole ride is in sight."""
        self._traces = [Pyramid(time, values) for values in channels[:2]]
        self._span = (float(time[0]) / 60, max(float(time[-1]), float(time[0]) + _LEAST_SPAN) / 60)
        self._laps.setData([], [])
        self._cursor.hide()
        known = np.concatenate([values[np.isfinite(values)] for values in channels[:2]])
        self._most = max(float(known.max()) if len(known) else 1.0, 1e-3)
        self._fit_up()
        box = self.getPlotItem().getViewBox()
        box.setLimits(xMin=self._span[0], xMax=self._span[1], minXRange=_LEAST_SPAN / 60)
        box.setXRange(*self._span, padding=0)
        self._ranged()

    def _fit_up(self) -> None:
        """The axis up from nothing to a round number over the most that was recorded."""
        most = self._most / self._unit
        step = round_step(most * 1.05, 3)
        self._top = up_to(most * 1.02, step)
        plot = self.getPlotItem()
        plot.getAxis("left").setTicks([[(v, f"{v:g}") for v in np.arange(step, self._top + step / 2, step).tolist()]])
        plot.getViewBox().setYRange(0, self._top, padding=0)

    def show_laps(self, times: list[float]) -> None:
        """Mark where laps begin (s)."""
        x = np.repeat(np.array(times) / 60, 2)
        self._laps.setData(x, np.tile([0.0, self._top], len(times)))

    def show_cursor(self, time: float | None) -> None:
        """Mark one time (s), or none."""
        self._cursor.setVisible(time is not None)
        if time is not None:
            self._cursor.setValue(time / 60)

    def _ranged(self, *_: object) -> None:
        """Draw as many points as can be seen of what is in sight."""
        first, last = self.getPlotItem().getViewBox().viewRange()[0]
        for curve, trace in zip(self._curves, [*self._traces, None, None], strict=False):
            if trace is None:
                curve.setData([], [])
                continue
            time, values = trace.seen(60 * first, 60 * last, _MOST_POINTS)
            curve.setData(time / 60, values / self._unit)

    def _clicked(self, event: object) -> None:
        at = self.getPlotItem().getViewBox().mapSceneToView(event.scenePos())  # type: ignore[attr-defined]
        if self._traces and self._span[0] <= at.x() <= self._span[1]:
            self.pointed.emit(60 * at.x())

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Arrow keys move, + and − zoom, Home shows everything."""
        box = self.getPlotItem().getViewBox()
        low, high = box.viewRange()[0]
        width = high - low
        key = event.key()
        keys = Qt.Key
        if key in (keys.Key_Left, keys.Key_Right):
            by = (
                min(width * _PAN, self._span[1] - high)
                if key == keys.Key_Right
                else max(-width * _PAN, self._span[0] - low)
            )
            box.setXRange(low + by, high + by, padding=0)
        elif key in (keys.Key_Plus, keys.Key_Equal, keys.Key_Minus):
            new = width * (_ZOOM if key == keys.Key_Minus else 1 / _ZOOM)
            middle = (low + high) / 2
            box.setXRange(max(middle - new / 2, self._span[0]), min(middle + new / 2, self._span[1]), padding=0)
        elif key == keys.Key_Home:
            box.setXRange(*self._span, padding=0)
        else:
            super().keyPressEvent(event)
