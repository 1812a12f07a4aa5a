"""The page that a new bike begins with: from blank to the first answer by keyboard, left and taken up again."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QLineEdit
from pytestqt.qtbot import QtBot

from gearplan.bike.files.bikefile import text_with
from gearplan.bike.profile import Bike, with_value
from gearplan.setup.basics import BASICS, KIND
from gearplan.window.frame.workbench import Workbench
from gearplan.window.kit import theme
from gearplan.window.kit.controls.fields import ChoiceField
from gearplan.window.newbike.page import NewBikePage
from tests.window.clipping import cut

KEY = Qt.Key
TYPED = {
    "tyre.size": "180/55 ZR 17",
    "final_drive.front": "15",
    "final_drive.rear": "46",
    "final_drive.links": "112",
    "engine.redline_rpm": "10500",
    "gearbox.count": "6",
}


@pytest.fixture
def page(window: Workbench) -> NewBikePage:
    window.files.may_leave = lambda: True  # type: ignore[method-assign]
    window._new()
    QApplication.processEvents()
    return window.new_bike_page


def place() -> str:
    at = QApplication.focusWidget()
    assert at is not None
    return str(at.property("measured"))


def enter(qtbot: QtBot, *, until: str = "") -> None:
    """Type what belongs into the field at hand and press Enter, from field to field."""
    while (here := place()) != until:
        at = QApplication.focusWidget()
        if isinstance(at, ChoiceField):
            word = "naked" if here == KIND else "520"
            qtbot.keyClicks(at, word)
            assert at.currentText() == word
            at.activated.emit(at.currentIndex())
        else:
            assert isinstance(at, QLineEdit)
            qtbot.keyClicks(at, TYPED[here])
        qtbot.keyClick(at, KEY.Key_Return)
        if not at.isVisible():
            # From the last the answer is shown.
            break


def test_from_nothing_to_the_saw_tooth_by_keyboard_alone(window: Workbench, page: NewBikePage, qtbot: QtBot) -> None:
    assert page.isVisible()
    assert place() == KIND
    assert "Still blank: kind" in page.told.text()
    enter(qtbot)
    bike = window.document.bike
    assert (bike.kind, bike.gearbox.count, bike.gearbox.gears) == ("naked", 6, None)
    assert window.in_sight == "Speed"
    assert window.speed_page.isVisible()
    assert not window.speed_page.empty.isVisible()
    assert window.speed_page.table.model().rowCount() == 6
    assert "typical steps for 6 gears" in window.speed_page.caption.text()
    assert window.bar.next.property("field") == "chassis.adjuster_left_mm"
    text = text_with(bike, "")
    assert "count = 6" in text
    assert "gears" not in text


def test_enter_goes_past_what_is_known_and_stays_at_what_cannot_be_read(page: NewBikePage, qtbot: QtBot) -> None:
    enter(qtbot, until="final_drive.rear")
    row = page.form.rows["final_drive", "rear"]
    qtbot.keyClicks(row.field, "4x")  # type: ignore[attr-defined]
    qtbot.keyClick(row.field, KEY.Key_Return)  # type: ignore[attr-defined]
    assert place() == "final_drive.rear"
    assert page.form.rows["final_drive", "rear"].errors.text()
    page.begin("tyre.size")
    qtbot.keyClick(QApplication.focusWidget(), KEY.Key_Return)
    assert place() == "final_drive.rear"


def test_enter_in_the_name_goes_to_the_first_that_is_blank(window: Workbench, page: NewBikePage, qtbot: QtBot) -> None:
    page.name.setFocus()
    qtbot.keyClicks(page.name, "Sorrel")
    qtbot.keyClick(page.name, KEY.Key_Return)
    assert window.document.bike.name == "Sorrel"
    assert place() == KIND


def test_it_is_left_and_taken_up_where_it_is_blank(window: Workbench, page: NewBikePage, qtbot: QtBot) -> None:
    enter(qtbot, until="final_drive.links")
    qtbot.keyClick(QApplication.focusWidget(), KEY.Key_Escape)
    assert window.in_sight == "Speed"
    assert window.document.bike.final_drive.rear == 46
    window.show_page("Bike")
    QApplication.processEvents()
    assert window.bike_page.basics.isVisible()
    qtbot.mouseClick(window.bike_page.basics, Qt.MouseButton.LeftButton)
    assert page.isVisible()
    assert place() == "final_drive.links"
    enter(qtbot)
    window.show_page("Bike")
    QApplication.processEvents()
    assert not window.bike_page.basics.isVisible()


def test_the_later_button_goes_where_one_came_from(window: Workbench, page: NewBikePage, qtbot: QtBot) -> None:
    window.show_page("Chain")
    window.ask_basics()
    assert window.rail.selectedItems() == []
    qtbot.mouseClick(page.later, Qt.MouseButton.LeftButton)
    assert window.in_sight == "Chain"
    assert window.rail.selectedItems()[0].text() == "Chain"
    assert window.chain_page.isVisible()


def test_the_rail_leaves_it_also_to_the_page_that_was_there(window: Workbench, page: NewBikePage, qtbot: QtBot) -> None:
    rail = window.rail
    box = rail.visualItemRect(rail.item(rail.currentRow()))
    qtbot.mouseClick(rail.viewport(), Qt.MouseButton.LeftButton, pos=box.center())
    assert window.in_sight == "Speed"
    # Ctrl takes no page away.
    qtbot.mouseClick(rail.viewport(), Qt.MouseButton.LeftButton, Qt.KeyboardModifier.ControlModifier, box.center())
    assert window.in_sight == "Speed"
    assert rail.selectedItems()[0].text() == "Speed"
    window.ask_basics()
    rail.setFocus()
    assert page.isVisible()
    qtbot.keyClick(rail, KEY.Key_Down)
    assert window.in_sight == "Chain"


def test_the_empty_state_of_a_page_leads_to_it(window: Workbench, page: NewBikePage, qtbot: QtBot) -> None:
    window.show_page("Speed")
    QApplication.processEvents()
    qtbot.mouseClick(window.speed_page.empty.button, Qt.MouseButton.LeftButton)
    assert page.isVisible()
    assert place() in BASICS
    enter(qtbot)
    # Once begun, a field is gone to where it stands.
    window.show_field("final_drive.links")
    assert window.in_sight == "Bike"


def test_each_is_shown_where_it_is_found_and_told_to_a_screen_reader(page: NewBikePage) -> None:
    seen = set()
    for asked in BASICS:
        page.begin(asked)
        at = QApplication.focusWidget()
        assert at is not None
        assert at.accessibleName()
        sketch = page.measuring.sketch
        assert sketch.accessibleDescription() == page.measuring.words.text()
        seen.add(sketch.shown[0])
    assert seen == {
        "motorcycle", "sidewall", "front teeth", "rear teeth", "links", "chain size", "redline", "gears",
    }  # fmt: skip


def test_undo_takes_back_what_was_entered(window: Workbench, page: NewBikePage, qtbot: QtBot) -> None:
    enter(qtbot, until="final_drive.front")
    window.document.undo()
    assert window.document.bike.tyre.size is None
    assert page.isVisible()
    window.document.undo()
    assert window.document.bike == Bike()
    assert page.kind.currentText() == "–"


@pytest.mark.parametrize("share", [1.0, 2.0])
@pytest.mark.parametrize("size", [(960, 540), (1280, 800)])
def test_nothing_is_cut_off_in_a_small_window(
    window: Workbench, page: NewBikePage, qtbot: QtBot, size: tuple[int, int], share: float
) -> None:
    window.take_text_size(share)
    window.resize(*size)
    QApplication.processEvents()
    enter(qtbot, until="gearbox.count")
    QApplication.processEvents()
    assert page.width() <= window.stack.width() + 1
    for asked in BASICS:
        page.begin(asked)
        QApplication.processEvents()
        at = QApplication.focusWidget()
        assert at is not None
        inside = at.visibleRegion().boundingRect()
        assert inside.width() >= 0.98 * at.width(), asked
        assert inside.height() >= 0.9 * at.height(), asked
        assert cut(page) == []
    beside = page.measuring.isVisible()
    assert beside != page.ask_measuring.isVisible()
    window.take_text_size(1.0)


def test_the_saw_tooth_in_small_grows_with_the_entries(window: Workbench, page: NewBikePage, qtbot: QtBot) -> None:
    window.resize(1280, 800)
    QApplication.processEvents()
    blank = page.preview.grab().toImage()
    enter(qtbot, until="gearbox.count")
    qtbot.keyClicks(QApplication.focusWidget(), "6")
    QApplication.processEvents()
    assert page.preview.width() > 220
    assert page.preview.grab().toImage() != blank
    assert page.preview.accessibleDescription().startswith("Gear 6 reaches")


def test_it_follows_the_look(window: Workbench, page: NewBikePage) -> None:
    for name, look in (("dark", theme.DARK), ("light", theme.LIGHT)):
        window.remembered.keep(partial(replace, appearance=name))
        window.dress()
        QApplication.processEvents()
        assert page.measuring.sketch.grab().toImage().pixelColor(2, 2).name() == look.surface


def test_the_sets_around_the_fitted_one_are_judged_as_soon_as_there_is_one(
    window: Workbench, page: NewBikePage, qtbot: QtBot
) -> None:
    enter(qtbot, until="final_drive.rear")
    assert not page.grid.isVisible()
    enter(qtbot, until="engine.redline_rpm")
    assert page.grid.isVisible()
    model = page.grid.model()
    assert (model.rowCount(), model.columnCount()) == (7, 5)
    # By links, teeth and a chain of the usual wear alone no set is refused; what is left in the adjuster decides.
    bike = window.document.bike
    told = {model.data(model.index(row, 2), Qt.ItemDataRole.AccessibleTextRole) for row in range(7)}
    assert any("15/46" in text and "fitted" in text for text in told)
    window.document.edit("Left", with_value(bike, "chassis", "adjuster_left_mm", (8.0, 14.0)))
    QApplication.processEvents()
    told = {model.data(model.index(row, 2), Qt.ItemDataRole.AccessibleTextRole) for row in range(7)}
    assert any("does not fit" in text for text in told)
    assert any("check" in text for text in told)
    page.grid.setFocus()
    page.grid.setCurrentIndex(model.index(3, 1))
    qtbot.keyClick(page.grid, KEY.Key_Return)
    assert (window.document.chosen.front, window.document.chosen.rear) == (14, 46)
    assert page.isVisible()
