"""A large field for one reading, with the unit as a button beside it: kept as it is typed, judged by plan."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QGridLayout, QLabel, QPushButton, QWidget

from gearplan.bike.text.numbertext import NumberTextError, parse_number
from gearplan.bike.values import check_text
from gearplan.language import tr
from gearplan.plan.job.steps.readings import UNITS, Blank
from gearplan.window.kit import theme
from gearplan.window.kit.controls.fields import ChoiceField, ValueField, labelled
from gearplan.window.kit.places.layout import least_width
from gearplan.window.kit.plaintext import PlainLabel

#: So high that a thumb in a glove hits it, in device-independent pixels.
_HIGH = 4 * theme.UNIT
#: So that with its unit it still is a line that the bike file keeps.
_LONGEST = 180


class BenchField(ValueField):
    """A line of text for a thumb."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(_any_line, parent)
        self.setMaxLength(_LONGEST)
        self.setProperty("bench", True)


class BenchChoice(ChoiceField):
    """One of a few words, for a thumb; `passed` says that Enter was pressed, to go on."""

    passed = Signal()

    def __init__(self, choices: tuple[str, ...], parent: QWidget | None = None) -> None:
        super().__init__(choices, parent)
        self.setMinimumHeight(theme.px(_HIGH))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter goes on; the space bar and the arrows choose."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.passed.emit()
            return
        super().keyPressEvent(event)


class ReadingField(QWidget):
    """One blank: label, field, unit. `entered` carries the blank's key and the text with its unit, "" for none."""

    entered = Signal(str, str)
    finished = Signal()
    passed = Signal()
    unit_chosen = Signal(str)

    def __init__(self, blank: Blank, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.blank = blank
        units = UNITS.get(blank.kind, ())
        self.unit_now = units[0] if units else ""
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setSpacing(theme.UNIT // 2)
        self.field: BenchField | BenchChoice
        if blank.kind == "choice":
            self.field = BenchChoice(blank.choices)
            self.field.entered.connect(self._chosen)
        else:
            self.field = BenchField()
            least_width(self.field, 220 if blank.kind == "word" else 92)
            self.field.entered.connect(self._typed)
            self.field.finished.connect(self.finished)
        self.field.passed.connect(self.passed)
        label = labelled(blank.label + (tr(" (may stay empty)") if blank.optional else ""), self.field)
        label.setProperty("role", "small")
        label.setWordWrap(True)
        grid.addWidget(label, 0, 0, 1, 2)
        grid.addWidget(self.field, 1, 0)
        self.unit = QPushButton(self.unit_now)
        self.unit.setProperty("bench", "unit")
        if not units:
            self.unit.hide()
        self.unit.setAccessibleName(tr("Unit of {label}", label=blank.label))
        self.unit.clicked.connect(self._other_unit)
        grid.addWidget(self.unit, 1, 1)
        grid.setColumnStretch(0, 1)

    @property
    def is_empty(self) -> bool:
        """Whether nothing stands in it."""
        return not (self.field.text() if isinstance(self.field, BenchField) else self.field.currentData())

    def show_reading(self, stored: str) -> None:
        """Show a text as the job keeps it."""
        if isinstance(self.field, ChoiceField):
            self.field.show_choice(stored if stored in self.blank.choices else None)
            return
        # What stands there already in the user's own words, unit and all, is left alone; the button stays as it is,
        # so that the next number typed is not taken in a unit that was written once.
        if self._stored(self.field.text()) != stored:
            number, unit = self._apart(stored)
            if unit:
                self._show_unit(unit)
            self.field.show_value(number, number or None)

    def prefer_unit(self, unit: str) -> None:
        """An empty field takes the unit that was last chosen beside it; without one ("") the first of its kind."""
        units = UNITS.get(self.blank.kind, ())
        if isinstance(self.field, BenchField) and not self.field.text() and units:
            self._show_unit(unit if unit in units else units[0])

    def show_problem(self, text: str) -> None:
        """Mark the field as wrong or asked about, which is said below all fields; empty for neither."""
        if isinstance(self.field, BenchField):
            self.field.set_outer_problem(text)

    def forget(self) -> None:
        """Another job: nothing of the last one stays."""
        if isinstance(self.field, BenchField):
            self.field.show_value("", None)
            self.field.clear()

    def focus(self) -> None:
        """Put the focus into the field."""
        self.field.setFocus(Qt.FocusReason.OtherFocusReason)

    def _typed(self, _value: object) -> None:
        assert isinstance(self.field, BenchField)
        # What is no line that the bike file keeps is no reading.
        self.entered.emit(self.blank.key, "" if self.field.problem else self._stored(self.field.text()))

    def _chosen(self, word: object) -> None:
        self.entered.emit(self.blank.key, str(word or ""))
        self.finished.emit()

    def _other_unit(self) -> None:
        assert isinstance(self.field, BenchField)
        units = UNITS[self.blank.kind]
        number, written = self._apart(self._stored(self.field.text()))
        self._show_unit(units[1 - units.index(written or self.unit_now)])
        self.unit_chosen.emit(self.unit_now)
        if number:
            self.field.setText(number)
            self.entered.emit(self.blank.key, self._stored(number))
            self.finished.emit()

    def _show_unit(self, unit: str) -> None:
        self.unit_now = unit
        self.unit.setText(unit)

    def _stored(self, text: str) -> str:
        """The text with its unit: a bare number gets the one that is shown."""
        given = text.strip()
        if not given or not self.unit_now:
            return given
        try:
            parse_number(given)
        except NumberTextError:
            return given
        return f"{given} {self.unit_now}"

    def _apart(self, stored: str) -> tuple[str, str]:
        for unit in UNITS.get(self.blank.kind, ()):
            if stored.endswith(f" {unit}"):
                return stored.removesuffix(f" {unit}"), unit
        return stored, ""


class BenchButton(QPushButton):
    """A button for a thumb."""

    def __init__(self, text: str, parent: QWidget | None = None) -> None:
        super().__init__(text, parent)
        self.setProperty("bench", True)


def quiet(text: str = "") -> QLabel:
    """A wrapped line of small words."""
    label = PlainLabel(text)
    label.setProperty("role", "small")
    label.setWordWrap(True)
    return label


def _any_line(text: str) -> str:
    if fault := check_text(text):
        raise ValueError(fault)
    return text
