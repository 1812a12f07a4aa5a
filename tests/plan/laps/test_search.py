"""A search tells how far it is and the best so far, and one that is stopped keeps what is ridden."""

from __future__ import annotations

import numpy as np
import pytest

from gearplan.bike.demo import demo_bike
from gearplan.bike.files.circuitfile import demo_circuit
from gearplan.plan.choices.space import default_space
from gearplan.plan.laps.ranking import LapRanking, rank_laps
from gearplan.plan.laps.search import Cancelled, SoFar
from gearplan.plan.laps.spread import plateau

BIKE = demo_bike().bike
CIRCUIT = demo_circuit("Heronfleet").circuit
SPACE = default_space(BIKE, fronts=(15, 17), rears=(40, 52))


@pytest.fixture
def in_parts(monkeypatch: pytest.MonkeyPatch) -> None:
    """So few sets as if there were many, in parts of ten and on one core."""
    for name, value in (("_DETAILED", 0), ("_PART", 10), ("cores", lambda: 1)):
        monkeypatch.setattr(f"gearplan.plan.laps.search.{name}", value)


def stopped(after: int) -> tuple[LapRanking, list[SoFar]]:
    told: list[SoFar] = []

    def watch(now: SoFar) -> bool:
        told.append(now)
        return now.done < after

    found = rank_laps(BIKE, CIRCUIT, SPACE, sofar=watch)
    assert isinstance(found, LapRanking)
    return found, told


@pytest.mark.usefixtures("in_parts")
def test_the_best_so_far_is_told_and_only_gets_quicker() -> None:
    whole, told = stopped(10**9)
    assert next(now.done for now in told) == 0
    assert told[-1].done == told[-1].of == whole.sets.count
    times = [now.time or 0.0 for now in told[1:]]
    assert times == sorted(times, reverse=True)
    assert told[-1].time == whole.time[whole.order[0]]
    assert told[-1].best == whole.order[0]


@pytest.mark.usefixtures("in_parts")
def test_a_search_that_is_stopped_keeps_what_is_ridden() -> None:
    every = rank_laps(BIKE, CIRCUIT, SPACE)
    assert isinstance(every, LapRanking)
    found, told = stopped(15)
    ridden = int(np.isfinite(found.time).sum())
    assert ridden == told[-1].done < found.sets.count
    assert not found.whole
    assert every.whole
    known = np.isfinite(found.time)
    assert (found.time[known] == every.time[known]).all()
    # In the same order as all of them, without those that were not ridden.
    assert found.order.tolist() == [k for k in every.order.tolist() if known[k]]
    # The fitted set is among the first, so that each gap is known.
    assert found.fitted_time == every.fitted_time
    assert found.fitted is not None
    best = found.best()
    assert len(best) == len(found.order)
    assert best[0].gap == pytest.approx(best[0].time - found.fitted.time)
    assert any(f"Stopped: {len(found.order)} of {found.sets.ranked} sets are ranked" in note for note in found.notes)
    assert not any("could not be computed" in note for note in found.notes)
    tied = plateau(found)
    assert tied is not None
    assert known[tied.chosen]
    assert known[tied.tied].all()


def test_few_sets_that_are_stopped_are_kept_too(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("gearplan.plan.laps.search._CHUNK", 10)
    found, told = stopped(15)
    assert len(found.order) == told[-1].done == 20
    assert found.row(int(found.order[0])).time == pytest.approx(told[-1].time)
    assert found.fitted is None


@pytest.mark.usefixtures("in_parts")
def test_stopped_before_anything_is_ridden_there_is_no_ranking() -> None:
    with pytest.raises(Cancelled):
        stopped(0)
