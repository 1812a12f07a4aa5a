"""The version of a file before its last save, kept once for each file.

It lies in the program's own folder, not beside the file: a customer's folder stays as tidy as it was. Nobody but its
owner can read it, and the oldest go where there are too many.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
from pathlib import Path

from .atomic import replace_file
from .ownfolders import state_folder

#: So many files have an earlier version, none larger than this.
_MOST_FILES, _MOST_BYTES = 200, 5_000_000


def replace_keeping(path: Path, data: bytes) -> None:
    """Write `data` to `path` as `replace_file` does, and keep what stood there; OSError as that.

    Where the earlier version cannot be kept the file is written all the same: it is what was asked for.
    """
    with contextlib.suppress(OSError):
        _keep(path, data)
    replace_file(path, data)


def earlier(path: Path) -> bytes | None:
    """What stood in a file before its last save; None if nothing is kept."""
    try:
        return _place(path).read_bytes()
    except OSError:
        return None


def _keep(path: Path, data: bytes) -> None:
    if not path.is_file() or path.stat().st_size > _MOST_BYTES:
        return
    before = path.read_bytes()
    if before == data:
        return
    place = _place(path)
    place.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    replace_file(place, before, private=True)
    kept = sorted(place.parent.iterdir(), key=lambda file: file.stat().st_mtime)
    for old in kept[:-_MOST_FILES]:
        old.unlink()


def _place(path: Path) -> Path:
    whole = os.path.realpath(path)
    mark = hashlib.sha256(os.fsencode(whole)).hexdigest()[:16]
    return state_folder() / "earlier" / f"{mark}{''.join(Path(whole).suffixes[-2:])[:40]}"
