"""A place that keeps its size whatever its text says, unless the text has no room in it.

A label or button that gets another text asks for a new layout of the whole page, which costs several milliseconds
and moves its neighbours. In here it does neither while the place is large enough; it never cuts a text off.
"""

from __future__ import annotations

from PySide6.QtCore import QEvent, QRect, QSize, Qt
from PySide6.QtGui import QPalette, QResizeEvent, QShowEvent
from PySide6.QtWidgets import QLabel, QSizePolicy, QWidget

from gearplan.window.kit import theme

#: A line of words has so many letters at most, as wide as these usual ones are on average.
_LETTERS, _USUAL = 70, "the usual letters of a sentence in English"


class FixedSize(QWidget):
    """Holds one widget with text; `sample` is the longest text expected on one line, `lines` how many lines it fills.

    Without a sample the place takes the width that its layout gives it. With `longest`, the longest text that is
    broken into lines, it is as high as that needs at its width, and at least `lines` high.
    """

    def __init__(
        self, child: QWidget, size: int, *, sample: str = "", bold: bool = False, lines: int = 1, longest: str = ""
    ) -> None:
        super().__init__()
        self._size, self._bold, self._sample, self._lines, self._longest = size, bold, sample, lines, longest
        self._wraps = isinstance(child, QLabel) and child.wordWrap()
        across = QSizePolicy.Policy.Fixed if sample else QSizePolicy.Policy.Expanding
        # A fixed one would not let it be higher than its hint.
        policy = QSizePolicy(across, QSizePolicy.Policy.Preferred if self._wraps else QSizePolicy.Policy.Fixed)
        policy.setHeightForWidth(self._wraps)
        self.setSizePolicy(policy)
        # Opaque, so that nothing behind it is painted again.
        self.setBackgroundRole(QPalette.ColorRole.Base)
        self.setAutoFillBackground(True)
        self._child = child
        child.setParent(self)

    def write_in(self, size: int) -> None:
        """Keep the size that text of another type needs."""
        self._size = size
        self.updateGeometry()

    def sizeHint(self) -> QSize:
        """The size that the sample needs, or the text that has more."""
        metrics = theme.metrics(self._size, bold=self._bold)
        wide, high = metrics.horizontalAdvance(self._sample) + 2 * theme.UNIT, self._lines * metrics.lineSpacing() + 6
        if self._wraps:
            return QSize(wide, high)
        return QSize(wide if not self._sample else max(wide, self._child.sizeHint().width()), high)

    def minimumSizeHint(self) -> QSize:
        """No narrower than its text, or than the longest word of a text that is broken into lines."""
        needs = self._child.minimumSizeHint()
        return QSize(max(self.sizeHint().width() if self._sample else 0, needs.width()), self.sizeHint().height())

    def heightForWidth(self, width: int) -> int:
        """The height that the longest text needs at a width, and the text at hand."""
        if not self._wraps:
            return -1
        width = min(width, self._most_wide())
        needs = max(self.sizeHint().height(), self._child.heightForWidth(width))
        if self._longest:
            room = QRect(0, 0, width, 10_000)
            metrics = theme.metrics(self._size, bold=self._bold)
            needs = max(needs, metrics.boundingRect(room, Qt.TextFlag.TextWordWrap, self._longest).height() + 6)
        return needs

    def event(self, event: QEvent) -> bool:
        """Another text asks for room only where it has too little."""
        if event.type() == QEvent.Type.LayoutRequest and self._lacks_room():
            self.updateGeometry()
        return super().event(event)

    def showEvent(self, event: QShowEvent) -> None:
        """A text that came while nothing was in sight has asked for no room yet."""
        super().showEvent(event)
        if self._lacks_room():
            self.updateGeometry()

    def _lacks_room(self) -> bool:
        if self._wraps:
            return self._child.heightForWidth(min(self.width(), self._most_wide())) > self.height()
        return self._child.minimumSizeHint().width() > self.width()

    def resizeEvent(self, _event: QResizeEvent) -> None:
        """The child fills the place; words in lines no wider than can be read."""
        room = self.rect()
        if self._wraps:
            room.setWidth(min(room.width(), self._most_wide()))
        self._child.setGeometry(room)

    def _most_wide(self) -> int:
        """So wide are lines of words at most: beyond that the eye loses the next one."""
        usual = theme.metrics(self._size, bold=self._bold).horizontalAdvance(_USUAL)
        return _LETTERS * usual // len(_USUAL)
