"""The job's card: second person's check, tools, parts, the customer's signature, when it is due again."""

from __future__ import annotations

from functools import partial
from typing import Any

from PySide6.QtCore import QSignalBlocker, Signal
from PySide6.QtWidgets import QGridLayout, QPushButton, QWidget

from gearplan.bike.entries import entries_in
from gearplan.bike.values import check_entry
from gearplan.bike.work.job import Job
from gearplan.bike.work.jobcard import DAYS, JobCard
from gearplan.bike.work.tables import check_date
from gearplan.language import tr
from gearplan.plan.job.card import minutes_in_all, time_words
from gearplan.window.document.document import Document
from gearplan.window.fitting.readingfield import quiet
from gearplan.window.fitting.signature import SignatureField
from gearplan.window.kit import theme
from gearplan.window.kit.controls.fields import (
    ChoiceField,
    ErrorLabel,
    ValueField,
    labelled,
)
from gearplan.window.kit.controls.numberfield import NumberField, OdometerField
from gearplan.window.kit.controls.tickbox import TickBox
from gearplan.window.kit.places.flow import Flow
from gearplan.window.kit.places.layout import Scrolled, least_width
from gearplan.window.kit.plaintext import PlainLabel

_TICKED = ("second_check", "photos_printed")
_COLUMNS = (
    ("second_check", "wrench", "wrench_calibrated", "chain_batch", "old_parts", "hours"),
    ("due_km", "due_date", "due_hours", "photos_printed"),
)
_UNITS = {"hours": "h", "due_km": "km", "due_hours": "h"}


class CardForm(Scrolled):
    """Shows the card; `entered` carries (key, value) of what was changed, `label_asked` whether it is to be printed."""

    entered = Signal(str, object)
    label_asked = Signal(bool)

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent=parent)
        self._document = document
        self.fields: dict[str, Any] = {}
        inside = QWidget()
        grid = QGridLayout(inside)
        grid.setHorizontalSpacing(2 * theme.UNIT)
        self.errors = ErrorLabel()
        known = dict(entries_in(JobCard))
        for side, keys in enumerate(_COLUMNS):
            for line, key in enumerate(keys):
                field = self._field(key, known[key].choices, known[key].kind)
                self.fields[key] = field
                if isinstance(field, TickBox):
                    grid.addWidget(field, line, 2 * side, 1, 2)
                    continue
                unit = f", {_UNITS[key]}" if key in _UNITS else ""
                grid.addWidget(labelled(f"{known[key].label}{unit}", field), line, 2 * side)
                grid.addWidget(field, line, 2 * side + 1)
        below = max(map(len, _COLUMNS))
        self.told = quiet()
        labels = Flow()
        labels.addWidget(PlainLabel(tr("Label for bag or tank")))
        self.label, self.print_label = QPushButton(tr("Save label…")), QPushButton(tr("Print label…"))
        for button, slot in ((self.label, self._save_label), (self.print_label, self._print_label)):
            button.clicked.connect(slot)
            labels.addWidget(button)
        grid.addWidget(self.errors, below, 0, 1, 4)
        grid.addWidget(self.told, below + 1, 0, 1, 2)
        grid.addLayout(labels, below + 1, 2, 1, 2)
        self.signature = SignatureField()
        self.signature.signed.connect(partial(self.entered.emit, "signature"))
        grid.addWidget(PlainLabel(tr("Customer's signature, drawn here or on paper")), below + 2, 0, 1, 4)
        grid.addWidget(self.signature, below + 3, 0, 1, 4)
        grid.setRowStretch(below + 4, 1)
        grid.setColumnStretch(1, 1)
        grid.setColumnStretch(3, 1)
        self.setWidget(inside)

    def _field(self, key: str, choices: tuple[str, ...], kind: str) -> QWidget:
        what = dict(entries_in(JobCard))[key]
        if key in _TICKED:
            words = tr("A second person checks nuts, axle, brake and link") if key == "second_check" else what.label
            box = TickBox(words)
            box.setObjectName(key)
            box.toggled.connect(self._ticked)
            return box
        if choices:
            choice = ChoiceField(choices)
            choice.setObjectName(key)
            choice.entered.connect(self._entered)
            return choice
        check = partial(check_entry, what)
        field: ValueField
        if key == "due_km":
            field = OdometerField(check)
        elif kind == "number":
            field = NumberField(check)
        else:
            field = ValueField(partial(_line, key))
            least_width(field, 190)
        field.errors = self.errors
        field.setObjectName(key)
        field.stands_for(f"job.card.{key}", what.label)
        field.entered.connect(self._entered)
        field.unread.connect(self._document.note_unread)
        field.finished.connect(self._document.end_merge)
        return field

    def show_job(self, job: Job) -> None:
        """Show the card of the job at hand."""
        for key, field in self.fields.items():
            value = getattr(job.card, key)
            if isinstance(field, TickBox):
                with QSignalBlocker(field):
                    field.setChecked(value == "yes")
            elif isinstance(field, ChoiceField):
                field.show_choice(value)
            elif isinstance(field, NumberField):
                field.show_number(value)
            else:
                field.show_value(value or "", value)
        took = minutes_in_all(job)
        self.told.setText(
            tr("Time written down at the steps: {time_words}.", time_words=time_words(took)) if took else ""
        )
        self.signature.show_signature(job.card.signature)

    def forget(self) -> None:
        """Another bike: drop text that was refused for the last one."""
        for field in self.fields.values():
            if isinstance(field, ValueField):
                field.forget()

    def _save_label(self) -> None:
        self.label_asked.emit(False)

    def _print_label(self) -> None:
        self.label_asked.emit(True)

    def _entered(self, value: object) -> None:
        self.entered.emit(self.sender().objectName(), value)

    def _ticked(self, on: bool) -> None:
        self.entered.emit(self.sender().objectName(), "yes" if on else "no")


def _line(key: str, text: str) -> str:
    fault = check_entry(dict(entries_in(JobCard))[key], text.strip())
    if not fault and key in DAYS:
        fault = check_date(text.strip())
    if fault:
        raise ValueError(fault)
    return text.strip()
