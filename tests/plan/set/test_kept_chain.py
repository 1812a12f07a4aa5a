"""A chain that stays on is as long as it has become: it may not fit where a new one of as many links does."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import date

import pytest

from gearplan.bike.demo import demo_bike
from gearplan.bike.profile import Bike, Chassis, Wear, with_value
from gearplan.plan.chain.kept import KEPT
from gearplan.plan.driveset import DriveSet, fitted
from gearplan.plan.job.job import begin
from gearplan.plan.set.evaluate import evaluate
from gearplan.plan.set.grid import evaluate_grid

ONE_DOWN = DriveSet(14, 46, 112, "520")


def worn(percent: float, back: float) -> Bike:
    """The demo bike by its adjuster alone, with so much left behind and a chain so far worn."""
    bike = replace(demo_bike().bike, chassis=Chassis(adjuster_left_mm=(20.0, back)), wear=Wear())
    return with_value(bike, "final_drive", "elongation_percent", percent)


def told(bike: Bike, chosen: DriveSet) -> list[tuple[str, str]]:
    return [(f.level, f.text) for f in evaluate(bike, chosen).findings if f.about == KEPT]


def centre(links: int, front: int, rear: int) -> float:
    """Centre distance (mm) of a taut run of 15.875 mm pitch, by halving, from the teeth-counted length."""
    low, high = 300.0, 1200.0
    r1, r2 = (15.875 / 2 / math.sin(math.pi / z) for z in (front, rear))
    while high - low > 1e-9:
        at = (low + high) / 2
        a = math.asin((r2 - r1) / at)
        run = 2 * math.sqrt(at**2 - (r2 - r1) ** 2) / 15.875
        run += front * (math.pi - 2 * a) / math.tau + rear * (math.pi + 2 * a) / math.tau
        low, high = (at, high) if run < links else (low, at)
    return low


def test_a_worn_chain_that_is_kept_may_not_fit_where_a_new_one_does() -> None:
    bike = worn(1.0, 3.0)
    before, after = centre(112, 15, 46), centre(112, 14, 46)
    farther, moves = 0.01 * after, 1.01 * (after - before)
    assert moves == pytest.approx(3.72, abs=0.01)
    (finding,) = told(bike, ONE_DOWN)
    assert finding == (
        "check",
        "112 links fit only as a new chain. The one on the bike is worn: kept, it puts the axle "
        f"{farther:.0f} mm farther back, less than 1 mm beyond the adjuster's end. Fit a new chain with this set.",
    )
    assert evaluate(bike, ONE_DOWN).verdict == "check"
    assert told(worn(1.0, moves + 0.05), ONE_DOWN) == []
    assert told(worn(1.0, moves - 0.05), ONE_DOWN) != []


def test_what_a_tape_can_hardly_tell_is_not_sure() -> None:
    """Some 0.7 mm beyond the adjuster's end, or 3.4; a tape is believed to 3 mm."""
    for left, sure in ((3.0, False), (0.3, True)):
        bike = worn(1.0, left)
        (finding,) = [f for f in evaluate(bike, ONE_DOWN).findings if f.about == KEPT]
        assert finding.sure == sure
        assert finding.value == pytest.approx(3.72 - left, abs=0.01)


def test_a_job_renews_a_chain_that_would_not_fit() -> None:
    day = date(2026, 5, 31)
    assert begin(worn(1.0, 3.0), ONE_DOWN, day, "").new_chain == "yes"
    assert begin(worn(1.0, 6.0), ONE_DOWN, day, "").new_chain == "no"


def test_nothing_is_said_of_a_chain_that_goes_or_stays_where_it_is() -> None:
    assert told(worn(1.0, 3.0), replace(ONE_DOWN, links=110)) == []
    assert told(worn(1.0, 3.0), replace(ONE_DOWN, chain="525")) == []
    assert told(worn(1.0, 0.0), fitted(worn(1.0, 0.0))) == []
    # Worn out it is renewed in any case.
    assert told(worn(2.0, 1.0), ONE_DOWN) == []


def test_where_the_axle_stands_says_how_long_the_chain_is() -> None:
    bike = demo_bike().bike
    assert told(bike, ONE_DOWN) == []
    short = with_value(bike, "chassis", "axle_range_mm", (558.0, 585.0))
    # The axle stands 4.6 mm behind where a new chain of 112 links puts it on 15/46: so worn it is on 14/46, too.
    ((level, text),) = told(short, ONE_DOWN)
    assert level == "check"
    assert "kept, it puts the axle 5 mm farther back" in text


@pytest.mark.parametrize("back", [0.5, 3.0, 4.5])
def test_grid_and_choices_agree_with_the_single_set(back: float) -> None:
    bike = worn(1.0, back)
    fronts, rears = (13, 14, 15), tuple(range(43, 50))
    grid = evaluate_grid(bike, fitted(bike), fronts, rears)
    some = 0
    for row in range(len(rears)):
        for column in range(len(fronts)):
            one = evaluate(bike, grid.set_at(row, column))
            assert grid.levels[row][column] == one.verdict, grid.set_at(row, column)
            some += any(f.about == KEPT for f in one.findings)
    assert some
