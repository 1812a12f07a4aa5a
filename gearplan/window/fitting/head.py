"""The head of the Fitting page: which job, when, by whom, and its sheet on paper."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import QSignalBlocker, Signal
from PySide6.QtWidgets import QComboBox, QPushButton, QVBoxLayout, QWidget

from gearplan.bike.entries import entry_in
from gearplan.bike.profile import Bike, entry
from gearplan.bike.values import check_entry
from gearplan.bike.work.job import Job
from gearplan.bike.work.tables import check_date
from gearplan.language import tr, trn
from gearplan.plan.driveset import DriveSet, fitted
from gearplan.plan.job import job as jobs
from gearplan.plan.job.odometer import odometer_findings
from gearplan.plan.job.steps.order import steps, targets_missing
from gearplan.plan.job.steps.scope import new_set
from gearplan.plan.job.words import job_title, reasons_told
from gearplan.plan.words import teeth
from gearplan.sheet.shop import PAPERS
from gearplan.window.document.document import Document
from gearplan.window.fitting.readingfield import quiet
from gearplan.window.kit import theme
from gearplan.window.kit.controls.fields import ErrorLabel, ValueField, labelled
from gearplan.window.kit.controls.numberfield import OdometerField
from gearplan.window.kit.controls.tickbox import TickBox
from gearplan.window.kit.places.flow import Flow, together
from gearplan.window.kit.places.layout import card, fixed_width, least_width, most_width
from gearplan.window.kit.plaintext import PlainLabel, plain


class JobHead(QWidget):
    """Shows a job's own entries; `entered` carries (key, value) of one that was changed, `ticked` (key, yes or no)."""

    entered = Signal(str, object)
    ticked = Signal(str, bool)

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        frame, column = card(theme.UNIT // 2)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        outer.addWidget(frame)
        column.addLayout(self._first())
        self.errors = ErrorLabel()
        column.addLayout(self._second(document))
        column.addWidget(self.errors)
        column.addLayout(self._third())
        self.told = quiet()
        column.addWidget(self.told)

    def _first(self) -> Flow:
        first = Flow()
        self.title = PlainLabel()
        self.title.setProperty("role", "title")
        self.state = PlainLabel()
        self.state.setProperty("role", "quiet")
        self.take = QPushButton(tr("Fit the proposed set instead"))
        self.give_up = QPushButton(tr("Abandon job…"))
        self.finish = QPushButton(tr("Finish the job"))
        for widget in (self.title, self.state):
            first.addWidget(widget)
        first.push()
        for button in (self.take, self.give_up, self.finish):
            first.addWidget(button)
        return first

    def _second(self, document: Document) -> Flow:
        second = Flow()
        self.date = ValueField(_day)
        fixed_width(self.date, 110)
        self.odometer = OdometerField(partial(check_entry, entry_in(Job, "odometer_km")))
        self.initials = ValueField(_initials)
        fixed_width(self.initials, 90)
        for label, field, key in (
            (tr("&Date"), self.date, "date"),
            (tr("&Odometer, km"), self.odometer, "odometer_km"),
            (tr("&Initials"), self.initials, "technician"),
        ):
            field.errors = self.errors
            field.setObjectName(key)
            field.stands_for(f"job.{key}", entry_in(Job, key).label)
            field.entered.connect(self._entered)
            field.unread.connect(document.note_unread)
            field.finished.connect(document.end_merge)
            second.addWidget(together(labelled(label, field), field))
        self.note = ValueField(_initials)
        self.note.errors = self.errors
        self.note.setObjectName("note")
        self.note.stands_for("job.note", entry_in(Job, "note").label)
        self.note.entered.connect(self._entered)
        self.note.unread.connect(document.note_unread)
        self.note.finished.connect(document.end_merge)
        least_width(self.note, 160)
        noted = together(labelled(tr("&Note"), self.note), self.note, grows=True)
        most_width(noted, 620)
        second.addWidget(noted)
        return second

    def _third(self) -> Flow:
        third = Flow()
        self.track = TickBox(tr("Track-only parts"))
        self.consent = TickBox(tr("Customer agrees to track use only"))
        for box, key in ((self.track, "track_only"), (self.consent, "consent")):
            box.setObjectName(key)
            box.toggled.connect(self._ticked)
            third.addWidget(box)
        self.blank = TickBox(tr("Blank, for writing by hand"))
        self.paper = QComboBox()
        self.paper.addItems(list(PAPERS))
        self.paper.setAccessibleName(tr("Paper"))
        self.print_sheet, self.save_sheet = QPushButton(tr("Print…")), QPushButton(tr("Save PDF…"))
        for control in (self.blank, self.paper, self.print_sheet, self.save_sheet):
            third.addWidget(control)
        return third

    def show_job(self, bike: Bike, chosen: DriveSet, job: Job, begun: bool) -> None:
        """Show the job at hand, or the one that the proposed set would be."""
        self.title.setText(job_title(job))
        left = len(jobs.still_to_sign(bike, job, later=True))
        words = trn("{n} step to sign", "{n} steps to sign", left) if left else tr("every step is signed")
        words = words if begun else tr("not begun")
        self.state.setText(tr("fitted, {words}", words=words) if job.state == "fitted" else words)
        other = begun and job.state == "open" and chosen not in (new_set(job), fitted(bike))
        self.take.setVisible(other)
        self.take.setText(tr("Fit {teeth} instead", teeth=teeth(chosen)))
        self.give_up.setVisible(begun and job.state == "open")
        self.finish.setVisible(begun and job.state == "open")
        self.date.show_value(job.date or "", job.date)
        self.odometer.show_number(job.odometer_km)
        self.initials.show_value(job.technician or "", job.technician)
        self.note.show_value(job.note or "", job.note)
        for box, on in ((self.track, job.track_only == "yes"), (self.consent, job.consent == "yes")):
            with QSignalBlocker(box):
                box.setChecked(on)
        self.consent.setVisible(job.track_only == "yes")
        self.odometer.set_outer_problem(" ".join(f.text for f in odometer_findings(bike, job)))
        found = [f.text for f in jobs.contradictions(job)]
        if reasons := reasons_told(job):
            found.append(f"{reasons}.")
        if lacking := targets_missing(steps(bike, job)):
            found.append(
                trn(
                    "{n} value from the manual not entered: a blank line on the sheet.",
                    "{n} values from the manual not entered: blank lines on the sheet.",
                    len(lacking),
                )
            )
        self.told.setToolTip(plain("\n".join(entry(*f.field.split(".")).label for f in lacking)))
        self.told.setText(" ".join(found))

    def forget(self) -> None:
        """Another bike: drop text that was refused for the last one."""
        for field in (self.date, self.odometer, self.initials, self.note):
            field.forget()

    def _entered(self, value: object) -> None:
        self.entered.emit(self.sender().objectName(), value)

    def _ticked(self, on: bool) -> None:
        self.ticked.emit(self.sender().objectName(), on)


def _day(text: str) -> str:
    if fault := check_date(text.strip()):
        raise ValueError(fault)
    return text.strip()


def _initials(text: str) -> str:
    if fault := check_entry(entry_in(Job, "technician"), text):
        raise ValueError(fault)
    return text
