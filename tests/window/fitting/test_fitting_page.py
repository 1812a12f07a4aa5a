"""The Fitting page at the bench: by keys alone, judged while typed, signed, finished, printed, found again."""

from __future__ import annotations

import errno
import os
import signal
import subprocess
import sys
import time
from dataclasses import replace
from pathlib import Path

import pypdf
import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtPrintSupport import QPrintDialog, QPrinter
from PySide6.QtWidgets import QApplication, QFileDialog, QLineEdit, QListWidget, QScrollArea
from pytestqt.qtbot import QtBot

from gearplan.bike.demo import demo_bike
from gearplan.bike.files import bikefile
from gearplan.bike.files.bikefile import BikeFile, read_bike, save_bike
from gearplan.bike.files.ownfolders import state_folder
from gearplan.plan.driveset import DriveSet, fitted
from gearplan.plan.job.finishing import finish
from gearplan.plan.job.job import current, still_to_sign, with_job
from gearplan.plan.job.steps.order import steps
from gearplan.window.fitting.page import FittingPage
from gearplan.window.fitting.readingfield import BenchField
from gearplan.window.frame.opening import recovery
from gearplan.window.frame.workbench import Workbench
from gearplan.window.kit.controls.fields import ChoiceField
from tests.plan.job.workshop import GOOD, checked, conversion, serviced, signed, written

KEY = Qt.Key


@pytest.fixture
def page(window: Workbench, qapp: QApplication) -> FittingPage:
    window.files.start_with(BikeFile(serviced(), ""), None)
    window.document.propose(DriveSet(16, 47, 112, "525"), "Propose")
    window.show_page("Fitting")
    qapp.processEvents()
    return window.fitting_page


class Asked:
    """What the page asked, and the answer that it gets."""

    def __init__(self) -> None:
        self.told: list[tuple[str, tuple[str, ...]]] = []
        self.yes = True

    def __call__(self, _parent: object, text: str, about: tuple[str, ...], _word: str) -> bool:
        self.told.append((text, about))
        return self.yes


@pytest.fixture(autouse=True)
def asked(monkeypatch: pytest.MonkeyPatch) -> Asked:
    """No test waits for an answer in a box."""
    answer = Asked()
    monkeypatch.setattr("gearplan.window.fitting.page.agreed", answer)
    return answer


def line(page: FittingPage, blank: str) -> BenchField:
    field = page.card.fields[blank].field
    assert isinstance(field, BenchField)
    return field


def type_in(qtbot: QtBot, field: QLineEdit, text: str) -> None:
    field.setFocus()
    field.selectAll()
    qtbot.keyClicks(field, text)


def readings(window: Workbench) -> dict[str, str]:
    job = current(window.document.bike)
    return {} if job is None else dict(job.readings)


def test_the_proposed_set_is_the_plan_and_looking_changes_nothing(window: Workbench, page: FittingPage) -> None:
    assert page.head.title.text() == "525 conversion (from 520): 15/46 → 16/47, 112 links"
    assert page.head.state.text() == "not begun"
    assert page.list.count() == len(steps(window.document.bike, page.job))
    assert page.list.item(0).text() == "1. Secure the bike"
    assert page.list.item(0).data(Qt.ItemDataRole.AccessibleTextRole) == "1. Secure the bike: To do"
    assert page.list.font().pixelSize() == 18 or page.list.fontInfo().pixelSize() == 18
    assert not window.document.bike.jobs
    page.tabs.setCurrentIndex(1)
    assert page.parts.rows["front"].name.text() == "Front sprocket, 16 teeth, for 525 (instead of 15)"
    assert not window.document.unsaved


def test_typing_begins_the_job_and_undo_takes_a_reading_back_whole(
    window: Workbench, page: FittingPage, qtbot: QtBot
) -> None:
    page._go("press")
    type_in(qtbot, line(page, "press_width"), "17,50")
    assert readings(window) == {"press_width": "17,50 mm"}
    assert line(page, "press_width").text() == "17,50"
    window.document.undo()
    assert not window.document.bike.jobs
    assert line(page, "press_width").text() == ""


def test_readings_are_judged_as_they_are_typed(page: FittingPage, qtbot: QtBot) -> None:
    page._go("press")
    for blank, text in (("press_width", "17.50"), ("press_beside_1", "17.56"), ("press_beside_2", "17.52")):
        type_in(qtbot, line(page, blank), text)
    assert page.card.told.text().startswith("OK: 0.06 mm narrower than the link beside it: accepted")
    type_in(qtbot, line(page, "press_width"), "17.9")
    assert "Out of range: 0.4 mm wider" in page.card.told.text()
    assert "press the plate on a little further" in page.card.told.text()
    assert page.card.hindrance.text() == "Before signing: put that right, or state a reason."
    assert "Out of range" in page.list.item(page.list.currentRow()).text()


def test_a_reading_in_the_wrong_unit_is_asked_about_and_taken_by_a_key(
    window: Workbench, page: FittingPage, qtbot: QtBot
) -> None:
    page._go("press")
    type_in(qtbot, line(page, "press_width"), "0.69")
    assert "Is 0.69 in meant?" in page.card.told.text()
    assert line(page, "press_width").property("wrong") is True
    page.card.take.setFocus()
    qtbot.keyClick(page.card.take, KEY.Key_Space)
    assert readings(window)["press_width"] == "0.69 in"
    assert (line(page, "press_width").text(), page.card.fields["press_width"].unit.text()) == ("0.69", "in")
    assert "meant" not in page.card.told.text()


def test_the_unit_is_a_button_and_neighbours_follow_it(window: Workbench, page: FittingPage, qtbot: QtBot) -> None:
    page._go("press")
    qtbot.keyClick(page.card.fields["press_width"].unit, KEY.Key_Space)
    type_in(qtbot, line(page, "press_width"), "0.689")
    type_in(qtbot, line(page, "press_beside_1"), "0.691")
    assert readings(window) == {"press_width": "0.689 in", "press_beside_1": "0.691 in"}
    type_in(qtbot, line(page, "press_beside_2"), "17.5 mm")
    assert readings(window)["press_beside_2"] == "17.5 mm"
    assert line(page, "press_beside_2").text() == "17.5 mm"


def test_text_that_is_no_number_stays_and_is_told(window: Workbench, page: FittingPage, qtbot: QtBot) -> None:
    page._go("slack")
    type_in(qtbot, line(page, "slack_1"), "loose")
    assert readings(window) == {"slack_1": "loose"}
    assert "“loose” is not a number" in page.card.told.text()
    page.step_by(1)
    page.step_by(-1)
    assert line(page, "slack_1").text() == "loose"


def test_nothing_is_signed_without_initials_a_reading_or_a_reason(
    window: Workbench, page: FittingPage, qtbot: QtBot
) -> None:
    page._go("press")
    qtbot.keyClick(page.card.sign, KEY.Key_F2)
    assert "initials" in page.card.hindrance.text()
    assert page.head.initials.hasFocus()
    qtbot.keyClicks(page.head.initials, "M. K.")
    page.card.sign.setFocus()
    qtbot.keyClick(page.card.sign, KEY.Key_Return)
    assert "Still needed: New link" in page.card.hindrance.text()
    assert line(page, "press_width").hasFocus()
    page.card.why.setFocus()
    qtbot.keyClicks(page.card.why, "link not here yet")
    qtbot.keyClick(page.card.why, KEY.Key_F2)
    job = current(window.document.bike)
    assert job is not None
    assert dict(job.signed) == {"press": "M. K."}
    assert page.step.key == "rivet"
    assert "· M. K., with a reason" in page.list.item(page.list.currentRow() - 1).text()
    qtbot.keyClick(page.card.sign, KEY.Key_PageUp)
    assert page.step.key == "press"
    page.card.unsign.setFocus()
    qtbot.keyClick(page.card.unsign, KEY.Key_Space)
    job = current(window.document.bike)
    assert job is not None
    assert not job.signed


def test_a_whole_conversion_by_keys_alone(
    window: Workbench, page: FittingPage, qtbot: QtBot, asked: Asked, tmp_path: Path
) -> None:
    page.head.initials.setFocus()
    qtbot.keyClicks(page.head.initials, "M. K.")
    page.head.odometer.setFocus()
    qtbot.keyClicks(page.head.odometer, "18650")
    page._go("secure")
    for step in steps(window.document.bike, page.job):
        if step.later:
            break
        assert page.step.key == step.key
        for blank in step.blanks:
            field = page.card.fields[blank.key].field
            if isinstance(field, ChoiceField):
                field.setFocus()
                for _ in range(1 + blank.choices.index(GOOD[blank.key])):
                    qtbot.keyClick(field, KEY.Key_Down)
                continue
            if not blank.optional and blank is step.blanks[0]:
                assert field.hasFocus(), blank.key
            field.setFocus()
            qtbot.keyClicks(field, GOOD[blank.key])
            qtbot.keyClick(field, KEY.Key_Return)
        if step.blanks and not any(blank.kind == "choice" for blank in step.blanks):
            assert page.card.sign.hasFocus()
        focus = QApplication.focusWidget()
        qtbot.keyClick(focus if focus is not None else page.card.sign, KEY.Key_F2)
    assert not still_to_sign(window.document.bike, page.job)
    assert asked.told == []
    page.head.finish.setFocus()
    qtbot.keyClick(page.head.finish, KEY.Key_Space)
    assert fitted(window.document.bike) == DriveSet(16, 47, 112, "525")
    assert page.head.state.text() == "fitted, 1 step to sign"
    assert page.step.key == "recheck"
    path = tmp_path / "mine.bike.toml"
    assert window.files.write(path)
    assert read_bike(path).bike == window.document.bike
    type_in(qtbot, line(page, "recheck_slack"), "31")
    for key in ("retorque_axle", "retorque_nuts"):
        qtbot.keyClick(page.card.fields[key].field, KEY.Key_Down)
    type_in(qtbot, line(page, "base_length"), "317.6")
    qtbot.keyClick(line(page, "base_length"), KEY.Key_F2)
    assert window.document.bike.wear.readings == ((18650.0, 317.6),)
    assert window.document.bike.jobs[-1].state == "done"
    window.document.undo()
    assert window.document.bike.jobs[-1].state == "fitted"


def test_finishing_early_says_what_is_missing_and_goes_there(page: FittingPage, qtbot: QtBot) -> None:
    type_in(qtbot, page.head.note, "begun")
    page._go("slack")
    qtbot.mouseClick(page.head.finish, Qt.MouseButton.LeftButton)
    assert "Not signed off yet: Secure the bike" in page.head.errors.text()
    assert page.step.key == "secure"


def test_abandoning_is_asked_and_undone(window: Workbench, page: FittingPage, qtbot: QtBot, asked: Asked) -> None:
    page._go("press")
    type_in(qtbot, line(page, "press_width"), "17.5")
    assert page.head.give_up.text() == "Abandon job…"
    asked.yes = False
    qtbot.mouseClick(page.head.give_up, Qt.MouseButton.LeftButton)
    assert asked.told[0][0].startswith("Abandon this job? 525 conversion")
    assert window.document.bike.jobs
    asked.yes = True
    page.head.give_up.setFocus()
    qtbot.keyClick(page.head.give_up, KEY.Key_Space)
    assert not window.document.bike.jobs
    assert page.step.key == "secure"
    window.document.undo()
    assert readings(window) == {"press_width": "17.5 mm"}


def test_another_proposed_set_can_be_taken_into_the_open_job(
    window: Workbench, page: FittingPage, qtbot: QtBot
) -> None:
    page._go("press")
    type_in(qtbot, line(page, "press_width"), "17.5")
    window.document.propose(DriveSet(15, 44, 112, "525"), "Propose")
    assert page.head.title.text().startswith("525 conversion (from 520): 15/46 → 16/47")
    assert page.head.take.isVisible()
    qtbot.mouseClick(page.head.take, Qt.MouseButton.LeftButton)
    assert "15/46 → 15/44" in page.head.title.text()
    assert readings(window) == {"press_width": "17.5 mm"}
    assert not page.head.take.isVisible()


def test_a_low_window_shows_the_fields_of_a_step(window: Workbench, page: FittingPage, qapp: QApplication) -> None:
    window.resize(960, 620)
    page._go("press")
    qapp.processEvents()
    qapp.processEvents()
    field, within = line(page, "press_width"), page.card._scroll.viewport()
    top = field.mapTo(within, QPoint(0, 0)).y()
    assert top >= 0
    assert top + field.height() <= within.height()


def test_the_step_keys_work_wherever_the_focus_is(window: Workbench, page: FittingPage, qtbot: QtBot) -> None:
    window.rail.setFocus()
    qtbot.keyClick(window.rail, KEY.Key_PageDown)
    assert page.step.title == "Measure the old chain"
    qtbot.keyClick(window.rail, KEY.Key_PageUp)
    qtbot.keyClick(window.rail, KEY.Key_F2)
    assert "initials" in page.card.hindrance.text()
    window.show_page("Speed")
    window.rail.setFocus()
    at = window.rail.currentRow()
    qtbot.keyClick(window.rail, KEY.Key_PageDown)
    assert window.rail.currentRow() > at


def test_an_odometer_in_miles_is_kept_in_kilometres(window: Workbench, page: FittingPage, qtbot: QtBot) -> None:
    type_in(qtbot, page.head.odometer, "11589 mi")
    assert page.job.odometer_km == pytest.approx(18650.69, abs=0.01)
    assert page.head.odometer.text() == "11589 mi"
    type_in(qtbot, page.head.odometer, "11589 leagues")
    page.head.note.setFocus()
    assert "“leagues” is not a unit of mileage; write km or mi" in page.head.errors.text()
    page.tabs.setCurrentIndex(3)
    qtbot.keyClicks(page.history.now, "20000 mi")
    assert page.history.now.problem == ""


def test_two_refusals_stand_on_lines_of_their_own(page: FittingPage, qtbot: QtBot) -> None:
    for field, text in ((page.head.odometer, "99999999"), (page.head.date, "31.5.2026")):
        type_in(qtbot, field, text)
    page.head.note.setFocus()
    assert sorted(page.head.errors.text().splitlines()) == [
        "99999999 km can't be right; expected 0–1000000 km",
        "“31.5.2026” is no date; write it like 2026-05-31",
    ]


def test_a_long_note_shows_its_beginning(window: Workbench, page: FittingPage) -> None:
    page._keep(replace(page.job, note="It clonks when cold. " * 9), "Note")
    assert page.head.note.cursorPosition() == 0


def test_track_use_needs_consent(page: FittingPage, qtbot: QtBot) -> None:
    assert not page.head.consent.isVisible()
    page.head.track.setFocus()
    qtbot.keyClick(page.head.track, KEY.Key_Space)
    assert page.head.consent.isVisible()
    assert "consent is still to be recorded" in page.head.told.text()
    page.head.consent.setFocus()
    qtbot.keyClick(page.head.consent, KEY.Key_Space)
    assert "consent" not in page.head.told.text()
    assert (page.job.track_only, page.job.consent) == ("yes", "yes")


def test_parts_take_the_shops_own_numbers(window: Workbench, page: FittingPage, qtbot: QtBot) -> None:
    page.tabs.setCurrentIndex(1)
    row = page.parts.rows["front"]
    assert row.quantity.placeholderText() == "1"
    for field, text in ((row.price, "31,50"), (row.number, "F-16"), (row.quantity, "2")):
        field.setFocus()
        qtbot.keyClicks(field, text)
    part = current(window.document.bike).parts[0]  # type: ignore[union-attr]
    assert (part.part, part.quantity, part.number, part.price) == ("front", 2, "F-16", 31.5)
    assert page.parts.total.text().startswith("To order: 63.00, ")
    closed = page.answers.fields["closed"]
    closed.setFocus()
    qtbot.keyClick(closed, KEY.Key_Down)
    assert page.job.closed == "clip link"
    assert page.parts.rows["link"].name.text().startswith("Clip link")
    assert "press" not in [step.key for step in steps(window.document.bike, page.job)]


def test_service_data_with_where_it_was_read(window: Workbench, page: FittingPage, qtbot: QtBot) -> None:
    window.document.start(demo_bike(), None)
    window.document.propose(DriveSet(16, 47, 112, "525"), "Propose")
    assert "values from the manual not entered: blank lines on the sheet." in page.head.told.text()
    assert "Rear axle" in page.head.told.toolTip().split("\n")
    page._go("axle")
    assert "Rear axle: not entered, see the manual" in page.card.targets.text()
    qtbot.keyClick(page.card.enter, KEY.Key_Space)
    assert page.tabs.currentIndex() == 2
    row = page.service.rows["service", "axle_nm"]
    assert row.field.hasFocus()  # type: ignore[attr-defined]
    qtbot.keyClicks(row.field, "93")  # type: ignore[attr-defined]
    read_in = page.service.rows["service", "axle_nm_from"].field  # type: ignore[attr-defined]
    read_in.setFocus()
    qtbot.keyClicks(read_in, "manual, page 6-3")
    assert window.document.bike.service.axle_nm == 93
    page._go("axle")
    assert "Rear axle: 93 N·m (68.6 lbf·ft) (manual, page 6-3)" in page.card.targets.text()
    window.show_field("service.slack_range_mm")
    assert page.tabs.currentIndex() == 2


def test_a_torque_beyond_any_bike_is_refused_and_named_on_saving(
    window: Workbench, page: FittingPage, qtbot: QtBot, tmp_path: Path
) -> None:
    page.tabs.setCurrentIndex(2)
    row = page.service.rows["service", "pivot_nm"].field  # type: ignore[attr-defined]
    row.setFocus()
    row.selectAll()
    qtbot.keyClicks(row, "9000")
    assert window.files.write(tmp_path / "x.bike.toml")
    assert "Swingarm pivot" in window.message.text.text()
    assert row.text() == "9000"


def test_a_full_disk_loses_nothing(
    window: Workbench, page: FittingPage, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    page._go("press")
    type_in(qtbot, line(page, "press_width"), "17.5")

    def full(*_: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(bikefile, "replace_keeping", full)
    assert not window.files.write(tmp_path / "x.bike.toml")
    assert "No space left on device" in window.message.text.text()
    assert readings(window) == {"press_width": "17.5 mm"}
    assert line(page, "press_width").text() == "17.5"
    assert window.document.unsaved


def test_the_sheet_is_saved_blank_and_filled(
    window: Workbench, page: FittingPage, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    bike = serviced()
    job = written(bike, conversion(bike))
    window.files.start_with(BikeFile(with_job(bike, job, job), ""), None)
    for blank, name in ((False, "filled"), (True, "blank.pdf")):
        monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_, to=tmp_path / name: (str(to), ""))
        page.head.blank.setChecked(blank)
        page.show_paper("Letter")
        qtbot.mouseClick(page.head.save_sheet, Qt.MouseButton.LeftButton)
    filled, empty = pypdf.PdfReader(tmp_path / "filled.pdf"), pypdf.PdfReader(tmp_path / "blank.pdf")
    assert "17.56 mm" in " ".join(p.extract_text() for p in filled.pages).replace("\t", " ")
    assert "17.56" not in " ".join(p.extract_text() for p in empty.pages)
    assert filled.pages[0].mediabox.width == 612
    assert window.remembered.now.paper == "Letter"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(tmp_path / "no" / "x.pdf"), ""))
    qtbot.mouseClick(page.head.save_sheet, Qt.MouseButton.LeftButton)
    assert "Nothing written" in window.message.text.text()


def test_printing_goes_to_the_chosen_printer(
    window: Workbench, page: FittingPage, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = tmp_path / "printed.pdf"

    def agree(dialog: QPrintDialog) -> int:
        dialog.printer().setOutputFormat(QPrinter.OutputFormat.PdfFormat)
        dialog.printer().setOutputFileName(str(target))
        return int(QPrintDialog.DialogCode.Accepted.value)

    monkeypatch.setattr(QPrintDialog, "exec", agree)
    qtbot.mouseClick(page.head.print_sheet, Qt.MouseButton.LeftButton)
    printed = pypdf.PdfReader(target)
    assert 1 <= len(printed.pages) <= 3
    assert "Page 1 of" in printed.pages[0].extract_text().replace("\t", " ")
    assert window.message.text.text() == "Sent to the printer."


def test_a_year_later_the_file_says_what_was_done_and_when_the_chain_is_due(
    window: Workbench, page: FittingPage, qtbot: QtBot, tmp_path: Path
) -> None:
    bike = serviced()
    job = signed(bike, conversion(bike))
    path = tmp_path / "kept.bike.toml"
    save_bike(path, checked(finish(with_job(bike, job, job), job)), None)
    assert window.files.open(path)
    page.tabs.setCurrentIndex(3)
    assert "525 conversion (from 520): 15/46 → 16/47" in page.history.jobs.item(0).text()
    assert page.history.due.text().startswith("Not due: Chain fitted on 2026-05-31 at 18650 km")
    type_in(qtbot, page.history.now, "28000")
    assert page.history.due.text().startswith("Due: ")
    assert window.document.bike.wear.odometer_km == 28000
    window.document.end_merge()
    page.history.now.selectAll()
    qtbot.keyClicks(page.history.now, "1000")
    assert "is below the 18650 km" in page.history.due.text()
    window.document.undo()
    assert page.history.now.text() == "28000"


def test_a_folder_is_searched_from_the_page(
    window: Workbench, page: FittingPage, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    bike = serviced()
    job = signed(bike, conversion(bike))
    done = replace(checked(finish(with_job(bike, job, job), job)), name="Found One")
    for number in range(12):
        save_bike(tmp_path / f"{number}.bike.toml", replace(bike, name=f"Other {number}"), None)
    save_bike(tmp_path / "one.bike.toml", done, None)
    (tmp_path / "bad.bike.toml").write_text("nonsense", encoding="utf-8")
    monkeypatch.setattr(QFileDialog, "getExistingDirectory", lambda *_: str(tmp_path))
    page.tabs.setCurrentIndex(3)
    history = page.history
    qtbot.mouseClick(history.choose, Qt.MouseButton.LeftButton)
    history.words.setFocus()
    qtbot.keyClicks(history.words, "which bikes have had a 525 conversion")
    qtbot.keyClick(history.words, KEY.Key_Return)
    qtbot.waitUntil(lambda: "14 files" in history.status.text() and "Enter opens" in history.status.text())
    assert [history.found.item(row).text()[:9] for row in range(history.found.count())] == ["Found One"]
    assert "1 cannot be read" in history.status.text()
    found: QListWidget = history.found
    found.setCurrentRow(0)
    found.itemActivated.emit(found.item(0))
    assert window.document.bike.name == "Found One"
    qtbot.mouseClick(history.all_due, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: "Enter opens" in history.status.text())
    assert history.found.count() == 0


def test_another_bike_brings_nothing_of_the_last(window: Workbench, page: FittingPage, qtbot: QtBot) -> None:
    page._go("slack")
    type_in(qtbot, line(page, "slack_1"), "loose")
    window.files.start_with(demo_bike("Wren 125"), None)
    page._go("slack")
    assert line(page, "slack_1").text() == ""
    assert page.card.told.text() == ""


_WORK = """
import sys, time
from gearplan.bike.demo import demo_bike
from gearplan.window.frame import settings
from gearplan.window.frame.application import prepared_application
from gearplan.window.frame.workbench import Workbench
app = prepared_application()
window = Workbench(settings.Settings())
window.make_pages()
window.files.start_with(demo_bike(), None)
window.show()
window.show_page("Fitting")
page = window.fitting_page
page._read("press_width", "17.5 mm")
print("typed", flush=True)
while True:
    app.processEvents()
    time.sleep(0.01)
"""


def test_a_half_done_job_survives_a_killed_process(window: Workbench, page: FittingPage) -> None:
    folder = state_folder() / "unsaved"
    work = subprocess.Popen([sys.executable, "-c", _WORK], stdout=subprocess.PIPE, text=True, env=os.environ)
    try:
        assert work.stdout is not None
        assert work.stdout.readline() == "typed\n"
        while not (found := list(folder.glob(f"{work.pid}-*.bike.toml"))) and work.poll() is None:
            time.sleep(0.05)
        [kept] = found
        assert kept not in recovery.left_behind()
    finally:
        work.send_signal(signal.SIGKILL)
        work.wait()
        assert work.stdout is not None
        work.stdout.close()
    assert kept in recovery.left_behind()
    job = current(read_bike(kept).bike)
    assert job is not None
    assert job.readings == (("press_width", "17.5 mm"),)


def test_the_test_ride_asks_for_what_is_open_and_what_has_a_reason(
    window: Workbench, page: FittingPage, qtbot: QtBot, asked: Asked
) -> None:
    page.head.initials.setFocus()
    qtbot.keyClicks(page.head.initials, "M. K.")
    page._go("ride")
    asked.yes = False
    qtbot.keyClick(page.card.sign, KEY.Key_F2)
    assert not dict(page.job.signed)
    text, about = asked.told[0]
    assert text == "Ride with this open?"
    assert "Pump the brake up: not signed off" in about
    assert "Rivet both pins: not signed off" in about
    asked.yes = True
    qtbot.keyClick(page.card.sign, KEY.Key_F2)
    assert dict(page.job.signed) == {"ride": "M. K."}


def test_reasons_are_asked_about_before_finishing_and_stand_in_the_history(
    window: Workbench, page: FittingPage, qtbot: QtBot, asked: Asked
) -> None:
    bike = serviced()
    job = replace(signed(bike, conversion(bike)), reasons=(("front_torque", "torque wrench out for calibration"),))
    job = replace(job, odometer_km=1000.0)
    window.files.start_with(BikeFile(with_job(bike, job, job), ""), None)
    assert "1 step signed with a reason: Torque the front nut, wheel held." in page.head.told.text()
    assert "The odometer, 1000 km (621 mi), is below" in page.head.errors.text()
    assert page.head.odometer.property("wrong")
    page._go("old_chain")
    assert "Check: The odometer, 1000 km (621 mi), is below" in page.card.told.text()
    asked.yes = False
    qtbot.mouseClick(page.head.finish, Qt.MouseButton.LeftButton)
    assert window.document.bike.jobs[-1].state == "open"
    assert asked.told[0][1][0].split(":")[0] == "Torque the front nut, wheel held"
    assert any("odometer" in text for text in asked.told[0][1])
    asked.yes = True
    qtbot.mouseClick(page.head.finish, Qt.MouseButton.LeftButton)
    assert window.document.bike.jobs[-1].state == "fitted"
    page.tabs.setCurrentIndex(3)
    assert "1 step signed with a reason: Torque the front nut" in page.history.jobs.item(0).text()
    assert page.history.due.text().startswith("Due: The check after the first ride of 2026-05-31 is not signed off.")


def test_what_was_said_of_one_job_does_not_stay_with_the_next(
    window: Workbench, page: FittingPage, qtbot: QtBot
) -> None:
    type_in(qtbot, page.head.note, "begun")
    qtbot.mouseClick(page.head.finish, Qt.MouseButton.LeftButton)
    assert "Not signed off yet" in page.head.errors.text()
    page._go("slack")
    qtbot.mouseClick(page.head.give_up, Qt.MouseButton.LeftButton)
    assert page.head.errors.text() == ""
    assert page.step.key == "secure"
    window.document.undo()
    qtbot.mouseClick(page.head.finish, Qt.MouseButton.LeftButton)
    window.document.edit("All signed", with_job(window.document.bike, page.job, signed(serviced(), page.job)))
    assert page.head.errors.text() == ""


def test_the_next_job_begins_at_its_first_step(window: Workbench, page: FittingPage) -> None:
    bike = serviced()
    job = signed(bike, conversion(bike))
    window.files.start_with(BikeFile(finish(with_job(bike, job, job), job), ""), None)
    page._go("slack")
    window.document.propose(DriveSet(14, 47, 112, "525"), "Propose")
    assert page.head.state.text() == "not begun"
    assert page.step.key == "secure"
    assert page.list.currentRow() == 0


def test_one_value_that_lacks_is_told_in_the_singular(window: Workbench, page: FittingPage) -> None:
    window.document.set_value("limits", "chain_elongation_percent", 1.7, "Limit")
    assert "not entered" not in page.head.told.text()
    window.document.set_value("service", "axle_nm", None, "Axle")
    assert "1 value from the manual not entered: a blank line on the sheet." in page.head.told.text()


def test_a_unit_written_once_does_not_stay_for_the_next_number(
    window: Workbench, page: FittingPage, qtbot: QtBot
) -> None:
    page._go("old_chain")
    field = line(page, "gauge_length")
    type_in(qtbot, field, "12.6 in")
    assert readings(window)["gauge_length"] == "12.6 in"
    type_in(qtbot, field, "320.1")
    assert readings(window)["gauge_length"] == "320.1 mm"
    type_in(qtbot, field, "12.6 in")
    page.step_by(1)
    page.step_by(-1)
    field.selectAll()
    qtbot.keyClick(field, KEY.Key_Delete)
    assert page.card.fields["gauge_length"].unit.text() == "mm"


def test_a_whole_number_says_what_it_is(page: FittingPage, qtbot: QtBot) -> None:
    page._go("count")
    type_in(qtbot, line(page, "links"), "1l4")
    assert "“1l4” is not a whole number; write it like 1" in page.card.told.text()


def test_a_signed_step_has_one_way_on(window: Workbench, page: FittingPage, qtbot: QtBot) -> None:
    page.head.initials.setFocus()
    qtbot.keyClicks(page.head.initials, "M. K.")
    page._go("secure")
    assert (page.card.skip.isVisible(), page.card.sign.text()) == (True, "Sign off, next step (F2)")
    qtbot.keyClick(page.card.sign, KEY.Key_F2)
    page._go("secure")
    assert (page.card.skip.isVisible(), page.card.sign.text()) == (False, "Next step (F2)")


def test_what_was_replaced_on_inspection_is_in_the_parts_list(page: FittingPage, qtbot: QtBot) -> None:
    page._go("inspect")
    for _ in range(2):
        qtbot.keyClick(page.card.fields["look_cush"].field, KEY.Key_Down)
    page.tabs.setCurrentIndex(1)
    row = page.parts.rows["look_cush"]
    assert row.name.isVisible()
    assert row.name.text() == "Cush rubbers (replaced on inspection)"
    assert row.action.text() == "Order"


def test_a_folder_is_searched_only_where_one_is_named(window: Workbench, page: FittingPage, qtbot: QtBot) -> None:
    page.tabs.setCurrentIndex(3)
    assert page.history.place.text() == "Choose a folder first."
    assert not page.history.all_due.isEnabled()


def test_the_pivots_torque_is_asked_only_where_a_step_uses_it(window: Workbench, page: FittingPage) -> None:
    window.document.set_value("service", "pivot_nm", None, "Pivot")
    page.tabs.setCurrentIndex(2)
    field = page.service.rows["service", "pivot_nm"].field  # type: ignore[attr-defined]
    assert not field.isVisible()
    page._keep(replace(page.job, closed="endless"), "Endless")
    page.refresh()
    assert field.isVisible()
    page._keep(replace(page.job, closed="rivet link"), "Rivet")
    window.document.set_value("service", "pivot_nm", 100, "Pivot")
    page.refresh()
    assert field.isVisible()


def test_common_practice_is_said_once(page: FittingPage, qtbot: QtBot) -> None:
    page._go("old_chain")
    for blank, text in (("gauge_links", "20"), ("gauge_length", "318.5")):
        type_in(qtbot, line(page, blank), text)
    assert page.card.told.text() == "OK: The old chain is 0.31 % longer than new; the limit is 1.0 % (common practice)."


@pytest.mark.parametrize("size", [(1280, 730), (960, 600)])
@pytest.mark.parametrize("filled", [False, True])
def test_verdict_and_sign_off_of_every_step_are_in_sight_with_one_bar_at_most(
    window: Workbench, page: FittingPage, qapp: QApplication, filled: bool, size: tuple[int, int]
) -> None:
    window.resize(*size)
    bike = window.document.bike
    job = conversion(bike)
    job = written(bike, job) if filled else job
    window.document.edit("A job", with_job(bike, job, job))
    for step in steps(bike, job):
        page._go(step.key)
        for _ in range(3):
            qapp.processEvents()
        for widget in (page.card.sign, page.card.told, page.card.hindrance):
            if widget.isVisible():
                assert widget.visibleRegion().boundingRect() == widget.rect(), (step.key, widget)
        card = page.card._scroll
        others = [area for area in page.findChildren(QScrollArea) if area.isVisible() and area is not card]
        assert not any(area.verticalScrollBar().maximum() for area in others), step.key
        first = next((b for b in step.blanks if not b.optional), None)
        at = QApplication.focusWidget()
        if filled or first is None:
            assert at is page.card.sign, step.key
        else:
            assert at is page.card.fields[first.key].field, step.key
            assert at.visibleRegion().boundingRect() == at.rect(), step.key


def test_what_is_read_at_the_bench_is_as_large_as_its_fields(page: FittingPage, qapp: QApplication) -> None:
    page._go("axle")
    qapp.processEvents()
    card, bench = page.card, page.card.why
    for label in (card.how, card.caution, card.targets):
        assert label.isVisible()
        assert label.fontInfo().pixelSize() == bench.fontInfo().pixelSize() == 18


def test_a_word_is_chosen_and_passed_by_keys(window: Workbench, page: FittingPage, qtbot: QtBot) -> None:
    page._go("chain_line")
    side = page.card.fields["line_side"].field
    assert QApplication.focusWidget() is side
    qtbot.keyClick(side, KEY.Key_Down)
    assert readings(window)["line_side"] == "in line"
    qtbot.keyClick(side, KEY.Key_Return)
    assert QApplication.focusWidget() is line(page, "line_offset")


def test_the_wear_logs_reading_is_offered_for_the_old_chain(window: Workbench, page: FittingPage, qtbot: QtBot) -> None:
    bike = window.document.bike
    wear = replace(bike.wear, gauge_links=20, readings=((15000.0, 318.0), (18640.0, 319.4)))
    window.document.edit("Wear", replace(bike, wear=wear))
    page._go("old_chain")
    assert page.card.from_log.text() == "Take the wear log's newest reading: 319.4 mm over 20 links"
    type_in(qtbot, page.head.odometer, "25000")
    assert not page.card.from_log.isVisible()
    type_in(qtbot, page.head.odometer, "18650")
    qtbot.mouseClick(page.card.from_log, Qt.MouseButton.LeftButton)
    assert readings(window) == {"gauge_links": "20", "gauge_length": "319.4 mm"}
    assert line(page, "gauge_length").text() == "319.4"
    assert QApplication.focusWidget() is page.card.sign
    assert not page.card.from_log.isVisible()
