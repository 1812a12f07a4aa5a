"""One set's numbers and findings."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gearplan.bike.demo import demo_bike
from gearplan.bike.files.bikefile import bike_from_text, text_with
from gearplan.bike.library import demo_bikes
from gearplan.bike.profile import SECTIONS, Bike, entries, with_value
from gearplan.bike.text.units import KMH, MM
from gearplan.drive.chain import chainrun
from gearplan.plan.driveset import DriveSet, fitted, refusal
from gearplan.plan.findings import Finding
from gearplan.plan.set.evaluate import SetResult, evaluate
from gearplan.setup.wornchain import reading_elongations
from tests.bike.strategies import bikes

BRINDLE = demo_bike("Brindle 650").bike
WREN = demo_bike("Wren 125").bike


def about(result: SetResult, subject: str) -> Finding:
    [found] = [f for f in result.findings if f.about == subject]
    return found


def chosen(**parts: object) -> SetResult:
    return evaluate(BRINDLE, replace(fitted(BRINDLE), **parts))  # type: ignore[arg-type]


def test_speed_in_top_by_hand() -> None:
    """10500 rpm · 1.955 m / (75/43 · 23/23 · 46/15), worked with a pocket calculator: 230.3 km/h."""
    speed = evaluate(BRINDLE, fitted(BRINDLE)).speed_at_redline
    assert speed is not None
    assert speed[-1] / KMH == pytest.approx(230.26, abs=0.01)
    assert speed[0] / KMH == pytest.approx(93.55, abs=0.01)


@pytest.mark.parametrize("name", demo_bikes())
def test_demo_bikes_fit_as_they_stand(name: str) -> None:
    bike = demo_bike(name).bike
    result = evaluate(bike, fitted(bike))
    assert about(result, "chain length").level == "fits"
    assert result.run.axle_position is not None
    assert bike.chassis.axle_now_mm is not None
    worn = bike.final_drive.elongation_percent or 100 * (reading_elongations(bike) or (0.0,))[-1]
    # A chain that is longer by 1 % lets the axle stand some 6.3 mm farther back.
    stands = result.run.axle_position / MM + 6.3 * worn
    assert stands == pytest.approx(bike.chassis.axle_now_mm, abs=2)


def test_the_axle_position_has_the_slack_asked_for() -> None:
    """Walk back from the axle position to the links by the forward formula."""
    result = chosen(front=14, rear=44)
    arm = (math.radians(8.5), 0.062, 0.013)
    assert result.run.axle_position is not None
    centre = chainrun.centre_distance(result.run.axle_position, *arm)
    assert chainrun.links_at_slack(centre, 14, 44, 0.015875, 0.030) == pytest.approx(112, abs=1e-9)
    assert result.run.centre_distance == pytest.approx(float(centre))


def test_two_links_move_the_axle_by_about_a_pitch() -> None:
    one, more = chosen(links=112).run.axle_position, chosen(links=114).run.axle_position
    assert one is not None
    assert more is not None
    assert (more - one) / 0.015875 == pytest.approx(1.0, abs=0.03)


def test_a_chain_that_is_too_short_or_too_long_says_what_would_fit() -> None:
    short = about(chosen(rear=56), "chain length")
    assert short.level == "does not fit"
    assert "112 links are too short" in short.text
    assert "116 or 118 links fit" in short.text
    assert short.limit == 558
    assert short.value is not None
    assert short.value < 558
    long = about(chosen(rear=36), "chain length")
    assert "112 links are too long" in long.text
    assert long.limit == 594


@pytest.mark.parametrize("links", [110, 112])
def test_links_that_fit_do_fit(links: int) -> None:
    result = chosen(links=links)
    assert links in (result.run.links_that_fit or ())
    assert about(result, "chain length").level == "fits"


def test_a_short_adjuster_may_have_no_even_count() -> None:
    bike = with_value(BRINDLE, "chassis", "axle_range_mm", (570, 575))
    finding = about(evaluate(bike, fitted(bike)), "chain length")
    assert finding.level == "does not fit"
    assert "No even count fits: the adjuster takes" in finding.text


def test_an_odd_count_needs_an_offset_link() -> None:
    assert "offset link" in about(chosen(links=113), "chain length").text
    assert chosen(links=113).verdict == "does not fit"


def test_a_chain_far_too_short_is_said_and_not_computed() -> None:
    result = chosen(links=40)
    assert "do not even reach round" in about(result, "chain length").text
    assert result.run.axle_position is None


def test_sprockets_that_touch_are_said() -> None:
    short = with_value(BRINDLE, "chassis", "axle_range_mm", (400, 440))
    result = evaluate(short, replace(fitted(short), front=60, rear=150))
    assert "would touch" in about(result, "chain length").text
    assert result.run.links_that_fit == ()


def test_the_profile_s_own_smallest_front_rules() -> None:
    finding = about(chosen(front=13), "front sprocket")
    assert (finding.level, finding.value, finding.limit) == ("does not fit", 13, 14)
    assert about(chosen(front=14), "front sprocket").level == "fits"


def test_without_a_limit_common_practice_is_only_a_check() -> None:
    finding = about(evaluate(WREN, replace(fitted(WREN), front=11)), "front sprocket")
    assert (finding.level, finding.limit) == ("check", 12)
    assert "common practice" in finding.source
    assert "no source" in finding.source


def test_another_chain_size_is_pointed_out() -> None:
    finding = about(chosen(chain="525"), "chain size")
    assert "both sprockets and the chain change together" in finding.text


def test_another_tyre_goes_by_its_size_and_says_so() -> None:
    result = chosen(tyre="190/50 ZR 17")
    assert result.rolling_circumference == pytest.approx(0.97 * math.pi * 0.6218, rel=1e-9)
    assert about(result, "rolling circumference").level == "check"
    assert "assumed" in about(result, "rolling circumference").text


def test_the_same_tyre_written_otherwise_keeps_its_measure() -> None:
    assert chosen(tyre="180/55-17").rolling_circumference == pytest.approx(1.955)


def test_the_wheelbase_moves_with_the_axle() -> None:
    """The axle moves along an arm 8.5° below level: cos 8.5° of it is wheelbase."""
    one, other = chosen(), chosen(rear=44)
    assert one.run.wheelbase is not None
    assert other.run.wheelbase is not None
    assert one.run.axle_position is not None
    assert other.run.axle_position is not None
    moved = other.run.axle_position - one.run.axle_position
    assert moved > 0.005
    assert other.run.wheelbase - one.run.wheelbase == pytest.approx(moved * math.cos(math.radians(8.5)))


def test_a_miscounted_chain_is_noticed() -> None:
    bike = with_value(BRINDLE, "final_drive", "links", 114)
    assert "Count the links" in about(evaluate(bike, fitted(bike)), "chain as fitted").text


@pytest.mark.parametrize("section", SECTIONS)
def test_each_missing_field_is_a_finding_and_never_a_crash(section: str) -> None:
    for key, _ in entries(section):
        bike = with_value(BRINDLE, section, key, None)
        result = evaluate(bike, fitted(bike))
        full = evaluate(BRINDLE, fitted(BRINDLE))
        lost = [
            name
            for name in ("overall_ratio", "speed_at_redline", "rolling_circumference")
            if getattr(full, name) is not None and getattr(result, name) is None
        ]
        lost += [
            name
            for name in type(full.run).__slots__
            if getattr(full.run, name) is not None and getattr(result.run, name) is None
        ]
        named = any(f.field == f"{section}.{key}" or f"[{section}] {key}" in f.for_file for f in result.findings)
        assert named or not lost, (section, key, lost)


def test_an_empty_profile_names_what_to_enter() -> None:
    result = evaluate(Bike(), fitted(Bike()))
    assert result.verdict == "check"
    places = " ".join(f.for_file for f in result.findings)
    for place in ("redline_rpm", "[gearbox] gears", "[tyre] size", "[final_drive] chain"):
        assert place in places


def test_a_contradiction_is_a_finding() -> None:
    bike = with_value(BRINDLE, "engine", "idle_rpm", 6000)
    bike = with_value(bike, "engine", "redline_rpm", 5000)
    assert about(evaluate(bike, fitted(bike)), "profile").level == "check"


@given(bikes(), st.integers(9, 60), st.integers(9, 150))
@settings(max_examples=150)
def test_any_bike_can_be_evaluated(bike: Bike, front: int, rear: int) -> None:
    result = evaluate(bike, replace(fitted(bike), front=front, rear=rear))
    assert result.final_ratio == pytest.approx(rear / front)
    assert all(f.text and f.level for f in result.findings)
    for value in (*(result.speed_at_redline or ()), *(result.overall_ratio or ())):
        assert math.isfinite(value)


@given(bikes())
@settings(max_examples=60)
def test_a_saved_bike_evaluates_the_same(bike: Bike) -> None:
    again = bike_from_text(text_with(bike, ""), "x").bike
    assert evaluate(again, fitted(again)) == evaluate(bike, fitted(bike))


def test_absurd_sets_are_refused_before_they_are_computed() -> None:
    assert refusal(DriveSet(15, 46, 112, "520")) is None
    assert "Front sprocket" in str(refusal(DriveSet(5, 46, 112, "520")))
    assert "Tyre" in str(refusal(DriveSet(15, 46, 112, "520", "wide")))


@pytest.mark.parametrize(
    ("safety", "level"), [(1.98, "does not fit"), (2.02, "check"), (2.97, "check"), (3.03, "fits")]
)
def test_the_chain_is_refused_below_2_and_doubted_below_3(safety: float, level: str) -> None:
    """Tensile strength chosen for the safety wanted, from the peak tension found."""
    peak = evaluate(BRINDLE, fitted(BRINDLE)).strength.peak_tension
    assert peak is not None
    bike = with_value(BRINDLE, "final_drive", "chain_tensile_kn", safety * peak / 1e3)
    result = evaluate(bike, fitted(bike))
    assert result.strength.safety == pytest.approx(safety)
    assert about(result, "chain strength").level == level
    assert about(result, "chain strength").limit == (2.0 if level == "does not fit" else 3.0)
