"""What the eye meets first: the question while nothing differs, one row where nothing is tried, cautions first."""

from __future__ import annotations

from dataclasses import replace

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QApplication, QPushButton, QSplitter
from pytestqt.qtbot import QtBot

from gearplan.bike.demo import demo_bike
from gearplan.plan.choices.first import first_proposal
from gearplan.plan.driveset import fitted
from gearplan.plan.set.evaluate import evaluate
from gearplan.plan.set.verdict import Verdict, verdict
from gearplan.window.frame import settings
from gearplan.window.frame.pagehost import PAGES
from gearplan.window.frame.rail import GROUPS
from gearplan.window.frame.workbench import Workbench
from gearplan.window.kit import theme
from gearplan.window.kit.places import twosides

KEY = Qt.Key
SLIM = {"Bike", "Fitting", "Ride log", "All bikes", "Customer"}


@pytest.mark.parametrize(("wish", "sense"), [("calmer", -1), ("livelier", 1)])
def test_a_wish_is_answered_at_once_and_the_question_is_gone_for_good(
    window: Workbench, qtbot: QtBot, wish: str, sense: int
) -> None:
    bar = window.bar
    assert bar.invitation.isVisible()
    assert not bar.proposed_teeth.isVisible()
    qtbot.mouseClick(bar.invitation.wishes[wish], Qt.MouseButton.LeftButton)
    bike, chosen = window.document.bike, window.document.chosen
    on, proposed = (evaluate(bike, one).final_ratio for one in (fitted(bike), chosen))
    assert on is not None
    assert proposed is not None
    assert (proposed - on) * sense > 0
    assert evaluate(bike, chosen).verdict != "does not fit"
    assert window.in_sight == "Speed"
    assert bar.proposed_teeth.isVisible()
    window.undo_action.trigger()
    assert not bar.invitation.isVisible()
    assert settings.load().tried_a_set


def test_a_wish_that_nothing_can_answer_leads_to_the_page_of_wishes(window: Workbench) -> None:
    window._new()
    window.show_page("Speed")
    assert first_proposal(window.document.bike, "calmer") is None
    window.bar.invitation.wishes["calmer"].click()
    assert window.in_sight == "Choices"


def test_the_sliders_do_not_move_when_the_second_set_appears(window: Workbench, qapp: QApplication) -> None:
    qapp.processEvents()
    before = window.bar.sliders["front"].geometry(), window.bar.height()
    window.bar.step("front", 1)
    qapp.processEvents()
    assert (window.bar.sliders["front"].geometry(), window.bar.height()) == before


def test_one_row_where_nothing_is_tried(window: Workbench, qapp: QApplication) -> None:
    window.document.propose(replace(window.document.chosen, front=16, rear=43), "p")
    for name in PAGES:
        window.show_page(name)
        qapp.processEvents()
        assert window.bar.slim.isVisible() == (name in SLIM), name
        assert window.bar.isVisible() == (name not in SLIM), name
    window.show_page("Bike")
    assert window.bar.slim.fitted.text() == "15/46"
    assert window.bar.slim.proposed.text() == "16/43"
    assert window.bar.slim.word.text() == "Fits, 2 cautions" == window.bar.verdict.word.text()
    qapp.processEvents()
    told = window.bar.slim.told
    assert told.isVisible()
    assert told.text().splitlines() == list(verdict(evaluate(window.document.bike, window.document.chosen)).told)
    assert told.height() >= told.heightForWidth(told.width())
    # What a customer reads says it in plain words by itself.
    window.show_page("Customer")
    assert window.bar.slim.told.text() == ""


def test_without_cautions_the_row_is_low(window: Workbench, qapp: QApplication) -> None:
    window.show_page("Bike")
    qapp.processEvents()
    assert window.bar.slim.told.text() == ""
    assert window.bar.slim.height() == 56


def test_of_many_cautions_the_gravest_are_told_whole_and_the_rest_counted(window: Workbench) -> None:
    bar, result = window.bar.slim, evaluate(window.document.bike, window.document.chosen)
    many = Verdict("check", "Fits, 5 cautions", tuple(f"Caution {k}." for k in range(5)), ())
    bar.show_sets(result, result, many)
    assert bar.told.text().splitlines() == ["Caution 0.", "Caution 1.", "Caution 2.", "And 2 more: press at the right."]


@pytest.mark.parametrize("name", ["Speed", "Pull", "Chain", "Choices", "Quote", "Fitting"])
def test_a_page_has_one_button_that_is_filled(window: Workbench, qapp: QApplication, name: str) -> None:
    window.document.propose(replace(window.document.chosen, front=16, rear=43), "p")
    window.show_page(name)
    qapp.processEvents()
    filled = [b for b in window.page(name).findChildren(QPushButton) if b.property("primary") and b.isVisible()]
    assert len(filled) == 1


def test_the_customer_is_shown_what_was_found(window: Workbench, qtbot: QtBot) -> None:
    assert not window.speed_page.to_customer.isEnabled()
    window.document.propose(replace(window.document.chosen, front=16), "p")
    for name in ("Speed", "Pull"):
        window.show_page(name)
        qtbot.mouseClick(window.page(name).to_customer, Qt.MouseButton.LeftButton)
        assert window.in_sight == "Customer"


def test_at_the_bench_the_set_is_not_moved_by_chance(window: Workbench, qapp: QApplication, qtbot: QtBot) -> None:
    window.show_page("Fitting")
    before = window.document.chosen
    for key in (KEY.Key_Left, KEY.Key_Right, KEY.Key_Up, KEY.Key_Down):
        qtbot.keyClick(window, key, Qt.KeyboardModifier.AltModifier)
    assert window.document.chosen == before
    assert "Speed page" in window.message.text.text()
    qtbot.mouseClick(window.bar.slim.word, Qt.MouseButton.LeftButton)
    qapp.processEvents()
    assert window.bar.verdict.reasons.isVisible()
    assert not window.bar.controls.isVisible()
    assert not window.bar.unfold.isVisible()
    window.show_page("Speed")
    assert window.bar.controls.isVisible()


def test_the_rail_has_every_page_once_in_the_order_of_work_and_its_heads_cannot_be_chosen(
    window: Workbench, qtbot: QtBot
) -> None:
    pages = [name for _, names in GROUPS for name in names]
    assert sorted(pages) == sorted(PAGES)
    window.show_page(pages[0])
    window.rail.setFocus()
    seen = [window.in_sight]
    for _ in pages[1:]:
        qtbot.keyClick(window.rail, KEY.Key_Down)
        seen.append(window.in_sight)
    assert seen == pages
    assert not any(window.rail.item(row).icon().isNull() for row in range(13) if window.rail.item(row).text() in pages)


def test_the_border_between_the_sides_is_one_on_all_pages_and_is_remembered(
    window: Workbench, qapp: QApplication
) -> None:
    def sides(name: str) -> QSplitter:
        found: twosides.TwoSides = window.page(name).findChild(twosides.TwoSides)
        return found.split

    def border(name: str) -> int:
        window.show_page(name)
        qapp.processEvents()
        split = sides(name)
        return split.mapTo(window, QPoint(split.sizes()[0], 0)).x()

    pages = ("Speed", "Chain", "Pull", "Circuit", "Choices")
    assert len({border(name) for name in pages}) == 1
    window.resize(1920, 1080)
    split = sides("Speed")
    border("Speed")
    split.moveSplitter(900, 1)
    try:
        assert len({border(name) for name in pages}) == 1
        assert border("Pull") - split.mapTo(window, split.rect().topLeft()).x() == pytest.approx(900, abs=3)
        window.document.start(demo_bike(), None)
        window.close()
        assert settings.load().seam == pytest.approx(twosides.seam(), abs=0.001)
    finally:
        twosides.set_seam(twosides.SEAM)
        window.resize(1280, 800)


def test_controls_have_one_height(window: Workbench) -> None:
    bar, page = window.bar, window.speed_page
    assert {one.height() for one in (bar.fields["front"], bar.as_fitted, page.cursor_field)} == {theme.CONTROL}
