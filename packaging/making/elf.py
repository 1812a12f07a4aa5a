"""What a program or library for Linux asks for: other libraries, and versions of the C library.

After the System V ABI (gABI 4.1, chapter 5) and the LSB's symbol versioning; 64 bits, little-endian.
"""

from __future__ import annotations

import struct
from dataclasses import dataclass
from pathlib import Path

_LOAD, _DYNAMIC = 1, 2
_NEEDED, _STRTAB, _VERNEED, _VERNEEDNUM = 1, 5, 0x6FFFFFFE, 0x6FFFFFFF


@dataclass(frozen=True, slots=True)
class Asks:
    """The names of the libraries that are needed, and the versions of symbols that are needed of them."""

    libraries: tuple[str, ...]
    versions: frozenset[str]


def is_elf(path: Path) -> bool:
    """Whether a file is a program or library for Linux."""
    with path.open("rb") as file:
        return file.read(6) == b"\x7fELF\x02\x01"


def asks(path: Path) -> Asks:
    """What a file asks for; a static one asks for nothing."""
    data = path.read_bytes()
    (at,) = struct.unpack_from("<Q", data, 0x20)
    size, count = struct.unpack_from("<HH", data, 0x36)
    parts: list[tuple[int, ...]] = [struct.unpack_from("<IIQQQQ", data, at + i * size) for i in range(count)]
    dynamic = [(part[2], part[5]) for part in parts if part[0] == _DYNAMIC]
    if not dynamic:
        return Asks((), frozenset())

    def offset(address: int) -> int:
        return next(p[2] + address - p[3] for p in parts if p[0] == _LOAD and p[3] <= address < p[3] + p[5])

    entries = [struct.unpack_from("<QQ", data, dynamic[0][0] + i) for i in range(0, dynamic[0][1], 16)]
    told = dict(entries)
    strings = offset(told[_STRTAB])

    def text(place: int) -> str:
        return data[strings + place : data.index(b"\0", strings + place)].decode()

    versions = set()
    place = offset(told[_VERNEED]) if _VERNEED in told else 0
    for _ in range(told.get(_VERNEEDNUM, 0)):
        _, names, _, first, following = struct.unpack_from("<HHIII", data, place)
        name = place + first
        for _ in range(names):
            _, _, _, string, further = struct.unpack_from("<IHHII", data, name)
            versions.add(text(string))
            name += further
        place += following
    return Asks(tuple(text(value) for tag, value in entries if tag == _NEEDED), frozenset(versions))


def newest_glibc(versions: frozenset[str]) -> tuple[int, ...]:
    """The newest version of the C library among versions of symbols, such as (2, 34)."""
    found = (version.removeprefix("GLIBC_") for version in versions if version.startswith("GLIBC_2"))
    return max((tuple(int(part) for part in version.split(".")) for version in found), default=(2, 0))
