"""The keyboard reaches everything, is always seen, and is held by nothing."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import Qt
from PySide6.QtGui import QAccessible, QImage
from PySide6.QtWidgets import QApplication, QLabel, QTabBar, QWidget
from pytestqt.qtbot import QtBot

from gearplan.window.frame.pagehost import PAGES
from gearplan.window.frame.workbench import Workbench
from gearplan.window.kit.controls.numberfield import NumberField
from gearplan.window.kit.focusring import around
from gearplan.window.kit.tables.texttable import TextTable
from tests.window.contrast import contrast
from tests.window.pages import each_tab

#: A mark that nobody overlooks: so many pixels at least, at 3:1 against what they were (WCAG 2.2, 1.4.11 and 2.4.13).
_LEAST_MARK, _LEAST_CONTRAST = 24, 3.0


def at_keys() -> QWidget:
    at = QApplication.focusWidget()
    assert at is not None
    return at


def stops(window: QWidget) -> list[QWidget]:
    """What Tab should reach: it is in sight, takes keys, and no other of its kind stands for it."""
    return [
        widget
        for widget in window.findChildren(QWidget)
        if widget.isVisible()
        and widget.window() is window
        and widget.isEnabled()
        and widget.focusPolicy() & Qt.FocusPolicy.TabFocus
        and widget.focusProxy() is None
    ]


def marked(before: NDArray[np.uint32], after: NDArray[np.uint32]) -> int:
    """How many pixels are told apart from what they were."""
    other = before != after
    pairs, counts = np.unique(np.stack([before[other], after[other]]), axis=1, return_counts=True)
    seen = [contrast(f"#{was & 0xFFFFFF:06x}", f"#{now & 0xFFFFFF:06x}") >= _LEAST_CONTRAST for was, now in pairs.T]
    return int(counts[np.array(seen, dtype=bool)].sum())


def picture(widget: QWidget) -> NDArray[np.uint32]:
    image = widget.grab().toImage().convertToFormat(QImage.Format.Format_RGB32)
    return np.frombuffer(bytes(image.constBits()), dtype=np.uint32)


def test_whatever_has_the_keyboard_shows_it_and_has_a_name_and_a_unit(window: Workbench) -> None:
    window.circuits.open_demo("Marlpit Lane")
    looked: set[int] = set()
    unseen = []
    for place in each_tab(window):
        QApplication.processEvents()
        for widget in stops(window):
            if id(widget) in looked:
                continue
            looked.add(id(widget))
            if not isinstance(widget, QTabBar | QLabel):
                told = QAccessible.queryAccessibleInterface(widget)
                assert told.text(QAccessible.Text.Name).strip(), (place, widget)
                if isinstance(widget, NumberField) and widget._unit not in ("", "share"):
                    assert widget._unit in told.text(QAccessible.Text.Description), (place, widget.objectName())
            if (at := QApplication.focusWidget()) is not None:
                at.clearFocus()
            shown = around(widget)
            before = picture(shown)
            widget.setFocus(Qt.FocusReason.TabFocusReason)
            if QApplication.focusWidget() is not widget or not widget.isVisible():
                continue
            if marked(before, picture(shown)) < _LEAST_MARK:
                unseen.append(f"{place}: {type(widget).__name__} {widget.accessibleName()!r} {widget.objectName()}")
    assert unseen == []
    assert len(looked) > 100


def test_tab_reaches_everything_and_comes_back(window: Workbench, qtbot: QtBot) -> None:
    window.circuits.open_demo("Marlpit Lane")
    for name in PAGES:
        window.show_page(name)
        QApplication.processEvents()
        window.rail.setFocus()
        reached: list[QWidget] = []
        while (at := at_keys()) not in reached:
            reached.append(at)
            qtbot.keyClick(at, Qt.Key.Key_Tab)
        assert at is reached[0], (name, at)
        missed = [widget for widget in stops(window) if widget not in reached]
        assert missed == [], name
        # And back again.
        qtbot.keyClick(at, Qt.Key.Key_Backtab)
        assert at_keys() is reached[-1]


def test_f6_goes_round_the_areas_of_every_page(window: Workbench, qtbot: QtBot) -> None:
    for name in PAGES:
        window.show_page(name)
        QApplication.processEvents()
        window.rail.setFocus()
        went = []
        for _ in range(9):
            qtbot.keyClick(at_keys(), Qt.Key.Key_F6)
            went.append(at_keys())
            if at_keys() is window.rail:
                break
        assert went[-1] is window.rail, name
        assert len(set(went)) == len(went) >= 3, name
        bar = window.bar.slim if window.bar.slim.isVisible() else window.bar
        page = window.page(name)
        assert any(bar.isAncestorOf(at) for at in went), name
        assert any(page.isAncestorOf(at) for at in went), name
        for at in reversed(went[:-1]):
            qtbot.keyClick(at_keys(), Qt.Key.Key_F6, Qt.KeyboardModifier.ShiftModifier)
            assert at_keys() is at, name


def test_an_area_is_come_back_to_where_it_was_left(window: Workbench, qtbot: QtBot) -> None:
    field = window.bar.fields["rear"]
    field.setFocus()
    qtbot.keyClick(field, Qt.Key.Key_F6)
    assert window.bar.verdict.isAncestorOf(at_keys())
    qtbot.keyClick(at_keys(), Qt.Key.Key_F6, Qt.KeyboardModifier.ShiftModifier)
    assert at_keys() is field
    # A message that has something to press is on the way.
    window.message.say("Kept work was found.", offer="Open it")
    went = set()
    for _ in range(6):
        qtbot.keyClick(at_keys(), Qt.Key.Key_F6)
        went.add(at_keys())
    assert window.message.offer in went


def test_the_cell_at_hand_is_framed(window: Workbench, qtbot: QtBot) -> None:
    table = window.speed_page.findChild(TextTable)
    assert table is not None
    table.setFocus()
    before = picture(table.viewport())
    qtbot.keyClick(table, Qt.Key.Key_Down)
    qtbot.keyClick(table, Qt.Key.Key_Right)
    assert table.currentIndex().isValid()
    assert marked(before, picture(table.viewport())) >= 2 * 2 * 20
