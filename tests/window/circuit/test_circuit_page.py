"""A circuit from a demo to a proposed set: ranked off the window's thread, edited, saved, exported."""

from __future__ import annotations

import itertools
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QFileDialog, QMessageBox
from pytestqt.qtbot import QtBot

from gearplan.bike.circuit import Circuit, Section
from gearplan.bike.files.circuitfile import demo_circuit, read_circuit
from gearplan.bike.profile import with_value
from gearplan.plan.laps.spread import advised
from gearplan.plan.laps.view import LapView
from gearplan.window.circuit.charts.aheadchart import AheadChart
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
    assert circuit_page.head.name.text().startswith("Heronfleet, ")
    assert window.document.undo_label == "Open Heronfleet"


def test_the_cursor_is_linked(lapped: CircuitPage, qtbot: QtBot) -> None:
    speed = lapped.drawn.charts[2]
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


def test_where_the_tied_sets_end_stands_on_the_scale(qapp: QApplication, qtbot: QtBot) -> None:
    chart = AheadChart()
    qtbot.addWidget(chart)
    along = np.linspace(0.0, 1755.0, 50)
    chart.show_ahead((along, np.zeros(50)))
    chart.show_tied((-1.49, -1.33), -1.34)
    low, high = chart.getPlotItem().vb.viewRange()[1]
    assert low <= 0 < 1.49 <= high < 3
    chart.show_tied((0.2, 0.6), 0.4)
    low, high = chart.getPlotItem().vb.viewRange()[1]
    assert -1.2 < low <= -0.6 < 0 <= high
    chart.show_tied(None, None)
    assert chart.getPlotItem().vb.viewRange()[1][1] < 0.5


def test_the_map_can_be_shaded_by_engine_speed(lapped: CircuitPage) -> None:
    gears = [name.toPlainText() for name in lapped.drawn.map._names if name.isVisible()]
    lapped.head.shade.setCurrentIndex(1)
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


def test_a_circuit_is_saved_opened_and_guarded(
    window: Workbench, lapped: CircuitPage, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "mine.circuit.toml"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(path), ""))
    window.document.edit_circuit("x", replace(demo_circuit("Marlpit Lane").circuit, name="Mine"))
    assert "●" in lapped.head.name.text()
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


def test_the_map_says_gears_by_thickness_and_in_words(lapped: CircuitPage) -> None:
    drawn = lapped.drawn.map
    assert drawn.accessibleName().startswith("Map of the circuit. Thin to thick: gear 2, 3, 4")
    widths = [part.opts["pen"].widthF() for part in drawn._parts[:3]]
    assert widths == sorted(set(widths))
    assert min(b - a for a, b in itertools.pairwise(widths)) >= 1
    lapped.head.shade.setCurrentIndex(1)
    assert drawn.accessibleName().startswith("Map of the circuit. Thin to thick: engine speed ")


def test_the_advice_heads_the_page_and_its_button_proposes_it(
    window: Workbench, lapped: CircuitPage, qtbot: QtBot
) -> None:
    ranked(lapped, qtbot)
    ranking, tied = lapped.ranker.ranking, lapped.ranker.tied
    assert ranking is not None
    assert tied is not None
    one = ranking.sets.set_at(advised(ranking, tied))
    assert lapped.advice.words.text().endswith(f" {one.front}/{one.rear}")
    window.document.propose(replace(window.document.chosen, front=16, rear=43), "p")
    qtbot.mouseClick(lapped.advice.button, Qt.MouseButton.LeftButton)
    assert (window.document.chosen.front, window.document.chosen.rear) == (one.front, one.rear)
    # Nothing is left to be done.
    assert not lapped.advice.button.isVisible()


def test_the_greatest_lead_and_loss_are_written_in_the_curve(window: Workbench, lapped: CircuitPage) -> None:
    window.document.propose(replace(window.document.chosen, front=16, rear=43), "p")
    known = lapped.asks.known()
    assert isinstance(known, LapView)
    assert known.ahead is not None
    chart = lapped.drawn.charts[0]
    named = [name.toPlainText() for name in chart._extremes if name.isVisible()]
    expected = [end for end in (known.ahead[1].max(), known.ahead[1].min()) if abs(end) >= 0.01]
    assert [float(words.removesuffix(" s").replace("−", "-")) for words in named] == pytest.approx(expected, abs=0.006)


@pytest.mark.parametrize("shade", [0, 1])
@pytest.mark.parametrize("name", ["Marlpit Lane", "Heronfleet", "Cairn Brae hill climb"])
def test_no_mark_on_the_map_covers_another(
    window: Workbench, circuit_page: CircuitPage, qapp: QApplication, name: str, shade: int
) -> None:
    window.circuits.open_demo(name)
    circuit_page.head.shade.setCurrentIndex(shade)
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
    for label in (lapped.empty.words, lapped.results.words, lapped.sections.said):
        assert "Section 2" in label.text()
        assert "_" not in label.text()


def test_a_new_circuit_takes_nothing_over_from_the_last_one(
    window: Workbench, lapped: CircuitPage, qapp: QApplication
) -> None:
    lapped.tabs.setCurrentIndex(2)
    assert len(lapped.drawn.plateau._proposed.getData()[0]) > 0
    window.circuits.new()
    qapp.processEvents()
    assert lapped.sections.model.rowCount() == 0
    window.document.edit_circuit("x", Circuit("one straight", (Section("straight", 200.0),)))
    assert lapped.ranker.ranking is None
    assert lapped.drawn.plateau._proposed.getData()[0] is None or len(lapped.drawn.plateau._proposed.getData()[0]) == 0
    assert not lapped.drawn.plateau._chosen_name.isVisible()
