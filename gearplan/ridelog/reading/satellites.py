"""A ride from a receiver's fixes: times, positions, heights and, if they were recorded, speeds."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from gearplan.language import tr, trn
from gearplan.ridelog.log import Floats, LogError, RideLog
from gearplan.ridelog.places import local_metres
from gearplan.ridelog.reading import clock

#: From this share of fixes with a speed on the receiver's own is taken, else that of its positions.
_OWN_SPEED = 0.5


def ride_of(name: str, stamps: Floats, fixes: Floats, notes: list[str]) -> RideLog:
    """The ride of a table of fixes: latitude and longitude (degrees), height (m), speed (m/s); NaN where not recorded.

    `stamps` are their times (s). LogError if nothing rises or no position can be.
    """
    kept, time = clock.in_order(stamps, notes)
    if len(kept) < 2:
        raise LogError(tr("The track has no times; record the ride with them."))
    latitude, longitude, altitude, gps = fixes[kept].T
    good = (np.abs(latitude) <= 90) & (np.abs(longitude) <= 180)
    if np.count_nonzero(good) < 2:
        raise LogError(
            tr("The track has no positions that can be: latitudes from −90 to 90, longitudes from −180 to 180.")
        )
    if not good.all():
        notes.append(
            trn(
                "1 point has no position that can be and is left out.",
                "{n} points have no position that can be and are left out.",
                int(np.count_nonzero(~good)),
            )
        )
        latitude, longitude, altitude, gps, time = (a[good] for a in (latitude, longitude, altitude, gps, time))
        time = time - time[0]
    if np.isfinite(gps).mean() < _OWN_SPEED:
        x, y = local_metres(latitude, longitude)
        # Two steps wide, so that the steps of the positions count less.
        gps = np.hypot(np.gradient(x, time), np.gradient(y, time))
        notes.append(tr("The speed is computed from the positions."))
    log = RideLog(name, time, gps=gps, latitude=latitude, longitude=longitude, rows=len(stamps), notes=tuple(notes))
    return replace(log, altitude=altitude) if np.isfinite(altitude).any() else log
