"""The next measurements on the Bike page and beside the verdict lead to their fields."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from gearplan.bike.demo import demo_bike
from gearplan.bike.profile import Chassis, Wear
from gearplan.window.document.entryrows import NumberRow
from gearplan.window.frame.workbench import Workbench


def open_question(window: Workbench) -> None:
    """A bike of which only the adjuster was read: the front end is near, the chain's wear not known."""
    bike = replace(demo_bike().bike, chassis=Chassis(adjuster_left_mm=(5.0, 14.0)), wear=Wear())
    window.document.edit("Measured", bike)


def focused(window: Workbench, path: str) -> bool:
    section, key = path.split(".")
    row = window.bike_page.rows[section, key]
    assert isinstance(row, NumberRow)
    return row.field.hasFocus()


def test_the_button_beside_the_verdict_goes_to_what_decides(window: Workbench, qtbot: QtBot) -> None:
    open_question(window)
    window.show_page("Chain")
    assert "Measure the old chain: decides whether 112 links fit." in window.bar.next.toolTip()
    qtbot.mouseClick(window.bar.next, Qt.MouseButton.LeftButton)
    assert window.rail.currentItem().text() == "Bike"
    qtbot.waitUntil(lambda: focused(window, "final_drive.elongation_percent"))
    qtbot.keyClicks(QApplication.focusWidget(), "0,5")
    assert window.document.bike.final_drive.elongation_percent == 0.5
    assert "Measure the old chain" not in window.bar.next.toolTip()


def test_the_bike_page_names_them_in_order_by_mouse_and_keyboard(window: Workbench, qtbot: QtBot) -> None:
    open_question(window)
    window.show_page("Bike")
    label = window.bike_page.next
    assert label.text().index("Measure the old chain") < label.text().index("2. ")
    assert "Measure the old chain: decides whether 112 links fit." in label.accessibleName()
    label.setFocus()
    qtbot.keyClick(label, Qt.Key.Key_Tab)
    qtbot.keyClick(label, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: focused(window, "final_drive.elongation_percent"))


def test_a_wholly_measured_bike_asks_for_nothing(window: Workbench) -> None:
    window.show_page("Bike")
    assert not window.bike_page.next.isVisible()
    assert not window.bar.next.isEnabled()
