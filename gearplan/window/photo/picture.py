"""Reading a photograph: what is none, or is too large, is refused in words."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path

from PySide6.QtCore import QSize
from PySide6.QtGui import QImage, QImageReader

from gearplan.bike.text import written
from gearplan.language import tr
from gearplan.photo.picture import MOST_PIXELS, focal_length

#: A picture of more points is read at less than its size; the pins are found to a part of a millimetre even so.
_KEPT_PIXELS = 40_000_000
#: Nothing can be measured in a picture with a shorter side.
_LEAST_SIDE = 300
_FORMATS = {"jpeg": "JPEG", "png": "PNG"}
FILTER = tr("Photographs (*.jpg *.jpeg *.png *.JPG *.JPEG *.PNG)")


class PictureError(Exception):
    """A file that is no picture to measure from; says why."""


@dataclass(frozen=True)
class Picture:
    """A photograph upright as it was taken, its file's name, the focal length in px if its data tell it, and a note."""

    image: QImage
    name: str
    focal: float | None
    note: str

    @property
    def size(self) -> tuple[int, int]:
        """Width and height in px."""
        return self.image.width(), self.image.height()


def read_picture(path: Path) -> Picture:
    """Read a JPEG or PNG, turned as its data say; PictureError says why it can't be."""
    try:
        empty = path.stat().st_size == 0
        if not path.is_file() or not os.access(path, os.R_OK):
            raise PictureError(tr("{name} can't be read.", name=path.name))
    except OSError as failed:
        raise PictureError(
            tr("{name} can't be read: {strerror}.", name=path.name, strerror=failed.strerror)
        ) from failed
    if empty:
        raise PictureError(tr("{name} is empty.", name=path.name))
    reader = QImageReader(str(path))
    reader.setDecideFormatFromContent(True)
    reader.setAutoTransform(True)
    if reader.format().toStdString() not in _FORMATS:
        raise PictureError(
            tr(
                "{name} is no picture that can be read here: {listed} are.",
                name=path.name,
                listed=written.listed(_FORMATS.values()),
            )
        )
    size = reader.size()
    points = size.width() * size.height()
    if points > MOST_PIXELS:
        raise PictureError(
            f"{path.name} has {size.width()} × {size.height()} px, more than any camera's picture: make it smaller."
        )
    note = ""
    if points > _KEPT_PIXELS:
        share = (_KEPT_PIXELS / points) ** 0.5
        reader.setScaledSize(QSize(round(size.width() * share), round(size.height() * share)))
        note = tr("read at {share:.0f} % of its size", share=100 * share)
    image = reader.read()
    if image.isNull():
        raise PictureError(tr("{name} is damaged, or too large to be read.", name=path.name))
    if min(image.width(), image.height()) < _LEAST_SIDE:
        raise PictureError(
            f"{path.name} has {image.width()} × {image.height()} px, too few to measure from: take the picture itself, "
            "not its preview."
        )
    shown = image.convertToFormat(QImage.Format.Format_RGB32)
    focal = focal_length(path, (shown.width(), shown.height()))
    told = tr("focal length told by the picture") if focal is not None else tr("focal length not told")
    return Picture(shown, path.name, focal, ", ".join(filter(None, (note, told))))
