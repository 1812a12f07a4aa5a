"""The contract of `gearplan numbers`."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest
from hypothesis import given, settings

from gearplan.bike.demo import demo_bike
from gearplan.bike.library import demo_bikes
from gearplan.bike.profile import Bike
from gearplan.bike.text.units import KMH, MM, RPM
from gearplan.commands.output.numbersjson import numbers
from gearplan.plan.driveset import fitted
from gearplan.plan.set.evaluate import evaluate
from tests.bike.strategies import bikes

KEYS = {
    "front", "rear", "links", "chain", "new_chain",
    "tyre", "final_ratio", "overall_ratio", "rolling_circumference_m",
    "rolling_circumference_from", "speed_at_redline_kmh", "rpm_at_100_kmh", "links_exact_at_axle_now",
    "links_at_axle_now_with_slack", "links_that_fit", "axle_position_mm", "axle_moves_mm", "fit_basis",
    "doubt", "measure_next",
    "centre_distance_mm", "wheelbase_mm",
    "wrap_front_deg", "wrap_rear_deg", "chordal_variation_percent", "verdict", "findings",
    "slack_needed_mm", "upper_run_clearance_mm", "lower_run_clearance_mm", "adjuster_left_for_elongation_percent",
    "front_load_share_percent", "rear_turns_to_meet_the_same_link", "peak_chain_tension_n", "peak_tension_limited_by",
    "centrifugal_tension_at_redline_n", "tensile_strength_n", "tensile_safety_factor", "anti_squat_percent",
    "squat_ratio", "chain_mass_kg", "top_speed_kmh", "top_speed_gear", "top_speed_limited_by", "time_0_100_s",
    "time_80_120_top_gear_s", "shift_rpm", "speedometer_indicated_at_100_kmh", "pull_assumed", "assumed",
}  # fmt: skip


def test_the_keys_are_kept() -> None:
    bike = demo_bike().bike
    answer = numbers(bike, replace(fitted(bike), front=14))
    assert set(answer) == {"fitted", "proposed"}
    assert set(answer["fitted"]) == set(answer["proposed"]) == KEYS
    for finding in answer["proposed"]["findings"]:
        assert set(finding) == {
            "level",
            "about",
            "text",
            "value",
            "limit",
            "unit",
            "source",
            "field",
            "also",
            "aside",
            "sure",
        }
        assert finding["level"] in ("fits", "check", "does not fit")


def test_values_are_those_of_the_result_in_the_units_of_the_keys() -> None:
    bike = demo_bike().bike
    chosen = replace(fitted(bike), front=14)
    result, answer = evaluate(bike, chosen), numbers(bike, chosen)["proposed"]
    assert answer["front"] == 14
    assert answer["axle_position_mm"] * MM == pytest.approx(result.run.axle_position)
    assert answer["speed_at_redline_kmh"][2] * KMH == pytest.approx((result.speed_at_redline or ())[2])
    speed = 100 * KMH
    turns = speed / (result.rolling_circumference or 0) * (result.overall_ratio or ())[4] * 60
    assert answer["rpm_at_100_kmh"][4] == pytest.approx(turns)
    assert RPM * turns == pytest.approx(turns * 2 * 3.141592653589793 / 60)
    assert answer["wrap_front_deg"] + answer["wrap_rear_deg"] == pytest.approx(360)


@given(bikes())
@settings(max_examples=60)
def test_any_answer_is_strict_json(bike: Bike) -> None:
    answer = numbers(bike, fitted(bike))
    assert json.loads(json.dumps(answer, allow_nan=False))["fitted"]["front"] == bike.final_drive.front


@pytest.mark.parametrize("name", demo_bikes())
def test_each_doubt_holds_its_value(name: str) -> None:
    bike = demo_bike(name).bike
    answer = numbers(bike, fitted(bike))["proposed"]
    assert set(answer["doubt"]) >= {
        "rolling_circumference_m", "speed_at_redline_kmh", "rpm_at_100_kmh", "axle_moves_mm", "centre_distance_mm",
        "wheelbase_mm", "front_load_share_percent", "upper_run_clearance_mm", "lower_run_clearance_mm",
        "peak_chain_tension_n", "tensile_safety_factor", "anti_squat_percent", "squat_ratio", "top_speed_kmh",
        "speedometer_indicated_at_100_kmh",
    }  # fmt: skip
    reaches = answer["time_80_120_top_gear_s"] is not None
    assert ("time_80_120_top_gear_s" in answer["doubt"]) is ("time_0_100_s" in answer["doubt"]) is reaches
    for key, (low, high) in answer["doubt"].items():
        values = answer[key]
        for least, value, most in (
            zip(low, values, high, strict=True) if isinstance(low, list) else [(low, values, high)]
        ):
            assert least <= value <= most, key
            assert least < most, key
