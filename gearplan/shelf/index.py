"""The index of the list: a database in a file of its own, readable by its owner alone, made anew where it is broken.

It holds nothing that the bike files do not say; whoever loses it waits once until they have been read again.
"""

from __future__ import annotations

import contextlib
import os
import sqlite3
from collections.abc import Collection, Iterable
from dataclasses import dataclass, fields
from pathlib import Path
from typing import Any

from gearplan.shelf.entry import Listed

#: Raised with every change of what is kept: an index of another version is made anew.
_VERSION = 2
_COLUMNS = tuple(f.name for f in fields(Listed) if f.name not in ("path", "words"))
#: Seconds that a window waits while another writes.
_PATIENCE = 10.0
_MADE = f"""
CREATE TABLE folder (path BLOB PRIMARY KEY, device INTEGER);
CREATE TABLE bike (
    id INTEGER PRIMARY KEY, path BLOB UNIQUE NOT NULL, stamp BLOB NOT NULL, {", ".join(_COLUMNS)}
);
CREATE VIRTUAL TABLE words USING fts5 (text, tokenize = "unicode61 remove_diacritics 2", prefix = "1 2 3");
PRAGMA user_version = {_VERSION};
"""


@dataclass(frozen=True, slots=True)
class Read:
    """A file that has been read: its entry, and the stamp of the file by which a change is noticed."""

    entry: Listed
    stamp: bytes


class Index:
    """The index in an open database; one for each thread. sqlite3.Error where it cannot be read or written."""

    def __init__(self, base: sqlite3.Connection) -> None:
        self._base = base
        base.isolation_level = None
        # What is taken out of the list leaves no trace of its owner.
        base.execute("PRAGMA secure_delete = ON")
        if base.execute("PRAGMA user_version").fetchone()[0] != _VERSION:
            base.executescript(f"BEGIN IMMEDIATE;{_MADE}COMMIT;")

    def close(self) -> None:
        """Let the file go."""
        self._base.close()

    def entries(self, folders: Collection[Path] = (Path("/"),)) -> list[Listed]:
        """All that is listed of folders and those in them, in no order."""
        where, ends = _within_any(folders)
        rows = self._base.execute(f"SELECT path, {', '.join(_COLUMNS)} FROM bike WHERE {where}", ends)
        return [Listed(_path(path), *values) for path, *values in rows]

    def matching(self, words: str) -> set[str] | None:
        """The paths of files of which every word begins a word; None for no words, which all files match."""
        asked = _query(words)
        if not asked:
            return None
        rows = self._base.execute(
            "SELECT path FROM words JOIN bike ON bike.id = words.rowid WHERE words MATCH ?", (asked,)
        )
        return {os.fsdecode(path) for (path,) in rows}

    def stamps(self, folder: Path) -> dict[Path, bytes]:
        """The files that are listed of a folder and those in it, with their stamps."""
        where, ends = _within_any((folder,))
        rows = self._base.execute(f"SELECT path, stamp FROM bike WHERE {where}", ends)
        return {_path(path): stamp for path, stamp in rows}

    def device(self, folder: Path) -> int | None:
        """The device that a folder stood on when it was last seen with bikes in it."""
        row = self._base.execute("SELECT device FROM folder WHERE path = ?", (_blob(folder),)).fetchone()
        return None if row is None else row[0]

    def saw(self, folder: Path, device: int) -> None:
        """A folder with bikes in it stands on a device."""
        self._base.execute("INSERT OR REPLACE INTO folder VALUES (?, ?)", (_blob(folder), device))

    def take(self, read: Iterable[Read], gone: Iterable[Path] = ()) -> None:
        """Put what has been read in place of what stood there, and take out what is gone: all of it or nothing."""
        self._base.execute("BEGIN IMMEDIATE")
        try:
            for path in gone:
                self._drop(path)
            for one in read:
                self._drop(one.entry.path)
                values = (_blob(one.entry.path), one.stamp, *(_storable(getattr(one.entry, name)) for name in _COLUMNS))
                marks = ", ".join("?" * len(values))
                made = self._base.execute(
                    f"INSERT INTO bike (path, stamp, {', '.join(_COLUMNS)}) VALUES ({marks})", values
                )
                self._base.execute(
                    "INSERT INTO words (rowid, text) VALUES (?, ?)", (made.lastrowid, _storable(one.entry.words))
                )
        except BaseException:
            self._base.execute("ROLLBACK")
            raise
        self._base.execute("COMMIT")

    def keep_only(self, folders: Collection[Path]) -> int:
        """Take out what lies in none of the folders any more; returns how many files that were."""
        where, ends = _within_any(folders)
        gone = [_path(path) for (path,) in self._base.execute(f"SELECT path FROM bike WHERE NOT ({where})", ends)]
        if gone:
            self.take((), gone)
        return len(gone)

    def tidy(self) -> None:
        """Leave no word behind of what was taken out."""
        self._base.execute("INSERT INTO words (words) VALUES ('optimize')")

    def _drop(self, path: Path) -> None:
        for (number,) in self._base.execute("SELECT id FROM bike WHERE path = ?", (_blob(path),)).fetchall():
            self._base.execute("DELETE FROM words WHERE rowid = ?", (number,))
            self._base.execute("DELETE FROM bike WHERE id = ?", (number,))


def in_memory() -> Index:
    """An index that is gone with the program."""
    return Index(sqlite3.connect(":memory:"))


def opened(file: Path, *, check: bool = False) -> Index:
    """The index in a file; what is missing, broken or of another version is begun anew. To `check` reads it all.

    OSError if the file cannot be made, sqlite3.Error if it cannot be used though it is whole.
    """
    try:
        return _opened(file, check)
    except sqlite3.OperationalError:
        # Locked, a full disk: nothing is wrong with what stands in the file.
        raise
    except sqlite3.DatabaseError:
        begin_anew(file)
        return _opened(file, check)


def begin_anew(file: Path) -> None:
    """Throw the index away: the files are read again."""
    for ending in ("", "-journal"):
        file.with_name(file.name + ending).unlink(missing_ok=True)


def _opened(file: Path, check: bool) -> Index:
    file.parent.mkdir(parents=True, exist_ok=True)
    # Before anything stands in it. The database gives what it writes beside it the same rights.
    os.close(os.open(file, os.O_RDWR | os.O_CREAT, 0o600))
    file.chmod(0o600)
    base = sqlite3.connect(file, timeout=_PATIENCE)
    try:
        version = base.execute("PRAGMA user_version").fetchone()[0]
        if version not in (0, _VERSION):
            raise sqlite3.DatabaseError(f"an index of version {version}")
        if check and base.execute("PRAGMA quick_check(1)").fetchone()[0] != "ok":
            raise sqlite3.DatabaseError("the index is damaged")
        return Index(base)
    except BaseException:
        with contextlib.suppress(sqlite3.Error):
            base.close()
        raise


def _query(words: str) -> str:
    """Each word as the beginning of one, whatever letters it has; the database splits it as it split the text."""
    asked = [word.replace("\0", "") for word in _storable(words).split() if any(letter.isalnum() for letter in word)]
    return " AND ".join('"{}"*'.format(word.replace('"', '""')) for word in asked)


def _storable(value: Any) -> Any:
    """The database takes letters alone; the name of a file may hold what is none."""
    return value.encode(errors="replace").decode() if isinstance(value, str) else value


def _blob(path: Path) -> bytes:
    """Names of files are bytes, and not always letters."""
    return os.fsencode(path)


def _path(blob: Any) -> Path:
    return Path(os.fsdecode(blob))


def _within_any(folders: Collection[Path]) -> tuple[str, list[bytes]]:
    """Which paths lie in one of the folders or in those within: a condition, and the ends that it names."""
    starts = [_blob(folder).rstrip(b"/") for folder in folders]
    # What a folder holds begins with its path and a stroke; the sign after the stroke is the nought.
    ends = [end for start in starts for end in (start + b"/", start + b"0")]
    return " OR ".join(["path >= ? AND path < ?"] * len(starts)) or "FALSE", ends
