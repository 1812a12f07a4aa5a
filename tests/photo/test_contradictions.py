"""Pins that were counted wrong, points that contradict, two scales: said, and nothing told."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from gearplan.photo.points import GROUPS, Group, Point, of, shifted
from gearplan.photo.told import tell
from tests.photo.pictures import Scene, random_scene


@pytest.mark.parametrize("group", ["rear", "front", "run"])
@pytest.mark.parametrize("by", [1, -1])
def test_a_pin_miscounted_is_told_with_the_count_that_fits(group: Group, by: int) -> None:
    rng = np.random.default_rng(31)
    taken = replace(random_scene(rng), strides=(4, 2, 6)).photograph(rng, pins=(6, 3, 4))
    second = of(taken.points, group)[1].number
    wrong = shifted(taken.points, group, by, behind=second)
    told = tell(wrong, taken.sight)
    assert told.miscount is not None
    assert set(told.miscount.points) == set(taken.points)
    assert f"pin {second} to pin" in told.contradiction
    assert all(one.value is None for one in told.values)
    assert not tell(told.miscount.points, taken.sight).contradiction


def test_every_second_pin_counted_as_the_next_is_told() -> None:
    taken = replace(Scene(), strides=(2, 1, 6)).photograph(np.random.default_rng(32))
    halved = tuple(replace(p, number=(p.number + 1) // 2) if p.group == "rear" else p for p in taken.points)
    told = tell(halved, taken.sight)
    assert told.miscount is not None
    assert set(told.miscount.points) == set(taken.points)
    assert "every second one" in told.contradiction


def test_a_point_far_off_is_named() -> None:
    taken = Scene().photograph(np.random.default_rng(33))
    moved = tuple(replace(p, y=p.y + 14) if (p.group, p.number) == ("rim rear", 2) else p for p in taken.points)
    told = tell(moved, taken.sight)
    assert not told.contradiction
    assert any("Rear rim, point 2" in note for note in told.notes)
    assert all(v.doubt > w.doubt for v, w in zip(told.values, tell(taken.points, taken.sight).values, strict=True))


def test_points_far_from_any_motorcycle_are_refused() -> None:
    taken = Scene().photograph()
    rng = np.random.default_rng(34)
    jumbled = tuple(
        replace(p, x=float(x), y=float(y))
        for p, (x, y) in zip(taken.points, rng.uniform(0, 3000, (99, 2)), strict=False)
    )
    told = tell(jumbled, taken.sight)
    assert "contradict" in told.contradiction
    assert all(one.value is None for one in told.values)


def test_the_chain_and_the_tyre_may_not_tell_two_scales() -> None:
    taken = Scene().photograph(np.random.default_rng(35))
    right = replace(taken.sight, wheel=0.306)
    assert not tell(taken.points, right).contradiction
    # A chain of half an inch entered where one of five eighths runs.
    told = tell(taken.points, replace(right, pitch=0.0127))
    assert "two scales" in told.contradiction
    assert "by its tyre 306 mm" in told.contradiction
    assert all(one.value is None for one in told.values)


def test_two_points_of_a_group_on_one_spot_are_told() -> None:
    taken = Scene().photograph()
    twice = (*taken.points, replace(taken.points[2], x=taken.points[2].x + 1, number=99))
    told = tell(twice, taken.sight)
    assert told.contradiction.startswith("Rear sprocket, pin 9 and Rear sprocket, pin 99 lie on one spot")
    assert all(one.value is None for one in told.values)
    assert tell(tuple(replace(p, x=100.0, y=100.0) for p in taken.points), taken.sight).contradiction


@pytest.mark.parametrize("seed", range(25))
def test_any_points_give_finite_values_or_say_why_not(seed: int) -> None:
    rng = np.random.default_rng(seed)
    groups = rng.choice(np.array(GROUPS), rng.integers(1, 30))
    points = tuple(
        Point(group, float(rng.integers(0, 4000)), float(rng.integers(0, 3000)), int(rng.integers(1, 9)))
        for group in groups.tolist()
    )
    told = tell(points, Scene().photograph().sight)
    for value in told.values:
        assert value.why if value.value is None else np.isfinite([value.value, value.doubt]).all()
