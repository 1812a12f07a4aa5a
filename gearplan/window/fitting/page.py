"""The Fitting page: the job at the bench, step by step, with its parts, the service data, and what was done before."""

from __future__ import annotations

from datetime import date

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import (
    QSplitter,
    QVBoxLayout,
    QWidget,
)

from gearplan.bike.entries import entry_in
from gearplan.bike.work.job import Job
from gearplan.bike.work.jobcard import JobCard
from gearplan.language import tr
from gearplan.plan.job import job as jobs
from gearplan.plan.job.card import check_off, with_minutes
from gearplan.plan.job.finishing import asked_before_finishing, finish, hinders_finish, signed_off
from gearplan.plan.job.parts import parts
from gearplan.plan.job.steps.order import steps
from gearplan.plan.job.steps.targets import Step
from gearplan.plan.job.words import job_title
from gearplan.window.document.document import Document
from gearplan.window.fitting.answers import JobAnswers
from gearplan.window.fitting.asking import agreed
from gearplan.window.fitting.cardform import CardForm
from gearplan.window.fitting.head import JobHead
from gearplan.window.fitting.historypanel import HistoryPanel
from gearplan.window.fitting.serviceform import ServiceForm
from gearplan.window.fitting.stepcard import StepCard
from gearplan.window.fitting.steplist import StepList
from gearplan.window.fitting.stepphotos import StepPhotos
from gearplan.window.kit import theme
from gearplan.window.kit.places.layout import Scrolled, fill, on_paper, scrolled
from gearplan.window.kit.places.tabs import Leaf, Spread
from gearplan.window.kit.view import View
from gearplan.window.parts.partslist import PartsList

_ABANDONED = tr("Its readings and signatures go with it; Undo brings them back.")
#: The least height of the tabs; below it the page scrolls.
_LEAST = 324
#: The tabs, with the height and width from which on each is worth a place of its own.
_STEPS, _PARTS, _SERVICE, _HISTORY, _CARD = (
    tr("Steps"),
    tr("Parts to order"),
    tr("Service data"),
    tr("History"),
    tr("Job card"),
)
_ROOM = {_STEPS: (600, 1000), _PARTS: (440, 700), _SERVICE: (440, 520), _HISTORY: (380, 560), _CARD: (560, 560)}


class _Below(Spread):
    """Pages that take what the head leaves: what is in them scrolls, so that the page need not."""

    def sizeHint(self) -> QSize:
        """No higher than it must be."""
        return QSize(super().sizeHint().width(), self.minimumHeight())


class FittingPage(QWidget):
    """Edits the job at hand in the document. `sheet_asked` and `print_asked` carry (job, filled, paper),
    `label_asked` (job, whether it goes to a printer)."""

    sheet_asked = Signal(object, bool, str)
    print_asked = Signal(object, bool, str)
    open_asked = Signal(object)
    label_asked = Signal(object, bool)

    def __init__(self, document: Document, view: View, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("touch", True)
        self._document, self._view = document, view
        self._at = ""
        self._of = 0
        self._refused = ""
        self._technician = ""
        ground = QWidget()
        column = QVBoxLayout(ground)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(theme.UNIT // 4)
        self.head = JobHead(document)
        self.head.entered.connect(self._head_entered)
        self.head.ticked.connect(self._ticked)
        for button, slot in (
            (self.head.take, self._take_proposed),
            (self.head.give_up, self._give_up),
            (self.head.finish, self._finish),
            (self.head.print_sheet, self._print),
            (self.head.save_sheet, self._save),
        ):
            button.clicked.connect(slot)
        column.addWidget(self.head)
        self.service = ServiceForm(document)
        self.history = HistoryPanel(document)
        self.history.sheet_asked.connect(self._old_sheet)
        self.history.open_asked.connect(self.open_asked)
        self.form = CardForm(document)
        self.form.entered.connect(self._card_entered)
        self.form.label_asked.connect(self._label)
        pages = (self._steps(), self._parts(), self.service, self.history, self.form)
        self.spread = _Below(
            [Leaf(n, on_paper(page), *_ROOM[n], alone=n == _STEPS) for n, page in zip(_ROOM, pages, strict=True)]
        )
        self.tabs = self.spread.tabs
        self.spread.changed.connect(self.refresh)
        self.spread.setMinimumHeight(theme.px(_LEAST))
        column.addWidget(self.spread, 1)
        fill(self, Scrolled(ground, across=True))
        for keys, slot in (
            ("F2", self.sign),
            (QKeySequence.StandardKey.MoveToNextPage, self._next),
            (QKeySequence.StandardKey.MoveToPreviousPage, self._previous),
        ):
            made = QShortcut(QKeySequence(keys), self)
            # They work while the page is in sight, wherever the focus is.
            made.setContext(Qt.ShortcutContext.WindowShortcut)
            made.activated.connect(slot)

    # What it is made of.

    def _steps(self) -> QWidget:
        split = QSplitter(Qt.Orientation.Horizontal)
        split.setChildrenCollapsible(False)
        self.list = StepList()
        self.list.chosen.connect(self._picked)
        self.card = StepCard()
        self.card.reading.connect(self._read)
        self.card.reason.connect(self._reasoned)
        self.card.finished.connect(self._document.end_merge)
        self.card.sign_asked.connect(self.sign)
        self.card.unsign_asked.connect(self._unsign)
        self.card.moved.connect(self.step_by)
        self.photos = StepPhotos(self._document, self.card.extras, self)
        self.photos.changed.connect(self._keep)
        self.card.extras.noted.connect(self._noted)
        self.card.extras.finished.connect(self._document.end_merge)
        self.card.field_wanted.connect(self.show_field)
        split.addWidget(self.list)
        split.addWidget(self.card)
        split.setSizes([310, 730])
        split.setStretchFactor(1, 1)
        return split

    def _parts(self) -> QWidget:
        inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(*[2 * theme.UNIT] * 4)
        self.answers = JobAnswers()
        self.answers.answered.connect(self._answered)
        column.addWidget(self.answers)
        self.parts = PartsList()
        self.parts.entered.connect(self._part_entered)
        self.parts.finished.connect(self._document.end_merge)
        self.parts.unread.connect(self._document.note_unread)
        column.addWidget(self.parts, 1)
        return scrolled(inside)

    # What it shows.

    @property
    def job(self) -> Job:
        """The job at hand, or the one that the proposed set would be."""
        return jobs.at_hand(self._document.bike, self._document.chosen, date.today(), self._technician)[0]

    @property
    def step(self) -> Step:
        """The step at hand: the one that was picked, or the first that is not signed off."""
        listed = steps(self._document.bike, self.job)
        known = next((step for step in listed if step.key == self._at), None)
        return known or next(iter(jobs.still_to_sign(self._document.bike, self.job, later=True)), listed[0])

    def refresh(self) -> None:
        """Show the document as it is now."""
        bike, chosen = self._document.bike, self._document.chosen
        job, begun = jobs.at_hand(bike, chosen, date.today(), self._technician)
        self._begin_anew(job, begun)
        self.head.show_job(bike, chosen, job, begun)
        shown = self.spread.in_sight()
        if _STEPS in shown:
            listed, at = steps(bike, job), self.step
            place = [step.key for step in listed].index(at.key)
            self.list.show_steps(bike, job, listed, place)
            self.card.show_step(bike, job, at, place + 1, len(listed))
            self.photos.show_step(job, at)
        if _PARTS in shown:
            self.answers.show_job(job)
            self.parts.show_parts(parts(bike, job, self._view.stock), self._view.currency)
        if _SERVICE in shown:
            self.service.refresh({target.field for step in steps(bike, job) for target in step.targets})
        if _HISTORY in shown:
            self.history.refresh()
        if _CARD in shown:
            self.form.show_job(job)

    def _begin_anew(self, job: Job, begun: bool) -> None:
        """Another job begins at its own first step, and what was said of the last one goes."""
        place = self._document.bike.jobs.index(job) if begun else len(self._document.bike.jobs)
        if place != self._of:
            self._of, self._at = place, ""
            self.card.forget()
        if self._refused and self._refused != (hinders_finish(self._document.bike, job) if begun else ""):
            self._refused = ""
            self.head.errors.say("", self.head.finish)

    def recolour(self) -> None:
        """Take the colours of the current theme."""
        self.card.shape.update()
        self.history.shape.update()

    def finish(self) -> None:
        """Before the window goes."""
        self.history.finish()

    def forget(self) -> None:
        """Another bike: begin where its job stands."""
        self._at = ""
        self.card.forget()
        self.parts.forget()
        self.service.forget_refused()
        self.history.stop()
        self.history.forget()
        self.head.forget()
        self.form.forget()

    def holds(self, path: str) -> bool:
        """Whether a field of the profile ("section.key") stands on this page."""
        return self.service.holds(path)

    def show_field(self, path: str) -> None:
        """Go to a field of the service data, named "section.key"."""
        self.spread.show_page(_SERVICE)
        self.service.show_field(path)

    def show_paper(self, paper: str) -> None:
        """The paper that was used last."""
        self.head.paper.setCurrentText(paper)

    # What is done.

    def sign(self) -> None:
        """Sign the step at hand off and go on; where that cannot be, say why and go to what is needed."""
        step, bike, job = self.step, self._document.bike, self.job
        if jobs.is_signed(bike, job, step):
            self.step_by(1)
            return
        try:
            signed = jobs.sign(bike, job, step, job.technician or "")
        except jobs.NotYet as needed:
            self.card.hindrance.setText(str(needed))
            if job.technician:
                self.card.focus_first()
            else:
                self.head.initials.setFocus(Qt.FocusReason.OtherFocusReason)
            return
        about = jobs.asked_before_riding(bike, job) if step.key == jobs.RIDE else ()
        if about and not agreed(self, tr("Ride with this open?"), about, tr("Sign it all the same")):
            return
        self._document.end_merge()
        self._at = self._at or step.key
        self._document.edit(tr("Sign off: {title}", title=step.title), signed_off(bike, job, signed))
        self._document.end_merge()
        self.step_by(1)

    def step_by(self, by: int) -> None:
        """Go on to the next step, or back."""
        listed = [step.key for step in steps(self._document.bike, self.job)]
        place = min(max(listed.index(self.step.key) + by, 0), len(listed) - 1)
        self._go(listed[place])

    def _next(self) -> None:
        self.step_by(1)

    def _previous(self) -> None:
        self.step_by(-1)

    def _picked(self, place: int) -> None:
        self._at = steps(self._document.bike, self.job)[place].key
        self.refresh()

    def _go(self, key: str) -> None:
        self._at = key
        self.spread.show_page(_STEPS)
        self.refresh()
        self.card.focus_first()

    def _keep(self, changed: Job, label: str, merge: str = "") -> None:
        """The changed job into the bike, which begins it if nothing of it was kept before."""
        self._at = self._at or self.step.key
        self._document.edit(label, jobs.with_job(self._document.bike, self.job, changed), merge)

    def _read(self, blank: str, text: str) -> None:
        self._keep(jobs.with_reading(self.job, blank, text), tr("Reading"), f"job.{blank}")

    def _reasoned(self, text: str) -> None:
        self._keep(jobs.with_reason(self.job, self.step.key, text), tr("Reason"), f"job.reason.{self.step.key}")

    def _unsign(self) -> None:
        self._keep(jobs.unsign(self.job, self.step.key), tr("Take back: {title}", title=self.step.title))

    def _noted(self, table: str, text: str) -> None:
        """Time, or a second person's check, at the step at hand."""
        bike, job, step = self._document.bike, self.job, self.step
        try:
            changed = with_minutes(job, step.key, text) if table == "minutes" else check_off(bike, job, step, text)
        except ValueError as refused:
            self.card.extras.say(str(refused))
            return
        self.card.extras.say("")
        self._keep(changed, tr("Minutes") if table == "minutes" else tr("Second check"), f"job.{table}.{step.key}")

    def _card_entered(self, key: str, value: object) -> None:
        # Each stroke of a signature, and wiping it, is a step of its own.
        merge = "" if key == "signature" else f"job.card.{key}"
        self._keep(jobs.with_card(self.job, key, value), entry_in(JobCard, key).label, merge)

    def _label(self, to_printer: bool) -> None:
        self.label_asked.emit(self.job, to_printer)

    def _part_entered(self, part: str, which: str, value: object) -> None:
        self._keep(jobs.with_part(self.job, part, **{which: value}), tr("Parts"), f"job.part.{part}.{which}")

    def _answered(self, key: str, word: object) -> None:
        self._keep(jobs.answered(self.job, key, word), entry_in(Job, key).label)

    def _head_entered(self, key: str, value: object) -> None:
        if key == "technician":
            self._technician = str(value or "")
        self._keep(jobs.answered(self.job, key, value), entry_in(Job, key).label, f"job.{key}")

    def _ticked(self, key: str, on: bool) -> None:
        self._keep(jobs.answered(self.job, key, "yes" if on else "no"), entry_in(Job, key).label)

    def _take_proposed(self) -> None:
        self._keep(jobs.retarget(self._document.bike, self.job, self._document.chosen), tr("Fit another set"))

    def _give_up(self) -> None:
        if agreed(
            self,
            tr("Abandon this job? {job_title}", job_title=job_title(self.job)),
            (_ABANDONED,),
            tr("Abandon the job"),
        ):
            self._at = ""
            self._document.edit(tr("Abandon the job"), jobs.with_job(self._document.bike, self.job, None))

    def _finish(self) -> None:
        bike, job = self._document.bike, self.job
        about = () if hinders_finish(bike, job) else asked_before_finishing(bike, job)
        if about and not agreed(self, tr("Finish the job with this?"), about, tr("Finish it all the same")):
            return
        try:
            done = finish(bike, job)
        except jobs.NotYet as needed:
            self._refused = str(needed)
            self.head.errors.say(self._refused, self.head.finish)
            if left := jobs.still_to_sign(bike, job):
                self._go(left[0].key)
            return
        self.head.errors.say("", self.head.finish)
        self._at = ""
        self._document.edit(tr("Finish the fitting job"), done)

    def _print(self) -> None:
        self.print_asked.emit(self.job, not self.head.blank.isChecked(), self.head.paper.currentText())

    def _save(self) -> None:
        self.sheet_asked.emit(self.job, not self.head.blank.isChecked(), self.head.paper.currentText())

    def _old_sheet(self, job: Job) -> None:
        self.sheet_asked.emit(job, True, self.head.paper.currentText())
