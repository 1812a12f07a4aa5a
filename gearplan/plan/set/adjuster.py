"""Where the axle stands in its adjuster, where it will stand, and what is left of the way. SI."""

from __future__ import annotations

import math
from dataclasses import dataclass

from gearplan.bike.profile import Bike
from gearplan.plan.chain.reach import reach
from gearplan.plan.findings import Finding
from gearplan.plan.set.evaluate import SetResult


@dataclass(frozen=True, slots=True)
class Adjuster:
    """The axle's way from its front end to its rear end (m along the arm); None for a place that is not known."""

    front: float
    rear: float
    stands: float | None
    will_stand: float | None

    @property
    def left(self) -> float | None:
        """What is left for wear behind where the axle will stand; negative where it lies beyond."""
        return None if self.will_stand is None else self.rear - self.will_stand


def adjuster(bike: Bike, result: SetResult, axle: float | None = None) -> Adjuster | None:
    """The adjuster with a set, at the slack asked for or with the axle elsewhere (m); None without both its ends."""
    arm = reach(bike)
    if isinstance(arm, Finding) or not math.isfinite(arm.axle_in + arm.axle_out) or arm.axle_out <= arm.axle_in:
        return None
    will = result.run.axle_position if axle is None else axle
    return Adjuster(arm.axle_in, arm.axle_out, None if math.isnan(arm.now) else arm.now, will)
