"""Photos of a job, copied beside the bike's file so that they go with it."""

from __future__ import annotations

import re
from pathlib import Path

from gearplan.bike.files.atomic import replace_file
from gearplan.bike.files.folder import SUFFIX
from gearplan.bike.files.ordinary import read_file
from gearplan.bike.files.pictures import PictureError, without_traces
from gearplan.language import tr

MOST_BYTES = 60_000_000
_MOST_OF_ONE = 1000


def photo_folder(bike_file: Path) -> Path:
    """Where the photos of a bike's jobs are: a folder beside its file, named after it."""
    name = bike_file.name.removesuffix(SUFFIX)
    return bike_file.with_name(f"{name}.photos")


def add_photo(bike_file: Path, source: Path, day: str, step: str) -> str:
    """Copy a photo beside the bike's file and return its name there; of place and date it holds nothing any more.

    OSError if that fails, ValueError if it is too large, or of a form out of which nothing can be taken.
    """
    size = source.stat().st_size
    if size > MOST_BYTES:
        raise ValueError(
            tr(
                "{name} has {size} MB; a photo may have {most_bytes} MB",
                name=source.name,
                size=size // 1000000,
                most_bytes=MOST_BYTES // 1000000,
            )
        )
    try:
        data = without_traces(read_file(source, MOST_BYTES))
    except PictureError as refused:
        raise PictureError(f"{source.name}: {refused}") from refused
    folder = photo_folder(bike_file)
    folder.mkdir(exist_ok=True)
    ending = source.suffix.lower() if re.fullmatch(r"\.[a-z0-9]{1,5}", source.suffix.lower()) else ".jpg"
    for number in range(1, _MOST_OF_ONE):
        name = f"{day} {step} {number}{ending}"
        if not (folder / name).exists():
            replace_file(folder / name, data)
            return name
    raise ValueError(tr("there are {most_of_one} photos of this step already", most_of_one=_MOST_OF_ONE - 1))


def photo_path(bike_file: Path, name: str) -> Path | None:
    """Where a photo is; None for a name that is no plain file's, which a bike file from elsewhere might hold."""
    return photo_folder(bike_file) / name if Path(name).name == name and name not in (".", "..") else None
