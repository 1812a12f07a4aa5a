"""The message stands beside the menus: nothing moves, nothing loses the focus, nothing that acts is covered."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, QRect, Qt, QTimer, QUrl
from PySide6.QtGui import QDesktopServices
from PySide6.QtWidgets import QApplication, QMessageBox, QPushButton, QWidget
from pytestqt.qtbot import QtBot

from gearplan.window.frame.pagehost import PAGES
from gearplan.window.frame.workbench import Workbench


def place(window: Workbench, widget: QWidget) -> QRect:
    return QRect(widget.mapTo(window, QPoint(0, 0)), widget.size())


def test_a_message_moves_nothing_and_takes_no_focus(window: Workbench, qapp: QApplication) -> None:
    field = window.speed_page.cursor_field
    field.setFocus()
    seen = (window.menuBar(), window.bar, window.rail, window.stack, window.speed_page.grid, field)
    before = [place(window, widget) for widget in seen]
    window.message.say("Written: a file", wrong=True, offer="Open it")
    qapp.processEvents()
    assert window.message.isVisible()
    assert [place(window, widget) for widget in seen] == before
    assert QApplication.focusWidget() is field


@pytest.mark.parametrize("size", [(960, 600), (1280, 730)])
@pytest.mark.parametrize("name", PAGES)
def test_it_covers_nothing_that_can_be_pressed_on_any_page(
    window: Workbench, qapp: QApplication, size: tuple[int, int], name: str
) -> None:
    window.resize(*size)
    window.show_page(name)
    window.message.say("One line of it.\n" + "More words than have room. " * 20, wrong=True, offer="Open it")
    qapp.processEvents()
    strip = place(window, window.message)
    assert window.rect().contains(strip)
    menus = window.menuBar()
    for action in menus.actions():
        assert not menus.actionGeometry(action).translated(menus.pos()).intersects(strip), action.text()
    covered = [
        widget
        for widget in window.findChildren(QWidget)
        if widget.isVisible()
        and widget.window() is window
        and widget not in (window.message, menus)
        and not window.message.isAncestorOf(widget)
        and place(window, widget).intersects(strip)
    ]
    assert covered == []


def test_a_click_that_comes_too_late_for_it_reaches_nothing(window: Workbench, qtbot: QtBot) -> None:
    window.show_page("Fitting")
    window.message.say("Written: a file")
    close = next(b for b in window.message.findChildren(QPushButton) if b.text() == "Close")
    at = close.mapTo(window, close.rect().center())
    window.message._gone.timeout.emit()
    assert not window.message.isVisible()
    assert window.childAt(at) is window.menuBar()
    qtbot.mouseClick(window.menuBar(), Qt.MouseButton.LeftButton, pos=window.menuBar().mapFrom(window, at))
    assert QApplication.activePopupWidget() is None
    assert not window.document.unsaved


def test_a_long_message_can_be_read_whole(window: Workbench, qapp: QApplication, qtbot: QtBot) -> None:
    window.message.say("Short.")
    qapp.processEvents()
    assert not window.message.whole.isVisible()
    told = "Not saved: no room. " * 30
    window.message.say(told, wrong=True)
    qapp.processEvents()
    assert window.message.whole.isVisible()
    read = []

    def look() -> None:
        box = QApplication.activeModalWidget()
        assert isinstance(box, QMessageBox)
        read.append(box.text())
        box.reject()

    QTimer.singleShot(0, look)
    qtbot.mouseClick(window.message.whole, Qt.MouseButton.LeftButton)
    assert read == [told]


def test_escape_closes_it_from_any_field(window: Workbench, qtbot: QtBot) -> None:
    for widget in (window.speed_page.cursor_field, window.speed_page.grid, window.speed_page.table, window.rail):
        window.message.say("Something to be told.", wrong=True)
        widget.setFocus()
        qtbot.keyClick(widget, Qt.Key.Key_Escape)
        assert not window.message.isVisible(), widget


def test_escape_first_takes_refused_text_back(window: Workbench, qtbot: QtBot) -> None:
    field = window.speed_page.cursor_field
    window.message.say("Something to be told.", wrong=True)
    field.setFocus()
    field.selectAll()
    qtbot.keyClicks(field, "1x")
    qtbot.keyClick(field, Qt.Key.Key_Escape)
    assert window.message.isVisible()
    qtbot.keyClick(field, Qt.Key.Key_Escape)
    assert not window.message.isVisible()


def test_good_news_goes_by_itself_and_a_question_stays(window: Workbench) -> None:
    window.message.say("Written: a file")
    assert window.message._gone.isActive()
    window.message.say("Unsaved work was kept.", wrong=True, offer="Open it")
    assert not window.message._gone.isActive()


def test_the_folder_of_what_was_written_is_shown(
    window: Workbench, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    opened: list[str] = []
    answers = [True, False]

    def open_url(url: QUrl) -> bool:
        opened.append(url.toLocalFile())
        return answers.pop(0)

    monkeypatch.setattr(QDesktopServices, "openUrl", open_url)
    message = window.message
    message.say("Something else.")
    assert not message.folder.isVisible()
    message.say_written(tmp_path / "100 % of it #1.pdf")
    message.folder.setFocus()
    # It does not go from under the keyboard.
    message._gone.timeout.emit()
    assert message.isVisible()
    qtbot.keyClick(message.folder, Qt.Key.Key_Space)
    assert opened == [str(tmp_path)]
    assert message.text.text().startswith("Written: ")
    qtbot.keyClick(message.folder, Qt.Key.Key_Space)
    assert message.text.text() == f"No program here shows folders. The file is in {tmp_path}."
    message.say_written(tmp_path / "gone" / "page.pdf")
    qtbot.mouseClick(message.folder, Qt.MouseButton.LeftButton)
    assert "is not there any more" in message.text.text()
    assert len(opened) == 2
    assert not message.folder.isVisible()


def test_a_long_name_leaves_room_for_menus_and_message(window: Workbench, qapp: QApplication) -> None:
    window.resize(960, 520)
    window.document.edit("name", replace(window.document.bike, name="Long " * 40))
    window.message.say("Written: a file")
    qapp.processEvents()
    menus, name = window.menuBar(), window.bike_name
    assert name.text().endswith("…")
    assert name.toolTip()
    assert menus.actionGeometry(menus.actions()[-1]).right() < name.x()
    assert window.message.width() > 300
