"""What is to be timed, in the words that people use, and what is wrong with words that cannot be timed."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gearplan.bike.demo import demo_bike
from gearplan.bike.profile import with_value
from gearplan.bike.text.units import KMH, MPH, RPM
from gearplan.plan.driveset import fitted
from gearplan.plan.findings import Finding
from gearplan.plan.pull.asked import AskedError, read_roll_ons, read_slopes, read_speeds, read_sprints
from gearplan.plan.pull.pull import Pull, counter_factor, pull
from gearplan.plan.pull.shifts import habit, habit_sentence
from gearplan.plan.pull.table import roll_on_rows, sprint_rows
from gearplan.plan.pull.words import drag_sentence, pull_sentence
from gearplan.plan.set.evaluate import evaluate
from gearplan.plan.set.speedometer import speedometer_factor
from gearplan.plan.words import Speed


def test_sprints_in_several_spellings() -> None:
    found = read_sprints("0-100; 0 to 60 mph, 400 m; 1/4 mile; quarter mile; 60–100; 1 km")
    assert [(s.start, s.end, s.distance) for s in found] == [
        (0, pytest.approx(100 * KMH), None),
        (0, pytest.approx(60 * MPH), None),
        (0, None, 400),
        (0, None, pytest.approx(402.336)),
        (0, None, pytest.approx(402.336)),
        (pytest.approx(60 * KMH), pytest.approx(100 * KMH), None),
        (0, None, 1000),
    ]


def test_bare_numbers_follow_the_shown_unit() -> None:
    assert read_speeds("30; 100 km/h", "mph") == (Speed(30.0, "mph"), Speed(100.0))
    assert read_roll_ons("50-75", "mph")[0].end == pytest.approx(75 * MPH)


@pytest.mark.parametrize(
    ("read", "text", "told"),
    [
        (read_sprints, "", "nothing is asked for"),
        (read_sprints, "fast", "“fast” is not understood"),
        (read_sprints, "100–50", "lower speed first"),
        (read_sprints, "0–900", "can't be right"),
        (read_sprints, "3 m", "no distance for a sprint"),
        (read_sprints, ";".join(f"0–{k}" for k in range(20, 40)), "too many"),
        (read_roll_ons, "0–100", "begins at standstill"),
        (read_slopes, "45", "too steep"),
        (read_speeds, "ten", "is not a speed"),
    ],
)
def test_what_cannot_be_timed_is_named(read: object, text: str, told: str) -> None:
    with pytest.raises(AskedError, match=told):
        read(text)  # type: ignore[operator]


@given(st.text(max_size=40))
def test_any_text_is_read_or_refused(text: str) -> None:
    for read in (read_sprints, read_roll_ons, read_slopes, read_speeds):
        try:
            assert read(text)
        except AskedError as refused:
            assert str(refused)


def test_a_sprint_of_ones_own_is_between_its_neighbours() -> None:
    bike = demo_bike().bike
    known = pull(bike, fitted(bike))
    assert not isinstance(known, Finding)
    rows = sprint_rows(known, None, read_sprints("0–80; 0–90; 0–100"))
    times = [row.before for row in rows[:3]]
    assert times == sorted(times)  # type: ignore[type-var]
    assert all(row.after is None for row in rows)


def test_a_speed_close_below_the_highest_is_called_hardly_reached() -> None:
    """The Wren 125 with 15/38 goes 100.4 km/h by drag; as fitted it is well above 90."""
    bike = demo_bike("Wren 125").bike
    tall = pull(bike, replace(fitted(bike), front=15, rear=38))
    on = pull(bike, fitted(bike))
    assert not isinstance(tall, Finding)
    assert not isinstance(on, Finding)
    names = [row.name for row in sprint_rows(None, tall, read_sprints("0–80; 0–100; 400 m"))]
    assert names == ["0–80 km/h", "0–100 km/h, hardly reached as proposed", "400 m", "Top speed"]
    both = sprint_rows(tall, tall, read_sprints("0–100"))
    assert both[0].name == "0–100 km/h, hardly reached"
    assert sprint_rows(on, tall, read_sprints("0–90"))[0].name == "0–90 km/h"
    in_gear = roll_on_rows(tall, None, read_roll_ons("60–80"))
    assert any(row.name.endswith("hardly reached as fitted") or row.before is None for row in in_gear)


def test_shifting_early_costs_time_and_says_so() -> None:
    bike = demo_bike().bike
    known = pull(bike, fitted(bike))
    assert not isinstance(known, Finding)
    free, early = habit(known, None), habit(known, 7000 * RPM)
    assert free.own_time is None
    assert "see what it costs" in habit_sentence(free)
    assert early.own_time is not None
    assert early.best_time is not None
    assert early.own_time > early.best_time + 0.05
    assert "early out of gears 1, 2, 3, 4 and 5" in habit_sentence(early)
    assert [shift.best for shift in free.shifts] == pytest.approx(list(known.shift_engine))


def test_the_counter_follows_the_sensor_but_not_the_instrument() -> None:
    bike = demo_bike().bike
    other = fitted(bike).__class__(14, 46, 112, "520")
    now, then = (counter_factor(bike, s) for s in (fitted(bike), other))
    assert now == 1
    assert then == pytest.approx(15 / 14)
    ratio = speedometer_factor(bike, other)
    assert ratio == pytest.approx(1.06 * 15 / 14)


def test_a_reserve_beyond_every_road_is_no_figure() -> None:
    """In first gear the thrust left can exceed the weight, where no slope would be too steep."""
    bike = with_value(demo_bike("Corvid 1000").bike, "tyre", "grip", 2.5)
    pulled = pull(bike, fitted(bike))
    assert not isinstance(pulled, Finding)
    told = pull_sentence(None, pulled, 100 / 3.6)
    assert "enough for more gradient than any road has." in told
    assert max(map(float, re.findall(r"\d+", told))) < 1e5


@pytest.mark.parametrize(("unit", "factor"), [("km/h", 3.6), ("mph", 1 / 0.44704)])
def test_drag_is_named_where_it_ends_the_top_gear(unit: str, factor: float) -> None:
    """The number is that of the pull; the demo bike's redline in sixth is at 230 km/h, where it hasn't the power."""
    bike, on = demo_bike().bike, fitted(demo_bike().bike)
    low = replace(on, front=12, rear=60)
    result, pulled = evaluate(bike, on), pull(bike, on)
    assert isinstance(pulled, Pull)
    assert pulled.top is not None
    assert pulled.top.limited_by == "drag"
    told = drag_sentence(pulled, result.speed_at_redline, unit)
    assert told.startswith(f"Drag limits sooner: about {pulled.top.speed * factor:.0f} {unit} in gear 6")
    short = pull(bike, low)
    assert isinstance(short, Pull)
    at_redline = evaluate(bike, low).speed_at_redline
    assert drag_sentence(short, at_redline, unit) == ""
    assert drag_sentence(None, result.speed_at_redline, unit) == drag_sentence(pulled, None, unit) == ""
