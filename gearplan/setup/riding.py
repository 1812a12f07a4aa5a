"""How a circuit's rider rides: the rules of the lap, and the motorcycle with this rider on it."""

from __future__ import annotations

import math

from gearplan.bike.profile import Bike, with_value
from gearplan.bike.rider import NOBODY, Rider
from gearplan.bike.text.units import DEGREE, KMH, RPM
from gearplan.drive.lap.rules import LapRules
from gearplan.language import tr
from gearplan.setup.assumed import COMMON_PRACTICE, Assumed, Known
from gearplan.setup.ratios import gearbox

#: From so many gears on a corner is taken in second gear at least (common practice, no source).
_GEARS, _LOWEST = 5, 2


def lowest_gear(bike: Bike, rider: Rider) -> Known:
    """The lowest gear in corners that name none: as entered, else second where there are five gears or more."""
    if rider.lowest_gear is not None:
        return Known(float(rider.lowest_gear))
    taken = _LOWEST if len(gearbox(bike).gears) >= _GEARS else 1
    if taken == 1:
        return Known(1.0)
    told = tr("no lower gear than {taken} in corners", taken=taken)
    reason = tr(
        "second where there are {gears} gears or more; {common_practice}", gears=_GEARS, common_practice=COMMON_PRACTICE
    )
    return Known(float(taken), Assumed("rider.lowest_gear", tr("Lowest gear in corners"), taken, "", reason, told=told))


def rules(
    bike: Bike, rider: Rider = NOBODY, *, wind: float = 0.0, share_grip: bool = True, lean: bool = True
) -> LapRules:
    """The rules of a lap by this rider; `wind` (m/s) and what lean does are not the rider's."""
    beyond, below = rider.no_shift_beyond_deg, rider.first_below_kmh
    return LapRules(
        wind=wind,
        share_grip=share_grip,
        lean=lean,
        no_shift_beyond=math.inf if beyond is None else beyond * DEGREE,
        apex_engine_min=(rider.apex_rpm_min or 0.0) * RPM,
        lowest_gear=int(lowest_gear(bike, rider).value),
        first_below=math.inf if below is None else below * KMH,
        skips=rider.skips,
        short_shift=(rider.short_shift_rpm or 0.0) * RPM,
        down_shift=rider.downshift_time_s or 0.0,
    )


def ridden_by(bike: Bike, rider: Rider) -> Bike:
    """The bike with this rider's own mass and braking, where they are given."""
    for key in ("rider_kg", "braking_mps2"):
        given = getattr(rider, key)
        if given is not None:
            bike = with_value(bike, "load", key, given)
    return bike
