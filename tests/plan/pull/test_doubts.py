"""How surely pull is known: each part is what the same change in the file does, and the whole holds random draws."""

from __future__ import annotations

import math
from dataclasses import replace
from statistics import NormalDist

import numpy as np
import pytest
from hypothesis import given, settings

from gearplan.bike.demo import demo_bike
from gearplan.bike.library import demo_bikes
from gearplan.bike.profile import Bike, value, with_value
from gearplan.bike.text.units import KMH
from gearplan.plan.driveset import fitted
from gearplan.plan.pull.asked import read_roll_ons, read_sprints
from gearplan.plan.pull.doubts import effects, pull_doubts, top_speed_doubt
from gearplan.plan.pull.pull import Pull, pull
from gearplan.plan.pull.table import TOP, row_key, sprint_rows, timed
from gearplan.plan.pull.words import doubt_sentence
from gearplan.plan.set.evaluate import evaluate
from gearplan.setup import doubt
from gearplan.setup.doubt import Doubtful
from tests.bike.strategies import bikes

SPRINT, METRES = read_sprints("0–50; 200 m")
(ROLL_ON,) = read_roll_ons("40–60")
GEAR = 2
KEYS = (TOP, row_key(SPRINT), row_key(METRES), row_key(ROLL_ON, GEAR))
#: How each field is off by one end of its reading error, as a person would type it: a share of it, or so much.
SHARES = {
    "load.drag_area_m2": 0.10,
    "load.rolling_coefficient": 0.20,
    "load.wheel_inertia_kg_m2": 0.10,
    "load.bike_kg": 0.02,
    "engine.inertia_kg_m2": 0.20,
    "engine.launch_rpm": 0.10,
    "engine.shift_time_s": 0.30,
    "tyre.rolling_circumference_mm": 0.005,
    "tyre.growth_per_mps2": 0.30,
}
AMOUNTS = {
    "load.rider_kg": 2.0,
    "engine.efficiency": 0.02,
    "tyre.grip": 0.1,
    "chassis.com_height_mm": 20.0,
    "chassis.com_ahead_of_rear_axle_mm": 10.0,
    "chassis.wheelbase_mm": 3.0,
    "conditions.altitude_m": 50.0,
    "conditions.temperature_c": 3.0,
}
#: Rear teeth with which drag ends the top gear well below the limiter.
LONG = {"Brindle 650": 44, "Wren 125": 36, "Corvid 1000": 40}


def pulled(bike: Bike, slope: float = 0.0) -> Pull:
    found = pull(bike, fitted(bike), slope)
    assert isinstance(found, Pull)
    return found


def complete(name: str) -> Bike:
    """A demo bike of which everything is entered that the pull rests on."""
    bike = demo_bike(name).bike
    for field, default in (
        ("tyre.grip", 1.1),
        ("tyre.growth_per_mps2", 2e-6),
        ("conditions.altitude_m", 100.0),
        ("conditions.temperature_c", 20.0),
        ("tyre.rolling_circumference_mm", 1000 * (evaluate(bike, fitted(bike)).rolling_circumference or 0.0)),
    ):
        section, key = field.split(".")
        if value(bike, section, key) is None:
            bike = with_value(bike, section, key, default)
    return bike


def changed(bike: Bike, field: str, way: int) -> Bike:
    section, key = field.split(".")
    if field == doubt.TORQUE:
        points = tuple((n, t * (1 + way * 0.05)) for n, t in bike.engine.torque or ())
        return with_value(bike, section, key, points)
    now = value(bike, section, key)
    by = SHARES[field] * now if field in SHARES else AMOUNTS[field]
    return with_value(bike, section, key, now + way * by)


def told(one: Pull) -> dict[str, float | None]:
    return {
        TOP: None if one.top is None else one.top.speed,
        row_key(SPRINT): timed(one, SPRINT),
        row_key(METRES): timed(one, METRES),
        row_key(ROLL_ON, GEAR): timed(one, ROLL_ON, GEAR),
    }


@pytest.mark.parametrize("name", demo_bikes())
@pytest.mark.parametrize("slope", [0.0, math.atan(0.08)])
def test_each_part_is_what_the_same_change_in_the_file_does(name: str, slope: float) -> None:
    bike = complete(name)
    found = pull_doubts(bike, fitted(bike), slope, 0.0, (SPRINT, METRES), (ROLL_ON,))
    middle = told(pulled(bike, slope))
    seen = set()
    for key in KEYS:
        was = middle[key]
        assert was is not None
        assert found[key].value == was
        for field, down, up in found[key].parts:
            moved = [told(pulled(changed(bike, field, way), slope))[key] for way in (-1, 1)]
            by = [to - was for to in moved if to is not None]
            # Carried to first order: to a tenth of the part, or a hundredth of the whole range.
            least = 1e-6 if key == TOP else 0.01 * (found[key].high - found[key].low)
            assert down == pytest.approx(max(0.0, *(-b for b in by)), rel=0.1, abs=least), (key, field)
            assert up == pytest.approx(max(0.0, *by), rel=0.1, abs=least), (key, field)
            seen.add(field)
        assert found[key].high - was == pytest.approx(math.hypot(*(up for _, _, up in found[key].parts)))
    assert seen == {doubt.TORQUE, *SHARES, *AMOUNTS}


@pytest.mark.parametrize("name", demo_bikes())
def test_as_many_random_draws_lie_within_as_are_meant_to(name: str) -> None:
    """JCGM 101:2008: the distribution is propagated by draws; every input is normal, its range holding 95 %.

    Each input takes evenly likely values, one a draw, in an order of its own (a Latin hypercube).
    """
    rng = np.random.default_rng(sum(map(ord, name)))
    # So long that no limiter stands within the range of the top speed and cuts it off.
    bike = with_value(complete(name), "final_drive", "rear", LONG[name])
    found = pull_doubts(bike, fitted(bike), 0.0, 0.0, (SPRINT, METRES), (ROLL_ON,))
    doubtful = doubt.inputs(bike, [doubt.TORQUE, *SHARES, *AMOUNTS])
    inside, draws = dict.fromkeys(KEYS, 0), 400
    even = np.array([NormalDist().inv_cdf((k + 0.5) / draws) for k in range(draws)])
    off = np.array([rng.permutation(even) for _ in doubtful])
    for k in range(draws):
        drawn = bike
        for one, at in zip(doubtful, off[:, k].tolist(), strict=True):
            drawn = doubt.varied(drawn, one, one.value + (one.high - one.value) / 1.96 * at)
        for key, result in told(pulled(drawn)).items():
            inside[key] += result is not None and found[key].low <= result <= found[key].high
    for key, count in inside.items():
        assert 0.93 <= count / draws <= 0.97, (key, count / draws)


def test_what_is_assumed_counts_with_its_usual_range() -> None:
    bike = complete("Brindle 650")
    wide = with_value(bike, "load", "drag_area_m2", None)
    [area] = [one for one in doubt.inputs(wide, ["load.drag_area_m2"]) if not one.measured]
    top = top_speed_doubt(wide, fitted(wide))
    assert top is not None
    [(down, up)] = [(down, up) for field, down, up in top.parts if field == area.field]
    slowest, fastest = (pulled(with_value(bike, "load", "drag_area_m2", end)).top for end in (area.high, area.low))
    assert slowest is not None
    assert fastest is not None
    assert down == pytest.approx(top.value - slowest.speed)
    assert up == pytest.approx(fastest.speed - top.value)
    assert up > 5 * KMH


def test_a_heavier_motorcycle_that_lifts_its_wheel_is_hardly_slower() -> None:
    """Where lift or grip bind, thrust goes with the weight: only drag and shifts are left of the effect of mass."""
    bike = complete("Corvid 1000")
    strong = tuple((n, 2 * t) for n, t in bike.engine.torque or ())
    bike = with_value(bike, "engine", "torque", strong)

    def share(one: Bike) -> float:
        found = pull_doubts(one, fitted(one), asked=(SPRINT,))[row_key(SPRINT)]
        [up] = [up for field, _, up in found.parts if field == "load.bike_kg"]
        return up / found.value

    assert share(bike) < 0.001
    assert share(with_value(bike, "chassis", "com_height_mm", None)) > 0.01


def test_a_limit_that_the_engine_never_reaches_does_nothing() -> None:
    bike = complete("Wren 125")
    found = pull_doubts(bike, fitted(bike), asked=(SPRINT,))[row_key(SPRINT)]
    still = [(down, up) for field, down, up in found.parts if field.startswith(("tyre.grip", "chassis."))]
    assert still
    assert still == [(0.0, 0.0)] * len(still)
    assert all("grip" not in one.name for one in effects(bike, fitted(bike), found))


@pytest.mark.parametrize("name", demo_bikes())
def test_the_top_speed_alone_is_known_as_surely_as_among_the_times(name: str) -> None:
    bike = complete(name)
    alone = top_speed_doubt(bike, fitted(bike))
    assert alone is not None
    among = pull_doubts(bike, fitted(bike), asked=(SPRINT,))[TOP]
    assert (alone.low, alone.high) == pytest.approx((among.low, among.high))
    assert alone.low < alone.value < alone.high


def test_at_the_limiter_only_the_tyre_counts() -> None:
    """A set so short that the engine turns to its limiter in top gear whatever it gives."""
    bike = with_value(complete("Corvid 1000"), "final_drive", "rear", 70)
    top = top_speed_doubt(bike, fitted(bike))
    assert top is not None
    tyre = ["tyre.rolling_circumference_mm", "tyre.growth_per_mps2"]
    assert [field for field, down, up in top.parts if down or up] == tyre
    # The growth is 2e-6 s²/m² to 30 %.
    grows = 0.3 * 2e-6 * top.value**2
    assert top.high / top.value - 1 == pytest.approx(math.hypot(0.005, grows), rel=0.03)


def test_the_effects_are_those_of_the_parts_the_largest_first() -> None:
    bike = with_value(complete("Brindle 650"), "load", "rider_kg", None)
    found = pull_doubts(bike, fitted(bike), asked=(SPRINT,))[row_key(SPRINT)]
    listed = effects(bike, fitted(bike), found)
    assert [one.size for one in listed] == sorted((one.size for one in listed), reverse=True)
    assert math.hypot(*(one.size for one in listed)) >= found.half
    words = {one.name: one.doubt for one in listed}
    assert words["the torque"] == "± 5 %"
    assert words["rider with gear"] == "60 to 110 kg, assumed"
    assert words["drag area"] == "0.36 to 0.44 m²"
    assert effects(bike, fitted(bike), None) == ()


def test_a_gearbox_that_is_only_typical_counts_as_other_ratios_do() -> None:
    """Lower ratios by as much as the typical primary ratio may be off do what the same ratio entered does."""
    bike = with_value(replace(complete("Brindle 650"), kind="naked"), "gearbox", "primary", None)
    [(field, low, high)] = doubt.gearbox_shares(bike)
    assert field == "gearbox.primary"
    primary = evaluate(bike, fitted(bike)).primary_ratio
    assert primary is not None
    found = pull_doubts(bike, fitted(bike), asked=(METRES,), in_gear=(ROLL_ON,))
    middle = told(pulled(bike))
    for key in (TOP, row_key(ROLL_ON, GEAR)):
        was = middle[key]
        assert was is not None
        ends = [told(pulled(with_value(bike, "gearbox", "primary", primary * by)))[key] for by in (1 - low, 1 + high)]
        [(down, up)] = [(down, up) for one, down, up in found[key].parts if one == field]
        assert down == pytest.approx(max(0.0, *(was - end for end in ends if end is not None)), rel=0.02, abs=1e-6)
        assert up == pytest.approx(max(0.0, *(end - was for end in ends if end is not None)), rel=0.02, abs=1e-6)
    [effect] = [one for one in effects(bike, fitted(bike), found[row_key(ROLL_ON, GEAR)]) if "primary" in one.name]
    assert effect.doubt.endswith("%, assumed")


def test_every_listed_time_has_its_doubt_under_its_key() -> None:
    bike = complete("Brindle 650")
    found = pull_doubts(bike, fitted(bike), asked=(SPRINT, METRES))
    rows = sprint_rows(None, pulled(bike), (SPRINT, METRES))
    assert {row.key for row in rows} == set(found)


def test_what_is_never_reached_or_cannot_be_computed_has_no_range() -> None:
    bike = complete("Wren 125")
    (fast,) = read_sprints("0–200")
    assert set(pull_doubts(bike, fitted(bike), asked=(fast,))) == {TOP}
    bare = with_value(bike, "engine", "torque", None)
    assert pull_doubts(bare, fitted(bare), asked=(SPRINT,)) == {}
    assert top_speed_doubt(bare, fitted(bare)) is None


@given(bike=bikes())
@settings(max_examples=60)
def test_whatever_is_entered_a_range_holds_its_value_or_is_not_told(bike: Bike) -> None:
    found = pull_doubts(bike, fitted(bike), asked=(SPRINT, METRES), in_gear=(ROLL_ON,))
    for key, one in found.items():
        assert one.low <= one.value <= one.high, key
        assert math.isfinite(one.low), key
        assert math.isfinite(one.high), key


def test_a_time_that_can_hardly_be_less_is_told_by_its_ends() -> None:
    even = Doubtful(4.1243, 3.86, 4.39)
    assert doubt_sentence(even, ()).startswith("0–100 km/h takes 4.1 ± 0.3 s.")
    lopsided = Doubtful(3.617, 3.1, 6.43)
    assert doubt_sentence(lopsided, ()).startswith("0–100 km/h takes 3.6 s (3.1 to 6.4).")


def test_a_growth_that_nobody_entered_raises_the_top_speed_alone() -> None:
    bike = with_value(complete("Brindle 650"), "tyre", "growth_per_mps2", None)
    found = top_speed_doubt(bike, fitted(bike))
    assert found is not None
    [(_, down, up)] = [part for part in found.parts if part[0] == "tyre.growth_per_mps2"]
    tops = [pulled(with_value(bike, "tyre", "growth_per_mps2", g)).top for g in (0.0, 3e-6)]
    moved = (tops[1].speed if tops[1] else 0.0) - (tops[0].speed if tops[0] else 0.0)
    assert max(down, up) == pytest.approx(abs(moved), rel=1e-6)
    assert min(down, up) == 0.0
