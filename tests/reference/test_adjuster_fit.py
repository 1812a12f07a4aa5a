"""A fit by the adjuster against the swingarm's whole geometry, and its stated doubt against random draws.

The outside is a chain run written here anew: pins counted by angle, solved by bisection.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from gearplan.bike.demo import demo_bike
from gearplan.bike.profile import Bike, Chassis, FinalDrive
from gearplan.plan.chain.reach import Reach, reach
from gearplan.plan.driveset import DriveSet
from gearplan.plan.set.evaluate import evaluate

P = 15.875


def links(centre: float, z1: int, z2: int, slack: float) -> float:
    """Links of a run with slack: tangents, teeth by angle (links lie as chords), excess by Pythagoras; mm."""
    r1, r2 = (P / 2 / math.sin(math.pi / z) for z in (z1, z2))
    lean, run = math.asin((r2 - r1) / centre), math.sqrt(centre**2 - (r2 - r1) ** 2)
    round_ = z1 * (math.pi - 2 * lean) / math.tau + z2 * (math.pi + 2 * lean) / math.tau
    return (2 * run + math.hypot(run, slack) - run) / P + round_


def solved(count: float, z1: int, z2: int, slack: float) -> float:
    """Centre distance (mm) for so many links, by bisection."""
    low, high = 250.0, 1200.0
    for _ in range(80):
        middle = (low + high) / 2
        low, high = (middle, high) if links(middle, z1, z2, slack) < count else (low, middle)
    return low


def along(centre: float, x: float, y: float, angle: float) -> float:
    """Pivot to axle (mm) at a centre distance, by bisection."""
    low, high = 100.0, 1300.0
    for _ in range(80):
        middle = (low + high) / 2
        far = math.hypot(middle * math.cos(angle) + x, middle * math.sin(angle) + y)
        low, high = (middle, high) if far < centre else (low, middle)
    return low


def fitted_bike(front: int, rear: int, count: int, slack: float, worn: float, left: tuple[float, float]) -> Bike:
    return replace(
        demo_bike().bike,
        wear=replace(demo_bike().bike.wear, readings=None),
        final_drive=FinalDrive(chain="520", front=front, rear=rear, links=count, elongation_percent=worn),
        chassis=Chassis(slack_mm=slack, adjuster_left_mm=left),
    )


@pytest.mark.parametrize("motorcycles", [300, pytest.param(2000, marks=pytest.mark.long)])
def test_the_axle_moves_as_with_the_whole_swingarm(motorcycles: int) -> None:
    """Random motorcycles: the way is that of the whole geometry within 0.05 mm, far below what a ruler reads."""
    rng, worst = np.random.default_rng(1), 0.0
    for _ in range(motorcycles):
        z1, z2, slack, worn = (
            int(rng.integers(13, 18)),
            int(rng.integers(38, 50)),
            rng.uniform(20, 45),
            rng.uniform(0, 1),
        )
        x, y, angle = rng.uniform(40, 100), rng.uniform(-10, 40), math.radians(rng.uniform(2, 14))
        count = 2 * round((rng.uniform(1000, 1300) / P + (z1 + z2) / 2) / 2)
        other = (z1 + int(rng.integers(-1, 2)), z2 + int(rng.integers(-3, 4)))
        now = along(solved(count, z1, z2, slack) * (1 + worn / 100), x, y, angle)
        then = along(solved(count, *other, slack), x, y, angle)
        run = evaluate(fitted_bike(z1, z2, count, slack, worn, (40.0, 40.0)), DriveSet(*other, count, "520")).run
        assert run.basis == "adjuster"
        assert run.moves is not None
        worst = max(worst, abs(1e3 * run.moves - (then - now)))
    assert worst < 0.05


def test_one_percent_of_wear_is_some_six_millimetres() -> None:
    def moves(worn: float) -> float:
        bike = fitted_bike(15, 46, 112, 30.0, worn, (20.0, 20.0))
        found = evaluate(bike, DriveSet(15, 46, 112, "520")).run.moves
        assert found is not None
        return 1e3 * found

    assert moves(0.0) == pytest.approx(0.0, abs=1e-6)
    assert moves(1.0) == pytest.approx(-solved(112, 15, 46, 30.0) * 0.01, abs=1e-3)


def test_the_ends_are_where_the_ruler_says() -> None:
    """A count fits exactly when its centre distance lies between what the adjuster leaves either way."""
    stands = solved(112, 15, 46, 30.0) * 1.006
    for left in ((6.0, 3.0), (14.0, 8.0), (3.0, 20.0)):
        bike = fitted_bike(15, 46, 112, 30.0, 0.6, left)
        for z1, z2 in ((14, 46), (15, 44), (15, 48), (16, 46)):
            found = evaluate(bike, DriveSet(z1, z2, 112, "520")).run.links_that_fit
            by_hand = [n for n in range(100, 126, 2) if stands - left[0] <= solved(n, z1, z2, 30.0) <= stands + left[1]]
            assert list(found or ()) == by_hand


@pytest.mark.parametrize("measured", [True, False])
def test_the_stated_doubt_holds_nineteen_of_twenty_draws(measured: bool) -> None:
    """Inputs drawn from what they are said to be off by: the true way lies in the stated range about 95 % of the time.

    Normal reading errors of which 95 % lie within what is stated; an assumed wear anywhere in its usual range, and a
    new chain anywhere in its tolerance, lie within more often.
    """
    rng, inside, count = np.random.default_rng(5), 0, 400
    for _ in range(count):
        worn = rng.uniform(0, 1)
        read = worn + rng.normal(0, 0.1 / 1.96) if measured else None
        bike = fitted_bike(15, 46, 112, 30.0, 0.0, (15.0, 15.0))
        on = replace(bike.final_drive, elongation_percent=None if read is None else min(max(read, 0.0), 5.0))
        arm = reach(replace(bike, final_drive=on))
        assert isinstance(arm, Reach)
        assert arm.moves is not None
        new = 112 * (1 + rng.uniform(0, 0.0015))
        true = (solved(new, 14, 48, 30.0) - solved(112, 15, 46, 30.0) * (1 + worn / 100)) / 1e3
        told = evaluate(replace(bike, final_drive=on), DriveSet(14, 48, 112, "520")).run.moves
        assert told is not None
        inside += told + arm.moves.low - arm.moves.value <= true <= told + arm.moves.high - arm.moves.value
    assert 0.92 * count <= inside


def test_with_swingarm_and_chain_both_measured_the_range_holds_and_is_narrower() -> None:
    """Swingarm, axle and chain each read with their errors: the true way still lies in the range in 19 of 20."""
    rng, inside, count = np.random.default_rng(11), 0, 300
    x, y, angle, worn = 62.0, 13.0, math.radians(8.5), 0.6
    now = along(solved(112, 15, 46, 30.0) * (1 + worn / 100), x, y, angle)
    for _ in range(count):
        off = rng.normal(0, 1 / 1.96, 6)
        chassis = Chassis(
            sprocket_from_pivot_mm=(x + off[0], y + off[1]),
            swingarm_angle_deg=8.5 + 0.5 * off[2],
            axle_range_mm=(now - 25 + off[3], now + 12 + off[4]),
            axle_now_mm=now + off[5],
            slack_mm=30.0,
        )
        read = max(worn + rng.normal(0, 0.1 / 1.96), 0.0)
        bike = replace(fitted_bike(15, 46, 112, 30.0, read, (1.0, 1.0)), chassis=chassis)
        arm, told = reach(bike), evaluate(bike, DriveSet(14, 48, 112, "520")).run.moves
        assert isinstance(arm, Reach)
        assert arm.basis == "swingarm"
        assert arm.moves is not None
        assert told is not None
        new = 112 * (1 + rng.uniform(0, 0.0015))
        true = (along(solved(new, 14, 48, 30.0), x, y, angle) - now) / 1e3
        inside += told + arm.moves.low - arm.moves.value <= true <= told + arm.moves.high - arm.moves.value
    assert 0.92 * count <= inside
