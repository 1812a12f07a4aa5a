"""What must hold for every set: monotony, inverses, sums."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gearplan.drive import gearing, sprocket
from gearplan.drive.chain import chainrun

FRONT, REAR = st.integers(9, 25), st.integers(25, 70)
PITCH = st.sampled_from([0.0127, 0.015875, 0.01905])
CENTRE = st.floats(0.45, 0.9)
SLACK = st.floats(0.0, 0.08)
GEARS = st.lists(st.floats(0.5, 4), min_size=1, max_size=7).map(lambda g: np.array(sorted(g, reverse=True)))
ARM = st.tuples(st.floats(-0.2, 0.5), st.floats(-0.1, 0.15), st.floats(-0.1, 0.1))


@given(FRONT, REAR, GEARS, st.floats(50, 1500), st.floats(0.2, 0.4))
def test_more_rear_teeth_never_raise_the_speed(
    front: int, rear: int, gears: np.ndarray[tuple[int], np.dtype[np.float64]], engine: float, radius: float
) -> None:
    one, more = (
        gearing.road_speed(engine, gearing.overall_ratios(1.7, gears, front, z), radius) for z in (rear, rear + 1)
    )
    assert np.all(more < one)


@given(FRONT, REAR, PITCH, CENTRE, st.floats(1e-4, 0.05), SLACK)
def test_links_grow_with_the_centre_distance(
    front: int, rear: int, pitch: float, centre: float, more: float, slack: float
) -> None:
    assert chainrun.links_at_slack(centre + more, front, rear, pitch, slack) > chainrun.links_at_slack(
        centre, front, rear, pitch, slack
    )


@given(FRONT, REAR, PITCH, CENTRE, SLACK)
def test_links_and_centre_invert_each_other(front: int, rear: int, pitch: float, centre: float, slack: float) -> None:
    links = chainrun.links_at_slack(centre, front, rear, pitch, slack)
    assert chainrun.centre_for_links(links, front, rear, pitch, slack) == pytest.approx(centre, abs=1e-6)


@given(ARM, st.floats(0.4, 0.8))
def test_axle_and_centre_invert_each_other(arm: tuple[float, float, float], axle: float) -> None:
    centre = chainrun.centre_distance(axle, *arm)
    assert chainrun.axle_at_centre_distance(centre, *arm) == pytest.approx(axle, abs=1e-6)


@given(FRONT, REAR, PITCH, CENTRE)
def test_the_wraps_make_a_full_turn(front: int, rear: int, pitch: float, centre: float) -> None:
    assert sum(chainrun.wrap_angles(centre, front, rear, pitch)) == pytest.approx(math.tau)


@given(st.floats(0.3, 0.9), SLACK)
def test_excess_is_the_detour_over_the_middle(tangent: float, slack: float) -> None:
    """Two straight halves to a point half the movement off the middle, by plain Pythagoras."""
    detour = 2 * math.hypot(tangent / 2, slack / 2) - tangent
    assert chainrun.excess_length(tangent, slack) == pytest.approx(detour, abs=1e-15)


@given(FRONT, REAR, st.floats(0.2, 0.4), st.floats(0.1, 90))
def test_speed_and_engine_speed_invert_each_other(front: int, rear: int, radius: float, speed: float) -> None:
    overall = gearing.overall_ratios(1.7, np.array([2.5, 1.0]), front, rear)
    assert gearing.road_speed(gearing.engine_speed(speed, overall, radius), overall, radius) == pytest.approx(speed)


@given(GEARS, st.floats(0.2, 0.4), st.floats(600, 1500))
def test_a_run_never_jumps_in_road_speed_nor_passes_the_shift_speed(
    gears: np.ndarray[tuple[int], np.dtype[np.float64]], radius: float, redline: float
) -> None:
    speeds, engine = gearing.run_path(5 * gears, radius, 120.0, redline, redline)
    assert len(speeds) == 2 * len(gears)
    assert np.all(engine <= redline * (1 + 1e-12))
    assert speeds[1:-1:2] == pytest.approx(speeds[2::2])
    assert np.all(np.diff(speeds) >= -1e-9)
    assert engine[::2][1:] == pytest.approx(gearing.after_shift(redline, gears))


@given(FRONT, REAR, FRONT)
def test_same_ratio_with_another_front(front: int, rear: int, other: int) -> None:
    assert gearing.rear_for_same_ratio(front, rear, other) / other == pytest.approx(rear / front)


def test_a_grid_is_computed_as_its_single_sets_are() -> None:
    fronts, rears = np.arange(12, 18)[None, :], np.arange(38, 52)[:, None]
    arm = (0.15, 0.06, 0.02)
    whole = chainrun.axle_for_links(112, fronts, rears, 0.015875, 0.03, *arm)
    for row, rear in enumerate(rears[:, 0]):
        for column, front in enumerate(fronts[0]):
            single = chainrun.axle_for_links(112, int(front), int(rear), 0.015875, 0.03, *arm)
            assert whole[row, column] == pytest.approx(float(single), abs=1e-12)


@pytest.mark.filterwarnings("error")
@pytest.mark.parametrize(("front", "rear", "links"), [(15, 46, 30), (60, 150, 60), (9, 150, 90)])
def test_a_chain_too_short_to_reach_has_no_place(front: int, rear: int, links: int) -> None:
    assert math.isnan(chainrun.centre_for_links(links, front, rear, 0.015875, 0.03))


@pytest.mark.filterwarnings("error")
def test_sprockets_inside_each_other_have_no_run() -> None:
    assert math.isnan(chainrun.links_taut(0.1, 9, 150, 0.015875))
    assert math.isnan(chainrun.tangent_length(0.1, 9, 150, 0.015875))
    assert math.isnan(chainrun.axle_at_centre_distance(0.01, 0.1, 0.06, 0.2))


def test_circles_that_touch_from_inside_have_no_straight_run() -> None:
    touching = float(sprocket.pitch_radius(60, 0.0127) - sprocket.pitch_radius(15, 0.0127))
    assert math.isnan(chainrun.tangent_length(touching, 15, 60, 0.0127))
    assert math.isnan(chainrun.links_taut(touching, 15, 60, 0.0127))
    assert not math.isnan(chainrun.links_taut(touching * (1 + 1e-12), 15, 60, 0.0127))


def test_even_counts() -> None:
    assert chainrun.even_links_between(110.2, 114.0) == (112, 114)
    assert chainrun.even_links_between(110.2, 111.9) == ()
    assert chainrun.even_links_between(112.0, 112.0) == (112,)


@given(st.integers(10, 40), st.integers(10, 60))
def test_a_tooth_pair_is_found_again_from_its_ratio(driver: int, driven: int) -> None:
    found = gearing.nearest_teeth(gearing.ratio_value((driver, driven)))
    assert found[1] / found[0] == pytest.approx(driven / driver)
    assert found[0] <= driver


def test_an_unfinished_pair_has_no_ratio() -> None:
    with pytest.raises(ValueError, match="missing"):
        gearing.ratio_value((13, None))


@pytest.mark.parametrize("slack", [0.0, 2.3e-311])
def test_a_chain_without_slack_loses_it_at_once(slack: float) -> None:
    assert float(chainrun.slack_per_axle(0.577, slack, 15, 46, 0.015875, 0.15, 0.062, 0.013)) == math.inf
