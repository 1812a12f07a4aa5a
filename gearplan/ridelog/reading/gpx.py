"""Reading a ride from a GPX file: the positions, heights, times and, if recorded, speeds of its track.

GPX 1.1 (Topografix, schema of 2004). Only the elements trkpt, ele, time and speed are looked at, in any namespace.
A file that declares entities is refused, so that none can be blown up.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree

import numpy as np

from gearplan.ridelog.log import LogError, ReadingCancelled, RideLog
from gearplan.ridelog.places import local_metres
from gearplan.ridelog.reading import clock
from gearplan.ridelog.reading.csvfile import Cancelled, Progress, seconds

_MOST_BYTES = 300_000_000
_EVERY = 5000


def read_gpx(path: Path, progress: Progress | None = None, cancelled: Cancelled | None = None) -> RideLog:
    """Read the track of a GPX file; LogError in one line if there is none."""
    try:
        size = path.stat().st_size
        if size > _MOST_BYTES:
            raise LogError(f"The file has {size // 1_000_000} MB; a GPX file may have {_MOST_BYTES // 1_000_000} MB.")
        with path.open("rb") as file:
            if _declares(file.read(4096)):
                raise LogError("The file declares a document type, which a GPX file has not; it is not read.")
            file.seek(0)
            rows: list[tuple[float, float, float, float]] = []
            times: list[str] = []
            for _, element in ElementTree.iterparse(file, ("end",)):
                if element.tag.rpartition("}")[2] != "trkpt":
                    continue
                _take(element, rows, times)
                element.clear()
                if len(rows) % _EVERY == 0:
                    if cancelled is not None and cancelled():
                        raise ReadingCancelled
                    if progress is not None and size:
                        progress(min(file.tell() / size, 1.0))
    except OSError as failed:
        raise LogError(f"{failed.strerror}.") from failed
    except LookupError as failed:
        raise LogError("The file names an encoding that is not known; save it in UTF-8.") from failed
    except ElementTree.ParseError as failed:
        raise LogError(f"This is not a whole GPX file: row {failed.position[0]} is broken XML.") from failed
    return _log(path.name, rows, times)


def _declares(start: bytes) -> bool:
    plain = start.replace(b"\0", b"").upper()
    return b"<!DOCTYPE" in plain or b"<!ENTITY" in plain


def _take(point: ElementTree.Element, rows: list[tuple[float, float, float, float]], times: list[str]) -> None:
    told = {child.tag.rpartition("}")[2]: child.text or "" for child in point.iter()}
    place = (_number(point.get("lat")), _number(point.get("lon")), _number(told.get("ele")), _number(told.get("speed")))
    rows.append(place)
    times.append(told.get("time", "").strip())


def _number(text: str | None) -> float:
    try:
        return float(text) if text else np.nan
    except ValueError:
        return np.nan


def _log(name: str, rows: list[tuple[float, float, float, float]], times: list[str]) -> RideLog:
    if len(rows) < 2:
        raise LogError("There is no track with two points in this GPX file.")
    notes: list[str] = []
    kept, time = clock.in_order(seconds(times, "date and time"), notes)
    if len(kept) < 2:
        raise LogError("The track has no times; record the ride with them.")
    latitude, longitude, altitude, gps = np.array(rows)[kept].T
    good = (np.abs(latitude) <= 90) & (np.abs(longitude) <= 180)
    if np.count_nonzero(good) < 2:
        raise LogError("The track has no positions that can be: latitudes from −90 to 90, longitudes from −180 to 180.")
    if not good.all():
        notes.append(f"{np.count_nonzero(~good)} points have no position that can be and are left out.")
        latitude, longitude, altitude, gps, time = (a[good] for a in (latitude, longitude, altitude, gps, time))
    if np.isfinite(gps).mean() < 0.5:
        x, y = local_metres(latitude, longitude)
        # Two steps wide, so that the steps of the positions count less.
        gps = np.hypot(np.gradient(x, time), np.gradient(y, time))
        notes.append("The speed is computed from the positions.")
    log = RideLog(name, time, gps=gps, latitude=latitude, longitude=longitude, rows=len(rows), notes=tuple(notes))
    return replace(log, altitude=altitude) if np.isfinite(altitude).any() else log
