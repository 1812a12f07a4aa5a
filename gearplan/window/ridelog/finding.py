"""What a ride tells first of all, in large type, with the edits that it offers."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QPushButton, QVBoxLayout, QWidget

from gearplan.language import tr
from gearplan.ridelog.learning.gears import SURE
from gearplan.ridelog.telling.offers import Offer
from gearplan.ridelog.telling.remark import Remark
from gearplan.window.kit import theme
from gearplan.window.kit.places.flow import Flow
from gearplan.window.kit.plaintext import PlainLabel
from gearplan.window.kit.sentences import Sentences


class Finding(QWidget):
    """`taken` carries the offer whose button was pressed, `evidence_asked` what the finding is about."""

    taken = Signal(object)
    evidence_asked = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._offers: tuple[Offer, ...] = ()
        self._about = ""
        self._shown: object = None
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(theme.UNIT // 2)
        self.head, self.rest = PlainLabel(), Sentences()
        self.head.setProperty("role", "title")
        self.head.setWordWrap(True)
        for label in (self.head, self.rest):
            label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
            column.addWidget(label)
        self._row = Flow()
        self.evidence = QPushButton(tr("Evidence"))
        self.evidence.clicked.connect(self._evidence_pressed)
        self._row.addWidget(self.evidence)
        column.addLayout(self._row)
        #: The buttons of the offers, by their labels.
        self.buttons: dict[str, QPushButton] = {}

    @property
    def text(self) -> str:
        """The whole of it."""
        return f"{self.head.text()} {self.rest.text()}".strip()

    def show_finding(self, remark: Remark, offers: tuple[Offer, ...]) -> None:
        """Show a statement and its offers; its first sentence is the large one."""
        first, dot, rest = remark.text.partition(". ")
        self._about, self._offers = remark.about, tuple(offer for offer in offers if offer.about == remark.about)
        self.head.setText(f"{'▲ ' if remark.level == 'check' else '✓ '}{first}{dot.strip()}")
        self.head.setAccessibleName(
            f"{(tr('To be checked') if remark.level == 'check' else tr('Known'))}: {remark.text}"
        )
        self.rest.setText(rest)
        self.rest.setVisible(bool(rest))
        self.evidence.setAccessibleName(tr("Draw the evidence: {first}", first=first))
        labels = [offer.label for offer in self._offers]
        shown = (labels, remark.value)
        if shown == self._shown:
            return
        self._shown = shown
        for button in self.buttons.values():
            self._row.removeWidget(button)
            button.hide()
            # A button that was just pressed is still at work: it goes later.
            button.deleteLater()
        self.buttons = {}
        for label in labels:
            button = QPushButton(label)
            button.setObjectName(label)
            # What is no more than likely is not to be taken in passing.
            button.setProperty("primary", label == labels[0] and (remark.value is None or remark.value >= SURE))
            button.clicked.connect(self._pressed)
            self._row.addWidget(button)
            self.buttons[label] = button
        self._row.removeWidget(self.evidence)
        self._row.addWidget(self.evidence)

    def show_evident(self, *, elsewhere: bool) -> None:
        """Offer the evidence where it exists and another one is drawn."""
        self.evidence.setVisible(elsewhere)

    def _evidence_pressed(self) -> None:
        self.evidence_asked.emit(self._about)

    def _pressed(self) -> None:
        pressed = self.sender().objectName()
        self.taken.emit(next(offer for offer in self._offers if offer.label == pressed))
