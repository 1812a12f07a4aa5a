"""Pictures without what a camera or phone writes into them of place, time and person; their pixels stay bit by bit.

Forms: ITU-T T.81 (JPEG), CIPA DC-008 (Exif), the PNG specification (W3C), RIFF and WebP (RFC 9649).
"""

from __future__ import annotations

import re
import struct
from collections.abc import Iterator

from gearplan.language import tr

_JPEG, _PNG, _RIFF = b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n", b"RIFF"
#: What of a JPEG is needed to show it as it was taken, beside the tables: form (APP0), colours (APP2, APP14).
_END, _SCAN, _EXIF, _NAMED = 0xD9, 0xDA, 0xE1, b"Exif\0\0"
_KEPT_AS = {0xE0: b"JFIF", 0xE2: b"ICC_PROFILE\0", 0xEE: b"Adobe"}
_OF_APPLICATIONS, _COMMENT = range(0xE0, 0xF0), 0xFE
#: Within a scan a byte of ones is followed by nought, a restart's number or another such byte.
_AFTER_SCAN = re.compile(rb"\xff[^\x00\xd0-\xd7\xff]")
#: Chunks of a PNG with words, times and Exif.
_TOLD_IN_PNG = (b"tEXt", b"zTXt", b"iTXt", b"tIME", b"eXIf")
_TOLD_IN_WEBP = (b"EXIF", b"XMP ")
#: The flags by which a WebP says that it holds Exif and XMP.
_EXIF_FLAG, _XMP_FLAG = 0x08, 0x04
_ORIENTATION = 0x0112


class PictureError(ValueError):
    """A picture out of which nothing can be taken; the message says why and what would be right."""


def without_traces(data: bytes) -> bytes:
    """A JPEG, PNG, WebP or BMP picture with nothing left of place, time, device and person but how it is turned.

    PictureError for another form, and for one that cannot be followed to its end.
    """
    try:
        if data.startswith(_JPEG):
            return b"".join(_jpeg(data))
        if data.startswith(_PNG):
            return b"".join(_png(data))
        if data.startswith(_RIFF) and data[8:12] == b"WEBP":
            return _webp(data)
    except (struct.error, IndexError) as error:
        raise PictureError(tr("the picture breaks off; save it anew")) from error
    if data.startswith(b"BM"):
        return data
    raise PictureError(
        tr("place and date cannot be taken out of a picture of this form; give a JPEG, PNG or WebP picture")
    )


def _jpeg(data: bytes) -> Iterator[bytes]:
    yield data[:2]
    at = 2
    while True:
        if data[at] != 0xFF:
            raise PictureError(tr("the picture is no JPEG that can be followed; save it anew"))
        kind = data[at + 1]
        if kind == 0xFF:
            at += 1
            continue
        if kind == _END:
            # What stands behind the end is another picture or a film of the same moment.
            yield data[at : at + 2]
            return
        (length,) = struct.unpack_from(">H", data, at + 2)
        end = at + 2 + length
        if length < 2 or end > len(data):
            raise IndexError
        part = data[at + 4 : end]
        if kind == _EXIF:
            if part.startswith(_NAMED) and (turned := _turned(part[len(_NAMED) :])):
                told = _NAMED + _only_turned(turned)
                yield data[at : at + 2] + struct.pack(">H", len(told) + 2) + told
        elif kind != _COMMENT and (kind not in _OF_APPLICATIONS or part.startswith(_KEPT_AS.get(kind, b"\0none"))):
            yield data[at:end]
        at = end
        if kind == _SCAN:
            end = _end_of_scan(data, at)
            yield data[at:end]
            at = end


def _end_of_scan(data: bytes, at: int) -> int:
    """Where the next marker stands that is none within a scan."""
    found = _AFTER_SCAN.search(data, at)
    if found is None:
        raise IndexError
    return found.start()


def _png(data: bytes) -> Iterator[bytes]:
    yield _PNG
    at = len(_PNG)
    while True:
        (length,) = struct.unpack_from(">I", data, at)
        kind, end = data[at + 4 : at + 8], at + 12 + length
        if end > len(data):
            raise IndexError
        if kind not in _TOLD_IN_PNG:
            yield data[at:end]
        if kind == b"IEND":
            return
        at = end


def _webp(data: bytes) -> bytes:
    found, at, end = [], 12, min(8 + struct.unpack_from("<I", data, 4)[0], len(data))
    while at < end:
        kind, (length,) = data[at : at + 4], struct.unpack_from("<I", data, at + 4)
        after = at + 8 + length + length % 2
        if after > end:
            raise IndexError
        part = data[at:after]
        if kind == b"VP8X":
            part = part[:8] + bytes([part[8] & ~(_EXIF_FLAG | _XMP_FLAG)]) + part[9:]
        if kind not in _TOLD_IN_WEBP:
            found.append(part)
        at = after
    inside = b"WEBP" + b"".join(found)
    return _RIFF + struct.pack("<I", len(inside)) + inside


def _turned(tiff: bytes) -> int:
    """How a picture is turned by its Exif data (1 to 8); 0 where they do not say."""
    order = {b"II": "<", b"MM": ">"}.get(tiff[:2])
    if order is None:
        return 0
    try:
        (first,) = struct.unpack_from(order + "I", tiff, 4)
        (count,) = struct.unpack_from(order + "H", tiff, first)
        for place in range(count):
            tag, kind, _many, value = struct.unpack_from(order + "HHIH", tiff, first + 2 + 12 * place)
            if tag == _ORIENTATION and kind == 3 and 1 <= value <= 8:
                return int(value)
    except struct.error:
        return 0
    return 0


def _only_turned(turned: int) -> bytes:
    """Exif data that say how a picture is turned and nothing else."""
    return b"MM\0*" + struct.pack(">IHHHIHHI", 8, 1, _ORIENTATION, 3, 1, turned, 0, 0)
