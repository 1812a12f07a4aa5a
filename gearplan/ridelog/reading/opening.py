"""Opening a recorded ride of any kind, by its ending and its first bytes."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

from gearplan.bike.files.ordinary import open_file
from gearplan.ridelog.log import LogError, RideLog, sane
from gearplan.ridelog.reading.columns import Layout
from gearplan.ridelog.reading.csvfile import read_csv
from gearplan.ridelog.reading.gpx import read_gpx
from gearplan.ridelog.reading.nmea import has_sentences, read_nmea
from gearplan.ridelog.reading.pieces import Cancelled, Progress

Form = Literal["gpx", "nmea", "csv"]


def form_of(path: Path) -> Form:
    """What a file is to be read as; LogError if it cannot be opened."""
    try:
        with open_file(path) as file:
            start = file.read(4096)
    except OSError as failed:
        raise LogError(f"{failed.strerror}.") from failed
    if path.suffix.lower() == ".gpx" or start.removeprefix(b"\xef\xbb\xbf").lstrip().startswith(b"<"):
        return "gpx"
    return "nmea" if path.suffix.lower() == ".nmea" or has_sentences(start) else "csv"


def read_log(
    path: Path,
    layout: Layout | None = None,
    progress: Progress | None = None,
    cancelled: Cancelled | None = None,
) -> RideLog:
    """Read a file of any form; LogError in one line if it is no ride. Only a CSV file has a layout."""
    form = form_of(path)
    if form == "gpx":
        return sane(read_gpx(path, progress, cancelled))
    return sane(read_nmea(path, progress, cancelled) if form == "nmea" else read_csv(path, layout, progress, cancelled))
