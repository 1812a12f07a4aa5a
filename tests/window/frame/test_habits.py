"""What every program of a desktop does: files are dropped, what is gone is shown as gone, all is as it was left."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import QMimeData, QPoint, QPointF, Qt, QUrl
from PySide6.QtGui import QDragEnterEvent, QDropEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QAbstractButton, QApplication, QComboBox, QLineEdit, QTabBar, QTabWidget, QWidget
from pytestqt.qtbot import QtBot

from gearplan.bike.demo import demo_bike
from gearplan.bike.files.bikefile import save_bike
from gearplan.bike.files.circuitfile import circuit_text, demo_circuit
from gearplan.window.frame import application, settings
from gearplan.window.frame.settings import gone
from gearplan.window.frame.workbench import Workbench
from gearplan.window.kit.controls.fields import ValueField


def drop(window: Workbench, *paths: Path) -> None:
    given = QMimeData()
    given.setUrls([QUrl.fromLocalFile(str(path)) for path in paths])
    action, buttons, none = Qt.DropAction.CopyAction, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
    enters = QDragEnterEvent(window.rect().center(), action, given, buttons, none)
    QApplication.sendEvent(window, enters)
    assert enters.isAccepted()
    QApplication.sendEvent(window, QDropEvent(QPointF(window.rect().center()), action, given, buttons, none))
    QApplication.processEvents()
    QApplication.processEvents()


@pytest.fixture
def bike(tmp_path: Path) -> Path:
    path = tmp_path / "mine.bike.toml"
    save_bike(path, replace(demo_bike().bike, name="Dropped one"), None)
    return path


def test_a_bike_a_circuit_a_ride_and_a_photograph_are_dropped_on_the_window(
    window: Workbench, tmp_path: Path, bike: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    drop(window, bike)
    assert window.document.bike.name == "Dropped one"
    assert window.document.path == bike
    circuit = tmp_path / "home.circuit.toml"
    circuit.write_text(circuit_text(demo_circuit("Marlpit Lane").circuit, ""), encoding="utf-8")
    drop(window, circuit)
    assert window.in_sight == "Circuit"
    assert window.document.circuit_path == circuit
    opened: list[Path] = []
    monkeypatch.setattr(window.ride_log_page, "open_file", opened.append)
    monkeypatch.setattr(window.bike_page, "measure_on", opened.append)
    for name, page in (("ride.nmea", "Ride log"), ("swingarm.JPG", "Bike")):
        (tmp_path / name).write_text("")
        drop(window, tmp_path / name)
        assert window.in_sight == page
    assert [path.name for path in opened] == ["ride.nmea", "swingarm.JPG"]
    (tmp_path / "letter.odt").write_text("")
    drop(window, tmp_path / "letter.odt")
    assert "letter.odt" in window.message.text.text()
    # A field takes no path as its text.
    assert not any(field.acceptDrops() for field in window.bike_page.findChildren(ValueField))


def test_recent_files_show_what_is_gone(window: Workbench, bike: Path) -> None:
    window.files.open(bike)
    lost = bike.with_name("lost.bike.toml")
    window.remembered.keep_recent(lost)
    window.recent_menu.aboutToShow.emit()
    shown = {action.data(): action for action in window.recent_menu.actions()}
    assert shown[str(bike)].isEnabled()
    assert not shown[str(lost)].isEnabled()
    assert shown[str(lost)].text().endswith("not there any more")
    assert gone([str(bike), str(lost)]) == {str(lost)}


def test_bike_page_and_place_come_back(window: Workbench, bike: Path, qapp: QApplication) -> None:
    window.files.open(bike)
    window.show_page("Chain")
    window.move(40, 30)
    window.close()
    kept = settings.load()
    assert (kept.page, kept.last_bike, kept.left, kept.top) == ("Chain", str(bike), 40, 30)
    again = application.shown_window(qapp, None)
    assert again.document.path == bike
    assert again.in_sight == "Chain"
    assert (again.x(), again.y()) == (40, 30)
    again.close()
    # The screen on which it stood is gone, and so is the bike.
    bike.unlink()
    other = Workbench(replace(kept, left=90_000, top=90_000))
    other.stand_where_it_stood()
    assert other.screen().availableGeometry().contains(other.frameGeometry().topLeft())
    application.fill(other, None)
    assert other.document.bike == demo_bike().bike
    other.close()
    for made in (again, other):
        made.deleteLater()


def test_pan_and_zoom_of_the_side_view_are_undone_by_one_key(window: Workbench, qtbot: QtBot) -> None:
    window.show_page("Chain")
    QApplication.processEvents()
    chart = window.chain_page.view
    box = chart.getPlotItem().getViewBox()
    chart.see_all()
    before = box.viewRange()
    chart.setFocus()
    for key in (Qt.Key.Key_Plus, Qt.Key.Key_Left, Qt.Key.Key_Up):
        qtbot.keyClick(chart, key)
    after = box.viewRange()
    assert after[0][1] - after[0][0] == pytest.approx((before[0][1] - before[0][0]) / 1.25)
    qtbot.keyClick(chart, Qt.Key.Key_Home)
    assert [end for ends in box.viewRange() for end in ends] == pytest.approx([e for ends in before for e in ends])


def test_a_finger_drags_the_cursor_of_a_chart(window: Workbench) -> None:
    device = QTest.createTouchDevice()
    chart = window.speed_page.chart
    at, was = chart.viewport().rect().center(), window.view.cursor
    QTest.touchEvent(chart.viewport(), device).press(0, at, chart.viewport()).commit()
    pressed = window.view.cursor
    assert pressed != was
    for step in range(1, 6):
        QTest.touchEvent(chart.viewport(), device).move(0, at + QPoint(12 * step, 0), chart.viewport()).commit()
    QTest.touchEvent(chart.viewport(), device).release(0, at + QPoint(60, 0), chart.viewport()).commit()
    assert window.view.cursor > pressed


def test_what_a_finger_presses_is_large_enough(window: Workbench) -> None:
    """40 px, on the pages that are used at the counter and at the bench."""
    small, looked = [], 0
    for name in ("Customer", "Fitting"):
        window.show_page(name)
        tabs = window.page(name).findChildren(QTabWidget)
        for tab in range(tabs[0].count() if tabs else 1):
            if tabs:
                tabs[0].setCurrentIndex(tab)
            for _ in range(5):
                QApplication.processEvents()
            for widget in window.page(name).findChildren(QWidget):
                if widget.isVisible() and isinstance(widget, QAbstractButton | QLineEdit | QComboBox | QTabBar):
                    looked += 1
                    if min(widget.height(), widget.width()) < 40:
                        small.append((name, tab, widget, widget.size()))
    assert small == []
    assert looked > 60
