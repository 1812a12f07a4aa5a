"""One entry of the book as a form; each field tells its value as it is typed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from typing import Any

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QGridLayout, QPlainTextEdit, QWidget

from gearplan.bike.book import BookEntry, book_entries, check_book_value, read_day
from gearplan.bike.entries import Entry
from gearplan.bike.text.numbertext import parse_lap_time
from gearplan.bike.text.written import gear, lap_time
from gearplan.plan.laps.gearboxes import read_options
from gearplan.window.kit import theme
from gearplan.window.kit.controls.fields import ChoiceField, ErrorLabel, ValueField, labelled
from gearplan.window.kit.controls.numberfield import NumberField, UnitLabel
from gearplan.window.kit.places.layout import fixed_height, fixed_width

#: Wide fields take a line of their own.
_WIDE = ("session", "circuit", "rider", "wind_from", "tyre", "gears")


class EntryForm(QWidget):
    """`entered` carries the changed entry."""

    entered = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._entry = BookEntry()
        self.fields: dict[str, Any] = {}
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(theme.UNIT)
        grid.setVerticalSpacing(theme.UNIT // 2)
        grid.setColumnStretch(0, 1)
        for key, what in book_entries():
            line = grid.rowCount()
            if key == "notes":
                self._put_notes(grid, line, what)
                continue
            field = self._field(key, what)
            self.fields[key] = field
            grid.addWidget(labelled(what.label, field), line, 0)
            grid.addWidget(field, line, 1)
            unit = UnitLabel("" if key == "lap_s" else what.unit)
            unit.setProperty("role", "quiet")
            grid.addWidget(unit, line, 2)
            if isinstance(field, ValueField):
                field.errors = ErrorLabel()
                grid.addWidget(field.errors, line + 1, 0, 1, 3)

    def _field(self, key: str, what: Entry) -> QWidget:
        if what.kind == "choice":
            choice = ChoiceField(what.choices)
            choice.setObjectName(key)
            choice.entered.connect(self._field_entered)
            return choice
        field: ValueField
        if key in ("day", "lap_s", "gears") or what.kind in ("text", "chain"):
            field = ValueField(partial(_read, key))
            field.setPlaceholderText("14/38 16/36 …" if key == "gears" else what.example)
            fixed_width(field, 220 if key in _WIDE else 120)
        else:
            field = NumberField(partial(check_book_value, key), unit=what.measure, whole=what.kind == "whole")
        field.setObjectName(key)
        field.entered.connect(self._field_entered)
        return field

    def _put_notes(self, grid: QGridLayout, line: int, what: Entry) -> None:
        self.notes = QPlainTextEdit()
        self.notes.setTabChangesFocus(True)
        fixed_height(self.notes, 72)
        self.notes.textChanged.connect(self._notes_typed)
        grid.addWidget(labelled(what.label, self.notes), line, 0, 1, 3)
        grid.addWidget(self.notes, line + 1, 0, 1, 3)

    def show_entry(self, entry: BookEntry, *, another: bool) -> None:
        """Show an entry; `another`: it is not the one that was shown before, so what was refused goes."""
        self._entry = entry
        for key, field in self.fields.items():
            value = getattr(entry, key)
            if another and isinstance(field, ValueField):
                field.forget()
            if isinstance(field, ChoiceField):
                field.show_choice(value)
            elif isinstance(field, NumberField):
                field.show_number(value)
            else:
                field.show_value(_text(key, value), value or None)
        if self.notes.toPlainText() != entry.notes:
            self.notes.blockSignals(True)
            self.notes.setPlainText(entry.notes)
            self.notes.blockSignals(False)

    def _field_entered(self, value: object) -> None:
        self._entered(self.sender().objectName(), value)

    def _notes_typed(self) -> None:
        text = self.notes.toPlainText()
        if check_book_value("notes", text) is None:
            self._entered("notes", text)

    def _entered(self, key: str, value: object) -> None:
        changes: dict[str, Any] = {key: getattr(BookEntry(), key) if value is None else value}
        changed = replace(self._entry, **changes)
        if changed != self._entry:
            self._entry = changed
            self.entered.emit(changed)


def _read(key: str, text: str) -> object:
    """The value that a text means; ValueError says what would be right."""
    given = text.strip()
    read: dict[str, Callable[[str], object]] = {"day": read_day, "lap_s": parse_lap_time, "gears": _gears}
    value = read[key](given) if key in read else given
    if fault := check_book_value(key, value):
        raise ValueError(fault)
    return value


def _gears(text: str) -> object:
    return read_options(text.replace(" ", ";"))


def _text(key: str, value: Any) -> str:
    if value is None or value == "":
        return ""
    if key == "gears":
        return " ".join(gear(ratio) for ratio in value)
    return str(lap_time(value)).removesuffix(" s") if key == "lap_s" else str(value)
