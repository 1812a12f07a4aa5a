"""What a person has said of a file's columns, kept for the next file that looks the same."""

from __future__ import annotations

from pathlib import Path

from gearplan.bike.files import tablelooks
from gearplan.language import tr
from gearplan.ridelog.reading.columns import Layout
from gearplan.ridelog.reading.csvfile import look

_USE = tr("ride log")


def look_again(path: Path) -> tuple[Layout, bool]:
    """The layout of a CSV file, and whether nothing need be asked: it leaves no doubt, or was answered before.

    LogError if it is no ride log.
    """
    return tablelooks.as_before(_USE, look(path))


def keep(layout: Layout) -> None:
    """Keep what a person has said of the columns; OSError if it cannot be written."""
    tablelooks.keep(_USE, layout)
