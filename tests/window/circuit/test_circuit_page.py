"""A circuit from a demo to a proposed set: ranked off the window's thread, edited, saved, exported."""

from __future__ import annotations

import itertools
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QFileDialog, QMessageBox
from pytestqt.qtbot import QtBot

from gearplan.bike.circuit import Circuit, Section
from gearplan.bike.files.circuitfile import demo_circuit, read_circuit
from gearplan.bike.profile import with_value
from gearplan.window.circuit.page import CircuitPage
from gearplan.window.frame.workbench import Workbench
from tests.window.circuit.laps import cells, ranked


def test_without_a_circuit_the_page_offers_some(window: Workbench, circuit_page: CircuitPage, qtbot: QtBot) -> None:
    assert circuit_page.empty.isVisible()
    assert "Which circuit?" in circuit_page.empty.words.text()
    assert not circuit_page.drawn.isVisible()
    button = next(b for b in circuit_page.offers.children() if b.objectName() == "Heronfleet")
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)
    assert circuit_page.drawn.isVisible()
    assert circuit_page.name.text().startswith("Heronfleet, ")
    assert window.document.undo_label == "Open Heronfleet"


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


def test_an_empty_circuit_is_built_from_nothing(window: Workbench, circuit_page: CircuitPage, qtbot: QtBot) -> None:
    window.circuits.new()
    circuit_page.tabs.setCurrentIndex(2)
    assert "no sections yet" in circuit_page.empty.words.text()
    circuit_page.sections.buttons["straight"].click()
    circuit_page.sections.buttons["corner"].click()
    ranked(circuit_page, qtbot)
    assert circuit_page.drawn.isVisible()
    circuit_page.sections.fields["apex_kmh"].setFocus()
    circuit_page.sections.fields["apex_kmh"].selectAll()
    qtbot.keyClick(circuit_page.sections.fields["apex_kmh"], Qt.Key.Key_Delete)
    assert "Section 2" in circuit_page.empty.words.text()


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


def test_a_centre_line_becomes_a_circuit(window: Workbench, circuit_page: CircuitPage, tmp_path: Path) -> None:
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


def test_a_bike_without_torque_says_what_it_needs(window: Workbench, lapped: CircuitPage) -> None:
    window.document.edit("x", with_value(window.document.bike, "engine", "torque", None))
    assert "torque curve" in lapped.empty.words.text()
    lapped.empty.button.click()
    assert window.rail.currentItem().text() == "Pull"


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
    window: Workbench, circuit_page: CircuitPage, qapp: QApplication, name: str, shade: int
) -> None:
    window.circuits.open_demo(name)
    circuit_page.shade.setCurrentIndex(shade)
    qapp.processEvents()
    chart = circuit_page.drawn.map
    names = [one for one in (*chart._names, chart._start_name) if one.isVisible()]
    assert len(names) > 4
    boxes = [one.mapRectToScene(one.textItem.mapRectToParent(one.textItem.boundingRect())) for one in names]
    # A text item has a margin about its letters.
    boxes = [box.adjusted(4, 6, -4, -6) for box in boxes]
    for one, other in itertools.combinations(boxes, 2):
        assert not one.intersects(other)


def test_what_lacks_is_said_in_the_words_of_the_form(window: Workbench, lapped: CircuitPage) -> None:
    window.document.edit_circuit("x", Circuit("f", (Section("straight", 300.0), Section("corner", 20.0))))
    lapped.tabs.setCurrentIndex(2)
    for label in (lapped.empty.words, lapped.results.words, lapped.sections.doubts):
        assert "Section 2" in label.text()
        assert "_" not in label.text()


def test_a_new_circuit_takes_nothing_over_from_the_last_one(
    window: Workbench, lapped: CircuitPage, qapp: QApplication
) -> None:
    lapped.tabs.setCurrentIndex(2)
    assert lapped.sections.fields["length_m"].text()
    assert len(lapped.drawn.plateau._proposed.getData()[0]) > 0
    window.circuits.new()
    qapp.processEvents()
    fields = [field for field in lapped.sections.fields.values() if hasattr(field, "text")]
    assert [field.text() for field in fields] == [""] * len(fields)
    window.document.edit_circuit("x", Circuit("one straight", (Section("straight", 200.0),)))
    assert lapped.ranker.ranking is None
    assert lapped.drawn.plateau._proposed.getData()[0] is None or len(lapped.drawn.plateau._proposed.getData()[0]) == 0
    assert not lapped.drawn.plateau._chosen_name.isVisible()


def refused_at(window: Workbench, page: CircuitPage, qtbot: QtBot, row: int, key: str, text: str) -> None:
    page.tabs.setCurrentIndex(2)
    form = page.sections
    form.table.selectRow(row)
    form.fields[key].setFocus()
    form.fields[key].selectAll()
    qtbot.keyClicks(form.fields[key], text)
    assert form.fields[key].refused_text() == text


def test_what_cannot_be_read_stays_with_its_section(window: Workbench, circuit_page: CircuitPage, qtbot: QtBot) -> None:
    window.circuits.open_demo("Marlpit Lane")
    form, document = circuit_page.sections, window.document
    refused_at(window, circuit_page, qtbot, 2, "length_m", "15x")
    refused_at(window, circuit_page, qtbot, 4, "gradient_percent", "steep")
    assert dict(document.unread("circuit")) == {"Section 3, length": "15x", "Gradient, uphill positive": "steep"}
    assert "Section 3, length: “15x” was not accepted and is left out." in form.doubts.text()
    form.table.selectRow(0)
    assert form.fields["length_m"].refused_text() == form.fields["gradient_percent"].refused_text() == ""
    assert form.fields["length_m"].text() == "445"
    assert dict(document.unread("circuit")) == {
        "Section 3, length": "15x",
        "Section 5, gradient, uphill positive": "steep",
    }
    form.table.selectRow(2)
    assert form.fields["length_m"].text() == "15x"
    assert form.fields["length_m"].property("wrong")
    form.fields["length_m"].selectAll()
    qtbot.keyClicks(form.fields["length_m"], "151")
    assert dict(document.unread("circuit")) == {"Section 5, gradient, uphill positive": "steep"}
    assert document.circuit is not None
    assert document.circuit.sections[2].length_m == 151


@pytest.mark.parametrize(
    ("row", "press", "section"),
    [(1, "straight", 5), (1, "remove", 3), (1, "up", 4), (2, "down", 3), (1, "mirror", 4), (1, "reverse", 13)],
)
def test_what_cannot_be_read_goes_where_its_section_goes(
    window: Workbench, circuit_page: CircuitPage, qtbot: QtBot, row: int, press: str, section: int
) -> None:
    window.circuits.open_demo("Marlpit Lane")
    assert window.document.circuit is not None
    assert len(window.document.circuit.sections) == 16
    form = circuit_page.sections
    # Sections count from 1 for the reader; this is the fourth.
    refused_at(window, circuit_page, qtbot, 3, "length_m", "4,9,1")
    form.table.selectRow(row)
    form.buttons[press].click()
    assert window.document.unread("circuit") == ((f"Section {section}, length", "4,9,1"),)
    window.document.undo()
    form.table.selectRow(0)
    assert window.document.unread("circuit") == (("Section 4, length", "4,9,1"),)
    form.table.selectRow(3)
    assert form.fields["length_m"].text() == "4,9,1"
    # At hand it goes with the section too.
    form.buttons["mirror"].click()
    assert form.fields["length_m"].text() == "4,9,1"
    form.buttons["remove"].click()
    assert window.document.unread("circuit") == ()


def test_a_step_back_gives_the_value_of_before_in_place_of_what_cannot_be_read(
    window: Workbench, circuit_page: CircuitPage, qtbot: QtBot
) -> None:
    window.circuits.open_demo("Marlpit Lane")
    form = circuit_page.sections
    for elsewhere in (False, True):
        refused_at(window, circuit_page, qtbot, 4, "gradient_percent", "steep")
        assert window.document.circuit is not None
        assert window.document.circuit.sections[4].gradient_percent == 0
        if elsewhere:
            form.table.selectRow(0)
        window.document.undo()
        form.table.selectRow(4)
        assert form.fields["gradient_percent"].text() == "-1.5"
        assert window.document.unread("circuit") == ()


def test_another_bike_leaves_what_the_circuit_holds_and_another_circuit_asks(
    window: Workbench, circuit_page: CircuitPage, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    window.circuits.open_demo("Marlpit Lane")
    form = circuit_page.sections
    refused_at(window, circuit_page, qtbot, 3, "length_m", "4,9,1")
    window.files.open_demo("Wren 125")
    assert window.document.unread("circuit") == (("Length", "4,9,1"),)
    assert form.fields["length_m"].text() == "4,9,1"
    asked: list[str] = []

    def answer(*given: Any) -> object:
        asked.append(given[2])
        return answers.pop()

    monkeypatch.setattr(QMessageBox, "question", answer)
    answers = [QMessageBox.StandardButton.Discard, QMessageBox.StandardButton.Cancel]
    window.circuits.open_demo("Heronfleet")
    assert "Length (“4,9,1”). Go on without it?" in asked[0]
    assert window.document.circuit == demo_circuit("Marlpit Lane").circuit
    window.circuits.open_demo("Heronfleet")
    assert window.document.circuit == demo_circuit("Heronfleet").circuit
    assert window.document.unread("circuit") == ()
