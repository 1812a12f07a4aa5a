"""Fields filled from other readings: before and after are shown, one step undoes it, bad readings take nothing."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QCoreApplication, QEvent, Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from gearplan.window.frame.workbench import Workbench
from gearplan.window.kit import theme
from gearplan.window.kit.controls.fields import ErrorLabel
from gearplan.window.measuring.readingsdialog import ReadingsDialog
from tests.window.clipping import cut
from tests.window.test_clipping import settle, take_text_size


@pytest.fixture
def page(window: Workbench, qapp: QApplication) -> Workbench:
    window.show_page("Bike")
    window.resize(1280, 800)
    settle(qapp)
    window.activateWindow()
    return window


def opened(page: Workbench, qapp: QApplication, qtbot: QtBot, field: str) -> ReadingsDialog:
    page.bike_page.show_field(field)
    qapp.processEvents()
    qtbot.mouseClick(page.bike_page.measuring.ask_readings, Qt.MouseButton.LeftButton)
    shown = page.findChild(ReadingsDialog)
    assert isinstance(shown, ReadingsDialog)
    assert shown.isVisible()
    shown.activateWindow()
    qapp.processEvents()
    return shown


def closed(dialog: ReadingsDialog) -> None:
    dialog.reject()
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete.value)


def read(qtbot: QtBot, dialog: ReadingsDialog, **texts: str) -> None:
    for key, text in texts.items():
        field = dialog.forms[dialog.ways.currentIndex()].fields[key]
        field.setFocus()
        field.selectAll()
        qtbot.keyClicks(field, text)
        qtbot.keyClick(field, Qt.Key.Key_Return)


def test_the_button_stands_where_there_is_another_way(page: Workbench, qapp: QApplication) -> None:
    panel = page.bike_page.measuring
    for field, there in (("chassis.com_height_mm", True), ("chassis.wheelbase_mm", False), ("tyre.size", False)):
        page.bike_page.show_field(field)
        qapp.processEvents()
        assert panel.ask_readings.isVisible() is there, field


def test_a_roll_out_over_five_turns_becomes_the_circumference(
    page: Workbench, qapp: QApplication, qtbot: QtBot
) -> None:
    dialog = opened(page, qapp, qtbot, "tyre.rolling_circumference_mm")
    before = page.document.bike
    assert not dialog.take.isEnabled()
    read(qtbot, dialog, distance_mm="9.7 m", turns="5")
    assert [label.text() for label in dialog.lines[0]] == ["Rolling circumference", "1955 mm", "1940 ± 2 mm"]
    assert page.document.bike == before
    qtbot.mouseClick(dialog.take, Qt.MouseButton.LeftButton)
    assert page.document.bike.tyre.rolling_circumference_mm == 1940
    page.undo_action.trigger()
    assert page.document.bike == before


def test_a_raised_wheel_fills_two_fields_in_one_step(page: Workbench, qapp: QApplication, qtbot: QtBot) -> None:
    dialog = opened(page, qapp, qtbot, "chassis.com_height_mm")
    assert dialog.way.title == "Front wheel raised"
    read(qtbot, dialog, front_kg="132", rear_kg="136", raised_mm="300", low_kg="149", front_axle_mm="300")
    assert not dialog.take.isEnabled()
    read(qtbot, dialog, rear_axle_mm="311")
    assert dialog.sketch.shown == ("front raised", "rear_axle_mm")
    assert dialog.lines[1][1].text() == "690 mm"
    before = page.document.bike
    qtbot.mouseClick(dialog.take, Qt.MouseButton.LeftButton)
    chassis = page.document.bike.chassis
    assert chassis.com_ahead_of_rear_axle_mm == 697
    assert chassis.com_height_mm != before.chassis.com_height_mm
    page.undo_action.trigger()
    assert page.document.bike == before


def test_bad_readings_are_told_at_their_field_and_take_nothing(
    page: Workbench, qapp: QApplication, qtbot: QtBot
) -> None:
    dialog = opened(page, qapp, qtbot, "chassis.swingarm_angle_deg")
    fields = dialog.forms[0].fields
    assert fields["arm_mm"].text() == "583"
    read(qtbot, dialog, pivot_height_mm="990", axle_height_mm="311")
    errors = fields["axle_height_mm"].errors
    assert isinstance(errors, ErrorLabel)
    assert "more than pivot to axle" in errors.text()
    assert not dialog.take.isEnabled()
    read(qtbot, dialog, pivot_height_mm="high")
    errors = fields["pivot_height_mm"].errors
    assert isinstance(errors, ErrorLabel)
    assert errors.isVisible()
    assert not dialog.take.isEnabled()
    read(qtbot, dialog, pivot_height_mm="397")
    assert [label.text() for label in dialog.lines[0]][2] == "8.5 ± 0.3°"
    assert dialog.take.isEnabled()
    closed(dialog)


def test_of_the_pairs_that_match_one_is_chosen(page: Workbench, qapp: QApplication, qtbot: QtBot) -> None:
    dialog = opened(page, qapp, qtbot, "final_drive.rear")
    read(qtbot, dialog, gear="6", wheel_turns="10", crank_turns="53.5")
    pairs = [dialog.alternatives.itemText(row) for row in range(dialog.alternatives.count())]
    assert pairs[0] == "15/46"
    assert "14/43" in pairs
    assert dialog.told.text() == "Final ratio 3.067 ± 0.008."
    dialog.alternatives.setCurrentIndex(pairs.index("14/43"))
    qtbot.mouseClick(dialog.take, Qt.MouseButton.LeftButton)
    assert (page.document.bike.final_drive.front, page.document.bike.final_drive.rear) == (14, 43)


def test_readings_outlive_the_dialog_but_not_the_bike(page: Workbench, qapp: QApplication, qtbot: QtBot) -> None:
    dialog = opened(page, qapp, qtbot, "chassis.com_ahead_of_rear_axle_mm")
    read(qtbot, dialog, front_kg="131.5")
    closed(dialog)
    again = opened(page, qapp, qtbot, "chassis.com_height_mm")
    assert again.forms[0].fields["front_kg"].text() == "131.5"
    closed(again)
    page.files.open_demo("Brindle 650")
    settle(qapp)
    third = opened(page, qapp, qtbot, "chassis.com_height_mm")
    assert third.forms[0].fields["front_kg"].text() == ""
    closed(third)


@pytest.mark.parametrize("share", [1.0, 2.0])
def test_nothing_is_cut_off_in_the_dialog(page: Workbench, qapp: QApplication, qtbot: QtBot, share: float) -> None:
    take_text_size(page, share)
    for field in ("chassis.com_height_mm", "final_drive.front", "chassis.swingarm_travel_deg"):
        dialog = ReadingsDialog(page.document, field, {}, page)
        dialog.open()
        for way in range(dialog.ways.count()):
            dialog.ways.setCurrentIndex(way)
            for reading in dialog.way.readings:
                read(qtbot, dialog, **{reading.key: reading.entry.example.split(",")[0]})
            settle(qapp)
            assert cut(dialog) == []
        closed(dialog)
    take_text_size(page, 1.0)
    assert theme.scale() == 1.0
