"""The message lies over the page: nothing moves, nothing loses the focus, the field at hand stays in sight."""

from __future__ import annotations

from PySide6.QtCore import QPoint, QRect, Qt
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from gearplan.window.frame.workbench import Workbench


def place(window: Workbench, widget: QWidget) -> QRect:
    return QRect(widget.mapTo(window, QPoint(0, 0)), widget.size())


def test_a_message_moves_nothing_and_takes_no_focus(window: Workbench, qapp: QApplication) -> None:
    field = window.speed_page.cursor_field
    field.setFocus()
    seen = (window.bar, window.rail, window.stack, window.speed_page.grid, field)
    before = [place(window, widget) for widget in seen]
    window.message.say("Written: a file", wrong=True, offer="Open it")
    qapp.processEvents()
    assert window.message.isVisible()
    assert [place(window, widget) for widget in seen] == before
    assert QApplication.focusWidget() is field
    assert not place(window, window.message).intersects(place(window, field))


def test_it_goes_out_of_the_way_of_the_field_at_hand(window: Workbench, qapp: QApplication) -> None:
    window.show_page("Customer")
    window.message.say("Something to be told.", wrong=True)
    qapp.processEvents()
    field = window.customer_page.cruise
    assert place(window, window.message).intersects(place(window, field))
    field.setFocus()
    qapp.processEvents()
    assert not place(window, window.message).intersects(place(window, field))
    window.rail.setFocus()
    qapp.processEvents()
    assert place(window, window.message).bottom() > window.height() - 40


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
