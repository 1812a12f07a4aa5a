"""The gears, sprockets and tyre that a ride tells, against the truth of the generator."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from gearplan.bike.demo import demo_bike
from gearplan.bike.library import demo_bikes
from gearplan.bike.profile import Bike, Gearbox, Tyre, with_value
from gearplan.bike.text.units import KMH, RPM
from gearplan.ridelog.demolog import Logger, demo_ride
from gearplan.ridelog.learning.coastdown import coast_downs
from gearplan.ridelog.learning.gears import infer_gears
from gearplan.ridelog.learning.ratios import FLOOR, find_ratios
from gearplan.ridelog.learning.speeds import compare_speeds
from gearplan.ridelog.learning.times import spent
from gearplan.ridelog.log import LogError, RideLog
from gearplan.ridelog.telling.learned import as_numbers, learn
from gearplan.ridelog.telling.words import remarks
from tests.ridelog.rides import BRINDLE, pulled, ride, truly

_SEEDS = 200


def told(log: RideLog, bike: Bike) -> dict[str, str]:
    return {remark.about: remark.text for remark in remarks(learn(log, bike), bike)}


def test_the_truth_lies_in_the_intervals_for_95_percent_of_200_rides() -> None:
    truth = truly(BRINDLE, rolls=0.008)
    machine = pulled(truth).machine
    ratio_in, ratios, rolled_in, right = 0, 0, 0, 0
    for seed in range(_SEEDS):
        found = infer_gears(ride(truth, seed, 3.0), BRINDLE)
        assert found.rolled is not None
        assert found.most_likely is not None
        right += (found.most_likely.front, found.most_likely.rear) == (15, 46)
        rolled_in += found.rolled.low <= 1.955 * 1.008 <= found.rolled.high
        for gear in found.gears:
            assert gear.number is not None
            k = machine.overall[gear.number - 1] / machine.radius
            ratios += 1
            ratio_in += gear.cluster.low <= k <= gear.cluster.high
    assert right == _SEEDS
    assert rolled_in >= 0.95 * _SEEDS
    assert ratio_in >= 0.95 * ratios
    assert ratios > 4.5 * _SEEDS


@pytest.mark.parametrize("name", list(demo_bikes()))
@pytest.mark.parametrize(("front", "rear", "rolls"), [(0, 0, 0.0), (-1, 1, 0.0), (1, 0, 0.0), (0, 0, -0.012)])
def test_what_is_really_fitted_is_said(name: str, front: int, rear: int, rolls: float) -> None:
    profile = demo_bike(name).bike
    truth = truly(profile, front, rear, rolls)
    log = ride(truth, 3, 4.0, Logger(gps=True))
    found = infer_gears(log, profile)
    assert found.matched == "yes"
    likely = found.most_likely
    assert likely is not None
    assert found.rolled is not None
    assert (likely.front, likely.rear) == (truth.final_drive.front, truth.final_drive.rear)
    assert sum(teeth.likelihood for teeth in found.teeth) <= 1 + 1e-9
    applied = found.rolled.applied(likely.applied(profile))
    assert applied.final_drive == truth.final_drive
    rolled, known = applied.tyre.rolling_circumference_mm, truth.tyre.rolling_circumference_mm
    assert rolled is not None
    assert known is not None
    assert rolled == pytest.approx(known, rel=2.5e-3)
    text = told(log, profile)["final drive"]
    assert ("looks like" in text) == ((front, rear) != (0, 0))
    # What was learned, once applied, agrees with the log.
    assert "agrees" in told(log, applied)["final drive"]


def test_the_share_of_time_in_each_gear_is_that_of_the_ride() -> None:
    known = pulled(BRINDLE)
    motion = demo_ride(known.machine, known.road, 4, minutes=4.0)
    found = infer_gears(ride(BRINDLE, 4), BRINDLE)
    for gear in found.gears:
        true = float(np.mean(motion.gear == gear.number))
        assert gear.share == pytest.approx(true, abs=0.02)
    times = spent(ride(BRINDLE, 4), found.ratios, BRINDLE)
    assert times.in_gear == pytest.approx(sum(gear.share for gear in found.gears), abs=1e-9)
    assert sum(band.share for band in times.bands) == pytest.approx(1)
    assert times.in_gear + times.between + times.standing == pytest.approx(1, abs=0.01)


@pytest.mark.parametrize("lag", [-0.1, 0.0, 0.05, 0.2])
def test_a_late_sensor_is_found_and_put_right(lag: float) -> None:
    machine = pulled(BRINDLE).machine
    found = find_ratios(ride(BRINDLE, 8, 6.0, Logger(lag=lag)))
    assert found.lag == pytest.approx(lag, abs=0.02)
    true = np.array(machine.overall) / machine.radius
    for cluster in found.clusters:
        assert np.abs(cluster.ratio / true - 1).min() < 3e-3


@pytest.mark.parametrize(
    ("logger", "within"),
    [
        (Logger(rate=1.0, lag=0.0), 6e-3),
        (Logger(rate=100.0), 2e-3),
        (Logger(rate=10.0, speed_step=1 * KMH, engine_step=50 * RPM), 4e-3),
        (Logger(speed_noise=1.0 * KMH, engine_noise=60 * RPM), 4e-3),
        (Logger(drop_outs=30), 2e-3),
    ],
)
def test_coarse_noisy_and_slow_logs_still_tell(logger: Logger, within: float) -> None:
    found = infer_gears(ride(BRINDLE, 2, 12.0, logger), BRINDLE)
    assert found.matched == "yes"
    assert found.rolled is not None
    assert found.rolled.circumference == pytest.approx(1.955, rel=within)


def test_another_unit_of_speed_is_asked_not_assumed() -> None:
    log = ride(BRINDLE, 3)
    assert log.road is not None
    for factor, unit in ((1 / 1.609344, "mph"), (1.609344, "km/h"), (1 / 3.6, "m/s")):
        other = replace(log, road=log.road * factor, road_unit="km/h")
        found = infer_gears(other, BRINDLE)
        assert found.unit_asked == unit
        assert learn(other, BRINDLE).coast is None
        assert found.rolled is None
        assert not found.teeth
        text = told(other, BRINDLE)["speed unit"]
        assert text.startswith(f"Is the road speed in {unit}?")


def test_another_bike_is_said() -> None:
    corvid = demo_bike("Corvid 1000").bike
    assert "another bike" in told(ride(BRINDLE, 3), corvid)
    assert "another bike" in told(ride(corvid, 4), BRINDLE)
    assert "another bike" not in told(ride(BRINDLE, 3), BRINDLE)


def test_a_profile_without_a_gearbox_gets_it() -> None:
    primary = BRINDLE.gearbox.primary
    bare = replace(BRINDLE, gearbox=Gearbox(primary=primary))
    found = infer_gears(ride(BRINDLE, 3), bare)
    assert found.matched == "unknown"
    assert found.gearbox is not None
    gears = found.gearbox.applied(bare).gearbox.gears
    assert gears is not None
    assert len(gears) == 6
    true = [32 / 13, 30 / 16, 27 / 18, 25 / 20, 24 / 22, 1.0]
    assert list(gears) == pytest.approx(true, rel=4e-3)


def test_a_gearbox_that_is_only_typical_is_not_held_against_a_ride() -> None:
    """Typical steps are not those of the bike: the ride tells its own, and is no other bike's."""
    counted = replace(BRINDLE, kind="naked", gearbox=Gearbox(primary=BRINDLE.gearbox.primary, count=6))
    found = infer_gears(ride(BRINDLE, 3), counted)
    assert found.matched == "unknown"
    assert "another bike" not in told(ride(BRINDLE, 3), counted)
    assert found.gearbox is not None
    assert list(found.gearbox.applied(counted).gearbox.gears or ()) == pytest.approx(
        [32 / 13, 30 / 16, 27 / 18, 25 / 20, 24 / 22, 1.0], rel=4e-3
    )


def test_without_tyre_or_sprockets_the_ratio_is_still_used() -> None:
    log = ride(BRINDLE, 3)
    no_tyre = replace(BRINDLE, tyre=Tyre())
    found = infer_gears(log, no_tyre)
    assert found.rolled is not None
    assert found.rolled.profile is None
    assert "no circumference yet" in told(log, no_tyre)["circumference"]
    no_teeth = replace(BRINDLE, final_drive=replace(BRINDLE.final_drive, front=None, rear=None))
    found = infer_gears(log, no_teeth)
    assert found.teeth
    assert found.teeth[0].rear / found.teeth[0].front == pytest.approx(46 / 15, rel=0.02)
    assert learn(log, Bike()).gears is not None


def test_satellites_tell_the_speedometer_the_growth_and_the_tyre() -> None:
    inside = {"quotient": 0, "growth": 0}
    for seed in range(24):
        log = ride(BRINDLE, seed, 5.0, Logger(gps=True, shown_over_true=1.06, growth=4e-6))
        speeds = compare_speeds(log)
        assert speeds is not None
        true = 1.06 / (1 + 4e-6 * speeds.at**2)
        inside["quotient"] += speeds.low <= true <= speeds.high
        # To first order in the growth, as the fit has it.
        inside["growth"] += speeds.growth_low <= 4e-6 <= speeds.growth_high
    assert min(inside.values()) >= 0.9 * 24
    found = infer_gears(log, BRINDLE)
    assert found.by_satellite
    assert found.rolled is not None
    # The bike rolls without growth in this demo: only the instrument knows of one.
    assert found.rolled.circumference == pytest.approx(1.955, rel=4e-3)
    assert speeds is not None
    applied = speeds.growth_applied(speeds.applied(BRINDLE))
    assert applied.speedometer.indicated_over_true == pytest.approx(1.06, abs=5e-3)
    assert applied.tyre.growth_per_mps2 == pytest.approx(4e-6, rel=0.3)


def test_coast_downs_give_the_road_load_within_its_interval() -> None:
    drag = rolling = runs = 0
    for seed in range(18):
        log = ride(BRINDLE, seed, 8.0, Logger(gps=True))
        coast = coast_downs(log, find_ratios(log), BRINDLE)
        if coast is None:
            continue
        runs += 1
        drag += coast.drag_low <= 0.40 <= coast.drag_high
        rolling += coast.rolling_low <= 0.018 <= coast.rolling_high
    assert runs > 12
    assert drag >= 0.9 * runs
    assert rolling >= 0.9 * runs


def test_the_limiter_is_counted() -> None:
    time = np.arange(0, 60, 0.05)
    engine = np.where((time > 20) & (time < 21) | (time > 40) & (time < 40.5), 10790.0, 6000.0) * RPM
    log = RideLog("x", time, engine=engine, road=engine / 25)
    times = spent(log, find_ratios(log), BRINDLE)
    assert [round(hit.at) for hit in times.hits] == [20, 40]
    assert [hit.duration for hit in times.hits] == pytest.approx([1.0, 0.5], abs=0.06)
    assert any("reached 2 times, together 1.4 s" in r.text for r in remarks(learn(log, BRINDLE), BRINDLE))
    once = log.rows_where(log.time < 30)
    assert any("was reached once, for " in r.text for r in remarks(learn(once, BRINDLE), BRINDLE))


def test_without_a_time_nothing_is_told_in_seconds() -> None:
    count = np.arange(1200.0)
    engine = np.where(count < 100, 10790.0, 6000.0) * RPM
    log = RideLog("x", count, engine=engine, road=engine / 25, timed=False)
    told = " ".join(r.text for r in remarks(learn(log, BRINDLE), BRINDLE))
    assert "of the time in gear" in told
    assert "limiter" not in told


@pytest.mark.parametrize(
    ("engine", "road", "words"),
    [
        (0.0, 20.0, "Engine speed is zero"),
        (500.0, 0.0, "Road speed is zero"),
        (500.0, 0.5, "hardly moves"),
        (math.nan, 20.0, "Engine speed is zero or missing"),
    ],
)
def test_what_tells_nothing_is_said(engine: float, road: float, words: str) -> None:
    time = np.arange(0, 60, 0.1)
    log = RideLog("x", time, engine=np.full(600, engine), road=np.full(600, road))
    with pytest.raises(LogError, match=words):
        find_ratios(log)
    learned = learn(log, BRINDLE)
    assert words in learned.lacking
    assert as_numbers(learned, remarks(learned, BRINDLE))["gears"] == []


def test_noise_alone_and_no_engine_speed_are_refused() -> None:
    rng = np.random.default_rng(1)
    time = np.arange(0, 300, 0.1)
    log = RideLog("x", time, engine=rng.uniform(200, 900, 3000), road=rng.uniform(5, 40, 3000))
    with pytest.raises(LogError, match=r"No gear|never keep"):
        find_ratios(log)
    with pytest.raises(LogError, match="no engine speed"):
        find_ratios(replace(log, engine=None))


def test_a_sensor_at_the_output_shaft_is_pointed_out() -> None:
    shaft = with_value(BRINDLE, "speedometer", "sensor", "output shaft")
    assert "output shaft" in told(ride(BRINDLE, 3), shaft)["speed sensor"]
    wheel = with_value(BRINDLE, "speedometer", "sensor", "front wheel")
    assert "speed sensor" not in told(ride(BRINDLE, 3), wheel)


def test_a_speed_that_comes_rarer_than_the_engine_s_still_tells_the_times() -> None:
    log = ride(BRINDLE, 4, 12.0, Logger(rate=50))
    assert log.road is not None
    rare = np.where(np.arange(log.used_rows) % 5 == 0, log.road, np.nan)
    whole, found = infer_gears(log, BRINDLE), infer_gears(replace(log, road=rare), BRINDLE)
    assert [gear.share for gear in found.gears] == pytest.approx([gear.share for gear in whole.gears], abs=0.03)
    assert found.rolled is not None
    assert found.rolled.circumference == pytest.approx(1.955, rel=3e-3)
    # Engine and road speed in turns, never in one row.
    assert log.engine is not None
    turns = replace(
        log,
        road=np.where(np.arange(log.used_rows) % 2 == 0, log.road, np.nan),
        engine=np.where(np.arange(log.used_rows) % 2 == 1, log.engine, np.nan),
    )
    assert infer_gears(turns, BRINDLE).matched == "yes"


def test_the_log_s_own_gear_column_names_gears_and_is_held_against_the_ratios() -> None:
    log = ride(BRINDLE, 3)
    assert log.gear is not None
    bare = infer_gears(log, Bike())
    assert [gear.number for gear in bare.gears] == [1, 2, 3, 4, 5, 6]
    assert "gear column" not in told(log, BRINDLE)
    shifted = replace(log, gear=np.where(log.gear > 0, log.gear + 1, 0.0))
    assert "2 where the ratio is that of 1" in told(shifted, BRINDLE)["gear column"]
    # A log that never saw first gear is no gearbox to take over.
    no_box = replace(BRINDLE, gearbox=Gearbox(primary=BRINDLE.gearbox.primary))
    assert infer_gears(shifted, no_box).gearbox is None
    assert infer_gears(replace(log, gear=None), Bike()).gears[0].number is None


def test_some_of_many_dense_rows_tell_what_all_tell(monkeypatch: pytest.MonkeyPatch) -> None:
    log = ride(BRINDLE, 21, 4.0, Logger(rate=100, gps=True))
    assert log.every(len(log.time)) == 1
    all_rows = infer_gears(log, BRINDLE, compare_speeds(log))
    monkeypatch.setattr("gearplan.ridelog.log._MANY", 5000)
    assert log.every(len(log.time)) == 4
    some = infer_gears(log, BRINDLE, compare_speeds(log))
    assert len(some.ratios.which) == len(log.time)
    assert (some.ratios.which == all_rows.ratios.which).mean() > 0.98
    for one, other in zip(all_rows.gears, some.gears, strict=True):
        assert other.number == one.number
        assert other.cluster.ratio == pytest.approx(one.cluster.ratio, rel=FLOOR)
        assert other.share == pytest.approx(one.share, abs=0.005)
    assert some.scale == pytest.approx(all_rows.scale, rel=FLOOR)
    assert some.ratios.lag == pytest.approx(all_rows.ratios.lag, abs=0.005)
