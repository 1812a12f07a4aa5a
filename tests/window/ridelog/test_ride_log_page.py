"""The Ride log page with real keys and clicks: opening, confirming, cancelling, taking over, laps, saving."""

from __future__ import annotations

import threading
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QFileDialog
from pytestqt.qtbot import QtBot

from gearplan.bike.demo import demo_bike
from gearplan.bike.files.circuitfile import read_circuit
from gearplan.bike.profile import Bike
from gearplan.bike.work.rides import Ride
from gearplan.ridelog.demolog import Logger, csv_text
from gearplan.ridelog.thinning import Pyramid
from gearplan.window.frame.workbench import Workbench
from gearplan.window.kit.background import Background
from gearplan.window.ridelog.page import RideLogPage
from tests.ridelog.rides import BRINDLE, lapped, ride, truly


@pytest.fixture
def page(window: Workbench, qapp: QApplication) -> RideLogPage:
    window.show_page("Ride log")
    qapp.processEvents()
    return window.ride_log_page


def settled(page: RideLogPage, qtbot: QtBot) -> None:
    qtbot.waitUntil(lambda: not page.background.busy)
    # What was shown just now is laid out.
    QApplication.processEvents()


@pytest.fixture
def told(page: RideLogPage, qtbot: QtBot, tmp_path: Path) -> RideLogPage:
    """The page with a ride on 14/47 open."""
    path = tmp_path / "ride.csv"
    path.write_text(csv_text(ride(truly(BRINDLE, -1, 1), 3)), encoding="utf-8")
    page.open_file(path)
    settled(page, qtbot)
    return page


def test_a_ride_with_plain_columns_is_told_at_once(told: RideLogPage) -> None:
    assert told.learned is not None
    assert any("looks like 14/47, not 15/46" in text for text in told.tells.texts)
    assert told.tells.gears.model().rowCount() == 6
    assert told.charts.speed.isVisible()
    assert told.charts.ratios.isVisible()
    assert [name.toPlainText() for name in told.charts.ratios._names if name.isVisible()] == [
        "1",
        "2",
        "3",
        "4",
        "5",
        "6",
    ]
    assert not told.head.progress.isVisible()


def test_each_statement_shows_its_evidence(told: RideLogPage, qtbot: QtBot) -> None:
    assert {"gears", "time"} <= set(told.tells.inferences.evidence)
    assert [told.tells.gears.model().headerData(3, Qt.Orientation.Horizontal)] == ["off, %"]
    told.tells.inferences.evidence["time"].setFocus()
    qtbot.keyClick(told.tells.inferences.evidence["time"], Qt.Key.Key_Space)
    assert told.charts.title.text() == "Running time in each 1000 rpm"
    assert told.charts.evidence.isVisible()
    assert not told.charts.ratios.isVisible()
    # The most ridden band is as high as the statement says.
    highest = round(float(np.nanmax(told.charts.evidence._sticks.getData()[1])))
    assert any(f"({highest} %)" in text for text in told.tells.texts)
    # Each button says whether its evidence is the one that is drawn.
    evidence = told.tells.inferences.evidence
    assert (evidence["time"].text(), evidence["gears"].text()) == ("Evidence shown", "Evidence")
    assert told.tells.finding.evidence.isVisible()
    qtbot.keyClick(told.tells.finding.evidence, Qt.Key.Key_Space)
    assert told.charts.ratios.isVisible()
    assert (evidence["time"].text(), evidence["gears"].text()) == ("Evidence", "Evidence shown")
    assert not told.tells.finding.evidence.isVisible()


def test_the_finding_comes_first_with_its_evidence_larger_than_the_strips(told: RideLogPage) -> None:
    finding, charts = told.tells.finding, told.charts
    assert finding.head.text().startswith("▲ The final ratio looks like 14/47, not 15/46; ")
    assert finding.head.font().pixelSize() > told.head.name.font().pixelSize()
    assert not any("looks like 14/47" in text for text in told.tells.inferences.texts)
    top = finding.mapTo(told, finding.rect().topLeft()).y()
    assert top < charts.ratios.mapTo(told, charts.ratios.rect().topLeft()).y()
    assert charts.ratios.height() > charts.speed.height() + charts.engine.height()
    # It is so from the first moment, so no button there draws what is drawn already.
    assert not finding.evidence.isVisible()


def test_what_can_be_opened_stands_with_its_buttons_in_one_block(
    window: Workbench, page: RideLogPage, qapp: QApplication
) -> None:
    head = page.head
    for size in ((1280, 800), (960, 520)):
        # Whether the bike has rides to show beside it or not.
        for rides in ((), (Ride(date="2026-05-31", rolling_circumference_mm=1955),)):
            window.document.edit("rides", replace(window.document.bike, rides=rides))
            window.resize(*size)
            for _ in range(20):
                qapp.processEvents()
            assert page.tabs.isVisible() == bool(rides)
            words = head.empty
            assert words.height() >= words.heightForWidth(words.width())
            left = words.mapTo(head, words.rect().topLeft()).x()
            assert left == head.open.mapTo(head, head.open.rect().topLeft()).x()
            assert abs(left + words.width() / 2 - head.width() / 2) < 12


def test_what_was_odd_about_the_file_is_told(page: RideLogPage, qtbot: QtBot, tmp_path: Path) -> None:
    path = tmp_path / "wild.csv"
    path.write_text(csv_text(ride(truly(BRINDLE, -1, 1), 3)).rstrip() + "\nx,y,z\n", encoding="utf-8")
    page.open_file(path)
    settled(page, qtbot)
    assert any("1 row cannot be read and is left out; the first is row" in text for text in page.tells.texts)


def test_what_is_offered_is_one_edit_that_can_be_undone(window: Workbench, told: RideLogPage, qtbot: QtBot) -> None:
    before = window.document.bike
    qtbot.mouseClick(told.tells.finding.buttons["Take 14/47 as fitted"], Qt.MouseButton.LeftButton)
    on = window.document.bike.final_drive
    assert (on.front, on.rear) == (14, 47)
    settled(told, qtbot)
    assert any("agrees with 14/47" in text for text in told.tells.texts)
    assert told.tells.finding.text.startswith("✓ The final ratio agrees with 14/47")
    assert not told.tells.finding.buttons
    qtbot.mouseClick(told.tells.inferences.buttons["circumference"], Qt.MouseButton.LeftButton)
    assert window.document.bike.tyre.rolling_circumference_mm == pytest.approx(1955, abs=6)
    window.document.undo()
    window.document.undo()
    assert window.document.bike == before
    settled(told, qtbot)
    assert any("looks like 14/47" in text for text in told.tells.texts)


def test_doubtful_columns_are_asked_and_the_answer_counts(page: RideLogPage, qtbot: QtBot, tmp_path: Path) -> None:
    path = tmp_path / "doubt.csv"
    text = csv_text(replace(ride(BRINDLE, 3), gear=None, throttle=None))
    path.write_text(text.replace("time_s,rpm,speed_kmh", "t,n,v"), encoding="utf-8")
    page.open_file(path)
    settled(page, qtbot)
    assert page.tabs.currentWidget() is page.columns.parentWidget()
    assert "confirm the columns" in page.head.name.text()
    assert page.learned is None
    speed = page.columns.units[2]
    assert speed.currentText() == "km/h"
    speed.setFocus()
    qtbot.keyClick(speed, Qt.Key.Key_Down)
    assert page.columns.layout_shown is not None
    assert page.columns.layout_shown.columns[2].unit == "mph"
    again = page.columns.units[2]
    again.setFocus()
    qtbot.keyClick(again, Qt.Key.Key_Up)
    page.columns.read.click()
    qtbot.waitUntil(lambda: page.learned is not None)
    assert page.learned is not None
    assert page.learned.gears is not None
    assert page.learned.gears.matched == "yes"


def test_a_kind_picked_for_one_column_leaves_the_other(page: RideLogPage, qtbot: QtBot, tmp_path: Path) -> None:
    path = tmp_path / "none.csv"
    path.write_text("a,b,c\n" + "\n".join(f"{i},{3000 + i},{50 + i}" for i in range(50)), encoding="utf-8")
    page.open_file(path)
    settled(page, qtbot)
    assert page.columns.layout_shown is not None
    assert not page.columns.read.isEnabled()
    for row, presses in ((0, 10), (1, 9), (2, 8)):
        box = page.columns.kinds[row]
        box.setFocus()
        for _ in range(presses):
            box = page.columns.kinds[row]
            qtbot.keyClick(box, Qt.Key.Key_Up)
    assert [column.kind for column in page.columns.layout_shown.columns] == ["time", "engine", "road"]
    qtbot.mouseClick(page.columns.read, Qt.MouseButton.LeftButton)
    settled(page, qtbot)
    assert page.learned is not None


@pytest.mark.parametrize("content", [b"", b"\0\1\2", b"hello\nworld\n"])
def test_what_is_no_ride_is_said_and_the_ride_at_hand_stays(
    window: Workbench, told: RideLogPage, qtbot: QtBot, tmp_path: Path, content: bytes
) -> None:
    path = tmp_path / "bad.csv"
    path.write_bytes(content)
    learned = told.learned
    told.open_file(path)
    settled(told, qtbot)
    assert "bad.csv:" in window.message.text.text()
    assert told.learned is learned


def test_cancel_drops_the_answer(page: RideLogPage, qtbot: QtBot, tmp_path: Path) -> None:
    path = tmp_path / "ride.csv"
    path.write_text(csv_text(ride(BRINDLE, 3)), encoding="utf-8")
    page.open_file(path)
    assert page.head.stop.isVisible()
    qtbot.mouseClick(page.head.stop, Qt.MouseButton.LeftButton)
    assert not page.background.busy
    page.background.finish()
    qtbot.wait(50)
    assert page.learned is None
    assert not page.head.stop.isVisible()


def test_the_demo_ride_has_laps_and_a_circuit_to_save(
    window: Workbench, page: RideLogPage, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    qtbot.mouseClick(page.head.demo, Qt.MouseButton.LeftButton)
    settled(page, qtbot)
    assert any("looks like 14/47" in text for text in page.tells.texts)
    page.tabs.setCurrentIndex(1)
    assert page.laps.table.model().rowCount() >= 6
    best = page.learned
    assert best is not None
    assert best.circuit is not None
    qtbot.mouseClick(page.laps.middle, Qt.MouseButton.LeftButton)
    assert page.learned is not None
    assert page.learned.circuit is not None
    assert page.learned.laps is not None
    assert page.learned.circuit.lap == page.learned.laps.median
    target = tmp_path / "own"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(target), ""))
    page.laps.rank.click()
    assert window.rail.currentItem().text() == "Circuit"
    assert window.document.circuit == page.learned.circuit.circuit
    assert window.document.circuit_unsaved
    window.circuits.save()
    saved = read_circuit(tmp_path / "own.circuit.toml").circuit
    assert saved == page.learned.circuit.circuit
    assert "45" not in str(page.learned.circuit.notes)


def test_the_start_line_goes_where_the_chart_is_marked(page: RideLogPage, qtbot: QtBot, tmp_path: Path) -> None:
    path = tmp_path / "laps.csv"
    path.write_text(csv_text(lapped(2)[1]), encoding="utf-8")
    page.open_file(path)
    settled(page, qtbot)
    assert page.learned is not None
    before = page.learned.laps
    assert before is not None
    page.tabs.setCurrentIndex(1)
    assert not page.laps.line.isEnabled()
    page.charts.speed.pointed.emit(before.laps[1].start + 30)
    qtbot.mouseClick(page.laps.line, Qt.MouseButton.LeftButton)
    settled(page, qtbot)
    after = page.learned.laps
    assert after is not None
    assert after.laps[1].start - before.laps[1].start == pytest.approx(30, abs=0.5) or after.laps[
        0
    ].start - before.laps[0].start == pytest.approx(30, abs=2)


def test_speeds_follow_the_unit_of_the_view(window: Workbench, told: RideLogPage) -> None:
    def top() -> float:
        return float(np.nanmax(told.charts.speed._curves[0].getData()[1]))

    kmh = top()
    window.view.set_speed_unit("mph")
    assert top() == pytest.approx(kmh / 1.609344)


def test_arrow_keys_and_plus_move_and_zoom_the_chart(told: RideLogPage, qtbot: QtBot) -> None:
    box = told.charts.speed.getPlotItem().getViewBox()
    whole = box.viewRange()[0]
    told.charts.speed.setFocus()
    qtbot.keyClick(told.charts.speed, Qt.Key.Key_Plus)
    near = box.viewRange()[0]
    assert near[1] - near[0] < whole[1] - whole[0]
    assert told.charts.engine.getPlotItem().getViewBox().viewRange()[0] == pytest.approx(near)
    qtbot.keyClick(told.charts.speed, Qt.Key.Key_Right)
    assert box.viewRange()[0][0] > near[0]
    qtbot.keyClick(told.charts.speed, Qt.Key.Key_Home)
    assert box.viewRange()[0] == pytest.approx(whole)


def test_a_bike_without_sprockets_is_told_what_the_demo_needs(window: Workbench, page: RideLogPage) -> None:
    window.document.edit("empty", Bike())
    page.open_demo()
    assert "needs the sprockets" in window.message.text.text()


def test_another_bike_is_held_against_the_same_ride(window: Workbench, told: RideLogPage, qtbot: QtBot) -> None:
    window.document.edit("other", demo_bike("Corvid 1000").bike)
    settled(told, qtbot)
    assert any("another bike" in text for text in told.tells.texts)


def test_only_the_newest_answer_arrives(qtbot: QtBot) -> None:
    background = Background()
    got: list[object] = []
    background.done.connect(got.append)
    gate = threading.Event()

    def slow(progress: object, cancelled: object) -> str:
        gate.wait(5)
        return "old"

    background.start(slow)

    def quick(progress: object, cancelled: object) -> str:
        return "new"

    background.start(quick)
    qtbot.waitUntil(lambda: got == ["new"])
    gate.set()
    background.finish()
    qtbot.wait(30)
    assert got == ["new"]


def test_a_complaint_of_unwanted_work_is_dropped(qtbot: QtBot) -> None:
    background = Background()
    complaints: list[object] = []
    background.failed.connect(complaints.append)

    def failing(progress: object, cancelled: object) -> str:
        raise ValueError("wrong")

    background.start(failing)
    qtbot.waitUntil(lambda: len(complaints) == 1)
    background.start(failing)
    background.cancel()
    background.finish()
    qtbot.wait(30)
    assert len(complaints) == 1


def test_the_drawing_keeps_every_peak_and_costs_little() -> None:
    values = np.sin(np.arange(360_000) / 5000)
    values[123_456], values[200_000:203_000] = 9.0, np.nan
    values[54_321] = -7.0
    pyramid = Pyramid(np.arange(360_000) / 100, values)
    time_seen, seen = pyramid.seen(0, 3600, 2400)
    assert len(seen) <= 2500
    assert np.nanmax(seen) == 9.0
    assert np.nanmin(seen) == -7.0
    assert abs(time_seen[np.nanargmax(seen)] - 1234.56) < 4
    assert np.isnan(seen).any()
    close, exact = pyramid.seen(1234.0, 1235.0, 2400)
    assert exact.tolist() == values[round(close[0] * 100) : round(close[-1] * 100) + 1].tolist()


def test_the_own_lap_is_computed_fitted_and_ranked(window: Workbench, page: RideLogPage, qtbot: QtBot) -> None:
    qtbot.mouseClick(page.head.demo, Qt.MouseButton.LeftButton)
    settled(page, qtbot)
    page.tabs.setCurrentIndex(2)
    qtbot.mouseClick(page.model.compute, Qt.MouseButton.LeftButton)
    settled(page, qtbot)
    assert page.model.words.text().startswith("Computed ")
    assert "  " not in page.model.values.text()
    heads = [page.model.table.model().headerData(at, Qt.Orientation.Horizontal) for at in range(4)]
    assert heads == ["", "set", "links", "lap"]
    in_kmh = page.model.words.text()
    window.view.set_speed_unit("mph")
    page.refresh()
    assert "km/h" in in_kmh
    assert "km/h" not in page.model.words.text() + " ".join(page.tells.texts)
    assert " mph" in " ".join(page.tells.texts)
    assert "Braking" in page.model.values.text()
    assert page.model.table.model().rowCount() == 7
    first = page.model.table.model().index(0, 1)
    chosen = first.data().split(",")[0]
    page.model.table.setCurrentIndex(first)
    page.model.table.doubleClicked.emit(first)
    assert chosen == f"{window.document.chosen.front}/{window.document.chosen.rear}"
    before = window.document.bike
    table, shown = page.model.table.model(), page.model.title.text()
    assert "the values fitted to this lap (" in shown
    ranked = [[table.index(at, column).data() for column in range(6)] for at in range(7)]
    qtbot.mouseClick(page.model.take, Qt.MouseButton.LeftButton)
    assert window.document.bike.load.braking_mps2 == pytest.approx(6.0, rel=0.1)
    settled(page, qtbot)
    # They were ranked with what was taken: nothing changes but what is said of it.
    assert not page.model.compute.isVisible()
    assert ranked == [[table.index(at, column).data() for column in range(6)] for at in range(7)]
    assert page.model.title.text() == shown.replace("the values", "the profile's values, as", 1)
    assert not page.model.take.isEnabled()
    window.document.undo()
    assert window.document.bike == before
    settled(page, qtbot)
    assert page.model.title.text() == shown
    # Another profile: what was computed no longer holds.
    window.document.set_value("load", "rider_kg", 60.0, "Rider")
    settled(page, qtbot)
    assert page.model.compute.isVisible()


def test_a_set_that_is_not_listed_can_be_typed_as_counted(
    window: Workbench, page: RideLogPage, qtbot: QtBot, tmp_path: Path
) -> None:
    path = tmp_path / "ride.csv"
    path.write_text(csv_text(ride(truly(BRINDLE, -1, 1, 0.01), 3, 4.0, Logger(gps=True))), encoding="utf-8")
    page.open_file(path)
    settled(page, qtbot)
    assert page.learned is not None
    assert page.learned.gears is not None
    before = window.document.bike
    assert (13, 44) not in [(one.front, one.rear) for one in page.learned.gears.teeth]
    for typed, words in (("14-46", "such as 15/45"), ("14/999", "Behind: "), ("12/60", "count again")):
        page.tells.count.field.setText(typed)
        qtbot.keyClick(page.tells.count.field, Qt.Key.Key_Return)
        settled(page, qtbot)
        assert words in page.tells.count.wrong.text()
        assert page.tells.count.field.text() == typed
        assert window.document.bike == before
    page.tells.count.field.setText("13 / 44")
    qtbot.mouseClick(page.tells.count.button, Qt.MouseButton.LeftButton)
    settled(page, qtbot)
    assert page.tells.count.wrong.isHidden()
    on = window.document.bike
    assert (on.final_drive.front, on.final_drive.rear) == (13, 44)
    assert on.tyre.rolling_circumference_mm == pytest.approx(1955 * 1.01 * (44 / 13) / (47 / 14), rel=3e-3)
    assert any("13/44 as counted" in text for text in page.tells.texts)
    window.document.undo()
    assert window.document.bike == before


def test_a_profile_changed_during_a_computation_is_told_anew(
    window: Workbench, page: RideLogPage, qtbot: QtBot
) -> None:
    qtbot.mouseClick(page.head.demo, Qt.MouseButton.LeftButton)
    settled(page, qtbot)
    page._compute()
    window.document.set_value("tyre", "rolling_circumference_mm", 1900.0, "Tyre")
    qtbot.waitUntil(lambda: not page.background.busy and page._about == window.document.bike)
    assert any("1900 mm of the profile" in text and "mm a turn" in text for text in page.tells.texts)


def test_a_file_that_cannot_be_read_leaves_line_and_ride(page: RideLogPage, qtbot: QtBot, tmp_path: Path) -> None:
    path, bad = tmp_path / "laps.csv", tmp_path / "bad.csv"
    path.write_text(csv_text(lapped(2)[1]), encoding="utf-8")
    bad.write_text("nothing", encoding="utf-8")
    page.open_file(path)
    settled(page, qtbot)
    assert page.learned is not None
    assert page.learned.laps is not None
    page.charts.speed.pointed.emit(page.learned.laps.laps[1].start + 30)
    page.tabs.setCurrentIndex(1)
    qtbot.mouseClick(page.laps.line, Qt.MouseButton.LeftButton)
    settled(page, qtbot)
    line = page.learned.laps.line
    page.open_file(bad)
    settled(page, qtbot)
    page.refresh()
    settled(page, qtbot)
    assert page.learned.laps.line == line
    assert page.learned.log.name == "laps.csv"


def test_every_candidate_can_be_taken_and_one_that_was_counted_settles_the_rest(
    window: Workbench, page: RideLogPage, qtbot: QtBot, tmp_path: Path
) -> None:
    path = tmp_path / "ride.csv"
    path.write_text(csv_text(ride(truly(BRINDLE, -1, 1, 0.01), 3, 4.0, Logger(gps=True))), encoding="utf-8")
    page.open_file(path)
    settled(page, qtbot)
    before = window.document.bike
    assert page.learned is not None
    assert page.learned.gears is not None
    teeth = page.learned.gears.teeth
    assert len(teeth) > 2
    # A circumference that holds for one of several sets is taken with that set.
    first = f"{teeth[0].front}/{teeth[0].rear}"
    assert page.tells.inferences.buttons["circumference"].text().endswith(f" mm and {first}")
    last = teeth[-1]
    qtbot.mouseClick(page.tells.inferences.by_label[f"Take {last.front}/{last.rear}"], Qt.MouseButton.LeftButton)
    assert (window.document.bike.final_drive.front, window.document.bike.final_drive.rear) == (last.front, last.rear)
    window.document.undo()
    assert window.document.bike == before
    settled(page, qtbot)
    qtbot.mouseClick(page.tells.inferences.by_label["I counted 14/47"], Qt.MouseButton.LeftButton)
    settled(page, qtbot)
    on = window.document.bike
    assert (on.final_drive.front, on.final_drive.rear) == (14, 47)
    assert on.tyre.rolling_circumference_mm == pytest.approx(1955 * 1.01, rel=3e-3)
    assert on.speedometer.indicated_over_true == pytest.approx(1.0, abs=4e-3)
    assert any("14/47 as counted" in text for text in page.tells.texts)
    assert not any(label.startswith("I counted") for label in page.tells.inferences.by_label)
    # All of it was one step.
    window.document.undo()
    assert window.document.bike == before
    settled(page, qtbot)
    assert "I counted 14/47" in page.tells.inferences.by_label
