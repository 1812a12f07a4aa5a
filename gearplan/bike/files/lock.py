"""A lock on an open file, which the system lets go when the process ends, however it ends."""

from __future__ import annotations

import sys
from typing import IO

if sys.platform == "win32":
    import msvcrt

    def lock(file: IO[bytes]) -> None:
        """Take the lock; BlockingIOError if another process holds it, OSError if none can be had here."""
        file.seek(0)
        try:
            msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)
        except PermissionError as held:
            raise BlockingIOError(*held.args) from held

else:
    import fcntl

    def lock(file: IO[bytes]) -> None:
        """Take the lock; BlockingIOError if another process holds it, OSError if none can be had here."""
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
