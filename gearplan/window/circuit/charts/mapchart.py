"""The track map, coloured and numbered by gear or by engine speed, with the cursor where the charts have it."""

from __future__ import annotations

import numpy as np
import pyqtgraph as pg
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, Qt, Signal
from PySide6.QtGui import QColor, QFocusEvent, QFontMetrics, QKeyEvent, QMouseEvent
from PySide6.QtWidgets import QWidget

from gearplan.language import tr
from gearplan.plan.laps.view import Shading
from gearplan.sheet.circuit.marks import Box, placed
from gearplan.window.kit import theme
from gearplan.window.kit.charts.labels import Name
from gearplan.window.kit.charts.plainchart import PlainChart

Floats = NDArray[np.float64]

_MOST_LEVELS = 8
_MOST_NAMES = 60
#: Pixels between a mark and the line.
_BESIDE = 13.0
#: A press so near to the handle takes hold of it (pixels).
_NEAR = 16.0
#: What the arrow keys do: which neighbour comes to hand, or by how many metres the section grows.
_STEPS = {
    Qt.Key.Key_Left: (-1, 0.0),
    Qt.Key.Key_Right: (1, 0.0),
    Qt.Key.Key_Up: (0, 1.0),
    Qt.Key.Key_Down: (0, -1.0),
}


def level_width(level: int) -> float:
    """How thick (px) the line of a level is: they tell themselves apart without colour."""
    return 2.0 + 1.1 * level


class MapChart(PlainChart):
    """The map; `moved_to` carries the distance (m) along the lap of the point that was pressed.

    With a handle of a section, `dragged` carries where on the map it is taken (m) and `dropped` ends that; by key
    `stepped` carries by how many metres the section is to grow, `turned_to` which neighbour is to come to hand.
    """

    moved_to = Signal(float)
    dragged = Signal(float, float)
    dropped = Signal()
    stepped = Signal(float)
    turned_to = Signal(int)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._line: tuple[Floats, Floats, Floats] | None = None
        self._shading: Shading | None = None
        self._stands: tuple[float, int] | None = None
        self.setAccessibleName(tr("Map of the circuit"))
        plot = self.getPlotItem()
        plot.hideAxis("left")
        plot.hideAxis("bottom")
        plot.setAspectLocked(True)
        plot.disableAutoRange()
        self._bed = pg.PlotCurveItem(name=tr("line of the circuit"), antialias=True)
        self._parts = [pg.PlotCurveItem(antialias=True, connect="finite") for _ in range(_MOST_LEVELS)]
        for part in self._parts:
            # Wide smooth lines are drawn piece by piece: many times faster.
            part.setSegmentedLineMode("on")
        self._names = [Name(anchor=(0.5, 0.5)) for _ in range(_MOST_NAMES)]
        self._start = pg.ScatterPlotItem(size=13, symbol="s")
        self._start_name = Name(tr("start"), anchor=(-0.15, 1.1))
        self._here = pg.ScatterPlotItem(size=13)
        self._handle: tuple[float, float] | None = None
        self._held = False
        self._moved = pg.PlotCurveItem(antialias=True)
        self._grip = pg.ScatterPlotItem(size=15, symbol="d")
        self._ring = pg.ScatterPlotItem(size=25, brush=None)
        self._size = Name(anchor=(0.5, 0.5))
        lines = (self._bed, *self._parts, self._moved, self._start, self._start_name, *self._names)
        for item in (*lines, self._here, self._ring, self._grip, self._size):
            plot.addItem(item, ignoreBounds=True)
        plot.vb.sigResized.connect(self._resized)
        self.recolour()

    def recolour(self) -> None:
        """Take the colours of the current theme."""
        now, fine = theme.current(), self.devicePixelRatioF()
        self.setBackground(now.surface)
        self._bed.setPen(pg.mkPen(now.edge, width=1.6 * fine))
        for name in self._names:
            name.setFont(theme.font(theme.SMALL, bold=True))
            name.setColor(QColor(now.text))
        self._start.setPen(pg.mkPen(now.text, width=1.4 * fine))
        self._start.setBrush(pg.mkBrush(now.surface))
        self._start_name.setFont(theme.font(theme.SMALL))
        self._start_name.setColor(QColor(now.quiet))
        self._here.setPen(pg.mkPen(now.text, width=1.6 * fine))
        self._here.setBrush(pg.mkBrush(now.accent))
        self._moved.setPen(pg.mkPen(now.text, width=1.6 * fine))
        self._grip.setPen(pg.mkPen(now.text, width=1.6 * fine))
        self._grip.setBrush(pg.mkBrush(now.surface))
        self._ring.setPen(pg.mkPen(now.accent, width=2 * fine))
        self._size.setFont(theme.font(theme.SMALL, bold=True))
        self._size.setColor(QColor(now.text))
        self._paint_parts()

    def show_line(self, line: tuple[Floats, Floats, Floats] | None, shading: Shading | None) -> None:
        """Draw the line as (distance, x, y) in metres, shaded if it is known how it is ridden."""
        moved = line is not self._line
        self._line, self._shading = line, shading
        self._start.setVisible(line is not None)
        self._start_name.setVisible(line is not None)
        self._here.setVisible(line is not None)
        if line is None:
            for item in (self._bed, *self._parts):
                item.setData([], [])
            for name in self._names:
                name.setVisible(False)
            return
        _, x, y = line
        if moved:
            self._bed.setData(x, y)
            self._start.setData([x[0]], [y[0]])
            self._start_name.setPos(float(x[0]), float(y[0]))
            self._fit()
        self._paint_parts()

    def show_handle(self, at: tuple[float, float] | None, words: str, section: str) -> None:
        """Show where the section at hand is taken hold of, with what that changes; None for no handle.

        `section` names it for a screen reader.
        """
        self._handle = at
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus if at is None else Qt.FocusPolicy.StrongFocus)
        told = (
            tr(
                "{section}, {words}. Up and Down change it, Left and Right choose another section.",
                section=section,
                words=words,
            )
            if at
            else ""
        )
        self.setAccessibleDescription(told)
        self._show_grip(words)
        if self._line is not None:
            self._put_names(() if self._shading is None else self._shading.marks[:_MOST_NAMES])

    def show_moved(self, line: tuple[Floats, Floats] | None, at: tuple[float, float], words: str) -> None:
        """While the handle is held: the line as it would be, over the one that is; the map itself stays."""
        self._handle = at
        self._moved.setData(*(([], []) if line is None else line))
        self._show_grip(words)

    def _show_grip(self, words: str) -> None:
        points = ([], []) if self._handle is None else ([self._handle[0]], [self._handle[1]])
        self._grip.setData(*points)
        self._ring.setData(*(points if self.hasFocus() else ([], [])))
        self._size.setVisible(self._handle is not None)
        if self._handle is not None:
            self._size.setText(words)
            self._size.setPos(*self._beside_handle())

    def _fit(self) -> None:
        assert self._line is not None
        _, x, y = self._line
        wide, high = max(float(np.ptp(x)), 10.0), max(float(np.ptp(y)), 10.0)
        # Room for the marks beside the line, whatever the scale.
        place = self.getPlotItem().vb.size()
        marks = 2 * _BESIDE
        pixel = max(wide / max(place.width() - 2 * marks, 1.0), high / max(place.height() - 2 * marks, 1.0))
        margin = min(marks * pixel, 0.3 * max(wide, high))
        self.getPlotItem().setRange(
            xRange=(float(x.min()) - margin, float(x.max()) + margin),
            yRange=(float(y.min()) - margin, float(y.max()) + margin),
            padding=0,
        )

    def _paint_parts(self) -> None:
        line, shading = self._line, self._shading
        if line is None:
            return
        _, x, y = line
        marks = () if shading is None else shading.marks[:_MOST_NAMES]
        self._put_names(marks)
        count = 0 if shading is None else len(shading.names)
        for level, part in enumerate(self._parts):
            if shading is None or level >= count:
                part.setData([], [])
                continue
            here = shading.levels == level
            # The line goes on to where the next part begins.
            here = here | np.concatenate([[False], here[:-1]])
            part.setPen(
                pg.mkPen(theme.current().gear(level, count), width=level_width(level) * self.devicePixelRatioF())
            )
            part.setData(np.where(here, x, np.nan), np.where(here, y, np.nan))

    def _put_names(self, marks: tuple[tuple[int, str], ...]) -> None:
        """Marks stand beside the line, on its outer side, else on its inner; one without room on either is left out."""
        assert self._line is not None
        _, x, y = self._line
        step_x, step_y = self.getPlotItem().vb.viewPixelSize()
        if not step_x or not step_y:
            # Squeezed to nothing: there is no place for a mark.
            return
        metrics = QFontMetrics(theme.font(theme.SMALL, bold=True))

        def size_of(text: str) -> tuple[float, float]:
            return metrics.horizontalAdvance(text) + 2.0, metrics.capHeight() + 4.0

        places = placed(x / step_x, y / step_y, marks, size_of, _BESIDE, [self._start_box(), *self._grip_boxes()])
        for index, name in enumerate(self._names):
            at = places[index] if index < len(marks) else None
            name.setVisible(at is not None)
            if at is not None:
                if name.toPlainText() != marks[index][1]:
                    name.setText(marks[index][1])
                name.setPos(at[0] * step_x, at[1] * step_y)

    def _start_box(self) -> Box:
        """Where the start's name stands, in pixels of the map, up positive."""
        assert self._line is not None
        _, x, y = self._line
        step_x, step_y = self.getPlotItem().vb.viewPixelSize()
        metrics = QFontMetrics(theme.font(theme.SMALL))
        # A text item has a margin of 4 about its letters.
        wide, high = metrics.horizontalAdvance(tr("start")) + 8, metrics.height() + 8
        left, low = float(x[0]) / step_x + 0.15 * wide, float(y[0]) / step_y + 0.1 * high
        return left, low, left + wide, low + high

    def _beside_handle(self) -> tuple[float, float]:
        """Where the middle of the handle's words stands: off the line, else over the handle."""
        assert self._handle is not None
        step_x, step_y = self.getPlotItem().vb.viewPixelSize()
        at = self._handle[0], self._handle[1] + 2 * _BESIDE * step_y
        if self._line is None:
            return at
        _, x, y = self._line
        nearest = int(np.argmin((x - self._handle[0]) ** 2 + (y - self._handle[1]) ** 2))
        mark, taken = (nearest, self._size.toPlainText()), [self._start_box()]
        places = placed(x / step_x, y / step_y, (mark,), lambda _: self._words_size(), _BESIDE + 4, taken)
        east, north = at if places[0] is None else (places[0][0] * step_x, places[0][1] * step_y)
        (left, right), (low, high) = self.getPlotItem().vb.viewRange()
        half, up = (size * step / 2 for size, step in zip(self._words_size(), (step_x, step_y), strict=True))
        return min(max(east, left + half), right - half), min(max(north, low + up), high - up)

    def _words_size(self) -> tuple[float, float]:
        metrics = QFontMetrics(theme.font(theme.SMALL, bold=True))
        return metrics.horizontalAdvance(self._size.toPlainText()) + 2.0, metrics.capHeight() + 4.0

    def _grip_boxes(self) -> list[Box]:
        """Where the handle and its words stand, in pixels of the map, up positive."""
        if self._handle is None:
            return []
        step_x, step_y = self.getPlotItem().vb.viewPixelSize()
        (wide, high), (x, y) = self._words_size(), self._beside_handle()
        boxes = [(x / step_x, y / step_y, wide / 2, high / 2)]
        boxes.append((self._handle[0] / step_x, self._handle[1] / step_y, _BESIDE / 2, _BESIDE / 2))
        return [(east - half, north - up, east + half, north + up) for east, north, half, up in boxes]

    def _resized(self) -> None:
        """Another size: the line fills it, and the marks keep their distance from the line."""
        if self._line is not None:
            self._fit()
            self._paint_parts()

    def put_cursor(self, distance: float) -> None:
        """Put the dot at a distance (m) along the lap."""
        stands = (distance, id(self._line))
        if self._line is not None and stands != self._stands:
            self._stands = stands
            s, x, y = self._line
            self._here.setData([float(np.interp(distance, s, x))], [float(np.interp(distance, s, y))])

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """A press takes hold of the handle, or brings the cursor to the nearest point of the line."""
        self._held = event.button() == Qt.MouseButton.LeftButton and self._on_handle(event)
        if not self._held:
            self._go_to(event)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """So does a drag."""
        if self._held:
            at = self._at(event)
            self.dragged.emit(at.x(), at.y())
        elif event.buttons() & Qt.MouseButton.LeftButton:
            self._go_to(event)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """The handle is let go."""
        if self._held:
            self._held = False
            self.dropped.emit()
        event.accept()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """The arrow keys change the section at hand, or take another one."""
        if self._handle is None or event.key() not in _STEPS:
            super().keyPressEvent(event)
            return
        far = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
        along, metres = _STEPS[Qt.Key(event.key())]
        if along:
            self.turned_to.emit(along)
        else:
            self.stepped.emit(metres * (10.0 if far else 1.0))

    def focusInEvent(self, event: QFocusEvent) -> None:
        """A ring round the handle shows that the keys go there."""
        super().focusInEvent(event)
        self._show_grip(self._size.toPlainText())

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """The keys go elsewhere: what they changed is one step."""
        super().focusOutEvent(event)
        self._show_grip(self._size.toPlainText())
        self.dropped.emit()

    def _on_handle(self, event: QMouseEvent) -> bool:
        if self._handle is None:
            return False
        on = self.mapFromScene(self.getPlotItem().vb.mapViewToScene(QPointF(*self._handle)))
        return bool((QPointF(on) - event.position()).manhattanLength() <= _NEAR)

    def _at(self, event: QMouseEvent) -> QPointF:
        point: QPointF = self.getPlotItem().vb.mapSceneToView(self.mapToScene(event.position().toPoint()))
        return point

    def _go_to(self, event: QMouseEvent) -> None:
        if self._line is None:
            return
        at = self._at(event)
        s, x, y = self._line
        nearest = int(np.argmin((x - at.x()) ** 2 + (y - at.y()) ** 2))
        self.moved_to.emit(float(s[nearest]))
