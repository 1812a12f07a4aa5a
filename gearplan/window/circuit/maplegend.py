"""What the shades of the map mean: each level as a piece of line in its own width and colour, with its name."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QWidget

from gearplan.window.kit import theme

_SAMPLE = 24
#: The longest name, kept free so that the map does not change its size with the shading.
_LONGEST = "00000 to 00000"


def level_width(level: int) -> float:
    """How thick (px) the line of a level is: they tell themselves apart without colour."""
    return 2.0 + 0.6 * level


class MapLegend(QWidget):
    """The legend; as high as the map beside it."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.title = ""
        self.names: tuple[str, ...] = ()

    def show_names(self, title: str, names: tuple[str, ...]) -> None:
        """Take the names of the levels, the lowest first."""
        if (title, names) != (self.title, self.names):
            self.title, self.names = title, names
            self.setAccessibleName(f"Legend of the map, thin to thick: {title} {', '.join(names)}")
            self.updateGeometry()
            self.update()

    def sizeHint(self) -> QSize:
        """Room for every name."""
        metrics = theme.metrics(theme.SMALL)
        wide = max(map(metrics.horizontalAdvance, (*self.names, self.title, _LONGEST)))
        return QSize(_SAMPLE + 6 + wide + 2, metrics.height() * (len(self.names) + 1))

    def minimumSizeHint(self) -> QSize:
        """Every name can be read."""
        return self.sizeHint()

    def unseen(self) -> list[str]:
        """The names that have no room."""
        return [] if self.minimumSizeHint().height() <= self.height() else list(self.names)

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Draw the levels, the highest on top as on a scale."""
        if not self.names:
            return
        painter, now = QPainter(self), theme.current()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setFont(theme.font(theme.SMALL))
        count = len(self.names)
        least = theme.metrics(theme.SMALL).height()
        high = max(min(least + 4, self.height() // (count + 1)), least)
        top = max((self.height() - high * (count + 1)) // 2, 0)
        middle = Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft
        painter.setPen(QColor(now.quiet))
        painter.drawText(0, top, self.width(), high, middle, self.title)
        for place, level in enumerate(reversed(range(count)), 1):
            y = top + place * high
            pen = QPen(QColor(now.gear(level, count)), level_width(level))
            pen.setCapStyle(Qt.PenCapStyle.FlatCap)
            painter.setPen(pen)
            painter.drawLine(0, y + high // 2, _SAMPLE, y + high // 2)
            painter.setPen(QColor(now.text))
            painter.drawText(_SAMPLE + 6, y, self.width() - _SAMPLE - 6, high, middle, self.names[level])
