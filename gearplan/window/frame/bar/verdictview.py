"""The verdict on the proposed set: state and number of cautions, each caution, and folded away what passed."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QPalette
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QSizePolicy, QVBoxLayout, QWidget

from gearplan.bike.text.written import counted
from gearplan.language import tr
from gearplan.plan import words
from gearplan.plan.set.verdict import Verdict
from gearplan.window.kit import theme
from gearplan.window.kit.places.fixedsize import FixedSize
from gearplan.window.kit.places.layout import WholeLines, most_width
from gearplan.window.kit.plaintext import PlainLabel
from gearplan.window.kit.shapes import VerdictShape
from gearplan.window.kit.spoken import Speaker

#: So wide is the place of the verdict's sentences at least.
_LEAST_WORDS = 140
#: And at most, at the usual size of text.
_MOST_WORDS = 640
_SAMPLE = max((*words.VERDICT.values(), f"{words.VERDICT['fits']}, {counted(2, 'caution', 'cautions')}"), key=len)


class VerdictView(QWidget):
    """Shows a verdict; `beside` takes more controls into its first row."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._said: Verdict | None = None
        self._speaker = Speaker(self)
        #: Whether the user wants to see all that passed.
        self._open = False
        #: Whether there is room for the button that shows what passed; without it all is listed.
        self._room = True
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(theme.UNIT // 2)
        head = self.beside = QHBoxLayout()
        head.setSpacing(theme.UNIT)
        self.shape = VerdictShape(22)
        self.word = PlainLabel()
        self.word.setProperty("role", "title")
        head.addWidget(self.shape)
        self._word_place = FixedSize(self.word, theme.TITLE, sample=_SAMPLE, bold=True)
        head.addWidget(self._word_place)
        head.addStretch(1)
        self.passed = QPushButton()
        self.passed.setProperty("slim", True)
        self.passed.setCheckable(True)
        self.passed.setToolTip(tr("Show or hide the checks that found nothing amiss"))
        self.passed.clicked.connect(self._toggled)
        head.addWidget(self.passed)
        column.addLayout(head)
        self.reasons = PlainLabel()
        self.reasons.setWordWrap(True)
        self.reasons.setAlignment(Qt.AlignmentFlag.AlignTop)
        self.reasons.setTextInteractionFlags(
            Qt.TextInteractionFlag.TextSelectableByMouse | Qt.TextInteractionFlag.TextSelectableByKeyboard
        )
        # So that the keys can scroll it; selecting alone would take it only at a click.
        self.reasons.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        scroll = self._scroll = WholeLines(self.reasons, words=_LEAST_WORDS)
        scroll.viewport().setBackgroundRole(QPalette.ColorRole.Base)
        self.reasons.setBackgroundRole(QPalette.ColorRole.Base)
        # As high as the sliders beside it leave, however long the findings are: the pages need the room.
        scroll.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Ignored)
        # Longer lines are hard to read on from.
        most_width(scroll, _MOST_WORDS)
        column.addWidget(scroll, 1)

    def give_room(self, room: bool) -> None:
        """Say whether there is room for the button that shows what passed."""
        if room != self._room:
            self._room = room
            if self._said is not None:
                self.show_verdict(self._said)

    def write_large(self, on: bool) -> None:
        """Say whether the state has room for the largest type of a page."""
        role = "large" if on else "title"
        if role != self.word.property("role"):
            self.word.setProperty("role", role)
            self.word.style().unpolish(self.word)
            self.word.style().polish(self.word)
            self._word_place.write_in(theme.LARGE if on else theme.TITLE)

    def show_lines(self, least: int) -> None:
        """Let so many lines of it be read at once at least."""
        self._scroll.show_lines(least)

    def show_verdict(self, said: Verdict) -> None:
        """Show what is said of a set."""
        first, self._said = self._said is None, said
        self.shape.show_level(said.level)
        # In the least room the number of cautions is left to the sentences below.
        self.word.setText(said.head if self._room else said.head.split(",")[0])
        self.word.setAccessibleName(said.head)
        # Without cautions, too, whether the chain goes on is told, and the other checks are folded.
        whole = said.told + said.passed
        folds = self._room and 0 < len(said.folded) < len(whole)
        self.passed.setVisible(folds)
        self.passed.setText(said.passed_head)
        self.passed.setChecked(self._open)
        shown = said.folded if folds and not self._open else whole
        self.reasons.setText("\n".join(shown))
        # The first verdict is no change.
        self._speaker.take(" ".join((f"{said.head}.", *said.told)), known=first)

    def _toggled(self, on: bool) -> None:
        self._open = on
        if self._said is not None:
            self.show_verdict(self._said)
