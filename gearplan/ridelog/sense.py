"""What the channels of a ride can hold at most: wilder values come from a wrong column, a wrong unit or a fault."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from gearplan.bike.units import KMH, RPM
from gearplan.ridelog.columns import LABELS, Kind
from gearplan.ridelog.log import Floats

#: (least, most) in the units of a `RideLog`, and the same as it is told. So wide that no sensor's noise is hurt.
_SENSE: Mapping[Kind, tuple[float, float, str]] = {
    "engine": (-100 * RPM, 60_000 * RPM, "0 to 60000 rpm"),
    "road": (-20 * KMH, 1000 * KMH, "0 to 1000 km/h"),
    "gps": (-20 * KMH, 1000 * KMH, "0 to 1000 km/h"),
    "latitude": (-90.0, 90.0, "−90 to 90°"),
    "longitude": (-360.0, 360.0, "−180 to 180°"),
    "altitude": (-1000.0, 10_000.0, "−1000 to 10000 m"),
}


def drop_nonsense(channels: Mapping[Kind, Floats], notes: list[str]) -> None:
    """Make NaN of values that cannot be, in place; each channel that had some is named in `notes`."""
    for kind, values in channels.items():
        if kind not in _SENSE:
            continue
        least, most, told = _SENSE[kind]
        wild = np.isfinite(values) & ((values < least) | (values > most))
        if count := int(np.count_nonzero(wild)):
            values[wild] = np.nan
            what = "value" if count == 1 else "values"
            notes.append(f"{LABELS[kind]}: {count} {what} beyond {told} left out; look at its column and unit.")
