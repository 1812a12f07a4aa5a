"""One set for several circuits in the window: chosen as files, ranked beside it, proposed with one button."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFileDialog
from pytestqt.qtbot import QtBot

from gearplan.bike.files.circuitfile import demo_circuit, save_circuit
from gearplan.plan.choices.space import default_space
from gearplan.plan.season.series import Season, rank_season
from gearplan.plan.season.text import season_reason
from gearplan.window.circuit.page import CircuitPage
from gearplan.window.frame.workbench import Workbench
from tests.window.circuit.laps import cells


def test_the_set_for_the_season_is_found_and_proposed(
    window: Workbench, lapped: CircuitPage, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    bike, here, other = window.document.bike, window.document.circuit, demo_circuit("Heronfleet").circuit
    assert here is not None
    path, broken = tmp_path / "there.circuit.toml", tmp_path / "broken.circuit.toml"
    save_circuit(path, other, None)
    broken.write_text("format = 1\n[[section]]\nkind = 3\n", encoding="utf-8")
    form = lapped.season
    lapped.tabs.setCurrentIndex(7)
    qtbot.mouseClick(form.buttons["Add the circuit at hand"], Qt.MouseButton.LeftButton)
    assert not form.buttons["Add the circuit at hand"].isEnabled()
    assert form.words.text().startswith("One set for several circuits")
    monkeypatch.setattr(QFileDialog, "getOpenFileNames", lambda *_: ([str(broken), str(path)], ""))
    qtbot.mouseClick(form.buttons["Add files…"], Qt.MouseButton.LeftButton)
    # One that cannot be read does not keep the other away.
    assert "broken.circuit.toml" in form.problems.text()
    assert form.circuits.count() == 2
    qtbot.waitUntil(lambda: not form.busy, timeout=60_000)
    expected = rank_season(bike, (here, other), default_space(bike), doubts=lapped.ranges.doubts)
    assert isinstance(expected, Season)
    assert form.words.text().startswith(season_reason(expected))
    shown = cells(form.table)
    one = expected.rankings[0].sets.set_at(int(expected.order[0]))
    assert shown[0][1] == f"{one.front}/{one.rear}"
    window.document.propose(one, "p")
    chosen = expected.fitted if expected.leave else expected.chosen
    take = expected.rankings[0].sets.set_at(chosen or 0)
    qtbot.mouseClick(form.button, Qt.MouseButton.LeftButton)
    assert (window.document.chosen.front, window.document.chosen.rear) == (take.front, take.rear)
    form.circuits.setCurrentRow(0)
    qtbot.mouseClick(form.buttons["Take out"], Qt.MouseButton.LeftButton)
    assert form.circuits.count() == 1
    assert not cells(form.table)
