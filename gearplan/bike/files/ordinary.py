"""Opening a file to read it, and why that fails: the same words for every kind of file.

What is no ordinary file is refused at once, so that nothing waits or reads for ever.
"""

from __future__ import annotations

import errno
import os
import stat
from pathlib import Path
from typing import BinaryIO

from gearplan.language import tr


def open_file(path: Path) -> BinaryIO:
    """An ordinary file, opened to be read; OSError, whose `strerror` says why, if it is none or cannot be opened."""
    # A pipe nobody writes to would keep the program waiting before it could be looked at.
    handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
    mode = os.fstat(handle).st_mode
    if stat.S_ISREG(mode):
        return os.fdopen(handle, "rb")
    os.close(handle)
    if stat.S_ISDIR(mode):
        raise IsADirectoryError(errno.EISDIR, tr("this is a folder, not a file"), str(path))
    raise OSError(errno.EINVAL, tr("this is not a file"), str(path))


def read_file(path: Path, most: int) -> bytes:
    """The content of an ordinary file, no more than `most` bytes; OSError as of `open_file`, or if it is larger."""
    with open_file(path) as file:
        data = file.read(most + 1)
    if len(data) > most:
        raise OSError(errno.EFBIG, tr("it is larger than {megabytes}", megabytes=_megabytes(most)), str(path))
    return data


def why(failed: OSError | ValueError) -> str:
    """Why a file cannot be read or is no text, to stand behind its name."""
    if isinstance(failed, FileNotFoundError):
        return tr("there is no such file")
    if isinstance(failed, IsADirectoryError):
        return tr("this is a folder, not a file")
    if isinstance(failed, UnicodeDecodeError):
        return tr("not a text file in UTF-8 (byte {start})", start=failed.start)
    return tr("cannot be read: {reason}", reason=reason(failed))


def reason(failed: Exception) -> str:
    """Why something with a file failed, in the words of the system where it has some."""
    return failed.strerror if isinstance(failed, OSError) and failed.strerror else str(failed)


def _megabytes(count: int) -> str:
    return tr("{count} MB", count=count // 1000000) if count >= 1_000_000 else tr("{count} kB", count=count // 1000)
