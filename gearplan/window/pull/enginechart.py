"""Torque and power over engine speed; the entered points can be dragged, added and taken away."""

from __future__ import annotations

import numpy as np
import pyqtgraph as pg
from PySide6.QtCore import QPointF, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent
from PySide6.QtWidgets import QWidget

from gearplan.language import tr
from gearplan.setup.torque import EngineCurves
from gearplan.sheet.axes import round_step, up_to
from gearplan.window.kit import theme
from gearplan.window.kit.charts.labels import Name
from gearplan.window.kit.charts.pens import dashed, plain_axes, round_axes
from gearplan.window.kit.charts.plainchart import PlainChart

_NEAR = 14.0
_BETWEEN_RPM = 10.0

Points = tuple[tuple[float, float], ...]


class EngineChart(PlainChart):
    """The curve and its editor; `edited` carries all points (rpm, N·m) after a change, `finished` ends a drag."""

    edited = Signal(object)
    finished = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._points: Points = ()
        self._held: int | None = None
        self._chosen: int | None = None
        self._axes: tuple[float, float] | None = None
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName(tr("Torque and power over engine speed"))
        self.setAccessibleDescription(
            tr(
                "Left and Right choose a point, Up and Down change its torque, Delete takes it away; Shift with "
                "an arrow "
                "key moves it along the engine speed."
            )
        )
        plot = self.getPlotItem()
        plain_axes(plot)
        plot.setLabel("bottom", tr("Engine speed, rpm"))
        plot.setLabel("left", tr("N·m and kW"))
        self._grid = pg.PlotCurveItem(connect="pairs", antialias=False)
        self._power = pg.PlotCurveItem(name=tr("power, kW"), antialias=True)
        self._torque = pg.PlotCurveItem(name=tr("torque, N·m"), antialias=True)
        self._dots = pg.ScatterPlotItem(name=tr("torque as entered, N·m"), size=10)
        self._ring = pg.ScatterPlotItem(size=17, brush=None)
        self._names = [Name(name, anchor=(1.0, 1.0)) for name in (tr("torque"), tr("power"))]
        for item in (self._grid, self._power, self._torque, self._ring, self._dots, *self._names):
            plot.addItem(item, ignoreBounds=True)
        self.recolour()

    def recolour(self) -> None:
        """Take the colours of the current theme."""
        now, fine = self.dressed()
        self._grid.setPen(pg.mkPen(now.raised, width=fine))
        self._torque.setPen(pg.mkPen(now.accent, width=2.2 * fine))
        self._power.setPen(dashed(now.text, 1.6 * fine))
        self._dots.setPen(pg.mkPen(now.accent, width=1.6 * fine))
        self._dots.setBrush(pg.mkBrush(now.surface))
        self._ring.setPen(pg.mkPen(now.text, width=1.6 * fine))
        for name, colour in zip(self._names, (now.accent, now.text), strict=True):
            name.setColor(QColor(colour))
            name.setFont(theme.font(theme.SMALL, bold=True))

    def show_engine(self, curves: EngineCurves | None, points: Points) -> None:
        """Draw the curves that are computed with, and the points that were entered."""
        self._points = points
        if self._chosen is not None and self._chosen >= len(points):
            self._chosen = None
        for item in (self._torque, self._power, *self._names):
            item.setVisible(curves is not None)
        self._dots.setData([p[0] for p in points], [p[1] for p in points])
        self._show_ring()
        if curves is None:
            return
        self._torque.setData(curves.rpm, curves.torque)
        self._power.setData(curves.rpm, curves.power)
        for name, values in zip(self._names, (curves.torque, curves.power), strict=True):
            peak = int(np.argmax(values))
            name.setPos(float(curves.rpm[peak]), float(values[peak]))
        if self._held is None:
            self._fit_axes(curves, points)

    def _fit_axes(self, curves: EngineCurves, points: Points) -> None:
        right = max(float(curves.rpm[-1]), *(p[0] for p in points), 1000.0) * 1.02
        top = max(float(curves.torque.max()), float(curves.power.max()), *(p[1] for p in points), 1.0) * 1.12
        axes = (up_to(right, 1000.0), up_to(top, round_step(top, 5)))
        if axes != self._axes:
            self._axes = axes
            round_axes(self.getPlotItem(), self._grid, *axes, most=(7, 6))

    def _show_ring(self) -> None:
        at = None if self._chosen is None else self._points[self._chosen]
        self._ring.setData(*(([], []) if at is None else ([at[0]], [at[1]])))

    def _choose(self, index: int | None) -> None:
        self._chosen = index
        self._show_ring()

    def _at(self, where: QPointF) -> tuple[float, float]:
        point = self.getPlotItem().vb.mapSceneToView(self.mapToScene(where.toPoint()))
        return float(point.x()), float(point.y())

    def _nearest(self, where: QPointF) -> int | None:
        box = self.getPlotItem().vb
        near: tuple[float, int] | None = None
        for index, point in enumerate(self._points):
            on = QPointF(self.mapFromScene(box.mapViewToScene(QPointF(*point))))
            gap = (on - where).manhattanLength()
            if gap <= _NEAR and (near is None or gap < near[0]):
                near = (gap, index)
        return None if near is None else near[1]

    def _moved(self, index: int, rpm: float, torque: float) -> None:
        """Put a point elsewhere, between its neighbours."""
        low = self._points[index - 1][0] + _BETWEEN_RPM if index else 0.0
        last = index == len(self._points) - 1
        high = 30000.0 if last else self._points[index + 1][0] - _BETWEEN_RPM
        if low > high:
            return
        placed = (round(min(max(rpm, low), high)), round(min(max(torque, 0.0), 1000.0), 1))
        self._take((*self._points[:index], placed, *self._points[index + 1 :]))

    def _take(self, points: Points) -> None:
        if points != self._points:
            self._points = points
            self.edited.emit(points)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """A press on a point takes hold of it."""
        if event.button() == Qt.MouseButton.LeftButton:
            self.setFocus(Qt.FocusReason.MouseFocusReason)
            self._held = self._nearest(event.position())
            self._choose(self._held)
            event.accept()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """A held point follows."""
        if self._held is not None:
            self._moved(self._held, *self._at(event.position()))

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """The drag is one step to undo."""
        if self._held is not None:
            self._held = None
            self.finished.emit()
        event.accept()

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        """A double-click away from the points adds one there."""
        if self._nearest(event.position()) is None and self.getPlotItem().vb.sceneBoundingRect().contains(
            self.mapToScene(event.position().toPoint())
        ):
            rpm, torque = self._at(event.position())
            if all(abs(rpm - p[0]) >= _BETWEEN_RPM for p in self._points):
                self._take(tuple(sorted((*self._points, (round(rpm), round(max(torque, 0.0), 1))))))
                self.finished.emit()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Arrow keys choose and move points, Delete takes one away."""
        key, shift = event.key(), bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
        along = {Qt.Key.Key_Left: -1, Qt.Key.Key_Right: 1}.get(Qt.Key(key), 0)
        up = {Qt.Key.Key_Down: -1, Qt.Key.Key_Up: 1}.get(Qt.Key(key), 0)
        count = len(self._points)
        if along and not shift and count:
            start = (-1 if along > 0 else count) if self._chosen is None else self._chosen
            self._choose(min(max(start + along, 0), count - 1))
        elif self._chosen is not None and (along or up):
            rpm, torque = self._points[self._chosen]
            self._moved(self._chosen, rpm + 50 * along, torque + 0.5 * up)
        elif self._chosen is not None and key == Qt.Key.Key_Delete and count > 2:
            gone = self._chosen
            self._take((*self._points[:gone], *self._points[gone + 1 :]))
            self.finished.emit()
        else:
            super().keyPressEvent(event)
