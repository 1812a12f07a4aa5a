"""The steps of a job as a list with large targets; each says in words how far it is."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QListWidgetItem, QWidget

from gearplan.bike.job import Job
from gearplan.bike.profile import Bike
from gearplan.plan.job.job import is_signed
from gearplan.plan.job.targets import Step
from gearplan.plan.job.verdicts import step_state
from gearplan.window.kit.layout import least_width
from gearplan.window.kit.wordlist import WordList


class StepList(WordList):
    """`chosen` carries the place of the step that was picked."""

    chosen = Signal(int)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName("Steps of the fitting")
        least_width(self, 230)
        self.currentRowChanged.connect(self._moved)

    def show_steps(self, bike: Bike, job: Job, listed: tuple[Step, ...], at: int) -> None:
        """Show the steps as they are now, with the one at hand marked."""
        self.blockSignals(True)
        while self.count() > len(listed):
            self.takeItem(self.count() - 1)
        for place, step in enumerate(listed):
            if place >= self.count():
                QListWidgetItem(self)
            words = f"{place + 1}. {step.title}\n{step_words(bike, job, step)}"
            item = self.item(place)
            if item.text() != words:
                item.setText(words)
        if self.currentRow() != at:
            self.setCurrentRow(at)
        self.blockSignals(False)

    def _moved(self, row: int) -> None:
        if row >= 0:
            self.chosen.emit(row)


def step_words(bike: Bike, job: Job, step: Step) -> str:
    """How far a step is."""
    if is_signed(bike, job, step):
        reason = ", with a reason" if dict(job.reasons).get(step.key) else ""
        return f"Signed: {dict(job.signed)[step.key]}{reason}"
    state = step_state(bike, job, step)
    if any(f.level == "does not fit" for f in state.findings):
        return "Out of range"
    if state.questions or state.unread:
        return "Query: check this reading"
    if step.key in dict(job.signed):
        return "Readings have changed: sign again"
    if step.blanks and not state.lacking:
        return "Ready to sign"
    return "After the first ride" if step.later else "To do"
