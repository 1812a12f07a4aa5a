"""A place that keeps its size whatever its text says.

A label or button that gets another text asks for a new layout of the whole page, which costs several milliseconds
and moves its neighbours. In here it does neither: the place is as large as its longest text needs.
"""

from __future__ import annotations

from PySide6.QtCore import QRect, QSize, Qt
from PySide6.QtGui import QFontMetrics, QPalette, QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from gearplan.window.kit import theme


class Still(QWidget):
    """Holds one widget with text; `sample` is the longest text expected on one line, `lines` how many lines it fills.

    Without a sample the place takes the width that its layout gives it. With `longest`, the longest text that is
    broken into lines, it is as high as that needs at its width, and at least `lines` high.
    """

    def __init__(
        self, child: QWidget, size: int, *, sample: str = "", bold: bool = False, lines: int = 1, longest: str = ""
    ) -> None:
        super().__init__()
        self._metrics = metrics = QFontMetrics(theme.font(size, bold=bold))
        self._longest = longest
        self._hint = QSize(metrics.horizontalAdvance(sample) + 2 * theme.UNIT, lines * metrics.lineSpacing() + 6)
        across = QSizePolicy.Policy.Fixed if sample else QSizePolicy.Policy.Expanding
        # A fixed one would not let it be higher than its hint.
        policy = QSizePolicy(across, QSizePolicy.Policy.Preferred if longest else QSizePolicy.Policy.Fixed)
        policy.setHeightForWidth(bool(longest))
        self.setSizePolicy(policy)
        # Opaque, so that nothing behind it is painted again.
        self.setBackgroundRole(QPalette.ColorRole.Base)
        self.setAutoFillBackground(True)
        self._child = child
        child.setParent(self)

    def sizeHint(self) -> QSize:
        """The size that the sample needs."""
        return self._hint

    def heightForWidth(self, width: int) -> int:
        """The height that the longest text needs at a width."""
        if not self._longest:
            return -1
        room = QRect(0, 0, width, 10_000)
        needed = self._metrics.boundingRect(room, Qt.TextFlag.TextWordWrap, self._longest).height() + 6
        return max(needed, self._hint.height())

    def resizeEvent(self, _event: QResizeEvent) -> None:
        """The child fills the place."""
        self._child.setGeometry(self.rect())
