"""Rows of the form: label, field or fields, unit, and the error beneath. One class for each kind of entry."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import QObject, Qt, Signal
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QLabel, QWidget

from gearplan.bike import checks, library
from gearplan.bike.entries import Entry
from gearplan.bike.measuring import measuring
from gearplan.bike.profile import Bike, entry
from gearplan.language import tr
from gearplan.setup.assumed import placeholder
from gearplan.window.kit import shownunits, theme
from gearplan.window.kit.controls.fields import ChoiceField, ErrorLabel, ValueField, labelled
from gearplan.window.kit.controls.numberfield import NumberField, UnitLabel
from gearplan.window.kit.places.layout import fixed_width, least_width
from gearplan.window.kit.plaintext import PlainLabel, plain

#: A line of words shows so much of them at least.
_WORDS = 150
#: The width of the units' column at the usual size of text.
UNITS = 40


class EntryRow(QObject):
    """One entry of the profile as a row. `entered` carries section, key and the new value.

    `unread` carries place, label and text of what cannot be read (see `ValueField`).
    """

    entered = Signal(str, str, object)
    unread = Signal(str, str, str)
    finished = Signal()

    def __init__(self, section: str, key: str) -> None:
        super().__init__()
        self._section, self._key = section, key
        self._entry: Entry = entry(section, key)
        self.errors = ErrorLabel()

    @property
    def label(self) -> str:
        """The entry's name in words."""
        return self._entry.label

    def put_into(self, grid: QGridLayout, line: int) -> None:
        """Add the row's widgets to a form's grid, from this line on."""
        field = self._field()
        name = labelled(self.label, self._first())
        name.setWordWrap(True)
        unit = unit_label(self._entry.unit)
        grid.addWidget(name, line, 0)
        grid.addWidget(field, line, 1, Qt.AlignmentFlag.AlignRight)
        grid.addWidget(unit, line, 2)
        grid.addWidget(self.errors, line + 1, 0, 1, 3)

    def show_bike(self, bike: Bike) -> None:
        """Show what is taken for this bike while nothing is entered, if this row does."""

    def show_entry(self, value: object) -> None:
        """Show the profile's value."""
        raise NotImplementedError

    def show_problem(self, text: str) -> None:
        """Show what contradicts other fields; empty for nothing."""
        raise NotImplementedError

    def places(self) -> tuple[tuple[str, QWidget], ...]:
        """Its fields, each with its place: "section.key", a pair's halves as "section.key.0" and "section.key.1"."""
        return ((f"{self._section}.{self._key}", self._first()),)

    def focus(self) -> None:
        """Put the focus into the row."""
        self._first().setFocus(Qt.FocusReason.OtherFocusReason)

    def _field(self) -> QWidget:
        return self._first()

    def _first(self) -> QWidget:
        raise NotImplementedError

    def _tell(self, value: object) -> None:
        self.entered.emit(self._section, self._key, value)


class _LineRow(EntryRow):
    field: ValueField

    def _first(self) -> QWidget:
        return self.field

    def _wire(self, field: ValueField) -> None:
        field.errors = self.errors
        field.stands_for(f"{self._section}.{self._key}", self.label)
        field.entered.connect(self._tell)
        field.unread.connect(self.unread)
        field.finished.connect(self.finished)

    def show_problem(self, text: str) -> None:
        self.field.set_outer_problem(text)


class NumberRow(_LineRow):
    """One number; while it is empty the assumed value, if there is one, stands there quietly."""

    def __init__(self, section: str, key: str) -> None:
        super().__init__(section, key)
        whole = self._entry.kind == "whole"
        self.field: NumberField = NumberField(
            partial(_refused, section, key), unit=self._entry.measure, whole=whole, step=int(whole)
        )
        self.field.tell_how(_how(section, key))
        self._wire(self.field)
        self.show_bike(Bike())

    def show_bike(self, bike: Bike) -> None:
        """Show what is taken for this bike while nothing is entered."""
        taken = placeholder(bike, self._section, self._key, shownunits.current())
        if taken != self.field.placeholderText():
            self.field.setPlaceholderText(taken)
            fixed_width(self.field, 120 if taken else 84)

    def show_entry(self, value: object) -> None:
        """Show the number."""
        assert value is None or isinstance(value, (int, float))
        self.field.show_number(value)


class TyreRow(_LineRow):
    """The size as it stands on the sidewall."""

    def __init__(self, section: str, key: str) -> None:
        super().__init__(section, key)
        self.field = ValueField(partial(_checked_text, section, key))
        self.field.setPlaceholderText(self._entry.example.split(",")[0])
        fixed_width(self.field, 150)
        self.field.setToolTip(plain(tr("As on the sidewall, such as {example}", example=self._entry.example)))
        self._wire(self.field)

    def show_entry(self, value: object) -> None:
        """Show the size."""
        self.field.show_value(str(value or ""), value)


class TextRow(_LineRow):
    """A line of words."""

    def __init__(self, section: str, key: str) -> None:
        super().__init__(section, key)
        self.field = ValueField(partial(_checked_text, section, key))
        self.field.setPlaceholderText(self._entry.example)
        self.field.setMaxLength(200)
        least_width(self.field, _WORDS)
        self._wire(self.field)

    def show_entry(self, value: object) -> None:
        """Show the words."""
        self.field.show_value(str(value or ""), value)


class PairRow(EntryRow):
    """Two numbers that belong together; one may still be missing."""

    def __init__(self, section: str, key: str) -> None:
        super().__init__(section, key)
        self._pair: tuple[float | None, float | None] = (None, None)
        self.fields = [NumberField(partial(self._refusal, half), unit=self._entry.measure) for half in (0, 1)]
        for half, field in enumerate(self.fields):
            fixed_width(field, 64)
            field.tell_how(_how(section, key))
            field.errors = self.errors
            field.setObjectName(str(half))
            field.stands_for(f"{section}.{key}.{half}", f"{self.label}, {self._entry.parts[half]}")
            field.entered.connect(self._half_entered)
            field.unread.connect(self.unread)
            field.finished.connect(self.finished)

    def places(self) -> tuple[tuple[str, QWidget], ...]:
        """Both halves."""
        return tuple((f"{self._section}.{self._key}.{half}", field) for half, field in enumerate(self.fields))

    def _first(self) -> QWidget:
        return self.fields[0]

    def _field(self) -> QWidget:
        both = QWidget()
        row = QHBoxLayout(both)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(theme.UNIT // 2)
        for half, field in enumerate(self.fields):
            part = PlainLabel(self._entry.parts[half])
            part.setProperty("role", "small")
            row.addWidget(part)
            row.addWidget(field)
        return both

    def put_into(self, grid: QGridLayout, line: int) -> None:
        """A pair needs the room below its label."""
        field = self._field()
        unit = unit_label(self._entry.unit)
        grid.addWidget(labelled(self.label, self.fields[0]), line, 0, 1, 3)
        grid.addWidget(field, line + 1, 0, 1, 2, Qt.AlignmentFlag.AlignRight)
        grid.addWidget(unit, line + 1, 2)
        grid.addWidget(self.errors, line + 2, 0, 1, 3)
        for half, each in enumerate(self.fields):
            each.setAccessibleName(f"{self.label}, {self._entry.parts[half]}")

    def show_entry(self, value: object) -> None:
        """Show both halves."""
        assert value is None or isinstance(value, tuple)
        self._pair = value or (None, None)
        for half, field in enumerate(self.fields):
            field.show_number(self._pair[half])

    def show_problem(self, text: str) -> None:
        """Show it at the first half."""
        self.fields[0].set_outer_problem(text)

    def _refusal(self, half: int, value: float) -> str | None:
        pair = (value, None) if half == 0 else (None, value)
        return _refused(self._section, self._key, pair)

    def _half_entered(self, value: object) -> None:
        half = int(self.sender().objectName())
        assert value is None or isinstance(value, (int, float))
        pair = (value, self._pair[1]) if half == 0 else (self._pair[0], value)
        self._pair = pair
        self._tell(None if pair == (None, None) else pair)


class ChoiceRow(EntryRow):
    """One word out of a few."""

    def __init__(self, section: str, key: str) -> None:
        super().__init__(section, key)
        chain = self._entry.kind == "chain"
        self.field = ChoiceField(tuple(library.chain_sizes()) if chain else self._entry.choices)
        self.field.entered.connect(self._tell)
        self.field.entered.connect(self.finished)

    def _first(self) -> QWidget:
        return self.field

    def show_entry(self, value: object) -> None:
        """Show the word."""
        assert value is None or isinstance(value, str)
        self.field.show_choice(value)

    def show_problem(self, text: str) -> None:
        """Show it below the field."""
        self.errors.say(text)


def unit_label(unit: str) -> QLabel:
    """A unit in the one column of all forms, empty or not: so the fields of every card have one right edge."""
    label = UnitLabel(unit)
    label.setProperty("role", "quiet")
    least_width(label, UNITS)
    return label


def row_for(section: str, key: str) -> EntryRow:
    """The row that suits the entry's kind."""
    kinds: dict[str, type[EntryRow]] = {
        "number": NumberRow,
        "whole": NumberRow,
        "tyre": TyreRow,
        "text": TextRow,
        "pair": PairRow,
        "choice": ChoiceRow,
        "chain": ChoiceRow,
    }
    return kinds[entry(section, key).kind](section, key)


def _how(section: str, key: str) -> tuple[str, ...]:
    """The sentences on how a field is measured."""
    found = measuring(section, key)
    return () if found is None else found.sentences


def _refused(section: str, key: str, value: object) -> str | None:
    return checks.check_value(section, key, value, units=shownunits.current())


def _checked_text(section: str, key: str, text: str) -> str:
    given = text.strip()
    if refusal := checks.check_value(section, key, given):
        raise ValueError(refusal)
    return given
