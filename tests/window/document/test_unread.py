"""Text that cannot be read counts as nothing entered, on every form: in the profile, the verdict and the file."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtWidgets import QLabel
from pytestqt.qtbot import QtBot

from gearplan.bike import profile
from gearplan.bike.files.bikefile import read_bike
from gearplan.window.document.entryrows import EntryRow, NumberRow, PairRow
from gearplan.window.frame.workbench import Workbench
from gearplan.window.kit.controls.numberfield import NumberField
from tests.pintunits import REGISTRY
from tests.window.circuit.cells import cell, type_into
from tests.window.kit.controls.test_any_number import ELSEWHERE, OWN, TAKEN, WRITTEN


def every_row(window: Workbench) -> dict[tuple[str, str], EntryRow]:
    """Each entry's row, on whichever page it stands."""
    window.page("Fitting")
    found: dict[tuple[str, str], EntryRow] = {}
    for section in profile.SECTIONS:
        for key, _ in profile.entries(section):
            window.show_field(f"{section}.{key}")
    for page in window.made():
        for holder in (page, *page.findChildren(object)):
            rows = getattr(holder, "rows", None)
            if isinstance(rows, dict):
                found |= {place: row for place, row in rows.items() if isinstance(row, EntryRow)}
    return found


def said(window: Workbench) -> str:
    return " ".join(label.text() for label in window.message.findChildren(QLabel))


def type_in(qtbot: QtBot, field: NumberField, text: str) -> None:
    field.setFocus()
    field.selectAll()
    if text.isascii():
        qtbot.keyClicks(field, text)
    else:
        field.insert(text)


def test_every_number_takes_its_units_and_refuses_the_rest(window: Workbench, qtbot: QtBot) -> None:
    rows = every_row(window)
    tried = set()
    for (section, key), row in rows.items():
        if not isinstance(row, (NumberRow, PairRow)):
            continue
        what = profile.entry(section, key)
        field = row.field if isinstance(row, NumberRow) else row.fields[0]
        if what.kind != "whole" and what.measure in TAKEN:
            unit = TAKEN[what.measure][-1]
            theirs = ELSEWHERE.get((what.measure, unit), WRITTEN[unit])
            middle = what.low + 0.3 * (what.high - what.low)
            number = REGISTRY.Quantity(middle, OWN[what.measure]).to(theirs).magnitude
            type_in(qtbot, field, f"{number:.10f} {unit}")
            value = profile.value(window.document.bike, section, key)
            assert (value if what.kind == "number" else value[0]) == pytest.approx(middle, rel=1e-5), (section, key)
        type_in(qtbot, field, "12 quarts")
        value = profile.value(window.document.bike, section, key)
        assert (value if what.kind != "pair" or value is None else value[0]) is None, (section, key)
        assert any(text == "12 quarts" and label.startswith(what.label) for label, text in window.document.unread())
        window.document.undo()
        tried.add((section, key))
    assert len(tried) > 60


def test_a_refused_torque_is_on_no_sheet(window: Workbench, qtbot: QtBot) -> None:
    window.document.set_value("service", "front_nut_nm", 98.0, "t")
    window.document.set_value("service", "front_nut_nm_from", "manual, page 6-31", "t")
    window.show_page("Fitting")
    window.show_field("service.front_nut_nm")
    row = window.fitting_page.service.rows["service", "front_nut_nm"]
    assert isinstance(row, NumberRow)
    type_in(qtbot, row.field, "85 lbf-foot-ish")
    assert window.document.bike.service.front_nut_nm is None
    assert (
        "Front sprocket's nut: “85 lbf-foot-ish” was not accepted and is left out." in window.bar.verdict.reasons.text()
    )
    assert window.bar.verdict.word.text() != "Fits"
    type_in(qtbot, row.field, "85 lbf-ft")
    assert window.document.bike.service.front_nut_nm == pytest.approx(115.245, abs=1e-3)
    assert "not accepted" not in window.bar.verdict.reasons.text()


def test_a_save_names_what_is_not_in_the_file_and_it_is_not(window: Workbench, qtbot: QtBot, tmp_path: Path) -> None:
    window.show_page("Bike")
    row = window.bike_page.rows["chassis", "slack_mm"]
    assert isinstance(row, NumberRow)
    type_in(qtbot, row.field, "250")
    target = tmp_path / "a.bike.toml"
    assert window.files.write(target)
    assert "Not in the file, because it was not accepted: Chain slack, up and down (“250”)." in said(window)
    assert read_bike(target).bike.chassis.slack_mm is None
    assert row.field.text() == "250"
    window.document.undo()
    assert (row.field.text(), window.document.unread()) == ("30", ())


def test_a_circuit_is_not_ridden_with_a_length_that_stands_nowhere(window: Workbench, qtbot: QtBot) -> None:
    window.circuits.open_demo("Marlpit Lane")
    window.show_page("Circuit")
    page = window.circuit_page
    assert window.document.circuit is not None
    before = window.document.circuit.sections[0].length_m
    type_into(page, qtbot, 0, "length_m", "1,200")
    assert cell(page, 0, "length_m") == "1,200"
    assert window.document.circuit.sections[0].length_m == before
    assert "length: “1,200” was not accepted and is left out." in page.empty.words.text()
    type_into(page, qtbot, 0, "length_m", "1200 ft")
    assert window.document.circuit.sections[0].length_m == 365.76
    assert page.empty.words.text() == ""
