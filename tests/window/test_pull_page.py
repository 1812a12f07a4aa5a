"""The Pull page tells what `numbers` tells, on any gradient, and says how sure it is."""

from __future__ import annotations

from dataclasses import replace

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from gearplan.bike.profile import Bike, with_value
from gearplan.plan.numbers import numbers
from gearplan.window.how import HowPanel
from gearplan.window.pages.pull import PullPage
from gearplan.window.workbench import Workbench


@pytest.fixture
def page(window: Workbench, qapp: QApplication) -> PullPage:
    window.show_page("Pull")
    qapp.processEvents()
    return window.pull_page


def cell(page: PullPage, name: str, column: int) -> str:
    model = page.table.model()
    for row in range(model.rowCount()):
        if model.index(row, 0).data().startswith(name):
            return str(model.index(row, column).data())
    raise KeyError(name)


def test_the_table_tells_what_numbers_tells(window: Workbench, page: PullPage) -> None:
    window.document.propose(replace(window.document.chosen, front=14), "p")
    answer = numbers(window.document.bike, window.document.chosen)
    for column, which in ((1, "fitted"), (2, "proposed")):
        told = answer[which]
        assert cell(page, "0–100 km/h", column) == f"{told['time_0_100_s']:.2f}"
        assert cell(page, "80–120 km/h in gear 6", column) == f"{told['time_80_120_top_gear_s']:.2f}"
        assert cell(page, "Top speed", column) == f"{told['top_speed_kmh']:.0f}"
        assert cell(page, "Up-shift out of gear 3", column) == f"{told['shift_rpm'][2]:.0f}"
        assert cell(page, "Speedometer", column) == f"{told['speedometer_indicated_at_100_kmh']:.1f}"
    assert "Top speed about 211 km/h in gear 6, limited by drag" in page.sentence.text()


def test_the_chart_shows_every_gear_and_the_road_load(window: Workbench, page: PullPage) -> None:
    chart = page.thrust_chart
    assert sum(curve.isVisible() for curve in chart._gears) == 6
    assert [name.toPlainText() for name in chart._load_names if name.isVisible()] == ["level", "+6 %", "+12 %"]
    x, y = chart._top.getData()
    assert x[0] == pytest.approx(213.1, abs=0.1)
    assert y[0] > 500


def test_a_gradient_and_a_wind_slow_it(page: PullPage, qtbot: QtBot) -> None:
    level = float(cell(page, "0–100 km/h", 2))
    for field, text in ((page.slope, "10"), (page.wind, "20,5")):
        field.setFocus()
        field.selectAll()
        qtbot.keyClicks(field, text)
    assert float(cell(page, "0–100 km/h", 2)) > level
    assert cell(page, "0–200 km/h", 2) == "–"
    page.slope.selectAll()
    qtbot.keyClicks(page.slope, "90")
    qtbot.keyClick(page.slope, Qt.Key.Key_Return)
    assert "−30 to 30 %" in page.errors.text()


def test_too_steep_for_the_bike(window: Workbench, page: PullPage, qtbot: QtBot) -> None:
    window.files.open_demo("Wren 125")
    page.slope.setFocus()
    page.slope.selectAll()
    qtbot.keyClicks(page.slope, "30")
    assert cell(page, "0–100 km/h", 2) == "–"
    assert page.thrust_chart.isVisible()


def test_how_sure(window: Workbench, page: PullPage) -> None:
    page.tabs.setCurrentIndex(1)
    model = page.doubts.model()
    sizes = [float(model.index(row, 2).data().split()[0]) for row in range(model.rowCount())]
    assert len(sizes) == 6
    assert sizes == sorted(sizes, reverse=True)
    assert model.index(0, 0).data() in page.doubt_words.text()


def test_what_is_assumed_is_named(window: Workbench, page: PullPage) -> None:
    assert "Assumed: nothing" in page.caption.text()
    window.document.edit("x", with_value(window.document.bike, "load", "drag_area_m2", None))
    assert "Drag area 0.45 m²" in page.caption.text()


def test_without_a_curve_the_page_says_so(window: Workbench, page: PullPage) -> None:
    window.document.edit("x", with_value(window.document.bike, "engine", "torque", None))
    assert page.empty.isVisible()
    assert "torque curve" in page.empty.words.text()
    assert not page.thrust_chart.isVisible()
    window.document.edit("y", Bike())
    assert page.empty.isVisible()


def test_every_figure_can_be_explained(window: Workbench, page: PullPage) -> None:
    rows = page.table.model().rowCount()
    for row in range(rows):
        page.table.asked.emit(row, 2)
    panels = window.findChildren(HowPanel)
    assert len(panels) == rows
    assert {"How: 0–100 km/h", "How: Top speed", "How: Speedometer at a true 100 km/h"} <= {
        panel.windowTitle() for panel in panels
    }


def test_miles_an_hour(window: Workbench, page: PullPage) -> None:
    window.view.set_speed_unit("mph")
    x, _ = page.thrust_chart._top.getData()
    assert x[0] == pytest.approx(213.1 / 1.609344, abs=0.1)
    assert "mph" in page.thrust_chart.getPlotItem().getAxis("bottom").label.toPlainText()
    assert "mph" in page.time_chart.getPlotItem().getAxis("left").label.toPlainText()
