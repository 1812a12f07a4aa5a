"""The photograph with its points: zoom, pan, set, move, by mouse or by keys alone; under the pointer a magnifier."""

from __future__ import annotations

import math

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QFocusEvent,
    QImage,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QResizeEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QWidget

from gearplan.bike.text import written
from gearplan.language import tr
from gearplan.window.kit import theme
from gearplan.window.photo.marks import draw_cross, draw_point
from gearplan.window.photo.words import ASKED, NO_PICTURE
from gearplan.window.photo.work import PhotoWork

#: Zoom from one press or turn to the next, and the nearest, in pixels of the screen for one of the picture.
_ZOOM, _NEAREST = 1.25, 16.0
#: A point is taken hold of within so many pixels of the screen, and dragged once the mouse has moved by so many.
_REACH, _DRAG = 11.0, 5.0
#: Side of the magnifier at the usual size of text, its share of a small canvas, and how many pixels it makes of one.
_GLASS, _GLASS_SHARE, _GLASS_ZOOM = 180, 0.4, 4.0
#: Pixels that a key moves the cross by on the screen, and a chosen point by in the picture: usual, finer, faster.
_AIM_STEPS, _NUDGES = (8.0, 1.0, 48.0), (1.0, 0.25, 10.0)
_ARROWS = {Qt.Key.Key_Left: (-1, 0), Qt.Key.Key_Right: (1, 0), Qt.Key.Key_Up: (0, -1), Qt.Key.Key_Down: (0, 1)}


class PhotoCanvas(QWidget):
    """Shows the work and changes it; `set_asked` carries a place of the picture at which a point is wanted."""

    set_asked = Signal(float, float)

    def __init__(self, work: PhotoWork, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._work = work
        self._levels: list[QImage] = []
        self._shown: QImage | None = None
        self._zoom = 1.0
        self._origin = QPointF()
        self._fits = True
        #: Where the pointer, or the cross that the keys move, is in the picture.
        self.aim = QPointF()
        self._pointed = False
        self._pressed: QPointF | None = None
        self._panning = self._dragging = self._moved = False
        self._by = QPointF()
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMouseTracking(True)
        self.setMinimumSize(320, 240)
        self.setAccessibleName(tr("Photograph"))
        work.changed.connect(self._work_changed)
        work.moved.connect(self._show_choice)
        self._work_changed()

    def sizeHint(self) -> QSize:
        """As large as it can be."""
        return QSize(900, 640)

    def to_screen(self, x: float, y: float) -> QPointF:
        """Where a place of the picture is in the widget."""
        return QPointF((x - self._origin.x()) * self._zoom, (y - self._origin.y()) * self._zoom)

    def to_picture(self, at: QPointF) -> QPointF:
        """The inverse of `to_screen`."""
        return at / self._zoom + self._origin

    def show_all(self) -> None:
        """The whole picture, as large as there is room."""
        self._fits = True
        if self._shown is not None:
            wide, high = self._shown.width(), self._shown.height()
            self._zoom = min(self.width() / wide, self.height() / high)
            spare = QPointF(self.width() / self._zoom - wide, self.height() / self._zoom - high)
            self._origin = spare / -2
        self.update()

    def zoom(self, by: float, at: QPointF | None = None) -> None:
        """Zoom about a place of the widget, or about what the keys point at."""
        if self._shown is None:
            return
        kept = self.to_screen(self.aim.x(), self.aim.y()) if at is None else at
        below = self.to_picture(kept)
        least = min(self.width() / self._shown.width(), self.height() / self._shown.height())
        zoom = min(max(self._zoom * by, least), _NEAREST)
        if zoom <= least:
            self.show_all()
            return
        self._fits, self._zoom = False, zoom
        self._origin = below - kept / zoom
        self.update()

    def _work_changed(self) -> None:
        picture = self._work.picture
        image = None if picture is None else picture.image
        if image is not self._shown:
            self._shown, self._levels = image, []
            # Halves of halves, so that a small picture is painted quickly and without moiré.
            while image is not None and image.width() > 400:
                self._levels.append(image)
                image = image.scaled(
                    image.width() // 2,
                    image.height() // 2,
                    Qt.AspectRatioMode.IgnoreAspectRatio,
                    Qt.TransformationMode.SmoothTransformation,
                )
            if self._shown is not None:
                self._levels = self._levels or [self._shown]
                self.aim = QPointF(self._shown.width() / 2, self._shown.height() / 2)
                self.show_all()
        self._show_choice()

    def _show_choice(self) -> None:
        point = self._work.point
        if self._work.picture is None:
            told = NO_PICTURE
        elif point is not None:
            miss = self._work.miss(point)
            off = "" if miss is None else f", {written.number(miss, 1, 1)} px off"
            told = tr("{name}, at {x:.0f}, {y:.0f}{off}", name=point.name, x=point.x, y=point.y, off=off)
            if not self._pressed:
                self.aim = QPointF(point.x, point.y)
        else:
            told = tr(
                "{asked} Cross at {x:.0f}, {y:.0f}.", asked=ASKED[self._work.step], x=self.aim.x(), y=self.aim.y()
            )
        self.setAccessibleDescription(told)
        self.update()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """What was shown whole stays whole."""
        super().resizeEvent(event)
        if self._fits:
            self.show_all()

    # The mouse.

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Take hold of a point, or of the picture."""
        if self._shown is None:
            return
        at = event.position()
        self._pressed, self._moved = at, False
        self._panning = event.button() != Qt.MouseButton.LeftButton
        near = self._near(at)
        if not self._panning and near is not None:
            self._work.choose(near)
            point = self._work.points[near]
            self._by = QPointF(point.x, point.y) - self.to_picture(at)
            self._dragging = True
        self.setFocus(Qt.FocusReason.MouseFocusReason)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Move what is held, and the magnifier."""
        at = event.position()
        self._pointed = self._shown is not None and self.rect().contains(at.toPoint())
        if self._pressed is not None:
            far = (at - self._pressed).manhattanLength() >= _DRAG
            self._moved = self._moved or far
            if self._dragging:
                if self._moved:
                    to = self.to_picture(at) + self._by
                    self._work.move(to.x(), to.y(), "drag")
            elif self._panning or far:
                self._panning, self._fits = True, False
                self._origin -= (at - self._pressed) / self._zoom
                self._pressed = at
                self._keep_in_sight()
        self.aim = self.to_picture(at)
        self.update()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """A press that moved nothing sets a point."""
        if self._pressed is None:
            return
        held, panned = self._dragging and self._moved, self._panning or self._dragging
        self._pressed, self._dragging, self._panning = None, False, False
        if held:
            self._work.let_go()
        elif not panned and event.button() == Qt.MouseButton.LeftButton:
            place = self.to_picture(event.position())
            self._set_at(place)
        self.update()

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Zoom about the pointer."""
        turns = event.angleDelta().y() / 120
        if turns:
            self.zoom(_ZOOM**turns, event.position())
        event.accept()

    def leaveEvent(self, _event: object) -> None:
        """Without the pointer there is nothing to magnify, unless keys point."""
        self._pointed = False
        self.update()

    @property
    def dragging(self) -> bool:
        """Whether a point is being dragged: what follows from it waits until it is let go."""
        return self._dragging

    def _near(self, at: QPointF) -> int | None:
        found, least = None, _REACH
        for index, point in enumerate(self._work.points):
            off = self.to_screen(point.x, point.y) - at
            if (away := math.hypot(off.x(), off.y())) < least:
                found, least = index, away
        return found

    def _set_at(self, place: QPointF) -> None:
        if self._shown is not None and QRectF(self._shown.rect()).contains(place):
            self.set_asked.emit(place.x(), place.y())

    def _keep_in_sight(self) -> None:
        """The middle of the widget stays on the picture."""
        if self._shown is None:
            return
        half = QPointF(self.width(), self.height()) / (2 * self._zoom)
        x = min(max(self._origin.x(), -half.x()), self._shown.width() - half.x())
        y = min(max(self._origin.y(), -half.y()), self._shown.height() - half.y())
        self._origin = QPointF(x, y)

    # The keys.

    def focusInEvent(self, event: QFocusEvent) -> None:
        """The cross of the keys appears."""
        super().focusInEvent(event)
        self.update()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """And goes."""
        super().focusOutEvent(event)
        self._work.end_merge()
        self.update()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Everything that the mouse can do."""
        key = Qt.Key(event.key())
        if self._shown is None:
            super().keyPressEvent(event)
        elif key in _ARROWS:
            self._arrow(*_ARROWS[key], event.modifiers())
        elif key in (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space):
            if self._work.chosen is None:
                self._set_at(self.aim)
            else:
                self._work.end_merge()
                self._work.choose(None)
        elif key == Qt.Key.Key_Escape and self._work.chosen is not None:
            self._work.choose(None)
        elif key in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace):
            self._work.remove()
        elif key in (Qt.Key.Key_Plus, Qt.Key.Key_Equal, Qt.Key.Key_Minus):
            self.zoom(1 / _ZOOM if key == Qt.Key.Key_Minus else _ZOOM)
        elif key == Qt.Key.Key_0:
            self.show_all()
        elif key in (Qt.Key.Key_PageUp, Qt.Key.Key_PageDown):
            self._work.next_step(-1 if key == Qt.Key.Key_PageUp else 1)
        elif key in (Qt.Key.Key_BracketLeft, Qt.Key.Key_BracketRight):
            self._work.count(-1 if key == Qt.Key.Key_BracketLeft else 1)
        else:
            super().keyPressEvent(event)

    def _arrow(self, across: int, down: int, modifiers: Qt.KeyboardModifier) -> None:
        which = 0
        if modifiers & Qt.KeyboardModifier.ShiftModifier:
            which = 1
        elif modifiers & Qt.KeyboardModifier.ControlModifier:
            which = 2
        point = self._work.point
        if point is not None:
            by = _NUDGES[which]
            self._work.move(point.x + across * by, point.y + down * by, "nudge")
        elif self._shown is not None:
            by = _AIM_STEPS[which] / self._zoom
            x = min(max(self.aim.x() + across * by, 0.0), self._shown.width())
            self.aim = QPointF(x, min(max(self.aim.y() + down * by, 0.0), self._shown.height()))
            self._show_choice()
        self._pointed = False
        self._follow()

    def _follow(self) -> None:
        """Move the picture so that what the keys point at is in sight."""
        room = QRectF(self.rect()).adjusted(20, 20, -20, -20)
        at = self.to_screen(self.aim.x(), self.aim.y())
        if not self._fits and not room.contains(at):
            self._origin = self.aim - QPointF(self.width(), self.height()) / (2 * self._zoom)
        self.update()

    # What is seen.

    def paintEvent(self, _event: QPaintEvent) -> None:
        """The picture, the points, the cross and the magnifier."""
        painter = QPainter(self)
        now = theme.current()
        painter.fillRect(self.rect(), QColor(now.raised))
        if self._shown is None:
            painter.setPen(QColor(now.text))
            room = self.rect().adjusted(4 * theme.UNIT, 4 * theme.UNIT, -4 * theme.UNIT, -4 * theme.UNIT)
            painter.drawText(room, Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap, NO_PICTURE)
        else:
            painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform, self._zoom < 2)
            self._draw_picture(painter, QRectF(self.rect()), self._origin, self._zoom)
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            # The chosen point's words come first: others make room for them.
            worded: list[QRectF] = []
            for index in sorted(range(len(self._work.points)), key=lambda index: index != self._work.chosen):
                point = self._work.points[index]
                at = self.to_screen(point.x, point.y)
                draw_point(painter, point, at, self._work.miss(point), worded, chosen=index == self._work.chosen)
            if self._pointed or self.hasFocus():
                self._draw_glass(painter)
        if self.hasFocus():
            painter.setPen(QPen(QColor(now.accent), 3))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRect(QRectF(self.rect()).adjusted(1, 1, -1, -1))

    def _draw_picture(self, painter: QPainter, room: QRectF, origin: QPointF, zoom: float) -> None:
        """What of the picture lies from `origin` on, into a place of the widget."""
        assert self._shown is not None
        seen = QRectF(origin, room.size() / zoom).intersected(QRectF(self._shown.rect()))
        if seen.isEmpty():
            return
        fine = self.devicePixelRatioF() * zoom
        level = min(max(int(-math.log2(fine)), 0) if fine < 1 else 0, len(self._levels) - 1)
        image = self._levels[level]
        across, down = image.width() / self._shown.width(), image.height() / self._shown.height()
        source = QRectF(seen.x() * across, seen.y() * down, seen.width() * across, seen.height() * down)
        target = QRectF((seen.topLeft() - origin) * zoom + room.topLeft(), seen.size() * zoom)
        painter.drawImage(target, image, source)

    def _draw_glass(self, painter: QPainter) -> None:
        """The pointer's surroundings, in the corner away from it; the cross where the keys point."""
        at = self.to_screen(self.aim.x(), self.aim.y())
        side = min(float(theme.px(_GLASS)), _GLASS_SHARE * min(self.width(), self.height()))
        left = self.width() - side - theme.UNIT if at.x() < self.width() / 2 else theme.UNIT
        glass = QRectF(left, theme.UNIT, side, side)
        zoom = max(_GLASS_ZOOM, 2 * self._zoom)
        painter.save()
        painter.setClipRect(glass)
        painter.fillRect(glass, QColor(theme.current().raised))
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform, on=False)
        self._draw_picture(painter, glass, self.aim - QPointF(side, side) / (2 * zoom), zoom)
        draw_cross(painter, glass.center(), side / 2, 6.0)
        painter.restore()
        painter.setPen(QPen(QColor(theme.current().quiet), 1))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRect(glass)
        if not self._pointed and self._work.chosen is None:
            draw_cross(painter, at, 16.0, 4.0)
