"""The range of a lap: 95 of 100 cases, the same from a ranking's ties and from the set alone, and how it is said."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import norm

from gearplan.bike.demo import demo_bike
from gearplan.bike.files.circuitfile import demo_circuit
from gearplan.bike.profile import with_value
from gearplan.plan.choices.space import default_space
from gearplan.plan.laps.draws import usual_doubts
from gearplan.plan.laps.ranges import LapRange, lap_range, range_sentence, range_values, ridden_range
from gearplan.plan.laps.ranking import LapRanking, rank_laps
from gearplan.plan.laps.spread import plateau
from gearplan.plan.laps.text import ranking_values
from gearplan.setup import doubt

BIKE = demo_bike("Corvid 1000").bike
CIRCUIT = demo_circuit("Cairn Brae hill climb").circuit


def test_a_range_holds_95_of_100_laps() -> None:
    laps = 70 + np.random.default_rng(1).normal(0, 1, 20_000)
    found = lap_range(laps, laps - 0.5)
    assert found is not None
    # The normal distribution's 1.96 standard deviations.
    assert found.lap == pytest.approx((68.04, 71.96), abs=0.05)
    assert found.gap == pytest.approx((0.5, 0.5))
    assert found.sure
    assert lap_range(np.array([70.0, np.inf]), None) is None


def test_the_advised_and_the_fitted_set_tell_their_range() -> None:
    ranking = rank_laps(BIKE, CIRCUIT, default_space(BIKE, fronts=(15, 16), rears=(42, 44)))
    assert isinstance(ranking, LapRanking)
    tied = plateau(ranking)
    assert tied is not None
    assert tied.range is not None
    assert tied.fitted is not None
    assert ridden_range(ranking, tied.chosen) == tied.range
    low, high = tied.range.lap
    assert low < ranking.time[tied.chosen] < high
    values = ranking_values(ranking, ranking.best(), tied)
    assert values["advice"]["doubt"]["lap_s"] == pytest.approx([low, high], abs=1e-4)
    assert values["advice"]["sure"] is tied.range.sure
    assert values["fitted"]["doubt"]["gap_s"] == [0, 0]
    # Rows that did not ride every case tell nearly the same as if they had.
    for row, told in zip(ranking.best(), values["ranking"], strict=True):
        if told["doubt"] is not None:
            low, high = ridden_range(ranking, row.index).lap  # type: ignore[union-attr]
            assert told["doubt"]["lap_s"] == pytest.approx([low, high], abs=0.12 * (high - low))
    assert sum(told["doubt"] is not None for told in values["ranking"]) >= len(tied.tied)


def test_as_many_laps_as_there_are_cases_hold_95_of_100_others() -> None:
    """Outside check: how often the range of 64 normal laps holds another one; by SciPy's distribution, no sampling."""
    random, inside = np.random.default_rng(2), []
    for _ in range(400):
        found = lap_range(random.normal(0, 1, 64), None)
        assert found is not None
        inside.append(norm.cdf(found.lap[1]) - norm.cdf(found.lap[0]))
    assert np.mean(inside) == pytest.approx(0.95, abs=0.008)


@pytest.mark.parametrize(
    ("gap", "told"),
    [
        ((0.1, 0.4), "0.10 to 0.40 s slower than the fitted one."),
        ((-0.4, -0.1), "0.10 to 0.40 s quicker than the fitted one."),
        ((-0.4, 0.1), "probably quicker than the fitted one: from 0.40 s quicker to 0.10 s slower."),
        ((-0.31, 0.3), "no more likely quicker than slower than the fitted one: from 0.31 s quicker to 0.30 s slower."),
        ((-0.1, 0.4), "probably slower than the fitted one: from 0.10 s quicker to 0.40 s slower."),
    ],
)
def test_what_hangs_on_doubt_is_probable(gap: tuple[float, float], told: str) -> None:
    found = LapRange((70.0, 72.0), gap)
    assert range_sentence(found, itself=False).endswith(told)
    assert range_values(found)["sure"] is ("probably" not in told and "likely" not in told)
    assert range_sentence(found, itself=True) == "In doubt: 1:10.0 to 1:12.0."
    assert range_sentence(None, itself=False) == ""


def test_the_doubts_of_a_lap_are_those_of_the_bike() -> None:
    usual = usual_doubts(BIKE)
    bike, rider = (doubt.half_range(BIKE, f"load.{key}") for key in ("bike_kg", "rider_kg"))
    assert usual.mass_kg == pytest.approx(float(np.hypot(bike, rider)), rel=0.05)
    assert usual.grip == pytest.approx(0.1 / (BIKE.tyre.grip or 1), rel=0.05)
    unknown = usual_doubts(with_value(BIKE, "tyre", "grip", None))
    assert unknown.grip == pytest.approx(0.25 / 1.1, rel=0.05)
    assert usual.wind_mps == doubt.WIND
