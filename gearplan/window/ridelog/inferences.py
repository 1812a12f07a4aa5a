"""What a ride tells, one statement under another, each with the edit that it offers."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QPalette
from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from gearplan.ridelog.learning.offers import Offer
from gearplan.ridelog.learning.remark import Remark
from gearplan.window.kit import theme
from gearplan.window.kit.flow import Flow
from gearplan.window.kit.layout import Scrolled, fixed_width

_MARKS = {"fits": "✓", "check": "!"}


class Inferences(Scrolled):
    """The list; `taken` carries the offer whose button was pressed, `evidence_asked` what a statement is about."""

    taken = Signal(object)
    evidence_asked = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent=parent)
        self.setAccessibleName("What the ride tells")
        self.buttons: dict[str, QPushButton] = {}
        self.evidence: dict[str, QPushButton] = {}
        self.texts: list[str] = []
        self._offers: dict[str, Offer] = {}
        self._shown: object = None

    def show_remarks(self, remarks: tuple[Remark, ...], offers: tuple[Offer, ...], evident: frozenset[str]) -> None:
        """Show statements, offers, and a button where evidence can be drawn; the same is not laid out again."""
        self._offers = {offer.about: offer for offer in offers}
        shown = (remarks, tuple((offer.about, offer.label) for offer in offers), evident)
        if shown == self._shown:
            return
        self._shown = shown
        self.buttons, self.evidence, self.texts = {}, {}, [remark.text for remark in remarks]
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

    def _row(self, remark: Remark, evident: frozenset[str]) -> QHBoxLayout:
        row = QHBoxLayout()
        row.setSpacing(theme.UNIT)
        mark = QLabel(_MARKS[remark.level])
        fixed_width(mark, 12)
        mark.setProperty("role", "error" if remark.level == "check" else "quiet")
        mark.setAccessibleName("to be checked" if remark.level == "check" else "known")
        row.addWidget(mark, 0, Qt.AlignmentFlag.AlignTop)
        told = QVBoxLayout()
        told.setSpacing(theme.UNIT // 2)
        text = QLabel(remark.text)
        text.setWordWrap(True)
        text.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        told.addWidget(text)
        buttons = Flow()
        if (offer := self._offers.get(remark.about)) is not None:
            self.buttons[remark.about] = self._button(offer.label, remark.about, self._pressed, buttons)
        if remark.about in evident and remark.about not in self.evidence:
            shown = self._button("Evidence", remark.about, self._evidence_pressed, buttons)
            shown.setAccessibleName(f"Draw the evidence: {remark.text}")
            self.evidence[remark.about] = shown
        if buttons.count():
            told.addLayout(buttons)
        row.addLayout(told, 1)
        return row

    def _button(self, label: str, about: str, slot: Callable[[], None], place: Flow) -> QPushButton:
        button = QPushButton(label)
        button.setObjectName(about)
        button.clicked.connect(slot)
        place.addWidget(button)
        return button

    def _evidence_pressed(self) -> None:
        self.evidence_asked.emit(self.sender().objectName())

    def _pressed(self) -> None:
        offer = self._offers.get(self.sender().objectName())
        if offer is not None:
            self.taken.emit(offer)
