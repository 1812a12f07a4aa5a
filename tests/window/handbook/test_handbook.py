"""The handbook's window by real keys: F1 opens what the page is about, words find a section."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from gearplan.sheet.handbook.chapters import chapters
from gearplan.window.frame.workbench import Workbench
from gearplan.window.handbook.view import Handbook


def shown(window: Workbench) -> Handbook:
    found = window.findChild(Handbook)
    assert isinstance(found, Handbook)
    assert found.isVisible()
    return found


def heading_at_top(book: Handbook) -> str:
    return book.text.textCursor().block().text()


def test_the_keys_open_the_section_of_the_page(window: Workbench, qapp: QApplication, qtbot: QtBot) -> None:
    window.show_page("Choices")
    window.activateWindow()
    qtbot.keyClick(window, Qt.Key.Key_F1, Qt.KeyboardModifier.ShiftModifier)
    book = shown(window)
    assert heading_at_top(book) == "Choosing by what you want"
    window.show_page("Ride log")
    qtbot.keyClick(window, Qt.Key.Key_F1)
    assert shown(window) is book
    assert heading_at_top(book) == "Opening a ride"
    assert not book.text.document().isEmpty()
    qtbot.keyClick(book, Qt.Key.Key_Escape)
    assert not book.isVisible()
    listed = next(chapter for chapter in chapters() if chapter.name == "keys").text
    for action in window.actions():
        for key in action.shortcuts():
            name = key.toString()
            page = name.startswith("Ctrl+") and name[-1].isdigit()
            assert page or name.startswith("Alt+") or f"`{name}`" in listed, (action.text(), name)


def test_words_find_a_section(qapp: QApplication, qtbot: QtBot) -> None:
    book = Handbook()
    qtbot.addWidget(book)
    book.open_at("first-answer", "Typing numbers")
    qtbot.waitExposed(book)
    assert heading_at_top(book) == "Typing numbers"
    for chapter in chapters():
        for section in chapter.sections():
            book.open_at(chapter.name, section.title)
            assert heading_at_top(book) == section.title
    book.words.setFocus()
    qtbot.keyClicks(book.words, "anti-squat swingarm")
    assert heading_at_top(book) == "What geometry adds"
    qtbot.keyClicks(book.words, " xyzzy")
    assert book.list.count() == 0
    assert book.none.isVisible()
    book.words.clear()
    assert not book.none.isVisible()
