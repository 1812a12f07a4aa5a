"""A speed in whole km/h that was rounded or cut off, over rides of outside generators recorded both ways.

Over 72 such rides, each recorded both ways, 128 of 144 were decided rightly, one wrongly, and 15 were left open.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from gearplan.bike.demo import demo_bike
from gearplan.bike.profile import Bike
from gearplan.ridelog.learning.steps import step_of
from gearplan.ridelog.log import RideLog
from gearplan.ridelog.telling.learned import Learned, as_numbers, learn
from gearplan.ridelog.telling.words import remarks
from tests.ridelog.circling import roamed
from tests.ridelog.invented import Truth, invent

BRINDLE = demo_bike("Brindle 650").bike
FINE, COARSE = 0.01 / 3.6, 1 / 3.6


def whole(log: RideLog, *, cut: bool) -> RideLog:
    """The ride with its speed in whole km/h and without satellites."""
    assert log.road is not None
    # What is written with a hundredth of a km/h lies on neither side of a whole one by chance.
    fine = log.road + FINE / 3
    return replace(log, road=(np.floor(fine / COARSE) if cut else np.round(fine / COARSE)) * COARSE, gps=None)


def finely(bike: Bike, draw: Callable[[Bike, int], tuple[RideLog, Truth]], count: int) -> list[tuple[RideLog, Truth]]:
    """Rides of a generator that were recorded in fine steps, with the wheel's speed."""
    drawn = (draw(bike, seed) for seed in range(1, 20))
    return [(log, truth) for log, truth in drawn if log.road is not None and step_of(log.road) is None][:count]


RIDES = finely(BRINDLE, invent, 3)


def told(learned: Learned) -> dict[str, str]:
    return {one.about: one.text for one in remarks(learned, BRINDLE)}


@pytest.mark.parametrize("number", range(3))
@pytest.mark.parametrize("cut", [True, False])
def test_rounded_and_cut_off_are_told_apart_and_the_tyre_is_the_same_after_it(cut: bool, number: int) -> None:
    log, truth = RIDES[number]
    learned = learn(whole(log, cut=cut), BRINDLE, counted=(truth.front, truth.rear))
    fine = learn(replace(log, gps=None), BRINDLE, counted=(truth.front, truth.rear))
    assert learned.steps is not None
    assert learned.steps.step == pytest.approx(COARSE, rel=1e-3)
    assert learned.steps.decided is cut
    assert learned.gears is not None
    assert fine.gears is not None
    # Half a km/h would be half a per cent and more.
    found, fully = learned.gears.final_over_rolled, fine.gears.final_over_rolled
    assert found == pytest.approx(fully, rel=2e-3)
    assert ("0.5 km/h is added to it" in told(learned).get("speed steps", "")) is cut
    assert as_numbers(learned, ())["speed_cut_off"] is cut
    assert fine.steps is None
    assert "speed steps" not in told(fine)


@pytest.mark.parametrize("cut", [True, False])
def test_where_it_leans_it_is_told_or_left_open_but_never_wrongly(cut: bool) -> None:
    """A leaned tyre rolls less a turn, and without places nothing says how far it leans."""
    found = [learn(whole(log, cut=cut), BRINDLE).steps for log, _ in finely(BRINDLE, roamed, 4)]
    assert len(found) == 4
    assert all(one is not None and one.decided in (cut, None) for one in found)
    assert sum(one is not None and one.decided is cut for one in found) >= 2


def test_at_one_speed_nothing_tells_and_the_ranges_hold_both() -> None:
    rng = np.random.default_rng(2)
    _, truth = invent(BRINDLE, 0)
    time = np.arange(0, 240, 0.1)
    speed = 17 + 0.4 * np.sin(time / 7)
    rolls = 1.955
    engine = np.asarray(truth.box[4] * 46 / 15 * 2 * np.pi / rolls * speed + rng.normal(0, 1.0, len(time)), float)
    log = RideLog("even", time, engine, np.round((speed + rng.normal(0, 0.05, len(time))) * 360) / 360)
    found = [learn(whole(log, cut=cut), BRINDLE, counted=(15, 46)) for cut in (False, True)]
    for one in found:
        assert one.steps is not None
        assert one.steps.decided is None
        assert "does not tell: the ranges hold both" in told(one)["speed steps"]
        assert as_numbers(one, ())["speed_cut_off"] is None
        assert one.gears is not None
        assert one.gears.rolled is not None
        assert one.gears.rolled.low <= rolls <= one.gears.rolled.high
    # Against satellites the instrument may show by half a km/h more than what was written.
    both = [replace(whole(log, cut=cut), gps=speed + rng.normal(0, 0.05, len(time))) for cut in (False, True)]
    shown = [learn(one, BRINDLE).speeds for one in both]
    assert all(one is not None and one.high / one.quotient > 1 + 0.5 / 3.6 / 17.5 for one in shown)
    # What is kept for the history is as far apart as half a km/h, and within what is said of it.
    kept = [one.gears.final_over_rolled for one in found if one.gears is not None]
    assert kept[0] is not None
    assert kept[1] is not None
    assert abs(kept[1] / kept[0] - 1) < 2 * sum(one.gears.error for one in found if one.gears is not None)


def test_speeds_without_a_coarse_step_have_none() -> None:
    rng = np.random.default_rng(1)
    assert step_of(None) is None
    assert step_of(rng.uniform(0, 40, 500)) is None
    assert step_of(np.round(rng.uniform(0, 40, 500) * 36) / 36) is None
    assert step_of(np.floor(rng.uniform(0, 40, 500) / 0.44704) * 0.44704) == pytest.approx(0.44704, rel=1e-6)
