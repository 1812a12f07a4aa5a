"""How surely the numbers of the swingarm's geometry are known: anti-squat, clearances, load on the front wheel. SI.

What is read off the swingarm is off by so little that each number is worked out anew at both ends of every input, all
at once.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from gearplan.bike.profile import Bike, value
from gearplan.bike.text.units import DEGREE, MM
from gearplan.drive.chain import chainrun, squat
from gearplan.drive.tyre import rolling_radius
from gearplan.plan.chain.reach import Reach, swingarm
from gearplan.plan.findings import Finding
from gearplan.plan.set.evaluate import SetResult
from gearplan.setup import doubt
from gearplan.setup.assumed import if_known
from gearplan.setup.doubt import Doubtful, Input
from gearplan.setup.ratios import rolling

Floats = NDArray[np.float64]

_ON = (
    "chassis.sprocket_from_pivot_mm",
    "chassis.swingarm_angle_deg",
    "chassis.pivot_boss_radius_mm",
    "chassis.com_height_mm",
    "chassis.com_ahead_of_rear_axle_mm",
    "chassis.wheelbase_mm",
)
_ROLLS = ("tyre.rolling_circumference_mm", "tyre.rolling_factor")


def geometry_doubts(bike: Bike, result: SetResult) -> dict[str, Doubtful]:
    """The ranges of "anti_squat", "upper_clearance", "lower_clearance" and "front_load_share", as far as known."""
    known = {
        "anti_squat": result.anti_squat,
        "upper_clearance": result.run.upper_clearance,
        "lower_clearance": result.run.lower_clearance,
        "front_load_share": result.run.front_load_share,
    }
    if result.set.links is None or result.run.axle_position is None or isinstance(swingarm(bike), Finding):
        return {}
    rolls = _ROLLS[:1] if result.rolls_by == "measured" else _ROLLS[1:]
    found = doubt.inputs(bike, (*_ON, *rolls))
    ends = [(one, end) for one in found for end in {one.low, one.high} - {one.value}]
    every = _at(bike, result, [bike, *(doubt.varied(bike, one, end) for one, end in ends)])
    places = {(one.field, end): k for k, (one, end) in enumerate(ends, 1)}

    def results(one: Input | None, to: float) -> dict[str, float | None]:
        at = 0 if one is None else places[one.field, to]
        return {
            key: None if now is None or math.isnan(every[key][at]) else float(every[key][at])
            for key, now in known.items()
        }

    return doubt.carried(results, found)


def _at(bike: Bike, result: SetResult, bikes: list[Bike]) -> dict[str, Floats]:
    """The numbers on each bike; NaN where one is not known."""

    def given(key: str, unit: float, part: int | None = None) -> Floats:
        found = []
        for one in bikes:
            entered = value(one, "chassis", key)
            known = if_known(one, "chassis", key) if part is None else None
            taken = entered[part] if part is not None else None if known is None else known.value
            found.append(math.nan if taken is None else taken * unit)
        return np.array(found)

    arm, run, chosen = swingarm(bike), result.run, result.set
    assert isinstance(arm, Reach)
    assert run.pitch is not None
    assert chosen.front is not None
    assert chosen.rear is not None
    forward, up = (given("sprocket_from_pivot_mm", MM, part) for part in (0, 1))
    angle = given("swingarm_angle_deg", DEGREE)
    axle = chainrun.axle_for_links(
        chosen.links or 0, chosen.front, chosen.rear, run.pitch, arm.slack, angle, forward, up
    )
    rolled = [rolling(one, chosen.tyre) for one in bikes]
    radius = np.array([math.nan if one is None else rolling_radius(one.circumference) for one in rolled], float)
    moved = (run.moved / math.cos(arm.angle) + axle - axle[0]) * np.cos(angle)
    wheelbase, ahead = given("wheelbase_mm", MM) + moved, given("com_ahead_of_rear_axle_mm", MM) + moved
    upper, lower = squat.runs(axle, angle, forward, up, chosen.front, chosen.rear, run.pitch)
    slope = squat.squat_slope(upper, axle, angle, chosen.rear, run.pitch, radius)
    boss = given("pivot_boss_radius_mm", MM)
    # The plates' height is the same for all.
    plates = 0.0 if run.upper_clearance is None else float((squat.distance_to_pivot(upper) - boss)[0])
    off = 0.0 if run.upper_clearance is None else run.upper_clearance - plates
    return {
        "anti_squat": slope / (given("com_height_mm", MM) / wheelbase),
        "upper_clearance": squat.distance_to_pivot(upper) - boss + off,
        "lower_clearance": -squat.distance_to_pivot(lower) - boss + off,
        "front_load_share": ahead / wheelbase,
    }
