"""The saw-tooth in small, as soon as the entries give one: it takes what room is left and asks for none."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from gearplan.bike.text.units import RPM
from gearplan.language import tr
from gearplan.plan.set.compare import SpeedLines
from gearplan.sheet.axes import round_step, up_to
from gearplan.window.kit import theme
from gearplan.window.kit.view import View

#: Pixels at the usual size of text: the least place in which it can be read, the margins of its axes.
_LEAST, _LEFT, _FOOT, _TOP = QSize(220, 140), 52, 42, 20


class SpeedPreview(QWidget):
    """Road speed across, engine speed up, one line a gear with its number."""

    def __init__(self, view: View, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._view = view
        self._lines: SpeedLines | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)

    def sizeHint(self) -> QSize:
        """What is left over."""
        return QSize(0, 0)

    def show_lines(self, lines: SpeedLines | None, told: str) -> None:
        """Show the lines of one set, `told` in words; nothing for None."""
        self._lines = lines
        self.setAccessibleName(tr("Saw-tooth of speeds"))
        self.setAccessibleDescription(told)
        self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Draw it."""
        lines = self._lines
        if lines is None or self.width() < theme.px(_LEAST.width()) or self.height() < theme.px(_LEAST.height()):
            return
        now, unit = theme.current(), self._view.speed_factor
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setFont(theme.font(theme.SMALL))
        box = QRectF(self.rect()).adjusted(theme.px(_LEFT), theme.px(_TOP), -theme.px(_TOP), -theme.px(_FOOT))
        fastest, highest = float(lines.redline_speed.max()) / unit, lines.redline / RPM
        across, up = (round_step(end, most) for end, most in ((fastest, 6), (highest, 6)))
        right, top = up_to(fastest, across), up_to(highest, up)

        def at(speed: float, engine: float) -> QPointF:
            return QPointF(box.left() + box.width() * speed / right, box.bottom() - box.height() * engine / top)

        painter.setPen(QPen(QColor(now.raised), 1))
        for k in range(1, round(right / across) + 1):
            painter.drawLine(at(k * across, 0), at(k * across, top))
        for k in range(1, round(top / up) + 1):
            painter.drawLine(at(0, k * up), at(right, k * up))
        painter.setPen(QColor(now.quiet))
        high = painter.fontMetrics().height()
        for k in range(round(right / across) + 1):
            spot = at(k * across, 0)
            painter.drawText(
                QRectF(spot.x() - 40, spot.y() + 2, 80, high), Qt.AlignmentFlag.AlignCenter, f"{k * across:.0f}"
            )
        for k in range(1, round(top / up) + 1):
            spot = at(0, k * up)
            place = QRectF(0, spot.y() - high / 2, spot.x() - 4, high)
            painter.drawText(place, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter, f"{k * up:.0f}")
        foot = QRectF(box.left(), box.bottom() + high + 4, box.width(), high)
        painter.drawText(
            foot, Qt.AlignmentFlag.AlignCenter, tr("Road speed, {speed_unit}", speed_unit=self._view.speed_unit)
        )
        painter.drawText(QRectF(0, 0, box.width(), high), Qt.AlignmentFlag.AlignLeft, tr("Engine speed, rpm"))
        count = len(lines.redline_speed)
        for index, speeds in enumerate(lines.gear_speed):
            colour = QColor(now.gear(index, count))
            painter.setPen(QPen(colour, 2))
            points = [at(float(v) / unit, float(n) / RPM) for v, n in zip(speeds, lines.gear_engine, strict=True)]
            painter.drawPolyline(QPolygonF(points))
            painter.setFont(theme.font(theme.SMALL, bold=True))
            end = points[-1]
            place = QRectF(end.x() - 20, end.y() - high, 40, high)
            painter.drawText(place, Qt.AlignmentFlag.AlignCenter, str(index + 1))
