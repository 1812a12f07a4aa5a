"""The grid tells the same story as the single set."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings

from gearplan.bike.demo import demo_bike
from gearplan.bike.library import demo_bikes
from gearplan.bike.profile import Bike, FinalDrive, with_value
from gearplan.plan.driveset import fitted
from gearplan.plan.set.evaluate import evaluate
from gearplan.plan.set.grid import evaluate_grid, front_exchanges
from tests.bike.strategies import bikes

FRONTS, REARS = tuple(range(12, 19)), tuple(range(36, 53))


def assert_same_story(bike: Bike, fronts: tuple[int, ...], rears: tuple[int, ...]) -> None:
    grid = evaluate_grid(bike, fitted(bike), fronts, rears)
    for row in range(len(rears)):
        for column in range(len(fronts)):
            result = evaluate(bike, grid.set_at(row, column))
            assert grid.levels[row][column] == result.verdict, grid.set_at(row, column)
            assert grid.ratio[row, column] == pytest.approx(result.final_ratio)
            fitting = result.run.links_that_fit
            assert (grid.links[row][column] is None) == (not fitting)
            if fitting:
                assert grid.links[row][column] in fitting


@pytest.mark.parametrize("name", demo_bikes())
def test_every_cell_agrees_with_its_set(name: str) -> None:
    assert_same_story(demo_bike(name).bike, FRONTS, REARS)


@given(bikes())
@settings(max_examples=40)
def test_every_cell_agrees_on_any_bike(bike: Bike) -> None:
    assert_same_story(bike, (9, 15, 60), (9, 45, 150))
    if bike.final_drive.front and bike.final_drive.rear:
        assert_same_story(bike, (bike.final_drive.front,), (bike.final_drive.rear,))


@pytest.mark.parametrize("ahead", [1411.0, 1410.0])
def test_a_centre_of_mass_over_or_beyond_the_front_axle_has_no_strength_to_judge(ahead: float) -> None:
    """No load on the rear tyre, so nothing pulls: a typical wheelbase of 1410 mm against what was entered."""
    bike = demo_bike().bike
    chassis = replace(bike.chassis, wheelbase_mm=None, com_height_mm=None, com_ahead_of_rear_axle_mm=ahead)
    bare = replace(bike, kind="sport", chassis=replace(chassis, axle_now_mm=None), final_drive=FinalDrive(chain="520"))
    assert evaluate(bare, replace(fitted(bare), front=15, rear=46)).strength.peak_tension is None
    assert_same_story(bare, FRONTS, REARS)


def test_the_chain_at_hand_is_kept_where_it_fits() -> None:
    bike = demo_bike().bike
    grid = evaluate_grid(bike, fitted(bike), FRONTS, REARS)
    cell = grid.cell_of(14, 46)
    assert cell is not None
    assert grid.links[cell[0]][cell[1]] == 112


def test_nearly_the_same_ratio() -> None:
    bike = demo_bike().bike
    grid = evaluate_grid(bike, fitted(bike), FRONTS, REARS)
    near = grid.near(46 / 15, 0.01)
    found = {(grid.fronts[c], grid.rears[r]) for r, c in zip(*near.nonzero(), strict=True)}
    by_hand = {(f, r) for f in FRONTS for r in REARS if abs(r / f / (46 / 15) - 1) <= 0.01}
    assert found == by_hand
    assert (14, 43) in found


def test_the_exchange_is_exact_and_not_the_rule_of_thumb() -> None:
    """15/46 → 14: as 46·15/14 − 46 = 3.286 rear teeth; the nearest to the ratio is 14/43, by hand +0.155 %."""
    fewer, more = front_exchanges(fitted(demo_bike().bike))
    assert fewer.rear_worth == pytest.approx(3.2857, abs=1e-4)
    assert (fewer.front, fewer.rear_nearest) == (14, 43)
    assert fewer.off == pytest.approx(0.001553, abs=1e-6)
    assert more.rear_worth == pytest.approx(46 * 15 / 16 - 46)


def test_the_rule_of_thumb_holds_only_at_a_ratio_of_two() -> None:
    """One front tooth ≈ two rear (common practice, no source) holds where rear/front = 2, up to 1/front."""
    for front in (100, 1000):
        chosen = replace(fitted(demo_bike().bike), front=front, rear=2 * front)
        fewer, more = front_exchanges(chosen)
        assert fewer.rear_worth == pytest.approx(2, rel=1.1 / front)
        assert more.rear_worth == pytest.approx(-2, rel=1.1 / front)


def test_an_unfinished_bike_has_a_grid_of_ratios() -> None:
    bike = with_value(demo_bike().bike, "chassis", "axle_range_mm", None)
    grid = evaluate_grid(bike, fitted(bike), FRONTS, REARS)
    assert all(level != "fits" for row in grid.levels for level in row)
    assert grid.ratio.shape == (len(REARS), len(FRONTS))
