"""New pins get the number that their place in the picture tells; the numbers' sequence is what counts."""

from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np
import pytest

from gearplan.photo.numbering import added, counted_as, removed
from gearplan.photo.points import PINS, Group, Point, of
from tests.photo.pictures import random_scene

TEETH = {"rear": 46, "front": 15}


def clicked(points: list[Point], teeth: dict[str, int] = TEETH) -> tuple[Point, ...]:
    found: tuple[Point, ...] = ()
    for p in points:
        found = added(found, p.group, p.x, p.y, teeth)
    return found


def same_order(found: tuple[Point, ...], true: list[Point], group: Group) -> bool:
    """Whether the numbers differ from the true ones by a constant, or count the other way round."""
    at = {(p.x, p.y): p.number for p in true if p.group == group}
    pairs = [(p.number, at[p.x, p.y]) for p in of(found, group)]
    return len({a - b for a, b in pairs}) == 1 or len({a + b for a, b in pairs}) == 1


@pytest.mark.parametrize("seed", range(12))
@pytest.mark.parametrize("backward", [False, True])
def test_pins_clicked_outward_from_four_neighbours_are_counted_right(seed: int, backward: bool) -> None:
    rng = np.random.default_rng(seed)
    scene = random_scene(rng)
    every = replace(scene, strides=(1, 1, 1)).photograph(rng, pins=(22, 4, 20), click=0.7).points
    if backward:
        every = tuple(reversed(every))
    wanted: dict[Group, tuple[int, ...]] = {
        "rear": (0, 1, 2, 3, 6, 10, 15, 20),
        "front": (0, 1, 3),
        "run": (0, 5, 11, 18),
    }
    true = [[p for p in every if p.group == group][place] for group, places in wanted.items() for place in places]
    found = clicked(true, {"rear": scene.rear, "front": scene.front})
    for group in PINS:
        assert same_order(found, true, group), (group, of(found, group))


def test_the_lowest_number_is_one() -> None:
    row = [Point("run", 100 + 27 * i, 500) for i in (5, 6, 2, 9)]
    assert [(p.x, p.number) for p in of(clicked(row), "run")] == [(154, 1), (235, 4), (262, 5), (343, 8)]


def test_the_first_two_pins_are_neighbours_until_another_group_tells_the_scale() -> None:
    assert [p.number for p in clicked([Point("run", 0, 0), Point("run", 81, 0)])] == [1, 2]
    with_scale = clicked([Point("rear", 0, 0), Point("rear", 0, 27), Point("run", 100, 0), Point("run", 181, 0)])
    assert [p.number for p in of(with_scale, "run")] == [1, 4]


def test_a_single_point_is_replaced_and_rims_are_counted() -> None:
    found = clicked([Point("pivot", 1, 1), Point("rim rear", 5, 5), Point("pivot", 2, 2), Point("rim rear", 6, 6)])
    assert [p.name for p in found] == ["Rear rim, point 1", "Pivot", "Rear rim, point 2"]
    assert of(found, "pivot") == (Point("pivot", 2, 2),)


def test_taking_a_pin_away_keeps_the_places_of_the_others() -> None:
    found = clicked([Point("run", 27 * i, 0) for i in range(4)])
    left = removed(found, found[1])
    assert [p.number for p in of(left, "run")] == [1, 3, 4]
    assert [p.number for p in of(removed(left, left[0]), "run")] == [1, 2]
    rims = clicked([Point("rim rear", i, 0) for i in range(3)])
    assert [p.number for p in removed(rims, rims[0])] == [1, 2]


def test_another_number_moves_what_lies_behind() -> None:
    found = clicked([Point("run", 27 * i, 0) for i in range(4)])
    assert [p.number for p in of(counted_as(found, found[1], 3), "run")] == [1, 3, 4, 5]
    assert [b - a for a, b in itertools.pairwise(p.number for p in counted_as(found, found[0], 5))] == [1, 1, 1]
