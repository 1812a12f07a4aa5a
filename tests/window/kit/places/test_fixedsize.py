"""A place of fixed size takes no less than its text needs, whenever the text came."""

from __future__ import annotations

from PySide6.QtWidgets import QApplication, QHBoxLayout, QLabel, QStackedWidget, QWidget
from pytestqt.qtbot import QtBot

from gearplan.window.kit import theme
from gearplan.window.kit.places.fixedsize import FixedSize


def test_a_text_that_came_out_of_sight_has_its_room_once_it_is_shown(qtbot: QtBot, qapp: QApplication) -> None:
    pages, page, label = QStackedWidget(), QWidget(), QLabel("Fits")
    row = QHBoxLayout(page)
    row.addWidget(FixedSize(label, theme.BODY, sample="Fits"))
    row.addStretch(1)
    for each in (page, QWidget()):
        pages.addWidget(each)
    qtbot.addWidget(pages)
    pages.resize(600, 80)
    pages.show()
    qapp.processEvents()
    pages.setCurrentIndex(1)
    qapp.processEvents()
    label.setText("Check, 6 cautions, entries missing")
    pages.setCurrentIndex(0)
    qapp.processEvents()
    assert label.width() >= label.sizeHint().width()
