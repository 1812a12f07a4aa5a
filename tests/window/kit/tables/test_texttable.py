"""A table wider than its room: scrolled by a bar over its heads and by keys, the names of its rows always in sight."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from gearplan.window.kit import theme
from gearplan.window.kit.tables.texttable import TextTable

HEADS = ("name", *(f"column {k}" for k in range(9)))
ROWS = [(f"row {row}", *(f"{row}{column}.5" for column in range(9))) for row in range(20)]


@pytest.fixture
def narrow(qapp: QApplication, qtbot: QtBot) -> TextTable:
    theme.apply(qapp, theme.LIGHT)
    table = TextTable("a table", left=(0,), explains=True)
    theme.dress(table)
    qtbot.addWidget(table)
    table.show_texts(HEADS, ROWS, ((1, 2, "both"),))
    table.setFixedWidth(320)
    table.show()
    qtbot.waitExposed(table)
    return table


def picture(table: TextTable, x: int, row: int) -> bytes:
    """What is painted from a place on in a row."""
    shown = table.viewport().grab().toImage()
    ratio = shown.devicePixelRatio()
    top, high = table.rowViewportPosition(row), table.rowHeight(row)
    cut = shown.copy(*(round(size * ratio) for size in (x, top, 40, high)))
    return bytes(cut.constBits())


def test_the_bar_stands_over_the_heads_while_columns_are_out_of_sight(narrow: TextTable, qapp: QApplication) -> None:
    head = narrow.horizontalHeader()
    bar = head.bar  # type: ignore[attr-defined]
    assert bar.isVisible()
    assert bar.mapTo(narrow, bar.rect().bottomLeft()).y() < narrow.viewport().y()
    narrow.setFixedWidth(2000)
    qapp.processEvents()
    assert not bar.isVisible()
    assert narrow.viewport().y() == head.height()


def test_the_bar_moves_the_columns_and_not_the_names(narrow: TextTable, qapp: QApplication) -> None:
    bar = narrow.horizontalHeader().bar  # type: ignore[attr-defined]
    before, beside = picture(narrow, 4, 3), picture(narrow, 120, 3)
    bar.setValue(bar.maximum())
    qapp.processEvents()
    assert narrow.horizontalScrollBar().value() == narrow.horizontalScrollBar().maximum() > 0
    assert picture(narrow, 4, 3) == before
    assert picture(narrow, 120, 3) != beside
    last = narrow.visualRect(narrow.model().index(0, 9))
    assert narrow.viewport().rect().contains(last)
    name = narrow.visualRect(narrow.model().index(3, 0))
    assert name.left() == 0
    assert narrow.indexAt(name.center()).column() == 0


def test_keys_reach_every_column_and_bring_it_out_from_under_the_names(narrow: TextTable, qtbot: QtBot) -> None:
    narrow.setCurrentIndex(narrow.model().index(0, 0))
    names = narrow.visualRect(narrow.model().index(0, 0)).right()
    for key, columns in ((Qt.Key.Key_Right, range(1, 10)), (Qt.Key.Key_Left, range(8, 0, -1))):
        for column in columns:
            qtbot.keyClick(narrow, key)
            place = narrow.visualRect(narrow.currentIndex())
            assert narrow.currentIndex().column() == column
            assert names < place.left()
            assert place.right() <= narrow.viewport().width()


def test_a_double_click_asks_for_the_number_that_is_seen_there(narrow: TextTable, qtbot: QtBot) -> None:
    bar = narrow.horizontalScrollBar()
    bar.setValue(bar.maximum())
    asked: list[tuple[int, int]] = []
    narrow.asked.connect(lambda row, column: asked.append((row, column)))
    last = narrow.visualRect(narrow.model().index(2, 9)).center()
    for place in (QPoint(10, narrow.rowViewportPosition(2) + 5), last):
        qtbot.mouseClick(narrow.viewport(), Qt.MouseButton.LeftButton, pos=place)
        qtbot.mouseDClick(narrow.viewport(), Qt.MouseButton.LeftButton, pos=place)
    assert asked == [(2, 0), (2, 9)]


def test_what_changed_is_told_cell_by_cell_and_painted(narrow: TextTable, qapp: QApplication) -> None:
    """A screen reader and any other view hear of it from the model; many changes are told at once."""
    told: list[tuple[tuple[int, int], tuple[int, int]]] = []
    narrow.model().dataChanged.connect(
        lambda first, last: told.append(((first.row(), first.column()), (last.row(), last.column())))
    )
    before, beside = picture(narrow, 120, 3), picture(narrow, 120, 4)
    rows = [list(row) for row in ROWS]
    rows[3][1:3] = ["other", "words"]
    narrow.show_texts(HEADS, [tuple(row) for row in rows], ((1, 2, "both"),))
    qapp.processEvents()
    assert told == [((3, 1), (3, 1)), ((3, 2), (3, 2))]
    assert picture(narrow, 120, 3) != before
    assert picture(narrow, 120, 4) == beside
    told.clear()
    narrow.show_texts(HEADS, [tuple(f"{text}0" for text in row) for row in rows], ((1, 2, "both"),))
    assert told == [((0, 0), (19, 9))]
    told.clear()
    narrow.show_texts(HEADS, ROWS[:5])
    assert told == []


def test_a_screen_reader_is_told_of_empty_cells_too(qtbot: QtBot) -> None:
    table = TextTable("Numbers")
    qtbot.addWidget(table)
    table.show_texts(("", "now", ""), [("Goes in", "", ""), ("Wheelbase, mm", "1410", "30 %")])
    model, role = table.model(), Qt.ItemDataRole.AccessibleTextRole
    assert [model.headerData(column, Qt.Orientation.Horizontal, role) for column in range(3)] == ["name", "now", "bar"]
    said = [[model.index(row, column).data(role) for column in range(3)] for row in range(2)]
    assert said == [["Goes in", "Goes in, now: empty", "Goes in: empty"], ["Wheelbase, mm", "1410", "30 %"]]
