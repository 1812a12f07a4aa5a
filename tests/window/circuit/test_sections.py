"""The table of sections by mouse and keys: it holds still, keeps what cannot be read, and every step is undone."""

from __future__ import annotations

from typing import Any

import pytest
from PySide6.QtCore import QEvent, QPoint, QRect, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QApplication, QComboBox, QLineEdit, QMessageBox, QWidget
from pytestqt.qtbot import QtBot

from gearplan.bike.circuit import Circuit, Section
from gearplan.bike.files.circuitfile import CircuitFile, demo_circuit
from gearplan.window.circuit.page import CircuitPage
from gearplan.window.circuit.sections.model import KEYS
from gearplan.window.document.document import Document
from gearplan.window.frame.workbench import Workbench
from gearplan.window.kit.view import View
from tests.window.circuit.cells import SECTIONS_TAB, at, cell, editor, press, type_into


def section(document: Document, row: int) -> Section:
    assert document.circuit is not None
    return document.circuit.sections[row]


def push(page: CircuitPage, qtbot: QtBot, key: str) -> None:
    qtbot.mouseClick(page.sections.buttons[key], Qt.MouseButton.LeftButton)


def places(page: CircuitPage) -> dict[str, QRect]:
    """Where everything on the tab and every cell of the first rows stands, on the page."""
    form, table = page.sections, page.sections.table
    widgets: list[QWidget] = [form.name, form.own, table, form.said, *form.buttons.values(), form.more]
    found = {repr(each): QRect(each.mapTo(page, QPoint(0, 0)), each.size()) for each in widgets}
    # The table may end lower when the page gets higher; what it holds stays where it is.
    found[repr(table)].setHeight(0)
    for row in range(min(4, table.model().rowCount())):
        for column in range(len(KEYS)):
            found[f"{row}, {column}"] = table.visualRect(table.model().index(row, column))
    return found


def test_a_cell_is_edited_and_undone(document: Document, marlpit: CircuitPage, qtbot: QtBot) -> None:
    before = document.circuit
    type_into(marlpit, qtbot, 0, "length_m", "640,5")
    assert section(document, 0).length_m == 640.5
    assert cell(marlpit, 0, "length_m") == "640.5"
    assert marlpit.sections.table.currentIndex().row() == 1
    type_into(marlpit, qtbot, 1, "turn_deg", "75 right")
    assert section(document, 1).turn_deg == -75
    assert cell(marlpit, 1, "turn_deg") == "75 right"
    type_into(marlpit, qtbot, 2, "length_m", "500 ft")
    assert section(document, 2).length_m == 152.4
    type_into(marlpit, qtbot, 3, "note", "new kerb")
    assert section(document, 3).note == "new kerb"
    for _ in range(4):
        document.undo()
    assert document.circuit == before
    assert not document.circuit_unsaved
    assert cell(marlpit, 0, "length_m") == "445"


def test_a_figure_begins_the_edit_and_escape_ends_it(document: Document, marlpit: CircuitPage, qtbot: QtBot) -> None:
    before = document.circuit
    press(marlpit, qtbot, 4, "length_m")
    qtbot.keyClick(marlpit.sections.table, Qt.Key.Key_7)
    assert editor(marlpit).text() == "7"
    qtbot.keyClick(editor(marlpit), Qt.Key.Key_Escape)
    assert document.circuit == before
    qtbot.keyClick(marlpit.sections.table, Qt.Key.Key_7)
    qtbot.keyClicks(editor(marlpit), "5")
    qtbot.keyClick(editor(marlpit), Qt.Key.Key_Tab)
    assert section(document, 4).length_m == 75
    assert marlpit.sections.table.currentIndex().column() == KEYS.index("turn_deg")


def test_tab_passes_over_the_column_that_is_not_edited(document: Document, marlpit: CircuitPage, qtbot: QtBot) -> None:
    press(marlpit, qtbot, 4, "gradient_percent")
    qtbot.keyClick(marlpit.sections.table, Qt.Key.Key_F2)
    qtbot.keyClick(editor(marlpit), Qt.Key.Key_Tab)
    assert marlpit.sections.table.currentIndex().column() == KEYS.index("note")


def test_what_is_being_typed_counts_when_a_shortcut_is_pressed(
    document: Document, marlpit: CircuitPage, qtbot: QtBot
) -> None:
    press(marlpit, qtbot, 0, "length_m")
    qtbot.keyClick(marlpit.sections.table, Qt.Key.Key_F2)
    editor(marlpit).selectAll()
    qtbot.keyClicks(editor(marlpit), "460")
    assert section(document, 0).length_m == 445
    shortcut = QKeyEvent(QEvent.Type.ShortcutOverride, Qt.Key.Key_S, Qt.KeyboardModifier.ControlModifier)
    QApplication.sendEvent(editor(marlpit), shortcut)
    assert section(document, 0).length_m == 460


def test_the_kind_is_chosen_from_a_list(document: Document, marlpit: CircuitPage, qtbot: QtBot) -> None:
    press(marlpit, qtbot, 0, "kind")
    qtbot.keyClick(marlpit.sections.table, Qt.Key.Key_F2)
    box = marlpit.sections.table.viewport().findChild(QComboBox)
    assert isinstance(box, QComboBox)
    qtbot.keyClick(box, Qt.Key.Key_Down)
    qtbot.keyClick(box, Qt.Key.Key_Return)
    assert section(document, 0).kind == "corner"
    assert cell(marlpit, 0, None) == "speed?"
    assert "a corner needs its apex speed or its radius" in marlpit.sections.said.text()


def test_nothing_moves_when_a_section_is_added_or_a_finding_appears(
    document: Document, marlpit: CircuitPage, qtbot: QtBot, qapp: QApplication
) -> None:
    where = places(marlpit)

    def still() -> bool:
        qapp.processEvents()
        marlpit.sections.table.verticalScrollBar().setValue(0)
        return places(marlpit) == where

    for key in ("straight", "corner", "split", "join", "down", "up", "remove"):
        push(marlpit, qtbot, key)
        assert still(), key
    document.open_circuit(demo_circuit("Marlpit Lane"), None)
    type_into(marlpit, qtbot, 1, "apex_kmh", "130")
    assert "g to the side" in marlpit.sections.model.told(1)
    assert still()
    type_into(marlpit, qtbot, 2, "length_m", "15x")
    assert cell(marlpit, 2, None) == "length?"
    assert still()
    marlpit.sections.own.say("Apex speeds of 8 corners times 1.023. " * 9, document.circuit)
    assert still()
    document.edit_circuit("x", Circuit("Long", demo_circuit("Marlpit Lane").circuit.sections * 30))
    assert still()
    document.undo()
    assert still()


def test_a_corner_beyond_the_grip_is_marked_in_its_row(document: Document, marlpit: CircuitPage, qtbot: QtBot) -> None:
    corner = Section("corner", 50.0, apex_kmh=62.0, turn_deg=150.0)
    document.edit_circuit("x", Circuit("R", (Section("straight", 300.0), *[corner] * 4)))
    # 17.22 m/s on 50 m / 2.618 rad = 19.1 m: 15.5 m/s², by hand.
    assert [cell(marlpit, row, None) for row in range(5)] == ["", *["1.58 g"] * 4]
    press(marlpit, qtbot, 3, None)
    assert marlpit.sections.said.text().startswith("Section 4: its speed and radius ask for 1.58 g to the side")


def test_a_radius_says_which_apex_speed_it_gives(document: Document, marlpit: CircuitPage) -> None:
    corners = (
        Section("corner", 60.0, radius_m=45.0, turn_deg=76.0),
        Section("corner", 60.0, radius_m=45.0, grip=0.8),
        Section("corner", 60.0, radius_m=45.0, lean_deg=45.0),
        Section("corner", 60.0),
    )
    document.edit_circuit("x", Circuit("R", (Section("straight", 300.0), *corners)))
    # v² = μ g r, by hand: the demo bike's tyre grips 1.1, tan 45° is 1.
    assert [cell(marlpit, row, "apex_kmh") for row in range(5)] == ["", "(79)", "(68)", "(76)", ""]
    assert [cell(marlpit, row, "radius_m") for row in range(5)] == ["", "45", "45", "45", ""]


def test_speeds_are_shown_and_typed_in_the_unit_of_the_window(
    document: Document, view: View, marlpit: CircuitPage, qtbot: QtBot
) -> None:
    head = marlpit.sections.model.headerData(KEYS.index("apex_kmh"), Qt.Orientation.Horizontal)
    assert head == "apex\nkm/h"
    view.set_speed_unit("mph")
    try:
        head = marlpit.sections.model.headerData(KEYS.index("apex_kmh"), Qt.Orientation.Horizontal)
        assert head == "apex\nmph"
        assert cell(marlpit, 1, "apex_kmh") == "59.7"
        type_into(marlpit, qtbot, 1, "apex_kmh", "60")
        assert section(document, 1).apex_kmh == pytest.approx(96.5606, abs=1e-4)
        type_into(marlpit, qtbot, 1, "apex_kmh", "90 km/h")
        assert section(document, 1).apex_kmh == 90
    finally:
        view.set_speed_unit("km/h")


def test_an_edit_that_is_left_as_it_stood_changes_nothing(
    document: Document, view: View, marlpit: CircuitPage, qtbot: QtBot
) -> None:
    view.set_speed_unit("mph")
    before = document.circuit
    press(marlpit, qtbot, 1, "apex_kmh")
    qtbot.keyClick(marlpit.sections.table, Qt.Key.Key_F2)
    qtbot.keyClick(editor(marlpit), Qt.Key.Key_Return)
    QApplication.processEvents()
    assert marlpit.sections.table.currentIndex().row() == 2
    assert document.circuit is before
    view.set_speed_unit("km/h")


def test_sections_are_added_split_joined_moved_and_deleted(
    document: Document, marlpit: CircuitPage, qtbot: QtBot
) -> None:
    before = document.circuit
    assert before is not None
    press(marlpit, qtbot, 3, "kind")
    push(marlpit, qtbot, "corner")
    assert section(document, 4).kind == "corner"
    assert marlpit.sections.index == 4
    document.undo()
    press(marlpit, qtbot, 3, "kind")
    push(marlpit, qtbot, "split")
    assert [section(document, row).length_m for row in (3, 4)] == [24.5, 24.5]
    assert [section(document, row).turn_deg for row in (3, 4)] == [50, 50]
    push(marlpit, qtbot, "join")
    assert document.circuit == before
    push(marlpit, qtbot, "join")
    assert "not of one kind" in marlpit.sections.said.text()
    assert document.circuit == before
    table = marlpit.sections.table
    qtbot.keyClick(table, Qt.Key.Key_Down, Qt.KeyboardModifier.AltModifier)
    assert section(document, 4) == before.sections[3]
    assert marlpit.sections.index == 4
    qtbot.keyClick(table, Qt.Key.Key_Insert)
    assert section(document, 5).kind == "straight"
    qtbot.keyClick(table, Qt.Key.Key_Delete, Qt.KeyboardModifier.ControlModifier)
    assert len(marlpit.sections.model._cells) == 16
    while document.circuit != before:
        document.undo()


def test_an_empty_circuit_is_built_from_nothing(window: Workbench, circuit_page: CircuitPage, qtbot: QtBot) -> None:
    window.circuits.new()
    circuit_page.tabs.setCurrentIndex(SECTIONS_TAB)
    assert "no sections yet" in circuit_page.empty.words.text()
    assert "no sections yet" in circuit_page.sections.said.text()
    for key in ("split", "join", "remove", "up", "down"):
        assert not circuit_page.sections.buttons[key].isEnabled()
    push(circuit_page, qtbot, "straight")
    push(circuit_page, qtbot, "corner")
    assert circuit_page.drawn.isVisible()
    assert circuit_page.sections.index == 1
    press(circuit_page, qtbot, 1, "apex_kmh")
    qtbot.keyClick(circuit_page.sections.table, Qt.Key.Key_Delete)
    assert section(window.document, 1).apex_kmh is None
    assert "Section 2" in circuit_page.empty.words.text()


def test_new_leaves_nothing_of_the_last_circuit(
    window: Workbench, circuit_page: CircuitPage, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    form = circuit_page.sections
    window.circuits.open_demo("Marlpit Lane")
    type_into(circuit_page, qtbot, 0, "length_m", "1170")
    type_into(circuit_page, qtbot, 2, "length_m", "15x")
    form.own.time.setFocus()
    qtbot.keyClicks(form.own.time, "soon")
    press(circuit_page, qtbot, 1, "note")
    qtbot.keyClick(form.table, Qt.Key.Key_F2)
    qtbot.keyClicks(editor(circuit_page), "old runway")
    monkeypatch.setattr(type(window.circuits), "may_leave", lambda _: True)
    window.circuits.new()
    QApplication.processEvents()
    assert form.model.rowCount() == 0
    assert not any(line.isVisible() for line in form.table.viewport().findChildren(QLineEdit))
    assert (form.name.text(), form.own.time.text()) == ("", "")
    assert form.said.text() == "The circuit has no sections yet: add a straight and a corner, or paste a table."
    assert window.document.unread("circuit") == ()
    assert window.document.circuit == Circuit()


def test_five_hundred_sections_scroll_in_the_table(document: Document, marlpit: CircuitPage, qtbot: QtBot) -> None:
    one = demo_circuit("Marlpit Lane").circuit.sections
    document.edit_circuit("x", Circuit("Long", tuple(one[k % 16] for k in range(500))))
    form = marlpit.sections
    form.pick(480)
    assert form.table.viewport().rect().contains(at(marlpit, 480, "length_m"))
    type_into(marlpit, qtbot, 480, "length_m", "123")
    assert section(document, 480).length_m == 123


def test_the_section_under_the_cursor_comes_to_hand(marlpit: CircuitPage, document: Document, qtbot: QtBot) -> None:
    circuit = document.circuit
    assert circuit is not None
    marlpit.drawn.map.moved_to.emit(circuit.starts_m[9] + 1.0)
    assert marlpit.sections.index == 9
    assert marlpit.drawn.distance == circuit.starts_m[9] + 1.0
    press(marlpit, qtbot, 1, "length_m")
    assert marlpit.drawn.distance == pytest.approx((circuit.starts_m[1] + circuit.starts_m[2]) / 2)


# The clipboard.


def test_rows_go_to_a_spreadsheet_and_come_back(document: Document, marlpit: CircuitPage, qtbot: QtBot) -> None:
    before = document.circuit
    assert before is not None
    next(a for a in marlpit.sections.more.menu().actions() if a.text().startswith("Copy")).trigger()
    copied = QApplication.clipboard().text()
    assert copied.splitlines()[0].split("\t")[:2] == ["kind", "length, m"]
    document.open_circuit(CircuitFile(Circuit(), ""), None)
    marlpit.sections.table.setFocus()
    qtbot.keyClick(marlpit.sections.table, Qt.Key.Key_V, Qt.KeyboardModifier.ControlModifier)
    assert document.circuit is not None
    assert document.circuit.sections == before.sections
    assert "16 sections pasted" in marlpit.sections.said.text()
    document.undo()
    assert document.circuit == Circuit()


def test_a_table_of_another_program_is_pasted_and_what_it_lacks_is_said(
    document: Document, marlpit: CircuitPage, qtbot: QtBot
) -> None:
    QApplication.clipboard().setText("Länge (ft)\tTempo (mph)\tWinkel\n1.200,5\t60\t85\n12,5x\t40\t-30\n")
    press(marlpit, qtbot, 3, "kind")
    qtbot.keyClick(marlpit.sections.table, Qt.Key.Key_V, Qt.KeyboardModifier.ControlModifier)
    assert section(document, 4).length_m == pytest.approx(365.912, abs=1e-3)
    assert section(document, 4).apex_kmh == pytest.approx(96.5606, abs=1e-4)
    assert (cell(marlpit, 5, "length_m"), cell(marlpit, 5, None)) == ("12,5x", "length?")
    assert section(document, 5).turn_deg == -30
    assert "Row 3, length: “x” is not a unit of distance" in marlpit.sections.said.text()
    assert document.unread("circuit") == (("Section 6, length", "12,5x"),)
    document.undo()
    assert document.circuit == demo_circuit("Marlpit Lane").circuit
    assert document.unread("circuit") == ()
    document.redo()
    assert document.unread("circuit") == (("Section 6, length", "12,5x"),)


def test_cells_are_copied_over_others(document: Document, marlpit: CircuitPage, qtbot: QtBot) -> None:
    table = marlpit.sections.table
    press(marlpit, qtbot, 1, "turn_deg")
    qtbot.mouseClick(
        table.viewport(),
        Qt.MouseButton.LeftButton,
        Qt.KeyboardModifier.ShiftModifier,
        at(marlpit, 1, "apex_kmh"),
    )
    qtbot.keyClick(table, Qt.Key.Key_C, Qt.KeyboardModifier.ControlModifier)
    assert QApplication.clipboard().text() == "80\t96"
    press(marlpit, qtbot, 3, "turn_deg")
    qtbot.keyClick(table, Qt.Key.Key_V, Qt.KeyboardModifier.ControlModifier)
    assert (section(document, 3).turn_deg, section(document, 3).apex_kmh) == (80, 96)
    assert section(document, 3).length_m == 49
    QApplication.clipboard().setText("")
    qtbot.keyClick(table, Qt.Key.Key_V, Qt.KeyboardModifier.ControlModifier)
    assert "nothing to paste" in marlpit.sections.said.text()


# What cannot be read.


def test_what_cannot_be_read_stays_in_its_cell(document: Document, marlpit: CircuitPage, qtbot: QtBot) -> None:
    document = document
    type_into(marlpit, qtbot, 2, "length_m", "15x")
    type_into(marlpit, qtbot, 4, "gradient_percent", "steep")
    assert dict(document.unread("circuit")) == {"Section 3, length": "15x", "Section 5, gradient": "steep"}
    assert (cell(marlpit, 2, "length_m"), cell(marlpit, 4, "gradient_percent")) == ("15x", "steep")
    assert section(document, 2).length_m == 152
    assert "Section 3, length: “15x” was not accepted and is left out." in marlpit.empty.words.text()
    press(marlpit, qtbot, 2, "kind")
    assert "Section 3, length: “x” is not a unit of distance" in marlpit.sections.said.text()
    type_into(marlpit, qtbot, 2, "length_m", "151")
    assert dict(document.unread("circuit")) == {"Section 5, gradient": "steep"}
    assert section(document, 2).length_m == 151


@pytest.mark.parametrize(
    ("row", "does", "number"),
    [(1, "straight", 5), (1, "remove", 3), (1, "up", 4), (2, "down", 3), (1, "_mirror", 4), (1, "_reverse", 13)],
)
def test_what_cannot_be_read_goes_where_its_section_goes(
    document: Document, marlpit: CircuitPage, qtbot: QtBot, row: int, does: str, number: int
) -> None:
    type_into(marlpit, qtbot, 3, "length_m", "4,9,1")
    press(marlpit, qtbot, row, "kind")
    if does.startswith("_"):
        getattr(marlpit.sections, does)()
    else:
        push(marlpit, qtbot, does)
    assert document.unread("circuit") == ((f"Section {number}, length", "4,9,1"),)
    assert cell(marlpit, number - 1, "length_m") == "4,9,1"
    document.undo()
    assert document.unread("circuit") == (("Section 4, length", "4,9,1"),)
    press(marlpit, qtbot, 3, "kind")
    push(marlpit, qtbot, "remove")
    assert document.unread("circuit") == ()


def test_a_step_back_gives_the_value_of_before_in_place_of_what_cannot_be_read(
    document: Document, marlpit: CircuitPage, qtbot: QtBot
) -> None:
    type_into(marlpit, qtbot, 4, "gradient_percent", "steep")
    assert section(document, 4).gradient_percent == 0
    document.undo()
    assert cell(marlpit, 4, "gradient_percent") == "−1.5"
    assert document.unread("circuit") == ()


def test_an_emptied_cell_holds_nothing_and_a_length_stays(
    document: Document, marlpit: CircuitPage, qtbot: QtBot
) -> None:
    type_into(marlpit, qtbot, 2, "length_m", "15x")
    press(marlpit, qtbot, 2, "length_m")
    qtbot.keyClick(marlpit.sections.table, Qt.Key.Key_Delete)
    assert cell(marlpit, 2, "length_m") == "152"
    assert document.unread("circuit") == ()
    press(marlpit, qtbot, 1, "turn_deg")
    qtbot.keyClick(marlpit.sections.table, Qt.Key.Key_Delete)
    assert section(document, 1).turn_deg == 0


def test_another_bike_leaves_what_the_circuit_holds_and_another_circuit_asks(
    window: Workbench, circuit_page: CircuitPage, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    window.circuits.open_demo("Marlpit Lane")
    type_into(circuit_page, qtbot, 3, "length_m", "4,9,1")
    window.files.open_demo("Wren 125")
    assert window.document.unread("circuit") == (("Section 4, length", "4,9,1"),)
    assert cell(circuit_page, 3, "length_m") == "4,9,1"
    asked: list[str] = []

    def answer(*given: Any) -> object:
        asked.append(given[2])
        return answers.pop()

    monkeypatch.setattr(QMessageBox, "question", answer)
    answers = [QMessageBox.StandardButton.Discard, QMessageBox.StandardButton.Cancel]
    window.circuits.open_demo("Heronfleet")
    assert "length (“4,9,1”). Go on without it?" in asked[0]
    assert window.document.circuit == demo_circuit("Marlpit Lane").circuit
    window.circuits.open_demo("Heronfleet")
    assert window.document.circuit == demo_circuit("Heronfleet").circuit
    assert window.document.unread("circuit") == ()
