"""What a ride tells, one statement under another, each with the edit that it offers."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QPalette
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from gearplan.language import tr
from gearplan.ridelog.telling.offers import Offer
from gearplan.ridelog.telling.remark import Remark
from gearplan.window.kit import theme
from gearplan.window.kit.places.flow import Flow
from gearplan.window.kit.places.layout import Scrolled, fixed_width
from gearplan.window.kit.plaintext import PlainLabel
from gearplan.window.kit.sentences import Sentences

_MARKS = {"fits": "✓", "check": "!"}


class Inferences(Scrolled):
    """The list; `taken` carries the offer whose button was pressed, `evidence_asked` what a statement is about."""

    taken = Signal(object)
    evidence_asked = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent=parent)
        self.setAccessibleName(tr("What the ride tells"))
        #: The buttons of the offers: by what a statement is about, of several the first, and each by its label.
        self.buttons: dict[str, QPushButton] = {}
        self.by_label: dict[str, QPushButton] = {}
        self.evidence: dict[str, QPushButton] = {}
        self.texts: list[str] = []
        self._offers: tuple[Offer, ...] = ()
        self._shown: object = None
        self._drawn = ""

    def show_remarks(self, remarks: tuple[Remark, ...], offers: tuple[Offer, ...], evident: frozenset[str]) -> None:
        """Show statements, offers, and a button where evidence can be drawn; the same is not laid out again."""
        self._offers = offers
        shown = (remarks, tuple((offer.about, offer.label) for offer in offers), evident)
        if shown == self._shown:
            return
        self._shown = shown
        self.buttons, self.by_label, self.evidence = {}, {}, {}
        self.texts = [remark.text for remark in remarks]
        inside = QWidget()
        inside.setBackgroundRole(QPalette.ColorRole.Base)
        inside.setAutoFillBackground(True)
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 0, theme.UNIT, 0)
        column.setSpacing(theme.UNIT + theme.UNIT // 2)
        for remark in remarks:
            column.addLayout(self._row(remark, evident))
        column.addStretch(1)
        at = self.verticalScrollBar().value()
        # A button that was just pressed is still at work: it goes later.
        if (old := self.takeWidget()) is not None:
            old.deleteLater()
        self.setWidget(inside)
        self.verticalScrollBar().setValue(at)

    def show_drawn(self, about: str) -> None:
        """Say at its button whose evidence is drawn."""
        self._drawn = about
        for name, button in self.evidence.items():
            button.setText(tr("Evidence shown") if name == about else tr("Evidence"))

    def _row(self, remark: Remark, evident: frozenset[str]) -> QHBoxLayout:
        row = QHBoxLayout()
        row.setSpacing(theme.UNIT)
        mark = PlainLabel("•" if remark.one_of else _MARKS[remark.level])
        fixed_width(mark, 12)
        mark.setProperty("role", "error" if remark.level == "check" else "quiet")
        mark.setAccessibleName(
            tr("possible") if remark.one_of else tr("to be checked") if remark.level == "check" else tr("known")
        )
        row.addWidget(mark, 0, Qt.AlignmentFlag.AlignTop)
        told = QVBoxLayout()
        told.setSpacing(theme.UNIT // 2)
        text = Sentences(remark.text)
        text.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        told.addWidget(text)
        buttons = Flow()
        for offer in self._offers:
            if offer.about == remark.about:
                button = self._button(offer.label, offer.label, self._pressed, buttons)
                self.by_label[offer.label] = button
                self.buttons.setdefault(offer.about, button)
        if remark.about in evident and remark.about not in self.evidence:
            label = tr("Evidence shown") if remark.about == self._drawn else tr("Evidence")
            shown = self._button(label, remark.about, self._evidence_pressed, buttons)
            shown.setAccessibleName(tr("Draw the evidence: {text}", text=remark.text))
            self.evidence[remark.about] = shown
        if buttons.count():
            told.addLayout(buttons)
        row.addLayout(told, 1)
        # What the text leaves of a wide place stays empty.
        row.addStretch()
        return row

    def _button(self, label: str, name: str, slot: Callable[[], None], place: Flow) -> QPushButton:
        button = QPushButton(label)
        button.setObjectName(name)
        button.clicked.connect(slot)
        place.addWidget(button)
        return button

    def _evidence_pressed(self) -> None:
        self.evidence_asked.emit(self.sender().objectName())

    def _pressed(self) -> None:
        pressed = self.sender().objectName()
        offer = next((offer for offer in self._offers if offer.label == pressed), None)
        if offer is not None:
            self.taken.emit(offer)
