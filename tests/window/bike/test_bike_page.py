"""The profile editor: what is typed reaches the profile; errors stand beside the field."""

from __future__ import annotations

from dataclasses import replace

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QApplication, QFrame
from pytestqt.qtbot import QtBot

from gearplan.bike.files.bikefile import BikeFile
from gearplan.bike.measuring import measuring
from gearplan.bike.profile import Bike, Gearbox, value
from gearplan.window.document.entryrows import ChoiceRow, NumberRow, PairRow, TyreRow
from gearplan.window.frame.workbench import Workbench
from gearplan.window.kit import theme
from gearplan.window.kit.controls.fields import ValueField
from gearplan.window.measuring.panel import MeasuringWindow
from tests.window.clipping import cut


def retype(qtbot: QtBot, field: ValueField, text: str) -> None:
    field.setFocus()
    field.selectAll()
    if text:
        qtbot.keyClicks(field, text)
    else:
        qtbot.keyClick(field, Qt.Key.Key_Backspace)
    qtbot.keyClick(field, Qt.Key.Key_Return)


@pytest.fixture
def page(window: Workbench) -> Workbench:
    window.show_page("Bike")
    return window


NUMBERS = {
    ("engine", "idle_rpm"): ("1250", 1250), ("engine", "redline_rpm"): ("9800,5", 9800.5),
    ("engine", "limiter_rpm"): ("11000", 11000), ("tyre", "rolling_circumference_mm"): ("1948.5", 1948.5),
    ("tyre", "rolling_factor"): ("0,965", 0.965), ("load", "bike_kg"): ("190", 190), ("load", "rider_kg"): ("75", 75),
    ("final_drive", "front"): ("16", 16), ("final_drive", "rear"): ("44", 44), ("final_drive", "links"): ("110", 110),
    ("chassis", "axle_now_mm"): ("570,5", 570.5), ("chassis", "swingarm_angle_deg"): ("9", 9),
    ("chassis", "slack_mm"): ("35", 35), ("chassis", "wheelbase_mm"): ("1420", 1420),
    ("limits", "front_teeth_min"): ("13", 13),
    ("final_drive", "chain_tensile_kn"): ("36,5", 36.5),
    ("final_drive", "chain_mass_kg_per_m"): ("1.5", 1.5),
    ("chassis", "pivot_boss_radius_mm"): ("18", 18),
    ("chassis", "centre_distance_mm"): ("629,5", 629.5),
    ("final_drive", "elongation_percent"): ("0.6", 0.6),
    ("chassis", "com_height_mm"): ("600", 600),
    ("chassis", "com_ahead_of_rear_axle_mm"): ("700", 700),
}  # fmt: skip


@pytest.mark.parametrize("place", NUMBERS, ids=".".join)
def test_each_number_reaches_the_profile_and_can_be_undone(
    page: Workbench, qtbot: QtBot, place: tuple[str, str]
) -> None:
    text, expected = NUMBERS[place]
    row = page.bike_page.rows[place]
    assert isinstance(row, NumberRow)
    before = page.document.bike
    retype(qtbot, row.field, text)
    assert value(page.document.bike, *place) == expected
    assert page.isWindowModified()
    page.undo_action.trigger()
    assert page.document.bike == before
    assert not page.isWindowModified()
    retype(qtbot, row.field, "")
    assert value(page.document.bike, *place) is None


def test_every_row_of_the_form_is_tried_above(page: Workbench) -> None:
    numbers = {place for place, row in page.bike_page.rows.items() if isinstance(row, NumberRow)}
    assert numbers == set(NUMBERS)


@pytest.mark.parametrize("text", ["120/70-17 M/C", "3.00-18", "MT90-16"])
def test_tyre_size(page: Workbench, qtbot: QtBot, text: str) -> None:
    row = page.bike_page.rows["tyre", "size"]
    assert isinstance(row, TyreRow)
    retype(qtbot, row.field, text)
    assert page.document.bike.tyre.size == text
    retype(qtbot, row.field, "wide")
    assert page.document.bike.tyre.size is None
    assert "such as 180/55 ZR 17" in row.errors.text()
    assert page.document.unread() == (("Size on the sidewall", "wide"),)
    assert "Size on the sidewall: “wide” was not accepted and is left out." in page.bar.verdict.reasons.text()


def test_a_pair_may_be_half_entered(page: Workbench, qtbot: QtBot) -> None:
    row = page.bike_page.rows["chassis", "axle_range_mm"]
    assert isinstance(row, PairRow)
    retype(qtbot, row.fields[1], "")
    assert page.document.bike.chassis.axle_range_mm == (558, None)
    assert "adjuster's range" in page.bar.verdict.reasons.text()
    retype(qtbot, row.fields[1], "500")
    assert page.document.bike.chassis.axle_range_mm == (558, 500)
    assert "swapped" in row.errors.text()
    retype(qtbot, row.fields[0], "")
    retype(qtbot, row.fields[1], "")
    assert page.document.bike.chassis.axle_range_mm is None


def test_chain_size(page: Workbench, qtbot: QtBot) -> None:
    row = page.bike_page.rows["final_drive", "chain"]
    assert isinstance(row, ChoiceRow)
    row.field.setFocus()
    qtbot.keyClicks(row.field, "525")
    row.field.activated.emit(row.field.currentIndex())
    assert page.document.bike.final_drive.chain == "525"
    assert page.document.chosen.chain == "525"


def test_a_ratio_as_teeth_or_as_a_number_and_the_other_is_shown(page: Workbench, qtbot: QtBot) -> None:
    gear = page.bike_page.gearbox.gears[0]
    assert gear.ratio.placeholderText() == "2.4615"
    retype(qtbot, gear.ratio, "2,4286")
    assert page.document.bike.gearbox.gears is not None
    assert page.document.bike.gearbox.gears[0] == 2.4286
    assert [field.placeholderText() for field in gear.teeth] == ["≈ 14", "≈ 34"]
    assert [field.text() for field in gear.teeth] == ["", ""]
    retype(qtbot, gear.teeth[0], "12")
    assert page.document.bike.gearbox.gears[0] == (12, None)
    assert "gear 1" in page.bar.verdict.reasons.text()
    retype(qtbot, gear.teeth[1], "30")
    assert page.document.bike.gearbox.gears[0] == (12, 30)
    assert gear.ratio.placeholderText() == "2.5000"
    retype(qtbot, page.bike_page.gearbox.primary.ratio, "1.75")
    assert page.document.bike.gearbox.primary == 1.75


def test_gears_out_of_order_are_told_at_the_gear(page: Workbench, qtbot: QtBot) -> None:
    gear = page.bike_page.gearbox.gears[2]
    retype(qtbot, gear.ratio, "2.2")
    assert "smaller ratio than gear 2" in gear.errors.text()
    assert "smaller ratio than gear 2" in page.bar.verdict.reasons.text()


def test_gears_are_added_and_removed(page: Workbench, qtbot: QtBot) -> None:
    form = page.bike_page.gearbox
    qtbot.mouseClick(form.add, Qt.MouseButton.LeftButton)
    assert page.document.bike.gearbox.gears is not None
    assert len(page.document.bike.gearbox.gears) == 7
    assert form.gears[6].teeth[0].isVisible()
    qtbot.mouseClick(form.remove, Qt.MouseButton.LeftButton)
    qtbot.mouseClick(form.remove, Qt.MouseButton.LeftButton)
    assert len(page.document.bike.gearbox.gears) == 5
    page.undo_action.trigger()
    assert len(page.document.bike.gearbox.gears) == 6


def test_contradictions_stand_beside_the_field_and_go_again(page: Workbench, qtbot: QtBot) -> None:
    row = page.bike_page.rows["engine", "idle_rpm"]
    redline = page.bike_page.rows["engine", "redline_rpm"]
    assert isinstance(redline, NumberRow)
    retype(qtbot, redline.field, "1100")
    assert "must lie below the redline of 1100 rpm" in row.errors.text()
    retype(qtbot, redline.field, "10500")
    assert not row.errors.isVisible()


def test_an_outfit_with_a_sidecar_is_chosen_beside_the_name(page: Workbench, qtbot: QtBot) -> None:
    field = page.bike_page.kind
    assert field.currentText() == "solo"
    field.setFocus()
    qtbot.keyClicks(field, "side")
    field.activated.emit(field.currentIndex())
    assert page.document.bike.kind == "sidecar"
    field.setCurrentIndex(0)
    field.activated.emit(0)
    assert page.document.bike.kind == "solo"
    assert field.currentText() == "solo"
    page.undo_action.trigger()
    assert (page.document.bike.kind, field.currentText()) == ("sidecar", "sidecar")


def test_refused_text_is_kept_over_pages_and_named_when_saving(page: Workbench, qtbot: QtBot) -> None:
    row = page.bike_page.rows["engine", "redline_rpm"]
    assert isinstance(row, NumberRow)
    retype(qtbot, row.field, "fast")
    page.show_page("Speed")
    page.document.propose(replace(page.document.chosen, front=14), "p")
    page.show_page("Bike")
    assert row.field.text() == "fast"
    assert page.document.bike.engine.redline_rpm is None
    page.files.start_with(BikeFile(Bike(), ""), None)
    assert row.field.text() == ""
    assert page.document.unread() == ()


def test_undo_while_typing_is_the_window_s(page: Workbench, qtbot: QtBot) -> None:
    row = page.bike_page.rows["load", "bike_kg"]
    assert isinstance(row, NumberRow)
    page.activateWindow()
    row.field.setFocus()
    qtbot.waitUntil(row.field.hasFocus)
    row.field.selectAll()
    qtbot.keyClicks(row.field, "201")
    assert page.document.bike.load.bike_kg == 201
    qtbot.keyClick(row.field, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert page.document.bike.load.bike_kg == 188
    assert row.field.text() == "188"


def test_the_name(page: Workbench, qtbot: QtBot) -> None:
    retype(qtbot, page.bike_page.name, "Brindle of Ada")
    assert page.document.bike.name == "Brindle of Ada"
    assert "Brindle of Ada" in page.windowTitle()


def test_every_field_has_a_name_for_the_screen_reader(page: Workbench) -> None:
    for field in page.findChildren(ValueField):
        assert field.accessibleName(), field.objectName()


def test_the_fields_say_which_wheel_and_how_it_is_measured(page: Workbench) -> None:
    primary, gears = page.bike_page.gearbox.primary, page.bike_page.gearbox.gears
    assert primary.teeth[0].accessibleName() == "Primary, crank gear (driving), teeth"
    assert gears[0].teeth[1].accessibleName() == "Gear 1, output shaft's gear (driven), teeth"
    for (section, key), row in page.bike_page.rows.items():
        if section == "chassis" and key != "slack_mm":
            assert isinstance(row, (NumberRow, PairRow))
            field = row.field if isinstance(row, NumberRow) else row.fields[0]
            assert len(field.toolTip().split()) > 5, key


def test_a_screen_reader_hears_the_units(page: Workbench) -> None:
    row = page.bike_page.rows["chassis", "wheelbase_mm"]
    assert isinstance(row, NumberRow)
    said = row.field.accessibleDescription()
    assert said.startswith("in mm. ")
    found = measuring("chassis", "wheelbase_mm")
    assert found is not None
    assert all(sentence in said for sentence in found.sentences)
    count = page.bike_page.rows["engine", "idle_rpm"]
    assert isinstance(count, NumberRow)
    assert count.field.accessibleDescription() == "in rpm"
    assert page.bar.fitted_ratio.accessibleDescription() != page.bar.proposed_ratio.accessibleDescription()


def settled(page: Workbench, qapp: QApplication, width: int, height: int) -> None:
    page.resize(width, height)
    for _ in range(20):
        qapp.processEvents()


def test_how_the_field_with_the_focus_is_measured_stands_beside_the_form(page: Workbench, qapp: QApplication) -> None:
    settled(page, qapp, 1280, 800)
    bike_page = page.bike_page
    panel = bike_page.measuring
    page.activateWindow()
    before: list[object] = []
    for place in ("chassis.wheelbase_mm", "tyre.rolling_circumference_mm", "engine.idle_rpm", "load.bike_kg"):
        bike_page.show_field(place)
        qapp.processEvents()
        found = measuring(*place.split("."))
        assert panel.isVisible()
        if found is None:
            assert panel.sketch.shown == ("motorcycle", "")
        else:
            assert panel.sketch.shown == (found.sketch, place)
            assert panel.words.text().split("\n\n") == list(found.sentences)
            assert panel.sketch.accessibleDescription() == panel.words.text()
        now = [
            w.geometry() for w in (panel, panel.sketch, panel.words, bike_page.rows["load", "bike_kg"].places()[0][1])
        ]
        assert not before or now == before
        before = list(now)
    axle = bike_page.rows["chassis", "axle_range_mm"]
    assert isinstance(axle, PairRow)
    axle.fields[1].setFocus()
    assert panel.sketch.shown == ("swingarm", "chassis.axle_range_mm.1")
    assert "back" in panel.title.text()


def test_in_a_small_window_f1_shows_how_the_field_is_measured(
    page: Workbench, qapp: QApplication, qtbot: QtBot
) -> None:
    settled(page, qapp, 960, 540)
    bike_page = page.bike_page
    assert not bike_page.measuring.isVisible()
    page.activateWindow()
    bike_page.show_field("chassis.slack_mm")
    row = bike_page.rows["chassis", "slack_mm"]
    assert isinstance(row, NumberRow)
    qtbot.waitUntil(row.field.hasFocus)
    qtbot.keyClick(row.field, Qt.Key.Key_F1)
    shown = bike_page.findChild(MeasuringWindow)
    assert isinstance(shown, MeasuringWindow)
    assert shown.isVisible()
    assert shown.panel.sketch.shown == ("slack", "chassis.slack_mm")
    for _ in range(20):
        qapp.processEvents()
    assert cut(shown) == []
    assert shown.panel.visibleRegion().boundingRect().height() == shown.panel.height()
    # It follows the form, which goes on being used.
    page.activateWindow()
    qtbot.waitUntil(page.isActiveWindow)
    bike_page.show_field("chassis.wheelbase_mm")
    assert shown.panel.sketch.shown == ("wheelbase", "chassis.wheelbase_mm")
    shown.close()
    qtbot.mouseClick(bike_page.ask_measuring, Qt.MouseButton.LeftButton)
    assert shown.isVisible()
    assert shown.panel.sketch.shown == ("wheelbase", "chassis.wheelbase_mm")
    shown.close()


def test_the_cards_of_a_column_leave_no_gap(page: Workbench, qapp: QApplication) -> None:
    settled(page, qapp, 1280, 800)
    rows = page.bike_page.rows
    above, below = (
        rows[place].places()[0][1] for place in (("limits", "front_teeth_min"), ("chassis", "wheelbase_mm"))
    )
    top = above.mapTo(page, QPoint(0, 0))
    cards = [card for card in page.bike_page.findChildren(QFrame) if card.property("card") and card.isVisible()]
    upper = next(card for card in cards if card.isAncestorOf(above))
    lower = next(card for card in cards if card.isAncestorOf(below))
    assert top.x() < page.width() // 2
    gap = lower.mapTo(page, QPoint(0, 0)).y() - upper.mapTo(page, QPoint(0, upper.height())).y()
    assert 0 <= gap <= 4 * theme.UNIT


def test_gears_of_which_only_the_number_is_known_show_typical_ratios(page: Workbench, qtbot: QtBot) -> None:
    bike = page.document.bike
    page.document.edit("x", replace(bike, kind="naked", gearbox=Gearbox(count=3)))
    form = page.bike_page.gearbox
    shown = [fields for fields in form.gears if fields.ratio.isVisible()]
    assert [fields.ratio.placeholderText() for fields in shown] == ["2.04 typical", "1.33 typical", "1.02 typical"]
    assert form.primary.ratio.placeholderText() == "1.8 typical"
    assert page.bike_page.rows["load", "bike_kg"].field.text() == "188"  # type: ignore[attr-defined]
    qtbot.keyClicks(shown[2].ratio, "0.95")
    assert page.document.bike.gearbox == Gearbox(gears=(None, None, 0.95), count=3)
    assert [fields.ratio.placeholderText() for fields in shown[:2]] == ["1.9 typical", "1.24 typical"]
    qtbot.mouseClick(form.add, Qt.MouseButton.LeftButton)
    assert page.document.bike.gearbox.count == 4
    qtbot.mouseClick(form.remove, Qt.MouseButton.LeftButton)
    qtbot.mouseClick(form.remove, Qt.MouseButton.LeftButton)
    assert page.document.bike.gearbox == Gearbox(gears=(None, None), count=2)
    page.document.edit("x", replace(bike, kind="hovercraft"))
    assert page.bike_page.kind.placeholderText() == "hovercraft"


def test_what_sprockets_do_not_change_stands_beside_the_gears(page: Workbench) -> None:
    """By hand: 1 − 10.029/13.166 = 23.8 % down, that is 31.3 % of second; 10500/1.3128 = 7998 rpm."""
    shifts = page.bike_page.gearbox.shifts
    assert [label.text() for label in shifts[0]] == ["31.3 %", "7998"]
    assert [label.text() for label in shifts[5]] == ["", ""]
    assert shifts[0][1].accessibleName() == "Gear 1, rpm after the shift: 7998"
