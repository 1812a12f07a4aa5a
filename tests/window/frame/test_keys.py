"""Keys of the whole window: each letter asks for one thing, and all of them work while the screen is turned round."""

from __future__ import annotations

import re
from collections import defaultdict

import pytest
from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QFont, QFontDatabase, QKeyEvent
from PySide6.QtWidgets import (
    QAbstractButton,
    QApplication,
    QLabel,
    QMenu,
    QMenuBar,
    QPushButton,
    QTabBar,
    QTabWidget,
    QToolButton,
    QWidget,
)
from pytestqt.qtbot import QtBot

from gearplan.bike.files.ownfolders import settings_file
from gearplan.window.frame import settings
from gearplan.window.frame.pagehost import PAGES
from gearplan.window.frame.shopdialog import ShopDialog
from gearplan.window.frame.workbench import Workbench
from gearplan.window.kit import theme
from gearplan.window.tables.stockdialog import StockDialog


def letter(text: str) -> str | None:
    """The key that a text asks for by its ampersand."""
    found = re.search("&([^&])", text.replace("&&", ""))
    return found.group(1).lower() if found else None


def letters(window: QWidget) -> dict[str, list[str]]:
    """What every letter with Alt reaches now: menus, fields by their labels, buttons, tabs."""
    texts = [action.text() for bar in window.findChildren(QMenuBar) if bar.isVisible() for action in bar.actions()]
    texts += [one.text() for one in window.findChildren(QLabel) if one.isVisible() and one.buddy() is not None]
    texts += [one.text() for one in window.findChildren(QAbstractButton) if one.isVisible()]
    for bar in window.findChildren(QTabBar):
        texts += [bar.tabText(at) for at in range(bar.count()) if bar.isVisible()]
    found = defaultdict(list)
    for text in texts:
        if key := letter(text):
            found[key].append(text)
    return found


def test_no_letter_asks_for_two_things(window: Workbench, qapp: QApplication) -> None:
    window.circuits.open_demo("Marlpit Lane")
    for size in ((1280, 800), (960, 540)):
        window.resize(*size)
        for name in PAGES:
            window.show_page(name)
            tabs = window.page(name).findChildren(QTabWidget)
            for tab in range(tabs[0].count() if tabs else 1):
                if tabs:
                    tabs[0].setCurrentIndex(tab)
                qapp.processEvents()
                found = letters(window)
                assert {key: texts for key, texts in found.items() if len(texts) > 1} == {}, (name, tab)
                assert found["f"] == ["&File"]


def test_every_entry_of_a_menu_has_a_letter_of_its_own(window: Workbench) -> None:
    for head in window.menuBar().actions():
        menu = head.menu()
        assert isinstance(menu, QMenu)
        keys = [letter(entry.text()) for entry in menu.actions() if not entry.isSeparator()]
        assert None not in keys, head.text()
        assert len(set(keys)) == len(keys), head.text()


def test_menus_of_buttons_and_menus_in_menus_have_no_letter_twice(window: Workbench, qapp: QApplication) -> None:
    for name in PAGES:
        window.show_page(name)
        qapp.processEvents()
    menus = [menu for menu in window.findChildren(QMenu) if menu.actions()]
    assert len(menus) >= 6
    for menu in menus:
        keys = [key for entry in menu.actions() if (key := letter(entry.text()))]
        assert len(set(keys)) == len(keys), (menu.title(), keys)


def test_no_letter_asks_for_two_things_on_the_customers_screen_and_in_its_dialog(
    window: Workbench, qapp: QApplication
) -> None:
    window.round.turn()
    qapp.processEvents()
    assert {key: texts for key, texts in letters(window).items() if len(texts) > 1} == {}
    dialogs: list[QWidget] = [ShopDialog(settings.Settings(), window), StockDialog(None, window)]
    for dialog in dialogs:
        dialog.show()
        qapp.processEvents()
        found = letters(dialog)
        assert {key: texts for key, texts in found.items() if len(texts) > 1} == {}
        dialog.close()
        dialog.deleteLater()


def test_the_keys_work_while_the_screen_is_turned_round(window: Workbench, qtbot: QtBot) -> None:
    qtbot.keyClick(window, Qt.Key.Key_F11)
    before = window.document.chosen
    assert before.rear is not None
    qtbot.keyClick(window, Qt.Key.Key_Down, Qt.KeyboardModifier.AltModifier)
    assert window.document.chosen.rear == before.rear - 1
    qtbot.keyClick(window, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert window.document.chosen == before
    # A page that is asked for is shown with its frame.
    qtbot.keyClick(window, Qt.Key.Key_2, Qt.KeyboardModifier.ControlModifier)
    assert not window.round.on
    assert window.stack.currentWidget() is window.speed_page
    qtbot.keyClick(window, Qt.Key.Key_F11)
    qtbot.keyClick(window, Qt.Key.Key_Q, Qt.KeyboardModifier.ControlModifier)
    assert not window.isVisible()


def test_enter_presses_the_button_at_hand_on_every_page_once(
    window: Workbench, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    window.show_page("Quote")
    pin = window.quote_page.pin
    pin.setFocus()
    qtbot.keyClick(pin, Qt.Key.Key_Enter)
    assert len(window.document.bike.proposals) == 1
    pressed: list[QAbstractButton] = []
    for kind in (QPushButton, QToolButton):
        monkeypatch.setattr(kind, "click", lambda button: pressed.append(button))
    seen = set()
    for name in PAGES:
        window.show_page(name)
        QApplication.processEvents()
        for button in window.page(name).findChildren(QAbstractButton):
            if isinstance(button, (QPushButton, QToolButton)) and button.isVisible() and button.isEnabled():
                if not button.focusPolicy() & Qt.FocusPolicy.TabFocus:
                    continue
                button.setFocus()
                pressed.clear()
                qtbot.keyClick(button, Qt.Key.Key_Return)
                held = QKeyEvent(QKeyEvent.Type.KeyPress, Qt.Key.Key_Return, Qt.KeyboardModifier.NoModifier, "\r", True)
                QApplication.sendEvent(button, held)
                assert pressed == [button], (name, button.text())
                seen.add(name)
    assert {"Bike", "Choices", "Customer", "Quote", "Fitting", "Ride log"} <= seen


def test_text_grows_and_shrinks_by_keys_and_is_remembered(window: Workbench, qtbot: QtBot) -> None:
    before = window.rail.width(), window.speed_page.cursor_field.width()
    try:
        for share in (1.25, 1.5, 1.75, 2.0):
            qtbot.keyClick(window, Qt.Key.Key_Plus, Qt.KeyboardModifier.ControlModifier)
            assert theme.scale() == share
        assert window.rail.width() > 1.6 * before[0]
        assert window.speed_page.cursor_field.width() == 2 * before[1]
        assert window.speed_page.cursor_field.fontMetrics().height() >= 27
        assert settings.load().text_size == 2.0
        for share in (2.5, 2.5):
            qtbot.keyClick(window, Qt.Key.Key_Plus, Qt.KeyboardModifier.ControlModifier)
            assert theme.scale() == share
        for share in (2.0, 1.75, 1.5, 1.25, 1.0, 0.9, 0.8, 0.8):
            qtbot.keyClick(window, Qt.Key.Key_Minus, Qt.KeyboardModifier.ControlModifier)
            assert theme.scale() == share
        assert window.speed_page.cursor_field.width() < before[1]
    finally:
        window.take_text_size(1.0)
    assert theme.scale() == 1.0
    assert (window.rail.width(), window.speed_page.cursor_field.width()) == before


def test_the_size_of_the_desktops_text_counts(window: Workbench, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch) -> None:
    """By the definition of the point 18 pt at 96 dots to the inch are 24 pixels."""
    asked = QFont("Lato")
    monkeypatch.setattr(QFontDatabase, "systemFont", lambda _which: asked)
    try:
        for pixels, share in ((12, 1.0), (15, 1.0), (24, 1.6)):
            asked.setPixelSize(pixels)
            QApplication.sendEvent(window, QEvent(QEvent.Type.ThemeChange))
            assert theme.scale() == share
        assert window.speed_page.cursor_field.font().pixelSize() == round(1.6 * theme.BODY)
        # What is chosen is in proportion to it, up to the largest.
        qtbot.keyClick(window, Qt.Key.Key_Plus, Qt.KeyboardModifier.ControlModifier)
        assert theme.scale() == 1.25 * 1.6
        window.take_text_size(2.0)
        assert theme.scale() == theme.SCALES[-1]
    finally:
        monkeypatch.undo()
        window.take_text_size(1.0)
    assert theme.scale() == 1.0


@pytest.mark.parametrize("text", ["text_size = 3.0", "text_size = 'large'"])
def test_a_size_of_text_that_is_not_offered_is_the_usual(text: str) -> None:
    settings_file().parent.mkdir(parents=True)
    settings_file().write_text(text)
    assert settings.load().text_size == 1.0
