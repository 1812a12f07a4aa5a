"""What bounds the thrust besides the engine: the front wheel lifting, and the grip. SI."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gearplan.bike.profile import Bike
from gearplan.bike.text.units import MM
from gearplan.drive.motion import force
from gearplan.drive.sprocket import Values
from gearplan.language import tr
from gearplan.setup import assumed
from gearplan.setup.assumed import Assumed, Known

_BALANCE = ("com_height_mm", "com_ahead_of_rear_axle_mm", "wheelbase_mm")
#: Told where centre of mass, wheelbase or weight are not known.
NO_LIMIT = Assumed(
    "chassis.com_height_mm", tr("no limit by grip or front lift"), reason=tr("the figures for it are missing")
)


@dataclass(frozen=True, slots=True)
class Mass:
    """Motorcycle with rider (kg), and what was assumed for it."""

    value: float
    assumed: tuple[Assumed, ...] = ()


@dataclass(frozen=True, slots=True)
class TyreLimits:
    """Mass with rider (kg), centre of mass ahead of the rear contact and its height, wheelbase (m), and grip.

    All hold for where the axle stands now; `assumed` is what of them was not entered.
    """

    mass: float
    ahead: float
    height: float
    wheelbase: float
    friction: float
    assumed: tuple[Assumed, ...] = ()

    def lift(self, moved: Values = 0.0) -> NDArray[np.float64]:
        """Thrust (N, level) that lifts the front wheel, the axle moved back (m, level share; NaN counts as 0)."""
        return force.lift_limit(self.mass, self.ahead + _moved(moved), self.height)

    def grip(self, moved: Values = 0.0, part: Values = 1.0) -> NDArray[np.float64]:
        """Thrust (N, level) at which the rear tyre spins, with `part` of its grip; infinite where it lifts first."""
        back = _moved(moved)
        return force.grip_limit(
            self.mass, self.ahead + back, self.height, self.wheelbase + back, np.asarray(part * self.friction, float)
        )


def _moved(moved: Values) -> float | NDArray[np.float64]:
    if isinstance(moved, float):
        return 0.0 if math.isnan(moved) else moved
    back = np.asarray(moved, float)
    return np.asarray(np.where(np.isnan(back), 0.0, back), float)


def friction(bike: Bike) -> Known:
    """The tyre's grip, as entered or assumed."""
    return assumed.known(bike, "tyre", "grip")


def all_up_mass(bike: Bike) -> Mass | None:
    """Motorcycle and rider as entered or assumed; None while the motorcycle's weight is neither."""
    own, rider = assumed.if_known(bike, "load", "bike_kg"), assumed.known(bike, "load", "rider_kg")
    return None if own is None else Mass(own.value + rider.value, assumed.listed(own, rider))


def tyre_limits(bike: Bike) -> TyreLimits | None:
    """The limits, whether or not the swingarm is entered; None while weight, centre of mass or wheelbase are not."""
    mass, (height, ahead, base) = all_up_mass(bike), [assumed.if_known(bike, "chassis", key) for key in _BALANCE]
    if mass is None or height is None or ahead is None or base is None:
        return None
    grip = friction(bike)
    return TyreLimits(
        mass=mass.value,
        ahead=ahead.value * MM,
        height=height.value * MM,
        wheelbase=base.value * MM,
        friction=grip.value,
        assumed=assumed.listed(*mass.assumed, base, height, ahead, grip),
    )
