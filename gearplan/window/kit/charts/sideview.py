"""The side view of the chain run, to scale in millimetres; the axle can be dragged along its slot.

Draws what plan computed; zoom with the wheel, pan with the mouse, double-click to see all again.
"""

from __future__ import annotations

import math

import numpy as np
import pyqtgraph as pg
from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent
from PySide6.QtWidgets import QWidget

from gearplan.bike.text.units import MM
from gearplan.language import tr
from gearplan.plan.set.sideview import SideView, nearest_axle_position
from gearplan.window.kit import theme
from gearplan.window.kit.charts.labels import Name
from gearplan.window.kit.charts.pens import dashed, plain_axes
from gearplan.window.kit.charts.plainchart import PlainChart

#: A key moves by this share of what is in sight, or zooms by this factor.
_PAN, _ZOOM = 0.1, 1.25
_GRID_MM = 50
_GRID_REACH = 1000


class SideViewChart(PlainChart):
    """The drawing; `axle_dragged` carries the position along the arm (m) to which the user drags the axle."""

    LEAST = QSize(260, 210)

    axle_dragged = Signal(float)
    drag_ended = Signal()

    def __init__(self, parent: QWidget | None = None, *, still: bool = False) -> None:
        """`still`: it is looked at only, all of it is always in sight, and nothing can be dragged."""
        super().__init__(parent)
        self._still = still
        self.setAspectLocked(True)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus if still else Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName(tr("Side view of the chain run, to scale"))
        self.setAccessibleDescription(tr("Arrow keys move it, + and − zoom, Home shows everything."))
        plot = self.getPlotItem()
        self.setMouseEnabled(x=not still, y=not still)
        plain_axes(plot)
        plot.setLabel("bottom", tr("mm forward of the pivot"))
        plot.setLabel("left", tr("mm above the pivot"))
        self._shown: SideView | None = None
        self._grid = pg.PlotCurveItem(connect="pairs", antialias=False)
        self._slot = pg.PlotCurveItem(antialias=True)
        self._boss = pg.PlotCurveItem(antialias=True)
        self._fitted = [pg.PlotCurveItem(antialias=True) for _ in range(4)]
        self._fitted_shown: SideView | None = None
        self._arm = pg.PlotCurveItem(name="swingarm", antialias=True)
        self._lines = pg.PlotCurveItem(connect="pairs", antialias=True)
        self._front = pg.PlotCurveItem(name="front sprocket", antialias=True)
        self._rear = pg.PlotCurveItem(name="rear sprocket", antialias=True)
        self._chain = pg.PlotCurveItem(name="chain", antialias=True)
        self._pivot = pg.ScatterPlotItem(size=9)
        self.axle = pg.TargetItem(size=16, movable=not still)
        # Where no line passes: the arm and the chain's runs leave the axle forward, and the pivot rearward below it.
        self._axle_name = Name(tr("axle"), anchor=(1.15, -0.2))
        self._pivot_name = Name(tr("pivot"), anchor=(1.0, 0.6))
        for item in (
            self._grid, self._slot, self._boss, *self._fitted, self._lines, self._arm, self._front, self._rear,
            self._chain, self._pivot, self._axle_name, self._pivot_name, self.axle,
        ):  # fmt: skip
            plot.addItem(item, ignoreBounds=True)
        lines = np.arange(-_GRID_REACH, _GRID_REACH + 1, _GRID_MM)
        far = np.full(len(lines), float(_GRID_REACH))
        self._grid.setData(
            np.concatenate([np.repeat(lines, 2), np.column_stack([-far, far]).ravel()]),
            np.concatenate([np.column_stack([-far, far]).ravel(), np.repeat(lines, 2)]),
        )
        self.axle.sigPositionChanged.connect(self._dragged)
        self.axle.sigPositionChangeFinished.connect(self.drag_ended)
        self.recolour()

    def recolour(self) -> None:
        """Take the colours of the current theme."""
        now, fine = self.dressed()
        self._grid.setPen(pg.mkPen(now.raised, width=fine))
        for item in self._fitted:
            item.setPen(dashed(now.quiet, 1.2 * fine))
        self._slot.setPen(pg.mkPen(now.edge, width=9 * fine))
        self._boss.setPen(pg.mkPen(now.check, width=1.6 * fine))
        self._arm.setPen(pg.mkPen(now.text, width=2 * fine))
        self._lines.setPen(pg.mkPen(now.quiet, width=fine, style=Qt.PenStyle.DotLine))
        for item in (self._front, self._rear):
            item.setPen(pg.mkPen(now.text, width=1.2 * fine))
        self._chain.setPen(pg.mkPen(now.accent, width=2.6 * fine))
        self._pivot.setPen(pg.mkPen(now.text, width=1.4 * fine))
        self._pivot.setBrush(pg.mkBrush(now.surface))
        self.axle.setPen(pg.mkPen(now.accent, width=2 * fine))
        self.axle.setHoverPen(pg.mkPen(now.text, width=3 * fine))
        self.axle.setBrush(pg.mkBrush(now.surface))
        for name_item in (self._axle_name, self._pivot_name):
            name_item.setColor(QColor(now.quiet))
            name_item.setFont(theme.font(theme.SMALL))

    def show_views(self, on: SideView | None, proposed: SideView | None) -> None:
        """Draw both sets; None for one that cannot be drawn."""
        first = self._shown is None and proposed is not None
        self._shown = proposed
        if on is not self._fitted_shown:
            self._fitted_shown = on
            for item, line in zip(self._fitted, _outlines(on), strict=True):
                item.setData(*line)
        chain, front, rear, arm = _outlines(proposed)
        self._chain.setData(*chain)
        self._front.setData(*front)
        self._rear.setData(*rear)
        self._arm.setData(*arm)
        for item in (self.axle, self._axle_name, self._pivot_name, self._pivot):
            item.setVisible(proposed is not None)
        self._boss.setVisible(proposed is not None and proposed.boss is not None)
        if proposed is None:
            self._slot.setData([], [])
            self._lines.setData([], [])
            return
        (in_x, in_z), (out_x, out_z) = proposed.slot
        self._slot.setData(np.array([in_x, out_x]) / MM, np.array([in_z, out_z]) / MM)
        if proposed.boss is not None:
            turn = np.linspace(0, math.tau, 60)
            self._boss.setData(proposed.boss / MM * np.cos(turn), proposed.boss / MM * np.sin(turn))
        self._pivot.setData([0], [0])
        beside = (proposed.boss or 8e-3) / MM
        self._pivot_name.setPos(-beside, beside)
        self._draw_squat_lines(proposed)
        self.axle.blockSignals(True)
        self.axle.setPos(proposed.axle[0] / MM, proposed.axle[1] / MM)
        self.axle.blockSignals(False)
        self._axle_name.setPos(proposed.axle[0] / MM, proposed.axle[1] / MM)
        if first or self._still:
            self.see_all()

    def see_all(self) -> None:
        """Zoom so that both sprockets are in sight."""
        if self._shown is not None:
            xs, zs = self._shown.rear, self._shown.front
            left, right = float(xs[0].min()) / MM - 20, float(zs[0].max()) / MM + 30
            low = min(float(xs[1].min()), float(zs[1].min())) / MM - 15
            high = max(float(xs[1].max()), float(zs[1].max())) / MM + 15
            self.getPlotItem().setRange(xRange=(left, right), yRange=(low, high), padding=0)

    def _draw_squat_lines(self, view: SideView) -> None:
        """The upper run and the swingarm drawn out to where they meet, and the line there from the contact point."""
        if view.crossing is None or view.contact is None:
            self._lines.setData([], [])
            return
        meet = view.crossing
        ends = [
            (float(view.upper[0][1]), float(view.upper[1][1])), meet,
            (0.0, 0.0), meet,
            view.contact, meet,
        ]  # fmt: skip
        xs, zs = np.array(ends).T
        self._lines.setData(xs / MM, zs / MM)

    def _dragged(self) -> None:
        if self._shown is not None:
            at = self.axle.pos()
            self.axle_dragged.emit(nearest_axle_position(self._shown, at.x() * MM, at.y() * MM))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Arrow keys move, + and − zoom, Home shows everything: as on the charts of a ride."""
        (left, right), (low, high) = self.getPlotItem().getViewBox().viewRange()
        keys, key = Qt.Key, Qt.Key(event.key())
        across, up = (right - left) * _PAN, (high - low) * _PAN
        moves = {
            keys.Key_Left: (-across, 0.0), keys.Key_Right: (across, 0.0), keys.Key_Up: (0.0, up),
            keys.Key_Down: (0.0, -up),
        }  # fmt: skip
        if key in moves:
            self.getPlotItem().getViewBox().translateBy(*moves[key])
        elif key in (keys.Key_Plus, keys.Key_Equal, keys.Key_Minus):
            by = _ZOOM if key == keys.Key_Minus else 1 / _ZOOM
            self.getPlotItem().getViewBox().scaleBy((by, by))
        elif key == keys.Key_Home:
            self.see_all()
        else:
            super().keyPressEvent(event)

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        """See all again."""
        super().mouseDoubleClickEvent(event)
        self.see_all()


def _outlines(view: SideView | None) -> tuple[tuple[object, object], ...]:
    """Chain, front, rear and swingarm as (x, y) in mm."""
    if view is None:
        return (([], []),) * 4
    arm = (np.array([0.0, view.axle[0]]), np.array([0.0, view.axle[1]]))
    return tuple((x / MM, z / MM) for x, z in (view.chain, view.front, view.rear, arm))
