"""What was done to this bike and when its chain is due, and the same question to a whole folder of bikes."""

from __future__ import annotations

from datetime import date
from functools import partial
from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QFileDialog,
    QLineEdit,
    QListWidgetItem,
    QPushButton,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from gearplan.bike.profile import entry
from gearplan.bike.text.written import counted
from gearplan.bike.values import check_entry
from gearplan.language import tr
from gearplan.plan.job.history import Found, Search, chain_due, search
from gearplan.plan.job.odometer import today_findings
from gearplan.plan.job.words import job_line
from gearplan.window.document.document import Document
from gearplan.window.fitting.readingfield import quiet
from gearplan.window.kit import theme
from gearplan.window.kit.background import Background, Tell, Unwanted
from gearplan.window.kit.controls.fields import labelled
from gearplan.window.kit.controls.numberfield import OdometerField
from gearplan.window.kit.controls.wordlist import WordList
from gearplan.window.kit.places.flow import Flow, together
from gearplan.window.kit.places.layout import Scrolled, card, least_width
from gearplan.window.kit.plaintext import PlainLabel, plain
from gearplan.window.kit.shapes import VerdictShape

_MOST_SHOWN = 500
#: A list shows at least a few lines; a low window scrolls.
_LEAST = 10 * theme.UNIT


class HistoryPanel(Scrolled):
    """`sheet_asked` carries a job whose filled sheet is wanted, `open_asked` the file of a bike that was found."""

    sheet_asked = Signal(object)
    open_asked = Signal(object)

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent=parent)
        self._document = document
        self._folder: Path | None = None
        self._work = Background(self)
        self._work.progressed.connect(self._tell)
        self._work.done.connect(self._show_found)
        self._work.failed.connect(self._failed)
        inside = QWidget()
        self.setWidget(inside)
        column = QVBoxLayout(inside)
        column.setContentsMargins(*[theme.UNIT] * 4)
        column.addWidget(self._of_this_bike(), 1)
        column.addWidget(self._of_a_folder(), 1)

    def _of_this_bike(self) -> QWidget:
        frame, column = card(2 * theme.UNIT)
        head = PlainLabel(tr("This bike"))
        head.setProperty("role", "title")
        column.addWidget(head)
        due = Flow()
        self.shape = VerdictShape(20)
        self.due = PlainLabel()
        self.due.setWordWrap(True)
        self.now = OdometerField(partial(check_entry, entry("wear", "odometer_km")))
        self.now.stands_for("wear.odometer_km", tr("Odometer today"))
        self.now.entered.connect(self._odometer_typed)
        self.now.unread.connect(self._document.note_unread)
        self.now.finished.connect(self._document.end_merge)
        due.addWidget(together(self.shape, self.due, grows=True))
        due.addWidget(together(labelled(tr("Odometer toda&y, km"), self.now), self.now))
        column.addLayout(due)
        self.jobs = WordList()
        self.jobs.setAccessibleName(tr("Jobs of this bike"))
        self.jobs.setMinimumHeight(theme.px(_LEAST))
        self.jobs.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.jobs.itemActivated.connect(self._sheet)
        column.addWidget(self.jobs, 1)
        self.sheet = QPushButton(tr("Save the sheet of the selected job…"))
        self.sheet.clicked.connect(self._sheet)
        column.addWidget(self.sheet, 0, Qt.AlignmentFlag.AlignLeft)
        return frame

    def _of_a_folder(self) -> QWidget:
        frame, column = card(2 * theme.UNIT)
        head = PlainLabel(tr("A folder of bikes"))
        head.setProperty("role", "title")
        column.addWidget(head)
        row = Flow()
        self.choose = QPushButton(tr("Folder…"))
        self.choose.clicked.connect(self._choose)
        self.place = quiet()
        self.words = QLineEdit()
        self.words.setPlaceholderText(tr("a name, a part number, chains due"))
        least_width(self.words, 240)
        self.words.returnPressed.connect(self._search)
        self.go, self.all_due = QPushButton(tr("Search")), QPushButton(tr("Chains due"))
        self.go.clicked.connect(self._search)
        self.all_due.clicked.connect(self._search_due)
        row.addWidget(self.choose)
        row.addWidget(together(labelled(tr("Loo&king for"), self.words), self.words, grows=True))
        row.addWidget(self.go)
        row.addWidget(self.all_due)
        column.addLayout(row)
        column.addWidget(self.place)
        self.found = WordList()
        self.found.setAccessibleName(tr("What was found"))
        self.found.setMinimumHeight(theme.px(_LEAST))
        self.found.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.found.itemActivated.connect(self._open)
        column.addWidget(self.found, 1)
        self.status = quiet(tr("Enter or a double click opens the bike."))
        column.addWidget(self.status)
        return frame

    def refresh(self) -> None:
        """Show the bike's own history as it is now."""
        bike = self._document.bike
        lines = [job_line(job) for job in reversed(bike.jobs)]
        if lines != [self.jobs.item(row).text() for row in range(self.jobs.count())]:
            self.jobs.clear()
            self.jobs.addItems(lines)
        self.sheet.setEnabled(bool(lines))
        self._show_due()
        self._show_place()

    def forget(self) -> None:
        """Another bike has another odometer."""
        self.now.forget()

    def stop(self) -> None:
        """End a search that is under way."""
        self._work.cancel()

    def finish(self) -> None:
        """End it, and wait for its thread; before the window goes."""
        self._work.finish()

    def _show_due(self) -> None:
        bike = self._document.bike
        state, now = chain_due(bike, date.today()), bike.wear.odometer_km
        self.now.show_number(now)
        told = [] if state is None else [f"{(tr('Due') if state.is_due else tr('Not due'))}: {state.finding.text}"]
        told += [] if now is None else [f.text for f in today_findings(bike, now)]
        self.shape.setVisible(bool(told))
        self.shape.show_level("fits" if state is not None and not state.is_due and len(told) == 1 else "check")
        if state is not None and state.finding.level == "does not fit":
            self.shape.show_level("does not fit")
        self.due.setText("\n".join(told) or tr("Nothing is known yet of the chain's age or wear."))

    def _odometer_typed(self, value: object) -> None:
        self._document.set_value("wear", "odometer_km", value, tr("Odometer today"))

    def _sheet(self) -> None:
        row, jobs = self.jobs.currentRow(), self._document.bike.jobs
        if jobs:
            self.sheet_asked.emit(jobs[len(jobs) - 1 - max(row, 0)])

    def _choose(self) -> None:
        name = QFileDialog.getExistingDirectory(self, tr("A folder of bikes"), str(self._place() or Path.home()))
        if name:
            self._folder = Path(name)
            self._show_place()

    def _place(self) -> Path | None:
        """The folder chosen, or that of the bike; None for a bike that is in no file."""
        own = self._document.path
        return self._folder or (None if own is None else own.absolute().parent)

    def _show_place(self) -> None:
        place = self._place()
        self.place.setText(
            tr("Choose a folder first.") if place is None else tr("In {place} and the folders in it", place=place)
        )
        self.go.setEnabled(place is not None)
        self.all_due.setEnabled(place is not None)

    def _search(self) -> None:
        self._begin(self.words.text(), due=False)

    def _search_due(self) -> None:
        self._begin("", due=True)

    def _begin(self, words: str, *, due: bool) -> None:
        place, own = self._place(), self._document.path
        if place is None:
            self.status.setText(tr("Choose a folder first."))
            return
        self.found.clear()
        self.status.setText(tr("Searching…"))
        # The bike at hand counts as it is now, saved or not.
        instead = {} if own is None else {own.resolve(): self._document.bike}

        def work(tell: Tell, unwanted: Unwanted) -> Search:
            def go_on(done: int, of: int) -> bool:
                if of:
                    tell(done / of)
                return not unwanted()

            return search(place, words, date.today(), due=due, instead=instead, go_on=go_on)

        self._work.start(work)

    def _tell(self, share: float) -> None:
        self.status.setText(tr("Searching… {share:.0f} %", share=100 * share))

    def _failed(self, error: object) -> None:
        if not isinstance(error, OSError):
            raise error  # type: ignore[misc]
        self.status.setText(tr("{place} cannot be searched: {strerror}.", place=self._place(), strerror=error.strerror))

    def _show_found(self, answer: object) -> None:
        assert isinstance(answer, Search)
        for found in answer.found[:_MOST_SHOWN]:
            self._add(found)
        text = tr(
            "{found} found in {counted}. Enter opens a bike.",
            found=len(answer.found),
            counted=counted(answer.files, "file", "files"),
        )
        if len(answer.found) > _MOST_SHOWN:
            text += tr(" The first {most_shown} are listed: say more of what you look for.", most_shown=_MOST_SHOWN)
        if answer.broken:
            text += tr(" {broken} cannot be read: {broken2}", broken=len(answer.broken), broken2=answer.broken[0][1])
        self.status.setText(text)
        self.status.setToolTip(plain("\n".join(why for _, why in answer.broken)))

    def _add(self, found: Found) -> None:
        told = found.due.finding.text if found.due is not None else job_line(found.job) if found.job else ""
        item = QListWidgetItem(f"{found.name or tr('Unnamed bike')} ({found.path.name}): {told}", self.found)
        item.setData(Qt.ItemDataRole.UserRole, str(found.path))

    def _open(self, item: QListWidgetItem) -> None:
        self.open_asked.emit(Path(item.data(Qt.ItemDataRole.UserRole)))
