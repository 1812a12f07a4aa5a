"""The ranking on a circuit: each row is the set's own lap, ties are honest, and the rest goes on past trouble."""

from __future__ import annotations

import csv
import json
import re
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from gearplan.bike.circuit import Circuit, Section
from gearplan.bike.demo import demo_bike
from gearplan.bike.files.circuitfile import demo_circuit
from gearplan.bike.profile import Bike, with_value
from gearplan.bike.stock import Stock, StockItem
from gearplan.bike.text.units import KMH, MPH
from gearplan.drive.lap.lap import lap_times
from gearplan.drive.lap.tables import Tables
from gearplan.drive.lap.trace import lap_trace
from gearplan.drive.lap.travel import Travelled, travel
from gearplan.drive.motion.machines import Ints
from gearplan.plan.choices.candidates import candidates
from gearplan.plan.choices.search import search
from gearplan.plan.choices.space import Space, default_space
from gearplan.plan.choices.wishtext import parse_wishes
from gearplan.plan.driveset import DriveSet, fitted
from gearplan.plan.findings import Finding, worst
from gearplan.plan.laps.compare import gain_sentences, gained, section_gains
from gearplan.plan.laps.draws import NO_DOUBTS, Doubts
from gearplan.plan.laps.gearboxes import alternatives, pair_doubts, read_options
from gearplan.plan.laps.ranking import LapRanking, Wanted, lap_times_of, rank_laps
from gearplan.plan.laps.rides import NEAR_ENOUGH
from gearplan.plan.laps.search import Cancelled
from gearplan.plan.laps.sets import GearboxError
from gearplan.plan.laps.spread import advice, because, headline, plateau, reason
from gearplan.plan.laps.text import pinned, ranking_csv, ranking_text, ranking_values, tied_gaps
from gearplan.plan.laps.view import LapView, lap_sentence, lap_view
from gearplan.plan.pull.pull import pull
from gearplan.plan.set.evaluate import evaluate
from gearplan.sheet.circuit.content import circuit_sheet
from tests.reference.lapmotion import machines_of

BIKE = demo_bike().bike
CIRCUIT = demo_circuit("Marlpit Lane").circuit
SPACE = default_space(BIKE, fronts=(13, 18), rears=(36, 52))


def ranked(bike: Bike = BIKE, circuit: Circuit = CIRCUIT, space: Space = SPACE) -> LapRanking:
    found = rank_laps(bike, circuit, space)
    assert isinstance(found, LapRanking)
    return found


RANKING = ranked()


def test_every_pair_is_ranked_once_and_in_order_of_time() -> None:
    rows = RANKING.best()
    assert {(row.set.front, row.set.rear) for row in rows} == {(f, r) for f in range(13, 19) for r in range(36, 53)}
    assert len(rows) == 6 * 17
    times = [row.time for row in rows]
    assert times == sorted(times)
    assert RANKING.fitted is not None
    assert [row.gap for row in rows] == pytest.approx([row.time - RANKING.fitted.time for row in rows])


def test_a_row_is_the_lap_of_its_own_set_as_the_pull_has_it() -> None:
    for row in [*RANKING.best()[::17], RANKING.fitted]:
        assert row is not None
        if not row.fits:
            continue
        found = pull(BIKE, row.set)
        assert not isinstance(found, Finding)
        alone = machines_of(found.machine, found.road, friction=1.1, braking=9.0, crown=0.088)
        assert row.time == pytest.approx(float(lap_times(alone, CIRCUIT, RANKING.rules).time[0]), rel=1e-7)
        assert lap_trace(alone, CIRCUIT, RANKING.rules).lap_time == pytest.approx(row.time, rel=1e-7)
        assert RANKING.trace(row.index).lap_time == pytest.approx(row.time, rel=1e-12)


@pytest.mark.parametrize("broken", [{0}, set(range(500))], ids=["one set", "every set"])
def test_a_lap_that_could_not_be_computed_is_left_out(broken: set[int], monkeypatch: pytest.MonkeyPatch) -> None:
    def impossible(tables: Tables, q: Ints, s: Ints, *rest: Any) -> Travelled:
        done = travel(tables, q, s, *rest)
        return replace(done, time=np.where(np.isin(s, list(broken)), 0.0, done.time))

    monkeypatch.setattr("gearplan.drive.lap.sections.travel", impossible)
    ranking = ranked()
    count = min(len(broken), ranking.sets.count)
    assert {row.index for row in ranking.best()} == set(range(ranking.sets.ranked)) - broken
    assert any("could not be computed" in note and str(count) in note for note in ranking.notes)
    tied = plateau(ranking)
    assert (tied is None) == (count > 1)
    assert "nan" not in ranking_text(ranking, ranking.best(), tied)
    assert "NaN" not in json.dumps(ranking_values(ranking, ranking.best(), tied))
    ranking_csv(ranking, ranking.rows(), tied)
    lap_view.cache_clear()
    view = lap_view(BIKE, fitted(BIKE), CIRCUIT)
    lap_view.cache_clear()
    assert isinstance(view, Finding)
    assert "could not be computed" in view.text


def test_the_rule_for_speedometers_decides_nothing_on_a_circuit() -> None:
    road = [row for row in RANKING.best() if evaluate(BIKE, row.set).verdict == "check"]
    only = [
        row
        for row in road
        if {f.about for f in evaluate(BIKE, row.set).findings if f.level != "fits" and not f.aside} == {"speedometer"}
    ]
    assert only
    for row in RANKING.best():
        told = RANKING.findings(row.index)
        assert row.level == worst(told)
        assert {f.about for f in told} == {f.about for f in evaluate(BIKE, row.set).findings}
    for row in only:
        assert row.level == "fits"
        assert ranking_values(RANKING, (row,), None)["ranking"][0]["verdict"] == "fits"
        assert "speedometer" not in ranking_csv(RANKING, (row.index,), None)
    # A bike whose fitted set shows too little.
    off = with_value(BIKE, "speedometer", "indicated_over_true", 0.98)
    found = rank_laps(off, CIRCUIT, SPACE)
    assert isinstance(found, LapRanking)
    assert found.fitted is not None
    assert found.fitted.level == "fits"
    assert evaluate(off, fitted(off)).verdict == "check"


def test_fits_is_the_verdict_of_the_single_set() -> None:
    on = BIKE.final_drive
    for row in RANKING.best():
        if row.fits:
            assert all(f.level != "does not fit" or f.aside for f in RANKING.findings(row.index))
        if row.at_hand:
            assert row.set.links == on.links
    assert any(not row.fits for row in RANKING.best())
    assert any(row.at_hand for row in RANKING.best())


def test_filters_keep_what_they_say() -> None:
    hand = RANKING.best(wanted=Wanted(chain_at_hand=True))
    assert hand
    assert all(row.at_hand for row in hand)
    assert all(row.fits for row in RANKING.best(wanted=Wanted(fitting=True)))
    margin = RANKING.best(wanted=Wanted(margin=0.2))
    assert {row.index for row in margin} == {row.index for row in RANKING.best() if row.margin >= 0.2}
    shelf = Stock((StockItem("520", "front", 16, 1), StockItem("520", "rear", 46, 0), StockItem("520", "rear", 45, 2)))
    there = {(row.set.front, row.set.rear, row.set.links) for row in RANKING.best(wanted=Wanted(stock=shelf))}
    assert (16, 45, 112) in there
    assert (15, 45, 112) in there
    assert all(front in (15, 16) and rear in (45, 46) and links == 112 for front, rear, links in there)


def test_with_nothing_in_doubt_the_tie_is_what_lies_within_hundredths_of_a_second() -> None:
    found = plateau(RANKING, NO_DOUBTS)
    assert found is not None
    one = RANKING.row(found.chosen)
    assert one.fits
    assert found.draws == 1
    assert found.loss == pytest.approx(one.time - RANKING.time[RANKING.order[0]])
    assert set(found.tied) == {row.index for row in RANKING.best() if row.time < one.time + NEAR_ENOUGH}
    assert "with nothing in doubt" in advice(RANKING, found)
    assert plateau(RANKING, wanted=Wanted(margin=99.0)) is None


def test_the_shift_time_moves_the_middle_of_the_plateau() -> None:
    quick, slow = (ranked(with_value(BIKE, "engine", "shift_time_s", time)).best(1)[0].up_shifts for time in (0.0, 0.4))
    assert slow < quick


def test_the_curve_is_the_lower_envelope_of_the_sets() -> None:
    ratio, time = RANKING.ratio_curve()
    assert (np.diff(ratio) > 0).all()
    assert time.min() == RANKING.best(1)[0].time
    turns, other = RANKING.curve()
    assert len(turns) == len(other)
    assert other.min() == time.min()


def test_gains_by_section_add_up_to_the_gap_and_are_told_in_words() -> None:
    fitted, best = RANKING.fitted, RANKING.best(1)[0]
    assert fitted is not None
    gains = section_gains(RANKING, fitted, best)
    assert sum(g.gain for g in gains) == pytest.approx(fitted.time - best.time)
    distance, ahead = gained(RANKING.trace(fitted.index), RANKING.trace(best.index))
    assert ahead[0] == 0.0
    assert ahead[-1] == pytest.approx(fitted.time - best.time)
    assert distance[-1] == pytest.approx(CIRCUIT.length_m)
    told = gain_sentences(RANKING, fitted, best)
    assert told[0].startswith("The proposed set gains 0.")
    assert any("Section" in line for line in told[1:])
    assert gain_sentences(RANKING, fitted, fitted) == ("Both sets take the same time round the lap.",)


def test_gearboxes_take_part_and_progress_can_stop_it() -> None:
    gears = BIKE.gearbox.gears
    assert gears is not None
    pairs = [gear for gear in gears if isinstance(gear, tuple)]
    options = tuple(((a or 0, b or 0), (a or 0, (b or 0) + 1)) for a, b in pairs)
    narrow = default_space(BIKE, fronts=(15, 16), rears=(44, 46))
    seen: list[tuple[int, int]] = []

    def watch(done: int, total: int) -> bool:
        seen.append((done, total))
        return True

    found = rank_laps(BIKE, CIRCUIT, narrow, alternatives=options, progress=watch)
    assert isinstance(found, LapRanking)
    assert found.sets.ranked == 64 * 6
    assert seen[-1] == (385, 385)
    best = found.best(1)[0]
    own = replace(BIKE, gearbox=replace(BIKE.gearbox, gears=best.box))
    alone = rank_laps(own, CIRCUIT, Space((best.set.front or 0,), (best.set.rear or 0,), ("520",)))
    assert isinstance(alone, LapRanking)
    assert alone.best(1)[0].time == pytest.approx(best.time, rel=1e-9)
    with pytest.raises(Cancelled):
        rank_laps(BIKE, CIRCUIT, narrow, alternatives=options, progress=lambda _done, _total: False)
    with pytest.raises(GearboxError, match="each of the 6 gears"):
        rank_laps(BIKE, CIRCUIT, narrow, alternatives=options[:3])
    with pytest.raises(GearboxError, match="ratios fall"):
        rank_laps(BIKE, CIRCUIT, narrow, alternatives=tuple((1.0,) for _ in pairs))


@pytest.mark.parametrize(
    ("gear", "written", "told"),
    [
        (
            2,
            "33/17",
            "Gear 2: 33/17 (0.515) is not above gear 3's 1.500, so it is in no gearbox. Are driver and driven swapped? "
            "The driving gear comes first: 17/33.",
        ),
        (2, "13/32", "Gear 2: 13/32 (2.462) is not below gear 1's 2.462, so it is in no gearbox."),
        (3, "2.6", "Gear 3: 2.600 is not below gear 2's 1.875, so it is in no gearbox."),
        (6, "33/17", "Gear 6: 33/17 (0.515) is far from this gear's own 1.000."),
        (1, "10/40", "Gear 1: 10/40 (4.000) is far from this gear's own 2.462."),
    ],
)
def test_a_pair_that_can_hardly_be_meant_is_asked_about(gear: int, written: str, told: str) -> None:
    options = tuple(read_options(written) if k == gear else () for k in range(1, 7))
    assert pair_doubts(BIKE, options) == (told,)
    merged = alternatives(BIKE, options)
    assert pair_doubts(BIKE, merged) == (told,)
    found = rank_laps(BIKE, CIRCUIT, default_space(BIKE, fronts=(15, 15), rears=(46, 46)), alternatives=merged)
    assert isinstance(found, LapRanking)
    assert found.notes[0] == told


def test_pairs_between_their_neighbours_raise_no_question() -> None:
    assert pair_doubts(BIKE, ((), read_options("17/33; 16/31"), read_options("19/28"), (), (), (0.95,))) == ()
    assert pair_doubts(BIKE, None) == pair_doubts(Bike(), ((1.0,),)) == ()


def test_lap_times_serve_the_wish_for_the_quickest() -> None:
    found = candidates(BIKE, SPACE)
    laps = lap_times_of(BIKE, CIRCUIT, found)
    assert laps is not None
    best = search(BIKE, parse_wishes(("quickest on this circuit",))[0], SPACE, lap_times=laps)
    own = {(row.set.front, row.set.rear, row.set.links): row.time for row in RANKING.best()}
    for choice in best.ranked:
        key = (choice.set.front, choice.set.rear, choice.set.links)
        assert choice.lap_s is not None
        assert choice.lap_s == pytest.approx(own.get(key, choice.lap_s))
    assert min(choice.lap_s or 0 for choice in best.ranked) < 77.2
    assert laps.min() == pytest.approx(RANKING.best(1)[0].time, abs=0.05)
    assert lap_times_of(BIKE, Circuit(), found) is None


def test_what_is_missing_is_named_and_no_ranking_is_made_up() -> None:
    for section, key in (("engine", "torque"), ("load", "bike_kg"), ("gearbox", "gears")):
        found = rank_laps(with_value(BIKE, section, key, None), CIRCUIT, SPACE)
        assert isinstance(found, Finding)
        assert found.field == f"{section}.{key}"
    none = rank_laps(BIKE, Circuit(), SPACE)
    assert isinstance(none, Finding)
    assert "no sections" in none.text
    unfinished = rank_laps(BIKE, Circuit("", (Section("corner", 20),)), SPACE)
    assert isinstance(unfinished, Finding)
    assert "Section 1" in unfinished.text


def test_without_a_swingarm_or_a_fitted_set_the_ranking_still_stands() -> None:
    bare = with_value(BIKE, "chassis", "axle_range_mm", None)
    assert len(ranked(bare).best()) == 6 * 17
    nothing_on = replace(BIKE, final_drive=replace(BIKE.final_drive, front=None, rear=None))
    found = ranked(nothing_on)
    assert found.fitted is None
    assert all(row.gap is None for row in found.best())


def test_sets_that_cannot_climb_are_named_and_the_rest_goes_on() -> None:
    steep = Circuit("", (Section("corner", 30, apex_kmh=40), Section("straight", 200, gradient_percent=33)))
    weak = with_value(BIKE, "engine", "torque", ((2000, 9.0), (9000, 11.0)))
    found = ranked(weak, steep, default_space(BIKE, fronts=(10, 20), rears=(36, 60)))
    stuck = [row for row in found.best() if row.stuck]
    free = [row for row in found.best() if not row.stuck]
    assert stuck
    assert free
    assert stuck[0].stuck == (1,)
    assert "Section 2 is too steep" in ranking_text(found, found.best(3), None)


def test_text_json_and_csv_tell_the_same() -> None:
    rows = RANKING.best(5)
    values = ranking_values(RANKING, rows, plateau(RANKING))
    assert len(values["ranking"]) == 5
    first = values["ranking"][0]
    for key in ("front", "rear", "links", "lap_s", "gap_s", "up_shifts", "limiter_s", "fits", "apex", "straight"):
        assert key in first
        assert key in values["fitted"]
    assert [use["section"] for use in first["apex"]] == [n + 1 for n in CIRCUIT.corners]
    assert [use["section"] for use in first["straight"]] == [n + 1 for n in CIRCUIT.straights]
    assert all({"section", "gear", "rpm"} <= set(use) for use in first["apex"])
    assert all({"section", "peak_kmh", "gear", "rpm"} <= set(use) for use in first["straight"])
    text = ranking_text(RANKING, rows, plateau(RANKING))
    assert f"{first['front']}/{first['rear']}" in text
    assert "tied" in text
    lines = list(csv.reader(ranking_csv(RANKING, [row.index for row in rows], plateau(RANKING)).splitlines()))
    assert len(lines) == 6
    assert all(len(line) == len(lines[0]) for line in lines)
    assert lines[1][6] == f"{first['lap_s']:.3f}"
    assert ranking_csv(RANKING, (), None).count("\n") == 1
    place = lines[0].index("tied")
    assert [line[place] for line in lines[1:]] == ["yes" if row["tied"] else "no" for row in values["ranking"]]
    told = values["advice"]
    assert (told["front"], told["rear"]) == tuple(values["plateau"]["chosen"])
    assert told["reason"] in text
    assert told["leave"] is values["fitted"]["tied"]


def test_an_other_tyre_rolls_and_leans_by_its_own_size() -> None:
    space = default_space(BIKE, fronts=(15, 15), rears=(46, 46), tyres=("160/60-17",))
    rows = {row.set.tyre: row for row in ranked(space=space).best()}
    assert set(rows) == {None, "160/60-17"}
    alone = pull(BIKE, DriveSet(15, 46, rows["160/60-17"].set.links, "520", "160/60-17"))
    assert not isinstance(alone, Finding)
    made = machines_of(alone.machine, alone.road, friction=1.1, braking=9.0, crown=0.08)
    assert rows["160/60-17"].time == pytest.approx(float(lap_times(made, CIRCUIT, RANKING.rules).time[0]), rel=1e-7)


def test_a_gearbox_is_named_and_handed_out_as_it_was_entered() -> None:
    pair = (19, 28)
    own = tuple(gear for gear in BIKE.gearbox.gears or () if gear is not None)
    options = tuple((gear, pair) if k == 2 else (gear,) for k, gear in enumerate(own))
    found = rank_laps(BIKE, CIRCUIT, SPACE, alternatives=options)
    assert isinstance(found, LapRanking)
    others = [row for row in found.best() if found.sets.gearbox_at(row.index)]
    assert len(others) == found.sets.ranked / 2
    assert {row.besides for row in others} == {"gear 3 19/28"}
    assert found.sets.gearbox_at(others[0].index) == (*own[:2], pair, *own[3:])
    assert others[0].box[2] == pytest.approx(28 / 19)
    assert "gear 3 19/28" in ranking_text(found, tuple(others[:1]), None)
    assert "gear 3 19/28" in ranking_csv(found, [others[0].index], None)
    told = next(csv.DictReader(ranking_csv(found, [others[0].index], None).splitlines()))
    assert [told[f"gear_{n}"] for n in (1, 3)] == [f"{own[0][0]}/{own[0][1]}", "19/28"]  # type: ignore[index]


def test_the_table_holds_every_row_also_those_without_details(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("gearplan.plan.laps.search._DETAILED", 5)
    monkeypatch.setattr("gearplan.plan.laps.ranking._LISTED", 10)
    few = ranked()
    tied = plateau(RANKING)
    whole = list(csv.DictReader(ranking_csv(RANKING, RANKING.rows(), tied).splitlines()))
    found = list(csv.DictReader(ranking_csv(few, few.rows(), tied).splitlines()))
    assert len(found) == few.sets.ranked > 10
    details = [name for name in whole[0] if name.startswith("section") or name in ("apex_rpm_least", "top_speed_kmh")]
    for place, (row, same) in enumerate(zip(found, whole, strict=True)):
        assert all(row[name] == ("" if place >= 10 and name in details else same[name]) for name in same)


def test_each_set_says_what_is_judged_of_it() -> None:
    rows = RANKING.best()
    values = ranking_values(RANKING, rows, None)["ranking"]
    judged = [value for value in values if value["verdict"] != "fits"]
    assert judged
    for value in judged:
        assert value["verdict"] in {finding["level"] for finding in value["findings"]}
    lines = ranking_csv(RANKING, [row.index for row in rows], None).splitlines()
    refused = next(k for k, row in enumerate(rows) if row.level == "does not fit")
    assert (
        next(f.text for f in RANKING.findings(rows[refused].index) if f.level == "does not fit") in lines[refused + 1]
    )


def test_doubts_decide_what_is_tied() -> None:
    none = plateau(RANKING, NO_DOUBTS)
    usual, wide = plateau(RANKING), plateau(RANKING, Doubts(shift_time_s=0.3))
    assert none is not None
    assert usual is not None
    assert wide is not None
    assert len(none.tied) < min(len(usual.tied), len(wide.tied))
    assert none.worth == {}
    assert "shift time ±0.3 s" in wide.sentence
    narrow = plateau(RANKING, Doubts(shift_time_s=0.03))
    assert narrow is not None
    assert wide.worth["shift_time_s"] > 2 * narrow.worth["shift_time_s"]


def test_a_speed_that_reads_the_same_is_no_reason() -> None:
    on = RANKING.fitted
    assert on is not None
    for row in RANKING.best(40):
        for text in gain_sentences(RANKING, on, row, MPH, "mph"):
            assert "km/h" not in text
            for now, was in re.findall(r"(\d+) instead of (\d+) mph", text):
                assert now != was


def test_the_sentence_counts_leaned_up_shifts_as_such() -> None:
    seen = [lap_view(BIKE, row.set, CIRCUIT) for row in RANKING.best() if row.leaned_shifts][:3]
    assert seen
    for view in seen:
        assert isinstance(view, LapView)
        assert f"{view.row.leaned_shifts} up-shift" in lap_sentence(view)
        assert "leaned" in lap_sentence(view)


def test_the_page_names_the_set_to_take() -> None:
    tied, view = plateau(RANKING), lap_view(BIKE, DriveSet(14, 48, 112, "520"), CIRCUIT)
    assert tied is not None
    assert isinstance(view, LapView)
    sheet = circuit_sheet(BIKE, view.row.set, CIRCUIT, view, RANKING, tied, RANKING.best(), unit=KMH, unit_name="km/h")
    one = RANKING.sets.set_at(tied.chosen)
    assert sheet.headline == headline(RANKING, tied)
    assert sheet.plateau.startswith(because(RANKING, tied))
    # Whatever is quickest, these three are on the page, each once.
    first = {name: row[1] for row in sheet.rows[:3] for name in row[0].split(", ")}
    assert first[tied.word] == f"{one.front}/{one.rear}"
    assert first["proposed"] == "14/48"
    assert first["fitted"] == f"{BIKE.final_drive.front}/{BIKE.final_drive.rear}"
    assert len({row[1] for row in sheet.rows}) == len(sheet.rows)
    assert advice(RANKING, tied) in ranking_text(RANKING, RANKING.best(3), tied)
    alone = plateau(RANKING, NO_DOUBTS, Wanted(margin=float(RANKING.margin.max())))
    assert alone is not None
    assert list(alone.tied) == [alone.chosen]
    assert "they are tied" not in advice(RANKING, alone)


def test_the_sets_that_stay_in_sight_are_those_of_the_ranking() -> None:
    tied = plateau(RANKING)
    assert tied is not None
    on = RANKING.fitted
    assert on is not None
    rows = pinned(RANKING, tied, on, None)
    # The fitted set proposed is one row with both names, and no gap to itself.
    assert [row.names for row in rows if row.itself] == [("proposed", "fitted")]
    assert all(row.gap == pytest.approx(row.row.time - on.time) for row in rows)
    best = rows[0]
    assert best.row.index == tied.chosen
    assert tied.range is not None
    assert best.ends == tied.range.gap
    gaps = tied_gaps(RANKING, tied)
    assert gaps is not None
    every = [float(RANKING.time[k]) - on.time for k in tied.tied]
    assert gaps == (pytest.approx(min(every)), pytest.approx(max(every)))
    assert reason(RANKING, tied).lower().endswith(because(RANKING, tied).lower())


def test_the_page_shows_gear_pairs_and_says_where_corner_speeds_come_from() -> None:
    by_radius = replace(CIRCUIT, sections=tuple(replace(s, apex_kmh=None, radius_m=40.0) for s in CIRCUIT.sections))
    space = replace(SPACE, fronts=(15,), rears=(46, 47))
    boxes = alternatives(BIKE, ((), (), ((19, 28),), (), (), ()))
    found = rank_laps(BIKE, by_radius, space, alternatives=boxes)
    assert isinstance(found, LapRanking)
    view = lap_view(BIKE, DriveSet(15, 46, 112, "520"), by_radius)
    assert isinstance(view, LapView)
    rows = found.best()
    sheet = circuit_sheet(BIKE, view.row.set, by_radius, view, found, None, rows, unit=KMH, unit_name="km/h")
    assert sorted(sheet.besides) == sorted(row.besides for row in rows)
    assert "gear 3 19/28" in sheet.besides
    corners = len(by_radius.corners)
    assert sheet.notes.startswith(f"The speed of {corners} of {corners} corners follows from the radius entered")
    assert "follows from the radius" not in " ".join(RANKING.notes)


def test_a_motorcycle_too_weak_for_the_level_is_not_told_of_a_climb() -> None:
    weak = with_value(BIKE, "engine", "torque", ((1000.0, 0.5), (9000.0, 0.5)))
    flat = Circuit("Flat", (Section("straight", 300.0), Section("corner", 40.0, apex_kmh=50.0)))
    found = ranked(weak, flat)
    text = ranking_text(found, found.best(2), None)
    assert "Section 1: too little pull with every set." in text
    assert "steep" not in text
    view = lap_view(weak, found.best(1)[0].set, flat)
    assert isinstance(view, LapView)
    assert "pulls too little for section 1" in lap_sentence(view)


def test_the_tie_is_not_cut_where_only_the_quickest_are_listed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("gearplan.plan.laps.search._DETAILED", 50)
    monkeypatch.setattr("gearplan.plan.laps.search.cores", lambda: 1)
    monkeypatch.setattr("gearplan.plan.laps.ranking._LISTED", 20)
    short = ranked()
    assert len(short.best()) == 20
    assert "102 sets are ranked; the quickest 20 are listed. What is tied was looked for among all." in short.notes
    some, every = plateau(short), plateau(RANKING)
    assert some is not None
    assert every is not None
    assert len(some.tied) > 20
    assert set(some.tied) == set(every.tied)
    assert some.chosen == every.chosen
    assert not any("listed" in note for note in RANKING.notes)
