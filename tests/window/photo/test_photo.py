"""Measuring from a photograph by real clicks and keys: what was drawn comes back, and one button takes it."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QColor, QImage, QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QFileDialog, QMessageBox, QWidget
from pytestqt.qtbot import QtBot

from gearplan.bike.profile import Bike
from gearplan.photo.points import GROUPS, PINS, Group, of
from gearplan.window.frame.workbench import Workbench
from gearplan.window.photo.dialog import PhotoDialog
from tests.window.clipping import cut
from tests.window.photo.conftest import SCENE
from tests.window.photo.drawn import clicks, photograph
from tests.window.test_clipping import take_text_size


def turn_wheel(widget: QWidget, at: QPointF, notches: int) -> None:
    event = QWheelEvent(
        at,
        widget.mapToGlobal(at),
        QPoint(),
        QPoint(0, 120 * notches),
        Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier,
        Qt.ScrollPhase.NoScrollPhase,
        False,
    )
    QApplication.sendEvent(widget, event)


def click_at(dialog: PhotoDialog, x: float, y: float) -> None:
    """Zoom in by the wheel where the place is, click, and zoom out again."""
    canvas = dialog.canvas
    turn_wheel(canvas, canvas.to_screen(x, y), 9)
    assert canvas.rect().contains(canvas.to_screen(x, y).toPoint())
    QTest.mouseClick(canvas, Qt.MouseButton.LeftButton, pos=canvas.to_screen(x, y).toPoint())
    turn_wheel(canvas, canvas.to_screen(x, y), -12)


def point_at(dialog: PhotoDialog, *groups: Group) -> None:
    """Click everything of these groups, in the order of the steps, turning the steps by keys."""
    wanted = clicks(SCENE)
    while dialog.work.step != GROUPS[0]:
        QTest.keyClick(dialog.canvas, Qt.Key.Key_PageUp)
    for group in GROUPS:
        if group in groups:
            for x, y in wanted[group]:
                click_at(dialog, float(x), float(y))
        QTest.keyClick(dialog.canvas, Qt.Key.Key_PageDown)


def wait_told(dialog: PhotoDialog, qtbot: QtBot) -> None:
    qtbot.waitUntil(lambda: dialog.work.told is not None and not dialog.telling.busy)


def start_drawn(dialog: PhotoDialog, *groups: Group) -> None:
    """Set the points of these groups at once, where nothing hangs on the clicks."""
    for group in groups:
        dialog.work.take_step(group)
        for x, y in clicks(SCENE)[group]:
            dialog.canvas.set_asked.emit(float(x), float(y))


def test_clicks_on_a_picture_bring_its_geometry_back_and_one_button_takes_it(
    opened: PhotoDialog, window: Workbench, qtbot: QtBot
) -> None:
    before = window.document.bike
    point_at(opened, *GROUPS)
    wait_told(opened, qtbot)
    told = opened.work.told
    assert told is not None
    assert told.contradiction == ""
    true = [*SCENE.shaft, SCENE.arm, SCENE.angle, SCENE.wheelbase]
    for value, number in zip(told.values, true, strict=True):
        assert value.value == pytest.approx(number, abs=1.96 * value.doubt), value
    # Every pin got the number of its place along the chain.
    assert [p.number for p in of(opened.work.points, "rear")] == [1, 2, 3, 4, 8, 12, 16, 20, 24]
    assert [p.number for p in of(opened.work.points, "run")] == [1, 7, 14, 21, 28, 33]
    assert max(off for _point, off in told.misses) < 3
    QTest.mouseClick(opened.results.take, Qt.MouseButton.LeftButton)
    after = window.document.bike.chassis
    assert after.sprocket_from_pivot_mm == pytest.approx((62, 21), abs=3)
    assert after.axle_now_mm == pytest.approx(577, abs=4)
    assert after.wheelbase_mm == pytest.approx(1415, abs=15)
    window.document.undo()
    assert window.document.bike == before


def test_only_what_is_ticked_is_taken(opened: PhotoDialog, window: Workbench, qtbot: QtBot) -> None:
    start_drawn(opened, *GROUPS)
    wait_told(opened, qtbot)
    before = window.document.bike.chassis
    opened.results.ticks["angle"].setChecked(False)
    opened.results.ticks["wheelbase"].setChecked(False)
    QTest.mouseClick(opened.results.take, Qt.MouseButton.LeftButton)
    after = window.document.bike.chassis
    assert (after.swingarm_angle_deg, after.wheelbase_mm) == (before.swingarm_angle_deg, before.wheelbase_mm)
    assert after.axle_now_mm != before.axle_now_mm


def test_what_cannot_be_told_says_why_and_stays(opened: PhotoDialog, window: Workbench, qtbot: QtBot) -> None:
    start_drawn(opened, "rear", "run", "pivot", "ground rear", "ground front", "rim rear", "rim front")
    wait_told(opened, qtbot)
    before = window.document.bike.chassis.sprocket_from_pivot_mm
    assert not opened.results.ticks["shaft forward"].isEnabled()
    assert "two pins on the front sprocket" in opened.results.ticks["shaft up"].accessibleDescription()
    QTest.mouseClick(opened.results.take, Qt.MouseButton.LeftButton)
    assert window.document.bike.chassis.sprocket_from_pivot_mm == before


def test_everything_can_be_done_by_keys(opened: PhotoDialog, qtbot: QtBot) -> None:
    canvas, work = opened.canvas, opened.work
    assert canvas.hasFocus()
    middle = canvas.aim
    QTest.keyClick(canvas, Qt.Key.Key_Right, Qt.KeyboardModifier.ControlModifier)
    assert canvas.aim.x() > middle.x()
    QTest.keyClick(canvas, Qt.Key.Key_Return)
    (first,) = work.points
    assert (first.x, first.y) == pytest.approx((canvas.aim.x(), canvas.aim.y()))
    for key, modifier in (
        (Qt.Key.Key_Left, Qt.KeyboardModifier.NoModifier),
        (Qt.Key.Key_Down, Qt.KeyboardModifier.ShiftModifier),
        (Qt.Key.Key_Down, Qt.KeyboardModifier.ControlModifier),
    ):
        QTest.keyClick(canvas, key, modifier)
    (moved,) = work.points
    assert (moved.x - first.x, moved.y - first.y) == pytest.approx((-1, 10.25))
    # The nudges are one step back.
    QTest.keyClick(canvas, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert work.points == (first,)
    QTest.keyClick(canvas, Qt.Key.Key_Y, Qt.KeyboardModifier.ControlModifier)
    assert work.points == (moved,)
    # The first Enter let the point go or set another one; a pin beside it is counted on.
    for _ in range(2):
        QTest.keyClick(canvas, Qt.Key.Key_Right)
    QTest.keyClick(canvas, Qt.Key.Key_Return)
    assert [p.number for p in work.points] == [1, 2]
    QTest.keyClick(canvas, Qt.Key.Key_BracketRight)
    assert [p.number for p in work.points] == [1, 3]
    QTest.keyClick(canvas, Qt.Key.Key_Delete)
    assert work.points == (moved,)
    QTest.keyClick(canvas, Qt.Key.Key_PageDown)
    assert work.step == "front"
    QTest.keyClick(canvas, Qt.Key.Key_Plus)
    near = canvas.to_screen(101, 0).x() - canvas.to_screen(100, 0).x()
    QTest.keyClick(canvas, Qt.Key.Key_0)
    assert canvas.to_screen(101, 0).x() - canvas.to_screen(100, 0).x() < near
    # The list chooses too.
    opened.points.setFocus()
    QTest.keyClick(opened.points, Qt.Key.Key_Up)
    assert work.point == moved
    QTest.keyClick(opened.points, Qt.Key.Key_Delete)
    assert work.points == ()


def test_a_point_can_be_dragged_and_the_picture_too(opened: PhotoDialog, qtbot: QtBot) -> None:
    canvas, work = opened.canvas, opened.work
    QTest.mouseClick(canvas, Qt.MouseButton.LeftButton, pos=canvas.to_screen(2000, 1500).toPoint())
    (before,) = work.points
    hold = canvas.to_screen(before.x, before.y).toPoint()
    QTest.mousePress(canvas, Qt.MouseButton.LeftButton, pos=hold)
    QTest.mouseMove(canvas, hold + QPoint(20, 5))
    QTest.mouseMove(canvas, hold + QPoint(40, 10))
    QTest.mouseRelease(canvas, Qt.MouseButton.LeftButton, pos=hold + QPoint(40, 10))
    (after,) = work.points
    scale = canvas.to_screen(1, 0).x() - canvas.to_screen(0, 0).x()
    assert (after.x - before.x, after.y - before.y) == pytest.approx((40 / scale, 10 / scale), abs=1 / scale)
    work.undo()
    assert work.points == (before,)
    turn_wheel(canvas, QPointF(hold), 3)
    at = canvas.to_screen(before.x, before.y)
    QTest.mousePress(canvas, Qt.MouseButton.LeftButton, pos=QPoint(60, 60))
    QTest.mouseMove(canvas, QPoint(80, 60))
    QTest.mouseMove(canvas, QPoint(110, 60))
    QTest.mouseRelease(canvas, Qt.MouseButton.LeftButton, pos=QPoint(110, 60))
    assert canvas.to_screen(before.x, before.y).x() == pytest.approx(at.x() + 50, abs=1)
    assert work.points == (before,)


def test_a_pin_counted_wrong_is_told_and_counted_right_by_a_button(
    opened: PhotoDialog, window: Workbench, qtbot: QtBot
) -> None:
    start_drawn(opened, *GROUPS)
    right = [p.number for p in of(opened.work.points, "run")]
    opened.work.choose(next(i for i, p in enumerate(opened.work.points) if p.group == "run" and p.number == 14))
    QTest.mouseClick(opened.more, Qt.MouseButton.LeftButton)
    wait_told(opened, qtbot)
    assert "it is 7 links, not 8" in opened.results.words.text()
    assert not opened.results.take.isEnabled()
    QTest.mouseClick(opened.results.count, Qt.MouseButton.LeftButton)
    wait_told(opened, qtbot)
    assert [p.number for p in of(opened.work.points, "run")] == right
    assert opened.results.take.isEnabled()
    assert not opened.results.words.isVisible()


def test_two_scales_take_nothing(opened: PhotoDialog, window: Workbench, qtbot: QtBot) -> None:
    start_drawn(opened, *GROUPS)
    window.document.set_value("final_drive", "chain", "428", "Chain size")
    before = window.document.bike
    qtbot.waitUntil(lambda: "two scales" in opened.results.words.text())
    QTest.mouseClick(opened.results.take, Qt.MouseButton.LeftButton)
    assert window.document.bike == before


@pytest.mark.parametrize(
    ("name", "data", "said"),
    [
        ("empty.jpg", b"", "empty"),
        ("words.jpg", b"no picture at all", "no picture that can be read"),
        ("short.png", b"\x89PNG\r\n\x1a\n", "no picture|damaged"),
        ("drawing.svg", b'<svg xmlns="http://www.w3.org/2000/svg" width="900" height="900"/>', "JPEG and PNG"),
    ],
)
def test_what_is_no_picture_is_refused_and_what_is_open_stays(
    opened: PhotoDialog, tmp_path: Path, name: str, data: bytes, said: str
) -> None:
    opened.work.add(100, 100, {"rear": 46, "front": 15})
    before, points = opened.work.picture, opened.work.points
    (tmp_path / name).write_bytes(data)
    assert not opened.open_picture(tmp_path / name)
    assert any(words in opened.wrong.text() for words in said.split("|"))
    assert (opened.work.picture, opened.work.points) == (before, points)
    assert not opened.open_picture(tmp_path / "missing.jpg")
    assert not opened.open_picture(tmp_path)


def test_huge_and_tiny_pictures_are_said_plainly(dialog: PhotoDialog, tmp_path: Path) -> None:
    huge = QImage(16, 16, QImage.Format.Format_RGB32)
    huge.fill(QColor("grey"))
    assert huge.save(str(tmp_path / "tiny.png"))
    assert not dialog.open_picture(tmp_path / "tiny.png")
    assert "too few" in dialog.wrong.text()
    # The head of a PNG says how large it is; nothing more is read.
    data = bytearray((tmp_path / "tiny.png").read_bytes())
    data[16:24] = (60_000).to_bytes(4, "big") * 2
    (tmp_path / "huge.png").write_bytes(data)
    assert not dialog.open_picture(tmp_path / "huge.png")
    assert dialog.work.picture is None


def test_a_picture_held_upright_is_turned_and_its_focal_length_known(
    dialog: PhotoDialog, tmp_path: Path, qapp: QApplication
) -> None:
    assert dialog.open_picture(photograph(SCENE, tmp_path / "upright.jpg", orientation=6))
    picture = dialog.work.picture
    assert picture is not None
    assert picture.size == (3000, 4000)
    assert picture.focal == pytest.approx(SCENE.focal_px, rel=1e-4)


def test_points_outlive_the_window_but_not_the_bike(opened: PhotoDialog, window: Workbench, qapp: QApplication) -> None:
    start_drawn(opened, "rear")
    points = opened.work.points
    opened.close()
    window.bike_page.photo_button.click()
    assert window.bike_page.photo is opened
    assert opened.work.points == points
    opened.close()
    window.files.open_demo(window.document.bike.name)
    assert opened.work.points == ()
    assert opened.work.picture is None


def test_another_picture_is_asked_about_while_this_one_has_points(
    opened: PhotoDialog, shot: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    start_drawn(opened, "rear")
    points, asked = opened.work.points, []
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: (str(shot), ""))
    for answer in (QMessageBox.StandardButton.No, QMessageBox.StandardButton.Yes):
        assert opened.work.points == points
        monkeypatch.setattr(QMessageBox, "question", lambda *said, answer=answer: asked.append(said[-1]) or answer)
        QTest.mouseClick(opened.open_button, Qt.MouseButton.LeftButton)
    assert opened.work.points == ()
    assert asked == ["With another picture the 9 points on this one go. Open another?"] * 2


def test_an_unfinished_bike_is_told_what_the_chain_needs(opened: PhotoDialog, window: Workbench) -> None:
    window.document.edit("Bike", Bike())
    assert "“Chain size”, “Front sprocket” and “Rear sprocket”" in opened.results.words.text()
    opened.canvas.set_asked.emit(10.0, 10.0)
    assert opened.work.points == ()


def test_a_reader_is_told_where_it_is(opened: PhotoDialog, qtbot: QtBot) -> None:
    start_drawn(opened, *GROUPS)
    wait_told(opened, qtbot)
    opened.work.choose(0)
    told = opened.canvas.accessibleDescription()
    assert told.startswith("Rear sprocket, pin 1, at ")
    assert told.endswith(" px off")
    assert opened.results.ticks["pivot to axle"].accessibleDescription().startswith("57")
    rows = [opened.points.item(row).text() for row in range(opened.points.count())]
    assert sum("px off" in row for row in rows) == len(opened.work.points)
    assert sum(row.strip().startswith("pin") for row in rows) == sum(p.group in PINS for p in opened.work.points)


@pytest.mark.parametrize(("wide", "high"), [(1280, 720), (960, 520)])
@pytest.mark.parametrize("share", [1.0, 2.0])
def test_nothing_is_cut_off(
    opened: PhotoDialog, window: Workbench, qtbot: QtBot, qapp: QApplication, wide: int, high: int, share: float
) -> None:
    start_drawn(opened, *GROUPS)
    wait_told(opened, qtbot)
    take_text_size(window, share)
    opened.resize(wide, high)
    for _ in range(30):
        qapp.processEvents()
    found = cut(opened)
    take_text_size(window, 1.0)
    assert found == []
