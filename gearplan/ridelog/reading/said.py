"""What a person has said of a file's columns, kept for the next file that looks the same."""

from __future__ import annotations

from pathlib import Path

from gearplan.bike.files import tablelooks
from gearplan.ridelog.reading.columns import Layout
from gearplan.ridelog.reading.csvfile import look

_USE = "ride log"


def look_again(path: Path) -> tuple[Layout, bool]:
    """The layout of a CSV file, and whether nothing need be asked: it leaves no doubt, or was answered before.

    LogError if it is no ride log.
    """
    layout = look(path)
    said = tablelooks.recall(_USE, layout.look) if layout.look else None
    if said is not None and said != layout.said:
        layout = layout.as_said(said)
    return layout, layout.usable and (layout.sure or said == layout.said)


def keep(layout: Layout) -> None:
    """Keep what a person has said of the columns; OSError if it cannot be written."""
    if layout.look:
        tablelooks.remember(_USE, layout.look, layout.said)
