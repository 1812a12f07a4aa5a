"""A circuit from a demo to a proposed set: ranked off the window's thread, edited, saved, exported."""

from __future__ import annotations

import itertools
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import QRect, Qt
from PySide6.QtWidgets import QApplication, QFileDialog, QMessageBox, QScrollArea
from pytestqt.qtbot import QtBot

from gearplan.bike.circuit import Circuit, Section
from gearplan.bike.circuitfile import demo_circuit, read_circuit
from gearplan.bike.profile import with_value
from gearplan.plan.lapranking import rank_laps
from gearplan.plan.lapview import LapView, lap_view
from gearplan.plan.searchspace import default_space
from gearplan.window.pages.circuit import CircuitPage
from gearplan.window.workbench import Workbench


@pytest.fixture
def page(window: Workbench, qapp: QApplication) -> CircuitPage:
    window.show_page("Circuit")
    qapp.processEvents()
    return window.circuit_page


@pytest.fixture
def lapped(window: Workbench, page: CircuitPage, qtbot: QtBot) -> CircuitPage:
    window.circuits.open_demo("Marlpit Lane")
    ranked(page, qtbot)
    return page


def ranked(page: CircuitPage, qtbot: QtBot) -> None:
    qtbot.waitUntil(lambda: page.ranker.ranking is not None and not page.ranker.busy, timeout=20000)


def cells(table: Any) -> list[list[str]]:
    model = table.model()
    return [[str(model.index(r, c).data()) for c in range(model.columnCount())] for r in range(model.rowCount())]


def test_without_a_circuit_the_page_offers_some(window: Workbench, page: CircuitPage, qtbot: QtBot) -> None:
    assert page.empty.isVisible()
    assert "Which circuit?" in page.empty.words.text()
    assert not page.drawn.isVisible()
    button = next(b for b in page.offers.children() if b.objectName() == "Heronfleet")
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)
    assert page.drawn.isVisible()
    assert page.name.text().startswith("Heronfleet, ")
    assert window.document.undo_label == "Open Heronfleet"


def test_the_ranking_is_that_of_the_command(window: Workbench, lapped: CircuitPage) -> None:
    bike, circuit = window.document.bike, window.document.circuit
    assert circuit is not None
    expected = rank_laps(bike, circuit, default_space(bike))
    best = expected.best(3)  # type: ignore[union-attr]
    shown = cells(lapped.results.table)
    assert [row[1] for row in shown[:3]] == [f"{row.set.front}/{row.set.rear}" for row in best]
    assert [row[3] for row in shown[:3]] == [f"{row.time:.2f}" for row in best]
    assert "are tied" in lapped.results.words.text()


def test_a_click_proposes_and_the_lap_follows(window: Workbench, lapped: CircuitPage, qtbot: QtBot) -> None:
    table = lapped.results.table
    before = lapped.sentence.text()
    where = table.visualRect(table.model().index(2, 1)).center()
    qtbot.mouseClick(table.viewport(), Qt.MouseButton.LeftButton, pos=where)
    row = cells(table)[2]
    assert f"{window.document.chosen.front}/{window.document.chosen.rear}" == row[1]
    assert lapped.sentence.text() != before
    assert row[0].endswith("→")
    known = lapped.known()
    assert isinstance(known, LapView)
    assert f"{known.row.time:.2f}" == row[3]


def test_filters_leave_only_what_is_wanted(lapped: CircuitPage, qtbot: QtBot) -> None:
    lapped.results.boxes["hand"].click()
    assert {row[8] for row in cells(lapped.results.table)} == {"at hand"}
    lapped.results.margin.setFocus()
    all_at_hand = len(cells(lapped.results.table))
    qtbot.keyClicks(lapped.results.margin, "50")
    assert len(cells(lapped.results.table)) < all_at_hand
    assert not lapped.results.boxes["shelf"].isEnabled()


def test_the_cursor_is_linked(lapped: CircuitPage, qtbot: QtBot) -> None:
    speed = lapped.drawn.charts[0]
    speed.setFocus()
    for _ in range(3):
        qtbot.keyClick(speed, Qt.Key.Key_Right, Qt.KeyboardModifier.ShiftModifier)
    assert lapped.drawn.distance == pytest.approx(300)
    assert lapped.drawn.here.text().startswith("300 m; proposed ")
    assert [chart._cursor.value() for chart in lapped.drawn.charts] == [300, 300, 300]
    x, _ = lapped.drawn.map._here.getData()
    lapped.drawn.map.moved_to.emit(1000.0)
    assert lapped.drawn.map._here.getData()[0][0] != x[0]
    assert lapped.drawn.charts[2]._cursor.value() == 1000


def test_the_map_can_be_shaded_by_engine_speed(lapped: CircuitPage) -> None:
    gears = [name.toPlainText() for name in lapped.drawn.map._names if name.isVisible()]
    lapped.shade.setCurrentIndex(1)
    speeds = [name.toPlainText() for name in lapped.drawn.map._names if name.isVisible()]
    assert all(len(gear) == 1 for gear in gears)
    assert all(len(speed) >= 4 for speed in speeds)


def test_where_it_wins_in_words(window: Workbench, lapped: CircuitPage) -> None:
    window.document.propose(replace(window.document.chosen, front=14), "p")
    lapped.tabs.setCurrentIndex(1)
    words = lapped.where.words.text().splitlines()
    assert words[0].startswith("The proposed set ")
    assert any(line.startswith("Section ") for line in words[1:])
    circuit = window.document.circuit
    assert circuit is not None
    assert len(cells(lapped.where.table)) == len(circuit.sections)


def test_sections_are_edited_moved_mirrored_and_undone(window: Workbench, lapped: CircuitPage, qtbot: QtBot) -> None:
    lapped.tabs.setCurrentIndex(2)
    form, document = lapped.sections, window.document
    start = document.circuit
    assert start is not None
    length = form.fields["length_m"]
    length.setFocus()
    length.selectAll()
    qtbot.keyClicks(length, "640,5")
    assert document.circuit.sections[0].length_m == 640.5  # type: ignore[union-attr]
    qtbot.keyClick(length, Qt.Key.Key_Return)
    length.selectAll()
    qtbot.keyClicks(length, "-3")
    qtbot.keyClick(length, Qt.Key.Key_Return)
    assert form.errors.text()
    assert document.circuit.sections[0].length_m == 640.5  # type: ignore[union-attr]
    qtbot.keyClick(length, Qt.Key.Key_Escape)
    for key in ("corner", "down", "mirror", "remove"):
        form.buttons[key].click()
    assert document.circuit_unsaved
    while document.circuit != start:
        document.undo()
    assert not document.circuit_unsaved


def test_an_empty_circuit_is_built_from_nothing(window: Workbench, page: CircuitPage, qtbot: QtBot) -> None:
    window.circuits.new()
    page.tabs.setCurrentIndex(2)
    assert "no sections yet" in page.empty.words.text()
    page.sections.buttons["straight"].click()
    page.sections.buttons["corner"].click()
    ranked(page, qtbot)
    assert page.drawn.isVisible()
    page.sections.fields["apex_kmh"].setFocus()
    page.sections.fields["apex_kmh"].selectAll()
    qtbot.keyClick(page.sections.fields["apex_kmh"], Qt.Key.Key_Delete)
    assert "Section 2" in page.empty.words.text()


def test_a_circuit_is_saved_opened_and_guarded(
    window: Workbench, lapped: CircuitPage, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "mine.circuit.toml"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(path), ""))
    window.document.edit_circuit("x", replace(demo_circuit("Marlpit Lane").circuit, name="Mine"))
    assert "●" in lapped.name.text()
    lapped.save_asked.emit(False)
    assert read_circuit(path).circuit.name == "Mine"
    assert not window.document.circuit_unsaved
    window.document.edit_circuit("y", replace(read_circuit(path).circuit, name="Other"))
    answers = iter([QMessageBox.StandardButton.Cancel, QMessageBox.StandardButton.Discard])
    monkeypatch.setattr(QMessageBox, "question", lambda *_: next(answers))
    window.circuits.open_demo("Heronfleet")
    assert window.document.circuit.name == "Other"  # type: ignore[union-attr]
    window.circuits.open_demo("Heronfleet")
    assert window.document.circuit.name == "Heronfleet"  # type: ignore[union-attr]
    (tmp_path / "bad.circuit.toml").write_text("format = 1\n[[section]]\nkind = 'bend'\n")
    assert not window.circuits.open(tmp_path / "bad.circuit.toml")
    assert "section 1" in window.message.text.text()


def test_a_centre_line_becomes_a_circuit(window: Workbench, page: CircuitPage, tmp_path: Path) -> None:
    import math

    path = tmp_path / "oval.csv"
    points = [(200 + 60 * math.sin(t), 60 - 60 * math.cos(t)) for t in [k * math.pi / 40 for k in range(41)]]
    points += [(200 - 10 * k, 120.0) for k in range(1, 40)]
    points += [(-200 - 60 * math.sin(t), 60 + 60 * math.cos(t)) for t in [k * math.pi / 40 for k in range(41)]]
    points += [(-200 + 10 * k, 0.0) for k in range(1, 40)]
    path.write_text("x,y\n" + "\n".join(f"{x:.2f},{y:.2f}" for x, y in points))
    assert window.circuits.open(path)
    circuit = window.document.circuit
    assert circuit is not None
    assert circuit.length_m == pytest.approx(800 + 2 * math.pi * 60, rel=0.02)
    assert len(circuit.corners) == 2
    assert window.document.circuit_path is None


def test_the_table_and_the_page_are_exported(
    window: Workbench, lapped: CircuitPage, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name, ask in (("t.csv", lapped._export_table), ("p.pdf", lapped._export_page), ("p.png", lapped._export_page)):
        path = str(tmp_path / name)
        monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_, path=path: (path, ""))
        ask()
        assert window.message.text.text() == f"Written: {path}"
    lines = (tmp_path / "t.csv").read_text().splitlines()
    assert len(lines) > 100
    assert "lap_s" in lines[0]
    assert (tmp_path / "p.pdf").read_bytes().startswith(b"%PDF")


def test_a_race_gearbox_multiplies_the_sets_and_can_be_stopped(
    window: Workbench, lapped: CircuitPage, qtbot: QtBot
) -> None:
    first = lapped.ranker.ranking
    assert first is not None
    lapped.tabs.setCurrentIndex(3)
    field = lapped.ranges.options[2]
    field.setFocus()
    qtbot.keyClicks(field, "19/28")
    qtbot.waitUntil(lambda: lapped.ranker.ranking is not None and lapped.ranker.ranking is not first, timeout=20000)
    assert lapped.ranker.ranking is not None
    assert lapped.ranker.ranking.sets.ranked == 2 * first.sets.ranked
    qtbot.keyClicks(field, "; nonsense")
    assert "nonsense" in field.text()
    lapped.ranker.stop()
    assert "Stopped" in lapped.results.words.text()


def test_a_bike_without_torque_says_what_it_needs(window: Workbench, lapped: CircuitPage) -> None:
    window.document.edit("x", with_value(window.document.bike, "engine", "torque", None))
    assert "torque curve" in lapped.empty.words.text()
    lapped.empty.button.click()
    assert window.rail.currentItem().text() == "Pull"


def test_quickest_on_this_circuit_is_a_wish_that_can_be_judged(window: Workbench, lapped: CircuitPage) -> None:
    window.show_page("Choices")
    choices = window.choices_page
    choices.line.setText("quickest on this circuit; keep the chain")
    choices._said()
    assert choices._answer is not None
    assert not choices._answer.unjudged
    assert choices._answer.ranked[0].lap_s is not None
    assert "lap " in choices._answer.ranked[0].line


def test_weak_bikes_and_odd_circuits_are_shown(window: Workbench, lapped: CircuitPage, qtbot: QtBot) -> None:
    window.files.open_demo("Wren 125")
    steep = Circuit("Wall", (Section("straight", 900.0, 35.0), Section("corner", 20.0, apex_kmh=200.0)))
    window.document.edit_circuit("x", steep)
    ranked(lapped, qtbot)
    assert lapped.drawn.isVisible()
    assert lapped.sentence.text().startswith("The proposed set laps in ")
    load = replace(window.document.bike.load, bike_kg=1000, rider_kg=400)
    window.document.edit("heavy", replace(window.document.bike, load=load))
    ranked(lapped, qtbot)
    assert "cannot climb section 1" in lapped.sentence.text()


def test_the_next_sets_are_ridden_before_they_are_wanted(lapped: CircuitPage, qtbot: QtBot) -> None:
    lap_view.cache_clear()
    lapped.refresh()
    qtbot.waitUntil(lambda: lap_view.cache_info().currsize > 10, timeout=20000)


def test_doubts_are_the_users_to_change(lapped: CircuitPage, qtbot: QtBot) -> None:
    before, ranking = lapped.ranker.tied, lapped.ranker.ranking
    assert before is not None
    assert "shift time ±0.03 s" in lapped.results.words.text()
    assert lapped.ranges.worth["grip"].text().startswith("moves tied sets by up to 0.")
    lapped.tabs.setCurrentIndex(3)
    field = lapped.ranges.doubt_fields["shift_time_s"]
    field.setFocus()
    qtbot.keyClicks(field, "0,2")
    after = lapped.ranker.tied
    assert after is not None
    assert len(after.tied) > len(before.tied)
    assert lapped.ranker.ranking is ranking
    lapped.tabs.setCurrentIndex(0)
    assert "shift time ±0.2 s" in lapped.results.words.text()
    field.selectAll()
    qtbot.keyClicks(field, "5")
    qtbot.keyClick(field, Qt.Key.Key_Return)
    assert field.problem
    assert lapped.ranges.doubts.shift_time_s == 0.2


def test_a_row_tells_what_is_judged_of_it(lapped: CircuitPage) -> None:
    model = lapped.results.table.model()
    chains = [row[8] for row in cells(lapped.results.table)]
    told = model.index(chains.index("none"), 1).data(Qt.ItemDataRole.ToolTipRole)
    assert told.startswith("does not fit: ")
    assert "chain's tensile strength" in model.index(0, 1).data(Qt.ItemDataRole.ToolTipRole)


def test_the_fitted_set_is_marked_among_the_others(lapped: CircuitPage) -> None:
    marked = [row for row in cells(lapped.results.table) if "◦" in row[0]]
    assert [row[1] for row in marked] == ["15/46"]
    assert marked[0][4] in ("+0.00", "−0.00")
    assert marked[0][0].endswith("→")


def test_the_gearbox_of_a_row_is_named_and_can_be_taken(window: Workbench, lapped: CircuitPage, qtbot: QtBot) -> None:
    first = lapped.ranker.ranking
    lapped.tabs.setCurrentIndex(3)
    lapped.ranges.options[2].setFocus()
    qtbot.keyClicks(lapped.ranges.options[2], "19/28")
    qtbot.waitUntil(lambda: lapped.ranker.ranking is not None and lapped.ranker.ranking is not first, timeout=20000)
    lapped.tabs.setCurrentIndex(0)
    table = lapped.results.table
    row = next(k for k, texts in enumerate(cells(table)) if texts[9] == "gear 3 19/28")
    time = cells(table)[row][3]
    assert not lapped.results.take_box.isVisible()
    table.setCurrentIndex(table.model().index(row, 1))
    table.activated.emit(table.currentIndex())
    assert lapped.results.take_box.text() == "Take into the bike: gear 3 19/28"
    qtbot.mouseClick(lapped.results.take_box, Qt.MouseButton.LeftButton)
    assert (window.document.bike.gearbox.gears or ())[2] == (19, 28)
    known = lapped.known()
    assert isinstance(known, LapView)
    assert f"{known.row.time:.2f}" == time
    window.document.undo()
    assert (window.document.bike.gearbox.gears or ())[2] == (18, 27)


def test_the_map_has_a_legend_that_works_without_colour(lapped: CircuitPage) -> None:
    legend, drawn = lapped.drawn.legend, lapped.drawn
    assert legend.title == "gear"
    assert legend.names == ("1", "2", "3", "4", "5")
    assert "thin to thick: gear 1, 2, 3" in legend.accessibleName()
    widths = [part.opts["pen"].widthF() for part in drawn.map._parts[:5]]
    assert widths == sorted(set(widths))
    lapped.shade.setCurrentIndex(1)
    assert legend.title == "rpm"
    assert all("–" in name for name in legend.names)
    picture = legend.grab().toImage()
    ink = [
        sum(picture.pixelColor(4, y).lightness() < 200 for y in range(picture.height())),
        sum(picture.pixelColor(60, y).lightness() < 128 for y in range(picture.height())),
    ]
    assert min(ink) > 0


def test_the_plateau_shows_which_sets_are_tied(lapped: CircuitPage) -> None:
    ranking, tied, chart = lapped.ranker.ranking, lapped.ranker.tied, lapped.drawn.plateau
    assert ranking is not None
    assert tied is not None
    ratios, behind = chart._tied.getData()
    assert sorted(ratios) == sorted(ranking.sets.ratio[tied.tied])
    assert behind.max() <= tied.spread.max()
    one = ranking.sets.set_at(tied.chosen)
    assert chart._chosen_name.toPlainText() == f"{one.front}/{one.rear}"
    lapped.results.boxes["hand"].click()
    assert lapped.ranker.tied is not None
    assert len(chart._tied.getData()[0]) == len(lapped.ranker.tied.tied) < len(ratios)


def test_the_form_stays_in_reach_of_five_hundred_sections(window: Workbench, lapped: CircuitPage) -> None:
    one = demo_circuit("Marlpit Lane").circuit.sections
    window.document.edit_circuit("x", Circuit("Long", tuple(one[k % 16] for k in range(500))))
    lapped.tabs.setCurrentIndex(2)
    QApplication.processEvents()
    form = lapped.sections
    assert form.table.model().rowCount() == 500
    assert form.table.height() < 300
    form.pick(480)
    assert form.fields["length_m"].text() == f"{one[480 % 16].length_m:g}"
    assert form.table.visualRect(form.table.model().index(480, 1)).intersects(form.table.viewport().rect())


def test_the_section_under_the_cursor_comes_to_hand(lapped: CircuitPage, window: Workbench, qtbot: QtBot) -> None:
    lapped.tabs.setCurrentIndex(2)
    QApplication.processEvents()
    circuit = window.document.circuit
    assert circuit is not None
    lapped.drawn.map.moved_to.emit(circuit.starts_m[9] + 1.0)
    assert lapped.sections.index == 9
    assert lapped.sections.fields["note"].text() == "bottom hairpin"
    assert lapped.drawn.distance == circuit.starts_m[9] + 1.0
    table = lapped.sections.table
    table.setCurrentIndex(table.model().index(1, 1))
    assert lapped.drawn.distance == pytest.approx((circuit.starts_m[1] + circuit.starts_m[2]) / 2)


def test_an_added_section_is_at_hand_and_marked(lapped: CircuitPage) -> None:
    lapped.tabs.setCurrentIndex(2)
    form = lapped.sections
    form.pick(4)
    form.buttons["corner"].click()
    assert form.index == 5
    assert {index.row() for index in form.table.selectedIndexes()} == {5}
    form.fields["length_m"].entered.emit(77.0)
    assert cells(form.table)[5][2] == "77"


def test_a_radius_says_which_apex_speed_it_gives(window: Workbench, lapped: CircuitPage) -> None:
    corners = (
        Section("corner", 60.0, radius_m=45.0, turn_deg=76.0),
        Section("corner", 60.0, radius_m=45.0, grip=0.8),
        Section("corner", 60.0, radius_m=45.0, lean_deg=45.0),
        Section("corner", 60.0),
    )
    window.document.edit_circuit("x", Circuit("R", (Section("straight", 300.0), *corners)))
    lapped.tabs.setCurrentIndex(2)
    shown = [row[3] for row in cells(lapped.sections.table)]
    # v² = μ g r, by hand: the demo bike's tyre grips 1.1, tan 45° is 1.
    assert shown == ["", "R 45 m: 79 km/h", "R 45 m: 68 km/h", "R 45 m: 76 km/h", "–"]


@pytest.mark.parametrize("shade", [0, 1])
@pytest.mark.parametrize("name", ["Marlpit Lane", "Heronfleet", "Cairn Brae hill climb"])
def test_no_mark_on_the_map_covers_another(
    window: Workbench, page: CircuitPage, qapp: QApplication, name: str, shade: int
) -> None:
    window.circuits.open_demo(name)
    page.shade.setCurrentIndex(shade)
    qapp.processEvents()
    chart = page.drawn.map
    names = [one for one in (*chart._names, chart._start_name) if one.isVisible()]
    assert len(names) > 4
    boxes = [one.mapRectToScene(one.textItem.mapRectToParent(one.textItem.boundingRect())) for one in names]
    # A text item has a margin about its letters.
    boxes = [box.adjusted(4, 6, -4, -6) for box in boxes]
    for one, other in itertools.combinations(boxes, 2):
        assert not one.intersects(other)


def test_the_plateau_is_not_pressed_flat_by_slow_sets(window: Workbench, page: CircuitPage, qtbot: QtBot) -> None:
    window.circuits.open_demo("Heronfleet")
    ranked(page, qtbot)
    ranking, tied = page.ranker.ranking, page.ranker.tied
    assert ranking is not None
    assert tied is not None
    assert float(ranking.time.max() - ranking.time.min()) > 5
    top = page.drawn.plateau.getPlotItem().vb.viewRange()[1][1]
    assert top <= 2.5
    assert top >= tied.behind[tied.behind <= tied.spread].max()


def test_at_the_least_size_nothing_is_cut_off(window: Workbench, lapped: CircuitPage, qapp: QApplication) -> None:
    window.resize(960, 620)
    for _ in range(3):
        qapp.processEvents()
    # The words break within the side; the table scrolls sideways by itself.
    scroll = lapped.tabs.currentWidget()
    assert isinstance(scroll, QScrollArea)
    assert lapped.results.width() <= scroll.viewport().width()
    table = lapped.results.table
    assert table.horizontalScrollBar().maximum() > 0
    assert all(table.columnWidth(column) >= 44 for column in range(table.model().columnCount()))
    for label in (lapped.sentence, lapped.results.words):
        room = QRect(0, 0, label.width(), 1000)
        needed = label.fontMetrics().boundingRect(room, Qt.TextFlag.TextWordWrap, label.text()).height()
        assert needed <= label.height()


def test_the_table_is_seen_with_its_notes_and_marks(lapped: CircuitPage, window: Workbench) -> None:
    window.resize(1280, 800)
    QApplication.processEvents()
    scroll = lapped.tabs.currentWidget()
    assert isinstance(scroll, QScrollArea)
    assert scroll.verticalScrollBar().maximum() == 0
    assert lapped.results.marks.text().startswith("= tied")
    assert lapped.results.notes.isVisible()
    assert lapped.results.table.horizontalScrollBar().maximum() == 0
