"""Replace a file on disk so that at every moment either the old or the new one is whole."""

from __future__ import annotations

import contextlib
import errno
import os
import stat
import tempfile
import time
from pathlib import Path

from gearplan.language import tr

#: Stands in the names of files that are not whole yet; nobody writes for so long at one of them (s).
_ASIDE, _LONG_AGO = ".gearplan-", 86_400


def replace_file(path: Path, data: bytes, *, private: bool = False) -> None:
    """Write `data` to `path`; a symbolic link is followed, an existing file's mode is kept.

    What is `private` nobody but the owner may read.

    OSError if that fails, or if what stands there is a device, a pipe or a folder; the old file is then as it was and
    no other file is left.
    """
    target = Path(os.path.realpath(path))
    try:
        whole = target.stat().st_mode
        if not stat.S_ISREG(whole):
            raise OSError(errno.EINVAL, tr("this is not a file"), str(path))
        mode = stat.S_IMODE(whole)
    except FileNotFoundError:
        mode = 0o666 & ~_umask()
    mode = 0o600 if private else mode
    handle, name = tempfile.mkstemp(prefix=f".{target.name[:50]}{_ASIDE}", dir=target.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        Path(name).chmod(mode)
        Path(name).replace(target)
    except BaseException:
        with contextlib.suppress(OSError):
            Path(name).unlink()
        raise
    _clear(target.parent)
    # The rename itself survives a power cut only once the folder is written; not every file system can.
    with contextlib.suppress(OSError):
        folder = os.open(target.parent, os.O_RDONLY)
        try:
            os.fsync(folder)
        finally:
            os.close(folder)


def _clear(folder: Path) -> None:
    """Take away what processes that were killed while they wrote have left here."""
    with contextlib.suppress(OSError):
        for left in folder.iterdir():
            if left.name.startswith(".") and _ASIDE in left.name:
                with contextlib.suppress(OSError):
                    if left.lstat().st_mtime < time.time() - _LONG_AGO:
                        left.unlink()


def is_protected(path: Path) -> bool:
    """Whether a file is there that nobody may write, as its mode says; replacing it needs the folder's leave alone."""
    try:
        return path.stat().st_mode & 0o222 == 0
    except OSError:
        return False


def _umask() -> int:
    now = os.umask(0)
    os.umask(now)
    return now
