"""The sets that gear as the proposed one does, the smoothest first, and what a tooth is worth."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtGui import QPalette
from PySide6.QtWidgets import QVBoxLayout, QWidget

from gearplan.bike.profile import Bike
from gearplan.bike.stock import Stock
from gearplan.bike.text.written import number, signed_percent
from gearplan.language import decimal, tr
from gearplan.plan.choices.equivalents import equivalents, exchange_sentence, verdict_on
from gearplan.plan.choices.space import Space
from gearplan.plan.driveset import DriveSet
from gearplan.plan.words import teeth
from gearplan.window.kit import theme
from gearplan.window.kit.plaintext import PlainLabel
from gearplan.window.kit.tables.texttable import TextTable

_MOST = 12
_NOTE = tr(
    "Within 1 % of the proposed set's engine speed; the smoothest first: larger front sprocket, rarer meetings of the "
    "same tooth and link, less mass, more clearance. Dip: by how much the chain's speed drops with each tooth. Meets: "
    "turns of the rear sprocket until a tooth has the same link again. A double-click proposes the set."
)


class AlikeTab(QWidget):
    """`proposed` carries the set of the row that was pressed twice."""

    proposed = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._sets: list[DriveSet] = []
        self.setBackgroundRole(QPalette.ColorRole.Base)
        self.setAutoFillBackground(True)
        column = QVBoxLayout(self)
        column.setContentsMargins(*[theme.UNIT] * 4)
        column.setSpacing(theme.UNIT)
        self.exchange = PlainLabel()
        self.exchange.setWordWrap(True)
        column.addWidget(self.exchange)
        self.table = TextTable(tr("Sets that gear as the proposed one does"), left=(0, 6))
        self.table.doubleClicked.connect(self._pressed)
        column.addWidget(self.table)
        note = PlainLabel(_NOTE)
        note.setProperty("role", "small")
        note.setWordWrap(True)
        column.addWidget(note)
        column.addStretch(1)

    def show_set(self, bike: Bike, chosen: DriveSet, space: Space, stock: Stock | None) -> None:
        """Show what gears as this set does, of what is searched."""
        self.exchange.setText(exchange_sentence(chosen))
        currency = "" if stock is None else stock.currency
        found = equivalents(bike, chosen, space, stock=stock)[:_MOST]
        self._sets = [one.set for one in found]
        self.table.show_texts(
            (
                tr("set"),
                tr("rpm"),
                tr("dip"),
                tr("meets"),
                "kg",
                tr("price, {currency}", currency=currency) if currency else tr("price"),
                tr("verdict"),
            ),
            [
                (
                    tr("{teeth}, {links} links", teeth=teeth(one.set), links=one.set.links or "–"),
                    signed_percent(one.off, 2),
                    decimal(f"{one.chordal_dip * 100:.2f} %"),
                    str(one.meets_again or "–"),
                    number(one.mass, 1, 2),
                    number(one.price, 1, 2),
                    verdict_on(bike, one),
                )
                for one in found
            ],
        )

    def _pressed(self) -> None:
        row = self.table.currentIndex().row()
        if 0 <= row < len(self._sets):
            self.proposed.emit(self._sets[row])
