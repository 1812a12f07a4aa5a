"""The Pull page tells what `numbers` tells, on any gradient, and says how sure it is."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PySide6.QtCore import QPointF, QRect, Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from gearplan.bike.profile import Bike, with_value
from gearplan.commands.output.numbersjson import numbers
from gearplan.window.frame.how import HowPanel
from gearplan.window.frame.workbench import Workbench
from gearplan.window.pull.page import PullPage


@pytest.fixture
def page(window: Workbench, qapp: QApplication) -> PullPage:
    window.show_page("Pull")
    qapp.processEvents()
    return window.pull_page


def go(page: PullPage, tab: str) -> Any:
    page.tabs.setCurrentIndex(list(page.tab).index(tab))
    return page.tab[tab]


def torque(window: Workbench) -> list[float]:
    return [value for point in window.document.bike.engine.torque or () for value in point]


def cell(page: PullPage, name: str, column: int, tab: str = "Times") -> str:
    model = go(page, tab).table.model()
    for row in range(model.rowCount()):
        if model.index(row, 0).data().startswith(name):
            return str(model.index(row, column).data())
    raise KeyError(name)


def test_the_table_tells_what_numbers_tells(window: Workbench, page: PullPage) -> None:
    window.document.propose(replace(window.document.chosen, front=14), "p")
    answer = numbers(window.document.bike, window.document.chosen)
    for column, which in ((1, "fitted"), (2, "proposed")):
        told = answer[which]
        assert cell(page, "0–100 km/h", column) == f"{told['time_0_100_s']:.1f}"
        assert cell(page, "Gear 6: 80–120 km/h", column) == f"{told['time_80_120_top_gear_s']:.1f}"
        assert cell(page, "Top speed", column) == f"{told['top_speed_kmh']:.0f}"
        assert cell(page, "gear 3", column, "Shifts").split()[0] == f"{told['shift_rpm'][2]:.0f}"
        shown = cell(page, "Speedometer at a true 100", column, "Everyday")
        assert shown == f"{told['speedometer_indicated_at_100_kmh']:.0f}"
    assert "Top speed 211 ± 9 km/h in gear 6, limited by drag" in page.sentence.text()


def test_the_chart_shows_every_gear_and_the_road_load(window: Workbench, page: PullPage) -> None:
    chart = page.thrust_chart
    assert sum(curve.isVisible() for curve in chart._gears) == 6
    assert [name.toPlainText() for name in chart._load_names if name.isVisible()] == ["level", "+6 %", "+12 %"]
    x, y = chart._top.getData()
    assert x[0] == pytest.approx(213.1, abs=0.1)
    assert y[0] > 500


def test_each_load_is_named_on_its_own_line_and_each_gear_within_the_chart(window: Workbench, page: PullPage) -> None:
    window.document.propose(replace(window.document.chosen, front=14, rear=48), "p")
    chart = page.thrust_chart
    heights = []
    for name, line in zip(chart._load_names[:3], chart._loads, strict=False):
        assert name.anchor[1] == 1.0
        assert name.pos().y() == pytest.approx(np.interp(name.pos().x(), *line.getData()))
        heights.append(name.pos().y())
    assert heights == sorted(heights)
    top = chart.getPlotItem().vb.viewRange()[1][1]
    assert top >= 1.1 * max(name.pos().y() for name in chart._gear_names if name.isVisible())


def test_no_head_is_cut_off_and_left_columns_have_left_heads(window: Workbench, page: PullPage) -> None:
    window.resize(1280, 800)
    window.bar.step("rear", -1)
    for tab in ("Shifts", "How sure", "Everyday"):
        table = go(page, tab).table
        QApplication.processEvents()
        metrics = table.horizontalHeader().fontMetrics()
        for column in range(table.model().columnCount()):
            head = str(table.model().headerData(column, Qt.Orientation.Horizontal))
            assert metrics.horizontalAdvance(head) <= table.columnWidth(column), (tab, head)
        side = table.model().headerData(0, Qt.Orientation.Horizontal, Qt.ItemDataRole.TextAlignmentRole)
        assert side & Qt.AlignmentFlag.AlignLeft


def test_the_bars_of_doubt_are_as_long_as_their_sizes(page: PullPage) -> None:
    model = go(page, "How sure").table.model()
    rows = [[str(model.index(row, c).data()) for c in (2, 3)] for row in range(model.rowCount())]
    sizes = [float(size.removesuffix(" s")) for size, _ in rows]
    bars = [float(bar.removesuffix(" %")) for _, bar in rows]
    assert bars[0] == 100
    assert bars == pytest.approx([100 * size / sizes[0] for size in sizes], abs=3)
    table = go(page, "How sure").table
    picture = table.grab().toImage()
    lengths = []
    for row in range(2):
        box = table.visualRect(model.index(row, 3))
        y = table.viewport().pos().y() + box.center().y()
        left = table.viewport().pos().x() + box.left()
        dark = [picture.pixelColor(left + x, y).lightness() < 128 for x in range(box.width())]
        lengths.append(sum(dark))
    assert lengths[1] / lengths[0] == pytest.approx(bars[1] / 100, abs=0.05)


def test_the_sentence_is_told_in_the_unit_of_the_view(window: Workbench, page: PullPage) -> None:
    window.view.set_speed_unit("mph")
    assert "From 40 to 60 mph" in page.sentence.text()
    assert "Top speed 132 ± 5 mph" in page.sentence.text()
    assert "km/h" not in page.sentence.text()


def test_a_long_list_shows_how_it_begins(page: PullPage) -> None:
    assert go(page, "Times").sprints.cursorPosition() == 0


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
    tab = go(page, "How sure")
    model = tab.table.model()
    sizes = [float(model.index(row, 2).data().split()[0]) for row in range(model.rowCount())]
    assert len(sizes) > 8
    assert min(sizes) > 0
    assert "0–100 km/h takes 4.1 ± 0.3 s" in tab.words.text()
    assert sizes == sorted(sizes, reverse=True)
    assert model.index(0, 0).data() in tab.words.text()


@pytest.mark.parametrize("tab", ["Times", "Everyday"])
def test_doubts_stand_beside_the_proposed_figures_but_not_while_a_slider_is_held(page: PullPage, tab: str) -> None:
    def off() -> list[str]:
        model = go(page, tab).table.model()
        return [str(model.index(row, 3).data()) for row in range(model.rowCount())]

    before = off()
    assert any(text.startswith("± ") for text in before)
    if tab == "Times":
        assert cell(page, "0–100 km/h", 3) == "± 0.3"
        assert cell(page, "Top speed", 3) == "± 8"
    page.hold(True)
    page.refresh()
    assert set(off()) == {""}
    assert "Top speed about 213 km/h" in page.sentence.text()
    page.hold(False)
    assert off() == before


def test_what_is_assumed_is_named(window: Workbench, page: PullPage) -> None:
    assert "Assumed: nothing" in page.caption.text()
    window.document.edit("x", with_value(window.document.bike, "load", "drag_area_m2", None))
    assert "drag area 0.45 m²" in page.caption.text()


def test_without_a_curve_the_page_says_so(window: Workbench, page: PullPage) -> None:
    window.document.edit("x", with_value(window.document.bike, "engine", "torque", None))
    assert page.empty.isVisible()
    assert "torque curve" in page.empty.words.text()
    assert not page.thrust_chart.isVisible()
    window.document.edit("y", Bike())
    assert page.empty.isVisible()


@pytest.mark.parametrize("tab", ["Times", "Everyday"])
def test_every_figure_can_be_explained(window: Workbench, page: PullPage, tab: str) -> None:
    table = go(page, tab).table
    rows = table.model().rowCount()
    for row in range(rows):
        table.asked.emit(row, 2)
    panels = window.findChildren(HowPanel)
    assert len(panels) == rows
    titles = {panel.windowTitle() for panel in panels}
    assert {"How: 0–100 km/h", "How: Top speed"} <= titles or "How: Speedometer at a true 100 km/h" in titles


def test_miles_an_hour(window: Workbench, page: PullPage) -> None:
    window.view.set_speed_unit("mph")
    x, _ = page.thrust_chart._top.getData()
    assert x[0] == pytest.approx(213.1 / 1.609344, abs=0.1)
    assert "mph" in page.thrust_chart.getPlotItem().getAxis("bottom").label.toPlainText()
    assert "mph" in page.later_chart.getPlotItem().getAxis("bottom").label.toPlainText()
    assert cell(page, "Top speed, mph", 2) == "132"
    page.wind._typed("10")
    window.view.set_speed_unit("km/h")
    assert page.wind.text() == "16.1"
    assert page.units["Head &wind"].text() == "km/h"


def test_sprints_of_ones_own_and_wrong_text_stays(window: Workbench, page: PullPage, qtbot: QtBot) -> None:
    tab = go(page, "Times")
    tab.sprints.setFocus()
    tab.sprints.selectAll()
    qtbot.keyClicks(tab.sprints, "0-80; 1 km")
    assert float(cell(page, "0–80 km/h", 2)) < float(cell(page, "1 km", 2))
    qtbot.keyClicks(tab.sprints, "; swift")
    qtbot.keyClick(tab.sprints, Qt.Key.Key_Return)
    assert "“swift” is not understood" in tab.sprints.errors.text()
    assert tab.sprints.text().endswith("swift")
    assert cell(page, "1 km", 2)
    assert window.view.asked["sprints"].startswith("0-80; 1 km")


def test_the_cursor_is_dragged_and_the_reserve_follows(window: Workbench, page: PullPage, qtbot: QtBot) -> None:
    chart = page.thrust_chart
    chart.setFocus()
    before = chart._reserve_name.toPlainText()
    for _ in range(5):
        qtbot.keyClick(chart, Qt.Key.Key_Right, Qt.KeyboardModifier.ShiftModifier)
    assert window.view.cursor == pytest.approx(150 / 3.6)
    assert chart._reserve_name.toPlainText() != before
    assert "At 150 km/h" in page.sentence.text()
    window.show_page("Speed")
    assert window.speed_page.chart.cursor.value() == pytest.approx(150)


def test_the_curve_is_typed_pasted_dragged_and_undone(window: Workbench, page: PullPage, qtbot: QtBot) -> None:
    tab = go(page, "Engine")
    was = window.document.bike.engine.torque
    tab.text.setFocus()
    tab.text.selectAll()
    tab.text.insertPlainText("rpm;kW\n3000;20\n6000;45\n9000;60")
    assert torque(window) == pytest.approx([3000, 63.662, 6000, 71.62, 9000, 63.662], abs=1e-3)
    assert "computed from power" in tab.notes.text()
    tab.text.insertPlainText("\nnonsense")
    tab.text.clearFocus()
    assert "nonsense" in tab.text.toPlainText()
    assert tab.problem
    assert [label for label, _ in window.document.unread()] == ["Torque curve"]
    assert window.document.bike.engine.torque is None
    window.document.undo()
    assert window.document.bike.engine.torque == was
    assert tab.text.toPlainText().startswith("2000\t41")
    assert not window.document.unread()
    chart = tab.chart
    chart.setFocus()
    qtbot.keyClick(chart, Qt.Key.Key_Right)
    qtbot.keyClick(chart, Qt.Key.Key_Up)
    assert window.document.bike.engine.torque[0] == (2000, 41.5)  # type: ignore[index]
    assert tab.text.toPlainText().startswith("2000\t41.5")


def test_a_point_is_dragged_with_the_mouse(window: Workbench, page: PullPage, qtbot: QtBot) -> None:
    tab = go(page, "Engine")
    chart, box = tab.chart, tab.chart.getPlotItem().vb
    # The axes take their width when they are painted; only then do the points stay where they are.
    for _ in range(2):
        chart.grab()
        QApplication.processEvents()
    start = chart.mapFromScene(box.mapViewToScene(QPointF(7000, 64)))
    end = chart.mapFromScene(box.mapViewToScene(QPointF(6000, 70)))
    qtbot.mousePress(chart.viewport(), Qt.MouseButton.LeftButton, pos=start)
    qtbot.wait(20)
    qtbot.mouseMove(chart.viewport(), end)
    qtbot.wait(20)
    qtbot.mouseRelease(chart.viewport(), Qt.MouseButton.LeftButton, pos=end)
    moved = window.document.bike.engine.torque[2]  # type: ignore[index]
    assert moved[0] == pytest.approx(6000, abs=120)
    assert moved[1] == pytest.approx(70, abs=1.5)
    window.document.undo()
    assert window.document.bike.engine.torque[2] == (7000, 64)  # type: ignore[index]


def test_a_table_is_imported_and_a_wrong_one_is_refused(window: Workbench, page: PullPage, tmp_path: Path) -> None:
    tab = go(page, "Engine")
    good, bad = tmp_path / "a.csv", tmp_path / "b.csv"
    good.write_text("engine speed rpm,torque lbf·ft\n3000,40\n7000,50\n")
    bad.write_text("colour,shape\nred,round\n")
    tab.import_table(bad)
    assert "b.csv" in tab.errors.text()
    tab.import_table(good)
    assert torque(window) == pytest.approx([3000, 54.233, 7000, 67.791], abs=1e-3)
    assert not tab.errors.text()


def test_peaks_alone_are_enough_and_said_to_be_assumed(window: Workbench, page: PullPage) -> None:
    engine = replace(
        window.document.bike.engine,
        torque=None, peak_torque_nm=60, peak_torque_rpm=7000, peak_power_kw=55, peak_power_rpm=9500,
    )  # fmt: skip
    window.document.edit("x", replace(window.document.bike, engine=engine))
    assert "the torque curve's shape, from its peaks" in page.caption.text()
    tab = go(page, "Engine")
    assert tab.take.isVisible()
    tab.take.click()
    assert max(t for _, t in window.document.bike.engine.torque or ()) == pytest.approx(60)
    assert not tab.take.isVisible()


def test_peaks_that_contradict_each_other_are_marked_and_never_fit(
    window: Workbench, page: PullPage, qtbot: QtBot
) -> None:
    engine = replace(
        window.document.bike.engine,
        torque=None, peak_torque_nm=60, peak_torque_rpm=7000, peak_power_kw=55, peak_power_rpm=9500,
    )  # fmt: skip
    window.document.edit("t", replace(window.document.bike, engine=engine))
    tab = go(page, "Engine")
    row = tab.peaks.rows["engine", "peak_power_kw"]
    assert window.bar.verdict.word.text() == "Fits"
    row.field.setFocus()
    row.field.selectAll()
    # 60 N·m at 7000 rpm are 44.0 kW already.
    qtbot.keyClicks(row.field, "40")
    assert "less than the 44.0 kW that 60 N·m at 7000 rpm already give" in row.errors.text()
    assert row.field.property("wrong")
    assert window.bar.verdict.word.text() == "Fits, 1 caution, entries missing"
    assert row.errors.text() in window.bar.verdict.reasons.text()


def test_a_missing_field_is_found_on_its_tab(window: Workbench, page: PullPage) -> None:
    window.show_field("load.drag_area_m2")
    assert page.tabs.tabText(page.tabs.currentIndex()) == "Values"
    window.show_field("engine.torque")
    assert page.tabs.tabText(page.tabs.currentIndex()) == "Engine"
    window.show_field("chassis.slack_mm")
    assert window.rail.currentItem().text() == "Bike"


@pytest.mark.parametrize("curve", ["0 0\n5000 0", "1000 0\n2000 0.0001", "0\t0\n30000\t1000", "1 1\n2 2"])
def test_curves_that_make_no_sense_are_shown_for_what_they_are(page: PullPage, curve: str) -> None:
    tab = go(page, "Engine")
    tab.text.setPlainText(curve)
    assert tab.words.text().startswith("Peak ")
    for name in page.tab:
        go(page, name)
    assert page.caption.text().startswith("Assumed")


def test_at_the_least_size_sentence_and_figures_are_whole(window: Workbench, page: PullPage) -> None:
    window.resize(960, 620)
    for _ in range(3):
        QApplication.processEvents()
    window.bar.step("rear", -1)
    label = page.sentence
    room = QRect(0, 0, label.width(), 1000)
    needed = label.fontMetrics().boundingRect(room, Qt.TextFlag.TextWordWrap, label.text()).height()
    assert needed <= label.height()
    table = go(page, "Times").table
    QApplication.processEvents()
    for column in (1, 2, 3):
        widest = max(str(table.model().index(row, column).data()) for row in range(table.model().rowCount()))
        assert table.fontMetrics().horizontalAdvance(widest) + 10 <= table.columnWidth(column)
    names = [name for name in page.thrust_chart._load_names if name.isVisible()]
    lefts = [name.pos().x() for name in names]
    assert lefts == sorted(set(lefts))


def test_while_a_slider_is_held_the_paper_only_grows(window: Workbench, page: PullPage) -> None:
    chart = page.thrust_chart
    window.bar.sliders["rear"].setSliderDown(True)
    papers = []
    for rear in (46, 25, 70, 46):
        window.document.propose(replace(window.document.chosen, rear=rear), "p")
        papers.append((chart.right, page.later_chart._axes))
    assert papers[1][0] > papers[0][0]
    assert papers[1][0] == papers[3][0]
    assert papers[2][0] == papers[3][0]
    window.bar.sliders["rear"].setSliderDown(False)
    assert all(curve.opts["antialias"] for curve in chart._gears)


def test_what_is_gained_or_lost_is_one_line_from_standstill(window: Workbench, page: PullPage) -> None:
    """As the times say: the difference at 100 km/h is that of 0 to 100 km/h."""
    assert not page.later_chart.isVisible()
    window.document.propose(replace(window.document.chosen, front=16, rear=43), "p")
    assert page.later_chart.isVisible()
    speed, later = page.later_chart._proposed.getData()
    told = numbers(window.document.bike, window.document.chosen)
    wanted = told["proposed"]["time_0_100_s"] - told["fitted"]["time_0_100_s"]
    assert np.interp(100, speed, later) == pytest.approx(wanted, abs=0.02)
    assert later[0] == 0
    _, fitted_line = page.later_chart._on.getData()
    assert not fitted_line.any()


def test_each_gear_has_its_number_at_its_start_in_the_one_ink_of_its_set(page: PullPage) -> None:
    chart = page.thrust_chart
    for curve, name in zip(chart._gears[:6], chart._gear_names, strict=False):
        x, y = curve.getData()
        assert (name.pos().x(), name.pos().y()) == pytest.approx((x[0], y[0]))
    assert len({curve.opts["pen"].color().name() for curve in chart._gears}) == 1


def test_a_band_says_how_surely_thrust_is_known(window: Workbench, page: PullPage) -> None:
    """The torque is known to 5 %: so is the greatest thrust, but where lift or grip bounds it."""
    path = page.thrust_chart.band.path()
    points = [(path.elementAt(k).x, path.elementAt(k).y) for k in range(path.elementCount())]
    at = sorted(y for x, y in points if abs(x - 150) < 2)
    x, y = page.thrust_chart._gears[3].getData()
    assert at[0] == pytest.approx(0.95 * np.interp(150, x, y), rel=0.03)
    assert at[-1] == pytest.approx(1.05 * np.interp(150, x, y), rel=0.03)
    page.hold(True)
    page.refresh()
    assert page.thrust_chart.band.path().isEmpty()
    page.hold(False)


def test_the_axis_across_stands_still_over_the_grid(window: Workbench, page: PullPage) -> None:
    seen = set()
    for front, rear in ((15, 46), (13, 52), (17, 40), (16, 43)):
        window.document.propose(replace(window.document.chosen, front=front, rear=rear), "p")
        seen.add(page.thrust_chart.right)
    assert len(seen) == 1
