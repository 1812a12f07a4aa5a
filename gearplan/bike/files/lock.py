"""A lock on an open file, which the system lets go when the process ends, however it ends."""

from __future__ import annotations

import contextlib
import os
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import IO

from gearplan.bike.files.ordinary import open_file

if sys.platform == "win32":
    import msvcrt

    def lock(file: IO[bytes]) -> None:
        """Take the lock; BlockingIOError if another process holds it, OSError if none can be had here."""
        file.seek(0)
        try:
            msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)
        except PermissionError as held:
            raise BlockingIOError(*held.args) from held

    def wait_for(_file: IO[bytes]) -> None:
        """OSError: a file that is held cannot be replaced here."""
        raise OSError

else:
    import fcntl

    def lock(file: IO[bytes]) -> None:
        """Take the lock; BlockingIOError if another process holds it, OSError if none can be had here."""
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)

    def wait_for(file: IO[bytes]) -> None:
        """Take the lock as soon as nobody else holds it; OSError if none can be had here."""
        fcntl.flock(file, fcntl.LOCK_EX)


@contextlib.contextmanager
def alone(path: Path) -> Iterator[None]:
    """Between looking at a file and replacing it nobody else does both; for all who come through here.

    The file itself is locked, so that it holds for whoever shares the folder. A file that is not there, or a file
    system without locks, is taken as it is.
    """
    target = Path(os.path.realpath(path))
    with contextlib.ExitStack() as held:
        while True:
            try:
                file = held.enter_context(open_file(target))
                wait_for(file)
                if os.path.samestat(os.fstat(file.fileno()), target.stat()):
                    break
            except OSError:
                break
            # Whoever held it has put another in its place, which may be held again.
            held.pop_all().close()
        yield
