"""Rides kept of the bike on the Ride log page, with real keys and clicks."""

from __future__ import annotations

import os
from datetime import datetime
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from gearplan.ridelog.demolog import Logger, csv_text
from gearplan.window.frame.workbench import Workbench
from gearplan.window.ridelog.page import RideLogPage
from tests.ridelog.rides import BRINDLE, ride, truly


@pytest.fixture
def page(window: Workbench, qapp: QApplication) -> RideLogPage:
    window.show_page("Ride log")
    qapp.processEvents()
    return window.ride_log_page


def opened(page: RideLogPage, qtbot: QtBot, path: Path, day: str, seed: int, rolls: float) -> None:
    """Open a ride that was written on a day, on a tyre that rolls so much more, and show the history."""
    path.write_text(csv_text(ride(truly(BRINDLE, 0, 0, rolls), seed, 4.0, Logger(gps=True))), encoding="utf-8")
    when = datetime.fromisoformat(f"{day}T12:00").timestamp()
    os.utime(path, (when, when))
    page.open_file(path)
    qtbot.waitUntil(lambda: not page.background.busy)
    page.tabs.setCurrentIndex(3)
    QApplication.processEvents()


def typed(qtbot: QtBot, page: RideLogPage, odometer: str) -> None:
    page.history.odometer.setFocus()
    qtbot.keyClicks(page.history.odometer, odometer)
    qtbot.mouseClick(page.history.keep, Qt.MouseButton.LeftButton)


def test_rides_are_kept_one_by_one_and_a_change_between_them_is_told(
    window: Workbench, page: RideLogPage, qtbot: QtBot, tmp_path: Path
) -> None:
    before = window.document.bike
    opened(page, qtbot, tmp_path / "one.csv", "2026-05-01", 3, 0.0)
    assert page.history.day.text() == "2026-05-01"
    assert not page.history.table.isVisible()
    typed(qtbot, page, "12400")
    first = window.document.bike
    assert [(one.date, one.odometer_km) for one in first.rides] == [("2026-05-01", 12400.0)]
    # It is told by the same profile as before: nothing is read again.
    assert not page.background.busy
    assert page.history.table.model().rowCount() == 1
    assert "No change" in page.history.changes.text()
    # The same file again.
    qtbot.mouseClick(page.history.keep, Qt.MouseButton.LeftButton)
    assert page.history.errors.text() == "This ride is in the history already, on 2026-05-01."
    assert window.document.bike == first
    opened(page, qtbot, tmp_path / "two.csv", "2026-08-01", 4, -0.016)
    assert page.tells.finding.head.text().startswith("▲ Against 2026-05-01 (12400 km) it is geared 1.6 % shorter")
    typed(qtbot, page, "11000")
    assert "cannot be at 11000 km on 2026-08-01" in page.history.errors.text()
    assert page.history.odometer.text() == "11000"
    assert window.document.bike == first
    page.history.odometer.clear()
    typed(qtbot, page, "17000")
    assert page.history.errors.text() == ""
    assert len(window.document.bike.rides) == 2
    assert page.history.changes.text().startswith("Against 2026-05-01 (12400 km)")
    assert page.history.chart.isVisible()
    # Each was one step.
    window.document.undo()
    assert window.document.bike == first
    window.document.redo()
    cell = page.history.table.visualRect(page.history.table.model().index(0, 1)).center()
    qtbot.mouseClick(page.history.table.viewport(), Qt.MouseButton.LeftButton, pos=cell)
    qtbot.mouseClick(page.history.remove, Qt.MouseButton.LeftButton)
    assert [one.date for one in window.document.bike.rides] == ["2026-08-01"]
    for _ in range(3):
        window.document.undo()
    assert window.document.bike == before
    assert not page.history.table.isVisible()


def test_an_unreadable_day_is_said_and_nothing_is_kept(
    window: Workbench, page: RideLogPage, qtbot: QtBot, tmp_path: Path
) -> None:
    before = window.document.bike
    opened(page, qtbot, tmp_path / "one.csv", "2026-05-01", 3, 0.0)
    page.history.day.selectAll()
    qtbot.keyClicks(page.history.day, "1.5.26")
    qtbot.mouseClick(page.history.keep, Qt.MouseButton.LeftButton)
    assert "“1.5.26” is no date; write it like 2026-05-31" in page.history.errors.text()
    assert page.history.day.text() == "1.5.26"
    assert window.document.bike == before


def test_the_invented_ride_is_not_kept_and_the_history_shows_without_a_ride(
    window: Workbench, page: RideLogPage, qtbot: QtBot, tmp_path: Path
) -> None:
    assert not page.tabs.isVisible()
    qtbot.mouseClick(page.head.demo, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: not page.background.busy)
    page.tabs.setCurrentIndex(3)
    assert not page.history.keep.isEnabled()
    assert "invented" in page.history.words.text()
