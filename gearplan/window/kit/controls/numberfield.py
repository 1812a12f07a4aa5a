"""Fields for numbers: typed and shown in the units that the window shows, kept in the unit of the profile."""

from __future__ import annotations

import html
from collections.abc import Callable
from dataclasses import replace

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent, QWheelEvent
from PySide6.QtWidgets import QWidget

from gearplan.bike.text.numbertext import odometer_text, shown_number
from gearplan.bike.text.typed import read_typed
from gearplan.bike.text.units import unit_told
from gearplan.bike.text.unitset import CHOICES, METRIC, UnitSet
from gearplan.language import tr
from gearplan.window.kit import shownunits
from gearplan.window.kit.controls.fields import ValueField
from gearplan.window.kit.places.layout import fixed_width, make_room
from gearplan.window.kit.plaintext import PlainLabel

#: So many figures of a number are shown at once.
LONGEST = 20
#: Frame, padding and cursor beside the text of a line.
_AROUND = 20


class UnitLabel(PlainLabel):
    """The unit beside a field, as it is shown now."""

    def __init__(self, own: str, parent: QWidget | None = None) -> None:
        super().__init__(unit_told(shownunits.current().name(own)), parent)
        self._own = own
        shownunits.shown().changed.connect(self._follow)

    def _follow(self) -> None:
        self.setText(unit_told(shownunits.current().name(self._own)))


class NumberField(ValueField):
    """A field for one number, decimal point or comma, in any locale; `check` gives a refusal in words.

    The value is in `unit` (see `units.measured_in`) and shown in the one that the window shows for it; another unit of
    the quantity may be typed behind the number, and what it comes to is said in `errors`. With a `step`, the Up and
    Down keys, and the wheel while the field has the focus, change the value by it. What is `as_said` keeps its own
    unit.
    """

    def __init__(
        self,
        check: Callable[[float], str | None],
        *,
        unit: str = "",
        whole: bool = False,
        step: int = 0,
        patient: bool = False,
        as_said: bool = False,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(self._number, parent, patient=patient)
        self._check = check
        self._unit, self._as_said = unit, as_said
        self._how: tuple[str, ...] = ()
        self._whole = whole
        self._step = step
        self.setAlignment(Qt.AlignmentFlag.AlignRight)
        self.textChanged.connect(self._make_room)
        fixed_width(self, 84)
        self.set_unit(unit)
        shownunits.shown().changed.connect(self._units_changed)

    def set_unit(self, unit: str) -> None:
        """Take numbers in another unit of the same quantity from now on; who says so shows the number anew."""
        if unit != self._unit:
            self._unit, self._shown = unit, None
        if not (self.problem or self._outer or self._note):
            self.setAccessibleDescription(self._unit_words())

    def tell_how(self, sentences: tuple[str, ...]) -> None:
        """How the number is measured: the first sentence under the pointer, all of them for a screen reader."""
        self._how = sentences
        self.setToolTip(f"<qt>{html.escape(sentences[0])}</qt>" if sentences else "")
        self.set_unit(self._unit)

    def least_width(self) -> int:
        """No digit of a number of sensible length is cut off, nor what stands there instead of one."""
        shown = self.text() or self.placeholderText()
        return self.fontMetrics().horizontalAdvance(shown[:LONGEST]) + _AROUND

    def setPlaceholderText(self, text: str) -> None:
        """What stands there while the field is empty, whole."""
        super().setPlaceholderText(text)
        self._make_room()

    def _make_room(self) -> None:
        make_room(self)

    def show_number(self, value: float | None) -> None:
        """Show a number, or an empty field for None; no length finer than is measured on a motorcycle."""
        self.show_value(self._text_of(value), value)

    def _text_of(self, value: float | None) -> str:
        return "" if value is None else self._units.text(value, self._unit)

    @property
    def _units(self) -> UnitSet:
        if not self._as_said:
            return shownunits.current()
        return replace(METRIC, speed=self._unit) if self._unit in CHOICES["speed"] else METRIC

    def _units_changed(self) -> None:
        """What can be read is shown in the other unit; what cannot stays as it was typed."""
        value = self._shown
        if not self.problem and isinstance(value, (int, float)):
            self._kept = (self._text_of(value), value)
            self._replace(self._kept[0])
        self.set_unit(self._unit)

    def _number(self, text: str) -> float:
        units, given = self._units, text.strip()
        bare = given[-1:].isdigit() and units.name(self._unit) != self._unit
        # A number alone is meant in the unit that stands beside the field.
        meant = f"{given} {units.name(self._unit)}" if bare else given
        read = read_typed(meant, self._unit, whole=self._whole, check=self._check)
        self._note = f"= {read.told}" if read.told and not bare else ""
        return read.value

    def _unit_words(self) -> str:
        unit = tr("in {unit}", unit=unit_told(self._units.name(self._unit))) if self._unit not in ("", "share") else ""
        return ". ".join(filter(None, (unit, " ".join(self._how))))

    def _stepped(self, by: int) -> None:
        if self._shown is None or self.problem:
            return
        assert isinstance(self._shown, (int, float))
        units = self._units
        digits = len(self._text_of(self._shown).partition(".")[2])
        text = shown_number(round(units.number(self._shown, self._unit) + by * self._step, digits))
        try:
            self._number(text)
        except ValueError:
            return
        self.setText(text)
        self._typed(text)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Up and Down step the value."""
        if self._step and event.key() in (Qt.Key.Key_Up, Qt.Key.Key_Down) and not event.modifiers():
            self._stepped(1 if event.key() == Qt.Key.Key_Up else -1)
            return
        super().keyPressEvent(event)

    def wheelEvent(self, event: QWheelEvent) -> None:
        """The wheel steps the value only while the field has the focus; otherwise the page scrolls."""
        if not (self._step and self.hasFocus()) or not event.angleDelta().y():
            event.ignore()
            return
        self._stepped(1 if event.angleDelta().y() > 0 else -1)
        event.accept()


class OdometerField(NumberField):
    """A field for an odometer's distance, in kilometres unless mi is written behind it; emits kilometres."""

    def __init__(self, check: Callable[[float], str | None], parent: QWidget | None = None) -> None:
        super().__init__(check, unit="km", parent=parent)
        self.setToolTip(tr("Kilometres; for miles write mi behind the number, such as 11588 mi"))

    def show_number(self, value: float | None) -> None:
        """Show whole kilometres, or miles where it was read in miles; the value itself stays as it was entered."""
        self.show_value("" if value is None else odometer_text(value), value)
