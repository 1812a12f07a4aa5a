"""What the axle's reach rests on, and that all judge by the same one."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

import pytest

from gearplan.bike.demo import demo_bike
from gearplan.bike.files.bikefile import bike_from_text, text_with
from gearplan.bike.profile import Bike, Chassis, Wear, with_value
from gearplan.commands.output.numbersjson import numbers
from gearplan.plan.chain.reach import Reach, reach
from gearplan.plan.choices.candidates import candidates
from gearplan.plan.choices.space import default_space
from gearplan.plan.driveset import DriveSet, fitted
from gearplan.plan.findings import Finding
from gearplan.plan.set.evaluate import evaluate
from gearplan.plan.set.grid import evaluate_grid

BIKE = demo_bike().bike


def by_adjuster(**chassis: Any) -> Bike:
    return replace(BIKE, chassis=Chassis(**({"adjuster_left_mm": (8.0, 14.0)} | chassis)), wear=Wear())


def as_fitted(bike: Bike) -> list[Finding]:
    return [f for f in evaluate(bike, fitted(bike)).findings if f.about in ("chain as fitted", "where the axle stands")]


def known(bike: Bike) -> Reach:
    found = reach(bike)
    assert isinstance(found, Reach)
    return found


@pytest.mark.parametrize("left", [(8.0, 14.0), (5.0, 5.0), (3.0, 30.0)])
def test_grid_and_choices_judge_by_the_adjuster_as_the_single_sets(left: tuple[float, float]) -> None:
    bike = by_adjuster(adjuster_left_mm=left)
    fronts, rears = tuple(range(13, 18)), tuple(range(42, 51))
    grid = evaluate_grid(bike, fitted(bike), fronts, rears)
    for row in range(len(rears)):
        for column in range(len(fronts)):
            chosen = grid.set_at(row, column)
            one = evaluate(bike, chosen)
            assert grid.levels[row][column] == one.verdict, chosen
            assert grid.links[row][column] == one.run.links_to_order, chosen
    found = candidates(bike, default_space(bike))
    assert found.fits_known
    for k in range(0, found.count, 7):
        one = evaluate(bike, found.set_at(k))
        assert found.level_at(k) == one.verdict, found.set_at(k)
        assert found.moved[k] == pytest.approx(one.run.moved)


def test_the_basis_is_the_swingarm_where_it_is_whole_and_the_adjuster_else() -> None:
    assert known(BIKE).basis == "swingarm"
    for key in ("sprocket_from_pivot_mm", "swingarm_angle_deg", "slack_mm"):
        # The ends and where the axle stands say what is left in the adjuster.
        found = known(with_value(BIKE, "chassis", key, None))
        assert found.basis == "adjuster"
        assert found.now - found.axle_in == pytest.approx(0.583 - 0.558)
        assert found.axle_out - found.now == pytest.approx(0.594 - 0.583)
    run = evaluate(by_adjuster(), fitted(BIKE)).run
    assert (run.basis, run.axle_position, run.slack_needed) == ("adjuster", None, None)


def test_an_axle_that_was_not_read_stands_where_adjuster_or_chain_say() -> None:
    bike = with_value(BIKE, "chassis", "axle_now_mm", None)
    # By the chain: 112 links worn by 0.72 %; the demo's axle was read at 583 mm.
    assert known(bike).now == pytest.approx(0.583, abs=1e-3)
    left = with_value(bike, "chassis", "adjuster_left_mm", (20.0, 16.0))
    assert known(left).now == pytest.approx(0.578)


def test_a_measured_chain_goes_before_a_tape_and_a_tape_before_a_guess() -> None:
    taped = by_adjuster(centre_distance_mm=645.0)
    assert known(taped).now == pytest.approx(0.645)
    measured = with_value(taped, "final_drive", "elongation_percent", 0.4)
    assert known(measured).now == pytest.approx(evaluate(taped, fitted(taped)).run.centre_distance * 1.004)  # type: ignore[operator]
    doubts = [known(one).doubt for one in (measured, taped, by_adjuster())]
    assert doubts == sorted(doubts)


def test_a_tape_that_no_chain_explains_is_told() -> None:
    (told,) = as_fitted(by_adjuster(centre_distance_mm=662.0))
    assert told.level == "check"
    assert told.field == "chassis.centre_distance_mm"
    assert "662 mm from sprocket shaft to axle does not go with 112 links on 15/46" in told.text
    assert not as_fitted(by_adjuster(centre_distance_mm=645.0))


def test_what_every_sets_way_is_counted_from_is_told_of_every_set_and_in_the_grid() -> None:
    taped = by_adjuster(centre_distance_mm=662.0)
    other = replace(fitted(taped), front=14)
    told = [f for f in evaluate(taped, other).findings if f.about == "where the axle stands"]
    assert told == as_fitted(taped)
    grid = evaluate_grid(taped, fitted(taped), (14, 15, 16), (45, 46, 47))
    for row in range(3):
        assert grid.levels[row] == [evaluate(taped, grid.set_at(row, column)).verdict for column in range(3)]
        assert "fits" not in grid.levels[row]


@pytest.mark.parametrize("links", [60, 300])
def test_a_count_that_no_motorcycle_has_is_told(links: int) -> None:
    bike = with_value(by_adjuster(), "final_drive", "links", links)
    (told,) = as_fitted(bike)
    assert told.level == "check"
    assert told.text.startswith(f"{links} links on 15/46 put the axle ")
    assert "where no motorcycle has it" in told.text
    assert told in evaluate(bike, replace(fitted(bike), front=14)).findings


def test_an_adjuster_that_none_is_is_told() -> None:
    (told,) = as_fitted(by_adjuster(adjuster_left_mm=(8.0, 140.0)))
    assert told.text == "8 mm and 140 mm left in the adjuster: no adjuster is so long. Read it again."
    assert not as_fitted(by_adjuster(adjuster_left_mm=(40.0, 60.0)))
    bike = by_adjuster(adjuster_left_mm=(0.0, 0.0))
    (length,) = (f for f in evaluate(bike, fitted(bike)).findings if f.about == "chain length")
    assert length.text.endswith("enter what is left in the adjuster, which is not 0 mm both ways.")


def test_a_tape_against_the_swingarm_is_told() -> None:
    unmeasured = replace(BIKE, wear=Wear(), chassis=replace(BIKE.chassis, centre_distance_mm=641.0))
    (told,) = (f for f in as_fitted(unmeasured) if f.field == "chassis.centre_distance_mm")
    assert "does not go with the swingarm's figures, which make it 646 mm" in told.text


def test_what_is_left_in_the_adjuster_against_its_ends_is_told() -> None:
    agrees = with_value(BIKE, "chassis", "adjuster_left_mm", (25.0, 11.0))
    assert not as_fitted(agrees)
    (told,) = as_fitted(with_value(BIKE, "chassis", "adjuster_left_mm", (15.0, 21.0)))
    assert told.text == (
        "15 mm and 21 mm left in the adjuster do not go with pivot to axle, which leaves 25 mm and 11 mm forward and "
        "back. Measure again."
    )
    both = with_value(with_value(agrees, "chassis", "axle_now_mm", None), "chassis", "adjuster_left_mm", (30.0, 20.0))
    assert any("50 mm left in the adjuster" in told.text for told in as_fitted(both))


def test_an_axle_that_the_measured_wear_does_not_explain_is_told() -> None:
    (told,) = as_fitted(with_value(BIKE, "chassis", "axle_now_mm", 590.0))
    assert (told.level, told.aside) == ("check", False)
    assert "With 112 links and 0.7 % of wear the axle stands at 583 mm, but it was read at 590 mm." in told.text


@pytest.mark.parametrize(
    ("key", "value"),
    [("elongation_percent", 5.5), ("elongation_percent", -0.1), ("adjuster_left_mm", (8.0, 220.0))],
)
def test_what_cannot_be_is_refused(key: str, value: object) -> None:
    section = "final_drive" if key == "elongation_percent" else "chassis"
    text = text_with(with_value(BIKE, section, key, value), "")
    with pytest.raises(ValueError, match=key):
        bike_from_text(text, "x")


def test_the_same_file_measured_fully_says_the_same_with_a_smaller_doubt() -> None:
    """From the adjuster alone, then with the chain measured, then with the whole swingarm."""
    c = BIKE.chassis
    left = replace(BIKE, chassis=Chassis(adjuster_left_mm=(25.0, 11.0), wheelbase_mm=c.wheelbase_mm), wear=Wear())
    chain = with_value(left, "final_drive", "elongation_percent", 0.72)
    whole = replace(chain, chassis=replace(c, adjuster_left_mm=(25.0, 11.0)))
    answers = [
        json.loads(json.dumps(numbers(one, DriveSet(14, 46, 112, "520"))))["proposed"] for one in (left, chain, whole)
    ]
    assert [one["fit_basis"] for one in answers] == ["adjuster", "adjuster", "swingarm"]
    ranges = [one["doubt"]["axle_moves_mm"] for one in answers]
    for (low, high), one in zip(ranges, answers, strict=True):
        assert low <= one["axle_moves_mm"] <= high
        assert low <= answers[-1]["axle_moves_mm"] <= high
        assert 112 in one["links_that_fit"]
    widths = [high - low for low, high in ranges]
    assert widths[0] > widths[1] >= widths[2]


@pytest.mark.parametrize(("rear", "told"), [(80, False), (150, True)])
def test_a_wrap_above_the_least_advised_is_not_told(rear: int, told: bool) -> None:
    """By hand: 11/80 wraps the front by some 150°, 11/150 by some 110°; 120° is the least advised."""
    bike = by_adjuster(adjuster_left_mm=(20.0, 20.0))
    links = known(bike)
    chosen = DriveSet(11, rear, 2 * round((2 * links.now / 0.015875 + (11 + rear) / 2 + 6) / 2), "520")
    found = evaluate(bike, chosen)
    assert found.run.wrap_front is not None
    assert (found.run.wrap_front < 120 * 0.0174533) is told
    assert bool([f for f in found.findings if f.about == "wrap"]) is told
