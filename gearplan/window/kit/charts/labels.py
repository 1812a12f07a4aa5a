"""Words in charts: they stay inside the plot, and a thin rim of the ground's colour parts them from the curves.

A filled box behind the words would hide the curves; the rim leaves them in sight.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import pyqtgraph as pg
from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPainterPath, QPen, QPixmap

from gearplan.window.kit import theme

_RIM = 3.0
#: A text item has an empty margin of so much about its letters.
_MARGIN = 4.0


class _InSight:
    """What both kinds of label have in common; mixed into pyqtgraph's own."""

    def setPos(self, *place: Any) -> None:
        item: Any = self
        before = item.pos()
        super().setPos(*place)  # type: ignore[misc]
        if item.pos() != before:
            self.updateTextPos()

    def updateTextPos(self) -> None:
        """In place of pyqtgraph's own: by the anchor, then moved as far as the words stick out of the plot."""
        item: Any = self
        words = item.textItem.boundingRect()
        at = QPointF(-item.anchor.x() * words.width(), -item.anchor.y() * words.height())
        box = item.getViewBox() if item.scene() is not None and item.angle == 0 else None
        room = None if box is None else box.sceneBoundingRect()
        if room is not None and room.width() >= words.width() and room.height() >= words.height():
            shown = words.translated(item.scenePos() + at).adjusted(_MARGIN, _MARGIN, -_MARGIN, -_MARGIN)
            at += QPointF(
                max(room.left() - shown.left(), 0.0) + min(room.right() - shown.right(), 0.0),
                max(room.top() - shown.top(), 0.0) + min(room.bottom() - shown.bottom(), 0.0),
            )
        if item.textItem.pos() != at:
            item.prepareGeometryChange()
            item.textItem.setPos(at)

    def paint(self, painter: QPainter, *args: Any) -> None:
        """The rim; the words themselves are painted over it."""
        super().paint(painter, *args)  # type: ignore[misc]
        item: Any = self
        words = item.toPlainText()
        if words:
            ratio = painter.device().devicePixelRatioF()
            rim = _rim(words, item.textItem.font().toString(), theme.current().surface, ratio)
            painter.drawPixmap(item.textItem.pos() + QPointF(_MARGIN - _RIM, _MARGIN - _RIM), rim)


class Name(_InSight, pg.TextItem):  # type: ignore[misc]
    """A name beside a curve or a point."""


class LineName(_InSight, pg.InfLineLabel):  # type: ignore[misc]
    """The name of a line across the plot."""


@lru_cache(maxsize=256)
def _rim(words: str, font_key: str, colour: str, ratio: float) -> QPixmap:
    font = QFont()
    font.fromString(font_key)
    metrics = QFontMetricsF(font)
    lines = words.split("\n")
    wide = max(metrics.horizontalAdvance(line) for line in lines) + 2 * _RIM
    high = metrics.lineSpacing() * len(lines) + 2 * _RIM
    pixmap = QPixmap(max(round(wide * ratio), 1), max(round(high * ratio), 1))
    pixmap.setDevicePixelRatio(ratio)
    pixmap.fill(Qt.GlobalColor.transparent)
    path = QPainterPath()
    for row, line in enumerate(lines):
        path.addText(_RIM, _RIM + metrics.ascent() + row * metrics.lineSpacing(), font, line)
    painter = QPainter(pixmap)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    pen = QPen(QColor(colour), 2 * _RIM - 1)
    pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
    painter.strokePath(path, pen)
    painter.end()
    return pixmap
