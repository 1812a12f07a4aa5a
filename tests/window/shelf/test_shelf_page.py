"""The page of all bikes by keyboard: folders chosen, found as one types, sorted, opened; nothing unsaved is lost."""

from __future__ import annotations

import os
import threading
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QFileDialog, QMessageBox
from pytestqt.qtbot import QtBot

from gearplan.bike.files.bikefile import text_with
from gearplan.bike.files.folder import bike_files
from gearplan.bike.files.ownfolders import state_folder
from gearplan.bike.profile import Bike, Owner
from gearplan.shelf import looking
from gearplan.window.frame import settings
from gearplan.window.frame.workbench import Workbench
from gearplan.window.shelf import work
from gearplan.window.shelf.page import ShelfPage

KEY = Qt.Key
ADA = Bike("Brindle 650", owner=Owner("Ada Thornbury", None, "XQ 4711"))
BO = Bike("Wren 125", owner=Owner("Bo Larkspur", None, "AB 12"))
CY = Bike("Kestle 900", owner=Owner("Cyril Marsh", None, "AB 7"))


def put(folder: Path, name: str, bike: Bike) -> Path:
    path = folder / f"{name}.bike.toml"
    path.write_text(text_with(bike, ""), encoding="utf-8")
    os.utime(path, (1_700_000_000, 1_700_000_000))
    return path


@pytest.fixture
def bikes(tmp_path: Path) -> Path:
    folder = tmp_path / "bikes"
    folder.mkdir()
    for name, bike in (("ada", ADA), ("bo", BO), ("cy", CY)):
        put(folder, name, bike)
    return folder


@pytest.fixture
def page(window: Workbench, bikes: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch) -> ShelfPage:
    """The page with one folder listed."""
    monkeypatch.setattr(QFileDialog, "getExistingDirectory", lambda *_: str(bikes))
    monkeypatch.setattr(work, "_AGAIN_MS", 50)
    qtbot.keyClick(window, KEY.Key_0, Qt.KeyboardModifier.ControlModifier)
    made: ShelfPage = window.all_bikes_page
    assert made.isVisible()
    made.choose.click()
    qtbot.waitUntil(lambda: len(lines(made)) == 3)
    return made


def lines(page: ShelfPage) -> list[str]:
    model = page.table.model()
    return [str(model.index(row, 0).data()) for row in range(model.rowCount())]


def at(page: ShelfPage) -> str:
    return str(page.table.model().index(page.table.currentIndex().row(), 0).data())


def test_it_asks_for_a_folder_remembers_it_and_lists_its_bikes(page: ShelfPage, bikes: Path, qtbot: QtBot) -> None:
    assert lines(page) == ["Brindle 650", "Kestle 900", "Wren 125"]
    assert settings.load().bike_folders == (str(bikes),)
    assert (state_folder() / "bikes.sqlite").stat().st_mode & 0o777 == 0o600
    qtbot.waitUntil(lambda: page.status.text() == "3 motorcycles in 1 folder. Enter opens one.")
    page._fill_menu()
    page._menu.actions()[-1].trigger()
    assert settings.load().bike_folders == ()
    assert page.choose.isVisible()
    assert not page.table.isVisible()


def test_without_a_folder_the_bikes_that_come_along_are_offered(window: Workbench, qtbot: QtBot) -> None:
    window.show_page("All bikes")
    page = window.all_bikes_page
    page.demos.selectRow(1)
    qtbot.keyClick(page.demos, KEY.Key_Return)
    assert window.document.bike.name == "Wren 125"
    assert window.document.path is None
    assert window.in_sight == "Bike"


def test_a_wide_page_shows_the_bike_at_hand(window: Workbench, page: ShelfPage, bikes: Path) -> None:
    page.table.selectRow(1)
    assert not page.preview.isVisible()
    window.resize(2000, 1000)
    QApplication.processEvents()
    assert page.preview.isVisible()
    assert page.preview.name.text() == "Kestle 900"
    page.table.selectRow(2)
    assert page.preview.name.text() == "Wren 125"
    (bikes / "ada.bike.toml").write_text("no bike", encoding="utf-8")
    page.preview.show_file(bikes / "ada.bike.toml")
    assert page.preview.name.text() == ""


def test_by_keyboard_from_any_page_to_the_bike_of_a_plate(
    window: Workbench, page: ShelfPage, bikes: Path, qtbot: QtBot
) -> None:
    window.show_page("Speed")
    qtbot.keyClick(window, KEY.Key_0, Qt.KeyboardModifier.ControlModifier)
    field = QApplication.focusWidget()
    assert field is page.words
    qtbot.keyClicks(field, "ab")
    assert lines(page) == ["Kestle 900", "Wren 125"]
    assert page.status.text().startswith("2 of 3 motorcycles")
    qtbot.keyClick(field, KEY.Key_Down)
    assert at(page) == "Wren 125"
    qtbot.keyClick(field, KEY.Key_Up)
    assert at(page) == "Kestle 900"
    qtbot.keyClicks(field, "12")
    assert lines(page) == ["Wren 125"]
    qtbot.keyClick(field, KEY.Key_Return)
    assert window.document.path == bikes / "bo.bike.toml"
    assert window.document.bike.owner.name == "Bo Larkspur"
    assert window.in_sight == "Bike"


def test_the_arrow_keys_go_on_through_the_pages(window: Workbench, page: ShelfPage, qtbot: QtBot) -> None:
    window.show_page("Bike")
    window.rail.setFocus()
    for key, name in ((KEY.Key_Up, "All bikes"), (KEY.Key_Down, "Bike")):
        qtbot.keyClick(window.rail, key)
        assert window.in_sight == name
        assert window.rail.hasFocus()
    item = next(window.rail.item(row) for row in range(4) if window.rail.item(row).text() == "All bikes")
    qtbot.mousePress(window.rail.viewport(), Qt.MouseButton.LeftButton, pos=window.rail.visualItemRect(item).center())
    assert window.in_sight == "All bikes"
    qtbot.mouseRelease(window.rail.viewport(), Qt.MouseButton.LeftButton)
    qtbot.keyClick(window, KEY.Key_0, Qt.KeyboardModifier.ControlModifier)


def test_escape_shows_all_again_and_ctrl_f_goes_to_the_words(page: ShelfPage, qtbot: QtBot) -> None:
    qtbot.keyClicks(page.words, "nobody")
    assert lines(page) == []
    qtbot.keyClick(page.words, KEY.Key_Return)
    page.sort.setFocus()
    qtbot.keyClick(page.sort, KEY.Key_F, Qt.KeyboardModifier.ControlModifier)
    assert page.words.hasFocus()
    qtbot.keyClick(page.words, KEY.Key_Escape)
    assert len(lines(page)) == 3


def test_unsaved_work_is_asked_about_before_another_bike_comes(
    window: Workbench, page: ShelfPage, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    window.document.edit("Name", replace(window.document.bike, name="Unsaved"))
    monkeypatch.setattr(QMessageBox, "question", lambda *_: QMessageBox.StandardButton.Cancel)
    qtbot.keyClick(page.table, KEY.Key_Return)
    assert window.document.bike.name == "Unsaved"
    assert window.in_sight == "All bikes"


def test_it_sorts_by_the_heads_and_by_keyboard(page: ShelfPage, qtbot: QtBot) -> None:
    page.sort.setFocus()
    qtbot.keyClick(page.sort, KEY.Key_Down)
    assert page.sort.currentText() == "Owner"
    assert lines(page) == ["Brindle 650", "Wren 125", "Kestle 900"]
    page.table.horizontalHeader().sectionClicked.emit(2)
    assert lines(page) == ["Kestle 900", "Wren 125", "Brindle 650"]
    page.table.selectRow(0)
    page.table.horizontalHeader().sectionClicked.emit(2)
    assert lines(page) == ["Brindle 650", "Wren 125", "Kestle 900"]
    assert page.backwards.isChecked()
    # The line at hand stays the one at hand.
    assert at(page) == "Kestle 900"


def test_what_changes_on_the_disk_is_noticed(page: ShelfPage, bikes: Path, qtbot: QtBot) -> None:
    put(bikes, "dora", replace(ADA, name="Osier 300"))
    (bikes / "bo.bike.toml").unlink()
    qtbot.waitUntil(lambda: lines(page) == ["Brindle 650", "Kestle 900", "Osier 300"])
    (bikes / "cy.bike.toml").write_text("= [")
    qtbot.waitUntil(lambda: "Cannot be read" in lines(page))
    page.table.selectRow(2)
    assert "1 file cannot be read" in page.status.text()
    assert "not a readable bike file" in page.status.text()


def test_a_folder_that_goes_away_is_told_and_stays_listed(page: ShelfPage, bikes: Path, qtbot: QtBot) -> None:
    bikes.rename(bikes.with_name("away"))
    qtbot.waitUntil(lambda: "cannot be reached" in page.status.text())
    assert len(lines(page)) == 3
    bikes.with_name("away").rename(bikes)
    qtbot.waitUntil(lambda: "cannot be reached" not in page.status.text())


def test_a_drive_that_hangs_is_told_and_holds_nothing_up(
    window: Workbench, page: ShelfPage, bikes: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    drive, answers = bikes.with_name("drive"), threading.Event()
    drive.mkdir()
    put(drive, "dora", replace(ADA, name="Osier 300"))

    def hanging(folder: Path, closed: list[tuple[Path, str]]) -> Iterator[Path]:
        if folder == drive:
            answers.wait()
        return bike_files(folder, closed)

    monkeypatch.setattr(looking, "bike_files", hanging)
    monkeypatch.setattr(work, "_SILENT", 0.2)
    try:
        window.remembered.keep(lambda now: replace(now, bike_folders=(str(drive), str(bikes))))
        qtbot.waitUntil(lambda: f"{drive} does not answer" in page.status.text())
        # The folder behind it is looked through all the same.
        put(bikes, "eve", replace(BO, name="Alder 400"))
        qtbot.waitUntil(lambda: lines(page) == ["Alder 400", "Brindle 650", "Kestle 900", "Wren 125"])
        qtbot.keyClicks(page.words, "ab")
        assert lines(page) == ["Alder 400", "Kestle 900", "Wren 125"]
        page.words.clear()
        page._show()
    finally:
        answers.set()
    qtbot.waitUntil(lambda: "Osier 300" in lines(page))
    qtbot.waitUntil(lambda: "does not answer" not in page.status.text())


def test_a_folder_that_another_window_chose_is_listed_here_too(
    page: ShelfPage, bikes: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    more = bikes.with_name("more")
    more.mkdir()
    put(more, "dora", replace(ADA, name="Osier 300"))
    other = settings.Remembered(settings.load(), print)
    other.keep(lambda now: now.with_folder(more))
    qtbot.waitUntil(lambda: lines(page) == ["Brindle 650", "Kestle 900", "Osier 300", "Wren 125"])
    other.keep(lambda now: now.without_folder(more).without_folder(bikes))
    qtbot.waitUntil(page.choose.isVisible)


def test_a_broken_index_is_made_anew(page: ShelfPage, qtbot: QtBot) -> None:
    file = state_folder() / "bikes.sqlite"
    file.write_bytes(b"\x5a" * file.stat().st_size)
    qtbot.keyClicks(page.words, "thorn")
    qtbot.waitUntil(lambda: lines(page) == ["Brindle 650"])
    assert file.read_bytes().startswith(b"SQLite")


def test_a_list_that_cannot_be_kept_is_told(
    window: Workbench, bikes: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    state_folder().parent.mkdir(parents=True, exist_ok=True)
    state_folder().write_text("in the way")
    window.remembered.keep(lambda now: now.with_folder(bikes))
    window.show_page("All bikes")
    qtbot.waitUntil(lambda: "The list cannot be kept in" in window.all_bikes_page.status.text())
    state_folder().unlink()
