"""A section is changed on the map: dragged by its handle, or by keys."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from gearplan.window.circuit.page import CircuitPage
from gearplan.window.document.document import Document
from tests.window.circuit.cells import cell, press


def grip(page: CircuitPage) -> QPoint:
    chart = page.drawn.map
    assert chart._handle is not None
    at: QPoint = chart.mapFromScene(chart.getPlotItem().vb.mapViewToScene(QPointF(*chart._handle)))
    return at


def drag(page: CircuitPage, to: QPoint) -> None:
    view = page.drawn.map.viewport()
    start = grip(page)
    QTest.mousePress(view, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, start)
    for share in (0.3, 0.7, 1.0):
        QTest.mouseMove(view, start + (to - start) * share)
        QApplication.processEvents()


def drop(page: CircuitPage, at: QPoint) -> None:
    view = page.drawn.map.viewport()
    QTest.mouseRelease(view, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, at)
    QApplication.processEvents()


def test_a_straight_is_dragged_longer_in_one_step(document: Document, marlpit: CircuitPage, qtbot: QtBot) -> None:
    before = document.circuit
    assert before is not None
    press(marlpit, qtbot, 0, "kind")
    to = grip(marlpit) + QPoint(30, 0)
    range_before = marlpit.drawn.map.getPlotItem().vb.viewRange()
    drag(marlpit, to)
    assert document.circuit is before
    assert marlpit.drawn.map.getPlotItem().vb.viewRange() == range_before
    drop(marlpit, to)
    circuit = document.circuit
    assert circuit is not None
    pixel = marlpit.drawn.map.getPlotItem().vb.viewPixelSize()[0]
    # The map begins to the right: 30 pixels of it are so many metres more, but for what closes the line.
    assert circuit.sections[0].length_m == pytest.approx(445 + 30 * pixel, rel=0.15)
    assert circuit.sections[0].length_m == round(circuit.sections[0].length_m)
    assert circuit.sections[1:] == before.sections[1:]
    assert cell(marlpit, 0, "length_m") == f"{circuit.sections[0].length_m:.0f}"
    document.undo()
    assert document.circuit == before


def test_a_corner_is_dragged_wider(document: Document, marlpit: CircuitPage, qtbot: QtBot) -> None:
    before = document.circuit
    assert before is not None
    press(marlpit, qtbot, 1, "kind")
    chart = marlpit.drawn.map
    assert chart._size.toPlainText() == "radius 67 m"
    to = grip(marlpit) + QPoint(10, -6)
    drag(marlpit, to)
    told = chart._size.toPlainText()
    drop(marlpit, to)
    corner = document.circuit.sections[1]  # type: ignore[union-attr]
    radius = corner.line_radius_m
    assert radius is not None
    assert radius > 70
    assert told == f"radius {radius:.0f} m"
    assert (corner.turn_deg, corner.apex_kmh) == (80, 96)


def test_the_handle_has_keys_and_a_ring(document: Document, marlpit: CircuitPage, qtbot: QtBot) -> None:
    before = document.circuit
    press(marlpit, qtbot, 2, "kind")
    chart = marlpit.drawn.map
    assert len(chart._ring.data) == 0
    chart.setFocus(Qt.FocusReason.TabFocusReason)
    assert len(chart._ring.data) == 1
    assert chart.accessibleDescription().startswith("Section 3, straight, length 152 m.")
    for _ in range(3):
        qtbot.keyClick(chart, Qt.Key.Key_Up)
    qtbot.keyClick(chart, Qt.Key.Key_Down, Qt.KeyboardModifier.ShiftModifier)
    assert cell(marlpit, 2, "length_m") == "145"
    assert chart.accessibleDescription().startswith("Section 3, straight, length 145 m.")
    document.undo()
    assert document.circuit == before
    qtbot.keyClick(chart, Qt.Key.Key_Right)
    assert marlpit.sections.index == 3
    assert "Section 4, corner, radius 28 m." in chart.accessibleDescription()


def test_the_map_without_sections_in_sight_has_no_handle(marlpit: CircuitPage) -> None:
    chart = marlpit.drawn.map
    assert chart._handle is not None
    marlpit.tabs.setCurrentIndex(1)
    assert chart._handle is None
    assert chart.focusPolicy() == Qt.FocusPolicy.NoFocus
    assert not chart._size.isVisible()


def test_the_words_of_the_handle_stand_clear_of_the_marks(marlpit: CircuitPage, qapp: QApplication) -> None:
    chart = marlpit.drawn.map
    inside = chart.mapFromScene(chart.getPlotItem().vb.sceneBoundingRect()).boundingRect()
    for row in range(16):
        marlpit.sections.table.take(row)
        qapp.processEvents()
        shown = [one for one in (*chart._names, chart._size) if one.isVisible()]
        boxes = [one.mapRectToScene(one.textItem.mapRectToParent(one.textItem.boundingRect())) for one in shown]
        # A text item has a margin about its letters.
        words, marks = boxes[-1].adjusted(4, 6, -4, -6), [box.adjusted(4, 6, -4, -6) for box in boxes[:-1]]
        assert not any(words.intersects(mark) for mark in marks), row
        assert inside.adjusted(-2, -2, 2, 2).contains(words.toRect()), row
