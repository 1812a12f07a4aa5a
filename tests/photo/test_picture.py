"""The focal length from a file's own data, written here byte by byte after Exif 2.3 and TIFF 6.0."""

from __future__ import annotations

import struct
import zlib
from pathlib import Path

import pytest

from gearplan.photo.picture import focal_length

SIZE = (4000, 3000)
#: 26 mm on a diagonal of 43.27 mm, in pixels of a diagonal of 5000.
EXPECTED = 26 / 43.2666 * 5000


def exif(order: str = "<", *, focal: int = 26, size: tuple[int, int] = SIZE, orientation: int = 1) -> bytes:
    head = (b"II*\0" if order == "<" else b"MM\0*") + struct.pack(order + "I", 8)
    turned = struct.pack(order + "HHIHH", 0x0112, 3, 1, orientation, 0)
    first = struct.pack(order + "H", 2) + turned + struct.pack(order + "HHIII", 0x8769, 4, 1, 38, 0)
    short = struct.pack(order + "HHIHH", 0xA405, 3, 1, focal, 0)
    sides = b"".join(struct.pack(order + "HHII", tag, 4, 1, s) for tag, s in zip((0xA002, 0xA003), size, strict=True))
    return head + first + struct.pack(order + "H", 3) + sides + short + b"\0\0\0\0"


def jpeg(block: bytes, *before: bytes) -> bytes:
    parts = [struct.pack(">BBH", 0xFF, 0xE0, 2 + len(b)) + b for b in before]
    return b"\xff\xd8" + b"".join(parts) + struct.pack(">BBH", 0xFF, 0xE1, 8 + len(block)) + b"Exif\0\0" + block


def png(block: bytes) -> bytes:
    chunk = b"eXIf" + block
    return b"\x89PNG\r\n\x1a\n" + struct.pack(">I", len(block)) + chunk + struct.pack(">I", zlib.crc32(chunk))


@pytest.mark.parametrize("order", ["<", ">"])
@pytest.mark.parametrize("kind", [jpeg, png])
def test_the_length_in_35_mm_film_gives_pixels_of_the_diagonal(tmp_path: Path, order: str, kind: type[object]) -> None:
    file = tmp_path / "bike"
    file.write_bytes(kind(exif(order)))  # type: ignore[call-arg,arg-type]
    assert focal_length(file, SIZE) == pytest.approx(EXPECTED, rel=1e-5)
    # Held upright, the picture is turned when it is read.
    assert focal_length(file, (3000, 4000)) == pytest.approx(EXPECTED, rel=1e-5)
    # Made smaller as a whole, the length shrinks with it.
    assert focal_length(file, (2000, 1500)) == pytest.approx(EXPECTED / 2, rel=1e-5)


def test_data_behind_another_segment_are_found(tmp_path: Path) -> None:
    file = tmp_path / "bike.jpg"
    file.write_bytes(jpeg(exif(), b"JFIF\0" + bytes(9)))
    assert focal_length(file, SIZE) == pytest.approx(EXPECTED, rel=1e-5)


@pytest.mark.parametrize("data", [b"", b"no picture", jpeg(b""), jpeg(exif(focal=0)), jpeg(exif(size=(4000, 2250)))])
def test_what_does_not_tell_it_gives_none(tmp_path: Path, data: bytes) -> None:
    file = tmp_path / "bike.jpg"
    file.write_bytes(data)
    assert focal_length(file, SIZE) is None


def test_a_file_cut_off_anywhere_is_read_without_a_fault(tmp_path: Path) -> None:
    whole, file = jpeg(exif(">")), tmp_path / "bike.jpg"
    for length in range(len(whole) - 4):
        file.write_bytes(whole[:length])
        focal_length(file, SIZE)
    assert focal_length(tmp_path / "none.jpg", SIZE) is None
