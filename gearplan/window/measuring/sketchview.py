"""The place where a sketch is drawn, as large as the place allows."""

from __future__ import annotations

from PySide6.QtCore import QRectF, QSize
from PySide6.QtGui import QColor, QImage, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from gearplan.language import tr
from gearplan.window.kit import theme
from gearplan.window.measuring.pen import Pen
from gearplan.window.measuring.sketches import SKETCHES

#: Pixels left free around a sketch, and the least place for one, at the usual size of text.
_MARGIN = 6
LEAST = QSize(300, 210)


class SketchView(QWidget):
    """One sketch with one dimension lit; what it shows is told by its accessible name and description."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._sketch, self._lit = "", ""
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)

    @property
    def shown(self) -> tuple[str, str]:
        """The sketch's name and what is lit in it."""
        return self._sketch, self._lit

    def show_sketch(self, name: str, lit: str, title: str, told: str) -> None:
        """Draw a sketch; `title` and `told` are what a screen reader says of it."""
        self.setAccessibleName(tr("Sketch: {title}", title=title))
        self.setAccessibleDescription(told)
        if (name, lit) != self.shown:
            self._sketch, self._lit = name, lit
            self.update()

    def sizeHint(self) -> QSize:
        """No more than a sketch can be read in."""
        return self.minimumSizeHint()

    def minimumSizeHint(self) -> QSize:
        """Large enough for every text of a sketch, at the chosen size of text; type that small rounds up."""
        return LEAST.expandedTo(QSize(theme.px(LEAST.width()), theme.px(LEAST.height())))

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Draw it."""
        painter = QPainter(self)
        painter.fillRect(self.rect(), QColor(theme.current().surface))
        self._draw(painter)

    def unseen(self) -> list[str]:
        """The texts that have no room: outside of the place, or over another text."""
        canvas = QImage(self.size(), QImage.Format.Format_ARGB32)
        painter = QPainter(canvas)
        texts = self._draw(painter)
        painter.end()
        room = QRectF(self.rect())
        cut = [text for text, box in texts if not room.contains(box)]
        over = [
            tr("{text} over {other}", text=text, other=other)
            for place, (text, box) in enumerate(texts)
            for other, its in texts[place + 1 :]
            if box.intersects(its)
        ]
        return cut + over

    def _draw(self, painter: QPainter) -> list[tuple[str, QRectF]]:
        if not self._sketch:
            return []
        sketch = SKETCHES[self._sketch]
        room = QRectF(self.rect()).adjusted(_MARGIN, _MARGIN, -_MARGIN, -_MARGIN)
        pen = Pen(painter, room, sketch.box, self._lit)
        sketch.draw(pen)
        return pen.texts
