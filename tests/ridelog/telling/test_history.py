"""The history of a bike's rides, against rides of a generator that shares no code with the program."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from gearplan.bike.demo import demo_bike
from gearplan.bike.files.bikefile import BikeFileError, bike_from_text, text_with
from gearplan.bike.profile import Bike
from gearplan.bike.work.rides import Ride
from gearplan.ridelog.log import RideLog
from gearplan.ridelog.telling.history import changes, entry_of, history_evidence, kept, story
from gearplan.ridelog.telling.learned import Learned, learn
from gearplan.ridelog.telling.words import remarks
from tests.ridelog.invented import Truth, quotient, stage, turning

BRINDLE = demo_bike("Brindle 650").bike
#: A tread from new to its end, over so many kilometres: common practice, no source.
TREAD_MM, LASTS_KM = 6.0, 9000.0
NEW_MM = 1955.0


def worn_to(km: float) -> float:
    """How far a tyre rolls (mm) whose tread goes evenly with the distance."""
    return NEW_MM - math.tau * TREAD_MM * km / LASTS_KM


@cache
def read(rolls: float, seed: int, front: int = 15, rear: int = 46, shown: float = 1.0, *, sky: bool = True) -> Learned:
    """A ride of some minutes on a set and a tyre (mm), read and told."""
    box = tuple(quotient(BRINDLE.gearbox.primary) * quotient(gear) for gear in BRINDLE.gearbox.gears or ())
    truth = Truth(front, rear, rolls / 1000, shown, 0.0, sky, box)
    rng = np.random.default_rng(seed)
    time, speed = stage(rng, 8.0, 32.0)
    engine = turning(rng, speed, truth, 10500 * math.tau / 60)
    some = slice(None, None, 5)
    noisy = speed + rng.normal(0, 0.05, len(speed))
    log = RideLog(
        "ride",
        time[some],
        engine=engine[some] + rng.normal(0, 1, len(time[some])),
        road=None if sky else np.maximum(noisy * shown, 0)[some],
        gps=noisy[some] if sky else None,
        rows=len(time[some]),
    )
    return learn(log, BRINDLE)


def entry(day: str, km: float | None, learned: Learned) -> Ride:
    found = entry_of(learned, day, km)
    assert isinstance(found, Ride)
    return found


def test_an_entry_holds_the_truth_in_its_range() -> None:
    ride = entry("2026-05-31", 1200.0, read(NEW_MM, 1))
    assert (ride.front, ride.rear) == (15, 46)
    assert ride.rolling_circumference_low_mm is not None
    assert ride.rolling_circumference_high_mm is not None
    assert ride.rolling_circumference_low_mm < NEW_MM < ride.rolling_circumference_high_mm
    assert ride.final_over_rolled_per_m == pytest.approx(46 / 15 / (NEW_MM / 1000), rel=2e-3)
    assert ride.speed_by == "satellites"


def test_slow_wear_is_told_against_the_new_tyre_and_a_new_one_at_once() -> None:
    distances = [0.0, 1500.0, 3000.0, 4500.0, 6000.0, 7500.0]
    rides = [entry(f"2026-0{at + 1}-10", km, read(worn_to(km), at)) for at, km in enumerate(distances)]
    rides.append(entry("2026-08-01", 8000.0, read(NEW_MM, 20)))
    told = changes(rides)
    # A sixth of the tread is 0.3 %: within what pressure and warmth do.
    assert told[0] == told[1] == ""
    for text, km in zip(told[3:6], distances[3:], strict=True):
        assert text.startswith("Since 2026-01-10 (0 km) the tyre rolls ")
        assert text.endswith(" less a turn, little by little: it wears.")
        share = float(text.split(" rolls ")[1].split(" ")[0])
        assert share == pytest.approx(100 * (1 - worn_to(km) / NEW_MM), abs=0.25)
    # The profile says another circumference than this tyre's end: so sprockets may be it, too.
    assert told[6].startswith("Against 2026-06-10 (7500 km) it is geared 1.6 % longer: other sprockets, or a tyre worn")
    counted = [replace(one, likelihood=1.0, front=15, rear=46) for one in rides]
    told_so = "Against 2026-06-10 (7500 km) the tyre rolls 1.6 % more a turn, with the same sprockets"
    assert changes(counted)[6] == f"{told_so}: a newer tyre or another."


def test_rides_alike_tell_no_change() -> None:
    rides = [entry(f"2026-05-{seed + 10}", None, read(NEW_MM, seed)) for seed in range(6)]
    assert set(changes(rides)) == {""}


@pytest.mark.parametrize(("front", "rear"), [(14, 46), (15, 49), (16, 44)])
def test_other_sprockets_are_told(front: int, rear: int) -> None:
    rides = [entry("2026-05-01", 100.0, read(NEW_MM, 1)), entry("2026-05-09", 900.0, read(NEW_MM, 2, front, rear))]
    text = changes(rides)[1]
    both = (rides[0].likelihood or 0) * (rides[1].likelihood or 0)
    if "Count the teeth" in text:
        assert min(one.likelihood or 0 for one in rides) < 0.8
    else:
        assert f"sprockets changed: {front}/{rear} instead of 15/46, {100 * both:.0f} % likely." in text
    counted = [replace(rides[0], likelihood=1.0), replace(rides[1], likelihood=1.0, front=front, rear=rear)]
    assert changes(counted)[1].startswith(
        f"Against 2026-05-01 (100 km) sprockets changed: {front}/{rear} instead of 15/46."
    )


def test_wear_in_steps_beyond_the_ranges_is_wear_all_the_same() -> None:
    rides = [
        entry(f"2026-0{at + 1}-10", km, read(worn_to(km), at)) for at, km in enumerate([0.0, 3000.0, 6000.0, 9000.0])
    ]
    for text in changes(rides)[1:]:
        assert text.startswith("Since 2026-01-10 (0 km) the tyre rolls ")
        assert text.endswith("it wears.")
    # Read as a whole, how far it has come is said once.
    assert story(rides) == (changes(rides)[3],)
    # A little more is a newer tyre: half a tooth behind would be twice as much.
    text = changes([rides[2], replace(rides[1], date="2026-09-01")])[1]
    assert "more a turn, too little for a tooth: a newer tyre or another." in text


def test_what_cannot_be_told_apart_is_said_so() -> None:
    first, then = (entry("2026-05-01", None, read(NEW_MM, 1)), entry("2026-05-02", None, read(0.978 * NEW_MM, 2)))
    text = changes([first, replace(then, likelihood=0.6)])[1]
    assert "shorter: other sprockets, or a tyre worn or changed. Count the teeth" in text
    # Known to be the same set: it is the tyre.
    same = changes([replace(first, likelihood=1.0), replace(then, likelihood=1.0, front=15, rear=46)])[1]
    assert "less a turn, with the same sprockets: worn, or another tyre." in same
    far = replace(then, likelihood=1.0, front=15, rear=46, final_over_rolled_per_m=1.06 * 46 / 15 / 1.955)
    assert "another tyre, as wear does not go so far" in changes([replace(first, likelihood=1.0), far])[1]


def test_an_instrument_that_always_errs_alike_hides_no_wear() -> None:
    """Its error is unknown, so the circumference is: but a change of it shows."""
    new = entry("2026-05-01", 0.0, read(NEW_MM, 1, shown=1.04, sky=False))
    worn = entry("2026-09-01", 8000.0, read(worn_to(8000), 2, shown=1.04, sky=False))
    assert new.speed_by == "instrument"
    text = changes([new, worn])[1]
    assert text
    assert "what the speed is measured by" in text or "sprockets changed" in text
    # Against the satellites the instrument's own range counts: too wide to tell.
    assert changes([new, entry("2026-05-02", 10.0, read(NEW_MM, 3))])[1] == ""


def test_the_same_ride_twice_and_a_falling_odometer_are_refused() -> None:
    first = entry("2026-05-01", 12400.0, read(NEW_MM, 1))
    one = kept(BRINDLE, first)
    assert isinstance(one, Bike)
    assert kept(one, replace(first, date="2026-06-01")) == "This ride is in the history already, on 2026-05-01."
    other = entry("2026-06-01", 11900.0, read(NEW_MM, 2))
    refused = kept(one, other)
    assert isinstance(refused, str)
    assert refused.startswith("The odometer was at 12400 km on 2026-05-01, so it cannot be at 11900 km on 2026-06-01.")
    earlier = kept(one, replace(other, date="2026-04-01"))
    assert isinstance(earlier, Bike)
    assert [ride.date for ride in earlier.rides] == ["2026-04-01", "2026-05-01"]
    assert isinstance(kept(one, replace(other, odometer_km=None)), Bike)


def test_the_history_is_kept_in_the_bike_s_file() -> None:
    one = kept(BRINDLE, entry("2026-05-01", 12400.0, read(NEW_MM, 1)))
    assert isinstance(one, Bike)
    two = kept(one, entry("2026-06-01", 13000.0, read(NEW_MM, 2)))
    assert isinstance(two, Bike)
    text = text_with(two, "# my own\n" + text_with(BRINDLE, ""))
    assert text.startswith("# my own\n")
    assert text.count("[[rides]]") == 2
    assert bike_from_text(text, "").bike == two
    assert bike_from_text(text_with(one, text), "").bike == one
    assert "[[rides]]" not in text_with(BRINDLE, text)


@pytest.mark.parametrize(
    ("text", "wrong"),
    [
        ("rides = 3", "must be headed [[rides]]"),
        ('[[rides]]\ndate = "31.5.2026"', "[[rides]] 1, date: “31.5.2026” is no date; write it like 2026-05-31"),
        ("[[rides]]\n[[rides]]\nodometer_km = -4", "[[rides]] 2, odometer_km: −4 km can't be right"),
    ],
)
def test_what_is_wrong_in_the_file_is_said(text: str, wrong: str) -> None:
    with pytest.raises(BikeFileError, match="rides") as refused:
        bike_from_text(f"format = 1\n{text}\n", "a file")
    assert wrong in str(refused.value)


def test_a_ride_is_held_against_those_that_are_kept() -> None:
    bike = kept(BRINDLE, entry("2026-05-01", 12400.0, read(NEW_MM, 1)))
    assert isinstance(bike, Bike)
    worn = read(0.985 * NEW_MM, 2)
    told = {remark.about: remark.text for remark in remarks(worn, bike)}
    assert told["history"].startswith("Against 2026-05-01 (12400 km) ")
    assert "history" not in {remark.about for remark in remarks(worn, BRINDLE)}
    # It is never held against itself.
    own = kept(bike, entry("2026-05-02", None, worn))
    assert isinstance(own, Bike)
    assert "history" not in {remark.about for remark in remarks(worn, own)}


def test_the_circumferences_stand_over_the_odometer_where_it_is_known() -> None:
    rides = [entry("2026-05-01", 12400.0, read(NEW_MM, 1)), entry("2026-06-01", 15000.0, read(NEW_MM, 2))]
    drawn = history_evidence(rides)
    assert drawn is not None
    assert drawn.x.tolist() == [12400, 15000]
    assert drawn.spans is not None
    assert (drawn.spans[0] < drawn.y).all()
    assert (drawn.y < drawn.spans[1]).all()
    without = history_evidence([rides[0], replace(rides[1], odometer_km=None)])
    assert without is not None
    assert without.x.tolist() == [1, 2]
    assert history_evidence([]) is None
    assert story([]) == changes([]) == ()
