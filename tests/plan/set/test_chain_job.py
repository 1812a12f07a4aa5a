"""Before a technician orders: does it go on, is it strong enough, what else moves. The same story everywhere."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from shapely.geometry import LineString, Point, Polygon

from gearplan.bike.demo import demo_bike
from gearplan.bike.profile import Bike, NewChain, with_value
from gearplan.bike.text.units import DEGREE, MM
from gearplan.commands.output.numbersjson import numbers
from gearplan.drive.sprocket import pitch_radius
from gearplan.plan.chain.reach import Reach, swingarm
from gearplan.plan.chain.wear import forecast_text, wear_state
from gearplan.plan.choices.candidates import candidates
from gearplan.plan.choices.space import default_space
from gearplan.plan.driveset import DriveSet, fitted, keeps_chain, plainly
from gearplan.plan.findings import Finding
from gearplan.plan.set import conversion
from gearplan.plan.set import words as setwords
from gearplan.plan.set.conversion import drive_mass
from gearplan.plan.set.evaluate import SetResult, evaluate
from gearplan.plan.set.grid import evaluate_grid
from gearplan.plan.set.sideview import nearest_axle_position, side_view, slack_at, with_axle_at
from gearplan.plan.set.travel import through_travel
from gearplan.plan.set.verdict import verdict
from gearplan.plan.words import set_name
from tests.bike.strategies import bikes

BIKE = demo_bike("Brindle 650").bike
SET = fitted(BIKE)


def about(result: SetResult, subject: str) -> Finding:
    [found] = [f for f in result.findings if f.about == subject]
    return found


def told_everywhere(bike: Bike, chosen: DriveSet, subject: str, level: str) -> Finding:
    """The finding, after making sure that grid and `numbers` say the same with the same figure."""
    assert chosen.front is not None
    assert chosen.rear is not None
    result = evaluate(bike, chosen)
    finding = about(result, subject)
    assert finding.level == level
    assert evaluate_grid(bike, chosen, (chosen.front,), (chosen.rear,)).levels[0][0] == result.verdict
    [printed] = [f for f in numbers(bike, chosen)["proposed"]["findings"] if f["about"] == subject]
    assert (printed["value"], printed["limit"], printed["text"]) == (finding.value, finding.limit, finding.text)
    said = verdict(result)
    assert finding.text in said.told + said.passed
    return finding


def test_a_set_that_needs_two_more_links() -> None:
    finding = told_everywhere(BIKE, replace(SET, front=16, rear=50), "chain length", "does not fit")
    assert "too short" in finding.text
    assert "114" in finding.text


def test_a_set_that_runs_out_of_slot() -> None:
    finding = told_everywhere(BIKE, replace(SET, front=14, rear=41), "chain length", "does not fit")
    assert "too long" in finding.text
    assert finding.value is not None
    assert finding.limit is not None
    assert finding.value > finding.limit == 594


def test_a_set_whose_run_touches_the_rubber() -> None:
    bike = with_value(BIKE, "chassis", "pivot_boss_radius_mm", 42)
    finding = told_everywhere(bike, replace(SET, front=14, rear=45), "upper run", "does not fit")
    assert "touches" in finding.text
    assert finding.value is not None
    assert finding.value < 0


def test_a_set_that_is_too_weak() -> None:
    bike = with_value(BIKE, "final_drive", "chain_tensile_kn", 12)
    finding = told_everywhere(bike, replace(SET, front=14), "chain strength", "does not fit")
    assert "too weak" in finding.text
    assert finding.value == pytest.approx(12 / 7.22, abs=0.01)


def test_an_odd_count_is_an_exception_to_be_declared() -> None:
    told_everywhere(BIKE, replace(SET, links=111), "chain length", "does not fit")
    declared = with_value(BIKE, "final_drive", "offset_link", "yes")
    assert "offset link" in told_everywhere(declared, replace(SET, links=111), "chain length", "check").text


def test_another_size_names_the_widths_to_watch() -> None:
    finding = told_everywhere(BIKE, replace(SET, chain="530"), "chain size", "check")
    assert "inner width 6.35 → 9.53 mm" in finding.text


def test_the_maker_s_own_strength_wins_for_the_chain_at_hand_only() -> None:
    bike = with_value(BIKE, "final_drive", "chain_tensile_kn", 40)
    assert evaluate(bike, SET).strength.tensile == 40_000
    assert evaluate(bike, replace(SET, chain="525")).strength.tensile == 26_400


def test_a_new_chain_s_own_strength_and_mass_hold_for_its_size_until_it_is_fitted() -> None:
    made = replace(BIKE, new_chain=NewChain("525", 38.4, 1.31))
    for chosen in (SET, replace(SET, links=110), replace(SET, chain="530")):
        assert evaluate(made, chosen).strength == evaluate(BIKE, chosen).strength
    other = replace(SET, chain="525", links=110)
    found = evaluate(made, other).strength
    assert found.tensile == 38_400
    assert found.chain_mass == pytest.approx(1.31 * 110 * 0.015875)
    told = told_everywhere(made, other, "chain strength", "fits")
    assert "as entered for the new chain" in told.source


def test_a_new_chain_of_the_fitted_size_is_another_chain_than_the_one_that_stays() -> None:
    made = with_value(replace(BIKE, new_chain=NewChain("520", 20.0, 1.31)), "final_drive", "chain_tensile_kn", 40)
    assert evaluate(made, SET).strength.tensile == 40_000
    assert evaluate(made, replace(SET, links=110)).strength.tensile == 20_000
    # The search judges both in one go.
    found = candidates(made, default_space(made))
    kept = found.links == SET.links
    assert kept.any()
    assert not kept.all()
    for index in (*np.nonzero(kept)[0][:3], *np.nonzero(~kept)[0][:3]):
        single = evaluate(made, found.set_at(int(index)))
        assert found.safety[index] == pytest.approx(single.strength.safety)
        assert found.mass[index] == pytest.approx(drive_mass(single).total)


def test_a_new_chain_like_the_fitted_one_counts_with_its_own_strength_once_it_is_asked_for() -> None:
    """Same size, same links: only a person can say that a new one goes on. Its 1.31 kg/m on 112 links of 15.875 mm."""
    made = with_value(replace(BIKE, new_chain=NewChain("520", 18.0, 1.31)), "final_drive", "chain_tensile_kn", 36)
    renewed = replace(SET, new_chain=True)
    assert evaluate(made, SET).strength.tensile == 36_000
    found = evaluate(made, renewed)
    assert found.strength.tensile == 18_000
    assert found.strength.chain_mass == pytest.approx(1.31 * 112 * 0.015875)
    assert (found.strength.safety or 0) == pytest.approx((evaluate(made, SET).strength.safety or 0) / 2)
    told = told_everywhere(made, renewed, "chain strength", "check")
    assert "as entered for the new chain" in told.source
    assert numbers(made, renewed)["proposed"]["new_chain"] is True
    assert numbers(made, renewed)["fitted"]["new_chain"] is False
    assert set_name(renewed) == "15/46, new 520 chain, 112 links"


def test_a_worn_out_chain_is_nothing_against_a_set_that_renews_it() -> None:
    worn = with_value(BIKE, "final_drive", "elongation_percent", 2.0)
    assert "worn out" in about(evaluate(worn, SET), "chain wear").text
    renewed = evaluate(worn, replace(SET, new_chain=True))
    assert not [f for f in renewed.findings if f.about == "chain wear"]


def test_a_new_chain_is_asked_for_only_where_its_count_does_not_ask_for_it() -> None:
    assert not keeps_chain(BIKE, replace(SET, new_chain=True))
    assert plainly(BIKE, replace(SET, new_chain=True)) == replace(SET, new_chain=True)
    for other in (replace(SET, links=110), replace(SET, chain="525")):
        assert plainly(BIKE, replace(other, new_chain=True)) == other


def test_peak_tension_by_hand() -> None:
    """Engine: 64 N·m · 0.93 · 13.1664 / 0.31115 m = 2518.6 N; on 116.3 mm of pitch radius 6.74 kN.

    Front lift: 268 kg · 9.80665 · 0.6905 m / 0.61 m = 2975 N, more than that, so the engine is the limit.
    """
    strong = evaluate(BIKE, SET).strength
    assert strong.limited_by == "engine"
    assert strong.thrust == pytest.approx(64 * 0.93 * 13.166369 / (1.955 / math.tau), rel=1e-6)
    assert strong.peak_tension == pytest.approx(
        (strong.thrust or 0) * (1.955 / math.tau) / (0.015875 / 2 / math.sin(math.pi / 46)), rel=1e-6
    )
    light = with_value(with_value(BIKE, "load", "bike_kg", 120), "load", "rider_kg", 60)
    light = with_value(light, "tyre", "grip", 1.6)
    lifted = evaluate(light, SET).strength
    assert lifted.limited_by == "front wheel lifting"
    assert lifted.thrust == pytest.approx(180 * 9.80665 * (0.69 + evaluate(BIKE, SET).run.moved) / 0.61, rel=1e-6)
    slippery = with_value(light, "tyre", "grip", 0.3)
    assert evaluate(slippery, SET).strength.limited_by == "grip"


def test_torque_at_the_wheel_has_its_losses_already() -> None:
    crank, wheel = (
        evaluate(BIKE, SET).strength,
        evaluate(with_value(BIKE, "engine", "torque_at", "wheel"), SET).strength,
    )
    assert wheel.thrust == pytest.approx((crank.thrust or 0) / 0.93)


def test_torque_beyond_the_limiter_does_not_count() -> None:
    curve = ((2000, 40.0), (20000, 400.0))
    bike = with_value(BIKE, "engine", "torque", curve)
    at_limiter = 40 + (10800 - 2000) / 18000 * 360
    expected = at_limiter * 0.93 * 13.166369 / (1.955 / math.tau)
    sticky = bike
    for section, key, value in (("tyre", "grip", 3.0), ("load", "bike_kg", 1000), ("chassis", "com_height_mm", 450)):
        sticky = with_value(sticky, section, key, value)
    assert evaluate(sticky, SET).strength.thrust == pytest.approx(expected, rel=1e-6)


def test_the_chain_is_tight_nowhere_in_the_travel_with_the_slack_that_is_needed() -> None:
    """Set just the slack that is needed: the least slack through the travel is then none."""
    result = evaluate(BIKE, SET)
    assert result.run.slack_needed is not None
    needed = result.run.slack_needed
    bike = with_value(BIKE, "chassis", "slack_mm", needed / MM + 0.5)
    again = evaluate(bike, SET)
    travel = through_travel(bike, SET, again.run, again.rolling_radius)
    assert travel is not None
    assert not travel.assumed
    least = float(np.nanmin(travel.slack))
    assert 0 < least < 0.012
    assert travel.angle[int(np.nanargmin(travel.slack))] == pytest.approx(math.atan2(13, 62), abs=0.01)


def test_as_it_stands_the_travel_shows_the_slack_asked_for() -> None:
    result = evaluate(BIKE, SET)
    travel = through_travel(BIKE, SET, result.run, result.rolling_radius)
    assert travel is not None
    assert float(np.interp(8.5 * DEGREE, travel.angle, travel.slack)) == pytest.approx(0.030, abs=1e-4)
    assert travel.anti_squat is not None
    assert float(np.interp(8.5 * DEGREE, travel.angle, travel.anti_squat)) == pytest.approx(result.anti_squat, abs=1e-4)


def test_travel_not_entered_is_assumed_and_said() -> None:
    bike = with_value(BIKE, "chassis", "swingarm_travel_deg", None)
    result = evaluate(bike, SET)
    travel = through_travel(bike, SET, result.run, result.rolling_radius)
    assert travel is not None
    assert travel.assumed


def test_a_tight_spot_beyond_a_travel_not_entered_decides_nothing() -> None:
    bike = with_value(BIKE, "chassis", "sprocket_from_pivot_mm", (62, 24))
    unknown = evaluate(with_value(bike, "chassis", "swingarm_travel_deg", None), SET)
    assert about(unknown, "tightest point").level == "check"
    assert about(unknown, "tightest point").aside
    assert about(unknown, "tightest point").field == "chassis.swingarm_travel_deg"
    assert not about(evaluate(bike, SET), "tightest point").aside


def test_the_drawing_is_to_scale_and_agrees_with_shapely() -> None:
    """The upper run's distance from the pivot, and both pitch circles under the chain."""
    result = evaluate(BIKE, SET)
    view = side_view(BIKE, result)
    assert view is not None
    run = LineString(np.column_stack(view.upper))
    clear = run.distance(Point(0, 0)) - 0.020 - 0.95 * 0.015875 / 2
    assert result.run.upper_clearance == pytest.approx(clear, abs=2e-5)
    loop = Polygon(np.column_stack(view.chain)).buffer(1e-5)
    for place, teeth in ((view.axle, 46), (view.sprocket, 15)):
        assert loop.contains(Point(place).buffer(float(pitch_radius(teeth, 0.015875)) * 0.998))
    assert Point(view.axle).distance(Point(0, 0)) == pytest.approx(result.run.axle_position)


def test_slack_and_axle_position_belong_together() -> None:
    result = evaluate(BIKE, SET)
    assert result.run.axle_position is not None
    assert slack_at(BIKE, result, result.run.axle_position) == pytest.approx(0.030, abs=1e-6)
    assert math.isnan(slack_at(BIKE, result, result.run.axle_position + 0.005))
    moved = with_axle_at(BIKE, result, 0.575)
    assert moved.run.axle_position == pytest.approx(0.575, abs=1e-6)
    tight = with_axle_at(BIKE, result, 0.6)
    assert tight.run.axle_position == pytest.approx(0.6)
    assert tight.set == result.set
    assert tight.verdict == "does not fit"


@pytest.mark.parametrize("axle", [0.558, 0.565, 0.575, 0.594, 0.62])
def test_a_dragged_axle_changes_only_what_hangs_on_it(axle: float) -> None:
    """Which links fit, what wear the adjuster takes up and how long the chain is today, is no matter of the drag."""
    result = evaluate(BIKE, SET)
    moved = with_axle_at(BIKE, result, axle)
    for name in ("links_that_fit", "links_to_order", "wear_left", "links_taut_now", "links_at_slack_now"):
        assert getattr(moved.run, name) == getattr(result.run, name), name
    arm = swingarm(BIKE)
    assert isinstance(arm, Reach)
    # By the law of cosines in the triangle of pivot, sprocket and axle.
    far, between = math.hypot(arm.forward, arm.up), math.pi + arm.angle - math.atan2(arm.up, arm.forward)
    centre = math.sqrt(far**2 + axle**2 - 2 * far * axle * math.cos(between))
    assert moved.run.centre_distance == pytest.approx(centre)
    assert moved.run.wheelbase == pytest.approx(1.415 + (axle - 0.583) * math.cos(arm.angle))
    assert moved.strength.chain_mass == result.strength.chain_mass


def test_a_dragged_axle_has_its_own_verdict() -> None:
    result = evaluate(BIKE, SET)
    for axle, level, told in (
        (0.565, "check", "The axle is drawn at 565 mm: about 187 mm of slack with 112 links, 30 mm are asked for."),
        (0.594, "does not fit", "The axle is drawn at 594 mm, too far back for 112 links: the chain would be tight."),
        (0.555, "does not fit", "That is outside the adjuster's slot."),
    ):
        moved = with_axle_at(BIKE, result, axle)
        assert moved.verdict == level
        assert told in verdict(moved).told[0]
        assert not any("112 links fit" in f.text for f in moved.findings)
        assert moved.set == result.set
    ranged = with_value(BIKE, "service", "slack_range_mm", (25.0, 35.0))
    at = (result.run.axle_position or 0) - 0.0001
    assert with_axle_at(ranged, evaluate(ranged, SET), at).verdict == "fits"
    assert with_axle_at(BIKE, result, at).verdict == "check"
    long = replace(SET, links=118)
    assert with_axle_at(BIKE, evaluate(BIKE, long), 0.59).verdict == "does not fit"


def test_the_axle_stays_in_its_slot_when_it_is_dragged() -> None:
    view = side_view(BIKE, evaluate(BIKE, SET))
    assert view is not None
    assert nearest_axle_position(view, -9.0, 0.0) == pytest.approx(0.594)
    assert nearest_axle_position(view, 0.0, 0.0) == pytest.approx(0.558)
    assert nearest_axle_position(view, *view.axle) == pytest.approx(view.axle_position)


@pytest.mark.parametrize(("before", "after", "words"), [(1.0, 1.0, "as before"), (1.07, 1.10, "extends slightly more")])
def test_the_sentence_about_squat(before: float, after: float, words: str) -> None:
    on, proposed = (replace(evaluate(BIKE, SET), anti_squat=value) for value in (before, after))
    assert words in setwords.squat_sentence(on, proposed)


@pytest.mark.parametrize(
    ("before", "after", "words"), [(0.9, 0.8, "squats more"), (0.8, 0.9, "squats less"), (1.3, 1.1, "extends less")]
)
def test_the_sense_of_squat(before: float, after: float, words: str) -> None:
    on, proposed = (replace(evaluate(BIKE, SET), anti_squat=value) for value in (before, after))
    assert words in setwords.squat_sentence(on, proposed)


def test_front_load_share_by_moments() -> None:
    run = evaluate(BIKE, SET).run
    assert run.wheelbase is not None
    assert run.front_load_share == pytest.approx((0.690 + run.moved) / run.wheelbase)


def test_a_conversion_of_the_same_pitch_keeps_teeth_and_links() -> None:
    bike = demo_bike("Corvid 1000").bike
    other = conversion.in_size(bike, fitted(bike), "520")
    assert other == replace(fitted(bike), chain="520")
    before, after = evaluate(bike, fitted(bike)), evaluate(bike, other)
    told = " ".join(conversion.cautions(bike, before, after))
    assert "7.94 → 6.35 mm" in told
    assert "watch its elongation" in told
    light, heavy = conversion.drive_mass(after), conversion.drive_mass(before)
    assert light.total is not None
    assert heavy.total is not None
    assert light.total < heavy.total
    assert light.equivalent is not None
    assert light.equivalent > light.total


def test_the_felt_mass_by_energy() -> None:
    """Kinetic energy at 1 m/s, part by part: chain at r₂/R, a disc's k² is r²/2, both sprockets' rims at r₂/R."""
    result = evaluate(BIKE, SET)
    mass, radius = conversion.drive_mass(result), result.rolling_radius
    assert radius is not None
    assert None not in (mass.chain, mass.front, mass.rear)
    chain, front, rear = mass.chain or 0, mass.front or 0, mass.rear or 0
    r1, r2 = (float(pitch_radius(z, 0.015875)) for z in (15, 46))
    wheel = 1 / radius
    turning = chain * (wheel * r2) ** 2
    turning += rear * r2**2 / 2 * wheel**2 + front * r1**2 / 2 * (wheel * r2 / r1) ** 2
    assert mass.equivalent == pytest.approx(chain + front + rear + turning)


def test_a_conversion_to_another_pitch_keeps_the_ratio_and_fits_links() -> None:
    other = conversion.in_size(BIKE, SET, "428")
    assert (other.rear or 0) / (other.front or 1) == pytest.approx(46 / 15, rel=0.03)
    assert other.links in (evaluate(BIKE, other).run.links_that_fit or ())


def test_wear_of_the_demo_chain() -> None:
    """Readings over 20 links of 15.875 mm: 319.8/317.5 is 0.72 %."""
    state = wear_state(BIKE)
    assert state is not None
    assert state.readings[-1][1] == pytest.approx(319.8 / 317.5 - 1)
    assert state.finding.level == "fits"
    assert "likely between" in forecast_text(state)
    worn = with_value(BIKE, "limits", "chain_elongation_percent", 0.5)
    assert "worn out" in (wear_state(worn) or state).finding.text
    few = with_value(BIKE, "wear", "readings", ((12400, 318.2),))
    assert "second" in forecast_text(wear_state(few) or state)
    odd = with_value(BIKE, "wear", "readings", ((12400, 300.0),))
    assert "shorter than new" in (wear_state(odd) or state).finding.text
    assert wear_state(with_value(BIKE, "wear", "readings", None)) is None


@given(bikes())
@settings(max_examples=80)
def test_any_bike_can_be_drawn_converted_and_judged(bike: Bike) -> None:
    result = evaluate(bike, fitted(bike))
    view = side_view(bike, result)
    if view is not None:
        assert np.isfinite(view.chain).all()
    through_travel(bike, fitted(bike), result.run, result.rolling_radius)
    for size in ("420", "520", "630"):
        other = evaluate(bike, conversion.in_size(bike, fitted(bike), size))
        conversion.drive_mass(other)
        conversion.cautions(bike, result, other)
    state = wear_state(bike)
    if state is not None:
        assert forecast_text(state)
