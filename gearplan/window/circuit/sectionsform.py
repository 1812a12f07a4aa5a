"""The circuit's sections: a table of all, and a form for the one at hand."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from itertools import starmap
from typing import Any

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QGridLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from gearplan.bike import circuit as circuits
from gearplan.bike.circuit import Circuit, Section, check_section_value, section_entries, section_entry
from gearplan.bike.units import KMH
from gearplan.bike.written import signed
from gearplan.plan import words
from gearplan.plan.laps.view import apex_speeds, corner_doubts
from gearplan.window.circuit.ownlapform import OwnLapForm
from gearplan.window.document.document import Document
from gearplan.window.kit import theme
from gearplan.window.kit.fields import ChoiceField, ErrorLabel, NumberField, ValueField, labelled
from gearplan.window.kit.flow import Flow
from gearplan.window.kit.layout import fixed_width, least_width
from gearplan.window.kit.texttable import TextTable

_HEADS = ("", "section", "m", "apex or radius", "turn", "uphill")
_MOST_ROWS = 10
_NEW = {
    "straight": Section("straight", 200.0),
    "corner": Section("corner", 50.0, apex_kmh=80.0, turn_deg=90.0),
}
_Refused = dict[int, tuple[Section, dict[str, str]]]
#: What a section has where nothing is entered; elsewhere it has nothing.
_EMPTY = {"gradient_percent": 0.0, "turn_deg": 0.0, "note": ""}


class SectionsForm(QWidget):
    """Edits the document's circuit; `picked` carries the index of the section at hand."""

    picked = Signal(int)

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self.index = 0
        #: What could not be read in the other sections, by their index: the section and its texts by key.
        self._refused: _Refused = {}
        #: The places in the document's list that stand for these.
        self._told: set[str] = set()
        document.circuit_starting.connect(self.forget)
        column = QVBoxLayout(self)
        column.setContentsMargins(*[theme.UNIT] * 4)
        name_row = Flow()
        self.name = ValueField(str.strip)
        self.name.setMaxLength(200)
        self.name.setPlaceholderText("What this circuit is called")
        self.name.entered.connect(self._named)
        self.name.finished.connect(document.end_merge)
        least_width(self.name, 190)
        name_row.addWidget(labelled("Circuit &name", self.name))
        name_row.addWidget(self.name)
        column.addLayout(name_row)
        self.own = OwnLapForm()
        column.addWidget(self.own)
        # The form stays in reach, however many sections there are.
        self.table = TextTable(
            "Sections of the circuit",
            quiet=(0,),
            left=(1,),
            most_rows=_MOST_ROWS,
        )
        self.table.setSelectionBehavior(TextTable.SelectionBehavior.SelectRows)
        self.table.selectionModel().currentRowChanged.connect(self._row_picked)
        column.addWidget(self.table)
        column.addLayout(self._buttons())
        self.doubts = QLabel()
        self.doubts.setWordWrap(True)
        column.addWidget(self.doubts)
        column.addLayout(self._form())
        column.addStretch(1)

    def _buttons(self) -> Flow:
        flow = Flow()
        self.buttons: dict[str, QPushButton] = {}
        for key, label in (
            ("straight", "Add straight"),
            ("corner", "Add corner"),
            ("remove", "Remove"),
            ("up", "Earlier"),
            ("down", "Later"),
            ("mirror", "Mirror"),
            ("reverse", "Other way round"),
        ):
            button = QPushButton(label)
            button.setObjectName(key)
            button.clicked.connect(self._pressed)
            self.buttons[key] = button
            flow.addWidget(button)
        return flow

    def _form(self) -> QGridLayout:
        grid = QGridLayout()
        grid.setColumnStretch(1, 1)
        grid.setColumnStretch(3, 1)
        self.fields: dict[str, Any] = {}
        self.errors = ErrorLabel()
        # A note may be long: it has the last line for itself.
        entries = sorted(section_entries(), key=lambda each: each[1].kind == "text")
        for count, (key, what) in enumerate(entries):
            line, side = divmod(count, 2)
            label = f"{what.label}, {what.unit}" if what.unit else what.label
            if what.kind == "choice":
                field: Any = ChoiceField(what.choices)
            elif what.kind == "text":
                field = ValueField(partial(_text, key))
                field.errors = self.errors
                field.finished.connect(self._document.end_merge)
            else:
                field = NumberField(partial(check_section_value, key), unit=what.measure, whole=what.kind == "whole")
                fixed_width(field, 72)
                field.errors = self.errors
                field.finished.connect(self._document.end_merge)
            field.setObjectName(key)
            field.entered.connect(self._entered)
            if isinstance(field, ValueField):
                field.stands_for(f"circuit.{key}", what.label)
                field.unread.connect(self._document.note_unread)
            title = labelled(label, field)
            title.setWordWrap(True)
            if what.kind == "text":
                grid.addWidget(title, line + 1, 0)
                grid.addWidget(field, line + 1, 1, 1, 3)
            else:
                grid.addWidget(title, line, 2 * side)
                grid.addWidget(field, line, 2 * side + 1, Qt.AlignmentFlag.AlignRight)
            self.fields[key] = field
        grid.addWidget(self.errors, grid.rowCount(), 0, 1, 4)
        return grid

    def refresh(self) -> None:
        """Show the document's circuit as it is now."""
        circuit = self._document.circuit or Circuit()
        self.name.show_value(circuit.name, circuit.name or None)
        self.own.refresh(self._document.circuit)
        count = len(circuit.sections)
        if self.index > max(count - 1, 0):
            self.index = max(count - 1, 0)
            self._empty_fields()
        self._refused = _followed(self._refused, circuit.sections)
        self._tell_refused()
        speeds = apex_speeds(self._document.bike, circuit)
        rows = [_row(k, section, speeds[k]) for k, section in enumerate(circuit.sections)]
        self.table.show_texts(_HEADS, rows)
        if count and self.table.currentIndex().row() != self.index:
            self._select(self.index)
        said = corner_doubts(self._document.bike, circuit) if not circuits.refusal(circuit) else ()
        refused = circuits.refusal(circuit) or " ".join(starmap(words.unread, self._document.unread("circuit")))
        self.doubts.setText(refused or " ".join(said))
        self.doubts.setVisible(bool(self.doubts.text()))
        for key, button in self.buttons.items():
            button.setEnabled(key in _NEW or count > 0)
        for field in self.fields.values():
            field.setEnabled(count > 0)
        self._show_section(circuit.sections[self.index] if count else None)
        if self.index in self._refused:
            self._arrive()

    def pick(self, index: int) -> None:
        """Take the section at hand where the cursor went; the cursor stays where it is."""
        if self.table.currentIndex().row() != index:
            self.blockSignals(True)
            self._select(index)
            self.blockSignals(False)

    def _select(self, index: int) -> None:
        self.table.selectRow(index)
        self.table.scrollTo(self.table.currentIndex())

    def _show_section(self, section: Section | None) -> None:
        """Show a section; without one nothing of the last one stays in the fields."""
        for key, field in self.fields.items():
            value = None if section is None else getattr(section, key)
            if section is not None and isinstance(field, ValueField) and field.problem and _stands_empty(section, key):
                # What was refused stays in the field.
                value = None
            if isinstance(field, ChoiceField):
                field.show_choice(("yes" if value else "no") if isinstance(value, bool) else value)
            elif isinstance(field, NumberField):
                field.show_number(value)
            else:
                field.show_value(value or "", value or None)

    def _entered(self, value: object) -> None:
        circuit, key = self._document.circuit, self.sender().objectName()
        if circuit is None or not circuit.sections:
            return
        given: Any = value
        if key == "hold_gear":
            given = value == "yes"
        elif value is None:
            given = _EMPTY.get(key)
        if given is None and key == "kind":
            return
        if given is None and key == "length_m":
            # There is no section without a length: until there is one again it has the one of before, and no lap.
            given = self.fields[key].before
        section = replace(circuit.sections[self.index], **{key: given})
        merge = f"section {self.index} {key}"
        self._document.edit_circuit(
            section_entry(key).label, circuits.with_section(circuit, self.index, section), merge
        )

    def _named(self, value: object) -> None:
        circuit = self._document.circuit or Circuit()
        self._document.edit_circuit("Circuit name", replace(circuit, name=str(value or "")), "circuit name")

    def _row_picked(self) -> None:
        row = self.table.currentIndex().row()
        circuit = self._document.circuit
        if circuit is None or not 0 <= row < len(circuit.sections) or row == self.index:
            return
        self._document.end_merge()
        left = self._leave(circuit)
        self.index, self._refused = row, left
        self._show_section(circuit.sections[row])
        self._arrive()
        self.picked.emit(row)

    def forget(self) -> None:
        """Another circuit: drop what was refused for the last one."""
        self._refused = {}
        self._empty_fields()
        self.own.forget()
        self._tell_refused()

    def _leave(self, circuit: Circuit) -> _Refused:
        """What could not be read in all sections, once the fields are free of that of the section at hand."""
        refused = dict(self._refused)
        if texts := {key: field.refused_text() for key, field in self._values() if field.refused_text()}:
            refused[self.index] = circuit.sections[self.index], texts
        self._empty_fields()
        return refused

    def _arrive(self) -> None:
        """Another section is at hand: what could not be read in it stands in its fields again."""
        _, texts = self._refused.pop(self.index, (None, {}))
        for key, text in texts.items():
            self.fields[key].restore(text)
        self._tell_refused()

    def _values(self) -> list[tuple[str, ValueField]]:
        return [(key, field) for key, field in self.fields.items() if isinstance(field, ValueField)]

    def _empty_fields(self) -> None:
        for _, field in self._values():
            field.forget()

    def _tell_refused(self) -> None:
        told = {
            f"circuit.{index}.{key}": (f"Section {index + 1}, {section_entry(key).label.lower()}", text)
            for index, (_, texts) in self._refused.items()
            for key, text in texts.items()
        }
        for place in self._told - told.keys():
            self._document.note_unread(place, "", "")
        for place, (label, text) in told.items():
            self._document.note_unread(place, label, text)
        self._told = set(told)

    def _pressed(self) -> None:
        what, circuit = self.sender().objectName(), self._document.circuit or Circuit()
        label = self.buttons[what].text()
        at, last = self.index, len(circuit.sections) - 1
        # Where each section of before stands afterwards.
        places = list(range(last + 1))
        if what in _NEW:
            at = min(at + 1, last + 1) if circuit.sections else 0
            changed = circuits.with_section(circuit, at, _NEW[what], insert=True)
            places = [place + (place >= at) for place in places]
        elif what == "remove":
            changed = circuits.without(circuit, at)
            places = [-1 if place == at else place - (place > at) for place in places]
        elif what in ("up", "down"):
            to = at + (1 if what == "down" else -1)
            if not 0 <= to <= last:
                return
            changed = circuits.moved(circuit, at, to)
            places[at], places[to], at = to, at, to
        elif what == "mirror":
            changed = circuits.mirrored(circuit)
        else:
            changed = circuits.reversed_direction(circuit)
            places.reverse()
        left = self._leave(circuit)
        self.index = min(at, max(len(changed.sections) - 1, 0))
        self._refused = {
            places[index]: (changed.sections[places[index]], texts)
            for index, (_, texts) in left.items()
            if places[index] >= 0
        }
        self._document.edit_circuit(label, changed)
        self.refresh()
        self.picked.emit(self.index)


def _followed(refused: _Refused, sections: tuple[Section, ...]) -> _Refused:
    """What was refused, where its section stands now: a step back may have moved, turned round or changed it."""
    found: _Refused = {}
    for index, (section, texts) in refused.items():
        same = [(abs(place - index), place) for place, one in enumerate(sections) if _level(one) == _level(section)]
        place = min(same)[1] if same else index
        if place < len(sections):
            # What has a value again is no longer refused.
            still = {key: text for key, text in texts.items() if _stands_empty(sections[place], key)}
            found[place] = sections[place], still
    return found


def _level(section: Section) -> Section:
    """A section without left and right, up and down."""
    return replace(section, turn_deg=abs(section.turn_deg), gradient_percent=abs(section.gradient_percent))


def _stands_empty(section: Section, key: str) -> bool:
    """Whether a section has of an entry what it has while its field cannot be read: of the length that of before."""
    return key == "length_m" or getattr(section, key) == _EMPTY.get(key)


def _row(number: int, section: Section, apex: float | None) -> tuple[str, ...]:
    if section.kind == "straight":
        speed = ""
    elif section.apex_kmh is not None:
        speed = f"{section.apex_kmh:.0f} km/h"
    else:
        speed = "–" if apex is None else f"R {section.radius_m:.0f} m: {apex / KMH:.0f} km/h"
    turn = "" if not section.turn_deg else f"{abs(section.turn_deg):.0f}° {'left' if section.turn_deg > 0 else 'right'}"
    uphill = "" if not section.gradient_percent else f"{signed(section.gradient_percent, 1, 1)} %"
    name = section.note or section.kind
    return (str(number + 1), name, f"{section.length_m:.0f}", speed, turn, uphill)


def _text(key: str, text: str) -> str:
    if refusal := check_section_value(key, text.strip()):
        raise ValueError(refusal)
    return text.strip()
