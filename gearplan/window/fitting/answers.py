"""What is replaced in a job, and how."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from gearplan.bike.entries import entry_in
from gearplan.bike.work.job import Job
from gearplan.window.kit import theme
from gearplan.window.kit.controls.fields import ChoiceField, labelled
from gearplan.window.kit.places.flow import Flow, together

_ANSWERS = ("new_front", "new_rear", "new_chain", "opened", "closed", "wheel_out")


class JobAnswers(QWidget):
    """What is replaced and how; `answered` carries the job's field and the word."""

    answered = Signal(str, object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        flow = Flow()
        self.setLayout(flow)
        self.fields: dict[str, ChoiceField] = {}
        for key in _ANSWERS:
            what = entry_in(Job, key)
            field = ChoiceField(what.choices)
            field.setMinimumHeight(theme.px(4 * theme.UNIT))
            field.setObjectName(key)
            field.entered.connect(self._answered)
            flow.addWidget(together(labelled(what.label, field), field))
            self.fields[key] = field

    def show_job(self, job: Job) -> None:
        """Show the answers as they are now."""
        for key, field in self.fields.items():
            field.show_choice(getattr(job, key))

    def _answered(self, word: object) -> None:
        self.answered.emit(self.sender().objectName(), word)
