"""Places that scroll: what is inside has its whole height whenever it is in sight."""

from __future__ import annotations

from PySide6.QtWidgets import QVBoxLayout, QWidget
from pytestqt.qtbot import QtBot

from gearplan.window.kit.places.layout import WholeLines
from gearplan.window.kit.plaintext import PlainLabel


def test_words_that_come_while_nothing_is_in_sight_are_whole_when_it_is(qtbot: QtBot) -> None:
    page, label = QWidget(), PlainLabel("One line.")
    label.setWordWrap(True)
    column = QVBoxLayout(page)
    column.addWidget(WholeLines(label, words=100))
    qtbot.addWidget(page)
    page.resize(300, 120)
    page.show()
    qtbot.waitExposed(page)
    page.hide()
    label.setText("A long line of many words that say nothing. " * 12)
    page.show()
    qtbot.waitExposed(page)
    assert label.height() >= label.heightForWidth(label.width()) > 120
