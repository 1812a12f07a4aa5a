"""The short list as a picture: calmer at the left, livelier at the right, and the lower the more parts it takes."""

from __future__ import annotations

from collections.abc import Iterator

from PySide6.QtCore import QEvent, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QHelpEvent, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QToolTip, QWidget

from gearplan.bike.text.written import signed_percent
from gearplan.language import tr
from gearplan.plan.choices.search import Choice
from gearplan.plan.driveset import DriveSet
from gearplan.plan.words import teeth
from gearplan.sheet.axes import round_step, up_to
from gearplan.window.kit import theme
from gearplan.window.kit.plaintext import plain
from gearplan.window.kit.shapes import paint_verdict

_PARTS = (tr("nothing to buy"), tr("1 new part"), tr("2 new parts"), tr("3 new parts"))
#: Half a set's sign, the least height of a row of parts, and the least change (percent) that the axis reaches to.
_SIGN, _ROW, _LEAST_REACH = 9, 44, 5.0
#: A row so high has room for what is told of a set below its name.
_TOLD = 110
#: An axis has so many steps on either side at most.
_STEPS = 4


class ChoicePicture(QWidget):
    """Paints the choices whose change is known; `proposed` carries the set that was clicked."""

    proposed = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._choices: tuple[Choice, ...] = ()
        self._chosen: DriveSet | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)

    def show_choices(self, choices: tuple[Choice, ...], chosen: DriveSet) -> None:
        """Show another list, with the proposed set marked."""
        self._choices = tuple(choice for choice in choices if choice.revs is not None)
        self._chosen = chosen
        told = "; ".join(f"{teeth(one.set)}: {one.line}" for one in self._choices)
        self.setAccessibleName(tr("The short list as a picture"))
        self.setAccessibleDescription(told)
        self.update()

    def minimumSizeHint(self) -> QSize:
        """A row for each number of parts, with the axis below."""
        return QSize(theme.px(320), theme.px(_ROW) * len(_PARTS) + 3 * self._line())

    def sizeHint(self) -> QSize:
        """The page takes what it has left."""
        return self.minimumSizeHint()

    def places(self) -> Iterator[tuple[Choice, QPointF]]:
        """Where each choice stands."""
        room, reach = self._room(), self._reach()
        for choice in self._choices:
            assert choice.revs is not None
            row = min(len(choice.new_parts), len(_PARTS) - 1)
            across = room.center().x() + choice.revs * 100 / reach * room.width() / 2
            # What is told of it stands below the sign.
            yield choice, QPointF(across, room.top() + (row + (0.25 if self._roomy() else 0.4)) * self._row())

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Rows of parts, the axis, and a sign with its name for each set."""
        now, room, line = theme.current(), self._room(), self._line()
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setFont(theme.font(theme.SMALL))
        for row, words in enumerate(_PARTS):
            top = room.top() + row * room.height() / len(_PARTS)
            painter.setPen(QPen(QColor(now.line), 1))
            painter.drawLine(QPointF(0, top), QPointF(self.width(), top))
            painter.setPen(QColor(now.quiet))
            painter.drawText(QRectF(0, top + 2, room.left(), line), words)
        self._paint_axis(painter, room, line)
        taken: list[QRectF] = []
        for choice, at in self.places():
            self._paint_choice(painter, choice, at, taken)
        painter.end()

    def _paint_axis(self, painter: QPainter, room: QRectF, line: int) -> None:
        now, reach = theme.current(), self._reach()
        middle = int(Qt.AlignmentFlag.AlignHCenter)
        step = round_step(reach, _STEPS)
        count = round(reach / step)
        painter.setPen(QPen(QColor(now.line), 1))
        painter.drawLine(QPointF(0, room.bottom()), QPointF(self.width(), room.bottom()))
        for place in range(-count, count + 1):
            x = room.center().x() + place / count * room.width() / 2
            painter.setPen(QPen(QColor(now.quiet if place == 0 else now.raised), 1))
            painter.drawLine(QPointF(x, room.top()), QPointF(x, room.bottom()))
            sign = "−" if place < 0 else "+" if place else ""
            painter.setPen(QColor(now.quiet))
            painter.drawText(QRectF(x - 60, room.bottom() + 2, 120, line), middle, f"{sign}{abs(place) * step:g} %")
        below = QRectF(room.left() - 30, room.bottom() + 2 + line, room.width() + 60, line)
        painter.drawText(below, int(Qt.AlignmentFlag.AlignLeft), tr("calmer"))
        painter.drawText(below, middle, tr("engine speed against fitted"))
        painter.drawText(below, int(Qt.AlignmentFlag.AlignRight), tr("livelier"))

    def _paint_choice(self, painter: QPainter, choice: Choice, at: QPointF, taken: list[QRectF]) -> None:
        now, proposed = theme.current(), choice.set == self._chosen
        half = theme.px(_SIGN)
        if proposed:
            painter.setPen(QPen(QColor(now.accent), 2))
            painter.setBrush(QColor(now.selected))
            painter.drawEllipse(at, half + 5, half + 5)
        paint_verdict(painter, choice.level, QRectF(at.x() - half, at.y() - half, 2 * half, 2 * half))
        metrics, small = theme.metrics(theme.BODY, bold=True), theme.metrics(theme.SMALL)
        told = [signed_percent(choice.revs), *choice.new_parts] if self._roomy() else []
        wide = max([metrics.horizontalAdvance(teeth(choice.set)), *map(small.horizontalAdvance, told)]) + 2
        high = metrics.lineSpacing() + len(told) * small.lineSpacing()
        sides = (
            QRectF(at.x() - wide / 2, at.y() + half + 2, wide, high),
            QRectF(at.x() - wide / 2, at.y() - half - high - 2, wide, high),
            QRectF(at.x() + half + 6, at.y() - high / 2, wide, high),
        )
        # Where two sets stand close, the second is named where there is room.
        box = next((side for side in sides if not any(side.intersects(other) for other in taken)), sides[0])
        taken += [box, QRectF(at.x() - half, at.y() - half, 2 * half, 2 * half)]
        painter.setFont(theme.font(theme.BODY, bold=True))
        painter.setPen(QColor(now.text))
        middle = int(Qt.AlignmentFlag.AlignHCenter)
        painter.drawText(box, middle, teeth(choice.set))
        painter.setFont(theme.font(theme.SMALL))
        painter.setPen(QColor(now.quiet))
        painter.drawText(box.adjusted(0, metrics.lineSpacing(), 0, 0), middle, "\n".join(told))

    def _room(self) -> QRectF:
        """The rows, right of their words and above the axis."""
        left = theme.metrics(theme.SMALL).horizontalAdvance(max(_PARTS, key=len)) + 5 * theme.UNIT
        wide, high = self.width() - left - 5 * theme.UNIT, self.height() - 2 * self._line() - 6
        return QRectF(left, 1, max(wide, 1), max(high, 1))

    def _row(self) -> float:
        return self._room().height() / len(_PARTS)

    def _roomy(self) -> bool:
        """Whether there is room below a set's sign for its change and its parts."""
        return self._row() >= theme.px(_TOLD)

    def _reach(self) -> float:
        """The change (percent) at either end of the axis."""
        farthest = max((abs(one.revs) * 100 for one in self._choices if one.revs is not None), default=0.0)
        farthest = max(farthest * 1.1, _LEAST_REACH)
        return up_to(farthest, round_step(farthest, _STEPS))

    @staticmethod
    def _line() -> int:
        return theme.metrics(theme.SMALL).lineSpacing()

    def _choice_at(self, place: QPointF) -> Choice | None:
        near = [(choice, at - place) for choice, at in self.places()]
        nearest = min(near, key=lambda one: one[1].manhattanLength(), default=None)
        return None if nearest is None or nearest[1].manhattanLength() > 2 * theme.px(_SIGN) else nearest[0]

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """A click proposes the set under the pointer."""
        choice = self._choice_at(event.position())
        if choice is not None and event.button() == Qt.MouseButton.LeftButton:
            self.proposed.emit(choice.set)

    def event(self, event: QEvent) -> bool:
        """The trade-offs of the set under the pointer."""
        if event.type() == QEvent.Type.ToolTip and isinstance(event, QHelpEvent):
            choice = self._choice_at(QPointF(event.pos()))
            tip = "" if choice is None else f"{teeth(choice.set)}: {choice.line}"
            QToolTip.showText(event.globalPos(), plain(tip), self)
            return True
        return super().event(event)
