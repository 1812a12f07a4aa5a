"""Photos keep their pixels and how they are turned, and nothing of place, date, device or person; read by OpenCV."""

from __future__ import annotations

import struct
from pathlib import Path

import cv2
import numpy as np
import pytest

from gearplan.bike.files.photos import add_photo, photo_path
from gearplan.bike.files.pictures import PictureError, without_traces

#: A picture of one bright corner, so that turning it shows.
PICTURE = np.zeros((48, 80, 3), np.uint8)
PICTURE[:16, :24] = 255
TRACES = (b"2026:05:31", b"Kestrel phone", b"GPSPLACE", b"Ada Thornbury")


def exif(turned: int | None, order: str = "<") -> bytes:
    """Exif data with device, date, owner, a place, and how the picture is turned (CIPA DC-008)."""
    words = [(0x010F, TRACES[1]), (0x0132, TRACES[0]), (0x8825, b""), (0x9C9D, TRACES[3])]
    entries = sorted([*words, *([(0x0112, b"")] if turned else [])])
    data, body = 8 + 2 + 12 * len(entries) + 4, b""
    listed = struct.pack(order + "H", len(entries))
    for tag, text in entries:
        if tag == 0x0112:
            listed += struct.pack(order + "HHIHH", tag, 3, 1, turned, 0)
        elif tag == 0x8825:
            listed += struct.pack(order + "HHII", tag, 4, 1, data + len(body))
            body += struct.pack(order + "H", 1) + struct.pack(order + "HHII", 2, 5, 3, 0) + b"\0\0\0\0" + TRACES[2]
        else:
            listed += struct.pack(order + "HHII", tag, 2, len(text) + 1, data + len(body))
            body += text + b"\0"
    head = b"II*\0" if order == "<" else b"MM\0*"
    return head + struct.pack(order + "I", 8) + listed + b"\0\0\0\0" + body


def part(kind: int, content: bytes) -> bytes:
    return b"\xff" + bytes([kind]) + struct.pack(">H", len(content) + 2) + content


def jpeg(turned: int | None = None, order: str = "<", *flags: int) -> bytes:
    made, data = cv2.imencode(".jpg", PICTURE, list(flags))
    assert made
    plain = data.tobytes()
    told = part(0xE1, b"Exif\0\0" + exif(turned, order))
    told += part(0xE1, b"http://ns.adobe.com/xap/1.0/\0" + TRACES[3]) + part(0xFE, TRACES[1])
    told += (
        part(0xE2, b"MPF\0" + TRACES[2]) + part(0xE2, b"ICC_PROFILE\0colours") + part(0xED, b"Photoshop" + TRACES[3])
    )
    return plain[:2] + told + plain[2:] + b"behind the end: " + b"".join(TRACES)


def read(data: bytes) -> np.ndarray:
    found = cv2.imdecode(np.frombuffer(data, np.uint8), cv2.IMREAD_COLOR)
    assert found is not None
    return found


def clean(data: bytes) -> bool:
    return not any(trace in data for trace in TRACES)


@pytest.mark.parametrize("order", ["<", ">"])
@pytest.mark.parametrize("turned", [None, 1, 3, 6, 8])
@pytest.mark.parametrize("flags", [(), (cv2.IMWRITE_JPEG_PROGRESSIVE, 1, cv2.IMWRITE_JPEG_RST_INTERVAL, 2)])
def test_a_jpeg_keeps_pixels_colours_and_how_it_is_turned(
    turned: int | None, order: str, flags: tuple[int, ...]
) -> None:
    data = jpeg(turned, order, *flags)
    assert not clean(data)
    bare = without_traces(data)
    assert clean(bare)
    assert b"ICC_PROFILE\0colours" in bare
    # OpenCV turns a picture as its Exif data say.
    assert np.array_equal(read(bare), read(data))
    assert (read(bare).shape[0] > read(bare).shape[1]) == (turned in (6, 8))
    assert without_traces(bare) == bare


def test_a_png_and_a_webp_keep_their_pixels() -> None:
    made, data = cv2.imencode(".png", PICTURE)
    assert made
    plain = data.tobytes()

    def chunk(kind: bytes, content: bytes) -> bytes:
        return struct.pack(">I", len(content)) + kind + content + b"\0\0\0\0"

    told = plain[:33] + chunk(b"eXIf", exif(1)) + chunk(b"tEXt", b"Author\0" + TRACES[3]) + plain[33:] + TRACES[2]
    assert clean(without_traces(told))
    assert without_traces(told) == plain
    made, data = cv2.imencode(".webp", PICTURE, [cv2.IMWRITE_WEBP_QUALITY, 101])
    assert made
    plain = data.tobytes()
    wide = struct.pack("<I", 79)[:3] + struct.pack("<I", 47)[:3]
    inside = b"WEBP" + b"VP8X" + struct.pack("<I", 10) + bytes([0x0C, 0, 0, 0]) + wide + plain[12:]
    for kind, content in ((b"EXIF", exif(1)), (b"XMP ", TRACES[3] + b"!")):
        inside += kind + struct.pack("<I", len(content)) + content + b"\0" * (len(content) % 2)
    told = b"RIFF" + struct.pack("<I", len(inside)) + inside
    bare = without_traces(told)
    assert clean(bare)
    assert bare[20] == 0
    assert np.array_equal(read(bare), PICTURE)


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"GIF89a", "a picture of this form"),
        (b"", "a picture of this form"),
        (jpeg()[:300], "breaks off"),
        (jpeg().partition(b"behind")[0][:-2], "breaks off"),
        (b"\xff\xd8\xff\xe1\x00\x01", "breaks off"),
        (b"\xff\xd8\xff\xe0\x00\x04abno marker", "no JPEG that can be followed"),
        (b"\x89PNG\r\n\x1a\n\x7f\xff\xff\xffIDAT", "breaks off"),
        (b"RIFF\xff\xff\xff\xffWEBPEXIF\xff\xff\xff\x7f", "breaks off"),
    ],
)
def test_what_cannot_be_followed_is_refused_in_words(data: bytes, said: str) -> None:
    with pytest.raises(PictureError, match=said):
        without_traces(data)


def test_what_is_copied_beside_the_bike_holds_no_traces(tmp_path: Path) -> None:
    source = tmp_path / "IMG_20260531.JPG"
    source.write_bytes(jpeg(6))
    bike_file = tmp_path / "Ada.bike.toml"
    kept = photo_path(bike_file, add_photo(bike_file, source, "2026-06-01", "axle"))
    assert kept is not None
    assert kept.name == "2026-06-01 axle 1.jpg"
    assert clean(kept.read_bytes())
    assert not clean(source.read_bytes())
    source.write_bytes(b"GIF89a")
    with pytest.raises(ValueError, match="IMG_20260531"):
        add_photo(bike_file, source, "2026-06-01", "axle")
