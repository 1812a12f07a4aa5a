"""Distances as an odometer shows them: kept in kilometres, read and told in miles too."""

from __future__ import annotations

import re

from gearplan.bike.numbertext import NumberTextError, format_number, parse_number

MILE_KM = 1.609344  # km in one mile; international yard and pound agreement, 1959

_FACTORS = {"": 1.0, "km": 1.0, "mi": MILE_KM, "mile": MILE_KM, "miles": MILE_KM}
_PARTS = re.compile(r"(.*?)\s*([a-zA-Z]*)")


def parse_km(text: str) -> float:
    """The kilometres that a text means: a bare number, or one followed by km or mi, rounded to 100 m.

    NumberTextError for anything that is not clearly one number in one of these.
    """
    whole = _PARTS.fullmatch(text.strip())
    number, unit = (whole.group(1), whole.group(2).lower()) if whole else (text, "")
    if number and unit not in _FACTORS:
        raise NumberTextError(f"“{unit}” is no distance here; write km or mi")
    factor = _FACTORS.get(unit, 1.0)
    value = parse_number(number if number else text)
    return value if factor == 1.0 else round(value * factor, 1)


def both_distances(km: float) -> str:
    """A distance in both units: "18650 km (11588 mi)"."""
    return f"{format_number(km)} km ({km / MILE_KM:.0f} mi)"
