"""Positions as metres against the library GeographicLib (Karney, Algorithms for geodesics, 2013)."""

from __future__ import annotations

import math

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic
from hypothesis import given
from hypothesis import strategies as st

from gearplan.ridelog.places import local_metres

GEODESIC = Geodesic.WGS84

# The program's own statement is 1e-6 over 10 km; nearer the poles than 70° nobody races.
places = st.tuples(st.floats(-70, 70), st.floats(-179, 179))


@given(places, st.floats(0, 360), st.floats(1, 5000))
def test_distance_and_direction_of_a_point_nearby(place: tuple[float, float], azimuth: float, distance: float) -> None:
    there = GEODESIC.Direct(*place, azimuth, distance)
    x, y = local_metres(np.array([there["lat2"]]), np.array([there["lon2"]]), place)
    assert math.hypot(x[0], y[0]) == pytest.approx(distance, rel=2e-6, abs=1e-6)
    off = math.degrees(math.atan2(x[0], y[0])) - azimuth
    # The meridians lean towards each other on the way: a small part of a degree.
    assert abs((off + 180) % 360 - 180) < 0.1


def test_the_length_of_a_lap() -> None:
    """A closed line of 3.6 km, its length point by point, a recorded lap's."""
    turn = np.linspace(0, 2 * np.pi, 401)
    latitude = 51.5 + 0.004 * np.sin(turn) + 0.001 * np.sin(3 * turn)
    longitude = -1.2 + 0.007 * np.cos(turn)
    x, y = local_metres(latitude, longitude)
    ours = float(np.hypot(np.diff(x), np.diff(y)).sum())
    theirs = sum(
        GEODESIC.Inverse(latitude[k], longitude[k], latitude[k + 1], longitude[k + 1])["s12"] for k in range(400)
    )
    assert ours == pytest.approx(theirs, rel=1e-6)
