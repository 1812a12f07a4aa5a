"""How it is ridden: a rider's habits typed, kept with the circuit, and two riders side by side."""

from __future__ import annotations

from dataclasses import replace

import pytest
from PySide6.QtCore import QPoint, Qt
from pytestqt.qtbot import QtBot

from gearplan.bike.rider import Rider
from gearplan.bike.text.units import KMH
from gearplan.plan.laps.view import LapView, lap_view
from gearplan.plan.season.wet import wet
from gearplan.window.circuit.page import CircuitPage
from gearplan.window.frame.workbench import Workbench
from tests.window.circuit.laps import ranked


def tick(page: CircuitPage, qtbot: QtBot) -> None:
    box = page.rider.other
    qtbot.mouseClick(box, Qt.MouseButton.LeftButton, pos=QPoint(10, box.height() // 2))


def typed(page: CircuitPage, qtbot: QtBot, key: str, text: str, number: int = 0) -> None:
    page.tabs.setCurrentIndex(4)
    field = page.rider.fields[number][key]
    field.setFocus()
    field.selectAll()
    qtbot.keyClicks(field, text)
    qtbot.keyClick(field, Qt.Key.Key_Return)


def test_a_habit_is_kept_with_the_circuit_and_changes_the_lap(
    window: Workbench, lapped: CircuitPage, qtbot: QtBot
) -> None:
    before = lapped.asks.known()
    assert isinstance(before, LapView)
    assert before.ranking.rules.lowest_gear == 2
    typed(lapped, qtbot, "lowest_gear", "3")
    assert lapped.rider.fields[0]["lowest_gear"].placeholderText() == "2 assumed"
    typed(lapped, qtbot, "skips", "4")
    typed(lapped, qtbot, "first_below_kmh", "60")
    circuit = window.document.circuit
    assert circuit is not None
    assert circuit.rider == Rider(lowest_gear=3, skips=(4,), first_below_kmh=60.0)
    after = lapped.asks.known()
    assert isinstance(after, LapView)
    assert 4 not in after.proposed.gear + 1
    assert after.row.time > before.row.time
    window.view.set_speed_unit("mph")
    assert lapped.rider.fields[0]["first_below_kmh"].text() == "37.3"
    for _ in range(3):
        window.document.undo()
    lapped.refresh()
    assert lapped.rider.fields[0]["skips"].text() == ""


def test_what_cannot_be_is_said_and_kept(window: Workbench, lapped: CircuitPage, qtbot: QtBot) -> None:
    for key, text, told in (
        ("lowest_gear", "9", "expected 1"),
        ("lowest_gear", "2.5", "whole number"),
        ("skips", "0", "gears from 1 to 8"),
        ("skips", "third", "third"),
        ("downshift_time_s", "20", "20"),
    ):
        typed(lapped, qtbot, key, text)
        field = lapped.rider.fields[0][key]
        assert told in field.problem
        assert field.text() == text
        assert told in lapped.rider.errors.text()
        qtbot.keyClick(field, Qt.Key.Key_Escape)
    circuit = window.document.circuit
    assert circuit is not None
    assert circuit.riders == ()


def test_two_riders_are_told_side_by_side(window: Workbench, lapped: CircuitPage, qtbot: QtBot) -> None:
    lapped.tabs.setCurrentIndex(4)
    assert not lapped.rider.fields[1]["name"].isVisible()
    tick(lapped, qtbot)
    assert lapped.rider.fields[1]["name"].isVisible()
    typed(lapped, qtbot, "name", "Ann")
    typed(lapped, qtbot, "name", "Ben", 1)
    typed(lapped, qtbot, "braking_mps2", "6.5", 1)
    ranked(lapped, qtbot)
    qtbot.waitUntil(lambda: not lapped.riders.other.busy and lapped.rider.told.text().startswith("Ann laps in 1:"))
    told = lapped.rider.told.text()
    assert "Ann is" in told
    assert "Ann gains" in told
    first, second = lapped.ranker.ranking, lapped.riders.other.ranking
    assert first is not None
    assert second is not None
    assert second.fitted_time > first.fitted_time  # type: ignore[operator]
    tick(lapped, qtbot)
    circuit = window.document.circuit
    assert circuit is not None
    assert circuit.riders == (Rider("Ann"),)
    assert not lapped.rider.told.isVisible()


@pytest.mark.parametrize("key", ["first_below_kmh"])
def test_a_speed_in_miles_is_kept_in_the_file_s_unit(
    window: Workbench, lapped: CircuitPage, qtbot: QtBot, key: str
) -> None:
    window.view.set_speed_unit("mph")
    typed(lapped, qtbot, key, "40")
    circuit = window.document.circuit
    assert circuit is not None
    assert getattr(circuit.rider, key) == pytest.approx(40 * 1609.344 / 3600 / KMH, abs=1e-3)
    assert replace(circuit.rider, first_below_kmh=None) == Rider()


def test_a_wet_track_is_one_tick_and_the_lap_is_that_of_the_command(
    window: Workbench, lapped: CircuitPage, qtbot: QtBot
) -> None:
    dry = lapped.asks.known()
    assert isinstance(dry, LapView)
    lapped.tabs.setCurrentIndex(4)
    box = lapped.rider.wet
    assert not lapped.rider.share.isEnabled()
    qtbot.mouseClick(box, Qt.MouseButton.LeftButton, pos=QPoint(10, box.height() // 2))
    bike, circuit = window.document.bike, window.document.circuit
    assert circuit is not None
    for text, share in (("", None), ("0.6", 0.6)):
        if text:
            lapped.rider.share.setFocus()
            qtbot.keyClicks(lapped.rider.share, text)
            qtbot.keyClick(lapped.rider.share, Qt.Key.Key_Return)
        today = wet(bike, circuit, share)
        expected = lap_view(today.bike, window.document.chosen, today.circuit, lapped.rider.rules(today.bike, circuit))
        found = lapped.asks.known()
        assert isinstance(found, LapView)
        assert isinstance(expected, LapView)
        assert found.row.time == expected.row.time > dry.row.time
        assert lapped.rider.rain.text() == today.told
        assert lapped.head.name.text().endswith(", wet")
        # Nothing of the bike or the circuit is changed.
        assert window.document.circuit is circuit
        assert window.document.bike is bike
    ranked(lapped, qtbot)
    assert lapped.ranker.ranking is not None
    assert lapped.ranker.ranking.sets.bike.tyre.grip == pytest.approx(0.6 * (bike.tyre.grip or 0))
    lapped.rider.share.selectAll()
    qtbot.keyClicks(lapped.rider.share, "1.4")
    qtbot.keyClick(lapped.rider.share, Qt.Key.Key_Return)
    assert "0.2 to 1" in lapped.rider.errors.text()
