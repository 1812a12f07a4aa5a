"""Fields: what is typed is taken or refused in words, in every locale; the wheel keeps off without the focus."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

import pytest
from PySide6.QtCore import QLocale, QPoint, QPointF, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QApplication, QVBoxLayout, QWidget
from pytestqt.qtbot import QtBot

from gearplan.bike import checks
from gearplan.window.kit.controls.fields import ErrorLabel
from gearplan.window.kit.controls.numberfield import NumberField

LOCALES = ("C", "en_US", "de_DE", "fr_FR", "de_CH", "hi_IN", "ar_EG", "pt_BR")

KEPT: list[QWidget] = []


@pytest.fixture(params=LOCALES)
def any_locale(request: pytest.FixtureRequest) -> Iterator[str]:
    before = QLocale()
    QLocale.setDefault(QLocale(request.param))
    yield request.param
    QLocale.setDefault(before)


def shown(qtbot: QtBot, field: NumberField) -> tuple[NumberField, ErrorLabel, QWidget]:
    place = QWidget()
    KEPT[:] = [place]
    column = QVBoxLayout(place)
    other, errors = NumberField(lambda _: None), ErrorLabel()
    field.errors = errors
    for widget in (field, errors, other):
        column.addWidget(widget)
    qtbot.addWidget(place)
    place.show()
    qtbot.waitExposed(place)
    place.activateWindow()
    field.setFocus()
    qtbot.waitUntil(field.hasFocus)
    return field, errors, other


def ratio_field() -> NumberField:
    return NumberField(partial(checks.check_value, "gearbox", "primary"))


@pytest.mark.parametrize(("text", "value"), [("1.5", 1.5), ("1,5", 1.5), ("2", 2.0), ("0,75", 0.75)])
def test_decimal_point_and_comma_in_every_locale(qtbot: QtBot, any_locale: str, text: str, value: float) -> None:
    field, _, _ = shown(qtbot, ratio_field())
    taken: list[object] = []
    field.entered.connect(taken.append)
    qtbot.keyClicks(field, text)
    assert taken[-1] == value


@pytest.mark.parametrize("text", ["1.234,5", "1 5", "1,5,0", "abc", "1e1"])
def test_the_rest_is_refused_in_every_locale(qtbot: QtBot, any_locale: str, text: str) -> None:
    field, errors, other = shown(qtbot, ratio_field())
    qtbot.keyClicks(field, text)
    other.setFocus()
    assert field.text() == text
    assert field.refused_text() == text
    assert errors.isVisible()
    assert len(errors.text().split()) > 3
    assert field.accessibleDescription() == errors.text()


def test_what_is_beyond_sense_stays_in_the_field_with_what_would_be_right(qtbot: QtBot) -> None:
    field, errors, _ = shown(qtbot, NumberField(partial(checks.check_value, "engine", "redline_rpm")))
    taken: list[object] = []
    field.entered.connect(taken.append)
    qtbot.keyClicks(field, "10.500")
    qtbot.keyClick(field, Qt.Key.Key_Return)
    assert taken == []
    assert "10.5 rpm can't be right; expected 1000–30000 rpm" in errors.text()
    assert "for 10500 leave out the thousands separator" in errors.text()
    qtbot.keyClicks(field, "0")
    field.show_number(9000)
    assert field.text() == "9000"
    assert not errors.isVisible()


def test_refused_text_survives_a_refresh_with_the_same_value(qtbot: QtBot) -> None:
    field, _, other = shown(qtbot, NumberField(partial(checks.check_value, "engine", "redline_rpm")))
    field.show_number(9000)
    field.selectAll()
    qtbot.keyClicks(field, "fast")
    other.setFocus()
    field.show_number(9000)
    assert field.text() == "fast"


@pytest.mark.parametrize("text", ["85 lbf-fx", "850", "8o", "85 km/h"])
def test_a_refused_text_leaves_no_value_in_force(qtbot: QtBot, text: str) -> None:
    field, errors, other = shown(qtbot, NumberField(partial(checks.check_value, "service", "axle_nm"), unit="N·m"))
    field.show_number(95)
    taken: list[object] = []
    told: list[tuple[str, str, str]] = []
    field.stands_for("service.axle_nm", "Rear axle")
    field.entered.connect(taken.append)
    field.unread.connect(lambda *what: told.append(what))
    field.selectAll()
    qtbot.keyClicks(field, text)
    assert (taken[-1], field.value) == (None, None)
    assert told[-1] == ("service.axle_nm", "Rear axle", text)
    other.setFocus()
    assert field.text() == text
    # The value of before comes back with the text of before alone, not with the beginning of what was typed.
    field.setFocus()
    qtbot.keyClick(field, Qt.Key.Key_Escape)
    assert (field.text(), field.value, taken[-1], told[-1][2]) == ("95", 95, 95, "")
    assert not errors.isVisible()


def test_another_unit_is_taken_and_told_quietly(qtbot: QtBot) -> None:
    field, errors, _ = shown(qtbot, NumberField(partial(checks.check_value, "service", "axle_nm"), unit="N·m"))
    assert field.accessibleDescription() == "in N·m"
    qtbot.keyClicks(field, "85 lbf-ft")
    qtbot.keyClick(field, Qt.Key.Key_Return)
    assert field.value == pytest.approx(115.245, abs=1e-3)
    assert (errors.text(), errors.property("role")) == ("= 115 N·m", "quiet")
    assert field.accessibleDescription() == "= 115 N·m"
    field.selectAll()
    qtbot.keyClicks(field, "85 kW")
    qtbot.keyClick(field, Qt.Key.Key_Return)
    assert (errors.text(), errors.property("role")) == (
        "“kW” is not a unit of torque; write N·m, lbf·ft, kgf·m, lbf·in, daN·m or kgf·cm",
        "error",
    )
    field.selectAll()
    qtbot.keyClicks(field, "85")
    qtbot.keyClick(field, Qt.Key.Key_Return)
    assert not errors.isVisible()


def test_a_length_that_was_converted_is_shown_no_finer_than_it_is_measured(qtbot: QtBot) -> None:
    field = NumberField(lambda _: None, unit="mm")
    qtbot.addWidget(field)
    qtbot.keyClicks(field, "22.83 in")
    value = field.value
    assert isinstance(value, float)
    other = NumberField(lambda _: None, unit="mm")
    qtbot.addWidget(other)
    other.show_number(value)
    assert (other.text(), other.value) == ("579.88", value)


def test_a_patient_field_waits_for_the_end_of_what_is_typed(qtbot: QtBot) -> None:
    check = partial(checks.check_value, "final_drive", "front")
    field, _, other = shown(qtbot, NumberField(check, unit="teeth", whole=True, patient=True))
    field.show_number(15)
    taken: list[object] = []
    field.entered.connect(taken.append)
    field.selectAll()
    qtbot.keyClicks(field, "14")
    assert taken == [14]
    field.selectAll()
    qtbot.keyClicks(field, "1")
    assert taken == [14]
    qtbot.keyClick(field, Qt.Key.Key_S, Qt.KeyboardModifier.ControlModifier)
    assert taken == [14, None]
    qtbot.keyClicks(field, "6")
    assert taken == [14, None, 16]
    field.selectAll()
    qtbot.keyClicks(field, "x")
    other.setFocus()
    assert taken == [14, None, 16, None]


def test_escape_takes_refused_text_back(qtbot: QtBot) -> None:
    field, errors, _ = shown(qtbot, ratio_field())
    field.show_number(1.5)
    field.selectAll()
    qtbot.keyClicks(field, "abc")
    qtbot.keyClick(field, Qt.Key.Key_Return)
    assert errors.isVisible()
    qtbot.keyClick(field, Qt.Key.Key_Escape)
    assert (field.text(), errors.isVisible()) == ("1.5", False)


def test_an_emptied_field_is_nothing_entered(qtbot: QtBot) -> None:
    field, _, _ = shown(qtbot, ratio_field())
    field.show_number(1.5)
    taken: list[object] = []
    field.entered.connect(taken.append)
    field.selectAll()
    qtbot.keyClick(field, Qt.Key.Key_Backspace)
    assert taken == [None]


def wheel(field: QWidget, notches: int) -> None:
    middle = QPointF(field.rect().center())
    event = QWheelEvent(
        middle, QPointF(field.mapToGlobal(middle.toPoint())), QPoint(), QPoint(0, 120 * notches),
        Qt.MouseButton.NoButton, Qt.KeyboardModifier.NoModifier, Qt.ScrollPhase.NoScrollPhase, False,
    )  # fmt: skip
    QApplication.sendEvent(field, event)


def test_wheel_and_keys_step_only_with_the_focus(qtbot: QtBot) -> None:
    field, _, other = shown(qtbot, NumberField(partial(checks.check_value, "final_drive", "front"), whole=True, step=1))
    field.show_number(15)
    wheel(field, 1)
    assert field.text() == "16"
    qtbot.keyClick(field, Qt.Key.Key_Down)
    assert field.text() == "15"
    other.setFocus()
    wheel(field, 1)
    assert field.text() == "15"


def test_steps_stop_at_what_makes_sense(qtbot: QtBot) -> None:
    field, _, _ = shown(qtbot, NumberField(partial(checks.check_value, "final_drive", "front"), whole=True, step=1))
    field.show_number(9)
    qtbot.keyClick(field, Qt.Key.Key_Down)
    assert field.text() == "9"


def test_what_was_said_of_a_text_goes_as_soon_as_the_text_does(qtbot: QtBot) -> None:
    field = NumberField(lambda _value: None, unit="N·m")
    field.errors = ErrorLabel()
    qtbot.addWidget(field)
    qtbot.addWidget(field.errors)
    qtbot.keyClicks(field, "10 kgf·")
    field._pause.timeout.emit()
    assert "is not a unit" in field.errors.text()
    qtbot.keyClicks(field, "m")
    assert field.errors.text() == "= 98 N·m"
    field.selectAll()
    qtbot.keyClick(field, Qt.Key.Key_Delete)
    assert field.errors.text() == ""


def test_what_a_field_said_goes_with_it(qtbot: QtBot) -> None:
    errors, stays = ErrorLabel(), QWidget()
    qtbot.addWidget(errors)
    for _ in range(3):
        gone = QWidget()
        errors.say("cannot be read", gone)
        assert errors.text() == "cannot be read"
        del gone
        errors.say("", stays)
        assert errors.text() == ""
