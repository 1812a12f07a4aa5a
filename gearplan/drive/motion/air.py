"""The air: standard atmosphere and density. SI: m, K, Pa, kg/m³."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from gearplan.bike.text.units import STANDARD_GRAVITY
from gearplan.drive.sprocket import Values

Floats = NDArray[np.float64]

# ISO 2533, the standard atmosphere, up to 11 km.
_SEA_PRESSURE, _SEA_TEMPERATURE, _LAPSE = 101325.0, 288.15, 0.0065
_GAS = 287.05287


def standard_temperature(altitude: Values) -> Floats:
    """Temperature of the standard atmosphere (K). Source: ISO 2533."""
    return np.asarray(_SEA_TEMPERATURE - _LAPSE * np.asarray(altitude, float))


def standard_pressure(altitude: Values) -> Floats:
    """Pressure of the standard atmosphere (Pa). Source: ISO 2533."""
    return np.asarray(
        _SEA_PRESSURE * (standard_temperature(altitude) / _SEA_TEMPERATURE) ** (STANDARD_GRAVITY / (_GAS * _LAPSE))
    )


def density(pressure: Values, temperature: Values) -> Floats:
    """Density of dry air (kg/m³) by the gas law."""
    return np.asarray(np.asarray(pressure, float) / (_GAS * np.asarray(temperature, float)))
