"""What other programs and other senses get of tables and charts: copied, exported, told, announced; and all actions."""

from __future__ import annotations

import csv
import io
import itertools
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QAccessible, QAccessibleAnnouncementEvent
from PySide6.QtWidgets import QApplication, QFileDialog, QWidget
from pytestqt.qtbot import QtBot

from gearplan.bike.stocklist.spreadsheet import sheets
from gearplan.setup.ratios import gear_ratios
from gearplan.window.frame.athand import ChartTable
from gearplan.window.frame.menus.actionlist import ActionList
from gearplan.window.frame.pagehost import PAGES
from gearplan.window.frame.workbench import Workbench
from gearplan.window.kit import spoken
from gearplan.window.kit.charts.plainchart import PlainChart
from gearplan.window.kit.tables.texttable import TextTable

CTRL, SHIFT = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.ShiftModifier


@pytest.fixture
def listening(monkeypatch: pytest.MonkeyPatch) -> Iterator[list[tuple[str, str]]]:
    """As if a screen reader ran: what is announced, with who announces it."""
    heard: list[tuple[str, str]] = []

    def hear(widget: QWidget, text: str) -> QAccessibleAnnouncementEvent:
        heard.append((type(widget).__name__, text))
        return QAccessibleAnnouncementEvent(widget, text)

    monkeypatch.setattr(spoken, "QAccessibleAnnouncementEvent", hear)
    QAccessible.setActive(True)
    yield heard
    QAccessible.setActive(False)


def test_a_table_is_copied_with_tabs_and_exported_as_csv(
    window: Workbench, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    table = window.speed_page.findChild(TextTable)
    assert table is not None
    table.setFocus()
    qtbot.keyClick(table, Qt.Key.Key_C, CTRL)
    lines = QApplication.clipboard().text().split("\n")
    model = table.model()
    assert len(lines) == 1 + model.rowCount()
    assert lines[1].split("\t")[0] == model.index(0, 0).data()
    to = tmp_path / "gears.csv"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_a: (str(to), ""))
    qtbot.keyClick(table, Qt.Key.Key_E, CTRL | SHIFT)
    read = list(csv.reader(io.StringIO(to.read_text())))
    assert [row[0] for row in read] == [line.split("\t")[0] for line in lines]
    bare = tmp_path / "gears"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_a: (str(bare), "Spreadsheets (*.xlsx)"))
    qtbot.keyClick(table, Qt.Key.Key_E, CTRL | SHIFT)
    [(_, filled)] = sheets(bare.with_suffix(".xlsx").read_bytes())
    assert [cells[0] for _, cells in filled][1:] == [row[0] for row in read][1:]


def test_a_chart_is_copied_as_picture_and_table_and_shown_as_one(window: Workbench, qtbot: QtBot) -> None:
    chart = window.speed_page.chart
    window.document.propose(replace(window.document.chosen, rear=44), "p")
    chart.setFocus()
    lines = gear_ratios(window.document.bike) or ()
    qtbot.keyClick(chart, Qt.Key.Key_C, CTRL)
    given = QApplication.clipboard().mimeData()
    assert given is not None
    assert given.hasImage()
    rows = [line.split("\t") for line in given.text().split("\n")]
    assert rows[0] == ["Curve", "Road speed, km/h", "Engine speed, rpm"]
    assert {row[0] for row in rows[1:]} == {"fitted", "proposed"}
    # From gear to gear the engine speed falls as the ratios do (the ratio of two gears, by definition).
    tops = [float(row[2]) for row in rows[1:] if row[0] == "proposed"]
    redline = max(tops)
    falls = [now / redline for before, now in itertools.pairwise(tops) if before == redline]
    assert falls[: len(lines) - 1] == pytest.approx([b / a for a, b in itertools.pairwise(lines)], rel=1e-3)
    qtbot.keyClick(chart, Qt.Key.Key_T, CTRL | SHIFT)
    shown = window.findChild(ChartTable)
    assert shown is not None
    assert shown.table.model().rowCount() == len(rows) - 1
    qtbot.keyClick(shown.table, Qt.Key.Key_Escape)
    assert not shown.isVisible()


def test_every_chart_has_a_name_and_tells_what_it_shows(window: Workbench) -> None:
    window.circuits.open_demo("Marlpit Lane")
    told = 0
    for name in PAGES:
        window.show_page(name)
        QApplication.processEvents()
        for chart in window.page(name).findChildren(PlainChart):
            if chart.isVisible():
                assert chart.accessibleName(), type(chart)
                assert QAccessible.queryAccessibleInterface(chart).role() == QAccessible.Role.Chart
                chart.setFocus()
                words = chart.accessibleDescription()
                assert words.endswith("."), (name, words)
                told += "highest" in words
    assert told >= 6


def test_a_changed_verdict_is_announced_once_it_rests(
    window: Workbench, qtbot: QtBot, listening: list[tuple[str, str]]
) -> None:
    slider = window.bar.sliders["rear"]
    slider.setFocus()
    for _ in range(9):
        qtbot.keyClick(slider, Qt.Key.Key_Right)
    qtbot.waitUntil(lambda: bool(listening))
    verdict = window.bar.verdict
    assert listening == [("VerdictView", listening[0][1])]
    assert listening[0][1].startswith(verdict.word.accessibleName())
    assert verdict.reasons.text().split("\n")[0] in listening[0][1]
    # What a reader finds there is the sentences themselves.
    assert QAccessible.queryAccessibleInterface(verdict.reasons).text(QAccessible.Text.Name) == verdict.reasons.text()
    window.message.say("Written: a file")
    qtbot.waitUntil(lambda: ("MessageStrip", "Written: a file") in listening)


def test_every_action_is_found_by_its_words(window: Workbench, qtbot: QtBot) -> None:
    rear = window.document.chosen.rear or 0
    qtbot.keyClick(window, Qt.Key.Key_P, CTRL | SHIFT)
    found = window.findChild(ActionList)
    assert found is not None
    everything = found.list.count()
    assert everything > 40
    qtbot.keyClicks(found.words, "larg rear")
    assert [found.list.item(row).text().split("    ")[0] for row in range(found.list.count())] == [
        "Edit: Rear sprocket one tooth larger"
    ]
    qtbot.keyClick(found.words, Qt.Key.Key_Return)
    assert window.document.chosen.rear == rear + 1
    qtbot.keyClick(window, Qt.Key.Key_P, CTRL | SHIFT)
    again = window.findChildren(ActionList)[-1]
    qtbot.keyClicks(again.words, "view quote")
    qtbot.keyClick(again.words, Qt.Key.Key_Down)
    qtbot.keyClick(again.words, Qt.Key.Key_Return)
    assert window.in_sight == "Quote"
