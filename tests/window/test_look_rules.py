"""Every page keeps the rules of its look, at a usual and at a large size; and a broken rule is noticed."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

import pyqtgraph as pg
import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from gearplan.window.frame.pagehost import PAGES
from gearplan.window.frame.workbench import Workbench
from gearplan.window.kit import theme
from gearplan.window.kit.places.layout import fixed_height, primary
from tests.window import lookrules

#: The pages that show something as soon as a bike is open, and how much of a pane may be empty on a large screen.
FILLED = ("Bike", "Speed", "Chain", "Pull", "Choices", "Customer", "Quote", "Fitting", "All bikes")
MOST_EMPTY = 0.5


@pytest.mark.parametrize(("size", "look"), [((1280, 800), "light"), ((2560, 1440), "dark")])
def test_every_page_keeps_the_rules(window: Workbench, size: tuple[int, int], look: str) -> None:
    window.document.propose(replace(window.document.chosen, front=16, rear=43), "p")
    window.counter.keep_proposal()
    window.remembered.keep(partial(replace, appearance=look))
    window.dress()
    window.resize(*size)
    seams = set()
    found = []
    for name in PAGES:
        lookrules.turn_to(window, name)
        found += [*lookrules.broken(window), *lookrules.faint(window)]
        seams.add(lookrules.seam(window))
    assert found == []
    assert len(seams - {None}) == 1


def test_a_large_screen_is_filled_with_more_and_not_with_gaps(window: Workbench, qapp: QApplication) -> None:
    window.document.propose(replace(window.document.chosen, front=16, rear=43), "p")
    window.counter.keep_proposal()
    window.resize(2560, 1440)
    found = {}
    for name in FILLED:
        lookrules.turn_to(window, name)
        for tab in lookrules.tabs_in_turn(window):
            for pane in lookrules.panes(window):
                if (share := lookrules.empty_share(pane)) > MOST_EMPTY:
                    found[name, tab] = share
    assert found == {}
    assert window.speed_page.run.drawing.isVisibleTo(window.speed_page)
    assert window.bike_page.run.drawing.isVisibleTo(window.bike_page)
    assert window.choices_page.picture.isVisibleTo(window.choices_page)
    assert window.choices_page.run.drawing.isVisibleTo(window.choices_page)
    assert min(paper.sheet().width() for paper in (window.quote_page.paper, window.quote_page.home)) > 300
    assert window.all_bikes_page.preview.run.drawing.isVisibleTo(window.all_bikes_page)
    assert window.quote_page.customer.isVisibleTo(window.quote_page)


def test_a_ride_fills_a_large_screen_behind_every_tab(window: Workbench, qtbot: QtBot) -> None:
    window.resize(2560, 1440)
    window.show_page("Ride log")
    page = window.ride_log_page
    page.open_demo()
    qtbot.waitUntil(lambda: not page.background.busy)
    lookrules.turn_to(window, "Ride log")
    assert page.spread.in_sight() == ("What it tells", "Laps", "Own lap")
    shares = {tab: max(map(lookrules.empty_share, lookrules.panes(window))) for tab in lookrules.tabs_in_turn(window)}
    assert list(shares) == ["Own lap", "History"]
    assert max(shares.values()) <= MOST_EMPTY
    assert lookrules.broken(window) == []


def test_broken_rules_are_noticed(window: Workbench, qapp: QApplication) -> None:
    page = window.speed_page
    fixed_height(page.cursor_field, 24)
    page.cursor_unit.setStyleSheet("font-size: 9px")
    label = pg.TextItem("over a curve", fill="#ffffff")
    page.chart.addItem(label)
    label.setPos(50, 5000)
    lookrules.turn_to(window, "Speed")
    primary(window.bar.as_fitted)
    page.chart.cursor.setPen(pg.mkPen(theme.current().line))
    page.ranges["front"][0].setStyleSheet("border: 1px solid #c9c6bd; background: white")
    told = " ".join((*lookrules.broken(window), *lookrules.faint(window)))
    assert "24 px high, not 32" in told
    assert "written in 9 px" in told
    assert "“over a curve” hides" in told
    assert "cursor of SawtoothChart is drawn in" in told
    assert "is faint" in told
    assert "“As fitted” and" in told or "and QPushButton “As fitted”" in told
    page.chart.removeItem(label)


def test_empty_room_is_measured(window: Workbench, qapp: QApplication) -> None:
    pane = QWidget()
    pane.resize(640, 640)
    pane.setStyleSheet("background: white")
    assert lookrules.empty_share(pane) == 1
    mark = QWidget(pane)
    mark.setGeometry(0, 0, 640, 320)
    mark.setStyleSheet("background: qlineargradient(x1:0, y1:0, x2:1, y2:1, stop:0 black, stop:1 white)")
    mark.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
    assert lookrules.empty_share(pane) == 0.5
