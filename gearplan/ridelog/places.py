"""Positions on the ellipsoid as metres on a small flat map. WGS 84."""

from __future__ import annotations

import math

import numpy as np

from gearplan.bike.text.units import DEGREE
from gearplan.ridelog.log import Floats

# WGS 84: equatorial radius (m) and flattening, by definition (NIMA TR8350.2).
EQUATOR = 6378137.0
FLATTENING = 1 / 298.257223563
_E2 = FLATTENING * (2 - FLATTENING)


def radii(latitude: float) -> tuple[float, float]:
    """Radii of curvature at a latitude (degrees): along the meridian M and across it N, in m.

    M = a(1 − e²)/(1 − e² sin²φ)^1.5, N = a/√(1 − e² sin²φ); Snyder, Map Projections (1987), eq. 4-18 and 4-20.
    """
    w = 1 - _E2 * math.sin(latitude * DEGREE) ** 2
    return EQUATOR * (1 - _E2) / w**1.5, EQUATOR / math.sqrt(w)


def local_metres(
    latitude: Floats, longitude: Floats, about: tuple[float, float] | None = None
) -> tuple[Floats, Floats]:
    """Metres east and north of a place (or of the middle of all positions), degrees given; NaN stays NaN.

    x = N cos φ₀ Δλ to first order in the latitude of each point, y = M Δφ with M half-way; within 10⁻⁶ of the
    geodesic over 10 km.
    """
    if about is None:
        finite = np.isfinite(latitude) & np.isfinite(longitude)
        if not finite.any():
            return np.full(len(latitude), np.nan), np.full(len(latitude), np.nan)
        about = (float(np.median(latitude[finite])), float(np.median(longitude[finite])))
    turned = (longitude - about[1] + 180) % 360 - 180
    middle = (latitude + about[0]) / 2
    w = 1 - _E2 * np.sin(middle * DEGREE) ** 2
    meridian = EQUATOR * (1 - _E2) / w**1.5
    across = EQUATOR / np.sqrt(w) * np.cos(middle * DEGREE)
    return across * turned * DEGREE, meridian * (latitude - about[0]) * DEGREE
