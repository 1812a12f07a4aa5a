"""What a made-up photograph of known geometry tells: each value within its doubt, the doubt neither small nor large."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from gearplan.photo.fit import fit
from gearplan.photo.model import AT
from gearplan.photo.points import Group, Point
from gearplan.photo.told import Quantity, Told, tell
from tests.photo.pictures import Scene, Taken, random_scene

CASES = 60


def true_of(taken: Taken) -> dict[Quantity, float]:
    return {
        "shaft forward": taken.shaft_forward,
        "shaft up": taken.shaft_up,
        "pivot to axle": taken.arm,
        "angle": taken.angle,
        "wheelbase": taken.wheelbase,
    }


def off_by_doubts(taken: Taken, told: Told) -> list[float]:
    """How many standard doubts each value is off, in the order of the quantities."""
    assert not told.contradiction, told.contradiction
    true, off = true_of(taken), []
    for one in told.values:
        assert one.value is not None, one.why
        off.append((one.value - true[one.quantity]) / one.doubt)
    return off


def without(taken: Taken, *groups: Group) -> tuple[Point, ...]:
    return tuple(p for p in taken.points if p.group not in groups)


def values(told: Told) -> dict[Quantity, float | None]:
    return {one.quantity: one.value for one in told.values}


def doubts(told: Told) -> dict[Quantity, float]:
    return {one.quantity: one.doubt for one in told.values if one.value is not None}


def whys(told: Told) -> dict[Quantity, str]:
    return {one.quantity: one.why for one in told.values if one.value is None}


def test_each_value_lies_within_its_doubt_as_often_as_it_says() -> None:
    rng = np.random.default_rng(20)
    taken = [random_scene(rng).photograph(rng) for _ in range(CASES)]
    off = np.array([off_by_doubts(one, tell(one.points, one.sight)) for one in taken])
    within = (abs(off) < 1.96).sum(axis=0)
    # Of 60 with 95 % each, fewer than 51 come once in a thousand; a doubt too large shows in the mean square.
    assert (within >= 51).all(), within
    spread = np.sqrt((off**2).mean(axis=0))
    assert ((spread > 0.7) & (spread < 1.35)).all(), spread


def test_a_good_picture_tells_the_swingarm_to_some_millimetres() -> None:
    rng = np.random.default_rng(4)
    scene = Scene(distance=4.0, focal=70.0, tilt=(0.03, -0.03, 0.01), sag=0.0)
    taken = scene.photograph(rng)
    told = tell(taken.points, replace(taken.sight, elongation=replace(taken.sight.elongation, doubt=0.0005)))
    off_by_doubts(taken, told)
    most = {"shaft forward": 2e-3, "shaft up": 2e-3, "pivot to axle": 3e-3, "angle": 0.005, "wheelbase": 0.008}
    assert all(doubt < most[quantity] for quantity, doubt in doubts(told).items()), doubts(told)


@pytest.mark.parametrize("bend", [-0.08, -0.025, 0.03])
def test_perfect_clicks_give_the_geometry_itself(bend: float) -> None:
    taken = Scene(sag=0.0, bend=bend, distance=1.8, focal=26.0).photograph()
    off = off_by_doubts(taken, tell(taken.points, taken.sight))
    assert np.abs(off).max() < 0.6, off


def test_the_mirrored_picture_tells_the_same() -> None:
    rng = np.random.default_rng(7)
    taken = Scene().photograph(rng)
    width = taken.sight.size[0]
    mirrored = tuple(replace(p, x=width - p.x) for p in taken.points)
    here, there = values(tell(taken.points, taken.sight)), values(tell(mirrored, taken.sight))
    assert here == pytest.approx(there, abs=2e-5)


def test_pins_may_be_numbered_either_way_and_from_any_number() -> None:
    taken = Scene().photograph(np.random.default_rng(8))
    turned = tuple(replace(p, number=30 - p.number) if p.group in ("front", "run") else p for p in taken.points)
    turned = tuple(replace(p, number=25 - p.number) if p.group == "rear" else p for p in turned)
    assert values(tell(turned, taken.sight)) == pytest.approx(values(tell(taken.points, taken.sight)), abs=2e-5)


def test_two_clicks_fewer_still_answer_with_a_larger_doubt() -> None:
    taken = Scene().photograph(np.random.default_rng(9))
    whole = doubts(tell(taken.points, taken.sight))
    fewer = [p for p in taken.points if (p.group, p.number) not in {("rear", 21), ("run", 19)}]
    told = tell(tuple(fewer), taken.sight)
    less = doubts(told)
    off_by_doubts(taken, told)
    assert len(fewer) == len(taken.points) - 2
    assert all(less[quantity] > whole[quantity] for quantity in whole), (less, whole)


def test_without_a_pin_on_the_front_sprocket_only_the_shaft_is_not_told() -> None:
    taken = Scene().photograph(np.random.default_rng(10))
    told = tell(without(taken, "front"), taken.sight)
    assert set(whys(told)) == {"shaft forward", "shaft up"}
    assert "two pins on the front sprocket" in whys(told)["shaft up"]
    assert values(told)["pivot to axle"] == pytest.approx(taken.arm, abs=0.015)


@pytest.mark.parametrize(
    ("left_out", "lost"),
    [
        (("pivot",), {"shaft forward", "shaft up", "pivot to axle", "angle"}),
        (("ground front", "rim front"), {"wheelbase"}),
    ],
)
def test_what_needs_a_point_that_is_missing_says_so(left_out: tuple[Group, ...], lost: set[str]) -> None:
    taken = Scene().photograph(np.random.default_rng(11))
    found = whys(tell(without(taken, *left_out), taken.sight))
    assert set(found) == lost
    assert all(why.startswith("Needs the ") for why in found.values())


def test_without_the_ground_the_camera_is_taken_as_level_with_a_larger_doubt() -> None:
    taken = Scene().photograph(np.random.default_rng(12))
    whole, told = tell(taken.points, taken.sight), tell(without(taken, "ground rear", "ground front"), taken.sight)
    assert doubts(told)["angle"] > 3 * doubts(whole)["angle"]
    assert all("camera taken as level" in v.why for v in told.values if v.quantity in ("shaft up", "angle"))


@pytest.mark.parametrize("few", [(), ("rear",), ("rear", "pivot")])
def test_too_few_points_say_what_is_needed_first(few: tuple[Group, ...]) -> None:
    taken = Scene().photograph()
    points = tuple(p for p in taken.points if p.group in few and p.number < 6)
    told = tell(points, taken.sight)
    assert set(whys(told)) == set(true_of(taken))
    wanted = "Needs 1 more pin on the rear" if few else "Needs 3 more pins on the rear"
    assert whys(told)["wheelbase"].startswith(wanted)


def test_opposite_tilts_are_both_kept_where_the_points_leave_them_open() -> None:
    # From afar, without rims and the front contact, a camera from above looks like one from below.
    taken = Scene(distance=6.0, focal=70.0, tilt=(0.08, 0.16, 0.0)).photograph(np.random.default_rng(3), rim=0)
    found = fit(without(taken, "ground front"), taken.sight)
    assert found is not None
    assert found.minima[0, AT["pitch"]] * found.minima[1, AT["pitch"]] < 0
    assert found.weights.min() > 0.1
    told = tell(without(taken, "ground front"), taken.sight)
    for value, true in zip(told.values, true_of(taken).values(), strict=True):
        assert value.value is None or abs(value.value - true) < 3 * value.doubt
