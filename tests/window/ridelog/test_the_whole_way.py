"""A rider's whole way on the Ride log page with real clicks and keys: open, confirm, look, count, own lap, keep."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QApplication, QFileDialog, QPushButton
from pytestqt.qtbot import QtBot

from gearplan.bike.files.bikefile import bike_from_text, text_with
from gearplan.ridelog.demolog import csv_text
from gearplan.window.frame.workbench import Workbench
from gearplan.window.ridelog.page import RideLogPage
from tests.ridelog.rides import lapped


def pressed(qtbot: QtBot, button: QPushButton) -> None:
    """A click where the button really stands."""
    QApplication.processEvents()
    assert button.isVisible()
    assert button.isEnabled()
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton, pos=QPoint(button.width() // 2, button.height() // 2))


def settled(page: RideLogPage, qtbot: QtBot) -> None:
    qtbot.waitUntil(lambda: not page.background.busy)
    QApplication.processEvents()


def tab(page: RideLogPage, qtbot: QtBot, name: str) -> None:
    bar = page.tabs.tabBar()
    at = [bar.tabText(place) for place in range(bar.count())].index(name)
    qtbot.mouseClick(bar, Qt.MouseButton.LeftButton, pos=bar.tabRect(at).center())
    assert page.tabs.currentIndex() == at


def test_from_a_file_to_the_own_lap_and_the_history(
    window: Workbench, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "laps.csv"
    path.write_text(csv_text(lapped(2)[1]).replace("time_s,rpm", "t,n", 1), encoding="utf-8")
    window.show_page("Ride log")
    page = window.ride_log_page
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: (str(path), ""))
    pressed(qtbot, page.head.open)
    settled(page, qtbot)
    assert "confirm the columns" in page.head.name.text()
    pressed(qtbot, page.columns.read)
    settled(page, qtbot)
    assert not page.head.empty.isVisible()
    first = page.tells.finding.text
    assert "15/46" in first
    page.tells.count.field.setFocus()
    qtbot.keyClicks(page.tells.count.field, "15/46")
    qtbot.keyClick(page.tells.count.field, Qt.Key.Key_Return)
    settled(page, qtbot)
    assert page.tells.finding.text.startswith("✓ 15/46 as counted")
    tab(page, qtbot, "Own lap")
    pressed(qtbot, page.model.compute)
    settled(page, qtbot)
    assert page.model.table.model().rowCount() > 1
    tab(page, qtbot, "History")
    page.history.odometer.setFocus()
    qtbot.keyClicks(page.history.odometer, "20600")
    pressed(qtbot, page.history.keep)
    # What was computed for the lap holds on, and the ride is in the file as it would be saved.
    assert page.model.table.isVisibleTo(page.model)
    bike = window.document.bike
    assert [(ride.odometer_km, ride.front, ride.rear, ride.likelihood) for ride in bike.rides] == [(20600, 15, 46, 1)]
    assert bike_from_text(text_with(bike, ""), "").bike == bike
