"""What was done to this bike and when its chain is due, and the same question to a whole folder of bikes."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from functools import partial
from pathlib import Path

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtWidgets import (
    QFileDialog,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QScrollArea,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from gearplan.bike.entries import entry_in
from gearplan.bike.job import Job
from gearplan.bike.values import check_entry
from gearplan.plan.job.history import Found, asks_for_due, bike_files, chain_due, search_files
from gearplan.plan.job.words import job_line
from gearplan.window.document.document import Document
from gearplan.window.fitting.readingfield import quiet
from gearplan.window.kit import theme
from gearplan.window.kit.fields import OdometerField, labelled
from gearplan.window.kit.layout import card
from gearplan.window.kit.shapes import VerdictShape

#: So many files are read before the window is let in again: about a frame's time each round.
_AT_ONCE = 10
_MOST_SHOWN = 500
#: A list shows at least a few lines; a low window scrolls.
_LEAST = 10 * theme.UNIT


class HistoryPanel(QScrollArea):
    """`sheet_asked` carries a job whose filled sheet is wanted, `open_asked` the file of a bike that was found."""

    sheet_asked = Signal(object)
    open_asked = Signal(object)

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._folder: Path | None = None
        self._running: Iterator[Found | str] | None = None
        self._files = self._seen = self._found = 0
        self._broken: list[str] = []
        self._timer = QTimer(self)
        self._timer.setInterval(0)
        self._timer.timeout.connect(self._search_on)
        self.setWidgetResizable(True)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        inside = QWidget()
        self.setWidget(inside)
        column = QVBoxLayout(inside)
        column.setContentsMargins(*[theme.UNIT] * 4)
        column.addWidget(self._of_this_bike(), 1)
        column.addWidget(self._of_a_folder(), 1)

    def _of_this_bike(self) -> QWidget:
        frame, column = card(2 * theme.UNIT)
        head = QLabel("This bike")
        head.setProperty("role", "title")
        column.addWidget(head)
        due = QHBoxLayout()
        self.shape = VerdictShape(20)
        self.due = QLabel()
        self.due.setWordWrap(True)
        self.now = OdometerField(partial(check_entry, entry_in(Job, "odometer_km")))
        self.now.entered.connect(self._odometer_typed)
        due.addWidget(self.shape)
        due.addWidget(self.due, 1)
        due.addWidget(labelled("Odometer &today, km", self.now))
        due.addWidget(self.now)
        column.addLayout(due)
        self.jobs = QListWidget()
        self.jobs.setAccessibleName("Jobs of this bike")
        self.jobs.setWordWrap(True)
        self.jobs.setMinimumHeight(_LEAST)
        self.jobs.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Ignored)
        self.jobs.itemActivated.connect(self._sheet)
        column.addWidget(self.jobs, 1)
        self.sheet = QPushButton("Save the sheet of the selected job…")
        self.sheet.clicked.connect(self._sheet)
        column.addWidget(self.sheet, 0, Qt.AlignmentFlag.AlignLeft)
        return frame

    def _of_a_folder(self) -> QWidget:
        frame, column = card(2 * theme.UNIT)
        head = QLabel("A folder of bikes")
        head.setProperty("role", "title")
        column.addWidget(head)
        row = QHBoxLayout()
        self.choose = QPushButton("Folder…")
        self.choose.clicked.connect(self._choose)
        self.place = quiet()
        self.words = QLineEdit()
        self.words.setPlaceholderText("520 conversion, a name, a part number … or chains due")
        self.words.returnPressed.connect(self._search)
        self.go, self.all_due = QPushButton("Search"), QPushButton("Chains due")
        self.go.clicked.connect(self._search)
        self.all_due.clicked.connect(self._search_due)
        row.addWidget(self.choose)
        row.addWidget(labelled("Loo&king for", self.words))
        row.addWidget(self.words, 1)
        row.addWidget(self.go)
        row.addWidget(self.all_due)
        column.addLayout(row)
        column.addWidget(self.place)
        self.found = QListWidget()
        self.found.setAccessibleName("What was found")
        self.found.setWordWrap(True)
        self.found.setMinimumHeight(_LEAST)
        self.found.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Ignored)
        self.found.itemActivated.connect(self._open)
        column.addWidget(self.found, 1)
        self.status = quiet("Enter or a double click opens the bike.")
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
        self.now.show_number(None)

    def stop(self) -> None:
        """End a search that is under way."""
        self._timer.stop()
        self._running = None

    def _show_due(self) -> None:
        now_km = self.now.value
        assert now_km is None or isinstance(now_km, (int, float))
        state = chain_due(self._document.bike, date.today(), now_km=now_km)
        self.shape.setVisible(state is not None)
        if state is None:
            self.due.setText("Nothing is known yet of the chain's age or wear.")
            return
        self.shape.show_level(state.finding.level)
        self.due.setText(f"{'Due' if state.is_due else 'Not due'}: {state.finding.text}")

    def _odometer_typed(self, _value: object) -> None:
        self._show_due()

    def _sheet(self) -> None:
        row, jobs = self.jobs.currentRow(), self._document.bike.jobs
        if jobs:
            self.sheet_asked.emit(jobs[len(jobs) - 1 - max(row, 0)])

    def _choose(self) -> None:
        name = QFileDialog.getExistingDirectory(self, "A folder of bikes", str(self._place()))
        if name:
            self._folder = Path(name)
            self._show_place()

    def _place(self) -> Path:
        own = self._document.path
        return self._folder or (own.parent if own is not None else Path.home())

    def _show_place(self) -> None:
        self.place.setText(f"In {self._place()} and the folders in it")

    def _search(self) -> None:
        self._begin(self.words.text(), due=asks_for_due(self.words.text()))

    def _search_due(self) -> None:
        self._begin("", due=True)

    def _begin(self, words: str, *, due: bool) -> None:
        self.stop()
        self.found.clear()
        self._broken, self._seen, self._found = [], 0, 0
        try:
            closed: list[tuple[Path, str]] = []
            files = list(bike_files(self._place(), closed))
            self._broken = [why for _, why in closed]
        except OSError as failed:
            self.status.setText(f"{self._place()} cannot be searched: {failed.strerror}.")
            return
        self._files = len(files)
        self._running = search_files(iter(files), words, date.today(), due=due)
        self._timer.start()

    def _search_on(self) -> None:
        """A few more files, then the window again."""
        until = self._seen + _AT_ONCE
        while self._running is not None and self._seen < until:
            answer = next(self._running, None)
            if answer is None:
                self.stop()
            elif isinstance(answer, Found):
                self._add(answer)
            else:
                self._seen += 1
                if answer:
                    self._broken.append(answer)
        self._tell()

    def _add(self, found: Found) -> None:
        self._found += 1
        if self._found > _MOST_SHOWN:
            return
        told = found.due.finding.text if found.due is not None else job_line(found.job) if found.job else ""
        item = QListWidgetItem(f"{found.name or 'Unnamed bike'} ({found.path.name}): {told}", self.found)
        item.setData(Qt.ItemDataRole.UserRole, str(found.path))

    def _tell(self) -> None:
        text = f"{self._found} found in {self._seen} of {self._files} files"
        if self._running is None:
            text = f"{self._found} found in {self._files} file{'' if self._files == 1 else 's'}. Enter opens a bike."
        if self._found > _MOST_SHOWN:
            text += f" The first {_MOST_SHOWN} are listed: say more of what you look for."
        if self._broken:
            text += f" {len(self._broken)} cannot be read: {self._broken[0]}"
        self.status.setText(text)

    def _open(self, item: QListWidgetItem) -> None:
        self.open_asked.emit(Path(item.data(Qt.ItemDataRole.UserRole)))
