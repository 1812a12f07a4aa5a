"""Archives that have the same bytes whenever and by whomever they are made of the same files."""

from __future__ import annotations

import gzip
import hashlib
import io
import lzma
import tarfile
from pathlib import Path


def packed(tree: Path, root: str, when: int) -> bytes:
    """A tree as tar.xz below the folder `root`; everything belongs to root and dates from `when` (s since 1970)."""
    store = io.BytesIO()
    with (
        lzma.open(store, "wb", format=lzma.FORMAT_XZ, preset=3) as compressed,
        tarfile.open(fileobj=compressed, mode="w", format=tarfile.GNU_FORMAT) as archive,
    ):
        for path in [tree, *sorted(tree.rglob("*"))]:
            inside = path.relative_to(tree).as_posix()
            name = root if inside == "." else f"{root}/{inside}"
            entry = archive.gettarinfo(path, name)
            entry.uid = entry.gid = 0
            entry.uname = entry.gname = "root"
            entry.mtime = when
            entry.mode = 0o755 if path.is_dir() or path.stat().st_mode & 0o100 else 0o644
            if path.is_file():
                with path.open("rb") as file:
                    archive.addfile(entry, file)
            else:
                archive.addfile(entry)
    return store.getvalue()


def gzipped(text: str) -> bytes:
    """A text as gzip, without a name or a time."""
    return gzip.compress(text.encode(), compresslevel=9, mtime=0)


def deb(control: Path, data: Path, when: int) -> bytes:
    """A Debian package (deb(5), format 2.0) of a folder of control files and a tree."""
    members = (
        ("debian-binary", b"2.0\n"),
        ("control.tar.xz", packed(control, ".", when)),
        ("data.tar.xz", packed(data, ".", when)),
    )
    made = bytearray(b"!<arch>\n")
    for name, content in members:
        made += f"{name:<16}{when:<12}{0:<6}{0:<6}{100644:<8}{len(content):<10}`\n".encode()
        made += content + b"\n" * (len(content) % 2)
    return bytes(made)


def sums(tree: Path) -> str:
    """The lines of md5sums (deb-md5sums(5)) of the files of a tree."""
    lines = []
    for path in sorted(tree.rglob("*")):
        if path.is_file():
            digest = hashlib.md5(path.read_bytes(), usedforsecurity=False).hexdigest()
            lines.append(f"{digest}  {path.relative_to(tree).as_posix()}\n")
    return "".join(lines)
