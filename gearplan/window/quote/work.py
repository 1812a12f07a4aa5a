"""What a proposal renews, and how long the work takes."""

from __future__ import annotations

from decimal import Decimal
from functools import partial

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from gearplan.bike.entries import entry_in
from gearplan.bike.values import check_entry
from gearplan.bike.work.job import Job
from gearplan.bike.work.proposal import Proposal
from gearplan.language import tr
from gearplan.plan.quote.discount import discount_text, read_discount
from gearplan.window.kit.controls.fields import ChoiceField, ValueField, labelled
from gearplan.window.kit.controls.numberfield import NumberField
from gearplan.window.kit.places.flow import Flow, together
from gearplan.window.kit.places.layout import fixed_width

_ANSWERS = ("new_front", "new_rear", "new_chain")


class WorkRow(QWidget):
    """`answered` carries the proposal's field and the word, `hours_entered` the hours or None for the usual ones,
    `discount_entered` entries of the proposal by their names."""

    answered = Signal(str, object)
    hours_entered = Signal(object)
    discount_entered = Signal(object)
    finished = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        flow = Flow()
        self.setLayout(flow)
        self.fields: dict[str, ChoiceField] = {}
        for key in _ANSWERS:
            field = ChoiceField(("yes", "no"))
            field.removeItem(0)
            field.setObjectName(key)
            field.entered.connect(self._answered)
            flow.addWidget(together(labelled(entry_in(Proposal, key).label, field), field))
            self.fields[key] = field
        self.hours = NumberField(partial(check_entry, entry_in(Proposal, "labour_h")))
        fixed_width(self.hours, 84)
        self.hours.entered.connect(self.hours_entered)
        self.hours.finished.connect(self.finished)
        flow.addWidget(together(labelled(tr("Labour, h"), self.hours), self.hours))
        self.discount = ValueField(read_discount)
        self.discount.setMaxLength(40)
        self.discount.setPlaceholderText(tr("10 % or an amount"))
        fixed_width(self.discount, 140)
        self.discount.entered.connect(self._discount_entered)
        self.discount.finished.connect(self.finished)
        self.discount.stands_for("proposals.discount", tr("Discount"))
        flow.addWidget(together(labelled(tr("Discount"), self.discount), self.discount))

    def show_work(self, one: Proposal, job: Job, usual: Decimal | None) -> None:
        """Show what is renewed, as it follows or as it was said, and the hours."""
        for key, field in self.fields.items():
            field.show_choice(getattr(job, key))
        self.hours.setPlaceholderText("" if usual is None else f"{usual.normalize():f}")
        self.hours.show_number(one.labour_h)
        discount = discount_text(one)
        self.discount.show_value(discount, read_discount(discount) if discount else None)

    def forget(self) -> None:
        """Another proposal: drop text that was refused for the last one."""
        self.hours.forget()
        self.discount.forget()

    def _discount_entered(self, entries: object) -> None:
        self.discount_entered.emit(entries or read_discount(""))

    def _answered(self, word: object) -> None:
        self.answered.emit(self.sender().objectName(), word)
