"""The circuit's sections: its name, an own lap, a table of the sections, and what is said of them."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import Signal
from PySide6.QtGui import QPalette
from PySide6.QtWidgets import QApplication, QMenu, QPushButton, QToolButton, QVBoxLayout, QWidget

from gearplan.bike.circuit import Circuit, label_of, refusal, section_entry
from gearplan.bike.sections import edits
from gearplan.bike.sections.cells import COLUMNS, SectionUnits, read_cell, with_cell
from gearplan.bike.sections.pasting import NEW, PasteError, copied, placed, read_pasted
from gearplan.bike.text.written import listed
from gearplan.language import tr
from gearplan.plan.laps.view import apex_speeds, doubts_by_section, doubts_of_lap
from gearplan.window.circuit.sections.model import SectionsModel
from gearplan.window.circuit.sections.ownlap import OwnLapForm
from gearplan.window.circuit.sections.said import Said
from gearplan.window.circuit.sections.table import SectionsTable
from gearplan.window.circuit.sections.unreadable import UnreadableCells
from gearplan.window.document.document import Document
from gearplan.window.kit import theme
from gearplan.window.kit.controls.fields import ValueField, labelled
from gearplan.window.kit.places.flow import Flow, together
from gearplan.window.kit.places.layout import least_width
from gearplan.window.kit.plaintext import plain
from gearplan.window.kit.view import View


class SectionsForm(QWidget):
    """Edits the document's circuit; `picked` carries the index of the section at hand.

    All but the table has a height of its own that no text changes, so that nothing moves under the pointer.
    """

    picked = Signal(int)

    def __init__(self, document: Document, view: View, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document, self._view = document, view
        self._unreadable = UnreadableCells(document)
        #: What was told of the last paste or join, and of which circuit.
        self._event: tuple[str, Circuit | None] = ("", None)
        document.circuit_starting.connect(self.forget)
        column = QVBoxLayout(self)
        column.setContentsMargins(*[theme.UNIT] * 4)
        self.setBackgroundRole(QPalette.ColorRole.Base)
        self.setAutoFillBackground(True)
        self.said = Said()
        self.name = ValueField(str.strip)
        self.name.setMaxLength(200)
        self.name.setPlaceholderText(tr("What this circuit is called"))
        self.name.entered.connect(self._named)
        self.name.finished.connect(document.end_merge)
        least_width(self.name, 190)
        self.own = OwnLapForm(self.said)
        head = Flow()
        head.addWidget(together(labelled(tr("Circuit &name"), self.name), self.name, grows=True))
        head.addWidget(self.own)
        column.addLayout(head)
        column.addLayout(self._buttons())
        self.model = SectionsModel(self._unreadable, self)
        self.model.entered.connect(self._entered)
        self.table = SectionsTable(self.model)
        for signal, slot in (
            (self.table.moved_to, self._row_at_hand),
            (self.table.clear_asked, self._clear),
            (self.table.copy_asked, self._copy),
            (self.table.paste_asked, self._paste),
            (self.table.insert_asked, self._insert),
            (self.table.delete_asked, self._delete),
            (self.table.move_asked, self._move),
        ):
            signal.connect(slot)
        # Above the table, for a low window shows only the upper part of that.
        column.addWidget(self.said)
        column.addWidget(self.table, 1)

    def _buttons(self) -> Flow:
        flow = Flow(spacing=theme.UNIT // 2)
        self.buttons: dict[str, QPushButton] = {}
        for key, label, tip, slot in (
            ("straight", tr("Add straight"), tr("Add a straight after the section at hand"), self._add_straight),
            ("corner", tr("Add corner"), tr("Add a corner after the section at hand"), self._add_corner),
            ("split", tr("Split"), tr("Cut the section at hand into two halves"), self._split),
            ("join", tr("Join"), tr("Make the chosen sections one, or this one and the next"), self._join),
            ("remove", tr("Delete"), tr("Delete the chosen sections (Ctrl+Delete)"), self._delete),
            ("up", tr("Earlier"), tr("Move the section at hand (Alt+Up)"), self._earlier),
            ("down", tr("Later"), tr("Move the section at hand (Alt+Down)"), self._later),
        ):
            button = QPushButton(label)
            button.setToolTip(plain(tip))
            button.clicked.connect(slot)
            self.buttons[key] = button
            flow.addWidget(button)
        self.more = QToolButton()
        self.more.setText(tr("More"))
        self.more.setProperty("plain", True)
        self.more.setPopupMode(QToolButton.ToolButtonPopupMode.InstantPopup)
        menu = QMenu(self)
        for label, slot in (
            (tr("Copy the whole table"), self._copy_all),
            (tr("Paste"), self._paste),
            (tr("Mirror left and right"), self._mirror),
            (tr("Other way round"), self._reverse),
        ):
            menu.addAction(label).triggered.connect(slot)
        self.more.setMenu(menu)
        flow.addWidget(self.more)
        return flow

    # What is shown.

    @property
    def index(self) -> int:
        """The section at hand."""
        return self.table.row_at_hand()

    @property
    def units(self) -> SectionUnits:
        """The units of the columns."""
        return SectionUnits(self._view.units.distance, self._view.units.speed)

    def refresh(self) -> None:
        """Show the document's circuit as it is now."""
        bike, circuit = self._document.bike, self._circuit
        self.name.show_value(circuit.name, circuit.name or None)
        self.own.refresh(self._document.circuit)
        self._unreadable.follow(circuit)
        self.model.show_circuit(
            circuit, self.units, apex_speeds(bike, circuit), doubts_by_section(bike, circuit), self._why
        )
        count = len(circuit.sections)
        if count and not self.table.currentIndex().isValid():
            self.pick(0)
        for key, button in self.buttons.items():
            button.setEnabled(key in NEW or count > 0)
        if self._event[1] is not self._document.circuit:
            self._event = ("", None)
        self._tell_row()
        self.said.say(self._event[0], "event")

    def pick(self, index: int) -> None:
        """Take the section at hand where the cursor went; the cursor stays where it is."""
        self.blockSignals(True)
        self.table.take(index)
        self.blockSignals(False)

    def forget(self) -> None:
        """Another circuit: drop what was typed for the last one."""
        self._unreadable.forget()
        self.name.forget()
        self.own.forget()
        self._event = ("", None)

    @property
    def _circuit(self) -> Circuit:
        return self._document.circuit or Circuit()

    def _why(self, key: str, text: str) -> str:
        """What is wrong with the text of a cell."""
        try:
            read_cell(key, text, self.units)
        except ValueError as refused:
            return str(refused)
        return tr("is missing")

    def _tell_row(self) -> None:
        """What is asked about the lap, or why it cannot be ridden, and what about the section at hand."""
        circuit, row = self._circuit, self.model.told(self.index)
        refused = refusal(circuit) or ""
        lap = refused or " ".join(doubts_of_lap(circuit))
        self.said.say("" if refused and refused in row else lap, "lap")
        self.said.say(row, "row")

    def _row_at_hand(self, row: int) -> None:
        self._document.end_merge()
        self._tell_row()
        self.picked.emit(row)

    # What is done.

    def _named(self, value: object) -> None:
        self._document.edit_circuit(
            tr("Circuit name"), replace(self._circuit, name=str(value or "")), tr("circuit name")
        )

    def _entered(self, row: int, key: str, text: str) -> None:
        """A cell was edited: a text that cannot be read stays in it, and counts as nothing."""
        section, refused = self._circuit.sections[row], ""
        try:
            value = read_cell(key, text, self.units)
        except ValueError:
            value, refused = None, text.strip()
        changed = with_cell(section, key, value)
        self._unreadable.put(row, key, refused)
        self._take(section_entry(key).label, edits.with_section(self._circuit, row, changed))
        if value is None and not refused and key == "length_m":
            self._say(
                tr(
                    "Section {row} keeps its length: a section has one. Delete the section, or give another.",
                    row=row + 1,
                )
            )

    def _clear(self) -> None:
        circuit, (first, last), keys = self._circuit, self.table.rows(), self.table.keys()
        for row in range(first, min(last + 1, len(circuit.sections))):
            section = circuit.sections[row]
            for key in keys:
                section = with_cell(section, key, None)
            for key in keys:
                self._unreadable.put(row, key, "")
            circuit = edits.with_section(circuit, row, section)
        self._take(
            tr("Empty {cells}", cells=listed(map(label_of, keys)) if len(keys) < 3 else tr("cells")),
            circuit,
        )

    def _add_straight(self) -> None:
        self._add("straight", tr("Add straight"))

    def _add_corner(self) -> None:
        self._add("corner", tr("Add corner"))

    def _insert(self) -> None:
        """What mostly follows: a corner after a straight, a straight after a corner."""
        sections = self._circuit.sections
        straight = not sections or sections[self.index].kind == "corner"
        self._add("straight" if straight else "corner", tr("Insert a section"))

    def _add(self, kind: str, label: str) -> None:
        count = len(self._circuit.sections)
        at = self.index + 1 if count else 0
        changed = edits.with_section(self._circuit, at, NEW[kind], insert=True)
        self._place(label, changed, [place + (place >= at) for place in range(count)], at)

    def _split(self) -> None:
        at, count = self.index, len(self._circuit.sections)
        places = [place + (place > at) for place in range(count)]
        self._place(tr("Split a section"), edits.split(self._circuit, at), places, at)

    def _join(self) -> None:
        first, last = self.table.rows()
        last = max(last, first + 1)
        count = len(self._circuit.sections)
        try:
            changed = edits.joined(self._circuit, first, min(last, count - 1))
        except ValueError as refused:
            self._say(str(refused))
            return
        gone = last - first
        places = [place if place <= first else -1 if place <= last else place - gone for place in range(count)]
        self._place(tr("Join sections"), changed, places, first)

    def _delete(self) -> None:
        first, last = self.table.rows()
        count = len(self._circuit.sections)
        if first >= count:
            return
        gone = last - first + 1
        places = [place if place < first else -1 if place <= last else place - gone for place in range(count)]
        label = tr("Delete a section") if gone == 1 else tr("Delete sections")
        self._place(label, edits.without(self._circuit, first, last), places, first)

    def _earlier(self) -> None:
        self._move(-1)

    def _later(self) -> None:
        self._move(1)

    def _move(self, by: int) -> None:
        at, count = self.index, len(self._circuit.sections)
        if 0 <= at + by < count:
            places = list(range(count))
            places[at], places[at + by] = at + by, at
            self._place(tr("Move a section"), edits.moved(self._circuit, at, at + by), places, at + by)

    def _mirror(self) -> None:
        count = len(self._circuit.sections)
        self._place(tr("Mirror the circuit"), edits.mirrored(self._circuit), list(range(count)), self.index)

    def _reverse(self) -> None:
        count = len(self._circuit.sections)
        places = list(reversed(range(count)))
        self._place(
            tr("Other way round"), edits.reversed_direction(self._circuit), places, max(count - 1 - self.index, 0)
        )

    def _copy(self) -> None:
        first, last = self.table.rows()
        rows = range(first, min(last + 1, len(self._circuit.sections)))
        text = copied(self._circuit, rows, self.table.keys(), self.units, headed=False)
        QApplication.clipboard().setText(text.rstrip("\n"))

    def _copy_all(self) -> None:
        rows = range(len(self._circuit.sections))
        QApplication.clipboard().setText(copied(self._circuit, rows, COLUMNS, self.units, headed=True))
        self._say(tr("{rows} sections are on the clipboard, for a spreadsheet.", rows=len(rows)))

    def _paste(self) -> None:
        circuit, (first, last) = self._circuit, self.table.rows()
        try:
            read = read_pasted(QApplication.clipboard().text(), self.units, self.table.key_at_hand())
            put = placed(circuit, read, first, last if last > first else None)
        except PasteError as refused:
            self._say(str(refused))
            return
        count = len(circuit.sections)
        grown = len(put.circuit.sections) - count
        gone = range(first, last + 1) if read.headed and last > first else range(0)
        places = [-1 if place in gone else place + grown * (place >= put.first) for place in range(count)]
        if not read.headed:
            places = list(range(count))
        self._unreadable.move(places)
        for row, cells in put.unreadable.items():
            for key, text in cells.items():
                self._unreadable.put(row, key, text)
        self._event = (put.told, put.circuit)
        self._take(tr("Paste sections"), put.circuit)
        self.table.take(put.first)

    def _place(self, label: str, circuit: Circuit, places: list[int], at: int) -> None:
        """Take a circuit whose sections stand elsewhere, and bring one of them to hand."""
        self._unreadable.move(places)
        self._take(label, circuit)
        if circuit.sections:
            self.table.take(min(at, len(circuit.sections) - 1))
            self._tell_row()

    def _take(self, label: str, circuit: Circuit) -> None:
        self._unreadable.keep(circuit)
        if circuit != self._document.circuit:
            self._document.edit_circuit(label, circuit)
            self._document.end_merge()
        self.refresh()

    def _say(self, text: str) -> None:
        self._event = (text, self._document.circuit)
        self.said.say(text, "event")
