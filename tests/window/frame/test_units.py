"""Each quantity in the unit chosen for it: from the settings to fields, tables and the circuit's sections."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QLabel, QPushButton
from pytestqt.qtbot import QtBot

from gearplan.bike.checks import check_value
from gearplan.bike.files.circuitfile import demo_circuit
from gearplan.bike.text.units import MPH
from gearplan.bike.text.unitset import METRIC, SETS, UK, US
from gearplan.window.frame import settings
from gearplan.window.frame.settingsdialog import SettingsDialog
from gearplan.window.frame.workbench import Workbench
from gearplan.window.kit import theme
from gearplan.window.kit.controls.fields import ErrorLabel
from gearplan.window.kit.controls.numberfield import NumberField, UnitLabel
from gearplan.window.kit.view import View
from tests.window.clipping import cut


def test_a_field_is_typed_and_shown_in_the_chosen_unit(qtbot: QtBot) -> None:
    view = View(METRIC)
    field, unit = NumberField(lambda value: check_value("chassis", "axle_now_mm", value), unit="mm"), UnitLabel("mm")
    field.errors = errors = ErrorLabel()
    for widget in (field, unit, errors):
        qtbot.addWidget(widget)
    told: list[object] = []
    field.entered.connect(told.append)
    field.show_number(640.0)
    view.set_units(US)
    assert (field.text(), unit.text(), field.value) == ("25.2", "in", 640.0)
    assert told == []
    field.selectAll()
    qtbot.keyClicks(field, "25.5")
    assert told[-1] == 647.7
    assert errors.text() == ""
    field.selectAll()
    qtbot.keyClicks(field, "640 mm")
    assert told[-1] == 640.0
    view.set_units(METRIC)
    assert (field.text(), unit.text()) == ("640", "mm")
    field.setText("")
    qtbot.keyClicks(field, "64x")
    view.set_units(US)
    assert field.text() == "64x"


def test_settings_take_effect_at_once_and_are_kept(window: Workbench, qtbot: QtBot) -> None:
    dialog = SettingsDialog(window)
    dialog.show()
    for page in ("Speed", "Customer", "Pull"):
        window.show_page(page)
    fields = (window.speed_page.cursor_field, window.customer_page.cruise, window.pull_page.wind)
    window.show_page("Chain")
    before = window.document.bike
    metric = [row[0] for row in window.chain_page.table._model.cells]
    dialog.sets.setCurrentText("US")
    dialog.sets.activated.emit(dialog.sets.currentIndex())
    assert window.view.units == US
    shown = [row[0] for row in window.chain_page.table._model.cells]
    assert "Pivot to axle, mm" in metric
    assert "Pivot to axle, in" in shown
    assert not [title for title in shown if title.endswith((", mm", ", kg"))]
    assert window.document.bike is before
    # Speeds that are shown have the window's own unit, once.
    for page, field in zip(("Speed", "Customer", "Pull"), fields, strict=True):
        window.show_page(page)
        si = {"Speed": window.view.cursor, "Customer": window.customer_page.asked.cruise.si, "Pull": 0.0}[page]
        assert round(float(field.text()) * MPH, 1) == round(si, 1), page
    dialog.units["torque"].setCurrentText("N·m")
    dialog.units["torque"].activated.emit(0)
    assert window.view.units.torque == "N·m"
    assert dialog.sets.currentText() == "Each by itself"
    dialog.look.setCurrentIndex(dialog.look.findData("dark"))
    dialog.look.activated.emit(0)
    assert theme.current() is theme.DARK
    assert [action.data() for action in window._looks if action.isChecked()] == ["dark"]
    dialog.currency.setText("")
    qtbot.keyClicks(dialog.currency, "EUR")
    assert window.view.currency == "EUR"
    window._view_keeper.keep()
    kept = settings.load()
    assert (kept.units, kept.appearance, kept.currency) == (window.view.units, "dark", "EUR")


def test_sections_are_edited_in_feet(window: Workbench) -> None:
    window.document.edit_circuit("Circuit", demo_circuit().circuit)
    window.show_page("Circuit")
    window.view.set_units(UK)
    window.circuit_page.spread.show_page("Sections")
    form = window.circuit_page.sections
    first = window.document.circuit
    assert first is not None
    model = form.model
    heads = [str(model.headerData(column, Qt.Orientation.Horizontal)) for column in range(model.columnCount())]
    assert any("ft" in head for head in heads), heads
    form._entered(0, "length_m", "1000")
    changed = window.document.circuit
    assert changed is not None
    # 1000 ft of 0.3048 m, by the agreement of 1959.
    assert changed.sections[0].length_m == 304.8


def test_no_letter_is_taken_twice(window: Workbench) -> None:
    dialog = SettingsDialog(window)
    words = [label.text() for label in dialog.findChildren(QLabel)] + [
        button.text() for button in dialog.findChildren(QPushButton)
    ]
    letters = [word[word.index("&") + 1].lower() for word in words if "&" in word]
    assert len(letters) == len(set(letters)) >= 13
    assert [name for name in SETS if dialog.sets.findText(name) < 0] == []


def test_the_language_is_chosen_for_the_next_start(window: Workbench, qtbot: QtBot) -> None:
    dialog = SettingsDialog(window)
    dialog.show()
    assert dialog.language.currentData() == ""
    assert not dialog.next_start.isVisible()
    dialog.language.setFocus()
    qtbot.keyClicks(dialog.language, "Deutsch")
    assert settings.load().language == "de"
    assert dialog.next_start.isVisible()
    assert SettingsDialog(window).language.currentText() == "Deutsch"


def test_the_settings_have_room_on_a_low_screen_in_large_text(window: Workbench, qapp: QApplication) -> None:
    for scale in (1.0, 2.0, 2.5):
        window.take_text_size(scale)
        dialog = SettingsDialog(window)
        dialog.show()
        for _ in range(20):
            qapp.processEvents()
        assert dialog.height() <= dialog.screen().availableGeometry().height()
        assert cut(dialog) == []
        inside = dialog.place.widget()
        assert inside is not None
        assert inside.height() <= dialog.place.viewport().height() or dialog.place.verticalScrollBar().maximum() > 0
        dialog.close()
