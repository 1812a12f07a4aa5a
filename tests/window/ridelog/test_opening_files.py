"""Files opened on the Ride log page: rows counted on the way, cancelled, columns assigned once for all alike."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from gearplan.ridelog.demolog import csv_text
from gearplan.window.frame.workbench import Workbench
from gearplan.window.ridelog.page import RideLogPage
from tests.ridelog.reading.test_nmea import sentences
from tests.ridelog.rides import BRINDLE, ride


@pytest.fixture
def page(window: Workbench, qapp: QApplication) -> RideLogPage:
    window.show_page("Ride log")
    qapp.processEvents()
    return window.ride_log_page


def settled(page: RideLogPage, qtbot: QtBot) -> None:
    qtbot.waitUntil(lambda: not page.background.busy)
    QApplication.processEvents()


def long_file(folder: Path) -> Path:
    path = folder / "long.csv"
    rows = "\n".join(f"{i / 10:.1f},{3000 + i % 1000},{50 + i % 17}" for i in range(80_000))
    path.write_text(f"time_s,rpm,speed_kmh\n{rows}", encoding="utf-8")
    return path


def test_a_long_file_shows_the_rows_that_are_read(page: RideLogPage, qtbot: QtBot, tmp_path: Path) -> None:
    shown: list[str] = []
    page.background.progressed.connect(lambda *_told: shown.append(page.head.progress.text()))
    page.open_file(long_file(tmp_path))
    settled(page, qtbot)
    told = [int(text.removesuffix(" rows read").replace("\N{THIN SPACE}", "")) for text in shown if "rows" in text]
    assert len(told) > 2
    assert told == sorted(told)
    assert 0 < told[0] < told[-1] == 80_000
    assert shown[-1] == "100 %"
    assert not page.head.progress.isVisible()


def test_reading_is_cancelled_on_the_way(page: RideLogPage, qtbot: QtBot, tmp_path: Path) -> None:
    def press(_share: float, words: str) -> None:
        if "rows" in words and page.head.stop.isVisible():
            qtbot.mouseClick(page.head.stop, Qt.MouseButton.LeftButton)

    page.background.progressed.connect(press)
    page.open_file(long_file(tmp_path))
    qtbot.waitUntil(lambda: not page.background.busy)
    page.background.finish()
    QApplication.processEvents()
    assert page.learned is None
    assert not page.head.stop.isVisible()


def test_a_column_assigned_by_hand_is_known_in_the_next_file(page: RideLogPage, qtbot: QtBot, tmp_path: Path) -> None:
    text = csv_text(ride(BRINDLE, 3)).replace("speed_kmh", "q7", 1)
    for name in ("first.csv", "second.csv"):
        (tmp_path / name).write_text(text, encoding="utf-8")
    page.open_file(tmp_path / "first.csv")
    settled(page, qtbot)
    assert page.learned is None
    assert page.columns.layout_shown is not None
    at = next(column.index for column in page.columns.layout_shown.columns if column.heading == "q7")
    box = page.columns.kinds[at]
    assert box.currentText() == "Not used"
    while page.columns.kinds[at].currentData() != "road":
        box = page.columns.kinds[at]
        box.setFocus()
        qtbot.keyClick(box, Qt.Key.Key_Up)
    qtbot.mouseClick(page.columns.read, Qt.MouseButton.LeftButton)
    settled(page, qtbot)
    assert page.learned is not None
    page.open_file(tmp_path / "second.csv")
    settled(page, qtbot)
    assert page.learned.log.name == "second.csv"
    assert page.tabs.currentIndex() == 0
    assert any("as you said for an earlier file" in text for text in page.tells.texts)


def test_sentences_of_a_receiver_are_opened(page: RideLogPage, qtbot: QtBot, tmp_path: Path) -> None:
    lines = [line for i in range(90) for line in sentences(4e4 + i, 47 + i * 2e-4, 9, 43.0, 400, "010126")]
    path = tmp_path / "ride.nmea"
    path.write_text("\r\n".join(lines), encoding="ascii")
    page.open_file(path)
    settled(page, qtbot)
    assert page.learned is not None
    assert page.learned.log.placed
    assert "90 of 90 rows" in page.head.name.text()
