"""What a ride tells, one statement under another, each with the edit that it offers."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QPalette
from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QScrollArea, QVBoxLayout, QWidget

from gearplan.ridelog.offers import Offer
from gearplan.ridelog.remark import Remark
from gearplan.window import theme

_MARKS = {"fits": "✓", "check": "!"}


class Inferences(QScrollArea):
    """The list; `taken` carries the offer whose button was pressed."""

    taken = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setAccessibleName("What the ride tells")
        self.buttons: dict[str, QPushButton] = {}
        self.texts: list[str] = []
        self._offers: dict[str, Offer] = {}
        self._shown: object = None

    def show_remarks(self, remarks: tuple[Remark, ...], offers: tuple[Offer, ...]) -> None:
        """Show statements and offers; nothing is laid out again while they stay the same."""
        self._offers = {offer.about: offer for offer in offers}
        shown = (remarks, tuple((offer.about, offer.label) for offer in offers))
        if shown == self._shown:
            return
        self._shown = shown
        self.buttons, self.texts = {}, [remark.text for remark in remarks]
        inside = QWidget()
        inside.setBackgroundRole(QPalette.ColorRole.Base)
        inside.setAutoFillBackground(True)
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 0, theme.UNIT, 0)
        column.setSpacing(theme.UNIT + theme.UNIT // 2)
        for remark in remarks:
            column.addLayout(self._row(remark))
        column.addStretch(1)
        at = self.verticalScrollBar().value()
        # A button that was just pressed is still at work: it goes later.
        if (old := self.takeWidget()) is not None:
            old.deleteLater()
        self.setWidget(inside)
        self.verticalScrollBar().setValue(at)

    def _row(self, remark: Remark) -> QHBoxLayout:
        row = QHBoxLayout()
        row.setSpacing(theme.UNIT)
        mark = QLabel(_MARKS[remark.level])
        mark.setFixedWidth(12)
        mark.setProperty("role", "error" if remark.level == "check" else "quiet")
        mark.setAccessibleName("to be checked" if remark.level == "check" else "known")
        row.addWidget(mark, 0, Qt.AlignmentFlag.AlignTop)
        told = QVBoxLayout()
        told.setSpacing(theme.UNIT // 2)
        text = QLabel(remark.text)
        text.setWordWrap(True)
        text.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        told.addWidget(text)
        if (offer := self._offers.get(remark.about)) is not None:
            button = QPushButton(offer.label)
            button.setObjectName(remark.about)
            button.clicked.connect(self._pressed)
            self.buttons[remark.about] = button
            told.addWidget(button, 0, Qt.AlignmentFlag.AlignLeft)
        row.addLayout(told, 1)
        return row

    def _pressed(self) -> None:
        offer = self._offers.get(self.sender().objectName())
        if offer is not None:
            self.taken.emit(offer)
