"""What contradicts of chain, axle and adjuster as fitted, and where each is first told.

The chain's length is taken from the exact run round two pitch circles, computed here anew: two straight parts and two
arcs, the law of an open belt (as in any handbook of machine elements, from memory).
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from gearplan.bike.demo import demo_bike
from gearplan.bike.profile import Bike, Chassis, Wear, with_value
from gearplan.plan.chain.reach import Reach, left_in_adjuster, reach
from gearplan.plan.driveset import fitted
from gearplan.plan.findings import Finding
from gearplan.plan.set.evaluate import evaluate

BIKE = replace(demo_bike().bike, wear=Wear())
FRONT, REAR = BIKE.final_drive.front or 0, BIKE.final_drive.rear or 0
PITCH = 0.015875


def run_length(centre: float) -> float:
    """Length of the chain round the fitted sprockets with its shafts so far apart, all in metres."""
    small, large = (PITCH / (2 * math.sin(math.pi / teeth)) for teeth in (FRONT, REAR))
    tilt = math.asin((large - small) / centre)
    # The chain lies on the pitch polygons: each wraps teeth x its share of a turn.
    wrapped = FRONT * (math.pi - 2 * tilt) + REAR * (math.pi + 2 * tilt)
    return 2 * centre * math.cos(tilt) + PITCH * wrapped / (2 * math.pi)


def centre_of(length: float) -> float:
    low, high = 0.2, 3.0
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if run_length(middle) < length else (low, middle)
    return low


def told(bike: Bike) -> list[Finding]:
    return [f for f in evaluate(bike, fitted(bike)).findings if f.about in ("chain as fitted", "where the axle stands")]


def arm(bike: Bike) -> Reach:
    found = reach(bike)
    assert isinstance(found, Reach)
    return found


def at_centre(bike: Bike, centre: float) -> Bike:
    """The demo with its axle so far from the sprocket's shaft, by the triangle of pivot, shaft and axle."""
    c = bike.chassis
    angle = math.radians(c.swingarm_angle_deg or 0.0)
    assert c.sprocket_from_pivot_mm is not None
    forward, up = (1e-3 * (value or 0.0) for value in c.sprocket_from_pivot_mm)
    low, high = 0.2, 1.5
    for _ in range(60):
        pivot_to_axle = (low + high) / 2
        behind, below = pivot_to_axle * math.cos(angle) + forward, pivot_to_axle * math.sin(angle) + up
        low, high = (pivot_to_axle, high) if math.hypot(behind, below) < centre else (low, pivot_to_axle)
    return with_value(bike, "chassis", "axle_now_mm", round(1e3 * low, 2))


@pytest.mark.parametrize(("metres", "is_told"), [(0.26, False), (0.24, True), (1.08, False), (1.13, True)])
def test_links_that_put_the_axle_where_no_motorcycle_has_it_are_told(metres: float, is_told: bool) -> None:
    links = round(run_length(metres) / PITCH)
    bike = replace(BIKE, chassis=Chassis(adjuster_left_mm=(8.0, 14.0)))
    bike = with_value(with_value(bike, "final_drive", "links", links), "final_drive", "elongation_percent", None)
    findings = [f for f in told(bike) if f.field == "final_drive.links"]
    assert bool(findings) is is_told
    if findings:
        # The chain is taken to be worn by half a percent.
        assert findings[0].value == pytest.approx(1e3 * centre_of(links * PITCH) * 1.005, abs=2.0)
        assert findings[0].limit == (250.0 if metres < 1 else 1100.0)


@pytest.mark.parametrize(
    ("percent", "words"), [(1.0, "worn by 1.0 %"), (1.85, "it is to be renewed"), (2.3, "Count the links and teeth")]
)
def test_an_axle_behind_where_a_new_chain_is_tight_tells_the_chains_wear(percent: float, words: str) -> None:
    links = BIKE.final_drive.links or 0
    bike = with_value(BIKE, "final_drive", "elongation_percent", None)
    bike = at_centre(bike, centre_of(links * PITCH * (1 + percent / 100)))
    (found,) = told(bike)
    assert words in found.text
    tight = at_centre(bike, centre_of(links * PITCH)).chassis.axle_now_mm
    assert found.limit == pytest.approx(tight, abs=0.1)


def test_a_tape_that_does_not_go_with_the_chain_is_told_with_where_the_chain_puts_the_axle() -> None:
    links = BIKE.final_drive.links or 0
    worn = with_value(
        replace(BIKE, chassis=Chassis(adjuster_left_mm=(8.0, 14.0))), "final_drive", "elongation_percent", 0.5
    )
    centre = centre_of(links * PITCH) * 1.005
    for off in (-25.0, 25.0):
        found = next(
            f
            for f in told(with_value(worn, "chassis", "centre_distance_mm", round(1e3 * centre + off)))
            if f.field == "chassis.centre_distance_mm"
        )
        assert found.value == round(1e3 * centre + off)
        # The end nearer to the tape: the wear's own doubt is a tenth or two of a percent, with slack some mm.
        assert found.limit == pytest.approx(1e3 * centre, abs=4.0)
        assert found.limit is not None
        assert (found.limit - 1e3 * centre) * off > -40


def test_half_a_millimetre_left_is_what_is_left() -> None:
    bike = replace(BIKE, chassis=Chassis(adjuster_left_mm=(0.5, 0.3)))
    assert left_in_adjuster(bike) == pytest.approx((0.5e-3, 0.3e-3))
    assert left_in_adjuster(replace(BIKE, chassis=Chassis(adjuster_left_mm=(0.0, 0.0)))) is None


def test_an_axle_that_nothing_tells_is_doubted_as_one_in_the_middle() -> None:
    bike = with_value(with_value(BIKE, "chassis", "axle_now_mm", None), "final_drive", "links", None)
    bike = with_value(bike, "chassis", "adjuster_left_mm", None)
    unknown = arm(bike)
    assert math.isnan(unknown.now)
    c = BIKE.chassis
    assert c.axle_range_mm is not None
    middle = sum(end or 0.0 for end in c.axle_range_mm) / 2
    assert unknown.doubt == pytest.approx(arm(with_value(bike, "chassis", "axle_now_mm", middle)).doubt, rel=0.2)
