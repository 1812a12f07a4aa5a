"""A file that is dropped on the window goes where its kind belongs."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QMimeData

from gearplan.bike.files.circuitfile import SUFFIX as CIRCUIT
from gearplan.language import tr

if TYPE_CHECKING:
    from gearplan.window.frame.pagehost import PageHost

_PICTURES = (".jpg", ".jpeg", ".png")
_RIDES = (".csv", ".txt", ".tsv", ".gpx", ".nmea", ".log")
#: Either a recorded ride or the line of a track: the page in sight tells.
_EITHER = (".csv", ".txt", ".gpx")
_LINES = (".geojson", ".json", ".osm", ".xml")


def files_in(dropped: QMimeData) -> list[Path]:
    """The files of this machine among what is dropped."""
    return [Path(url.toLocalFile()) for url in dropped.urls() if url.isLocalFile()]


def take(window: PageHost, path: Path) -> None:
    """Open a bike, a circuit, a line of a track, a recorded ride, or a photograph to measure from."""
    name, ending = path.name.lower(), path.suffix.lower()
    if path.is_dir():
        window.message.say(tr("{name} is a folder. Drop a file.", name=path.name), wrong=True)
    elif name.endswith(CIRCUIT) or ending in _LINES or (ending in _EITHER and window.in_sight == "Circuit"):
        if window.circuits.may_leave() and window.circuits.open(path):
            window.show_page("Circuit")
    elif ending == ".toml":
        window.files.open_recent(path)
    elif ending in _RIDES:
        window.show_page("Ride log")
        window.ride_log_page.open_file(path)
    elif ending in _PICTURES:
        window.show_page("Bike")
        window.bike_page.measure_on(path)
    else:
        window.message.say(
            tr("{name} is neither a bike, a circuit, a recorded ride nor a photograph.", name=path.name), wrong=True
        )
