"""The main job in the window: press, drag, type; every place tells the same story as the command."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from PySide6.QtCore import QModelIndex, QPoint, QPointF, Qt
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QApplication, QLabel, QStyle, QStyleOptionSlider, QWidget
from pytestqt.qtbot import QtBot

from gearplan.bike.profile import with_value
from gearplan.bike.text.units import KMH
from gearplan.commands.output.numbersjson import numbers
from gearplan.plan import words
from gearplan.plan.driveset import fitted
from gearplan.plan.set.evaluate import evaluate
from gearplan.plan.set.verdict import verdict
from gearplan.window.frame.bar.teethslider import TeethSlider
from gearplan.window.frame.workbench import Workbench
from gearplan.window.kit import theme


def handle_centre(slider: TeethSlider, value: int) -> QPoint:
    option = QStyleOptionSlider()
    slider.initStyleOption(option)
    handle = slider.style().pixelMetric(QStyle.PixelMetric.PM_SliderLength, option, slider)
    x = QStyle.sliderPositionFromValue(slider.minimum(), slider.maximum(), value, slider.width() - handle)
    return QPoint(x + handle // 2, slider.height() // 2)


def drag(qtbot: QtBot, slider: TeethSlider, to: int) -> None:
    start, end = handle_centre(slider, slider.value()), handle_centre(slider, to)
    qtbot.mousePress(slider, Qt.MouseButton.LeftButton, pos=start)
    for share in (0.3, 0.6, 1.0):
        at = start + (end - start) * share
        move = QMouseEvent(
            QMouseEvent.Type.MouseMove, QPointF(at), QPointF(slider.mapToGlobal(at)),
            Qt.MouseButton.NoButton, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier,
        )  # fmt: skip
        QApplication.sendEvent(slider, move)
    qtbot.mouseRelease(slider, Qt.MouseButton.LeftButton, pos=end)


def assert_one_story(window: Workbench) -> None:
    """Set bar, chart, table, grid and `numbers` agree on the proposed set."""
    bike, chosen = window.document.bike, window.document.chosen
    answer = numbers(bike, chosen)["proposed"]
    bar, page = window.bar, window.speed_page
    assert bar.proposed_teeth.text() == f"{answer['front']}/{answer['rear']}"
    assert bar.proposed_ratio.text() == f"{answer['final_ratio']:.3f}"
    assert bar.verdict.word.text() == verdict(evaluate(bike, chosen)).head
    deciding = [f for f in answer["findings"] if f["level"] == answer["verdict"] and not f["aside"]]
    for finding in deciding:
        if answer["verdict"] != "fits" or finding["about"] == "chain length":
            assert finding["text"] in bar.verdict.reasons.text()
    x, y = page.chart._run.getData()
    assert x[-1] == pytest.approx(answer["speed_at_redline_kmh"][-1])
    assert y.max() == pytest.approx(bike.engine.redline_rpm)
    model = page.table.model()
    for gear, speed in enumerate(answer["speed_at_redline_kmh"]):
        assert model.index(gear, 4).data() == f"{speed:.0f}"
    if window.view.cursor == 100 * KMH:
        for gear, rpm in enumerate(answer["rpm_at_100_kmh"]):
            told = f"{rpm:.0f}" if rpm <= (bike.engine.end_rpm or rpm) else "over limiter"
            assert model.index(gear, 7).data() == told
    cell = page.grid._model.chosen
    assert cell is not None
    said = page.grid.model().index(*cell).data()
    assert said.startswith(f"{words.teeth(chosen)}, {answer['final_ratio']:.3f}")
    assert answer["verdict"] in said
    assert "proposed" in said


def test_the_window_opens_on_a_demo_bike_that_fits(window: Workbench) -> None:
    assert window.bar.verdict.word.text() == "Fits"
    assert_one_story(window)


def test_dragging_the_front_slider_by_one_tooth(window: Workbench, qtbot: QtBot) -> None:
    before = window.speed_page.chart._run.getData()[0][-1]
    drag(qtbot, window.bar.sliders["front"], 14)
    assert window.document.chosen.front == 14
    assert window.speed_page.chart._run.getData()[0][-1] == pytest.approx(before * 14 / 15)
    assert window.speed_page.chart._fitted_run.getData()[0][-1] == pytest.approx(before)
    assert_one_story(window)
    window.undo_action.trigger()
    assert window.document.chosen.front == 15
    assert_one_story(window)


def test_a_drag_over_many_teeth_is_one_step(window: Workbench, qtbot: QtBot) -> None:
    drag(qtbot, window.bar.sliders["rear"], 51)
    assert window.document.chosen.rear == 51
    window.undo_action.trigger()
    assert window.document.chosen.rear == 46
    window.redo_action.trigger()
    assert_one_story(window)


def test_slider_keys(window: Workbench, qtbot: QtBot) -> None:
    slider = window.bar.sliders["rear"]
    slider.setFocus()
    qtbot.keyClick(slider, Qt.Key.Key_Right)
    qtbot.keyClick(slider, Qt.Key.Key_PageUp)
    assert window.document.chosen.rear == 48
    window.undo_action.trigger()
    assert window.document.chosen.rear == 47


def test_keys_from_anywhere(window: Workbench, qtbot: QtBot) -> None:
    for key in (Qt.Key.Key_Left, Qt.Key.Key_Up, Qt.Key.Key_Up):
        qtbot.keyClick(window, key, Qt.KeyboardModifier.AltModifier)
    chosen = window.document.chosen
    assert (chosen.front, chosen.rear) == (14, 48)
    assert_one_story(window)


def test_typed_teeth_beyond_the_slider_s_range(window: Workbench, qtbot: QtBot) -> None:
    field = window.bar.fields["rear"]
    field.selectAll()
    qtbot.keyClicks(field, "60")
    assert window.document.chosen.rear == 60
    assert window.bar.sliders["rear"].value() == 60
    field.selectAll()
    qtbot.keyClicks(field, "5")
    qtbot.keyClick(field, Qt.Key.Key_Return)
    assert window.document.chosen.rear is None
    assert "5 teeth can't be right; expected 9–150 teeth" in window.bar.errors.text()
    assert "Proposed rear sprocket: “5” was not accepted and is left out." in window.bar.verdict.reasons.text()


def test_what_cannot_be_read_is_a_caution(window: Workbench) -> None:
    assert "112 links fit" in window.bar.verdict.reasons.text().splitlines()[0]
    window.document.note_unread("final_drive.chain_mass_kg_per_m", "Chain mass", "heavy")
    assert window.bar.verdict.word.text() == "Check, 1 caution"
    told, fits = window.bar.verdict.reasons.text().splitlines()
    assert told == "Chain mass: “heavy” was not accepted and is left out."
    assert "112 links fit" in fits
    assert window.bar.verdict.passed.text() == "6 checks passed"


def test_where_drag_ends_the_top_gear_is_said_below_the_chart(window: Workbench, qtbot: QtBot) -> None:
    page = window.speed_page
    answer = numbers(window.document.bike, window.document.chosen)["proposed"]
    assert f"about {answer['top_speed_kmh']:.0f} km/h in gear {answer['top_speed_gear']}" in page.drag.text()
    page.hold(True)
    window.document.propose(replace(window.document.chosen, front=12, rear=60), "p")
    page.hold(False)
    assert page.drag.text() == ""
    window.document.undo()
    assert page.drag.text().startswith("Drag limits sooner")
    window.document.set_value("engine", "torque", None, "t")
    window.document.set_value("engine", "peak_power_kw", None, "t")
    assert page.drag.text() == ""


def click_cell(qtbot: QtBot, window: Workbench, front: int, rear: int) -> None:
    grid = window.speed_page.grid
    shown = grid._model.grid
    assert shown is not None
    cell = shown.cell_of(front, rear)
    assert cell is not None
    index = grid.model().index(*cell)
    grid.scrollTo(index)
    qtbot.mouseClick(grid.viewport(), Qt.MouseButton.LeftButton, pos=grid.visualRect(index).center())


def test_a_click_in_the_grid_proposes(window: Workbench, qtbot: QtBot) -> None:
    click_cell(qtbot, window, 14, 43)
    assert (window.document.chosen.front, window.document.chosen.rear) == (14, 43)
    assert window.bar.sliders["rear"].value() == 43
    assert_one_story(window)


def test_the_keyboard_reaches_every_cell(window: Workbench, qtbot: QtBot) -> None:
    grid = window.speed_page.grid
    grid.setFocus()
    model = grid.model()
    seen = set()
    for _ in range(model.rowCount()):
        qtbot.keyClick(grid, Qt.Key.Key_Up)
    for _ in range(model.columnCount()):
        qtbot.keyClick(grid, Qt.Key.Key_Left)
    for _ in range(model.rowCount()):
        for step in range(model.columnCount()):
            index = grid.currentIndex()
            seen.add((index.row(), index.column()))
            if step < model.columnCount() - 1:
                qtbot.keyClick(grid, Qt.Key.Key_Right)
        for _ in range(model.columnCount() - 1):
            qtbot.keyClick(grid, Qt.Key.Key_Left)
        qtbot.keyClick(grid, Qt.Key.Key_Down)
    assert len(seen) == model.rowCount() * model.columnCount()
    qtbot.keyClick(grid, Qt.Key.Key_Return)
    last = (grid._model.grid.fronts[0], grid._model.grid.rears[-1])  # type: ignore[union-attr]
    assert (window.document.chosen.front, window.document.chosen.rear) == last


def test_hover_explains_a_cell(window: Workbench) -> None:
    model = window.speed_page.grid.model()
    text = model.index(0, 0).data(Qt.ItemDataRole.ToolTipRole)
    assert text.startswith("13/40: Does not fit")
    assert "smallest, 14 teeth" in text


def test_near_ratios_are_marked_and_exchanged_exactly(window: Workbench, qtbot: QtBot) -> None:
    model = window.speed_page.grid._model
    assert model.grid is not None
    row, column = model.grid.cell_of(14, 43) or (0, 0)
    assert "nearly the proposed ratio" in model.index(row, column).data()
    assert "acts like 3.29 rear teeth more" in window.speed_page.exchange.text()


def test_the_grid_tells_which_cells_say_something_else(window: Workbench) -> None:
    """Another rear sprocket with the same chain: the cells proposed before and now, and those of nearly its ratio."""
    model = window.speed_page.grid._model
    rows, columns = range(model.rowCount()), range(model.columnCount())
    said = {(r, c): model.index(r, c).data() for r in rows for c in columns}
    told: list[tuple[int, int]] = []

    def changed(first: QModelIndex, last: QModelIndex) -> None:
        assert first == last
        told.append((first.row(), first.column()))

    model.dataChanged.connect(changed)
    before = window.document.state.chosen
    window.document.propose(replace(before, rear=(before.rear or 0) + 1), "another rear sprocket")
    model.dataChanged.disconnect(changed)
    assert set(told) == {cell for cell, words in said.items() if model.index(*cell).data() != words}
    assert len(told) >= 2


def test_the_user_sets_the_grid_s_ranges(window: Workbench, qtbot: QtBot) -> None:
    low, high = window.speed_page.ranges["front"]
    high.selectAll()
    qtbot.keyClicks(high, "18")
    assert window.speed_page.grid.model().columnCount() == 6
    assert window.bar.sliders["front"].maximum() == 18
    low.selectAll()
    qtbot.keyClicks(low, "19")
    assert "upside down" in window.speed_page.range_error.text()
    # Not the range of before, which stands nowhere any more, but the usual one; what was typed stays.
    assert window.speed_page.grid.model().columnCount() == 5
    assert (low.text(), high.text()) == ("19", "18")


def drag_cursor(qtbot: QtBot, window: Workbench, to_speed: float) -> None:
    chart = window.speed_page.chart
    box = chart.getPlotItem().vb

    def at(speed: float) -> QPoint:
        return chart.mapFromScene(box.mapViewToScene(QPointF(speed, 3000)))

    port = chart.viewport()
    qtbot.mousePress(port, Qt.MouseButton.LeftButton, pos=at(100))
    for speed in (104, 110, to_speed):
        qtbot.mouseMove(port, at(speed))
        move = QMouseEvent(
            QMouseEvent.Type.MouseMove, QPointF(at(speed)), QPointF(port.mapToGlobal(at(speed))),
            Qt.MouseButton.NoButton, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier,
        )  # fmt: skip
        QApplication.sendEvent(port, move)
    qtbot.mouseRelease(port, Qt.MouseButton.LeftButton, pos=at(to_speed))


def test_dragging_the_cursor(window: Workbench, qtbot: QtBot) -> None:
    """At 130 km/h: rpm = 130/3.6/1.955·60·5.3488, by hand 5927.9 rpm in sixth as fitted."""
    drag_cursor(qtbot, window, 130)
    assert window.view.cursor / KMH == pytest.approx(130, abs=0.6)
    window.view.set_cursor(130 * KMH)
    model = window.speed_page.table.model()
    assert model.index(5, 6).data() == "5928"
    window.document.propose(replace(window.document.chosen, front=14), "p")
    assert model.index(5, 7).data() == "6351"
    assert model.index(5, 8).data() == "+423"


def test_a_typed_cursor_and_miles(window: Workbench, qtbot: QtBot) -> None:
    window.view.set_speed_unit("mph")
    field = window.speed_page.cursor_field
    window.activateWindow()
    field.setFocus()
    qtbot.waitUntil(field.hasFocus)
    field.selectAll()
    qtbot.keyClicks(field, "62,1371192")
    assert window.view.cursor == pytest.approx(100 * KMH, rel=1e-6)
    model = window.speed_page.table.model()
    answer = numbers(window.document.bike, window.document.chosen)["proposed"]
    assert model.index(5, 7).data() == f"{answer['rpm_at_100_kmh'][5]:.0f}"
    assert model.index(5, 4).data() == f"{answer['speed_at_redline_kmh'][5] / 1.609344:.0f}"
    assert "mph" in window.speed_page.chart.getPlotItem().getAxis("bottom").label.toPlainText()


def test_links_are_stepped_by_two_and_offered(window: Workbench, qtbot: QtBot) -> None:
    field = window.bar.fields["links"]
    field.setFocus()
    qtbot.keyClick(field, Qt.Key.Key_Up)
    assert window.document.chosen.links == 114
    click_cell(qtbot, window, 16, 40)
    assert window.bar.verdict.word.text() == "Does not fit, 1 caution"
    assert window.bar.use_links.isVisible()
    before, bike = window.document.chosen, window.document.bike
    qtbot.mouseClick(window.bar.use_links, Qt.MouseButton.LeftButton)
    # Nothing but the proposed set's links, and as one step.
    after = window.document.chosen
    assert after == replace(before, links=int(window.bar.fields["links"].text()))
    assert (after.links, window.document.bike) == (108, bike)
    window.document.undo()
    assert window.document.chosen == before
    window.document.redo()
    # It fits; what the speedometer shows with this set no rule allows, and that is read first.
    assert window.bar.verdict.word.text() == "Fits, 1 caution"
    first, *rest = window.bar.verdict.reasons.text().splitlines()
    assert "less than true, which no rule allows" in first
    # That the chain fits is not hidden by it.
    assert "links fit:" in rest[0]
    assert not any("adjuster can take up" in line for line in rest)
    window.bar.verdict.passed.click()
    assert "links fit:" in window.bar.verdict.reasons.text()
    assert_one_story(window)
    qtbot.mouseClick(window.bar.as_fitted, Qt.MouseButton.LeftButton)
    assert window.document.chosen == fitted(window.document.bike)


def test_how_is_answered_for_a_number_in_the_table(window: Workbench, qtbot: QtBot) -> None:
    table = window.speed_page.table
    table.setFocus()
    table.setCurrentIndex(table.model().index(5, 4))
    qtbot.keyClick(table, Qt.Key.Key_F1)
    panels = [w for w in window.findChildren(QWidget) if w.windowTitle().startswith("How: Road speed")]
    assert len(panels) == 1
    panels[0].close()
    qtbot.mouseClick(window.bar.proposed_ratio, Qt.MouseButton.LeftButton)
    assert any(w.windowTitle() == "How: Final ratio" for w in window.findChildren(QWidget))


def test_the_axes_and_the_fitted_line_stand_still_whatever_set_of_the_grid_is_tried(window: Workbench) -> None:
    page = window.speed_page
    window.document.propose(replace(window.document.chosen, front=16), "p")
    axes, line = page.chart.getPlotItem().viewRange(), page.chart._fitted_run.getData()
    fronts, rears = page._shown_ranges()
    for front in range(fronts[0], fronts[1] + 1):
        for rear in (rears[0], 44, rears[1]):
            window.document.propose(replace(window.document.chosen, front=front, rear=rear), "p")
            assert page.chart.getPlotItem().viewRange() == axes
            assert (page.chart._fitted_run.getData()[0] == line[0]).all()
    # Only another range of the grid moves it.
    window.view.set_teeth_range("rear", (30, rears[1]))
    assert page.chart.getPlotItem().viewRange()[0][1] > axes[0][1]


def test_the_page_s_answer_is_its_largest_text(window: Workbench) -> None:
    """By hand: 100/3.6/1.955·60·5.3488 = 4560 rpm in sixth as fitted, with 14 teeth 15/14 of that."""
    page = window.speed_page
    assert page.answer.text() == "At 100 km/h in top: 4560 rpm"
    window.document.propose(replace(window.document.chosen, front=14), "p")
    assert page.answer.text() == "At 100 km/h in top: 4560 → 4890 rpm"
    others = [one for one in page.findChildren(QLabel) if one is not page.answer and one.isVisible()]
    assert all(one.fontInfo().pixelSize() < page.answer.fontInfo().pixelSize() for one in others)
    window.view.set_cursor(240 * KMH)
    assert page.answer.text() == "At 240 km/h in top: over the limiter"


def test_an_engine_speed_that_cannot_be_is_not_told(window: Workbench) -> None:
    """By hand: first gear would turn 4560·13.166/5.349 = 11225 rpm at 100 km/h; the limiter is at 10800."""
    model = window.speed_page.table.model()
    assert model.index(0, 7).data() == "over limiter"
    assert model.index(1, 7).data() == "8550"
    window.document.propose(replace(window.document.chosen, front=16, rear=43), "p")
    assert [model.index(0, column).data() for column in (6, 7, 8)] == ["over limiter", "9837", "–"]


def test_the_cursor_meets_both_sets_in_top_gear(window: Workbench) -> None:
    chart = window.speed_page.chart
    window.document.propose(replace(window.document.chosen, front=14), "p")
    assert [(name.toPlainText(), name.isVisible()) for name in chart._told] == [("4560", True), ("4886", True)]
    assert len(chart._dots.points()) == 2
    window.view.set_cursor(240 * KMH)
    assert len(chart._dots.points()) == 0
    assert not any(name.isVisible() for name in chart._told)


def test_the_cell_in_hand_is_told_below_the_grid(window: Workbench, qtbot: QtBot) -> None:
    page = window.speed_page
    assert page.in_hand.text() == "15/46: 3.067, ±0 % against fitted, 112 links. Fits."
    page.grid.setFocus()
    qtbot.keyClick(page.grid, Qt.Key.Key_Left)
    qtbot.keyClick(page.grid, Qt.Key.Key_Left)
    assert page.in_hand.text().startswith("13/46: 3.538, +15.4 % against fitted, 112 links. Does not fit. ")
    grid = page.grid._model
    assert grid.grid is not None
    assert grid.told(grid.grid.rears.index(50), grid.grid.fronts.index(17), why=False) == (
        "17/50: 2.941, −4.1 % against fitted. Does not fit with 112 links; 114 would do."
    )
    assert "smallest, 14 teeth" in page.in_hand.text()


def test_a_bike_without_numbers_says_what_to_enter(window: Workbench) -> None:
    window._new()
    window.show_page("Speed")
    assert window.bar.verdict.word.text() == "Check, entries missing"
    assert "redline" in window.bar.verdict.reasons.text()
    assert window.speed_page.table.model().rowCount() == 0
    assert "enter the redline" in window.speed_page.empty.words.text()
    assert window.speed_page.empty.isVisible()
    window.speed_page.empty.button.click()
    assert window.new_bike_page.isVisible()
    focus = window.focusWidget()
    assert focus is not None
    assert focus.accessibleName() in ("Redline", "Size on the sidewall", "Front sprocket")


def test_the_screen_reader_is_told(window: Workbench) -> None:
    assert window.speed_page.chart.accessibleDescription().startswith("Gear 6 reaches 230 km/h")
    assert "Fits" in window.bar.accessibleName()
    for slider in window.bar.sliders.values():
        assert slider.accessibleName()


def test_fit_is_seen_by_hatching_and_shape_not_by_colour_alone(window: Workbench, qapp: QApplication) -> None:
    grid = window.speed_page.grid
    grid.clearFocus()
    qapp.processEvents()
    model = grid._model
    assert model.grid is not None
    inks = {}
    for front, rear in ((13, 46), (14, 46), (15, 45)):
        row, column = model.grid.cell_of(front, rear) or (0, 0)
        image = grid.viewport().grab(grid.visualRect(model.index(row, column))).toImage()
        right = range(image.width() - 22, image.width() - 3)
        drawn = {image.pixelColor(x, y).name() for x in right for y in range(3, image.height() - 3)}
        inks[model.grid.levels[row][column]] = drawn - {theme.LIGHT.surface}
    assert inks["fits"] == set()
    assert theme.LIGHT.line in inks["does not fit"]
    assert theme.LIGHT.check in inks["check"]


def test_a_band_says_how_surely_speeds_are_known_but_not_while_a_slider_is_held(window: Workbench) -> None:
    page = window.speed_page
    path = page.chart.band.path()
    fastest = max(path.elementAt(k).x for k in range(path.elementCount()))
    # The circumference was measured, to half a percent; how much the tyre grows, up to 3e-6 s²/m², nobody entered.
    redline = numbers(window.document.bike, window.document.chosen)["proposed"]["speed_at_redline_kmh"][-1]
    assert fastest == pytest.approx((1 + math.hypot(0.005, 3e-6 * (redline / 3.6) ** 2)) * redline)
    assert "speeds are known to ± 1 %" in page.caption.text()
    page.hold(True)
    page.refresh()
    assert page.chart.band.path().isEmpty()
    page.hold(False)
    assert page.chart.band.path() == path
    window.document.edit("x", with_value(window.document.bike, "tyre", "rolling_circumference_mm", None))
    assert "speeds are known to ± 2 %" in page.caption.text()
