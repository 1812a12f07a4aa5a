"""Entered facts that contradict each other are told, and a verdict says first whether the chain fits."""

from __future__ import annotations

import itertools
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from gearplan.bike import checks
from gearplan.bike.circuit import Circuit, Section
from gearplan.bike.demo import demo_bike
from gearplan.bike.library import demo_bikes
from gearplan.bike.profile import Bike, with_value
from gearplan.bike.sections.doubts import doubts
from gearplan.drive.chain import chainrun
from gearplan.plan.chain.reach import swingarm
from gearplan.plan.choices.candidates import candidates
from gearplan.plan.choices.space import default_space
from gearplan.plan.driveset import DriveSet, fitted
from gearplan.plan.findings import Finding
from gearplan.plan.set import conversion
from gearplan.plan.set.evaluate import SetResult, evaluate
from gearplan.plan.set.grid import evaluate_grid
from gearplan.plan.set.speedometer import speedometer_finding
from gearplan.plan.set.verdict import verdict
from gearplan.plan.set.words import slack_sentence

BIKE = demo_bike().bike


def changed(**values: Any) -> Bike:
    """The demo bike with fields, named section__key, changed."""
    made = BIKE
    for place, value in values.items():
        section, key = place.split("__")
        made = with_value(made, section, key, value)
    return made


def about(result: SetResult, what: str) -> list[Finding]:
    return [f for f in result.findings if f.about == what]


def problems(bike: Bike) -> dict[str, str]:
    found: dict[str, str] = {}
    for p in checks.check_bike(bike):
        found[f"{p.section}.{p.key}"] = f"{found.get(f'{p.section}.{p.key}', '')} {p.text}"
    return found


@pytest.mark.parametrize(
    ("place", "value", "told"),
    [
        (
            "gearbox.primary",
            (82, 44),
            "82/44 teeth is 0.537, below 1. Are driver and driven swapped? The driving gear comes first: 44/82.",
        ),
        (
            "gearbox.primary",
            0.537,
            "The primary ratio is 0.537, below 1. Are driver and driven swapped? The ratio is driven ÷ driver",
        ),
        (
            "gearbox.gears",
            ((39, 14), (39, 19)),
            "of 39/14 teeth is 0.359, below 1. Are driver and driven swapped? The driving gear comes first: 14/39.",
        ),
        ("final_drive.front", 46, "A front sprocket of 46 teeth is not smaller than the rear one of 46"),
        ("chassis.com_height_mm", 62.0, "A centre of mass 62 mm above the road is unusual"),
        ("chassis.com_ahead_of_rear_axle_mm", 1500.0, "lies beyond the front axle, 1415 mm ahead"),
        ("service.slack_range_mm", (45.0, 55.0), "30 mm lies outside the service data's 45 to 55 mm"),
    ],
)
def test_what_can_hardly_be_meant_is_told_at_its_field_and_in_the_verdict(place: str, value: object, told: str) -> None:
    bike = changed(**{place.replace(".", "__"): value})
    found = problems(bike)
    field = "chassis.slack_mm" if place == "service.slack_range_mm" else place
    assert told in found[field]
    result = evaluate(bike, fitted(bike))
    assert result.verdict != "fits"
    assert any(told in f.text and f.field == field for f in result.findings)


def test_no_demo_bike_contradicts_itself() -> None:
    for name in demo_bikes():
        bike = demo_bike(name).bike
        assert checks.check_bike(bike) == ()
        assert not about(evaluate(bike, fitted(bike)), "chain as fitted")
        assert not [f for f in about(evaluate(bike, fitted(bike)), "anti-squat") if f.level != "fits"]


def taut_at(bike: Bike) -> float:
    """Where a new chain of the fitted links is bar-tight, mm, found by walking along the arm."""
    on, c = bike.final_drive, bike.chassis
    place, angle = c.sprocket_from_pivot_mm, np.radians(c.swingarm_angle_deg or 0.0)
    assert place is not None
    at = np.linspace(500.0, 650.0, 150_001) / 1e3
    centre = chainrun.centre_distance(at, angle, (place[0] or 0) / 1e3, (place[1] or 0) / 1e3)
    links = chainrun.links_taut(centre, on.front or 0, on.rear or 0, 15.875e-3)
    return float(1e3 * at[np.argmin(np.abs(links - (on.links or 0)))])


def test_an_axle_behind_where_new_links_are_tight_tells_the_wear_or_the_error() -> None:
    unmeasured = changed(wear__readings=None)
    tight = taut_at(BIKE)

    def at(axle: float) -> SetResult:
        return evaluate(with_value(unmeasured, "chassis", "axle_now_mm", axle), fitted(unmeasured))

    (told,) = about(at(tight + 2.0), "chain as fitted")
    assert f"A new chain of 112 links is tight at {tight:.1f} mm" in told.text
    # The axle goes back by about half of what the chain is longer.
    assert "worn by 0.2 % or more, or a measurement is 2.0 mm off" in told.text
    longer = 2 * 2.0 / (112 * 15.875)
    assert round(100 * longer, 1) == 0.2
    assert not about(at(tight + 0.4), "chain as fitted")
    assert (told.level, told.aside, told.field) == ("check", True, "chassis.axle_now_mm")
    assert at(tight + 2.0).verdict == "fits"


@pytest.mark.parametrize("by", [19.0, -6.0])
def test_an_axle_that_no_wear_explains_is_a_check(by: float) -> None:
    bike = changed(chassis__axle_now_mm=taut_at(BIKE) + by, chassis__axle_range_mm=(500.0, 640.0))
    (told,) = about(evaluate(bike, fitted(bike)), "chain as fitted")
    assert (told.level, told.aside) == ("check", False)
    assert "Count the links and teeth and measure again." in told.text


def test_slack_as_asked_for_and_a_little_more_are_in_order() -> None:
    for by in (-0.2, -1.0, -1.8):
        bike = changed(chassis__axle_now_mm=taut_at(BIKE) + by, wear__readings=None)
        assert not about(evaluate(bike, fitted(bike)), "chain as fitted")


def test_an_anti_squat_that_no_motorcycle_has() -> None:
    bike = changed(chassis__com_height_mm=62.0)
    (told,) = [f for f in about(evaluate(bike, fitted(bike)), "anti-squat") if f.level == "check"]
    assert "far from what motorcycles have" in told.text


@pytest.mark.parametrize("end", ["front", "rear"])
def test_near_an_end_of_the_adjuster_is_a_check_and_still_says_that_it_fits(end: str) -> None:
    at = evaluate(BIKE, fitted(BIKE)).run.axle_position
    assert at is not None
    mm = 1e3 * at
    reach = (mm - 0.8, mm + 40) if end == "front" else (mm - 40, mm + 0.8)
    bike = changed(chassis__axle_range_mm=reach)
    (told,) = about(evaluate(bike, fitted(bike)), "chain length")
    assert told.level == "check"
    assert told.text.startswith("112 links fit: ")
    assert f"within 3 mm of the {end} end" in told.text
    wide = changed(chassis__axle_range_mm=(mm - 3.1, mm + 40))
    assert about(evaluate(wide, fitted(wide)), "chain length")[0].level == "fits"


def bikes_at_ends() -> list[Bike]:
    by = [(-0.5, 40.0), (-2.9, 30.0), (-30.0, 2.0), (-10.0, 20.0)]
    at = 1e3 * (evaluate(BIKE, fitted(BIKE)).run.axle_position or 0.0)
    made = [changed(chassis__axle_range_mm=(at + low, at + high)) for low, high in by]
    sensors = [
        changed(speedometer__sensor=sensor, speedometer__indicated_over_true=over)
        for sensor, over in itertools.product(("output shaft", "front wheel"), (0.99, 1.0, 1.06))
    ]
    return [*made, *sensors]


@pytest.mark.parametrize("bike", bikes_at_ends())
def test_grid_and_choices_say_what_each_set_alone_says(bike: Bike) -> None:
    fronts, rears = tuple(range(12, 20)), tuple(range(13, 52, 3))
    grid = evaluate_grid(bike, fitted(bike), fronts, rears)
    for row, column in itertools.product(range(len(rears)), range(len(fronts))):
        assert grid.levels[row][column] == evaluate(bike, grid.set_at(row, column)).verdict
    found = candidates(bike, default_space(bike, fronts=(13, 17), rears=(40, 50)))
    for k in range(found.count):
        assert found.level_at(k) == evaluate(bike, found.set_at(k)).verdict


def test_a_speedometer_that_no_rule_allows_is_no_plain_fit() -> None:
    bike = changed(speedometer__sensor="output shaft", speedometer__indicated_over_true=1.05)
    shorter = DriveSet(16, 46, 112, "520")
    finding = speedometer_finding(bike, shorter)
    assert finding is not None
    result = evaluate(bike, shorter)
    assert finding.level == "check"
    assert "less than true, which no rule allows" in finding.text
    assert result.verdict != "fits"
    assert finding in result.findings
    assert about(result, "chain length")[0].text.startswith("112 links")
    said = verdict(result)
    assert said.head == "Fits, 1 caution"
    assert said.told[0] == finding.text
    assert said.passed[0].startswith("112 links")


def test_the_fit_and_the_strength_are_said_beside_every_check() -> None:
    chosen = replace(fitted(BIKE), chain="525")
    result = evaluate(BIKE, chosen)
    said = verdict(result)
    for subject in ("chain length", "chain size", "chain strength"):
        assert about(result, subject)[0].text in said.told + said.passed


def test_a_suggested_count_fits_without_a_check_where_there_is_one() -> None:
    """118 links are too long; 116 would end near the adjuster's end, 114 not."""
    at = {n: 1e3 * (evaluate(BIKE, replace(fitted(BIKE), links=n)).run.axle_position or 0.0) for n in (112, 114, 116)}
    bike = changed(chassis__axle_range_mm=(at[112] + 4, at[116] + 1.5), limits__chain_elongation_percent=0.5)
    assert evaluate(bike, replace(fitted(bike), links=118)).run.links_that_fit == (114, 116)
    assert evaluate(bike, replace(fitted(bike), links=118)).run.links_to_order == 114
    assert evaluate_grid(bike, replace(fitted(bike), links=118), (15,), (46,)).links == [[114]]
    assert evaluate(bike, replace(fitted(bike), links=116)).run.links_to_order == 116


def test_slack_changes_with_the_axle_as_is_told() -> None:
    result = evaluate(BIKE, fitted(BIKE))
    arm = swingarm(BIKE)
    assert not isinstance(arm, Finding)
    rate, at = result.run.slack_per_axle, result.run.axle_position
    assert rate is not None
    assert at is not None
    z1, z2, pitch = 15, 46, result.run.pitch or 0.0

    def slack(axle: float) -> float:
        centre = chainrun.centre_distance(axle, arm.angle, arm.forward, arm.up)
        spare = pitch * (112 - chainrun.links_taut(centre, z1, z2, pitch))
        return float(chainrun.slack_for_excess(chainrun.tangent_length(centre, z1, z2, pitch), spare))

    step = 1e-6
    assert rate == pytest.approx((slack(at - step) - slack(at + step)) / (2 * step), rel=1e-6)
    assert 8e-3 < 0.25e-3 * rate < 17e-3
    told = slack_sentence(result, 0.03, in_slot=True)
    assert f"0.25 mm of axle changes it by about {250 * rate * 1e-3:.0f} mm" in told
    assert "26 mm" not in told


def test_only_a_narrower_chain_is_said_to_wear_faster() -> None:
    before = evaluate(BIKE, fitted(BIKE))
    said = {
        size: " ".join(conversion.cautions(BIKE, before, evaluate(BIKE, replace(fitted(BIKE), chain=size))))
        for size in ("530", "525")
    }
    assert "narrower" not in said["530"]
    wide = with_value(BIKE, "final_drive", "chain", "530")
    narrow = conversion.cautions(wide, evaluate(wide, fitted(wide)), before)
    assert "A narrower chain" in " ".join(narrow)


@pytest.mark.parametrize(
    ("now", "then", "named", "silent"),
    [
        ("530", "630", "Pitch 15.875 → 19.05 mm", "width"),
        ("530", "525", "Inner width 9.53 → 7.94 mm", "itch"),
        ("530", "532", "Rollers 10.16 → 11.1 mm", "width"),
    ],
)
def test_another_chain_size_is_told_only_in_what_changes(now: str, then: str, named: str, silent: str) -> None:
    """The dimensions are those of the table of chain sizes, `gearplan/resources/tables/chains.csv`."""
    bike = with_value(BIKE, "final_drive", "chain", now)
    before, after = evaluate(bike, fitted(bike)), evaluate(bike, replace(fitted(bike), chain=then))
    finding = about(after, "chain size")[0].text
    assert f"Chain {then} in place of {now}: both sprockets and the chain change together" in finding
    cautions = " ".join(conversion.cautions(bike, before, after)[:-1])
    for told in (finding, cautions):
        assert named.lower() in told.lower()
        assert silent not in told


def test_a_corner_beyond_the_tyre_s_grip_is_told() -> None:
    """62 km/h round 150° in 50 m: (62/3.6)² / (50/(150·π/180)) = 15.5 m/s², 1.58 g."""
    ring = Circuit("r", (Section("straight", 300.0), Section("corner", 50.0, apex_kmh=62.0, turn_deg=150.0)))
    assert any("ask for 1.58 g to the side, more than the tyre's grip of 1.25" in d.text for d in doubts(ring, 1.25))
    assert doubts(ring, 1.6) == doubts(ring) == ()
    own = Circuit("r", (Section("corner", 50.0, radius_m=40.0, turn_deg=150.0, grip=1.5),))
    assert any("own grip to the side, 1.5, is more than the tyre's, 1.25" in d.text for d in doubts(own, 1.25))
