"""The other ways to measure: what they give, what they refuse, and how sure it is."""

from __future__ import annotations

import math
import random
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gearplan.bike.checks import check_value
from gearplan.bike.demo import demo_bike
from gearplan.bike.measuring import measured_fields, measuring
from gearplan.bike.profile import Bike, Gearbox, entry, value, with_value
from gearplan.bike.values import check_entry
from gearplan.setup.doubt import inputs, reading_error
from gearplan.setup.readings import Readings, Taken, Unusable, Way, begin, take, told_lines, with_taken
from gearplan.setup.ways import WAYS, ways_to
from tests.reference.test_weighing import on_scales

BIKE = demo_bike().bike


def way(field: str, title: str = "") -> Way:
    return next(each for each in ways_to(field) if title in each.title)


def one(field: str, readings: Readings, title: str = "", bike: Bike = BIKE) -> Taken:
    (found,) = take(way(field, title), readings, bike)
    return found


def examples(each: Way) -> dict[str, float]:
    first = {reading.key: reading.entry.example.split(",")[0] for reading in each.readings}
    return {r.key: int(first[r.key]) if r.entry.kind == "whole" else float(first[r.key]) for r in each.readings}


@pytest.mark.parametrize("each", WAYS, ids=lambda each: f"{each.fills[0]} {each.title}")
def test_the_examples_give_the_demo_bike_or_nearly(each: Way) -> None:
    """The demo bike was made from such readings: what they give lies within the doubt that is told, and rounding."""
    for reading in each.readings:
        assert check_entry(reading.entry, examples(each)[reading.key]) is None
    found = take(each, examples(each), BIKE)[0]
    for outcome, digits in zip(found.outcomes, each.digits, strict=True):
        section, key = outcome.field.split(".")
        assert entry(section, key)
        kept = value(BIKE, section, key)
        if kept is not None and outcome.field != "load.bike_kg":
            news, olds = (x if isinstance(x, tuple) else (x,) for x in (outcome.value, kept))
            for new, old, off in zip(news, olds, outcome.off, strict=True):
                assert abs(new - old) <= off + 10**-digits, outcome


def test_swingarm_angle_from_heights() -> None:
    found = one(
        "chassis.swingarm_angle_deg", {"pivot_height_mm": 700, "axle_height_mm": 400, "arm_mm": 500}, "length pivot"
    )
    # 3-4-5: 36.87°, to one decimal.
    assert found.outcomes[0].value == 36.9
    level = one(
        "chassis.swingarm_angle_deg", {"pivot_height_mm": 700, "axle_height_mm": 400, "level_mm": 400}, "level distance"
    )
    assert {each.field: each.value for each in level.outcomes} == {
        "chassis.swingarm_angle_deg": 36.9,
        "chassis.axle_now_mm": 500,
    }


def test_sprocket_from_pivot_from_heights_is_signed() -> None:
    found = one("chassis.sprocket_from_pivot_mm", {"shaft_height_mm": 390, "pivot_height_mm": 396.4, "level_mm": -12})
    assert found.outcomes[0].value == (-12, -6)


def test_more_turns_make_the_circumference_surer() -> None:
    once = one("tyre.rolling_circumference_mm", {"distance_mm": 1955, "turns": 1}).outcomes[0]
    five = one("tyre.rolling_circumference_mm", {"distance_mm": 5 * 1955, "turns": 5}).outcomes[0]
    assert once.value == five.value == 1955
    assert five.off[0] == pytest.approx(once.off[0] / 5)


@pytest.mark.parametrize("raised", [300, -300])
def test_the_centre_of_mass_comes_back_from_the_scales(raised: int) -> None:
    """Loads from statics by other means (see the reference test), read as from scales to 0.1 kg."""
    mass = complex(690, 610)
    level = on_scales(mass, 268, 1415, 300, 311, 0)
    tilted = on_scales(mass, 268, 1415, 300, 311, raised)
    low = tilted[1] if raised > 0 else tilted[0]
    readings = {
        "front_kg": round(level[0], 1), "rear_kg": round(level[1], 1), "wheelbase_mm": 1415.0,
        "raised_mm": abs(raised), "low_kg": round(low, 1), "front_axle_mm": 300.0, "rear_axle_mm": 311.0,
    }  # fmt: skip
    found = one("chassis.com_height_mm", readings, "Front" if raised > 0 else "Rear")
    height, ahead = found.outcomes
    assert height.value == pytest.approx(610, abs=4)
    assert ahead.value == pytest.approx(690, abs=1)
    # What is told beside the field: to 20 mm with 300 mm under the wheel.
    assert 10 < height.off[0] < 20
    assert found.told == "The scales show 268 kg together; motorcycle and rider are entered as 268 kg."


def test_the_doubt_is_what_readings_drawn_at_random_scatter_by() -> None:
    """JCGM 101: a thousand draws, each reading off by a normal deviate whose 95 % is its reading error."""
    each = way("chassis.com_height_mm", "Front")
    read = examples(each)
    told = take(each, read, BIKE)[0].outcomes[0].off[0]
    drawn = random.Random(5)
    highs = []
    for _ in range(1000):
        moved = {r.key: read[r.key] + drawn.gauss(0, r.off / 1.96) for r in each.readings}
        highs.append(each.compute(moved, BIKE)[0]["chassis.com_height_mm"])
    mean = sum(highs) / len(highs)
    spread = math.sqrt(sum((high - mean) ** 2 for high in highs) / (len(highs) - 1))
    assert told == pytest.approx(1.96 * spread, rel=0.1)


def test_counted_turns_tell_which_pairs_match() -> None:
    """Gear 6 of the demo bike is 1:1 behind 43/75: 15/46 gives 53.488 turns of the crank to ten of the wheel."""
    counted = {"gear": 6.0, "wheel_turns": 10.0, "crank_turns": round(10 * 75 / 43 * 46 / 15, 1)}
    pairs = [tuple(each.value for each in taken.outcomes) for taken in take(way("final_drive.rear"), counted, BIKE)]
    assert pairs[0] == (15, 46)
    assert (14, 43) in pairs
    assert (15, 45) not in pairs
    assert (15, 47) not in pairs
    other = replace(BIKE, final_drive=replace(BIKE.final_drive, front=14))
    assert take(way("final_drive.rear"), counted, other)[0].outcomes[0].value == 14
    more = {"gear": 6.0, "wheel_turns": 100.0, "crank_turns": 534.9}
    assert len(take(way("final_drive.rear"), more, BIKE)) < len(pairs)


def test_elongation_over_links() -> None:
    """20 links of a 520 chain are 317.5 mm new (ISO 606: 15.875 mm each)."""
    found = one("final_drive.elongation_percent", {"links": 20, "length_mm": 317.5 * 1.01})
    assert found.outcomes[0].value == 1.0
    assert one("final_drive.elongation_percent", {"links": 20, "length_mm": 317.4}).outcomes[0].value == 0


def test_what_cannot_be_is_told_at_its_reading() -> None:
    loads = {"front_kg": 130, "rear_kg": 138, "wheelbase_mm": 1415, "front_axle_mm": 300, "rear_axle_mm": 311}
    no_box = replace(BIKE, gearbox=Gearbox())
    for field, title, readings, bike, key, words in (
        ("chassis.swingarm_angle_deg", "length", {"pivot_height_mm": 900, "axle_height_mm": 300, "arm_mm": 500},
         BIKE, "axle_height_mm", "more than pivot to axle"),
        ("chassis.com_height_mm", "Front", {**loads, "raised_mm": 300, "low_kg": 120}, BIKE, "low_kg", "more than"),
        ("chassis.com_height_mm", "Front", {**loads, "raised_mm": 300, "low_kg": 300}, BIKE, "low_kg", "less than"),
        ("chassis.com_height_mm", "Rear", {**loads, "raised_mm": 1450, "low_kg": 150}, BIKE, "raised_mm", "apart"),
        ("final_drive.front", "Turns", {"gear": 7, "wheel_turns": 5, "crank_turns": 30}, BIKE, "gear", "6 gears"),
        ("final_drive.front", "Turns", {"gear": 1, "wheel_turns": 5, "crank_turns": 30}, no_box, "gear", "0 gears"),
        ("final_drive.front", "Turns", {"gear": 6, "wheel_turns": 1, "crank_turns": 90}, BIKE, "gear", "this gear"),
        ("final_drive.elongation_percent", "", {"links": 20, "length_mm": 350}, BIKE, "length_mm", "317.5 mm new"),
        ("chassis.swingarm_travel_deg", "", {"pivot_height_mm": 396, "compressed_mm": 250, "extended_mm": 400,
         "arm_mm": 577}, BIKE, "compressed_mm", "higher"),
        # The result itself beyond sense.
        ("tyre.rolling_circumference_mm", "", {"distance_mm": 9000, "turns": 1}, BIKE, "", "600–3500 mm"),
    ):  # fmt: skip
        with pytest.raises(Unusable, match=words) as refused:
            take(way(field, title), readings, bike)
        assert refused.value.key == key


def test_a_reading_that_is_missing_is_asked_for() -> None:
    with pytest.raises(Unusable) as refused:
        take(way("tyre.rolling_circumference_mm"), {"distance_mm": 9775}, BIKE)
    assert (refused.value.key, str(refused.value)) == ("turns", "")


def test_readings_begin_with_what_is_entered() -> None:
    assert begin(way("chassis.swingarm_angle_deg"), BIKE)["arm_mm"] == BIKE.chassis.axle_now_mm
    assert begin(way("chassis.swingarm_angle_deg"), Bike())["arm_mm"] is None


def test_taken_into_the_bike() -> None:
    found = one("chassis.com_ahead_of_rear_axle_mm", {"front_kg": 134, "rear_kg": 134, "wheelbase_mm": 1400}, "level")
    made = with_taken(BIKE, found)
    assert made.chassis.com_ahead_of_rear_axle_mm == 700
    # The doubt that was told stays with the value, and goes with it.
    (off,) = found.outcomes[0].off
    (known,) = inputs(made, ["chassis.com_ahead_of_rear_axle_mm"])
    assert known.high - known.value == pytest.approx(off)
    (typed,) = inputs(with_value(made, "chassis", "com_ahead_of_rear_axle_mm", 701.0), [known.field])
    assert typed.high - typed.value == reading_error(known.field, 701.0) != pytest.approx(off)


def test_what_is_told_of_exactness_is_what_doubt_is_computed_with() -> None:
    told = 0
    for field in measured_fields():
        found = measuring(*field.split("."))
        assert found is not None
        one, ten = reading_error(field, 1.0), reading_error(field, 10.0)
        if one is not None and ten is not None:
            words = f"{one:g} " if one == ten else f"{100 * one:g} %"
            assert words in found.exact.replace("°", " °"), field
            told += 1
    assert told >= 10


@given(st.sampled_from(WAYS), st.data())
def test_any_readings_within_sense_give_fields_or_say_why_not(each: Way, data: st.DataObject) -> None:
    readings = {
        r.key: data.draw(
            st.integers(int(r.entry.low), int(r.entry.high))
            if r.entry.kind == "whole"
            else st.floats(r.entry.low, r.entry.high)
        )
        for r in each.readings
    }
    try:
        found = take(each, readings, BIKE)
    except Unusable as refused:
        assert str(refused)
        return
    assert found
    for taken in found:
        bike = with_taken(BIKE, taken)
        for outcome in taken.outcomes:
            section, key = outcome.field.split(".")
            assert check_value(section, key, value(bike, section, key)) is None
            assert all(math.isfinite(off) for off in outcome.off)
        for name, _before, after in told_lines(each, taken, BIKE):
            assert name
            assert "nan" not in after
