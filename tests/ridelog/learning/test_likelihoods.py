"""What is stated with 95 % holds in about 95 %, and what is called likely is as often so: over rides of outside
generators, whose teeth, tyres and speeds differ from the profile as those of real bikes might.

The same over 500 rides, by `python -m tests.ridelog.reliability`: the circumference lay in its range over all sets in
95.4 %, with the right set in that set's own in 96.1 %; of 159 sets stated with 80 % or more 22 were others, 20.2 being
what was stated (up to 29 in 95 % of draws). Over 500 roads with lean that nothing in the log tells: 94.5 %, 95.7 %, and
22 of 240 with 26.5 stated.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import binom, norm

from gearplan.bike.demo import demo_bike
from gearplan.bike.profile import Bike, with_value
from gearplan.ridelog.learning.gears import infer_gears
from gearplan.ridelog.learning.robust import quantiles
from gearplan.ridelog.log import RideLog
from gearplan.ridelog.telling.learned import as_numbers, learn
from gearplan.ridelog.telling.words import remarks
from tests.ridelog.circling import roamed
from tests.ridelog.invented import invent
from tests.ridelog.reliability import BIKES, Told, held, surely, table, told, told_unplaced

_RIDES = 80
_BIKES = (demo_bike("Corvid 1000").bike, demo_bike("Brindle 650").bike)


@pytest.fixture(scope="module")
def rides() -> list[Told]:
    return [told(seed) for seed in range(_RIDES)]


def usual(count: int, share: float) -> tuple[int, int]:
    """How many of so many that is in 99.8 % of all draws."""
    return int(binom.ppf(0.001, count, share)), int(binom.ppf(0.999, count, share))


def test_the_ranges_hold_the_truth_whatever_the_sprockets(rides: list[Told]) -> None:
    found = held(rides)
    assert found.all_sets[1] > 0.95 * _RIDES
    for true, of in (found.all_sets, found.own, found.overall):
        least, _ = usual(of, 0.95)
        assert true >= least
    # The range has to say something: within some per cent, not the tenth that the gears alone would leave.
    known = [one.gears.rolled for one in rides if one.gears is not None and one.gears.rolled is not None]
    assert np.median([rolled.high / rolled.low for rolled in known]) < 1.07
    # Without satellites' doubt a set's own range is narrow.
    narrow = [one.gears.teeth[0].rolled for one in rides if one.gears is not None and one.gears.by_satellite]
    assert np.median([rolled.high / rolled.low for rolled in narrow]) < 1.005


def test_what_is_stated_with_a_likelihood_is_so_often_true(rides: list[Told]) -> None:
    """The reliability table: of the sets with about the same stated likelihood, the share that was ridden."""
    rows = table(rides)
    for _, _, sets, mean, right in rows:
        least, most = usual(sets, mean)
        assert least - 1 <= right <= most + 1
    assert sum(right for *_, right in rows) == pytest.approx(sum(n * mean for _, _, n, mean, _ in rows), abs=20)
    sure, wrong, stated = surely(rides)
    assert sure > 0.1 * _RIDES
    assert wrong <= usual(sure, stated / sure)[1]


def unplaced_holds(rides: list[Told]) -> None:
    """Of leaned rides without positions: ratios, tyres and speeds are those of riding upright, in nearly all."""
    found = held(rides)
    assert found.all_sets[1] > 0.9 * len(rides)
    for true, of in (found.all_sets, found.own):
        assert true >= usual(of, 0.95)[0]
    off = []
    for one in rides:
        if one.gears is not None and one.gears.final_over_rolled is not None:
            off.append(abs(np.log(one.gears.final_over_rolled * one.truth.front / one.truth.rear * one.truth.rolls)))
    assert np.mean(np.array(off) < 5e-3) > 0.9
    shown = [one.shown / one.truth.shown for one in rides if one.shown is not None]
    assert len(shown) > 0.2 * len(rides)
    assert np.abs(np.log(shown)).max() < 5e-3
    sure, wrong, stated = surely(rides)
    assert sure > 0.1 * len(rides)
    assert wrong <= usual(sure, stated / sure)[1]


def test_lean_that_nothing_tells_is_kept_out_or_doubted() -> None:
    """What tells it is that bends make a gear, or the wheel against the satellites, shorter and never longer."""
    unplaced_holds([told_unplaced(seed) for seed in range(10)])


@pytest.mark.long
def test_lean_that_nothing_tells_is_kept_out_or_doubted_in_many_rides() -> None:
    rides = [told_unplaced(seed) for seed in range(20, 320)]
    unplaced_holds(rides)
    for _, _, sets, mean, right in table(rides):
        least, most = usual(sets, mean)
        assert least - 1 <= right <= most + 1


def test_a_ride_by_satellite_without_positions_on_another_bike_is_not_taken_for_this_one() -> None:
    """The lean that is allowed for must not let any gearbox be the profile's."""
    other = []
    for seed in range(8):
        log, _ = roamed(demo_bike(BIKES[seed // 2 % 2]).bike, seed, unplaced=True)
        other.append(learn(replace(log, road=None), demo_bike(BIKES[1 - seed // 2 % 2]).bike).gears)
    assert sum(one is not None and one.matched == "no" for one in other) >= 7


def test_one_ratio_that_may_be_a_bend_s_is_never_told_without_that_doubt() -> None:
    """Ridden upright or ridden evenly leaned all along: the same log."""
    corvid = _BIKES[0]
    log = plain(corvid, 1.0, (2, 3, 4, 5, 6), 16, 43, gps=True)
    alone = infer_gears(replace(log, road=None), corvid)
    lean_known = infer_gears(replace(log, road=None), corvid, straight=np.ones(len(log.time), bool))
    assert alone.rolled is not None
    assert lean_known.rolled is not None
    assert alone.most_likely is not None
    assert lean_known.most_likely is not None
    assert alone.most_likely.likelihood < lean_known.most_likely.likelihood
    # Leaned, it were a longer tyre or a longer set.
    assert alone.rolled.high > 1.003 * lean_known.rolled.high


def test_a_mixture_is_cut_where_scipy_cuts_it() -> None:
    chances, means, errors = np.array([0.2, 0.5, 0.3]), np.array([-0.05, 0.0, 0.03]), np.array([0.004, 0.01, 0.002])
    low, middle, high = quantiles(chances, means, errors, (0.025, 0.5, 0.975))
    for value, share in ((low, 0.025), (middle, 0.5), (high, 0.975)):
        assert float(np.dot(chances, norm.cdf(value, means, errors))) == pytest.approx(share, abs=1e-3)


def plain(bike: Bike, shown: float, gears: tuple[int, ...], front: int, rear: int, *, gps: bool = False) -> RideLog:
    """A ride of some minutes in some gears at even speeds, without any fault of a sensor."""
    rng = np.random.default_rng(5)
    _, truth = invent(bike, 0)
    rolls = (bike.tyre.rolling_circumference_mm or 0.0) / 1000
    speed = np.concatenate([np.full(600, v) for v in rng.uniform(15, 28, 8)])
    gear = np.concatenate([np.full(600, gears[i % len(gears)]) for i in range(8)])
    engine = np.array(truth.box)[gear - 1] * rear / front * 2 * np.pi / rolls * speed
    noise = rng.normal(0, 0.02, len(speed))
    time = 0.05 * np.arange(len(speed), dtype=float)
    road = np.asarray(speed * shown + noise, float)
    return RideLog("x", time, np.asarray(engine, float), road, np.asarray(speed + noise, float) if gps else None)


def test_a_speed_as_the_instrument_shows_it_is_no_other_sprocket() -> None:
    """7 % more by the profile's own figure: the profile's set comes first, but the speed is not called decided."""
    corvid = _BIKES[0]
    found = infer_gears(plain(corvid, 1.07, (2, 3, 4, 5, 6), 16, 43), corvid)
    assert found.most_likely is not None
    assert (found.most_likely.front, found.most_likely.rear) == (16, 43)
    assert found.indicated is not None
    assert found.indicated.low <= 1.07 <= found.indicated.high
    assert "speed" in found.undecided
    # The same ratios may be those of a shorter set and a true speed.
    assert found.rolled is not None
    true = infer_gears(plain(corvid, 1.07, (2, 3, 4, 5, 6), 16, 43, gps=True), corvid)
    assert true.by_satellite
    assert "speed" not in true.undecided
    assert true.most_likely is not None
    assert true.most_likely.likelihood > found.most_likely.likelihood


def test_one_gear_alone_does_not_decide_and_it_is_said_what_would() -> None:
    corvid = with_value(_BIKES[0], "speedometer", "indicated_over_true", None)
    log = plain(corvid, 1.0, (6,), 15, 43)
    learned = learn(log, corvid)
    assert learned.gears is not None
    assert "gear" in learned.gears.undecided or "sprockets" in learned.gears.undecided
    told = {remark.about: remark for remark in remarks(learned, corvid)}
    text = told["undecided"].text
    assert all(words in text for words in ("does not decide", "the error of the recorded speed"))
    assert all(words in text for words in ("count the teeth", "satellite", "wheel's turns"))
    assert told["undecided"].level == "check"
    answer = as_numbers(learned, tuple(told.values()))
    assert answer["undecided"] == list(learned.gears.undecided)
    assert answer["rolling_circumference_low_m"] < 1.978 < answer["rolling_circumference_high_m"]


def test_the_log_s_own_gear_column_names_a_gear_ridden_alone() -> None:
    corvid = _BIKES[0]
    log = plain(corvid, 1.0, (6,), 15, 43, gps=True)
    learned = learn(replace(log, gear=np.full(len(log.time), 6.0)), corvid)
    assert learned.gears is not None
    assert learned.gears.gears[0].number == 6
    assert "gear" not in learned.gears.undecided


def test_a_set_that_was_counted_settles_all_else() -> None:
    corvid = _BIKES[0]
    log = plain(corvid, 1.07, (2, 3, 4, 5, 6), 15, 45, gps=True)
    open_, counted = learn(log, corvid).gears, learn(log, corvid, counted=(15, 45)).gears
    assert open_ is not None
    assert counted is not None
    assert open_.rolled is not None
    assert counted.rolled is not None
    assert [(one.front, one.rear, one.likelihood) for one in counted.teeth] == [(15, 45, pytest.approx(1))]
    assert counted.rolled.low <= 1.978 <= counted.rolled.high
    assert counted.rolled.high / counted.rolled.low < open_.rolled.high / open_.rolled.low
    assert counted.undecided == ()
    for gear in counted.gears:
        assert gear.overall is not None
        assert gear.number is not None
    text = {remark.about: remark.text for remark in remarks(learn(log, corvid, counted=(15, 45)), corvid)}
    assert "15/45 as counted" in text["final drive"]
    assert "undecided" not in text
