"""A field in which the customer signs with pen, finger or mouse."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QSizePolicy, QWidget

from gearplan.bike.work.jobcard import FIELD, LIFTED
from gearplan.language import tr
from gearplan.window.kit import theme

Points = tuple[tuple[float, float], ...]

_HIGH, _WIDE = 110, 380
#: A point nearer to the last one than this adds nothing; so many points are kept.
_NEAR, _MOST = 4.0, 1500


class _Pad(QWidget):
    """Takes the strokes; `drawn` after each."""

    drawn = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.points: list[tuple[float, float]] = []
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        self.setCursor(Qt.CursorShape.CrossCursor)
        self.setAccessibleName(tr("Field for the customer's signature"))

    def sizeHint(self) -> QSize:
        """Wide and low, as a line to sign on."""
        return QSize(theme.px(_WIDE), theme.px(_HIGH))

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """A stroke begins."""
        if self.points:
            self.points.append(LIFTED)
        self._add(event.position())

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """The stroke goes on."""
        self._add(event.position())

    def mouseReleaseEvent(self, _event: QMouseEvent) -> None:
        """The stroke ends."""
        self.drawn.emit()

    def paintEvent(self, _event: QPaintEvent) -> None:
        """White as paper, in light and in dark."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.fillRect(self.rect(), QColor("#ffffff"))
        painter.setPen(QPen(QColor("#808080"), 1))
        base = 0.8 * self.height()
        painter.drawLine(QPointF(12, base), QPointF(self.width() - 12, base))
        painter.setPen(QPen(QColor("#000000"), 2, c=Qt.PenCapStyle.RoundCap, j=Qt.PenJoinStyle.RoundJoin))
        box = QRectF(self.rect())
        for (x, y), (u, v) in zip(self.points, self.points[1:] or self.points, strict=False):
            if LIFTED not in ((x, y), (u, v)):
                painter.drawLine(_at(box, x, y), _at(box, u, v))

    def _add(self, place: QPointF) -> None:
        x = min(max(round(FIELD * place.x() / self.width()), 1), FIELD)
        y = min(max(round(FIELD * place.y() / self.height()), 1), FIELD)
        last = self.points[-1] if self.points else LIFTED
        if len(self.points) < _MOST and (last == LIFTED or abs(x - last[0]) + abs(y - last[1]) >= _NEAR):
            self.points.append((float(x), float(y)))
            self.update()


class SignatureField(QWidget):
    """`signed` carries the points after each stroke, None when it was wiped."""

    signed = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        self.pad = _Pad()
        self.wipe = QPushButton(tr("Wipe"))
        self.wipe.setAccessibleName(tr("Wipe the signature"))
        self.pad.drawn.connect(self._drawn)
        self.wipe.clicked.connect(self._wiped)
        row.addWidget(self.pad)
        row.addWidget(self.wipe, 0, Qt.AlignmentFlag.AlignBottom)
        row.addStretch(1)

    def show_signature(self, points: Points | None) -> None:
        """Show the signature as the job has it."""
        if tuple(self.pad.points) != (points or ()):
            self.pad.points = list(points or ())
            self.pad.update()
        self.wipe.setEnabled(bool(points))

    def _drawn(self) -> None:
        self.signed.emit(tuple(self.pad.points))

    def _wiped(self) -> None:
        self.signed.emit(None)


def _at(box: QRectF, x: float, y: float) -> QPointF:
    return QPointF(box.left() + x / FIELD * box.width(), box.top() + y / FIELD * box.height())
