"""The Chain page: the drawing, the axle that can be dragged, wear, and another chain size."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QMouseEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QFileDialog, QPushButton
from pytestqt.qtbot import QtBot

from gearplan.bike.demo import demo_bike
from gearplan.bike.profile import Bike, with_value
from gearplan.bike.text.units import MM
from gearplan.bike.work.job import Job
from gearplan.commands.output.numbersjson import numbers
from gearplan.plan.driveset import fitted
from gearplan.plan.set.quantities import CHAIN_GROUPS
from gearplan.plan.set.sideview import side_view
from gearplan.sheet import painter
from gearplan.window.chain.page import ChainPage
from gearplan.window.frame.how import HowPanel
from gearplan.window.frame.workbench import Workbench
from gearplan.window.kit.controls.fields import ValueField
from gearplan.window.measuring.panel import MeasuringWindow


@pytest.fixture
def page(window: Workbench, qapp: QApplication) -> ChainPage:
    window.show_page("Chain")
    qapp.processEvents()
    return window.chain_page


def row_of(name: str) -> int:
    rows = [q for title, listed in CHAIN_GROUPS for q in (title, *(("",) if title == "Goes in" else ()), *listed)]
    return next(i for i, one in enumerate(rows) if getattr(one, "name", "") == name)


def test_the_table_tells_what_numbers_tells(window: Workbench, page: ChainPage) -> None:
    window.document.propose(replace(window.document.chosen, front=14), "p")
    answer = numbers(window.document.bike, window.document.chosen)["proposed"]
    model = page.table.model()
    for name, key, scale, digits in (
        ("Pivot to axle", "axle_position_mm", 1, 0),
        ("Wheelbase", "wheelbase_mm", 1, 0),
        ("Peak chain tension", "peak_chain_tension_n", 1e3, 1),
        ("Tensile strength over peak", "tensile_safety_factor", 1, 1),
        ("Anti-squat as it stands", "anti_squat_percent", 1, 0),
        ("Top run clears pivot by", "upper_run_clearance_mm", 1, 0),
        ("Slack needed as it stands", "slack_needed_mm", 1, 0),
        ("Wear the adjuster can take up", "adjuster_left_for_elongation_percent", 1, 1),
        ("Chain mass", "chain_mass_kg", 1, 1),
    ):
        assert model.index(row_of(name), 2).data() == f"{answer[key] / scale:.{digits}f}", name


def drag_axle(qtbot: QtBot, page: ChainPage, by_mm: float) -> None:
    view = page.view
    box, port = view.getPlotItem().vb, view.viewport()
    at = page.view.axle.pos()

    def pixel(dx: float) -> QPointF:
        return QPointF(view.mapFromScene(box.mapViewToScene(QPointF(at.x() + dx, at.y()))))

    def move(where: QPointF, held: Qt.MouseButton) -> None:
        event = QMouseEvent(
            QMouseEvent.Type.MouseMove, where, QPointF(port.mapToGlobal(where.toPoint())),
            Qt.MouseButton.NoButton, held, Qt.KeyboardModifier.NoModifier,
        )  # fmt: skip
        QApplication.sendEvent(port, event)
        # The scene looks at the mouse a hundred times a second at most.
        qtbot.wait(20)

    start = pixel(0)
    move(start + QPointF(2, 0), Qt.MouseButton.NoButton)
    move(start, Qt.MouseButton.NoButton)
    qtbot.mousePress(port, Qt.MouseButton.LeftButton, pos=start.toPoint())
    for share in (0.5, 0.8, 1.0):
        move(pixel(-by_mm * share), Qt.MouseButton.LeftButton)
    qtbot.mouseRelease(port, Qt.MouseButton.LeftButton, pos=pixel(-by_mm).toPoint())


def test_the_axle_is_dragged_along_its_slot(window: Workbench, page: ChainPage, qtbot: QtBot) -> None:
    assert "About 30 mm of slack" in page.slack.text()
    drag_axle(qtbot, page, -12)
    assert page._axle is not None
    moved = page._axle / MM
    assert 558 <= moved < 572
    assert "About 30 mm" not in page.slack.text()
    assert page.table.model().index(row_of("Pivot to axle"), 2).data() == f"{moved:.0f}"
    assert page.table.model().index(1, 2).data() == "110 112"
    drag_axle(qtbot, page, 200)
    assert page._axle / MM == pytest.approx(594)
    assert "would be tight" in page.slack.text()
    x, _ = page.view._chain.getData()
    assert x.min() < -690
    qtbot.mouseClick(page.reset, Qt.MouseButton.LeftButton)
    assert "About 30 mm of slack" in page.slack.text()


def test_a_typed_axle_position(page: ChainPage, qtbot: QtBot) -> None:
    page.axle_field.selectAll()
    qtbot.keyClicks(page.axle_field, "578,2")
    assert page._axle == pytest.approx(0.5782)
    page.axle_field.selectAll()
    qtbot.keyClicks(page.axle_field, "5")
    qtbot.keyClick(page.axle_field, Qt.Key.Key_Return)
    assert "5 mm can't be right; expected 100–1500 mm" in page.axle_error.text()
    assert (page._axle, page.axle_field.text()) == (None, "5")


def test_another_set_starts_again_at_the_slack_asked_for(window: Workbench, page: ChainPage) -> None:
    page._move_axle(0.57)
    window.document.propose(replace(window.document.chosen, rear=44), "p")
    assert page._axle is None


def test_links_stepped_by_two_move_the_axle_by_a_pitch(window: Workbench, page: ChainPage) -> None:
    before = float(page.axle_field.text())
    window.document.propose(replace(window.document.chosen, links=114), "p")
    assert float(page.axle_field.text()) - before == pytest.approx(15.9, abs=0.6)
    assert "Outside the adjuster's slot" in page.slack.text()
    assert "Does not fit" in window.bar.verdict.word.text()


def test_true_tooth_counts_are_drawn(window: Workbench) -> None:
    from gearplan.plan.set.evaluate import evaluate

    shown = side_view(window.document.bike, evaluate(window.document.bike, window.document.chosen))
    assert shown is not None
    points = (len(shown.rear[0]) - 1) / (len(shown.front[0]) - 1)
    assert points == pytest.approx(46 / 15)


@pytest.mark.parametrize(
    ("section", "key", "value"),
    [
        ("chassis", "axle_range_mm", (594, 558)),
        ("chassis", "slack_mm", None),
        ("chassis", "axle_now_mm", 700),
        ("chassis", "swingarm_angle_deg", 45),
        ("chassis", "swingarm_travel_deg", (20, 5)),
        ("final_drive", "links", 40),
        ("final_drive", "links", None),
        ("final_drive", "rear", 150),
        ("final_drive", "chain", None),
        ("engine", "torque", None),
        ("tyre", "size", None),
    ],
)
def test_the_page_stays_usable_with_bad_or_missing_data(
    window: Workbench, page: ChainPage, section: str, key: str, value: object
) -> None:
    window.document.edit("x", with_value(window.document.bike, section, key, value))
    page._move_axle(0.57)
    said = window.bar.verdict.reasons.text() + page.empty.words.text()
    assert said
    window.undo_action.trigger()
    assert "About 30 mm of slack" in page.slack.text()


def test_an_empty_profile_says_what_the_drawing_needs(window: Workbench, page: ChainPage) -> None:
    window.document.edit("x", Bike())
    assert page.empty.isVisible()
    assert "chain size" in page.empty.words.text()
    page.empty.button.click()
    assert window.new_bike_page.isVisible()


def type_into(qtbot: QtBot, page: ChainPage, km: str, mm: str) -> None:
    for field, text in ((page.wear.km, km), (page.wear.length, mm)):
        field.setFocus()
        field.selectAll()
        qtbot.keyClicks(field, text)
    qtbot.mouseClick(page.wear.add, Qt.MouseButton.LeftButton)


def test_wear_readings(window: Workbench, page: ChainPage, qtbot: QtBot) -> None:
    page.tabs.setCurrentIndex(1)
    assert "0.72 % longer than new" in page.wear.verdict.text()
    type_into(qtbot, page, "21000", "320,7")
    assert "1.01 % longer" in page.wear.verdict.text()
    assert "likely between" in page.wear.forecast.text()
    assert window.document.bike.wear.readings is not None
    assert window.document.bike.wear.readings[-1] == (21000, 320.7)
    type_into(qtbot, page, "24000", "327.2")
    assert "worn out: 3.06 %" in page.wear.verdict.text()
    type_into(qtbot, page, "15000 mi", "327.3")
    assert window.document.bike.wear.readings[-1] == pytest.approx((24140.16, 327.3))
    window.undo_action.trigger()
    type_into(qtbot, page, "24000", "")
    assert "Enter both" in page.wear.errors.text()
    window.undo_action.trigger()
    page.wear.table.setCurrentIndex(page.wear.table.model().index(0, 0))
    qtbot.mouseClick(page.wear.remove, Qt.MouseButton.LeftButton)
    assert window.document.bike.wear.readings[0][0] == 15100
    for _ in range(5):
        page.wear.remove.click()
    assert window.document.bike.wear.readings is None
    assert "add a reading" in page.wear.verdict.text()


def test_enter_goes_through_the_row_and_adds_the_reading(window: Workbench, page: ChainPage, qtbot: QtBot) -> None:
    before = window.document.bike.wear.readings or ()
    page.wear.km.setFocus()
    qtbot.keyClicks(page.wear.km, "21000")
    qtbot.keyClick(page.wear.km, Qt.Key.Key_Return)
    assert QApplication.focusWidget() is page.wear.length
    qtbot.keyClicks(page.wear.length, "320.7")
    qtbot.keyClick(page.wear.length, Qt.Key.Key_Return)
    assert window.document.bike.wear.readings == (*before, (21000, 320.7))
    assert QApplication.focusWidget() is page.wear.km
    assert page.wear.km.text() == page.wear.length.text() == ""


def test_an_odometer_that_falls_is_told_at_the_field_and_in_the_verdict(
    window: Workbench, page: ChainPage, qtbot: QtBot
) -> None:
    bike = window.document.bike
    fitted = Job(date="2026-05-31", state="done", odometer_km=30000.0, new_chain="yes")
    window.document.edit("A job", replace(bike, jobs=(fitted,), wear=replace(bike.wear, readings=None)))
    page.tabs.setCurrentIndex(1)
    page.wear.km.setFocus()
    qtbot.keyClicks(page.wear.km, "18000")
    qtbot.keyClick(page.wear.km, Qt.Key.Key_Return)
    told = "The odometer, 18000 km (11185 mi), is below the 30000 km (18641 mi) at the job of 2026-05-31"
    assert told in page.wear.errors.text()
    assert page.wear.km.property("wrong")
    qtbot.keyClicks(page.wear.length, "318")
    qtbot.keyClick(page.wear.length, Qt.Key.Key_Return)
    assert told in page.wear.verdict.text()
    assert page.wear.errors.text() == ""


def test_the_machine_s_own_wear_limit_wins(window: Workbench, page: ChainPage) -> None:
    page.tabs.setCurrentIndex(1)
    window.document.set_value("limits", "chain_elongation_percent", 0.7, "Limit")
    assert "worn out" in page.wear.verdict.text()
    assert "as entered" in page.wear.source.text()


def test_the_new_chains_own_strength_is_entered_where_it_is_wanted(window: Workbench, page: ChainPage) -> None:
    window.files.open_demo("Corvid 1000")
    page.tabs.setCurrentIndex(2)
    page.conversion.sizes.setCurrentText("520")
    for key, typed in (("tensile_kn", "8100 lbs"), ("mass_kg_per_m", "1,3")):
        window.show_field(f"new_chain.{key}")
        assert window.in_sight == "Chain"
        field = page.conversion.form.rows["new_chain", key].places()[0][1]
        assert field.hasFocus()
        QTest.keyClicks(field, typed)
    new = window.document.bike.new_chain
    assert (new.size, round(new.tensile_kn or 0, 2), new.mass_kg_per_m) == (None, 36.03, 1.3)
    assert "which size" in page.conversion.form.rows["new_chain", "size"].errors.text()
    window.document.set_value("new_chain", "size", "520", "Size")
    page.conversion.refresh()
    strength = [page.conversion.table.model().index(row, 2).data() for row in range(8)]
    assert "36.0" in strength
    assert "ordinary grade" not in page.conversion.words.text()
    QTest.keyClicks(field, "x")
    window.files.start_with(demo_bike("Corvid 1000"), None)
    assert isinstance(field, ValueField)
    assert field.text() == ""
    page.conversion.refresh()
    assert "ordinary grade" in page.conversion.words.text()


def test_a_new_chain_like_the_fitted_one_is_asked_for_and_shown(window: Workbench, page: ChainPage) -> None:
    panel = page.conversion
    for key, value in (("size", "520"), ("tensile_kn", 38.4), ("mass_kg_per_m", 1.31)):
        window.document.set_value("new_chain", key, value, "New chain")
    page.tabs.setCurrentIndex(2)
    panel.sizes.setCurrentText("520")
    panel.refresh()

    def then(label: str) -> str:
        table = panel.table.model()
        return next(table.index(r, 2).data() for r in range(table.rowCount()) if table.index(r, 0).data() == label)

    assert not panel.renew.isChecked()
    assert then("Tensile strength, kN") != "38.4"
    panel.renew.click()
    assert window.document.chosen == replace(fitted(window.document.bike), new_chain=True)
    assert then("Tensile strength, kN") == "38.4"
    assert then("Chain, kg") == f"{1.31 * 112 * 0.015875:.1f}"
    # By its count another chain is new anyhow.
    window.document.propose(replace(window.document.chosen, links=114), "Links")
    panel.refresh()
    assert (panel.renew.isChecked(), panel.renew.isEnabled()) == (True, False)
    assert not window.document.chosen.new_chain
    window.document.undo()
    panel.renew.click()
    assert window.document.chosen == fitted(window.document.bike)


def test_what_else_is_wrong_with_a_set_does_not_count_against_the_swingarm(window: Workbench, page: ChainPage) -> None:
    window.document.set_value("new_chain", "size", "525", "Size")
    window.document.set_value("new_chain", "tensile_kn", 8.0, "Strength")
    page.tabs.setCurrentIndex(2)
    page.conversion.sizes.setCurrentText("525")
    page.conversion.refresh()
    words = page.conversion.words.text()
    assert "too weak" in words
    assert words.startswith("Fits this swingarm, but:\n")
    window.document.set_value("chassis", "pivot_boss_radius_mm", 42, "Boss")
    page.conversion.refresh()
    assert page.conversion.words.text().startswith("Does not fit this swingarm:\n")


def test_conversion_to_a_lighter_chain(window: Workbench, page: ChainPage, qtbot: QtBot) -> None:
    window.files.open_demo("Corvid 1000")
    page.tabs.setCurrentIndex(2)
    page.conversion.sizes.setCurrentText("520")
    page.conversion.refresh()
    words = page.conversion.words.text()
    assert words.startswith("Fits this swingarm, but check:\n")
    assert "Both sprockets and the chain change together" in words
    assert "watch its elongation" in words
    bike = window.document.bike
    window.document.edit("Adjuster", with_value(bike, "chassis", "axle_range_mm", None))
    page.conversion.refresh()
    assert page.conversion.words.text().startswith("Whether it fits this swingarm is not known yet:\n")
    window.document.undo()
    page.conversion.refresh()
    saved = page.conversion.table.model().index(5, 3).data()
    assert saved.startswith("−")
    qtbot.mouseClick(page.conversion.propose, Qt.MouseButton.LeftButton)
    assert window.document.chosen.chain == "520"
    assert "both sprockets and the chain change together" in window.bar.verdict.reasons.text()


@pytest.mark.parametrize("ending", ["svg", "png", "pdf"])
def test_the_drawing_is_exported(
    window: Workbench, page: ChainPage, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, ending: str
) -> None:
    target = tmp_path / f"run.{ending}"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(target), ""))
    page.export_asked.emit(None)
    assert target.stat().st_size > 3000
    assert str(target) in window.message.text.text()


def test_every_number_can_be_explained(window: Workbench, page: ChainPage) -> None:
    rows = page.table.model().rowCount()
    for row in range(rows):
        page.table.asked.emit(row, 1)
        page.table.asked.emit(row, 2)
    titles = [panel.windowTitle() for panel in window.findChildren(HowPanel)]
    assert len(titles) == 2 * rows
    assert {"How: Anti-squat", "How: Chain tension and strength", "How: Wrap angles"} <= set(titles)


def test_the_drawing_is_saved_with_the_axle_where_it_was_dragged(
    window: Workbench, page: ChainPage, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    saved: list[float | None] = []
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: ("/nowhere/x.svg", ""))
    monkeypatch.setattr(painter, "save_chain_drawing", lambda _bike, _set, _path, axle: saved.append(axle))
    export = next(button for button in page.findChildren(QPushButton) if button.text().startswith("Save drawing"))
    qtbot.mouseClick(export, Qt.MouseButton.LeftButton)
    page._move_axle(0.57)
    qtbot.mouseClick(export, Qt.MouseButton.LeftButton)
    assert saved == [None, 0.57]


def test_the_wear_log_shows_how_the_chain_is_measured(page: ChainPage, window: Workbench, qtbot: QtBot) -> None:
    window.activateWindow()
    page.tabs.setCurrentIndex(1)
    length = page.wear.length
    length.setFocus()
    qtbot.waitUntil(length.hasFocus)
    qtbot.keyClick(length, Qt.Key.Key_F1)
    shown = page.findChild(MeasuringWindow)
    assert isinstance(shown, MeasuringWindow)
    assert shown.isVisible()
    assert shown.panel.sketch.shown == ("elongation", "final_drive.elongation_percent")
    shown.close()


def test_doubts_stand_beside_the_proposed_numbers_but_not_while_something_moves(window: Workbench) -> None:
    window.show_page("Chain")
    page = window.chain_page
    model = page.table.model()

    def off(name: str) -> str:
        [row] = [k for k in range(model.rowCount()) if str(model.index(k, 0).data()).startswith(name)]
        return str(model.index(row, 3).data())

    assert off("Pivot to axle") == "± 2"
    assert off("Wheelbase") == "± 3"
    assert off("Tensile strength over peak") == "± 0.3"
    assert off("Chordal variation") == ""
    page.hold(True)
    page.refresh()
    assert off("Wheelbase") == ""
    page.hold(False)
    assert off("Wheelbase") == "± 3"
    page._axle_dragged(0.57)
    assert off("Wheelbase") == ""


def test_the_axle_field_follows_the_set_unless_it_is_typed_in(window: Workbench, page: ChainPage, qtbot: QtBot) -> None:
    page.axle_field.setFocus()
    assert page.axle_field.hasFocus()
    for front, rear in ((14, 46), (13, 52), (16, 43)):
        window.document.propose(replace(window.document.chosen, front=front, rear=rear), "p")
        told = numbers(window.document.bike, window.document.chosen)["proposed"]["axle_position_mm"]
        assert float(page.axle_field.text().replace(",", ".")) == pytest.approx(told, abs=0.06)
    page.axle_field.selectAll()
    qtbot.keyClicks(page.axle_field, "57")
    assert page.axle_field.text() == "57"
    qtbot.keyClick(page.axle_field, Qt.Key.Key_Backspace)
    qtbot.keyClick(page.axle_field, Qt.Key.Key_Backspace)
    assert page.axle_field.text() == ""


def test_the_adjuster_is_drawn_to_scale_with_what_is_left(window: Workbench, page: ChainPage) -> None:
    """The demo bike's slot reaches from 558 to 594 mm and the axle stands at 582.5 mm."""
    window.document.propose(replace(window.document.chosen, front=16, rear=43), "p")
    told = numbers(window.document.bike, window.document.chosen)["proposed"]["axle_position_mm"]
    assert page.slot.words() == ("stands at 583 mm", f"will stand at {told:.0f} mm", f"{594 - told:.0f} mm left")
    front, rear, will = (page.slot.at(place * MM) for place in (558, 594, told))
    # The rear end at the left, as on the drawing.
    assert (will - rear) / (front - rear) == pytest.approx((594 - told) / 36)
    assert "mm left" in page.slot.accessibleName()
    window.document.propose(replace(window.document.chosen, rear=38), "p")
    assert page.slot.words()[-1].endswith("beyond its end")


def test_only_what_decides_is_bold(window: Workbench, page: ChainPage) -> None:
    window.document.propose(replace(window.document.chosen, front=16, rear=43), "p")
    delegate, model = page.table._delegate, page.table.model()
    bold = {
        str(model.index(row, 0).data())
        for row in range(model.rowCount())
        if delegate._is_bold(row, 4, str(model.index(row, 4).data())) and model.index(row, 4).data()
    }
    assert bold == {
        "Pivot to axle, mm", "Axle back from where it stands, mm", "Wear the adjuster can take up, %",
        "Tensile strength over peak, times",
    }  # fmt: skip
    assert [str(model.index(row, 0).data()) for row in sorted(delegate._heading)] == [
        "Goes in", "How it rides", "How long it lasts",
    ]  # fmt: skip
