"""A disk that takes its time: the window goes on, all is saved in order, and whoever leaves is told to wait."""

from __future__ import annotations

import os
import threading
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QMessageBox, QProgressDialog
from pytestqt.qtbot import QtBot

from gearplan.bike.demo import demo_bike
from gearplan.bike.files.bikefile import read_bike, save_bike
from gearplan.bike.files.circuitfile import read_circuit
from gearplan.window.frame.opening import recovery, saving
from gearplan.window.frame.workbench import Workbench


class SlowDisk:
    """Everything that is flushed waits until the disk `answers`; only the window's own thread must not."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.answers = threading.Event()
        fsync = os.fsync

        def slow(handle: int) -> None:
            assert threading.current_thread() is not threading.main_thread()
            self.answers.wait()
            fsync(handle)

        monkeypatch.setattr(os, "fsync", slow)


@pytest.fixture
def disk(monkeypatch: pytest.MonkeyPatch) -> SlowDisk:
    monkeypatch.setattr(saving, "AT_ONCE", 0.0)
    return SlowDisk(monkeypatch)


def weigh(window: Workbench, kg: float) -> None:
    window.document.set_value("load", "bike_kg", kg, "Weight")


def test_a_slow_disk_blocks_nothing_and_loses_nothing(
    window: Workbench, qtbot: QtBot, tmp_path: Path, disk: SlowDisk, monkeypatch: pytest.MonkeyPatch
) -> None:
    # What the settings keep is on the user's own disk, at once.
    monkeypatch.setattr(window.remembered, "keep", lambda *_, **__: None)
    disk.answers.set()
    path = tmp_path / "a.bike.toml"
    save_bike_elsewhere(path)
    assert window.files.open(path)
    window.circuits.open_demo("Marlpit Lane")
    # The window goes on while it is written, and what comes after is not taken for saved.
    disk.answers.clear()
    weigh(window, 171)
    assert not window.files.save(wait=False)
    assert window.message.text.text() == f"Saving {path} …"
    assert window.isWindowModified()
    weigh(window, 172)
    window.document.note_unread("load.bike_kg", "Weight", "x")
    window.document.note_unread("load.bike_kg", "Weight", "")
    window.files._keeping._keep()
    assert read_bike(path).bike.load.bike_kg == demo_bike().bike.load.bike_kg
    disk.answers.set()
    qtbot.waitUntil(lambda: not window.files.saving.busy)
    assert read_bike(path).bike.load.bike_kg == 171
    assert window.isWindowModified()
    assert window.message.text.text().startswith("Saved:")
    # Saves that wait for one another are done in their order, the last as the bike is when its turn comes.
    disk.answers.clear()
    window.files.save(wait=False)
    weigh(window, 173)
    circuit = tmp_path / "a.circuit.toml"
    window.circuits._write(circuit, wait=False)
    window.files.save(wait=False)
    assert not circuit.exists()
    disk.answers.set()
    qtbot.waitUntil(lambda: not window.files.saving.busy)
    assert read_bike(path).bike.load.bike_kg == 173
    assert read_circuit(circuit).circuit == window.document.circuit
    assert not window.isWindowModified()
    assert not window.document.circuit_unsaved


def save_bike_elsewhere(path: Path) -> None:
    """Written as another program would."""
    done = threading.Thread(target=save_bike, args=(path, demo_bike().bike, None))
    done.start()
    done.join()


def test_leaving_waits_with_words_and_may_be_given_up(
    window: Workbench, qtbot: QtBot, tmp_path: Path, disk: SlowDisk, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(window.remembered, "keep", lambda *_, **__: None)
    asked: list[str] = []

    def stay(*given: Any) -> QMessageBox.StandardButton:
        asked.append(given[2])
        return QMessageBox.StandardButton.Cancel

    monkeypatch.setattr(QMessageBox, "question", stay)
    disk.answers.set()
    path = tmp_path / "a.bike.toml"
    save_bike_elsewhere(path)
    window.files.open(path)
    disk.answers.clear()
    weigh(window, 171)
    window.files.save(wait=False)
    seen: list[str] = []

    def at_dialog(act: Any) -> None:
        dialog = window.findChild(QProgressDialog)
        if dialog is None or not dialog.isVisible():
            QTimer.singleShot(5, lambda: at_dialog(act))
            return
        seen.append(dialog.labelText())
        act(dialog)

    QTimer.singleShot(5, lambda: at_dialog(lambda dialog: dialog.cancel()))
    assert not window.files.may_leave()
    assert asked == ["Save the changes to Brindle 650 first?"]
    assert window.files.saving.busy
    QTimer.singleShot(5, lambda: at_dialog(lambda _dialog: disk.answers.set()))
    assert window.files.may_leave()
    assert seen == ["Saving a.bike.toml …"] * 2
    assert len(asked) == 1
    assert read_bike(path).bike.load.bike_kg == 171
    # A bike that has taken the place of the other is never written over its file.
    disk.answers.clear()
    weigh(window, 172)
    window.files.save(wait=False)
    window.files.save(wait=False)
    window.files.start_with(demo_bike("Wren 125"), None)
    disk.answers.set()
    qtbot.waitUntil(lambda: not window.files.saving.busy)
    assert read_bike(path).bike.load.bike_kg == 172
    assert window.document.bike.name == "Wren 125"
    assert window.document.path is None
    assert "another bike is open now" in window.message.text.text()


def test_a_copy_that_was_made_earlier_never_goes_over_a_later_one(window: Workbench) -> None:
    weigh(window, 171)
    early = recovery.pieces(window.document)
    weigh(window, 172)
    recovery.keep_unsaved(window.document)
    recovery.put(early)
    assert read_bike(recovery._own_file()).bike.load.bike_kg == 172
    late = recovery.pieces(window.document)
    recovery.forget()
    recovery.put(late)
    assert not recovery._own_file().exists()
