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
from gearplan.window.kit.fields import ChoiceField, NumberField, labelled
from gearplan.window.kit.flow import Flow, together
from gearplan.window.kit.layout import fixed_width

_ANSWERS = ("new_front", "new_rear", "new_chain")


class WorkRow(QWidget):
    """`answered` carries the proposal's field and the word, `hours_entered` the hours or None for the usual ones."""

    answered = Signal(str, object)
    hours_entered = Signal(object)
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
        flow.addWidget(together(labelled("Labour, h", self.hours), self.hours))

    def show_work(self, one: Proposal, job: Job, usual: Decimal | None) -> None:
        """Show what is renewed, as it follows or as it was said, and the hours."""
        for key, field in self.fields.items():
            field.show_choice(getattr(job, key))
        self.hours.setPlaceholderText("" if usual is None else f"{usual.normalize():f}")
        self.hours.show_number(one.labour_h)

    def _answered(self, word: object) -> None:
        self.answered.emit(self.sender().objectName(), word)
