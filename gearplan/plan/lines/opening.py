"""Opening a circuit or a line from a file of any kind that is understood."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from gearplan.bike.files.circuitfile import CircuitFile, read_circuit
from gearplan.bike.files.ordinary import read_file, why
from gearplan.language import tr
from gearplan.plan.lines.centreline import CentreLine, centre_line, circuit_of
from gearplan.plan.lines.csvpoints import points_from_csv
from gearplan.plan.lines.geojson import points_from_geojson
from gearplan.plan.lines.points import LineError, Points
from gearplan.plan.lines.sections import USUAL_FINENESS
from gearplan.plan.lines.xmlpoints import points_from_gpx, points_from_osm

_MOST_BYTES = 64_000_000
_READERS: dict[str, Callable[[str], Points]] = {
    ".csv": points_from_csv,
    ".txt": points_from_csv,
    ".geojson": points_from_geojson,
    ".json": points_from_geojson,
    ".gpx": points_from_gpx,
    ".osm": points_from_osm,
    ".xml": points_from_osm,
}
#: How files that hold a line end.
ENDINGS = tuple(_READERS)


def holds_line(path: Path) -> bool:
    """Whether a file of this name is read as a line of points."""
    return path.suffix.lower() in _READERS


def read_points(path: Path) -> Points:
    """The points of a file, named as it names them or as the file is named; LineError if there are none."""
    try:
        text = read_file(path, _MOST_BYTES).decode("utf-8-sig")
    except UnicodeDecodeError as failed:
        raise LineError(
            tr("{path}: {why}; give CSV, GeoJSON, GPX or an OpenStreetMap file", path=path, why=why(failed))
        ) from failed
    except OSError as failed:
        raise LineError(f"{path}: {why(failed)}") from failed
    try:
        points = _READERS.get(path.suffix.lower(), points_from_csv)(text)
    except LineError as error:
        raise LineError(f"{path}: {error}") from error
    return replace(points, name=" ".join(points.name.split())[:200] or path.name.split(".")[0])


def read_centre_line(path: Path, width: float | None = None) -> CentreLine:
    """The line of a file, within a track of that width (m) if given; LineError if it makes no circuit."""
    try:
        return centre_line(read_points(path), width)
    except LineError as error:
        told = str(error)
        raise LineError(told if told.startswith(str(path)) else f"{path}: {told}") from error


def read_circuit_or_line(path: Path, width: float | None = None, fineness: float = USUAL_FINENESS) -> CircuitFile:
    """A circuit file, or the circuit of a line with its notes as notices.

    CircuitFileError or LineError if it cannot be read.
    """
    if not holds_line(path):
        return read_circuit(path)
    line = read_centre_line(path, width)
    try:
        return CircuitFile(circuit_of(line, fineness), "", line.notes)
    except LineError as error:
        raise LineError(f"{path}: {error}") from error
