"""A place that keeps its size whatever its text says.

A label or button that gets another text asks for a new layout of the whole page, which costs several milliseconds
and moves its neighbours. In here it does neither: the place is as large as its longest text needs.
"""

from __future__ import annotations

from PySide6.QtCore import QSize
from PySide6.QtGui import QFontMetrics, QPalette, QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from gearplan.window import theme


class Still(QWidget):
    """Holds one widget with text; `sample` is the longest text expected, `lines` how many lines it may fill.

    Without a sample the place takes the width that its layout gives it.
    """

    def __init__(self, child: QWidget, size: int, *, sample: str = "", bold: bool = False, lines: int = 1) -> None:
        super().__init__()
        metrics = QFontMetrics(theme.font(size, bold=bold))
        self._hint = QSize(metrics.horizontalAdvance(sample) + 2 * theme.UNIT, lines * metrics.lineSpacing() + 6)
        across = QSizePolicy.Policy.Fixed if sample else QSizePolicy.Policy.Expanding
        self.setSizePolicy(across, QSizePolicy.Policy.Fixed)
        # Opaque, so that nothing behind it is painted again.
        self.setBackgroundRole(QPalette.ColorRole.Base)
        self.setAutoFillBackground(True)
        self._child = child
        child.setParent(self)

    def sizeHint(self) -> QSize:
        """The size that the sample needs."""
        return self._hint

    def resizeEvent(self, _event: QResizeEvent) -> None:
        """The child fills the place."""
        self._child.setGeometry(self.rect())
