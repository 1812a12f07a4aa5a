"""No text is cut off, and nothing is out of reach, on any page: small windows, large text, any bike."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from PySide6.QtCore import QRect, Qt
from PySide6.QtWidgets import (
    QApplication,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPushButton,
    QScrollArea,
    QTableWidget,
    QWidget,
)
from pytestqt.qtbot import QtBot

from gearplan.bike import library
from gearplan.bike.files.bikefile import BikeFile
from gearplan.bike.profile import Bike
from gearplan.window.frame import workbench
from gearplan.window.frame.workbench import Workbench
from gearplan.window.kit import theme
from gearplan.window.kit.places.layout import fixed_width
from gearplan.window.kit.tables.texttable import TextTable
from tests.bike.strategies import bikes
from tests.window.circuit.laps import ranked
from tests.window.clipping import cut
from tests.window.pages import each_tab

#: A screen of 1920 × 1080 at scale 2 leaves 960 × 540 to the window, less with a frame.
ROOMS = [(960, 520), (960, 600), (1280, 720), (1366, 700)]


@pytest.fixture
def full(window: Workbench, qapp: QApplication, qtbot: QtBot) -> Iterator[Workbench]:
    """A window in which every page has something to show."""
    window.show_page("Circuit")
    window.circuits.open_demo("Marlpit Lane")
    ranked(window.circuit_page, qtbot)
    window.show_page("Ride log")
    window.ride_log_page.head.demo.click()
    qtbot.waitUntil(lambda: window.ride_log_page.learned is not None, timeout=120_000)
    yield window
    take_text_size(window, 1.0)


def settle(qapp: QApplication) -> None:
    """Let the layout come to rest: each turn of the events takes it one level on."""
    for _ in range(30):
        qapp.processEvents()


def take_text_size(window: Workbench, share: float) -> None:
    words = f"{100 * share:.0f} %"
    next(action for action in window.actions() if action.data() == words).trigger()
    assert theme.scale() == share


def everything_cut(window: Workbench, qapp: QApplication) -> list[str]:
    """What is cut off on each tab of each page."""
    found = []
    for place in each_tab(window):
        settle(qapp)
        found += [f"{place}: {what}" for what in cut(window)]
    return found


def fits(window: Workbench, qapp: QApplication, size: tuple[int, int]) -> None:
    window.resize(*size)
    settle(qapp)
    assert (window.width(), window.height()) == size
    assert everything_cut(window, qapp) == []


def test_nothing_is_cut_off_in_any_window(full: Workbench, qapp: QApplication) -> None:
    for size in ROOMS:
        fits(full, qapp, size)


@pytest.mark.parametrize("shares", [(0.8, 1.25, 1.5), (2.0, 2.5)])
def test_nothing_is_cut_off_in_large_text(full: Workbench, qapp: QApplication, shares: tuple[float, ...]) -> None:
    for share in shares:
        take_text_size(full, share)
        for size in ROOMS[1::2]:
            fits(full, qapp, size)


def test_nothing_is_cut_off_with_a_set_that_does_not_fit(full: Workbench, qapp: QApplication) -> None:
    chosen = full.document.chosen
    for front, rear in ((9, 70), (20, 30)):
        full.document.propose(replace(chosen, front=front, rear=rear), "p")
        fits(full, qapp, (960, 600))


@pytest.mark.parametrize("name", library.demo_bikes())
def test_nothing_is_cut_off_with_any_demo_bike(window: Workbench, qapp: QApplication, name: str) -> None:
    window.files.open_demo(name)
    fits(window, qapp, (960, 600))


@given(bikes(), st.sampled_from(ROOMS))
@settings(
    # To shrink a bike takes minutes and tells little: what is cut off is named.
    max_examples=4,
    phases=[Phase.generate],
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
def test_nothing_is_cut_off_with_any_bike(
    window: Workbench, qapp: QApplication, bike: Bike, size: tuple[int, int]
) -> None:
    window.files.start_with(BikeFile(bike, ""), None)
    fits(window, qapp, size)


def test_the_window_fits_the_screen_with_its_frame(window: Workbench) -> None:
    for wide, high in ((1366, 768), (1280, 800), (960, 521), (800, 600)):
        window.resize(1280, 800)
        window.fit_to(QRect(0, 0, wide, high))
        frame = workbench.FRAME
        assert window.width() + frame.width() <= wide
        assert window.height() + frame.height() <= high


def test_the_sliders_fold_away_where_the_window_is_low(window: Workbench, qapp: QApplication) -> None:
    window.resize(960, 540)
    settle(qapp)
    assert not window.bar.controls.isVisible()
    low = window.bar.height()
    window.bar.unfold.click()
    settle(qapp)
    assert window.bar.controls.isVisible()
    assert window.bar.height() > low
    window.resize(1280, 800)
    assert window.bar.controls.isVisible()
    assert not window.bar.unfold.isVisible()


@pytest.mark.parametrize("share", [0.8, 1.0, 1.25, 1.5])
def test_the_unfolded_sliders_are_whole_in_any_window(window: Workbench, qapp: QApplication, share: float) -> None:
    take_text_size(window, share)
    chosen = window.document.chosen
    try:
        for size in ROOMS:
            window.resize(*size)
            settle(qapp)
            if window.bar.folded:
                window.bar.unfold.click()
            for front, rear in ((15, 46), (9, 70)):
                window.document.propose(replace(chosen, front=front, rear=rear), "p")
                settle(qapp)
                assert window.bar.controls.isVisible()
                assert [what for what in cut(window) if "SetBar" in what] == [], size
    finally:
        take_text_size(window, 1.0)


# What the search for cut text itself finds.


def shown(qtbot: QtBot, *widgets: QWidget, width: int) -> QWidget:
    window = QWidget()
    row = QHBoxLayout(window)
    for widget in widgets:
        row.addWidget(widget)
    qtbot.addWidget(window)
    window.show()
    window.resize(width, 200)
    QApplication.processEvents()
    return window


def test_a_narrow_label_is_found(qtbot: QtBot) -> None:
    label = QLabel("13.166 and more")
    window = shown(qtbot, label, width=300)
    assert cut(window) == []
    label.setFixedWidth(30)
    assert any("13.166" in what for what in cut(window))


def test_a_label_without_room_for_its_lines_is_found(qtbot: QtBot) -> None:
    label = QLabel("a sentence of many words that goes on in a second and a third line")
    label.setWordWrap(True)
    label.setFixedHeight(16)
    assert cut(shown(qtbot, label, width=160))


def test_a_narrow_button_and_a_narrow_field_are_found(qtbot: QtBot) -> None:
    button, field = QPushButton("At the slack asked for"), QLineEdit()
    field.setPlaceholderText("0.97 assumed")
    fixed_width(button, 40)
    fixed_width(field, 40)
    found = cut(shown(qtbot, button, field, width=400))
    assert any("At the slack" in what for what in found)
    assert any("0.97" in what for what in found)


def test_a_narrow_column_is_found(qtbot: QtBot) -> None:
    table = TextTable("a table")
    table.show_texts(("gear", "overall ratio"), [("1", "13.166")])
    window = shown(qtbot, table, width=400)
    assert cut(window) == []
    table.horizontalHeader().resizeSection(1, 24)
    assert any("13.166" in what for what in cut(window))
    assert any("overall ratio" in what for what in cut(window))


def test_what_a_parent_cuts_away_is_found(qtbot: QtBot) -> None:
    parent = QWidget()
    label = QLabel("beyond the edge", parent)
    label.move(150, 0)
    parent.setMinimumHeight(40)
    fixed_width(parent, 160)
    assert any("beyond the edge" in what for what in cut(shown(qtbot, parent, width=300)))


def test_a_part_of_a_line_is_found(qtbot: QtBot) -> None:
    label = QLabel("\n".join(f"line {k}" for k in range(9)))
    label.setWordWrap(True)
    scroll = QScrollArea()
    scroll.setWidgetResizable(True)
    scroll.setWidget(label)
    scroll.setFixedHeight(3 * label.fontMetrics().lineSpacing() + 7)
    assert any("a part of a line" in what for what in cut(shown(qtbot, scroll, width=200)))


def test_a_scroll_bar_below_what_is_in_sight_is_found(qtbot: QtBot) -> None:
    table = QTableWidget(40, 12)
    table.setMinimumHeight(1300)
    place = QScrollArea()
    place.setWidgetResizable(True)
    place.setWidget(table)
    window = shown(qtbot, place, width=300)
    assert any("below the heads" in what for what in cut(window))
    table.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    QApplication.processEvents()
    assert any("no scroll bar" in what for what in cut(window))


def test_the_verdict_scrolls_line_by_line_by_keys(window: Workbench, qapp: QApplication, qtbot: QtBot) -> None:
    window.resize(960, 540)
    settle(qapp)
    label = window.bar.verdict.reasons
    around = label.parentWidget()
    assert around is not None
    line, high = label.fontMetrics().lineSpacing(), around.height()
    assert label.height() > high >= 2 * line
    label.setFocus()
    seen = [-label.y()]
    for _ in range(label.height() // line):
        qtbot.keyClick(label, Qt.Key.Key_Down)
        seen.append(-label.y())
    assert seen[:2] == [0, line]
    assert seen[-1] == label.height() - high
    assert all(place % line == 0 for place in seen)
    qtbot.keyClick(label, Qt.Key.Key_Home)
    assert label.y() == 0
