"""Opening a recorded ride of either kind, by its ending and its first bytes."""

from __future__ import annotations

from pathlib import Path

from gearplan.ridelog.log import LogError, RideLog, sane
from gearplan.ridelog.reading.columns import Layout
from gearplan.ridelog.reading.csvfile import Cancelled, Progress, read_csv
from gearplan.ridelog.reading.gpx import read_gpx


def is_gpx(path: Path) -> bool:
    """Whether a file is to be read as GPX; LogError if it cannot be opened."""
    try:
        with path.open("rb") as file:
            start = file.read(512)
    except OSError as failed:
        raise LogError(f"{failed.strerror}.") from failed
    return path.suffix.lower() == ".gpx" or start.removeprefix(b"\xef\xbb\xbf").lstrip().startswith(b"<")


def read_log(
    path: Path,
    layout: Layout | None = None,
    progress: Progress | None = None,
    cancelled: Cancelled | None = None,
) -> RideLog:
    """Read a CSV or GPX file; LogError in one line if it is no ride."""
    return sane(read_gpx(path, progress, cancelled) if is_gpx(path) else read_csv(path, layout, progress, cancelled))
