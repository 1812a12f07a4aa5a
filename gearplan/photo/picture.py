"""What a picture's file says of the lens. Of all its data nothing else is looked at: no place, no date.

Source of the tags and their layout: Exif 2.3 (CIPA DC-008), TIFF 6.0.
"""

from __future__ import annotations

import math
import struct
from pathlib import Path

from gearplan.bike.files.ordinary import open_file

#: A picture of more points than this is not opened; no camera in use makes larger ones.
MOST_PIXELS = 250_000_000
#: The data about the picture stand before this place in the file.
_HEAD = 1 << 20
_EXIF_IFD, _FOCAL_35, _WIDTH, _HEIGHT = 0x8769, 0xA405, 0xA002, 0xA003
#: The diagonal of the film of 24 mm × 36 mm that the focal length is converted to (mm).
_DIAGONAL = math.hypot(24, 36)
#: The sides of a picture as the camera left it agree with what its data say within this share.
_ALIKE = 0.01


def focal_length(path: Path, size: tuple[int, int]) -> float | None:
    """The focal length in px of the picture `size`, by the file's own data; None where they do not tell.

    The length "in 35 mm film" holds for the picture's diagonal. A picture with other proportions than the camera gave
    it was cropped: its data tell nothing then.
    """
    try:
        with open_file(path) as file:
            told = _told(file.read(_HEAD))
    except (OSError, struct.error, IndexError):
        return None
    focal, width, height = told.get(_FOCAL_35, 0), told.get(_WIDTH, 0), told.get(_HEIGHT, 0)
    if not 5 <= focal <= 2000:
        return None
    if width and height:
        sides, own = sorted(size), sorted((width, height))
        if abs(sides[0] * own[1] / (sides[1] * own[0]) - 1) > _ALIKE:
            return None
    return focal / _DIAGONAL * math.hypot(*size)


def _told(head: bytes) -> dict[int, int]:
    """The three tags of a JPEG's or PNG's data; empty where there are none."""
    block = _exif_of_jpeg(head) if head[:2] == b"\xff\xd8" else _exif_of_png(head)
    if block[:4] not in (b"II*\0", b"MM\0*"):
        return {}
    order = "<" if block[:1] == b"I" else ">"
    (first,) = struct.unpack_from(order + "I", block, 4)
    inner = _tags(block, order, first, (_EXIF_IFD,)).get(_EXIF_IFD)
    return {} if inner is None else _tags(block, order, inner, (_FOCAL_35, _WIDTH, _HEIGHT))


def _exif_of_jpeg(head: bytes) -> bytes:
    at = 2
    while at + 4 <= len(head) and head[at] == 0xFF:
        marker, (length,) = head[at + 1], struct.unpack_from(">H", head, at + 2)
        if marker == 0xDA or length < 2:
            break
        if marker == 0xE1 and head[at + 4 : at + 10] == b"Exif\0\0":
            return head[at + 10 : at + 2 + length]
        at += 2 + length
    return b""


def _exif_of_png(head: bytes) -> bytes:
    if head[:8] != b"\x89PNG\r\n\x1a\n":
        return b""
    at = 8
    while at + 8 <= len(head):
        length, kind = struct.unpack_from(">I4s", head, at)
        if kind == b"eXIf":
            return head[at + 8 : at + 8 + length]
        at += 12 + length
    return b""


def _tags(block: bytes, order: str, at: int, wanted: tuple[int, ...]) -> dict[int, int]:
    """The whole numbers of some tags in the list that begins `at`."""
    (count,) = struct.unpack_from(order + "H", block, at)
    found = {}
    for entry in range(at + 2, at + 2 + 12 * count, 12):
        tag, kind = struct.unpack_from(order + "HH", block, entry)
        if tag in wanted and kind in (3, 4):
            (found[tag],) = struct.unpack_from(order + ("H" if kind == 3 else "I"), block, entry + 8)
    return found
