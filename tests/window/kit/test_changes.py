"""Changes in a table: none is a quiet dot, only what counts is bold, bars start at the middle of the cell."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QImage
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from gearplan.window.kit import theme
from gearplan.window.kit.tables.texttable import TextTable

HEADS = ("of", "fitted", "proposed", "change")
ROWS = [("a", "10", "30", "+20"), ("b", "10", "5", "−5"), ("c", "10", "10", "±0"), ("d", "10", "10", "<1")]


@pytest.fixture
def table(qapp: QApplication, qtbot: QtBot) -> TextTable:
    theme.apply(qapp, theme.LIGHT)
    made = TextTable("a table", left=(0,), differences=(3,), only_two=(1, 3), explains=True)
    qtbot.addWidget(made)
    made.show_texts(HEADS, ROWS)
    made.resize(500, 200)
    made.show()
    qtbot.waitExposed(made)
    return made


def cell(table: TextTable, row: int, column: int) -> QImage:
    picture = table.viewport().grab().toImage()
    ratio, place = picture.devicePixelRatio(), table.visualRect(table.model().index(row, column))
    left, top, wide, high = (round(size * ratio) for size in (place.x(), place.y(), place.width(), place.height()))
    return picture.copy(left, top, wide, high)


def accent(picture: QImage) -> tuple[int, int]:
    """How many points of the accent's colour lie left and right of the middle."""
    colour, sides = QColor(theme.LIGHT.accent).rgb(), [0, 0]
    for x in range(picture.width()):
        for y in range(picture.height()):
            sides[2 * x > picture.width()] += picture.pixel(x, y) == colour
    return sides[0], sides[1]


def test_a_change_has_a_bar_to_its_side_as_long_as_it_is_large(table: TextTable) -> None:
    (left_of_more, more), (less, right_of_less) = accent(cell(table, 0, 3)), accent(cell(table, 1, 3))
    assert left_of_more <= 6
    assert right_of_less <= 6
    assert more == pytest.approx(4 * less, rel=0.25)
    assert accent(cell(table, 2, 3)) == accent(cell(table, 3, 3)) == (0, 0)


def test_no_change_is_quiet_and_is_still_read_out(table: TextTable) -> None:
    ink = {QColor(cell(table, 2, 3).pixel(x, y)).lightness() for x in range(5, 90) for y in range(3, 18)}
    assert min(ink) >= QColor(theme.LIGHT.quiet).lightness()
    assert table.model().data(table.model().index(2, 3)) == "±0"


def test_a_zero_is_a_quiet_dot_where_asked_for_and_is_still_a_number(qtbot: QtBot) -> None:
    made = TextTable("Times", zeros=(1,))
    qtbot.addWidget(made)
    made.show_texts(("", "s", "s"), [("a", "0.0", "0.0"), ("b", "±0", "0.0"), ("c", "0.3", "0.3")])
    made.resize(300, 200)
    made.show()
    assert cell(made, 0, 1) == cell(made, 1, 1)
    assert cell(made, 0, 1) != cell(made, 2, 1)
    assert cell(made, 0, 2) != cell(made, 0, 1)
    assert made.model().data(made.model().index(0, 1)) == "0.0"


def test_another_largest_change_draws_the_other_bars_anew(table: TextTable, qapp: QApplication) -> None:
    before = accent(cell(table, 1, 3))
    table.show_texts(HEADS, [("a", "10", "90", "+80"), *ROWS[1:]])
    qapp.processEvents()
    assert accent(cell(table, 1, 3))[0] < before[0]


def test_one_set_has_one_column(table: TextTable, qapp: QApplication) -> None:
    table.show_texts(HEADS, ROWS, one_set=True)
    shown = [column for column in range(4) if not table.isColumnHidden(column)]
    assert [table.model().headerData(column, Qt.Orientation.Horizontal) for column in shown] == ["of", "now"]
    table.show_texts(HEADS, ROWS)
    assert not any(table.isColumnHidden(column) or table.columnWidth(column) < 20 for column in range(4))


def test_columns_do_not_drift_apart_in_a_wide_place(table: TextTable, qapp: QApplication) -> None:
    table.resize(2000, 200)
    qapp.processEvents()
    assert sum(table.columnWidth(column) for column in range(4)) == 560
