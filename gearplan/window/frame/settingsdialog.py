"""All settings in one place; each takes effect as soon as it is chosen."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QFormLayout,
    QHBoxLayout,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from gearplan.bike.text.unitset import CHOICES, SETS
from gearplan.language import LANGUAGES, tr
from gearplan.plan.quote.terms import LABELS
from gearplan.window.frame.menus import menuwords
from gearplan.window.frame.shopdialog import TermField
from gearplan.window.kit import theme
from gearplan.window.kit.controls.fields import ErrorLabel, labelled
from gearplan.window.kit.places.layout import Scrolled, fixed_width
from gearplan.window.kit.plaintext import PlainLabel

if TYPE_CHECKING:
    from gearplan.window.frame.menus.menubar import MenuWindow

#: What is shown where the units are those of no set.
_OWN = tr("Each by itself")
#: No letter between two that are set closer: underlined, the word would be wider than Qt counts it.
_LABELS = {
    "speed": tr("&Road speed"),
    "length": tr("&Lengths on the motorcycle"),
    "distance": tr("Sections of a c&ircuit, altitude"),
    "torque": tr("Tor&que"),
    "power": tr("&Power"),
    "temperature": tr("Te&mperature"),
    "pressure": tr("&Air pressure"),
    "mass": tr("Ma&ss"),
}
_LOOKS = {"system": tr("as the system"), "light": "light", "dark": "dark", "contrast": tr("high contrast")}


#: What stands above and below the choices, with the frame of the window, at the usual size of text.
_BELOW = 190


class SettingsDialog(QDialog):
    """Units, language, appearance, size of text and currency of one window."""

    def __init__(self, window: MenuWindow) -> None:
        super().__init__(window)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setWindowTitle(tr("Settings"))
        self._window = window
        column = QVBoxLayout(self)
        column.setContentsMargins(*[3 * theme.UNIT] * 4)
        column.setSpacing(2 * theme.UNIT)
        inside = QWidget()
        sides = QHBoxLayout(inside)
        sides.setContentsMargins(0, 0, theme.UNIT, 0)
        sides.setSpacing(4 * theme.UNIT)
        sides.addLayout(self._unit_choices())
        sides.addLayout(self._others())
        self.place = Scrolled(inside)
        # As high as all of it, or as the screen is in large text.
        room = self.screen().availableGeometry().height() - theme.px(_BELOW)
        self.place.setMinimumHeight(min(inside.sizeHint().height(), room))
        column.addWidget(self.place, 1)
        note = PlainLabel(tr("Each choice counts at once. Any unit may be typed.\nFiles stay the same in all units."))
        note.setProperty("role", "small")
        column.addWidget(note)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        buttons.rejected.connect(self.reject)
        column.addWidget(buttons)
        self.show_units()

    def _unit_choices(self) -> QFormLayout:
        form = _form()
        self.sets = QComboBox()
        self.units: dict[str, QComboBox] = {}
        for name, units in SETS.items():
            self.sets.addItem(name, units)
        self.sets.addItem(_OWN)
        self.sets.activated.connect(self._set_chosen)
        _add(form, tr("&Units"), self.sets)
        for name, choices in CHOICES.items():
            box = QComboBox()
            box.addItems(choices)
            box.setObjectName(name)
            box.activated.connect(self._unit_chosen)
            self.units[name] = box
            _add(form, _LABELS[name], box)
        return form

    def _others(self) -> QFormLayout:
        form, now = _form(), self._window.remembered.now
        self.language = QComboBox()
        self.language.addItem(tr("as the system"), "")
        for code, name in LANGUAGES.items():
            self.language.addItem(name, code)
        self.language.setCurrentIndex(self.language.findData(now.language))
        self.language.activated.connect(self._language_chosen)
        self.next_start = PlainLabel(tr("From the next start on."))
        self.next_start.setProperty("role", "small")
        self.next_start.hide()
        self.look, self.text_size = QComboBox(), QComboBox()
        for word, told in _LOOKS.items():
            self.look.addItem(told, word)
        self.look.setCurrentIndex(self.look.findData(now.appearance))
        self.look.activated.connect(self._look_chosen)
        for share, words in zip(theme.SCALES, menuwords.SIZES, strict=True):
            self.text_size.addItem(words, share)
        self.text_size.setCurrentIndex(self.text_size.findData(now.text_size))
        self.text_size.activated.connect(self._size_chosen)
        self.currency = TermField("currency")
        fixed_width(self.currency, 84)
        self.currency.setText(now.currency)
        self.currency.errors = errors = ErrorLabel()
        self.currency.stands_for("shop.currency", LABELS["currency"])
        self.currency.entered.connect(self._currency_entered)
        shop = QPushButton(tr("S&hop and paper…"))
        shop.setAutoDefault(False)
        shop.clicked.connect(self._ask_shop)
        _add(form, tr("Lan&guage"), self.language)
        form.addRow("", self.next_start)
        _add(form, tr("Appeara&nce"), self.look)
        _add(form, tr("Te&xt size"), self.text_size)
        _add(form, tr("Currenc&y"), self.currency)
        form.addRow("", errors)
        form.addRow("", shop)
        return form

    def show_units(self) -> None:
        """Show the units that the window has now."""
        now = self._window.view.units
        for name, box in self.units.items():
            box.setCurrentText(getattr(now, name))
        known = [name for name, units in SETS.items() if units == now]
        self.sets.setCurrentText(known[0] if known else _OWN)

    def _set_chosen(self) -> None:
        if (units := self.sets.currentData()) is not None:
            self._window.view.set_units(units)
        self.show_units()

    def _unit_chosen(self) -> None:
        box = self.sender()
        assert isinstance(box, QComboBox)
        self._window.view.set_units(replace(self._window.view.units, **{box.objectName(): box.currentText()}))
        self.show_units()

    def _language_chosen(self) -> None:
        self._window.remembered.keep(partial(replace, language=self.language.currentData()))
        # A text is told once, so that none stands on the screen in two languages.
        self.next_start.show()

    def _look_chosen(self) -> None:
        self._window.take_appearance(self.look.currentData())

    def _size_chosen(self) -> None:
        self._window.take_text_size(self.text_size.currentData())

    def _currency_entered(self, value: object) -> None:
        self._window.remembered.keep(partial(replace, currency=str(value or "")))
        self._window.counter.show_shop()

    def _ask_shop(self) -> None:
        self._window.counter.ask_shop()
        self.currency.setText(self._window.remembered.now.currency)
        self.show_units()


def _form() -> QFormLayout:
    form = QFormLayout()
    form.setVerticalSpacing(theme.UNIT)
    return form


def _add(form: QFormLayout, text: str, field: QWidget) -> None:
    form.addRow(labelled(text, field), field)
