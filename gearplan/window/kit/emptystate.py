"""What a page says while it has nothing to show: what it needs, and a way there."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from gearplan.language import tr
from gearplan.window.kit import theme
from gearplan.window.kit.places.layout import FORM, most_width
from gearplan.window.kit.plaintext import PlainLabel


class EmptyState(QWidget):
    """Words and a button in a `block` in the middle, which takes other ways out too.

    `wanted` carries the field of the profile ("section.key") that would help.
    """

    wanted = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._field = ""
        middle = QHBoxLayout(self)
        block = QWidget()
        most_width(block, FORM)
        # The block takes what it may; only what is left goes to its sides.
        middle.addStretch(0)
        middle.addWidget(block, 1)
        middle.addStretch(0)
        column = self.block = QVBoxLayout(block)
        column.setSpacing(2 * theme.UNIT)
        self.words = PlainLabel()
        self.words.setWordWrap(True)
        self.button = QPushButton(tr("Enter it"))
        self.button.clicked.connect(self._ask)
        column.addStretch(1)
        column.addWidget(self.words)
        column.addWidget(self.button, 0, Qt.AlignmentFlag.AlignLeft)
        column.addStretch(1)

    def say(self, words: str, field: str) -> None:
        """Show what is needed; nothing is shown for no words, and no button without a field."""
        self._field = field
        self.words.setText(words)
        self.button.setVisible(bool(field))
        self.setVisible(bool(words))

    def _ask(self) -> None:
        self.wanted.emit(self._field)
