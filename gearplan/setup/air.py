"""The air of the day, from what is entered and the standard atmosphere for what lacks."""

from __future__ import annotations

from dataclasses import dataclass

from gearplan.bike.profile import Bike
from gearplan.bike.text.units import ZERO_CELSIUS
from gearplan.drive.motion import air
from gearplan.language import tr
from gearplan.setup import assumed
from gearplan.setup.assumed import Assumed, Known


@dataclass(frozen=True, slots=True)
class Air:
    """Density (kg/m³) and what was assumed for it."""

    density: float
    assumed: tuple[Assumed, ...]


def air_of_the_day(bike: Bike) -> Air:
    """The air by pressure and temperature as entered; a pressure entered wins over the altitude."""
    c = bike.conditions
    altitude = assumed.known(bike, "conditions", "altitude_m", tr("air at sea level"))
    pressure = c.pressure_hpa * 100 if c.pressure_hpa is not None else float(air.standard_pressure(altitude.value))
    warm = air_temperature(bike)
    found = assumed.listed(altitude if c.pressure_hpa is None else None, warm)
    return Air(float(air.density(pressure, warm.value + ZERO_CELSIUS)), found)


def air_temperature(bike: Bike) -> Known:
    """The air's temperature (°C) as entered, else that of the standard atmosphere at the altitude."""
    if bike.conditions.temperature_c is not None:
        return Known(bike.conditions.temperature_c)
    altitude = assumed.known(bike, "conditions", "altitude_m").value
    return assumed.temperature(float(air.standard_temperature(altitude)) - ZERO_CELSIUS)
