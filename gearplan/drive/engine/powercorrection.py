"""Engine power and torque as measured on one day, brought to the air of a standard. SI: Pa, K."""

from __future__ import annotations

import math
from collections.abc import Callable

from gearplan.bike.text.units import ZERO_CELSIUS

#: Outside this range of the factor ISO 1585 no longer calls a result corrected; taken for the other standards too.
TRUSTED = (0.93, 1.07)


def _iso_1585(dry: float, kelvin: float) -> float:
    return float((99e3 / dry) ** 1.2 * (kelvin / 298) ** 0.6)


def _sae_j1349(dry: float, kelvin: float) -> float:
    # 85 % mechanical efficiency is taken for granted: only what the gas gives follows the air.
    return 1.18 * (99e3 / dry) * math.sqrt(kelvin / 298) - 0.18


def _din_70020(dry: float, kelvin: float) -> float:
    return 101.3e3 / dry * math.sqrt(kelvin / 293)


FACTORS: dict[str, Callable[[float, float], float]] = {
    "ISO 1585": _iso_1585,
    "SAE J1349": _sae_j1349,
    "DIN 70020": _din_70020,
}


def correction_factor(standard: str, pressure: float, kelvin: float, humidity: float = 0.0) -> float:
    """What a measured torque is multiplied by: a spark-ignition engine without a supercharger.

    `pressure` (Pa) is the barometer's, `humidity` relative (0 to 1): the standards count the dry air alone. Sources:
    ISO 1585, SAE J1349, DIN 70020 (the last counts the whole pressure). KeyError for another standard.
    """
    dry = pressure if standard == "DIN 70020" else pressure - humidity * saturation_pressure(kelvin)
    return FACTORS[standard](dry, kelvin)


def saturation_pressure(kelvin: float) -> float:
    """Pressure of saturated water vapour over water (Pa). Source: WMO-No. 8, Annex 4.B, by temperature."""
    celsius = kelvin - ZERO_CELSIUS
    return 611.2 * math.exp(17.62 * celsius / (243.12 + celsius))
