"""Bringing the list up to date: what is new or changed in the folders is read, what has gone is taken out."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from gearplan.bike.files.folder import bike_files
from gearplan.language import tr
from gearplan.shelf.entry import listed
from gearplan.shelf.index import Index, Read

#: So many files are read before they are shown and kept.
_AT_ONCE = 100
#: Not every disk tells the time of a change more finely; a file that was young when it was read is read once more.
_SETTLED_NS = 2_000_000_000

GoOn = Callable[[int, int], bool]


@dataclass(frozen=True, slots=True)
class Looked:
    """What came of it: how many files were read or taken out, and what is to be said of a folder."""

    changed: int
    told: tuple[str, ...] = ()
    whole: bool = True


def _always(_done: int, _of: int) -> bool:
    return True


def look(index: Index, folders: Sequence[Path], today: date, go_on: GoOn = _always) -> Looked:
    """Take out of the index what lies in none of the folders any more, then look into each of them."""
    changed = index.keep_only(folders)
    told: tuple[str, ...] = ()
    if changed:
        index.tidy()
    for folder in folders:
        looked = look_into(index, folder, today, go_on)
        changed, told = changed + looked.changed, told + looked.told
        if not looked.whole:
            return Looked(changed, told, whole=False)
    return Looked(changed, told)


def look_into(index: Index, folder: Path, today: date, go_on: GoOn = _always) -> Looked:
    """Compare the index with a folder and those in it, and read what has changed.

    `go_on` is told how many files of how many that changed have been read (0 of 0 while they are still being looked
    for); the work ends where it says no, and what has been read until then is kept. A folder that cannot be reached
    stays listed as it was. sqlite3.Error if the index cannot be written.
    """
    to_read, gone, told = _compared(index, folder, go_on)
    if to_read is None:
        return Looked(0, whole=False)
    if gone:
        index.take((), gone)
    changed, done, paths = len(gone), 0, list(to_read)
    for start in range(0, len(paths), _AT_ONCE):
        read: list[Read] = []
        for path in paths[start : start + _AT_ONCE]:
            if not go_on(done, len(paths)):
                break
            read.append(Read(listed(path, today), to_read[path]))
            done += 1
        index.take(read)
        changed += len(read)
        if len(read) < len(paths[start : start + _AT_ONCE]):
            return Looked(changed, tuple(told), whole=False)
        go_on(done, len(paths))
    if changed:
        index.tidy()
    return Looked(changed, tuple(told))


def _compared(index: Index, folder: Path, go_on: GoOn) -> tuple[dict[Path, bytes] | None, list[Path], list[str]]:
    """(files to read with their stamps, files that are gone, what is to be said); None for the first to stop."""
    known = index.stamps(folder)
    closed: list[tuple[Path, str]] = []
    there: dict[Path, bytes] = {}
    unsure: set[Path] = set()
    try:
        device = folder.stat().st_dev
        for path in bike_files(folder, closed):
            try:
                there[path] = _stamp(path)
            except FileNotFoundError:
                continue
            except OSError:
                unsure.add(path)
            if not go_on(0, 0):
                return None, [], []
    except OSError as failed:
        return (
            {},
            [],
            [
                tr(
                    "{folder} cannot be reached ({strerror}): its bikes are listed as last seen.",
                    folder=folder,
                    strerror=failed.strerror,
                )
            ],
        )
    if known and not there and index.device(folder) not in (None, device):
        # Where a network folder was connected an empty one is left.
        return (
            {},
            [],
            [
                tr(
                    "{folder} is empty and on another drive than before: its bikes are listed as last seen.",
                    folder=folder,
                )
            ],
        )
    if there:
        index.saw(folder, device)
    hidden = [place for place, _ in closed]
    gone = [
        path
        for path in known
        if path not in there and path not in unsure and not any(path.is_relative_to(place) for place in hidden)
    ]
    return {path: stamp for path, stamp in there.items() if known.get(path) != stamp}, gone, [why for _, why in closed]


def _stamp(path: Path) -> bytes:
    """What changes with the file; for one that has just been written a stamp that is never met again."""
    now, status = time.time_ns(), path.stat()
    young = now if abs(now - status.st_mtime_ns) < _SETTLED_NS else 0
    return f"{status.st_mtime_ns} {status.st_size} {young}".encode()
