"""Reading a ride from a GPX file: the positions, heights, times and, if recorded, speeds of its track.

GPX 1.1 (Topografix, schema of 2004). Only the elements trkpt, ele, time and speed are looked at, in any namespace.
A file that declares a document type is refused, so that no entity can be blown up. No tree is built: what is not
looked at takes no memory.
"""

from __future__ import annotations

from pathlib import Path
from xml.etree import ElementTree

import numpy as np

from gearplan.language import tr
from gearplan.ridelog.log import LogError, RideLog
from gearplan.ridelog.reading.csvfile import seconds
from gearplan.ridelog.reading.pieces import Cancelled, Progress, on_the_way, raw_pieces, size_of
from gearplan.ridelog.reading.satellites import ride_of

_MOST_BYTES = 300_000_000
_LOOKED_AT = ("ele", "time", "speed")
#: What is kept of one text, which is a number or a time.
_MOST_SIGNS = 60


def read_gpx(path: Path, progress: Progress | None = None, cancelled: Cancelled | None = None) -> RideLog:
    """Read the track of a GPX file; LogError in one line if there is none."""
    points = _Points()
    parser = ElementTree.XMLParser(target=points)
    try:
        size = size_of(path)
        if size > _MOST_BYTES:
            raise LogError(
                tr(
                    "The file has {size} MB; a GPX file may have {most_bytes} MB.",
                    size=size // 1000000,
                    most_bytes=_MOST_BYTES // 1000000,
                )
            )
        done = 0
        for raw in raw_pieces(path):
            parser.feed(raw)
            done += len(raw)
            on_the_way(done / size, len(points.rows), progress, cancelled)
        parser.close()
    except LookupError as failed:
        raise LogError(tr("The file names an encoding that is not known; save it in UTF-8.")) from failed
    except ElementTree.ParseError as failed:
        raise LogError(
            tr("This is not a whole GPX file: row {position} is broken XML.", position=failed.position[0])
        ) from failed
    if len(points.rows) < 2:
        raise LogError(tr("There is no track with two points in this GPX file."))
    return ride_of(path.name, seconds(points.times, "date and time"), np.array(points.rows), [])


class _Points:
    """The points of the track, taken while the parser goes through the file."""

    def __init__(self) -> None:
        self.rows: list[tuple[float, float, float, float]] = []
        self.times: list[str] = []
        self._point: dict[str, str] | None = None
        self._told: str | None = None

    def doctype(self, *_names: object) -> None:
        """Refuse."""
        raise LogError(tr("The file declares a document type, which a GPX file has not; it is not read."))

    def start(self, tag: str, given: dict[str, str]) -> None:
        """A point begins, or what is told of it."""
        name = tag.rpartition("}")[2]
        if name == "trkpt":
            self._point = {"lat": given.get("lat", ""), "lon": given.get("lon", "")}
        elif self._point is not None:
            self._told = name if name in _LOOKED_AT else None

    def data(self, text: str) -> None:
        """Text, perhaps a part of it."""
        if self._point is not None and self._told is not None:
            self._point[self._told] = (self._point.get(self._told, "") + text)[:_MOST_SIGNS]

    def end(self, tag: str) -> None:
        """A point is whole, or what is told of it."""
        self._told = None
        if tag.rpartition("}")[2] == "trkpt" and self._point is not None:
            told = self._point
            latitude, longitude, height, speed = (_number(told.get(name)) for name in ("lat", "lon", "ele", "speed"))
            self.rows.append((latitude, longitude, height, speed))
            self.times.append(told.get("time", "").strip())
            self._point = None


def _number(text: str | None) -> float:
    try:
        return float(text) if text else np.nan
    except ValueError:
        return np.nan
