"""What is told of one set, to the digit: figures worked out here by other means, not taken from the program."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from gearplan.bike.demo import demo_bike
from gearplan.bike.profile import with_value
from gearplan.bike.text.unitset import US
from gearplan.plan.driveset import fitted
from gearplan.plan.set.compare import fastest
from gearplan.plan.set.evaluate import evaluate
from gearplan.plan.set.how.numbers import explain
from gearplan.plan.set.quantities import CHAIN, RATIO
from gearplan.plan.set.sideview import side_view, slack_at, with_axle_at
from gearplan.plan.set.words import what_is_missing
from tests.plan.set.test_contradictions import BIKE, changed


def pins(centre: float, z1: int, z2: int, pitch: float) -> float:
    """Links of a taut run: tangents and teeth counted by angle (ISO 606: links lie as chords)."""
    r1, r2 = (pitch / 2 / math.sin(math.pi / z) for z in (z1, z2))
    lean = math.asin((r2 - r1) / centre)
    free = 2 * math.sqrt(centre**2 - (r2 - r1) ** 2) / pitch
    return free + z1 * (math.pi - 2 * lean) / math.tau + z2 * (math.pi + 2 * lean) / math.tau


@pytest.mark.parametrize("now", [560.0, 570.0])
def test_an_axle_too_far_forward_for_the_links_is_told_with_the_slack_there(now: float) -> None:
    """By Pythagoras in the half run: a new chain's spare length lets it move so far up and down."""
    bike = changed(chassis__axle_now_mm=now)
    c = bike.chassis
    angle = math.radians(c.swingarm_angle_deg or 0.0)
    (ahead, above) = c.sprocket_from_pivot_mm or (0.0, 0.0)
    centre = math.hypot((ahead or 0.0) + now * math.cos(angle), (above or 0.0) + now * math.sin(angle))
    spare = 15.875 * (112 - pins(centre, 15, 46, 15.875))
    r1, r2 = (15.875 / 2 / math.sin(math.pi / z) for z in (15, 46))
    tangent = math.sqrt(centre**2 - (r2 - r1) ** 2)
    slack = math.sqrt((tangent + spare) ** 2 - tangent**2)
    [told] = [f for f in evaluate(bike, fitted(bike)).findings if f.about == "chain as fitted"]
    assert told.level == "check"
    assert told.value == pytest.approx(slack, rel=1e-6)
    assert told.limit == 60.0
    assert f"would have {slack:.0f} mm of slack, where 30 are asked for" in told.text


def test_wraps_of_both_sprockets_make_a_whole_turn() -> None:
    run = evaluate(BIKE, fitted(BIKE)).run
    assert run.wrap_front is not None
    assert run.wrap_rear is not None
    assert run.wrap_front + run.wrap_rear == pytest.approx(math.tau)
    assert run.wrap_front < math.pi < run.wrap_rear


@pytest.mark.parametrize("run", ["upper", "lower"])
def test_a_run_near_the_boss_is_told_with_the_room_and_one_that_touches_refused(run: str) -> None:
    """A boss that grows by 1 mm leaves 1 mm less room; half the plates' height is counted in already."""
    small = changed(chassis__pivot_boss_radius_mm=5.0)
    clear = getattr(evaluate(small, fitted(small)).run, f"{run}_clearance") * 1e3
    for left, level, says in (
        (1.2, "check", f"The {run} run passes the boss or rubber round the pivot with 1 mm between"),
        (1.95, "check", f"The {run} run passes the boss or rubber round the pivot with 2 mm between"),
        (-0.4, "does not fit", f"The {run} run touches the boss or rubber round the pivot."),
    ):
        bike = changed(chassis__pivot_boss_radius_mm=5.0 + clear - left)
        [told] = [f for f in evaluate(bike, fitted(bike)).findings if f.about == f"{run} run"]
        assert (told.level, told.value) == (level, pytest.approx(left, abs=1e-6))
        # Less than 2 mm is close: common practice, no source.
        assert told.limit == pytest.approx(0.0 if left < 0 else 2.0)
        assert told.text.startswith(says)
    bike = changed(chassis__pivot_boss_radius_mm=5.0 + clear - 2.05)
    assert not [f for f in evaluate(bike, fitted(bike)).findings if f.about == f"{run} run" and f.level != "fits"]


def test_an_anti_squat_far_from_what_is_usual_names_the_bound_that_it_passes() -> None:
    """Anti-squat goes with the inverse of the height: a third of the usual height makes it three times as much."""
    usual = evaluate(BIKE, fitted(BIKE)).anti_squat
    bike = changed(chassis__com_height_mm=200.0)
    result = evaluate(bike, fitted(bike))
    assert usual is not None
    assert result.anti_squat == pytest.approx(usual * 610 / 200)
    [told] = [f for f in result.findings if f.about == "anti-squat"]
    assert told.value == pytest.approx(100 * usual * 610 / 200)
    assert told.limit == 300


def test_an_inch_tyre_may_be_taller_than_it_says() -> None:
    for size, doubted in (("4.00-18", True), ("180/55 ZR 17", False)):
        bike = changed(tyre__size=size, tyre__rolling_circumference_mm=None)
        [told] = [f for f in evaluate(bike, fitted(bike)).findings if f.about == "rolling circumference"]
        assert ("2 % taller" in told.text) == doubted
        assert told.level == ("check" if doubted else "fits")


def test_how_a_step_and_a_shift_come_about() -> None:
    """Gears 32/13 and 30/16: the engine falls from 10500 rpm by the ratio of the two."""
    step, shift = (explain(what, BIKE, fitted(BIKE), gear=1) for what in ("step", "after_shift"))
    assert [text for _, text in step.inputs] == ["2.4615", "1.8750"]
    assert step.result == "+31.3 %"
    assert [text for _, text in shift.inputs] == ["10500 rpm", "2.4615", "1.8750"]
    assert shift.result == f"{10500 * (30 / 16) / (32 / 13):.0f} rpm"
    last = explain("after_shift", BIKE, fitted(BIKE), gear=6)
    assert [text for _, text in last.inputs] == ["10500 rpm", "1.0000", "–"]


def test_listed_numbers_have_the_decimals_that_they_carry() -> None:
    digits = {q.name: q.digits for q in (RATIO, *CHAIN)}
    assert digits["Final ratio"] == 4
    assert {digits[name] for name in ("Pivot to axle", "Centre distance", "Wheelbase")} == {0}


def test_only_what_lacks_is_missing() -> None:
    bare = with_value(BIKE, "engine", "redline_rpm", None)
    words, field = what_is_missing(evaluate(bare, fitted(bare)), ("speed", "rolling circumference"))
    assert field == "engine.redline_rpm"
    assert "Rolling circumference" not in words
    assert what_is_missing(evaluate(BIKE, fitted(BIKE)), ("speed", "rolling circumference")) == ("", "")


def test_anti_squat_needs_all_of_its_figures() -> None:
    assert evaluate(BIKE, fitted(BIKE)).anti_squat is not None
    for place, known in (("chassis__com_height_mm", 1), ("chassis__wheelbase_mm", 0), ("tyre__size", 0)):
        bike = changed(**{place: None})
        if place == "tyre__size":
            bike = with_value(bike, "tyre", "rolling_circumference_mm", None)
        result = evaluate(bike, fitted(bike))
        assert result.anti_squat is None
        assert sum("Anti-squat" in f.text for f in result.findings) == known


def test_the_tyre_touches_the_ground_a_radius_below_the_axle() -> None:
    view = side_view(BIKE, evaluate(BIKE, fitted(BIKE)))
    assert view is not None
    assert view.contact is not None
    axle = np.array(view.axle)
    assert np.array(view.contact) == pytest.approx(axle - [0.0, 1.955 / math.tau])


def test_another_set_of_the_same_bike_is_not_held_to_where_the_axle_stands() -> None:
    bike = changed(chassis__axle_now_mm=560.0)
    other = replace(fitted(bike), rear=47)
    assert not [f for f in evaluate(bike, other).findings if f.about == "chain as fitted"]
    assert demo_bike().bike == BIKE


@pytest.mark.parametrize(("front", "rear"), [(15, 46), (14, 48), (17, 40)])
def test_other_sprockets_are_as_fast_as_their_ratio_says(front: int, rear: int) -> None:
    """v = ω·C/2π over primary, top gear and final ratio; the demo bike's tyre grows by what is entered."""
    one = evaluate(BIKE, fitted(BIKE))
    found = fastest(BIKE, one, front, rear)
    assert found is not None
    assert one.rolling_radius is not None
    assert one.overall_ratio is not None
    overall = one.overall_ratio[-1] * (rear / front) / (46 / 15)
    turning = (BIKE.engine.redline_rpm or 0.0) * math.tau / 60
    assert found * overall / (one.rolling_radius * (1 + one.tyre_growth * found**2)) == pytest.approx(turning)


def test_a_title_has_its_unit_where_there_is_one() -> None:
    assert {one.title() == one.name for one in (*CHAIN, RATIO) if not one.unit_name} == {True}
    assert {one.title() for one in CHAIN if one.unit_name} == {f"{o.name}, {o.unit_name}" for o in CHAIN if o.unit_name}


def test_where_the_chain_would_be_tight_all_but_the_slack_is_told_of_the_place() -> None:
    bike = changed(chassis__pivot_boss_radius_mm=5.0)
    clear = (evaluate(bike, fitted(bike)).run.upper_clearance or 0.0) * 1e3
    bike = changed(chassis__pivot_boss_radius_mm=5.0 + clear - 1.0)
    result = evaluate(bike, fitted(bike))
    tight = with_axle_at(bike, result, 0.6)
    told = {f.about for f in tight.findings if f.level != "fits"}
    assert math.isnan(slack_at(bike, result, 0.6))
    assert "upper run" in told
    assert "tightest point" not in {f.about for f in tight.findings}


def test_lengths_and_masses_follow_the_units_and_all_else_stays() -> None:
    told = {(one.unit_name, one.shown(US)[0]) for one in CHAIN}
    assert {("mm", "in"), ("kg", "lb")} <= told
    assert {(own, other) for own, other in told if own != other} == {("mm", "in"), ("kg", "lb")}
