"""The strip above the work in which the program says one thing at a time, until it is closed."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QPushButton, QWidget

from gearplan.window.kit import theme
from gearplan.window.kit.shapes import VerdictShape


class MessageStrip(QFrame):
    """A message in words, with a triangle if something is wrong; takes no room while there is none."""

    taken = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("card", True)
        row = QHBoxLayout(self)
        row.setContentsMargins(theme.UNIT, theme.UNIT // 2, theme.UNIT, theme.UNIT // 2)
        self.shape = VerdictShape(16)
        self.text = QLabel()
        self.text.setWordWrap(True)
        self.text.setTextFormat(Qt.TextFormat.PlainText)
        self.text.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.offer = QPushButton()
        self.offer.clicked.connect(self.taken)
        close = QPushButton("Close")
        close.clicked.connect(self.hide)
        row.addWidget(self.shape)
        row.addWidget(self.text, 1)
        row.addWidget(self.offer)
        row.addWidget(close)
        self.hide()

    def say(self, text: str, *, wrong: bool = False, offer: str = "") -> None:
        """Show a message in place of the last; an empty one clears the strip.

        `offer` is the label of a button beside it, which emits `taken`.
        """
        self.offer.setText(offer)
        self.offer.setVisible(bool(offer))
        self.shape.show_level("check" if wrong else "fits")
        self.text.setText(text)
        self.setAccessibleName(text)
        self.setVisible(bool(text))
