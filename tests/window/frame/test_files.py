"""Opening, saving, leaving: nothing that was entered is ever lost."""

from __future__ import annotations

import os
import threading
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import settings as settings_of
from hypothesis import strategies as st
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication, QFileDialog, QInputDialog, QMessageBox, QProgressDialog
from pytestqt.qtbot import QtBot

from gearplan import __version__
from gearplan.bike.demo import demo_bike
from gearplan.bike.files import bikefile
from gearplan.bike.files.bikefile import BikeFile, bike_from_text, read_bike, save_bike, text_with
from gearplan.bike.files.ownfolders import state_folder
from gearplan.bike.library import demo_bikes
from gearplan.bike.profile import with_value
from gearplan.plan.driveset import DriveSet
from gearplan.window.document.entryrows import NumberRow
from gearplan.window.frame.opening import crash, recovery
from gearplan.window.frame.workbench import Workbench
from gearplan.window.kit import waiting
from tests.window.circuit.cells import type_into

Buttons = QMessageBox.StandardButton


@pytest.fixture
def answers(monkeypatch: pytest.MonkeyPatch) -> list[QMessageBox.StandardButton]:
    """What the user answers to the guard's questions, in turn; asking more often than that fails."""
    queue: list[QMessageBox.StandardButton] = []
    monkeypatch.setattr(QMessageBox, "question", lambda *_: queue.pop(0))
    return queue


def edit(window: Workbench, kg: float = 191) -> None:
    window.document.set_value("load", "bike_kg", kg, "Weight")


def test_a_drive_that_hangs_can_be_given_up_and_its_answer_is_waited_for(
    window: Workbench, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path, answers = tmp_path / "far.bike.toml", threading.Event()
    save_bike(path, demo_bike("Wren 125").bike, None)
    before = window.document.bike

    def hanging(asked: Path) -> BikeFile:
        answers.wait()
        return read_bike(asked)

    monkeypatch.setattr(waiting, "_AT_ONCE", 0.01)
    monkeypatch.setattr(bikefile, "read_bike", hanging)
    seen: list[str] = []

    def give_up() -> None:
        dialog = window.findChild(QProgressDialog)
        assert dialog is not None
        seen.append(dialog.labelText())
        dialog.cancel()

    QTimer.singleShot(60, give_up)
    assert not window.files.open(path)
    assert seen == ["Waiting for far.bike.toml …"]
    assert window.message.text.text() == "far.bike.toml did not answer and was not opened."
    assert window.document.bike == before
    # One that is only slow is opened when it answers.
    QTimer.singleShot(60, answers.set)
    assert window.files.open(path)
    assert window.document.bike.name == "Wren 125"
    monkeypatch.setattr(bikefile, "read_bike", read_bike)
    assert not window.files.open(tmp_path / "none.bike.toml")
    assert "none.bike.toml" in window.message.text.text()


def test_open_save_and_recent(window: Workbench, tmp_path: Path) -> None:
    path = tmp_path / "mine.bike.toml"
    save_bike(path, demo_bike("Wren 125").bike, None)
    assert window.files.open(path)
    assert "mine.bike.toml" in window.windowTitle()
    edit(window)
    assert window.isWindowModified()
    assert window.files.save()
    assert not window.isWindowModified()
    assert read_bike(path).bike.load.bike_kg == 191
    assert window.remembered.now.recent == (str(path),)


def test_a_bad_file_is_named_and_what_is_open_stays(window: Workbench, tmp_path: Path) -> None:
    edit(window)
    bad = tmp_path / "bad.bike.toml"
    bad.write_text("format = 1\n[engine]\nredline_rpm = nan\n")
    for path in (bad, tmp_path, tmp_path / "none.bike.toml"):
        assert not window.files.open(path)
        assert window.message.isVisible()
        assert str(path) in window.message.text.text()
        assert window.document.bike.load.bike_kg == 191
        assert window.isWindowModified()
    assert "redline_rpm" not in window.message.text.text()


def test_unknown_keys_are_told(window: Workbench, tmp_path: Path) -> None:
    path = tmp_path / "odd.bike.toml"
    path.write_text("format = 1\n[engine]\nredlin_rpm = 9000\n")
    assert window.files.open(path)
    assert "did you mean “redline_rpm”" in window.message.text.text()


def test_save_as_adds_the_ending_and_asks_before_it_replaces(
    window: Workbench, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(tmp_path / "new"), ""))
    assert window.files.save()
    path = tmp_path / "new.bike.toml"
    assert window.document.path == path
    before = path.read_bytes()
    edit(window)
    asked: list[str] = []
    monkeypatch.setattr(window.files, "confirmed", lambda text: bool(asked.append(text)))
    assert not window.files.save_as()
    assert "exists already" in asked[0]
    assert path.read_bytes() == before


def test_cancelling_the_file_dialog_saves_nothing(window: Workbench, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: ("", ""))
    edit(window)
    assert not window.files.save()
    assert window.isWindowModified()


@pytest.mark.parametrize("answer", [Buttons.Cancel, Buttons.Discard, Buttons.Save])
def test_the_guard(
    window: Workbench, tmp_path: Path, answers: list[QMessageBox.StandardButton], answer: QMessageBox.StandardButton
) -> None:
    path = tmp_path / "mine.bike.toml"
    save_bike(path, demo_bike().bike, None)
    window.files.open(path)
    edit(window)
    answers.append(answer)
    window._new()
    left = answer != Buttons.Cancel
    assert (window.document.bike.name == "") == left
    assert (read_bike(path).bike.load.bike_kg == 191) == (answer == Buttons.Save)
    assert answers == []


def test_a_failed_save_keeps_the_window_open(
    window: Workbench, tmp_path: Path, answers: list[QMessageBox.StandardButton], monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "mine.bike.toml"
    save_bike(path, demo_bike().bike, None)
    window.files.open(path)
    edit(window)

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    answers.append(Buttons.Save)
    assert not window.close()
    assert window.isVisible()
    assert "No space left" in window.message.text.text()
    assert window.document.bike.load.bike_kg == 191
    assert read_bike(path).bike.load.bike_kg == 188


def test_a_file_changed_elsewhere_is_asked_about(
    window: Workbench, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "mine.bike.toml"
    save_bike(path, demo_bike().bike, None)
    window.files.open(path)
    edit(window)
    path.write_text("format = 1\nname = 'theirs'\n")
    monkeypatch.setattr(window.files, "confirmed", lambda *_: False)
    assert not window.files.save()
    assert read_bike(path).bike.name == "theirs"
    monkeypatch.setattr(window.files, "confirmed", lambda *_: True)
    assert window.files.save()
    assert read_bike(path).bike.load.bike_kg == 191


def test_every_demo_bike_opens_from_the_menu(window: Workbench) -> None:
    for action, name in zip(window.demo_menu.actions(), demo_bikes(), strict=True):
        action.trigger()
        assert window.document.bike.name == name
        assert window.document.path is None


def test_unsaved_work_is_kept_aside_and_offered_again(window: Workbench, qtbot: QtBot) -> None:
    edit(window)
    qtbot.waitUntil(lambda: recovery._own_file().exists())
    assert recovery._own_file().stat().st_mode & 0o777 == 0o600
    # As if that program had been killed: its file now bears the number of a process that is gone.
    gone = recovery._own_file().with_name("999999999.bike.toml")
    recovery._own_file().rename(gone)
    window.files.start_with(demo_bike(), None)
    window.files.offer_kept()
    assert "was kept" in window.message.text.text()
    window.message.offer.click()
    assert window.document.bike.load.bike_kg == 191
    assert window.isWindowModified()
    assert not gone.exists()


def crashed(window: Workbench, qtbot: QtBot) -> None:
    """The window's work is kept as if its program had been killed, and taken up again beside a demo."""
    own = recovery._own_file()
    qtbot.waitUntil(own.exists)
    own.rename(own.with_name("999999999.bike.toml"))
    window.files.start_with(demo_bike(), None)
    window.files.offer_kept()
    window.message.offer.click()


def test_the_proposal_and_the_file_come_back_with_kept_work(window: Workbench, qtbot: QtBot, tmp_path: Path) -> None:
    path = tmp_path / "Ada's.bike.toml"
    path.write_text("# Ada's own\n" + text_with(demo_bike().bike, ""))
    window.files.open(path)
    edit(window)
    window.document.propose(DriveSet(15, 45, 114, "525"), "p")
    crashed(window, qtbot)
    assert window.document.chosen == DriveSet(15, 45, 114, "525")
    assert (window.document.path, window.document.unsaved) == (path, True)
    assert "saving writes it there" in window.message.text.text()
    assert window.files.save()
    assert path.read_text().startswith("# Ada's own\n")
    assert read_bike(path).bike.load.bike_kg == 191


def test_kept_work_never_goes_over_a_file_that_has_changed(window: Workbench, qtbot: QtBot, tmp_path: Path) -> None:
    path = tmp_path / "Ada's.bike.toml"
    path.write_text(text_with(demo_bike().bike, ""))
    window.files.open(path)
    edit(window)
    qtbot.waitUntil(recovery._own_file().exists)
    path.write_text(path.read_text() + "# changed\n")
    crashed(window, qtbot)
    assert window.document.bike.load.bike_kg == 191
    assert window.document.path is None
    assert "has changed since; save it under another name" in window.message.text.text()


def test_a_proposal_alone_is_kept_too(window: Workbench, qtbot: QtBot) -> None:
    gears = ((13, 32), (16, 30), (18, 27), (20, 25), (22, 24), 0.99)
    proposed = replace(window.document.chosen, front=14, gears=gears)
    window.document.propose(proposed, "p")
    crashed(window, qtbot)
    assert window.document.chosen == proposed


def test_text_that_cannot_be_read_is_kept_aside_and_told(
    window: Workbench, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nothing is unsaved but that: the field was empty and counts as empty."""
    window.show_page("Fitting")
    window.show_field("service.front_nut_nm")
    row = window.fitting_page.service.rows["service", "front_nut_nm"]
    assert isinstance(row, NumberRow)
    qtbot.keyClicks(row.field, "85 lbf-foot")
    window.circuits.open_demo("Marlpit Lane")
    window.show_page("Circuit")
    type_into(window.circuit_page, qtbot, 0, "length_m", "4x5")
    assert not window.document.unsaved
    own = recovery._own_file()
    qtbot.waitUntil(lambda: own.exists() and recovery.circuit_beside(own).exists())
    gone = own.with_name("999999999.bike.toml")
    recovery.circuit_beside(own).rename(recovery.circuit_beside(gone))
    own.rename(gone)
    window.document.start(demo_bike(), None)
    told = []
    monkeypatch.setattr(QInputDialog, "getItem", lambda *asked: (asked[3][0], True))
    for _ in range(2):
        window.message.hide()
        window.files.offer_kept()
        window.message.offer.click()
        told.append(window.message.text.text())
    assert any(text.endswith("has to be entered again:\nFront sprocket's nut: “85 lbf-foot”") for text in told)
    assert any(text.endswith("has to be entered again:\nSection 1, length: “4x5”") for text in told)
    assert recovery.left_behind() == []


def test_every_piece_of_kept_work_is_offered_and_a_broken_one_set_aside(
    window: Workbench, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    own = recovery._own_file()
    own.parent.mkdir(parents=True, exist_ok=True)
    for number, mass in ((1, 171), (2, 172)):
        bike = with_value(demo_bike().bike, "load", "bike_kg", mass)
        own.with_name(f"99999999{number}.bike.toml").write_text(text_with(replace(bike, name=f"Piece {number}"), ""))
    own.with_name("999999993.bike.toml").write_text("format = ")
    asked = list[list[str]]()

    def second(*given: Any) -> tuple[str, bool]:
        asked.append(given[3])
        return next(text for text in given[3] if "Piece 2" in text), True

    monkeypatch.setattr(QInputDialog, "getItem", second)
    window.files.offer_kept()
    assert "2 pieces" in window.message.text.text()
    assert "999999993.bike.toml.unreadable" in window.message.text.text()
    window.message.offer.click()
    assert sorted(text.split(",")[0] for text in asked[0]) == ["Piece 1", "Piece 2"]
    assert window.document.bike.load.bike_kg == 172
    # Its successor is on the disk before it goes; the other one waits.
    assert own.exists()
    assert [path.name for path in recovery.left_behind()] == ["999999991.bike.toml"]
    assert own.parent.joinpath("999999993.bike.toml.unreadable").read_text() == "format = "


def test_kept_work_stays_where_its_successor_cannot_be_written(
    window: Workbench, monkeypatch: pytest.MonkeyPatch
) -> None:
    gone = recovery._own_file().with_name("999999999.bike.toml")
    gone.parent.mkdir(parents=True, exist_ok=True)
    gone.write_text(text_with(with_value(demo_bike().bike, "load", "bike_kg", 171), ""))

    def full(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    window.files.offer_kept()
    monkeypatch.setattr(recovery, "replace_file", full)
    window.message.offer.click()
    assert window.document.bike.load.bike_kg == 171
    assert gone.exists()


def test_saving_under_another_name_and_over_a_change_keeps_what_a_person_wrote(
    window: Workbench, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path, other = tmp_path / "a.bike.toml", tmp_path / "b.bike.toml"
    path.write_text("# a note\n" + text_with(demo_bike().bike, "") + "\n[mine]\nx = 1\n")
    window.files.open(path)
    edit(window)
    assert window.files.write(other)
    assert other.read_text().startswith("# a note\n")
    assert "[mine]\nx = 1" in other.read_text()
    other.write_text("changed")
    edit(window)
    window.document.set_value("load", "bike_kg", 177, "e")
    monkeypatch.setattr(window.files, "confirmed", lambda _text: True)
    assert window.files.save()
    assert other.read_text().startswith("# a note\n")
    assert read_bike(other).bike.load.bike_kg == 177


def test_a_protected_file_is_asked_about(window: Workbench, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "a.bike.toml"
    path.write_text(text_with(demo_bike().bike, ""))
    window.files.open(path)
    path.chmod(0o444)
    before = path.read_bytes()
    edit(window)
    asked = list[str]()

    def no(text: str) -> bool:
        asked.append(text)
        return False

    monkeypatch.setattr(window.files, "confirmed", no)
    assert not window.files.save()
    assert "protected against writing" in asked[0]
    assert path.read_bytes() == before
    monkeypatch.setattr(window.files, "confirmed", lambda _text: True)
    assert window.files.save()
    assert path.read_bytes() != before
    assert path.stat().st_mode & 0o777 == 0o444


@given(st.lists(st.tuples(st.text(), st.text()), max_size=3))
@settings_of(max_examples=50)
def test_any_text_that_cannot_be_read_comes_back_from_a_kept_file(unread: list[tuple[str, str]]) -> None:
    text = text_with(demo_bike().bike, "") + recovery._unread_lines(tuple(unread))
    assert bike_from_text(text, "kept").bike == demo_bike().bike
    assert recovery.unread_in(text) == tuple(unread)


def test_leaving_asks_about_a_proposed_set_that_is_not_kept(
    window: Workbench, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    buttons, asked = QMessageBox.StandardButton, list[str]()
    answers: list[QMessageBox.StandardButton] = []

    def answer(*given: Any) -> Any:
        asked.append(given[2])
        return answers.pop()

    monkeypatch.setattr(QMessageBox, "question", answer)
    other = replace(window.document.chosen, rear=44)
    window.document.propose(other, "p")
    # Who tries sets out on a demo bike is not asked.
    assert window.files.may_leave()
    assert asked == []
    target = tmp_path / "Ada.bike.toml"
    assert window.files.write(target)
    answers = [buttons.Cancel]
    assert not window.files.may_leave()
    assert asked == ["Keep the proposed set 15/44 with Brindle 650?"]
    window.view.take_up(110 / 3.6, ("calmer",))
    answers = [buttons.Save]
    assert window.files.may_leave()
    assert len(asked) == 2
    (kept,) = read_bike(target).bike.proposals
    assert (kept.rear, kept.cruise_kmh, kept.wishes) == (44, 110.0, ("calmer",))
    assert window.files.may_leave()
    # The next day it begins where it was left.
    window.files.open_demo("Wren 125")
    assert (window.view.cruise, window.view.wishes) == (None, ())
    assert window.files.open(target)
    assert window.document.chosen == other
    assert window.view.cruise == pytest.approx(110 / 3.6)
    assert window.view.wishes == ("calmer",)
    assert not window.document.unsaved
    window.show_page("Choices")
    assert [wish.words for wish in window.choices_page.rows.wishes] == ["calmer"]
    assert len(asked) == 2


def test_leaving_asks_about_text_that_could_not_be_read(
    window: Workbench, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    buttons, asked = QMessageBox.StandardButton, list[str]()
    answers: list[QMessageBox.StandardButton] = []

    def answer(*given: Any) -> Any:
        asked.append(given[2])
        return answers.pop()

    monkeypatch.setattr(QMessageBox, "question", answer)
    window.show_page("Fitting")
    window.show_field("service.front_nut_nm")
    row = window.fitting_page.service.rows["service", "front_nut_nm"]
    assert isinstance(row, NumberRow)
    field = row.field
    qtbot.keyClicks(field, "85 lbf-foot")
    assert not window.document.unsaved
    answers = [buttons.Cancel]
    window.files.open_demo("Wren 125")
    assert field.text() == "85 lbf-foot"
    assert window.document.bike == demo_bike().bike
    assert "Front sprocket's nut (“85 lbf-foot”). Go on without it?" in asked[0]
    edit(window)
    answers = [buttons.Discard]
    window.files.open_demo("Wren 125")
    assert "first? Not in the file" in asked[1]
    assert field.text() == ""
    assert window.document.unread() == ()


def test_an_unforeseen_error_is_told_and_the_work_kept(window: Workbench, monkeypatch: pytest.MonkeyPatch) -> None:
    edit(window)
    crash.guard(window)
    monkeypatch.setattr("sys.__excepthook__", lambda *_: None)
    try:
        crash._caught(RuntimeError, RuntimeError("made for the test"), None)
    finally:
        crash.release()
    assert "made for the test" in window.message.text.text()
    assert read_bike(recovery._own_file()).bike == window.document.bike
    assert "made for the test" in (state_folder() / "errors.log").read_text()
    window.message.copy.click()
    report = QApplication.clipboard().text()
    assert f"Gearplan {__version__}, Python 3." in report
    assert "made for the test" in report
    window.message.say("Another message")
    assert not window.message.copy.isVisible()
    monkeypatch.setattr(crash, "_LONGEST_LOG", 10)
    crash.guard(window)
    try:
        crash._caught(RuntimeError, RuntimeError("the next one"), None)
    finally:
        crash.release()
    assert "made for the test" in (state_folder() / "errors-before.log").read_text()
    assert "made for the test" not in (state_folder() / "errors.log").read_text()


def test_unfinished_profiles_are_saved_and_reopened(window: Workbench, tmp_path: Path) -> None:
    window.document.edit("x", with_value(window.document.bike, "chassis", "axle_range_mm", (None, 594)))
    path = tmp_path / "half.bike.toml"
    assert window.files.write(path)
    window._new()
    assert window.files.open(path)
    assert window.document.bike.chassis.axle_range_mm == (None, 594)


def test_proposals_are_not_asked_about_when_leaving(window: Workbench) -> None:
    window.document.propose(replace(window.document.chosen, front=14), "p")
    assert window.files.may_leave()


def test_pictures_from_the_menu(window: Workbench, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    target = tmp_path / "speed.png"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(target), ""))
    window._ask_picture()
    assert target.read_bytes().startswith(b"\x89PNG")
    window._copy_picture()
    assert QApplication.clipboard().image().width() == 2240
    window._new()
    window._copy_picture()
    assert "redline" in window.message.text.text()
    target.unlink()
    window._ask_picture()
    assert not target.exists()
    assert "Nothing written" in window.message.text.text()


def test_a_process_number_that_comes_again_is_not_taken_for_the_old_program(window: Workbench) -> None:
    """As in a container, where every start has the same number."""
    folder = state_folder() / "unsaved"
    folder.mkdir(parents=True)
    left = folder / f"{os.getpid()}-00000000.bike.toml"
    left.write_text(text_with(demo_bike().bike, ""), encoding="utf-8")
    left.with_name(f"{os.getpid()}-00000000.lock").touch()
    assert recovery.left_behind() == [left]
    edit(window)
    recovery.keep_unsaved(window.document)
    assert recovery.left_behind() == [left]
    recovery.drop(left)
    assert recovery.left_behind() == []
    recovery.forget()
    recovery.release()
    assert not list(folder.iterdir())
