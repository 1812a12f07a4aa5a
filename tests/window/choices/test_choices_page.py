"""From "I do 120 and want it calmer" to a proposed set, with keys and clicks."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from gearplan.bike.demo import demo_bike
from gearplan.bike.profile import Bike
from gearplan.plan.choices.search import search
from gearplan.plan.choices.space import default_space
from gearplan.plan.choices.wishes import KINDS
from gearplan.plan.choices.wishtext import parse_wish
from gearplan.plan.set.evaluate import evaluate
from gearplan.plan.words import set_name
from gearplan.window.choices.page import ChoicesPage
from gearplan.window.frame.workbench import Workbench
from gearplan.window.kit.controls.fields import ChoiceField
from gearplan.window.kit.controls.numberfield import NumberField


@pytest.fixture
def page(window: Workbench, qapp: QApplication) -> ChoicesPage:
    window.show_page("Choices")
    qapp.processEvents()
    return window.choices_page


def say(page: ChoicesPage, qtbot: QtBot, text: str) -> None:
    page.line.setFocus()
    page.line.selectAll()
    qtbot.keyClicks(page.line, text)
    qtbot.keyClick(page.line, Qt.Key.Key_Return)


def rows(page: ChoicesPage) -> list[str]:
    model = page.list.model()
    return [str(model.index(row, 0).data()) for row in range(model.rowCount())]


def test_from_a_sentence_to_a_proposed_set(window: Workbench, page: ChoicesPage, qtbot: QtBot) -> None:
    say(page, qtbot, "I do 120 on the motorway and want it calmer, without a new chain")
    assert [wish.words for wish in page.rows.wishes] == ["calmer", "keep the chain"]
    assert page.line.text() == ""
    assert window.view.cruise == pytest.approx(120 / 3.6)
    assert rows(page)[0].startswith("16/46, 520 chain, 112 links")
    index = page.list.model().index(0, 0)
    qtbot.mouseClick(page.list.viewport(), Qt.MouseButton.LeftButton, pos=page.list.visualRect(index).center())
    assert (window.document.chosen.front, window.document.chosen.links) == (16, 112)
    assert window.document.undo_label == "Propose 16/46"
    qtbot.mouseClick(page.to_customer, Qt.MouseButton.LeftButton)
    assert window.stack.currentWidget() is window.customer_page
    assert "At 120 km/h in top gear" in window.customer_page.content.accessibleName()


def test_the_list_is_that_of_the_search(window: Workbench, page: ChoicesPage, qtbot: QtBot) -> None:
    say(page, qtbot, "livelier; smoother")
    bike = window.document.bike
    known = search(bike, (parse_wish("livelier"), parse_wish("smoother")), default_space(bike))
    assert [text.split(",")[0] for text in rows(page)] == [f"{c.set.front}/{c.set.rear}" for c in known.ranked]
    assert f"{known.met} of {known.considered}" in page.summary.text()
    for dropped in known.dropped:
        assert dropped.text in page.dropped.text()


def test_enter_proposes_the_set_under_the_keys(window: Workbench, page: ChoicesPage, qtbot: QtBot) -> None:
    say(page, qtbot, "calmer")
    page.list.setFocus()
    page.list.setCurrentIndex(page.list.model().index(0, 0))
    qtbot.keyClick(page.list, Qt.Key.Key_Down)
    qtbot.keyClick(page.list, Qt.Key.Key_Return)
    chosen = window.document.chosen
    assert rows(page)[1].startswith(f"{chosen.front}/{chosen.rear},")


def test_what_is_not_understood_stays_to_be_said_better(page: ChoicesPage, qtbot: QtBot) -> None:
    say(page, qtbot, "calmer, and with tassels")
    assert [wish.words for wish in page.rows.wishes] == ["calmer"]
    assert page.line.text() == "calmer, and with tassels"
    assert "“with tassels” is not understood" in page.errors.text()
    say(page, qtbot, "keep the chain")
    assert not page.errors.isVisible()


def test_a_wish_s_number_ranks_anew_as_it_is_typed(page: ChoicesPage, qtbot: QtBot) -> None:
    say(page, qtbot, "at 120 km/h in top gear at most 5200 rpm")
    first = rows(page)
    field = page.rows.rows[0].fields["value"]
    assert isinstance(field, NumberField)
    field.setFocus()
    field.selectAll()
    qtbot.keyClicks(field, "4700")
    assert page.rows.wishes[0].value == 4700
    assert rows(page) != first
    bound = page.rows.rows[0].fields["bound"]
    assert isinstance(bound, ChoiceField)
    bound.setFocus()
    qtbot.keyClick(bound, Qt.Key.Key_Down)
    bound.activated.emit(bound.currentIndex())
    assert page.rows.wishes[0].words == "at 120 km/h in top gear at least 4700 rpm"
    field.selectAll()
    qtbot.keyClicks(field, "5")
    qtbot.keyClick(field, Qt.Key.Key_Return)
    assert "200 to 30000" in page.rows.rows[0].errors.text()
    assert not page.rows.wishes
    qtbot.keyClick(field, Qt.Key.Key_Escape)
    assert page.rows.wishes[0].value == 4700


@pytest.mark.parametrize("key", KINDS)
def test_every_kind_has_a_row(page: ChoicesPage, qtbot: QtBot, key: str) -> None:
    page.kinds.setCurrentIndex(page.kinds.findData(key))
    qtbot.mouseClick(page.add, Qt.MouseButton.LeftButton)
    assert [wish.kind for wish in page.rows.wishes] == [key]
    assert set(page.rows.rows[0].fields) <= {"speed", "gear", "bound", "value", "part", "load_kg", "size"}
    qtbot.mouseClick(page.rows.rows[0].away, Qt.MouseButton.LeftButton)
    assert page.rows.wishes == ()


def test_the_quick_buttons_add_and_take_away(page: ChoicesPage, qtbot: QtBot) -> None:
    qtbot.mouseClick(page.often["calmer"], Qt.MouseButton.LeftButton)
    qtbot.mouseClick(page.often["keep the chain"], Qt.MouseButton.LeftButton)
    assert [wish.words for wish in page.rows.wishes] == ["calmer", "keep the chain"]
    assert page.often["calmer"].isChecked()
    qtbot.mouseClick(page.often["calmer"], Qt.MouseButton.LeftButton)
    assert [wish.words for wish in page.rows.wishes] == ["keep the chain"]
    assert not page.often["calmer"].isChecked()


def test_contradictions_and_what_costs_the_most(page: ChoicesPage, qtbot: QtBot) -> None:
    say(page, qtbot, "front at least 17; front at most 14")
    assert "contradict each other" in page.summary.text()
    assert "costs the most" in page.summary.text()
    assert "Nearest is" in page.summary.text()


def test_why_not(window: Workbench, page: ChoicesPage, qtbot: QtBot) -> None:
    say(page, qtbot, "keep the chain")
    for field, text in ((page.why_front, "14"), (page.why_rear, "54")):
        field.setFocus()
        qtbot.keyClicks(field, text)
    fits = evaluate(window.document.bike, replace(window.document.chosen, front=14, rear=54)).run.links_that_fit
    assert page.why.text() in {f"14/54 needs {links} links, you asked to keep 112." for links in fits or ()}


def test_ranges_upside_down_are_said(page: ChoicesPage, qtbot: QtBot) -> None:
    low, _ = page.ranges.ranges["front"]
    low.setFocus()
    low.selectAll()
    qtbot.keyClicks(low, "20")
    qtbot.keyClick(low, Qt.Key.Key_Return)
    assert "upside down" in page.ranges.errors.text()
    low.selectAll()
    qtbot.keyClicks(low, "16")
    assert not page.ranges.errors.isVisible()
    assert all(int(text.split("/")[0]) >= 16 for text in rows(page))


def test_other_chains_and_tyres(window: Workbench, page: ChoicesPage, qtbot: QtBot) -> None:
    say(page, qtbot, "lighter")
    before = search(window.document.bike, page.rows.wishes, default_space(window.document.bike)).considered
    assert f"of {before} sets" in page.summary.text()
    page.ranges.chains.setFocus()
    qtbot.keyClicks(page.ranges.chains, "428, 5200")
    qtbot.keyClick(page.ranges.chains, Qt.Key.Key_Return)
    assert "5200" in page.ranges.errors.text()
    page.ranges.chains.selectAll()
    qtbot.keyClicks(page.ranges.chains, "525")
    page.ranges.tyres.setFocus()
    qtbot.keyClicks(page.ranges.tyres, "190/50-17")
    space = default_space(window.document.bike, chains=("525",), tyres=("190/50-17",))
    more = search(window.document.bike, page.rows.wishes, space)
    assert more.considered > 3 * before
    assert f"of {more.considered} sets" in page.summary.text()
    assert [text.split(":")[0] for text in rows(page)] == [set_name(c.set) for c in more.ranked]


def test_a_stock_list_is_opened_and_its_bad_lines_told(
    window: Workbench, page: ChoicesPage, qtbot: QtBot, tmp_path: Path
) -> None:
    path = tmp_path / "shelf.csv"
    path.write_text("chain_size,side,teeth,quantity,price\n520,front,16,1,20\n520,rear,oops,1,1\n")
    say(page, qtbot, "only sizes on the shelf; calmer")
    assert "no stock list" in page.rows.rows[0].note.text()
    page.ranges.read(path)
    assert "1 part." in page.ranges.stock_words.text()
    assert "line 3" in page.ranges.stock_words.text()
    assert [text.split(",")[0] for text in rows(page)] == ["16/46"]
    assert "parts 20.00" in rows(page)[0]
    page.ranges.read(tmp_path / "none.csv")
    assert "no such file" in page.ranges.stock_words.text()
    assert window.view.stock is not None


def test_sets_alike_to_the_proposed_one(window: Workbench, page: ChoicesPage, qtbot: QtBot) -> None:
    page.tabs.setCurrentIndex(1)
    model = page.alike.table.model()
    sets = [str(model.index(row, 0).data()) for row in range(model.rowCount())]
    assert [text.split(",")[0] for text in sets] == ["18/55", "17/52", "16/49", "15/46", "14/43"]
    assert "worth 3.3 rear teeth more" in page.alike.exchange.text()
    at = page.alike.table.visualRect(model.index(2, 0)).center()
    qtbot.mouseClick(page.alike.table.viewport(), Qt.MouseButton.LeftButton, pos=at)
    qtbot.mouseDClick(page.alike.table.viewport(), Qt.MouseButton.LeftButton, pos=at)
    assert (window.document.chosen.front, window.document.chosen.rear) == (16, 49)


def test_an_empty_bike_says_what_it_needs(window: Workbench, page: ChoicesPage, qtbot: QtBot) -> None:
    window.document.edit("x", Bike())
    say(page, qtbot, "calmer")
    assert "has not been entered" in page.rows.rows[0].note.text()
    assert "sets meet the wishes" not in page.summary.text()
    assert page.summary.text().startswith("None of the wishes can be judged yet.")


def test_miles_an_hour(window: Workbench, page: ChoicesPage, qtbot: QtBot) -> None:
    window.view.set_speed_unit("mph")
    page.kinds.setCurrentIndex(page.kinds.findData("engine speed"))
    qtbot.mouseClick(page.add, Qt.MouseButton.LeftButton)
    assert page.rows.wishes[0].words == "at 75 mph in top gear at most 5200 rpm"


def test_another_bike_is_searched_about_its_own_set(window: Workbench, page: ChoicesPage, qtbot: QtBot) -> None:
    say(page, qtbot, "calmer")
    low, _ = page.ranges.ranges["rear"]
    low.setFocus()
    low.selectAll()
    qtbot.keyClicks(low, "45")
    window.files.open_demo("Wren 125")
    page.line.setFocus()
    page.refresh()
    assert low.text() == "32"


def test_a_stock_list_opened_later_reaches_the_customer(
    window: Workbench, page: ChoicesPage, qtbot: QtBot, tmp_path: Path
) -> None:
    window.document.propose(replace(window.document.chosen, front=16), "Propose 16/46")
    window.show_page("Customer")
    assert "20" not in window.customer_page.content.accessibleName().split("To buy")[1]
    window.show_page("Choices")
    path = tmp_path / "shelf.csv"
    path.write_text("chain_size,side,teeth,quantity,price\n520,front,16,1,20\n")
    page.ranges.read(path)
    window.show_page("Customer")
    assert "20" in window.customer_page.content.accessibleName().split("To buy")[1]


def test_typing_begins_at_once_but_the_rail_keeps_its_keyboard(window: Workbench, qtbot: QtBot) -> None:
    window.activateWindow()
    window.show_page("Pull")
    window.pull_page.tabs.tabBar().setFocus()
    window.show_page("Choices")
    QApplication.processEvents()
    assert window.choices_page.line.hasFocus()
    window.show_page("Pull")
    window.rail.setFocus()
    for _ in range(3):
        qtbot.keyClick(window.rail, Qt.Key.Key_Up)
    assert window.rail.currentItem().text() == "Choices"
    assert window.rail.hasFocus()


def test_lap_times_are_computed_beside_the_window(window: Workbench, page: ChoicesPage, qtbot: QtBot) -> None:
    window.circuits.open_demo("Marlpit Lane")
    say(page, qtbot, "quickest on this circuit")
    assert "being computed" in page.summary.text()
    qtbot.waitUntil(lambda: not page.lap_times.busy)
    assert "being computed" not in page.summary.text()
    assert not any(row.note.text() for row in page.rows.rows)
    window.document.propose(replace(window.document.chosen, front=14), "14")
    assert not page.lap_times.busy


def test_both_pages_tell_the_same_stock_list(window: Workbench, page: ChoicesPage, tmp_path: Path) -> None:
    path = tmp_path / "list.csv"
    path.write_text("chain_size,side,teeth,quantity,price\n520,rear,47,1,40\n", encoding="utf-8")
    window.show_page("Circuit")
    page.ranges.read(path)
    assert window.circuit_page.ranges.ranges.stock_words.text() == page.ranges.stock_words.text() == "list.csv: 1 part."


def test_another_bike_is_searched_about_its_own_sizes(window: Workbench, page: ChoicesPage, qtbot: QtBot) -> None:
    qtbot.keyClicks(page.ranges.chains, "525")
    qtbot.keyClicks(page.ranges.tyres, "190/50-17")
    window.files.start_with(demo_bike(), None)
    space = page.ranges.space(window.document.bike)
    assert not isinstance(space, str)
    assert len(space.chains) == len(space.tyres) == 1
    assert page.ranges.chains.text() == page.ranges.tyres.text() == ""
