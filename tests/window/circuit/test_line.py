"""The line of a track on the Circuit page, by mouse and keys; an own lap time; what New leaves in the fields."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from gearplan.bike.files.circuitfile import demo_circuit
from gearplan.bike.library import demo_circuits
from gearplan.plan.laps.view import LapView
from gearplan.window.circuit.page import CircuitPage
from gearplan.window.frame.workbench import Workbench
from gearplan.window.kit import theme
from tests.reference.test_circuits import line
from tests.window.clipping import cut
from tests.window.test_clipping import ROOMS, settle, take_text_size


@pytest.fixture
def track(tmp_path: Path) -> Path:
    x, y, _ = line("de-1927")
    path = tmp_path / "Ring.csv"
    path.write_text("x_m,y_m\n" + "\n".join(f"{a:.2f},{b:.2f}" for a, b in zip(x, y, strict=True)))
    return path


def test_a_line_is_shown_cut_finer_and_taken(
    window: Workbench, circuit_page: CircuitPage, track: Path, qtbot: QtBot
) -> None:
    assert not circuit_page.tabs.isTabVisible(5)
    assert window.circuits.open(track)
    assert window.document.circuit_path is None
    assert circuit_page.tabs.isTabVisible(5)
    circuit_page.tabs.setCurrentIndex(5)
    form, before = circuit_page.line, window.document.circuit
    assert before is not None
    assert form.found.text().startswith(f"{len(before.corners)} turns")
    assert not form.take.isEnabled()
    form.slider.setFocus()
    qtbot.keyClick(form.slider, Qt.Key.Key_Home)
    assert form.shown is not None
    coarse = form.shown.circuit
    assert len(coarse.corners) < len(before.corners)
    assert window.document.circuit is before
    qtbot.mouseClick(form.take, Qt.MouseButton.LeftButton)
    assert window.document.circuit == coarse
    assert window.document.undo_label == "Take the sections of the line"
    assert not form.take.isEnabled()
    window.document.undo()
    assert window.document.circuit == before
    assert form.take.isEnabled()
    window.document.undo()
    assert not circuit_page.tabs.isTabVisible(5)


def test_the_width_makes_the_turns_wider(
    window: Workbench, circuit_page: CircuitPage, track: Path, qtbot: QtBot
) -> None:
    window.circuits.open(track)
    circuit_page.tabs.setCurrentIndex(5)
    form = circuit_page.line
    assert form.width_m.placeholderText() == "12 assumed"

    def sharpest(width: str) -> float:
        form.width_m.setFocus()
        form.width_m.selectAll()
        qtbot.keyClicks(form.width_m, width)
        qtbot.keyClick(form.width_m, Qt.Key.Key_Return)
        assert form.shown is not None
        return min(s.radius_m for s in form.shown.circuit.sections if s.radius_m is not None)

    assert sharpest("0") < sharpest("8") < sharpest("16")
    assert "The track is taken as 16 m wide" in form.notes.text()
    last = sharpest("16")
    assert sharpest("-4") == last
    assert "give 0 to 40 m" in form.errors.text()


def test_an_own_lap_sets_the_apex_speeds(window: Workbench, lapped: CircuitPage, qtbot: QtBot) -> None:
    known, before = lapped.asks.known(), window.document.circuit
    assert isinstance(known, LapView)
    assert known.on_row is not None
    wanted = math.floor(10 * known.on_row.time + 15) / 10
    lapped.tabs.setCurrentIndex(2)
    own = lapped.sections.own
    own.time.setFocus()
    qtbot.keyClicks(own.time, f"{wanted:.1f}".replace(".", ","))
    qtbot.mouseClick(own.button, Qt.MouseButton.LeftButton)
    known = lapped.asks.known()
    assert isinstance(known, LapView)
    assert known.on_row is not None
    assert known.on_row.time == pytest.approx(wanted, abs=0.005)
    said = lapped.sections.said
    assert "Assumed" in said.text()
    window.document.undo()
    assert window.document.circuit == before
    assert "Assumed" not in said.text()
    own.time.selectAll()
    qtbot.keyClicks(own.time, "0:09")
    qtbot.keyClick(own.time, Qt.Key.Key_Return)
    assert window.document.circuit == before
    assert "No grip explains a lap of 9.00 s" in said.text()
    own.time.selectAll()
    qtbot.keyClicks(own.time, "soon")
    qtbot.keyClick(own.time, Qt.Key.Key_Return)
    assert "is not a lap time" in said.text()
    assert lapped.ranker is not None
    assert isinstance(lapped.asks.known(), LapView)


def test_a_circuit_that_is_opened_has_no_line(window: Workbench, circuit_page: CircuitPage, track: Path) -> None:
    window.circuits.open(track)
    window.circuits.open_demo(next(iter(demo_circuits())))
    assert window.document.line is None
    assert window.document.circuit == demo_circuit().circuit
    assert not circuit_page.tabs.isTabVisible(5)


def test_nothing_of_the_line_is_cut_off(
    window: Workbench, circuit_page: CircuitPage, track: Path, qapp: QApplication
) -> None:
    window.circuits.open(track)
    # One line of what was said, with a button that shows all of it.
    window.message.say("")
    circuit_page.sections.own.say("No grip explains a lap of 31.30 s: check the lap time.", window.document.circuit)
    for share in (1.0, theme.SCALES[-1]):
        take_text_size(window, share)
        for size in ROOMS:
            window.resize(*size)
            for tab in (2, 5):
                circuit_page.tabs.setCurrentIndex(tab)
                settle(qapp)
                assert cut(window) == [], (share, size, tab)
    take_text_size(window, 1.0)
