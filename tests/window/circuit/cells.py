"""Working in the table of sections as a hand does: cells are pressed, typed into, left by Enter."""

from __future__ import annotations

from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QApplication, QLineEdit
from pytestqt.qtbot import QtBot

from gearplan.window.circuit.page import CircuitPage
from gearplan.window.circuit.sections.model import KEYS

SECTIONS_TAB = 2


def at(page: CircuitPage, row: int, key: str | None) -> QPoint:
    """The middle of a cell in the table's viewport, scrolled to."""
    table = page.sections.table
    index = table.model().index(row, KEYS.index(key))
    table.scrollTo(index)
    return table.visualRect(index).center()


def press(page: CircuitPage, qtbot: QtBot, row: int, key: str | None) -> None:
    """Press a cell with the mouse."""
    page.tabs.setCurrentIndex(SECTIONS_TAB)
    qtbot.mouseClick(page.sections.table.viewport(), Qt.MouseButton.LeftButton, pos=at(page, row, key))


def editor(page: CircuitPage) -> QLineEdit:
    """The line in the cell that is edited."""
    return page.sections.table.viewport().findChildren(QLineEdit)[-1]


def type_into(page: CircuitPage, qtbot: QtBot, row: int, key: str, text: str) -> None:
    """Press a cell, type over what it holds, go on by Enter."""
    press(page, qtbot, row, key)
    qtbot.keyClick(page.sections.table, Qt.Key.Key_F2)
    line = editor(page)
    line.selectAll()
    qtbot.keyClicks(line, text)
    qtbot.keyClick(line, Qt.Key.Key_Return)
    # Qt takes what was typed once the key has been dealt with.
    QApplication.processEvents()


def cell(page: CircuitPage, row: int, key: str | None) -> str:
    """What a cell shows."""
    model = page.sections.model
    return str(model.index(row, KEYS.index(key)).data())
