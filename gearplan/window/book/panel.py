"""The book beside the ranking: search, the outings found, where to start today, and the entry at hand."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QLineEdit, QMessageBox, QPushButton, QVBoxLayout, QWidget

from gearplan.bike.book import BookEntry, doubts
from gearplan.language import tr
from gearplan.plan.driveset import fitted
from gearplan.plan.laps.ranking import LapRanking
from gearplan.plan.laps.spread import Plateau
from gearplan.plan.season.near import drive_set, nearest, today_of, told
from gearplan.plan.season.search import find, read_question
from gearplan.plan.season.start import start_from
from gearplan.plan.season.text import ENTRY_HEADS, entry_cells
from gearplan.plan.words import teeth
from gearplan.window.book.form import EntryForm
from gearplan.window.book.keeper import BookKeeper
from gearplan.window.document.document import Document
from gearplan.window.kit import theme
from gearplan.window.kit.controls.fields import labelled
from gearplan.window.kit.places.flow import Flow
from gearplan.window.kit.places.layout import fixed_height
from gearplan.window.kit.plaintext import PlainLabel
from gearplan.window.kit.tables.texttable import TextTable


class BookPanel(QWidget):
    """The season's book of the bike at hand.

    `proposed` carries the set of an outing that is to be started from, `save_asked` that the bike needs a file first,
    `sheet_asked` and `board_asked` what is to be drawn (True: to a printer), `told` what a person must know and
    whether it is wrong.
    """

    proposed = Signal(object)
    save_asked = Signal()
    sheet_asked = Signal(bool)
    board_asked = Signal(bool)
    told = Signal(str, bool)

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._found: tuple[int, ...] = ()
        self._at: int | None = None
        self._entry: BookEntry | None = None
        self._ranked: tuple[LapRanking | None, Plateau | None] = None, None
        self._track: str | None = None
        self.keeper = BookKeeper(document, self)
        self.keeper.changed.connect(self._show)
        self.keeper.told.connect(self.told)
        column = QVBoxLayout(self)
        column.setContentsMargins(*[theme.UNIT] * 4)
        self.words = PlainLabel()
        self.words.setWordWrap(True)
        column.addWidget(self.words)
        column.addLayout(self._buttons())
        self.search = QLineEdit()
        self.search.setPlaceholderText(tr("here 25 °C wet 2025"))
        self.search.setClearButtonEnabled(True)
        self.search.textChanged.connect(self._show)
        column.addWidget(labelled(tr("Any words, “here” for this circuit, a temperature"), self.search))
        column.addWidget(self.search)
        self.table = TextTable(tr("Outings in the book"), quiet=(0,), bold=(4,), left=(0, 1, 6, 7), fills=True)
        fixed_height(self.table, 176)
        self.table.setSelectionBehavior(TextTable.SelectionBehavior.SelectRows)
        self.table.clicked.connect(self._picked)
        self.table.activated.connect(self._picked)
        column.addWidget(self.table)
        self.lacks = PlainLabel()
        self.lacks.setWordWrap(True)
        self.lacks.setProperty("role", "small")
        column.addWidget(self.lacks)
        self.form = EntryForm()
        self.form.entered.connect(self._entered)
        column.addWidget(self.form)
        column.addStretch(1)

    def _buttons(self) -> Flow:
        row = Flow()
        self.buttons: dict[str, QPushButton] = {}
        for label, slot in (
            (tr("Save the bike first…"), self.save_asked),
            (tr("Write down today"), self._write_down),
            (tr("Propose its set"), self._propose),
            (tr("Take out"), self._take_out),
            (tr("Take back"), self.keeper.take_back),
            (tr("Session sheet…"), self._save_sheet),
            (tr("Print the sheet…"), self._print_sheet),
            (tr("Pit board…"), self._save_board),
            (tr("Print the board…"), self._print_board),
        ):
            button = QPushButton(label)
            button.clicked.connect(slot)
            self.buttons[label] = button
            row.addWidget(button)
        return row

    def refresh(self, ranking: LapRanking | None = None, tied: Plateau | None = None, *, wet: bool = False) -> None:
        """Show the book of the bike at hand as it is on disk now, and how its nearest set does in a ranking."""
        self._ranked, self._track = (ranking, tied), "wet" if wet else None
        self.keeper.look()
        self._show()

    def forget(self) -> None:
        """Another bike comes: what was changed is written."""
        self.keeper.write()
        self._at = None

    def may_leave(self) -> bool:
        """Write what is left to be written; if that fails, ask whether to leave without it."""
        if self.keeper.write():
            return True
        buttons = QMessageBox.StandardButton
        answer = QMessageBox.question(
            self,
            tr("Not written"),
            tr("The last entries of the book could not be written. Leave without them?"),
            buttons.Discard | buttons.Cancel,
            buttons.Cancel,
        )
        return answer == buttons.Discard

    @property
    def _here(self) -> str:
        circuit = self._document.circuit
        return circuit.name if circuit is not None else ""

    def _today(self) -> BookEntry:
        return today_of(self._document.bike, self._here, track=self._track)

    def _show(self) -> None:
        book, may = self.keeper.book, self.keeper.path is not None and not self.keeper.problem
        self._found = find(book.entries, read_question(self.search.text(), self._here))
        self._keep_place(book.entries)
        self.words.setText(self._advice())
        self.table.show_texts(ENTRY_HEADS, [entry_cells(book.entries[index]) for index in self._found])
        if self._at in self._found:
            self.table.selectRow(self._found.index(self._at))
        else:
            self.table.clearSelection()
        at = self._at is not None
        self.buttons[tr("Save the bike first…")].setVisible(self.keeper.path is None)
        self.buttons[tr("Write down today")].setEnabled(may)
        self.buttons[tr("Take out")].setEnabled(at)
        self.buttons[tr("Take back")].setEnabled(self.keeper.can_take_back)
        self.buttons[tr("Propose its set")].setEnabled(at and book.entries[self._at or 0].has_gearing)
        self.form.setVisible(at)
        if self._at is not None:
            self.form.show_entry(book.entries[self._at], another=False)
        lacks = doubts(book.entries[self._at]) if self._at is not None else ()
        self.lacks.setText("\n".join((*lacks, *book.notices)))
        self.lacks.setVisible(bool(self.lacks.text()))

    def _keep_place(self, entries: Sequence[BookEntry]) -> None:
        """The entry at hand stays at hand where what another hand has written moved it."""
        if self._at is not None and (self._at >= len(entries) or entries[self._at] != self._entry):
            same = [place for place, entry in enumerate(entries) if entry == self._entry]
            self._at = same[0] if same else self._at if self._at < len(entries) else None
        self._entry = None if self._at is None else entries[self._at]

    def _advice(self) -> str:
        """Where to start, or why there is nothing to start from."""
        if self.keeper.path is None:
            return tr("The book lies beside the bike's file. Save the bike, then write down what is ridden.")
        if self.keeper.problem:
            return self.keeper.problem
        if not self._here:
            return tr("With a circuit at hand, the nearest outing there is named here.")
        found = nearest(self.keeper.book.entries, self._today(), self._document.bike)
        if not found:
            return tr("Nothing with its gearing is written down for {here} yet.", here=self._here)
        ranking, tied = self._ranked
        if ranking is not None and ranking.circuit.name == self._here:
            start = start_from(self.keeper.book.entries, self._today(), ranking, tied)
            assert start is not None
            return start.text
        near = found[0]
        differs = (
            tr("Today differs: {join}.", join=", ".join(near.differs))
            if near.differs
            else tr("Nothing that is known differs.")
        )
        return tr("Nearest to today: {told}. {differs}", told=told(near.entry), differs=differs)

    def _save_sheet(self) -> None:
        self.sheet_asked.emit(False)

    def _print_sheet(self) -> None:
        self.sheet_asked.emit(True)

    def _save_board(self) -> None:
        self.board_asked.emit(False)

    def _print_board(self) -> None:
        self.board_asked.emit(True)

    def _write_down(self) -> None:
        bike = self._document.bike
        # What is proposed is what is ridden, the fitted set where nothing else is.
        on, air = self._document.chosen, bike.conditions
        entry = BookEntry(
            day=date.today(),
            circuit=self._here,
            temperature_c=air.temperature_c,
            pressure_hpa=air.pressure_hpa,
            front=on.front,
            rear=on.rear,
            links=on.links,
            chain=on.chain,
            gears=on.gears,
            track=self._track,
        )
        self._at, self._entry = len(self.keeper.book.entries), entry
        self.search.clear()
        self.keeper.add(entry)
        self.form.show_entry(entry, another=True)
        if on != fitted(bike):
            self.told.emit(
                tr("Written down with the proposed {teeth}; change it here if another was ridden.", teeth=teeth(on)),
                False,
            )

    def _picked(self) -> None:
        row = self.table.currentIndex().row()
        if 0 <= row < len(self._found):
            self._at = self._found[row]
            self._entry = self.keeper.book.entries[self._at]
            self.form.show_entry(self.keeper.book.entries[self._at], another=True)
            self._show()

    def _entered(self, entry: BookEntry) -> None:
        if self._at is not None:
            self._entry = entry
            self.keeper.change(self._at, entry)

    def _take_out(self) -> None:
        if self._at is not None:
            gone, self._at = self._at, None
            self.keeper.take_out(gone)

    def _propose(self) -> None:
        if self._at is not None:
            chosen = drive_set(self.keeper.book.entries[self._at], self._document.bike)
            self.proposed.emit(chosen)
            self.told.emit(tr("Proposed: {teeth}, from the book.", teeth=teeth(chosen)), False)
