"""Which libraries come from the system and which are carried.

The system's are those that must fit its kernel, its graphics driver, its display or its fonts; all else is carried.
"""

from __future__ import annotations

import ctypes
from collections.abc import Iterable
from pathlib import Path

from making.elf import asks, is_elf

#: The system's, with the Debian packages that bring each; a name of a later release stands first.
SYSTEM = {
    "ld-linux-x86-64.so.2": "libc6",
    "ld-linux-aarch64.so.1": "libc6",
    "libc.so.6": "libc6",
    "libdl.so.2": "libc6",
    "libm.so.6": "libc6",
    "libpthread.so.0": "libc6",
    "librt.so.1": "libc6",
    "libutil.so.1": "libc6",
    "libgcc_s.so.1": "libgcc-s1",
    "libstdc++.so.6": "libstdc++6",
    "libEGL.so.1": "libegl1",
    "libGL.so.1": "libgl1",
    "libGLX.so.0": "libglx0",
    "libOpenGL.so.0": "libopengl0",
    "libX11.so.6": "libx11-6",
    "libX11-xcb.so.1": "libx11-xcb1",
    "libdbus-1.so.3": "libdbus-1-3",
    "libfontconfig.so.1": "libfontconfig1",
    "libfreetype.so.6": "libfreetype6",
    "libglib-2.0.so.0": "libglib2.0-0t64 | libglib2.0-0",
    "libgthread-2.0.so.0": "libglib2.0-0t64 | libglib2.0-0",
    "libwayland-client.so.0": "libwayland-client0",
    "libwayland-cursor.so.0": "libwayland-cursor0",
    "libwayland-egl.so.1": "libwayland-egl1",
    "libxcb-glx.so.0": "libxcb-glx0",
    "libxcb-randr.so.0": "libxcb-randr0",
    "libxcb-render.so.0": "libxcb-render0",
    "libxcb-shape.so.0": "libxcb-shape0",
    "libxcb-shm.so.0": "libxcb-shm0",
    "libxcb-sync.so.1": "libxcb-sync1",
    "libxcb-xfixes.so.0": "libxcb-xfixes0",
    "libxcb-xkb.so.1": "libxcb-xkb1",
    "libxcb.so.1": "libxcb1",
    "libz.so.1": "zlib1g",
}

#: Needed by one plugin each, which Qt passes over where they are missing: printers, and the look of one desktop.
WISHED = {
    "libcups.so.2": "libcups2t64 | libcups2",
    "libatk-1.0.so.0": "",
    "libcairo-gobject.so.2": "",
    "libcairo.so.2": "",
    "libgdk-3.so.0": "",
    "libgdk_pixbuf-2.0.so.0": "",
    "libgio-2.0.so.0": "",
    "libgobject-2.0.so.0": "",
    "libgtk-3.so.0": "",
    "libharfbuzz.so.0": "",
    "libpango-1.0.so.0": "",
    "libpangocairo-1.0.so.0": "",
}

#: Carried from the machine that builds: what Python's own modules and Qt's door to X ask for.
CARRIED = (
    "libbz2.so.",
    "libexpat.so.",
    "libffi.so.",
    "liblzma.so.",
    "libmpdec.so.",
    "libpython3.",
    "libsqlite3.so.",
    "libxcb-cursor.so.",
    "libxcb-icccm.so.",
    "libxcb-image.so.",
    "libxcb-keysyms.so.",
    "libxcb-render-util.so.",
    "libxcb-util.so.",
    "libxkbcommon-x11.so.",
    "libxkbcommon.so.",
    "libzstd.so.",
)


class Unknown(Exception):
    """A library is asked for that no list names, or that is not on this machine."""


def binaries(tree: Path) -> list[Path]:
    """All programs and libraries of a tree, in order."""
    return [path for path in sorted(tree.rglob("*")) if path.is_file() and not path.is_symlink() and is_elf(path)]


def wanted(names: Iterable[str], here: set[str]) -> set[str]:
    """Which of the names of libraries must still be carried; Unknown for one that nobody brings."""
    missing = {name for name in names if name not in here and name not in SYSTEM and name not in WISHED}
    if unknown := sorted(name for name in missing if not name.startswith(CARRIED)):
        raise Unknown(f"no list of making/libraries.py names {', '.join(unknown)}")
    return missing


def found(name: str, beside: Path) -> Path:
    """Where a library lies on this machine, as it would be loaded, or beside the Python that builds."""
    if (beside / name).is_file():
        return (beside / name).resolve()
    try:
        ctypes.CDLL(name)
    except OSError as missing:
        raise Unknown(f"{name} is not on this machine: {missing}") from missing
    for line in Path("/proc/self/maps").read_text(encoding="utf-8").splitlines():
        path = Path(line.split(maxsplit=5)[-1])
        if path.name.startswith(name):
            return path
    raise Unknown(f"{name} was loaded from nowhere")


def depends(tree: Path) -> tuple[str, str]:
    """What a Debian package of the tree depends on and what it recommends."""
    every = [asks(path) for path in binaries(tree)]
    names = {name for one in every for name in one.libraries}
    from making.elf import newest_glibc

    glibc = ".".join(map(str, newest_glibc(frozenset().union(*(one.versions for one in every)))))
    packages = {SYSTEM[name] for name in names if name in SYSTEM} - {"libc6"}
    return ", ".join([f"libc6 (>= {glibc})", *sorted(packages)]), ", ".join(
        sorted({WISHED[name] for name in names if WISHED.get(name)})
    )
