"""One set for several circuits, a wet track, and starting from the book."""

from __future__ import annotations

import datetime
import math
from dataclasses import replace

import numpy as np
import pytest

from gearplan.bike.book import BookEntry
from gearplan.bike.circuit import Circuit, Section
from gearplan.bike.demo import demo_bike
from gearplan.bike.files.circuitfile import demo_circuit
from gearplan.bike.library import demo_circuits
from gearplan.bike.rider import Rider
from gearplan.drive.lap.lap import lap_times
from gearplan.plan.choices.space import default_space
from gearplan.plan.findings import Finding
from gearplan.plan.laps.draws import NO_DOUBTS, draws, usual_doubts
from gearplan.plan.laps.ranking import LapRanking, rank_laps
from gearplan.plan.laps.sets import machines
from gearplan.plan.laps.spread import advised, plateau
from gearplan.plan.season.series import Season, rank_season
from gearplan.plan.season.start import start_from
from gearplan.plan.season.text import season_heads, season_reason, season_row, season_text, season_values
from gearplan.plan.season.wet import USUAL_WET, wet

BIKE = demo_bike().bike
CIRCUITS = tuple(demo_circuit(name).circuit for name in list(demo_circuits())[:2])
SPACE = default_space(BIKE, fronts=(15, 16), rears=(42, 47))


def _season(**changes: object) -> Season:
    found = rank_season(BIKE, CIRCUITS, SPACE, **changes)  # type: ignore[arg-type]
    assert isinstance(found, Season)
    return found


def test_losses_are_those_of_each_circuits_own_ranking_and_the_least_total_is_first() -> None:
    season = _season(doubts=NO_DOUBTS)
    for circuit, loss in zip(CIRCUITS, season.loss, strict=True):
        own = rank_laps(BIKE, circuit, SPACE)
        assert isinstance(own, LapRanking)
        ranked = own.sets.ranked
        np.testing.assert_allclose(loss[:ranked], own.time[:ranked] - own.time[:ranked].min(), atol=1e-9)
    totals = season.total[season.order]
    assert (np.diff(totals) > -1e-6).all()
    assert season.total[season.chosen] <= totals[0] + 0.01 + 1e-9
    assert season.chosen in season.tied
    payer = season.payer(season.chosen)
    assert season.loss[payer, season.chosen] == season.loss[:, season.chosen].max()


def test_the_chosen_set_loses_least_at_its_worst_when_every_set_rides_every_draw() -> None:
    wide = replace(SPACE, fronts=(12, 15, 18), rears=tuple(range(32, 60, 3)))
    season = rank_season(BIKE, CIRCUITS, wide)
    assert isinstance(season, Season)
    drawn = draws(usual_doubts(BIKE).of(season.rankings[0].rules))
    sets = season.rankings[0].sets
    mass = machines(sets, np.array([0])).mass
    total = np.zeros((drawn.count, sets.count))
    draw, row = (axis.ravel() for axis in np.indices(total.shape))
    for ranking in season.rankings:
        made = machines(sets, row, varied=drawn.varied(draw, mass))
        time = lap_times(made, ranking.circuit, ranking.rules).time.reshape(total.shape)
        total += time - time.min(axis=1, keepdims=True)
    worst = np.sort(total, axis=0)[-drawn.twentieth]
    able = season.order
    assert worst[season.chosen] <= worst[able].min() + 0.01 + 1e-9
    # The quickest of a draw may be one of those left out, so what is told may be a little less.
    assert 0.75 * worst[season.chosen] <= season.worst[season.chosen] <= worst[season.chosen] + 1e-9
    quicker = (total < total[:, [season.chosen]] + 0.04).sum(axis=0) >= drawn.twentieth
    assert set(season.tied) == set(np.nonzero(quicker)[0]) & set(able)
    assert season.leave == bool(quicker[-1])


def test_the_season_is_told_in_words_and_values() -> None:
    season = _season()
    text, values = season_text(season), season_values(season)
    assert CIRCUITS[0].name in text
    assert season_reason(season) in text
    assert values["circuits"] == [circuit.name for circuit in CIRCUITS]
    first = values["ranking"][0]
    assert sum(first["loss_s"]) == pytest.approx(first["total_loss_s"], abs=2e-5)
    assert values["advice"]["pays"] in values["circuits"]
    assert values["advice"]["tied"] is True


def test_the_table_of_a_season_adds_up_and_holds_the_sets_that_matter() -> None:
    season = _season()
    rows = season.listed(2)
    assert {season.chosen, season.fitted} <= set(rows)
    heads = season_heads([circuit.name for circuit in CIRCUITS])
    for row in rows:
        cells = season_row(season, row)
        assert len(cells) == len(heads)
        assert sum(map(float, cells[4:])) == pytest.approx(float(cells[3]), abs=0.011)
        assert float(cells[3]) == pytest.approx(float(season.total[row]), abs=0.005)
    take = season_row(season, season.chosen)[0]
    assert take.startswith("least loss" if season.leave else "take")
    assert season.fitted is not None
    assert "fitted" in season_row(season, season.fitted)[0]


def test_what_a_circuit_lacks_is_said_with_its_name() -> None:
    corner = Circuit("Half Done", (Section("corner", 50.0),))
    found = rank_season(BIKE, (CIRCUITS[0], corner), SPACE)
    assert isinstance(found, Finding)
    assert found.text.startswith("Half Done: Section 1")


def test_a_wet_track_takes_one_factor_off_everything_that_grip_decides() -> None:
    circuit = Circuit(
        "x",
        (
            Section("straight", 300.0),
            Section("corner", 60.0, apex_kmh=90.0, radius_m=40.0),
            Section("corner", 60.0, radius_m=40.0, grip=1.0),
            Section("corner", 60.0, radius_m=40.0, lean_deg=45.0),
        ),
    )
    rainy = wet(BIKE, circuit, 0.64)
    dry_grip = BIKE.tyre.grip
    assert dry_grip is not None
    assert rainy.bike.tyre.grip == pytest.approx(0.64 * dry_grip)
    straight, entered, grip, lean = rainy.circuit.sections
    assert straight == circuit.sections[0]
    # v² = μ·g·r: 0.64 of the grip is 0.8 of the speed.
    assert entered.apex_kmh == pytest.approx(72.0)
    assert grip.grip == pytest.approx(0.64)
    assert math.tan(math.radians(lean.lean_deg or 0)) == pytest.approx(0.64)
    assert "0.64 of that in the dry (as given)" in rainy.told
    # A rider's own braking stands in place of the bike's, so it must become wet too.
    braked = wet(BIKE, replace(circuit, riders=(Rider(braking_mps2=9.0), Rider())), 0.64).circuit
    assert [rider.braking_mps2 for rider in braked.riders] == [pytest.approx(5.76), None]
    usual = wet(BIKE, circuit)
    assert usual.bike.tyre.grip == pytest.approx(USUAL_WET * dry_grip)
    assert "common practice, no source; give your own" in usual.told
    assert replace(wet(BIKE, circuit, 1.0).circuit) == circuit


def test_advice_starts_from_the_nearest_outing_and_says_how_its_set_does_today() -> None:
    ranking = rank_laps(BIKE, CIRCUITS[0], SPACE)
    assert isinstance(ranking, LapRanking)
    tied = plateau(ranking)
    assert tied is not None
    day = datetime.date(2025, 6, 8)
    name = CIRCUITS[0].name
    slow = BookEntry(day, circuit=name, front=15, rear=47, temperature_c=24.0)
    start = start_from((slow,), BookEntry(circuit=name, temperature_c=30.0), ranking, tied)
    assert start is not None
    row = next(r for r in ranking.best() if (r.set.front, r.set.rear) == (15, 47))
    assert start.time == row.time
    assert "Today differs: 6 °C warmer." in start.text
    one = ranking.sets.set_at(advised(ranking, tied))
    best = start_from((replace(slow, front=one.front, rear=one.rear),), BookEntry(circuit=name), ranking, tied)
    assert best is not None
    assert ("what is fitted: leave it" if tied.leave else "still the one to take") in best.text
    # A tied one does as well, in the words of the advice.
    other = next(ranking.sets.set_at(int(row)) for row in tied.tied if ranking.sets.rear[row] != one.rear)
    tie = start_from((replace(slow, front=other.front, rear=other.rear),), BookEntry(circuit=name), ranking, tied)
    assert tie is not None
    assert f"is tied with {one.front}/{one.rear}: it does as well" in tie.text
    # A set that is not among those ranked is ridden for itself.
    outside = start_from((replace(slow, front=13, rear=40),), BookEntry(circuit=name), ranking, tied)
    assert outside is not None
    assert outside.time is not None
    assert start_from((replace(slow, rear=None),), BookEntry(circuit=name), ranking, tied) is None
