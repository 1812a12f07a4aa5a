"""The bike files in a folder and the folders in it."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

from gearplan.language import tr

SUFFIX = ".bike.toml"


def bike_files(folder: Path, closed: list[tuple[Path, str]]) -> Iterator[Path]:
    """The bike files in a folder and the folders in it, in order; links to folders are not followed.

    Folders within that cannot be read are added to `closed`, with why; OSError if it is the folder itself.
    """

    def refuse(error: OSError) -> None:
        place = Path(error.filename or "")
        if place == folder:
            raise error
        closed.append(
            (place, tr("{place}: this folder cannot be searched: {strerror}", place=place, strerror=error.strerror))
        )

    for place, inside, files in os.walk(folder, onerror=refuse):
        inside.sort()
        for file in sorted(files):
            if file.endswith(SUFFIX) and not file.startswith("."):
                yield Path(place) / file
