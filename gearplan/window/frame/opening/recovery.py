"""Where unsaved work is kept aside, so that a power cut or a crash loses at most a moment; `files` says when.

Each running program keeps its files under a name of its own and holds a lock beside them; the system lets the lock
go when the process ends, however it ends. Files whose lock nobody holds are offered at the next start.
"""

from __future__ import annotations

import contextlib
import hashlib
import itertools
import json
import os
import secrets
import threading
from collections.abc import Iterable
from dataclasses import asdict, dataclass
from datetime import datetime
from functools import lru_cache
from pathlib import Path
from typing import IO, TYPE_CHECKING, Any

from gearplan.bike.files import bikefile
from gearplan.bike.files.atomic import replace_file
from gearplan.bike.files.lock import lock
from gearplan.bike.files.ownfolders import state_folder
from gearplan.bike.profile import SECTIONS, Bike
from gearplan.language import tr
from gearplan.plan.driveset import DriveSet, fitted

if TYPE_CHECKING:
    from gearplan.window.document.document import Document


#: Where the fields of a bike stand in the document's list of what could not be read.
BIKE = (*SECTIONS, "job")
#: (label, text) of fields that hold what cannot be read.
Unread = tuple[tuple[str, str], ...]
#: A process number alone comes again, in a container at once.
_NAME = f"{os.getpid()}-{secrets.token_hex(4)}"
#: A line of a kept file that holds label and text of a field that could not be read.
_UNREAD = "# could not be read: "
#: One that holds the proposed set, and one that holds the bike's own file and how that read.
_PROPOSED, _OF = "# proposed: ", "# of the file: "
_held: dict[Path, IO[bytes]] = {}
#: One thread at a time writes; what was made earlier never goes over what was made later.
_writing, _numbers, _newest = threading.Lock(), itertools.count(1), [0]
#: Seconds that the end waits for a disk.
_LAST_WAIT = 3.0


def _own_file() -> Path:
    return state_folder() / "unsaved" / f"{_NAME}.bike.toml"


def _lock_of(path: Path) -> Path:
    return path.with_name(path.name.split(".")[0] + ".lock")


def _hold(path: Path) -> None:
    """Hold the lock of this program's files from now on."""
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    beside = _lock_of(path)
    if beside not in _held:
        file = beside.open("ab")
        lock(file)
        _held[beside] = file


@dataclass(frozen=True, slots=True)
class Pieces:
    """What is to be kept in which file, None for nothing; the `number` grows with each that was made."""

    number: int
    texts: dict[Path, str | None]


def pieces(document: Document) -> Pieces:
    """What is unsaved of bike and circuit now, with what could not be read."""
    from gearplan.bike.files.circuitfile import circuit_text

    path, unread = _own_file(), document.unread(*BIKE)
    texts = dict[Path, str | None]({path: None, circuit_beside(path): None})
    if document.unsaved or unread or document.chosen != fitted(document.bike):
        texts[path] = _whole(document.bike) + _around(document) + _unread_lines(unread)
    unread = document.unread("circuit")
    if document.circuit is not None and (document.circuit_unsaved or unread):
        texts[circuit_beside(path)] = circuit_text(document.circuit, "") + _unread_lines(unread)
    return Pieces(next(_numbers), texts)


@lru_cache(maxsize=1)
def _whole(bike: Bike) -> str:
    """Kept: while sprockets are tried the bike stays the same, and to write it takes longer than a frame."""
    return bikefile.text_with(bike, "")


def put(given: Pieces) -> None:
    """Write pieces, in whatever thread, unless later ones are there already; OSError if that cannot be done."""
    with _writing:
        if given.number < _newest[0]:
            return
        _newest[0] = given.number
        for path, text in given.texts.items():
            if text is None:
                path.unlink(missing_ok=True)
            else:
                _hold(path)
                # Whose motorcycle it is stands in it too.
                replace_file(path, text.encode(), private=True)


def keep_unsaved(document: Document) -> None:
    """Keep aside at once what is unsaved; OSError if that cannot be done."""
    put(pieces(document))


def _unread_lines(unread: Unread) -> str:
    # TOML allows every letter in a comment but those that end or control a line.
    return "".join(f"\n{_UNREAD}{json.dumps(told)}".replace("\x7f", "\\u007f") for told in unread)


def unread_in(text: str) -> Unread:
    """(label, text) of what could not be read when a file was kept."""
    return tuple((label, typed) for label, typed in _told(text, _UNREAD))


def _around(document: Document) -> str:
    """The lines that say what was proposed, and of which file the bike is, as that was."""
    lines = f"\n{_PROPOSED}{json.dumps(asdict(document.chosen))}"
    if document.path is not None:
        lines += f"\n{_OF}{json.dumps([str(document.path.absolute()), _digest(document.file_text)])}"
    return lines.replace("\x7f", "\\u007f")


def _told(text: str, head: str) -> list[Any]:
    return [json.loads(line.removeprefix(head)) for line in text.splitlines() if line.startswith(head)]


def _set(found: dict[str, Any]) -> DriveSet:
    """A proposed set as it was written; pairs of teeth are lists there."""
    gears = found.get("gears")
    pairs = None if gears is None else tuple(tuple(gear) if isinstance(gear, list) else gear for gear in gears)
    return DriveSet(**found | {"gears": pairs})


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()


@dataclass(frozen=True, slots=True)
class Work:
    """Work that was kept: what to begin with, its file if that is still as it was, the proposed set, and words."""

    begun: bikefile.BikeFile
    path: Path | None
    proposed: DriveSet
    told: str


def work_in(kept: bikefile.BikeFile) -> Work:
    """What a kept file tells besides the bike. The file that the bike is of is read only, and only if unchanged."""
    begun, path = bikefile.BikeFile(Bike(), "", ()), None
    told = tr("This is the work that was kept; save it under a name of its own.")
    proposed = next((_set(found) for found in _told(kept.text, _PROPOSED)), fitted(kept.bike))
    for name, digest in _told(kept.text, _OF):
        told = tr(
            "This is the work that was kept of {name}, which has changed since; save it under another name.", name=name
        )
        with contextlib.suppress(bikefile.BikeFileError):
            found = bikefile.read_bike(Path(name))
            if _digest(found.text) == digest:
                begun, path = found, Path(name)
                told = tr("This is the work that was kept of {name}; saving writes it there.", name=path.name)
    return Work(begun, path, proposed, told)


def circuit_beside(path: Path) -> Path:
    """Where the circuit is kept that belongs to a kept profile."""
    return path.with_name(path.name.replace(".bike.", ".circuit."))


def forget() -> None:
    """All is saved or given up: there is nothing to keep. A disk that does not answer is not waited for long."""
    _newest[0] = next(_numbers)
    held = _writing.acquire(timeout=_LAST_WAIT)
    try:
        for path in (_own_file(), circuit_beside(_own_file())):
            path.unlink(missing_ok=True)
    finally:
        if held:
            _writing.release()


def release() -> None:
    """The program ends: its lock goes with what it kept."""
    beside = _lock_of(_own_file())
    if beside in _held:
        # An open file cannot be removed everywhere.
        _held.pop(beside).close()
        beside.unlink(missing_ok=True)


def left_behind() -> list[Path]:
    """Files of programs that ended without saving, newest first."""
    try:
        kept = (state_folder() / "unsaved").glob("*.toml")
        found = [path for path in kept if path.name.endswith((".bike.toml", ".circuit.toml")) and not _alive(path)]
        return sorted(found, key=lambda path: -path.stat().st_mtime)
    except OSError:
        return []


def told_of(left: Iterable[Path]) -> tuple[dict[Path, str], list[Path]]:
    """(What each kept file holds, of which file and since when; where those that cannot be read are now)."""
    told, broken = dict[Path, str](), list[Path]()
    for path in left:
        try:
            kept = datetime.fromtimestamp(path.stat().st_mtime).astimezone()
            told[path] = f"{_holds(path)}, {kept.day} {kept:%B %Y, %H:%M}"
        except (OSError, ValueError):
            aside = path.with_name(f"{path.name}.unreadable")
            with contextlib.suppress(OSError):
                path.replace(aside)
                broken.append(aside)
    return told, broken


def _holds(path: Path) -> str:
    if path.name.endswith(".circuit.toml"):
        from gearplan.bike.files.circuitfile import read_circuit

        return tr("circuit {name}", name=read_circuit(path).circuit.name or tr("without a name"))
    read = bikefile.read_bike(path)
    name = read.bike.name or tr("a bike without a name")
    return next((tr("{name}, of {name2}", name=name, name2=Path(of).name) for of, _ in _told(read.text, _OF)), name)


def drop(path: Path) -> None:
    """A kept file has been taken up again: it goes, and with the last one its lock."""
    path.unlink(missing_ok=True)
    beside = _lock_of(path)
    if not any(path.parent.glob(f"{beside.stem}.*.toml")):
        beside.unlink(missing_ok=True)


def _alive(path: Path) -> bool:
    """Whether the program that keeps a file still runs, that is, holds its lock."""
    beside = _lock_of(path)
    if beside in _held:
        return True
    try:
        with beside.open("rb") as file:
            lock(file)
    except BlockingIOError:
        return True
    except FileNotFoundError:
        return False
    return False
