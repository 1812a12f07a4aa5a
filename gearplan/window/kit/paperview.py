"""A page as it will be printed, small, where a large screen has room for it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from gearplan.window.kit import theme

if TYPE_CHECKING:
    from gearplan.sheet.painter import Drawing


class PaperView(QWidget):
    """Paints the first page of a drawing, as large as it goes, on a sheet of paper."""

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._shown: Drawing | None = None
        self.setAccessibleName(name)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)

    def show_drawing(self, shown: Drawing | None) -> None:
        """Show another page; nothing for None."""
        self._shown = shown
        self.update()

    def minimumSizeHint(self) -> QSize:
        """Smaller than this nothing of a page can be told."""
        return QSize(theme.px(200), theme.px(280))

    def sheet(self) -> QRectF:
        """Where the sheet lies."""
        shown = self._shown
        if shown is None:
            return QRectF()
        scale = min((self.width() - 2) / shown.width, (self.height() - 2) / shown.height)
        wide, high = shown.width * scale, shown.height * scale
        return QRectF((self.width() - wide) / 2, 1, wide, high)

    def paintEvent(self, _event: QPaintEvent) -> None:
        """White paper whatever the colours of the window, with the page on it."""
        shown = self._shown
        if shown is None:
            return
        sheet = self.sheet()
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(QColor(theme.current().edge), 1))
        painter.setBrush(Qt.GlobalColor.white)
        painter.drawRect(sheet)
        painter.setClipRect(sheet)
        painter.translate(sheet.topLeft())
        painter.scale(sheet.width() / shown.width, sheet.width() / shown.width)
        shown.paint(painter, QRectF(0, 0, shown.width, shown.height))
        painter.end()
