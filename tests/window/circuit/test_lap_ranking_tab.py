"""The ranking of a circuit's sets: what is tied and why, what a row tells, and what happens while sets are ranked."""

from __future__ import annotations

import itertools
import threading
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QScrollArea
from pytestqt.qtbot import QtBot

from gearplan.bike.circuit import Circuit, Section
from gearplan.bike.profile import with_value
from gearplan.bike.text.units import KMH, MPH
from gearplan.bike.text.written import computed_lap
from gearplan.drive.lap.rules import LapRules
from gearplan.plan.choices.space import default_space
from gearplan.plan.laps.ranking import LapRanking, rank_laps
from gearplan.plan.laps.search import Cancelled, SoFar
from gearplan.plan.laps.spread import Plateau, because, headline, plateau
from gearplan.plan.laps.text import tied_spans
from gearplan.plan.laps.view import LapView, lap_view
from gearplan.plan.set.evaluate import evaluate
from gearplan.setup.ratios import whole_ratio
from gearplan.window.circuit.page import CircuitPage
from gearplan.window.frame.workbench import Workbench
from tests.stock import list_of_text
from tests.window.circuit.laps import cells, ranked


def test_the_ranking_is_that_of_the_command(window: Workbench, lapped: CircuitPage) -> None:
    bike, circuit = window.document.bike, window.document.circuit
    assert circuit is not None
    expected = rank_laps(bike, circuit, default_space(bike))
    assert isinstance(expected, LapRanking)
    answer = plateau(expected)
    assert answer is not None
    times = {f"{row.set.front}/{row.set.rear}": computed_lap(row.time) for row in expected.best(120)}
    shown = cells(lapped.results.table)
    assert len(shown) > 100
    assert all(times[row[1]] == row[3] for row in shown if row[1] in times)
    assert lapped.results.words.text() == answer.sentence
    assert lapped.advice.words.text() == headline(expected, answer)
    assert lapped.advice.why.text() == because(expected, answer)
    # The tied ones stand first, by tenths of a second.
    tied = [row for row in shown if row[0]]
    assert shown[: len(tied)] == tied
    seconds = [float(row[3].split(":")[1]) for row in tied]
    assert all(later > former - 0.11 for former, later in itertools.pairwise(seconds))
    marks = {row[1]: row[0] for row in shown}
    one = expected.sets.set_at(answer.chosen)
    assert marks[f"{one.front}/{one.rear}"].split(", ")[0] in ("take", "least loss")
    assert sum(mark.startswith(("take", "least loss")) for mark in marks.values()) == 1


def test_the_ranking_is_there_before_what_is_in_doubt_has_been_ridden(
    window: Workbench, lapped: CircuitPage, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    go_on = threading.Event()
    stopped: list[bool] = []

    def held(*given: Any) -> Plateau | None:
        while not go_on.wait(0.01):
            if not given[-1](1, 2):
                stopped.append(True)
                raise Cancelled
        return plateau(*given)

    monkeypatch.setattr("gearplan.window.circuit.ranker.plateau", held)
    bike = window.document.bike
    window.document.edit("x", with_value(bike, "load", "bike_kg", 190.0))
    qtbot.waitUntil(lambda: lapped.ranker.ranking is not None)
    assert lapped.ranker.tied is None
    assert lapped.ranker.busy
    assert len(cells(lapped.results.table)) > 20
    assert "Ranked as entered" in lapped.advice.why.text()
    assert lapped.results.cancel.isVisible()
    qtbot.waitUntil(lambda: lapped.results.progress.value() == 500)
    # Stopped, the ranking stays.
    qtbot.mouseClick(lapped.results.cancel, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: bool(stopped))
    assert not lapped.ranker.busy
    assert not lapped.results.cancel.isVisible()
    assert len(cells(lapped.results.table)) > 20
    assert not any("tied" in row[0] for row in cells(lapped.results.table))
    # Another bike makes what is ridden for the one before unwanted.
    window.document.edit("x", with_value(bike, "load", "bike_kg", 191.0))
    qtbot.waitUntil(lambda: lapped.ranker.ranking is not None and lapped.ranker._ties.busy)
    window.document.edit("x", with_value(bike, "load", "bike_kg", 192.0))
    go_on.set()
    ranked(lapped, qtbot)
    assert lapped.ranker.ranking is not None
    assert lapped.ranker.ranking.sets.bike.load.bike_kg == 192.0
    assert lapped.ranker.tied is not None
    assert "tied" in lapped.results.words.text()


def test_a_click_proposes_and_the_lap_follows(window: Workbench, lapped: CircuitPage, qtbot: QtBot) -> None:
    table = lapped.results.table
    before = lapped.sentence.text()
    where = table.visualRect(table.model().index(2, 1)).center()
    qtbot.mouseClick(table.viewport(), Qt.MouseButton.LeftButton, pos=where)
    row = cells(table)[2]
    assert f"{window.document.chosen.front}/{window.document.chosen.rear}" == row[1]
    assert lapped.sentence.text() != before
    assert row[0].endswith("proposed")
    known = lapped.asks.known()
    assert isinstance(known, LapView)
    assert computed_lap(known.row.time) == row[3]


def test_filters_leave_only_what_is_wanted(lapped: CircuitPage, qtbot: QtBot) -> None:
    lapped.results.boxes["hand"].click()
    ranked(lapped, qtbot)
    assert {row[8] for row in cells(lapped.results.table)} == {"as fitted"}
    lapped.results.margin.setFocus()
    all_at_hand = len(cells(lapped.results.table))
    qtbot.keyClicks(lapped.results.margin, "50")
    ranked(lapped, qtbot)
    assert len(cells(lapped.results.table)) < all_at_hand
    assert not lapped.results.boxes["stock"].isEnabled()


def test_a_race_gearbox_multiplies_the_sets_and_can_be_stopped(
    window: Workbench, lapped: CircuitPage, qtbot: QtBot
) -> None:
    first = lapped.ranker.ranking
    assert first is not None
    lapped.tabs.setCurrentIndex(3)
    field = lapped.ranges.options[2]
    field.setFocus()
    qtbot.keyClicks(field, "19/28")
    qtbot.waitUntil(lambda: lapped.ranker.ranking is not None and lapped.ranker.ranking is not first)
    assert lapped.ranker.ranking is not None
    assert lapped.ranker.ranking.sets.ranked == 2 * first.sets.ranked
    qtbot.keyClicks(field, "; nonsense")
    assert "nonsense" in field.text()
    lapped.ranker.stop()
    assert "Stopped" in lapped.results.words.text()


def test_a_search_that_is_stopped_stays_and_can_go_on(
    window: Workbench, lapped: CircuitPage, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name, value in (("_DETAILED", 0), ("_PART", 20), ("cores", lambda: 1)):
        monkeypatch.setattr(f"gearplan.plan.laps.search.{name}", value)
    monkeypatch.setattr("gearplan.window.circuit.ranker._LONG", 0.0)
    there, go_on = threading.Event(), threading.Event()

    def held(*given: Any, sofar: Any) -> Any:
        def watch(now: SoFar) -> bool:
            on = bool(sofar(now))
            if now.done > 40:
                there.set()
                go_on.wait(30)
            return on and bool(sofar(now))

        return rank_laps(*given, sofar=watch)  # type: ignore[misc]

    monkeypatch.setattr("gearplan.window.circuit.ranker.rank_laps", held)
    results = lapped.results
    bike = window.document.bike
    window.document.edit("x", with_value(bike, "load", "bike_kg", 190.0))
    qtbot.waitUntil(there.is_set)
    qtbot.waitUntil(lambda: " sets ridden, about " in results.words.text())
    assert "s left. Best so far: " in results.words.text()
    # Meanwhile another set can be proposed, and is marked in the list that is still there.
    window.document.propose(replace(window.document.chosen, rear=45), "x")
    assert [row[1] for row in cells(results.table) if row[0].endswith("proposed")] == ["15/45"]
    assert not results.more.isVisible()
    qtbot.mouseClick(results.cancel, Qt.MouseButton.LeftButton)
    go_on.set()
    qtbot.waitUntil(lambda: lapped.ranker.ranking is not None)
    partial = lapped.ranker.ranking
    assert partial is not None
    assert 40 < len(partial.order) < partial.sets.ranked
    assert lapped.ranker.tied is None
    assert not lapped.ranker.busy
    assert len(cells(results.table)) == len(partial.order)
    assert lapped.advice.why.text().startswith("Ranked as entered.")
    assert f"Stopped: {len(partial.order)} of {partial.sets.ranked} sets are ranked" in results.notes.text()
    curve = lapped.drawn.plateau._proposed.getData()[0]
    assert len(curve) == len(partial.ratio_curve()[0])
    assert not results.cancel.isVisible()
    qtbot.mouseClick(results.more, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: lapped.ranker.tied is not None)
    assert lapped.ranker.ranking is not None
    assert lapped.ranker.ranking.whole
    assert not results.more.isVisible()


def test_quickest_on_this_circuit_is_a_wish_that_can_be_judged(
    window: Workbench, lapped: CircuitPage, qtbot: QtBot
) -> None:
    window.show_page("Choices")
    choices = window.choices_page
    choices.line.setText("quickest on this circuit; keep the chain")
    choices._said()
    qtbot.waitUntil(lambda: choices._answer is not None and not choices.lap_times.busy)
    assert choices._answer is not None
    assert not choices._answer.unjudged
    assert choices._answer.ranked[0].lap_s is not None
    assert "lap " in choices._answer.ranked[0].line


def test_weak_bikes_and_odd_circuits_are_shown(window: Workbench, lapped: CircuitPage, qtbot: QtBot) -> None:
    window.files.open_demo("Wren 125")
    steep = Circuit("Wall", (Section("straight", 900.0, 35.0), Section("corner", 20.0, apex_kmh=200.0)))
    window.document.edit_circuit("x", steep)
    ranked(lapped, qtbot)
    assert lapped.drawn.isVisible()
    assert lapped.sentence.text().startswith("The proposed set laps in ")
    load = replace(window.document.bike.load, bike_kg=1000, rider_kg=400)
    window.document.edit("heavy", replace(window.document.bike, load=load))
    ranked(lapped, qtbot)
    assert "cannot climb section 1" in lapped.sentence.text()


def test_doubts_are_the_users_to_change(lapped: CircuitPage, qtbot: QtBot) -> None:
    before, ranking = lapped.ranker.tied, lapped.ranker.ranking
    assert before is not None
    usual_s = lapped.ranges.doubts.shift_time_s
    assert f"shift time ±{usual_s:g} s" in lapped.results.words.text()
    assert lapped.ranges.worth["grip"].text().startswith("moves tied sets by up to ")
    lapped.tabs.setCurrentIndex(3)
    field = lapped.ranges.doubt_fields["shift_time_s"]
    field.setFocus()
    qtbot.keyClicks(field, "0,2")
    ranked(lapped, qtbot)
    after = lapped.ranker.tied
    assert after is not None
    assert len(after.tied) > len(before.tied)
    assert lapped.ranker.ranking is ranking
    lapped.tabs.setCurrentIndex(0)
    assert "shift time ±0.2 s" in lapped.results.words.text()
    field.selectAll()
    qtbot.keyClicks(field, "5")
    qtbot.keyClick(field, Qt.Key.Key_Return)
    assert field.problem
    assert lapped.ranges.doubts.shift_time_s == usual_s


def test_a_row_tells_what_is_judged_of_it(lapped: CircuitPage) -> None:
    model = lapped.results.table.model()
    chains = [row[8] for row in cells(lapped.results.table)]
    told = model.index(chains.index("none"), 1).data(Qt.ItemDataRole.ToolTipRole)
    assert told.startswith("does not fit: ")
    assert "chain's tensile strength" in model.index(0, 1).data(Qt.ItemDataRole.ToolTipRole)


def test_the_fitted_set_is_marked_among_the_others(lapped: CircuitPage) -> None:
    marked = [row for row in cells(lapped.results.table) if "fitted" in row[0]]
    assert [row[1] for row in marked] == ["15/46"]
    assert marked[0][4] == "±0"
    assert marked[0][0].endswith("proposed")


def test_the_gearbox_of_a_row_is_named_and_can_be_taken(window: Workbench, lapped: CircuitPage, qtbot: QtBot) -> None:
    first = lapped.ranker.ranking
    lapped.tabs.setCurrentIndex(3)
    lapped.ranges.options[2].setFocus()
    qtbot.keyClicks(lapped.ranges.options[2], "28/19")
    qtbot.waitUntil(lambda: "Gear 3: 28/19 (0.679) is not above gear 4's 1.250" in lapped.ranges.pair_errors.text())
    lapped.ranges.options[2].selectAll()
    qtbot.keyClicks(lapped.ranges.options[2], "19/28")
    qtbot.waitUntil(lambda: lapped.ranges.pair_errors.text() == "")
    qtbot.waitUntil(lambda: lapped.ranker.ranking is not None and lapped.ranker.ranking is not first)
    lapped.tabs.setCurrentIndex(0)
    table = lapped.results.table
    row = next(k for k, texts in enumerate(cells(table)) if texts[-1] == "gear 3 19/28")
    time, shifts = cells(table)[row][3], cells(table)[row][5]
    assert not lapped.results.take_box.isVisible()
    table.setCurrentIndex(table.model().index(row, 1))
    table.activated.emit(table.currentIndex())
    # The row's gears are proposed with it: row and page agree.
    assert (window.document.chosen.gears or ())[2] == (19, 28)
    proposed = lapped.asks.known()
    assert isinstance(proposed, LapView)
    assert computed_lap(proposed.row.time) == time == computed_lap(proposed.proposed.lap_time)
    assert str(proposed.row.up_shifts) == shifts
    assert f"laps in {time} with {shifts} up-shifts" in lapped.sentence.text()
    assert proposed.on_row is not None
    assert proposed.on_row.box[2] == pytest.approx(27 / 18)
    assert [k for k, texts in enumerate(cells(table)) if texts[0].endswith("proposed")] == [row]
    assert (evaluate(window.document.bike, window.document.chosen).gear_ratios or ())[2] == pytest.approx(28 / 19)
    assert "other gears" in window.bar.proposed_rest.text()
    assert lapped.results.take_box.text() == "Take into the bike: gear 3 19/28"
    qtbot.mouseClick(lapped.results.take_box, Qt.MouseButton.LeftButton)
    assert (window.document.bike.gearbox.gears or ())[2] == (19, 28)
    assert window.document.chosen.gears is None
    known = lapped.asks.known()
    assert isinstance(known, LapView)
    assert computed_lap(known.row.time) == time
    window.document.undo()
    assert (window.document.bike.gearbox.gears or ())[2] == (18, 27)


def test_the_plateau_shows_which_sets_are_tied(lapped: CircuitPage, qtbot: QtBot) -> None:
    ranking, tied, chart = lapped.ranker.ranking, lapped.ranker.tied, lapped.drawn.plateau
    assert ranking is not None
    assert tied is not None
    spans = tied_spans(ranking, tied)
    marked = {int(row) for row in ranking.order if any(a < ranking.sets.ratio[row] < b for a, b in spans)}
    same = np.isin(np.round(ranking.sets.ratio, 9), np.round(ranking.sets.ratio[tied.tied], 9))
    assert marked == {int(row) for row in ranking.order if same[row]}
    assert list(chart._band.opts["x0"]) == [a for a, _ in spans]
    one = ranking.sets.set_at(tied.chosen)
    assert chart._chosen_name.toPlainText().endswith(f" {one.front}/{one.rear}")


def test_the_plateau_is_not_pressed_flat_by_slow_sets(
    window: Workbench, circuit_page: CircuitPage, qtbot: QtBot
) -> None:
    window.circuits.open_demo("Heronfleet")
    ranked(circuit_page, qtbot)
    ranking, tied = circuit_page.ranker.ranking, circuit_page.ranker.tied
    assert ranking is not None
    assert tied is not None
    assert float(ranking.time.max() - ranking.time.min()) > 5
    top = circuit_page.drawn.plateau.getPlotItem().vb.viewRange()[1][1]
    assert top <= 2.5
    assert top >= float(ranking.time[tied.tied].max() - ranking.time.min())


def test_the_table_is_seen_with_its_notes_and_marks(lapped: CircuitPage, window: Workbench) -> None:
    window.resize(1280, 800)
    QApplication.processEvents()
    scroll = lapped.tabs.currentWidget()
    assert isinstance(scroll, QScrollArea)
    assert scroll.verticalScrollBar().maximum() == 0
    pins = [row[0] for row in cells(lapped.results.pins) if row[0]]
    assert {name for row in pins for name in row.split(", ")} - {"take", "least loss"} == {"proposed", "fitted"}
    assert lapped.results.notes.isVisible()
    assert lapped.results.table.horizontalScrollBar().maximum() == 0


def test_a_ranking_under_way_gives_way_to_what_comes_meanwhile(
    window: Workbench, lapped: CircuitPage, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    gears = [whole_ratio(gear) or 0.0 for gear in window.document.bike.gearbox.gears or ()]
    lapped.ranges._options = [(1.01 * ratio, 1.02 * ratio) for ratio in gears] + [()] * 2
    lapped.refresh()
    qtbot.waitUntil(lambda: lapped.ranker._work.busy)
    monkeypatch.setattr(window.files, "may_leave", lambda: True)
    for kilograms in (180.0, 181.0):
        window.document.edit("x", with_value(window.document.bike, "load", "bike_kg", kilograms))
    window.document.undo()
    window.document.redo()
    window.document.undo()
    window.files.open_demo("Wren 125")
    window.circuits.open_demo("Heronfleet")
    ranked(lapped, qtbot)
    ranking = lapped.ranker.ranking
    assert ranking is not None
    assert ranking.circuit.name == "Heronfleet"
    assert ranking.sets.bike == window.document.bike
    assert lapped.results.table.model().rowCount() > 0


def test_the_window_closes_while_sets_are_ranked(window: Workbench, lapped: CircuitPage, qtbot: QtBot) -> None:
    gears = [whole_ratio(gear) or 0.0 for gear in window.document.bike.gearbox.gears or ()]
    lapped.ranges._options = [(1.01 * ratio, 1.02 * ratio) for ratio in gears] + [()] * 2
    lapped.refresh()
    qtbot.waitUntil(lambda: lapped.ranker._work.busy)
    assert window.close()
    assert not lapped.ranker.busy


def test_another_stock_list_is_another_plateau(window: Workbench, lapped: CircuitPage, qtbot: QtBot) -> None:
    head, parts = "chain_size,side,teeth,quantity\n", ["520,front,16,2\n", "520,rear,46,2\n", "520,rear,47,2\n"]
    window.view.set_stock(list_of_text(head + "".join(parts)))
    assert lapped.results.boxes["stock"].isEnabled()
    lapped.results.boxes["stock"].click()
    ranked(lapped, qtbot)
    first = [row[1] for row in cells(lapped.results.table)]
    # 15/46 is fitted: nothing new is needed for it.
    assert set(first) == {"16/46", "16/47", "15/46", "15/47"}
    window.view.set_stock(list_of_text(head + parts[0]))
    ranked(lapped, qtbot)
    left = {row[1] for row in cells(lapped.results.table)}
    assert left == {"16/46", "15/46"}
    ranking, tied = lapped.ranker.ranking, lapped.ranker.tied
    assert ranking is not None
    assert tied is not None
    one = ranking.sets.set_at(tied.chosen)
    assert f"{one.front}/{one.rear}" in left


def test_the_next_sets_are_ridden_before_they_are_wanted(lapped: CircuitPage, qtbot: QtBot) -> None:
    lap_view.cache_clear()
    lapped.refresh()
    qtbot.waitUntil(lambda: lap_view.cache_info().currsize > 10)


def ridden(page: CircuitPage) -> LapRules:
    known = page.asks.known()
    assert isinstance(known, LapView)
    return known.ranking.rules


def test_winds_are_in_the_window_s_unit(window: Workbench, lapped: CircuitPage, qtbot: QtBot) -> None:
    lapped.tabs.setCurrentIndex(4)
    wind = lapped.rider.wind
    wind.setFocus()
    qtbot.keyClicks(wind, "16.1")
    assert ridden(lapped).wind == pytest.approx(16.1 * KMH)
    window.view.set_speed_unit("mph")
    assert wind.text() == "10"
    assert ridden(lapped).wind == pytest.approx(16.1 * KMH)
    wind.selectAll()
    qtbot.keyClicks(wind, "20")
    assert ridden(lapped).wind == pytest.approx(20 * MPH)
    wind.selectAll()
    qtbot.keyClicks(wind, "20 km/h")
    assert ridden(lapped).wind == pytest.approx(20 * KMH, rel=1e-5)
    ranked(lapped, qtbot)
