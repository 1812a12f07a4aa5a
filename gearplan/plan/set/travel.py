"""What moves with the swingarm: centre distance, slack and anti-squat through the travel."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from gearplan.bike.profile import Bike
from gearplan.bike.text.units import DEGREE, MM
from gearplan.drive.chain import chainrun, squat
from gearplan.language import marked, tr
from gearplan.plan.chain.reach import swingarm
from gearplan.plan.chain.run import ChainRun
from gearplan.plan.driveset import DriveSet
from gearplan.plan.findings import Finding, missing
from gearplan.setup.assumed import if_known, travel

_STEPS = 81


@dataclass(frozen=True, slots=True)
class Travel:
    """One set through the travel; arrays over `angle` (rad below horizontal, compressed first).

    `slack` is the movement of the lower run at mid-span with the axle where the set puts it (m), NaN where the
    chain would be tight; `anti_squat` is a fraction, None where the data lacks. `assumed` says that the range
    has not been entered.
    """

    angle: NDArray[np.float64]
    centre_distance: NDArray[np.float64]
    slack: NDArray[np.float64]
    anti_squat: NDArray[np.float64] | None
    assumed: bool


def anti_squat_as_it_stands(
    bike: Bike, chosen: DriveSet, run: ChainRun, tyre_radius: float | None, found: list[Finding]
) -> float | None:
    """Anti-squat as the bike stands, a fraction; adds what lacks to the findings."""
    if run.axle_position is None or tyre_radius is None or bike.chassis.swingarm_angle_deg is None:
        return None
    height = if_known(bike, "chassis", "com_height_mm")
    if height is None or run.wheelbase is None:
        if height is None:
            fields = [("chassis.com_height_mm", tr("the height of the centre of mass"))]
            found.append(missing(marked("anti-squat"), tr("Anti-squat"), fields, aside=True))
        return None
    angle = np.asarray(bike.chassis.swingarm_angle_deg * DEGREE)
    return float(_anti_squat(bike, chosen, run, tyre_radius, run.wheelbase, height.value * MM, angle))


@lru_cache(maxsize=8)
def through_travel(bike: Bike, chosen: DriveSet, run: ChainRun, tyre_radius: float | None) -> Travel | None:
    """One set through the travel; None while it has no axle position. Kept by value, as the side view is."""
    arm = swingarm(bike)
    if isinstance(arm, Finding) or run.axle_position is None or run.pitch is None:
        return None
    if chosen.front is None or chosen.rear is None or chosen.links is None:
        return None
    assumed = math.isnan(arm.travel[0])
    half = travel().value * DEGREE
    low, high = (arm.angle - half, arm.angle + half) if assumed else arm.travel
    angle = np.linspace(low, high, _STEPS)
    centre = chainrun.centre_distance(run.axle_position, angle, arm.forward, arm.up)
    spare = run.pitch * (chosen.links - chainrun.links_taut(centre, chosen.front, chosen.rear, run.pitch))
    tangent = chainrun.tangent_length(centre, chosen.front, chosen.rear, run.pitch)
    slack = chainrun.slack_for_excess(tangent, np.where(spare >= 0, spare, np.nan))
    height = if_known(bike, "chassis", "com_height_mm")
    anti = None
    if height is not None and run.wheelbase is not None and tyre_radius is not None:
        anti = _anti_squat(bike, chosen, run, tyre_radius, run.wheelbase, height.value * MM, angle)
    return Travel(angle, centre, slack, anti, assumed)


def _anti_squat(
    bike: Bike,
    chosen: DriveSet,
    run: ChainRun,
    tyre_radius: float,
    wheelbase: float,
    height: float,
    angle: NDArray[np.float64],
) -> NDArray[np.float64]:
    place = bike.chassis.sprocket_from_pivot_mm
    assert place is not None
    assert place[0] is not None
    assert place[1] is not None
    assert run.axle_position is not None
    assert run.pitch is not None
    assert chosen.front is not None
    assert chosen.rear is not None
    upper, _ = squat.runs(run.axle_position, angle, place[0] * MM, place[1] * MM, chosen.front, chosen.rear, run.pitch)
    slope = squat.squat_slope(upper, run.axle_position, angle, chosen.rear, run.pitch, tyre_radius)
    return np.asarray(slope / (height / wheelbase))
