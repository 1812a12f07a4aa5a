"""The adjuster's slot drawn large: where the axle stands, where it will stand, and what is left behind that."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from gearplan.bike.text.units import MM
from gearplan.bike.text.written import number
from gearplan.language import tr
from gearplan.plan.set.adjuster import Adjuster
from gearplan.window.kit import theme

#: The slot's height, the part of the width on either side of it, and how far beyond its ends an axle is drawn.
_HIGH, _BESIDE, _BEYOND = 22, 0.12, 0.10


class SlotView(QWidget):
    """Paints one `Adjuster`; the front of the motorcycle is at the right, as on the drawing above."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._shown: Adjuster | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:
        """The slot with a line of words above and below it."""
        line = theme.metrics(theme.BODY).lineSpacing()
        return QSize(theme.px(260), 2 * line + theme.px(_HIGH) + theme.UNIT)

    def minimumSizeHint(self) -> QSize:
        """The same."""
        return self.sizeHint()

    def show_adjuster(self, shown: Adjuster | None) -> None:
        """Show another place of the axle; nothing where the adjuster's ends are not known."""
        if shown != self._shown:
            self._shown = shown
            self.setAccessibleName(tr("Adjuster: ") + ", ".join(self.words()) if shown is not None else "")
            self.update()

    def words(self) -> tuple[str, ...]:
        """Where the axle stands, will stand, and what is left, in mm."""
        shown = self._shown
        if shown is None:
            return ()
        told = [] if shown.stands is None else [tr("stands at {stands} mm", stands=number(shown.stands, MM))]
        if shown.will_stand is not None and shown.left is not None:
            told.append(tr("will stand at {will_stand} mm", will_stand=number(shown.will_stand, MM)))
            if shown.left < 0:
                told.append(tr("{left} mm beyond its end", left=number(-shown.left, MM)))
            elif shown.will_stand < shown.front:
                told.append(tr("{front} mm before its front end", front=number(shown.front - shown.will_stand, MM)))
            else:
                told.append(tr("{left} mm left", left=number(shown.left, MM)))
        return tuple(told)

    def at(self, place: float) -> float:
        """Where along the width a place along the arm lies; no further beyond an end than there is room."""
        assert self._shown is not None
        front, rear = self._shown.front, self._shown.rear
        share = min(max((rear - place) / (rear - front), -_BEYOND), 1 + _BEYOND)
        return self.width() * (_BESIDE + share * (1 - 2 * _BESIDE))

    def paintEvent(self, _event: QPaintEvent) -> None:
        """The slot, both places of the axle with their words, and the way that is left."""
        shown = self._shown
        if shown is None:
            return
        now, line = theme.current(), theme.metrics(theme.BODY).lineSpacing()
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        slot = QRectF(self.at(shown.rear), line, self.at(shown.front) - self.at(shown.rear), theme.px(_HIGH))
        painter.setPen(QPen(QColor(now.quiet), 1.4))
        painter.setBrush(QColor(now.raised))
        painter.drawRoundedRect(slot, slot.height() / 2, slot.height() / 2)
        told = list(self.words())
        fits = shown.will_stand is not None and shown.front <= shown.will_stand <= shown.rear
        if shown.will_stand is not None and fits:
            painter.setPen(QPen(QColor(now.accent), 3))
            y = slot.center().y()
            painter.drawLine(QPointF(slot.left() + 4, y), QPointF(self.at(shown.will_stand), y))
        if shown.stands is not None:
            self._place(painter, self.at(shown.stands), slot, now.quiet, dashed=True)
            self._say(painter, told.pop(0), self.at(shown.stands), 0, now.quiet, bold=False)
        if shown.will_stand is not None:
            ink = now.accent if fits else now.refuse
            self._place(painter, self.at(shown.will_stand), slot, ink, dashed=False)
            self._say(painter, ", ".join(told), self.at(shown.will_stand), slot.bottom() + 2, now.text, bold=True)
        painter.end()

    def _place(self, painter: QPainter, x: float, slot: QRectF, colour: str, *, dashed: bool) -> None:
        """An axle in the slot: a ring, dashed for where it stands now."""
        pen = QPen(QColor(colour), 1.8 if dashed else 3)
        if dashed:
            pen.setDashPattern([2.5, 2])
        painter.setPen(pen)
        painter.setBrush(Qt.BrushStyle.NoBrush if dashed else QColor(theme.current().surface))
        painter.drawEllipse(QPointF(x, slot.center().y()), slot.height() / 2 - 2, slot.height() / 2 - 2)

    def _say(self, painter: QPainter, words: str, x: float, top: float, colour: str, *, bold: bool) -> None:
        metrics = theme.metrics(theme.BODY, bold=bold)
        wide = metrics.horizontalAdvance(words) + 2
        left = min(max(x - wide / 2, 0.0), max(self.width() - wide, 0.0))
        painter.setFont(theme.font(theme.BODY, bold=bold))
        painter.setPen(QColor(colour))
        painter.drawText(QRectF(left, top, wide, metrics.lineSpacing()), Qt.AlignmentFlag.AlignVCenter, words)
