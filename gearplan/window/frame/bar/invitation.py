"""What a new user is asked while nothing but the fitted set is there."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from gearplan.language import tr
from gearplan.window.kit import theme
from gearplan.window.kit.plaintext import PlainLabel, plain


class Invitation(QWidget):
    """Asks what should be different. `wished` carries a wish in words, `words_wanted` asks for the page of wishes."""

    wished = Signal(str)
    words_wanted = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(theme.UNIT // 2)
        self.question = PlainLabel(tr("What should be different?"))
        column.addWidget(self.question)
        row = QHBoxLayout()
        row.setSpacing(theme.UNIT // 2)
        self.wishes: dict[str, QPushButton] = {}
        for wish in ("calmer", "livelier"):
            button = self.wishes[wish] = QPushButton(tr(wish).capitalize())
            button.setObjectName(wish)
            button.setToolTip(plain(tr("Propose the set that serves “{wish}” best", wish=tr(wish))))
            button.clicked.connect(self._wish)
            row.addWidget(button)
        self.in_words = QPushButton(tr("In words…"))
        self.in_words.clicked.connect(self.words_wanted)
        row.addWidget(self.in_words)
        row.addStretch(1)
        column.addLayout(row)
        other = PlainLabel(tr("or drag a slider"))
        other.setProperty("role", "small")
        column.addWidget(other)

    def _wish(self) -> None:
        self.wished.emit(self.sender().objectName())
