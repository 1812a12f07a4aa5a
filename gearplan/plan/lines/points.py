"""The points of a track's middle, in metres, as a file gave them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gearplan.bike.text.units import DEGREE
from gearplan.language import tr

Floats = NDArray[np.float64]

#: WGS 84: half the long axis (m) and the square of the eccentricity (NIMA TR8350.2).
_AXIS, _ECCENTRICITY_2 = 6_378_137.0, 6.694_379_990_14e-3

#: No coordinate of a map in metres is larger (m).
_FARTHEST = 1e8


class LineError(ValueError):
    """Points that make no circuit; the message is one line that says what would be right."""


@dataclass(frozen=True, eq=False)
class Points:
    """Points in driving order (m), x to the east and y to the north where that is known.

    `left` and `right` are from each point to the edges of the track (m), None where the file does not tell. `notes`
    say what was chosen or is doubtful. A `ride` is a recorded one, which may hold several laps.
    """

    x: Floats
    y: Floats
    left: Floats | None = None
    right: Floats | None = None
    name: str = ""
    notes: tuple[str, ...] = ()
    ride: bool = False

    def __post_init__(self) -> None:
        if any(not np.isfinite(side).all() or np.abs(side).max(initial=0.0) > _FARTHEST for side in (self.x, self.y)):
            raise LineError(
                tr(
                    "a point lies more than {farthest:,.0f} km away: are these metres or degrees?",
                    farthest=_FARTHEST / 1000,
                )
            )


def from_degrees(longitude: Floats, latitude: Floats) -> tuple[Floats, Floats]:
    """Metres to the east and north of the middle of points given in degrees, by the ellipsoid's radii there.

    Within 0.02 % over 20 km up to 60° of latitude. LineError for what is no place on the earth.
    """
    for name, values, most in (("longitude", longitude, 180), ("latitude", latitude, 90)):
        worst = float(values[np.argmax(np.abs(values))])
        if abs(worst) > most:
            raise LineError(
                tr(
                    "a {name} of {worst:g}° is beyond {most}°: are longitude and latitude swapped, or are "
                    "these metres?",
                    name=name,
                    worst=worst,
                    most=most,
                )
            )
    # Across the date line the longitudes jump by a whole turn.
    east = np.mod(longitude - longitude[0] + 180, 360) - 180
    middle = float(latitude.min() + latitude.max()) / 2 * DEGREE
    root = np.sqrt(1 - _ECCENTRICITY_2 * np.sin(middle) ** 2)
    across, along = _AXIS / root, _AXIS * (1 - _ECCENTRICITY_2) / root**3
    x = east * DEGREE * across * np.cos(middle)
    y = (latitude - middle / DEGREE) * DEGREE * along
    return np.asarray(x), np.asarray(y)


def look_like_degrees(x: Floats, y: Floats) -> bool:
    """Whether points without a unit may be degrees: none beyond those of the earth, all within a third of one."""
    small = float(np.abs(x).max()) <= 180 and float(np.abs(y).max()) <= 180
    return small and float(np.hypot(np.diff(x), np.diff(y)).sum()) < 0.6
