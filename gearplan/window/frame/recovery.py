"""Where unsaved work is kept aside, so that a power cut or a crash loses at most a moment; `files` says when.

Each running program keeps its files under a name of its own and holds a lock beside them; the system lets the lock
go when the process ends, however it ends. Files whose lock nobody holds are offered at the next start.
"""

from __future__ import annotations

import fcntl
import os
import secrets
from pathlib import Path
from typing import IO, TYPE_CHECKING

from gearplan.bike.files import bikefile
from gearplan.bike.files.atomic import replace_file
from gearplan.bike.profile import Bike

if TYPE_CHECKING:
    from gearplan.bike.circuit import Circuit


#: A process number alone comes again, in a container at once.
_NAME = f"{os.getpid()}-{secrets.token_hex(4)}"
_held: dict[Path, IO[bytes]] = {}


def state_folder() -> Path:
    """$XDG_STATE_HOME/gearplan, by the desktop's convention."""
    base = os.environ.get("XDG_STATE_HOME", "")
    root = Path(base) if base.startswith("/") else Path.home() / ".local" / "state"
    return root / "gearplan"


def _own_file() -> Path:
    return state_folder() / "unsaved" / f"{_NAME}.bike.toml"


def _lock_of(path: Path) -> Path:
    return path.with_name(path.name.split(".")[0] + ".lock")


def _hold(path: Path) -> None:
    """Hold the lock of this program's files from now on."""
    path.parent.mkdir(parents=True, exist_ok=True)
    lock = _lock_of(path)
    if lock not in _held:
        file = lock.open("ab")
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        _held[lock] = file


def keep(bike: Bike) -> None:
    """Keep the profile aside; OSError if that cannot be done."""
    path = _own_file()
    _hold(path)
    replace_file(path, bikefile.text_with(bike, "").encode())


def keep_circuit(circuit: Circuit) -> None:
    """Keep a circuit aside, beside the profile; OSError if that cannot be done."""
    from gearplan.bike.files.circuitfile import circuit_text

    path = circuit_beside(_own_file())
    _hold(path)
    replace_file(path, circuit_text(circuit, "").encode())


def circuit_beside(path: Path) -> Path:
    """Where the circuit is kept that belongs to a kept profile."""
    return path.with_name(path.name.replace(".bike.", ".circuit."))


def forget() -> None:
    """The profile is saved or given up: nothing to keep of it."""
    _own_file().unlink(missing_ok=True)


def forget_circuit() -> None:
    """The same for the circuit."""
    circuit_beside(_own_file()).unlink(missing_ok=True)


def release() -> None:
    """The program ends: its lock goes with what it kept."""
    lock = _lock_of(_own_file())
    if lock in _held:
        lock.unlink(missing_ok=True)
        _held.pop(lock).close()


def left_behind() -> list[Path]:
    """Files of programs that ended without saving, newest first."""
    try:
        kept = (state_folder() / "unsaved").glob("*.toml")
        found = [path for path in kept if path.name.endswith((".bike.toml", ".circuit.toml")) and not _alive(path)]
        return sorted(found, key=lambda path: -path.stat().st_mtime)
    except OSError:
        return []


def drop(path: Path) -> None:
    """A kept file has been taken up again: it goes, and with the last one its lock."""
    path.unlink(missing_ok=True)
    lock = _lock_of(path)
    if not any(path.parent.glob(f"{lock.stem}.*.toml")):
        lock.unlink(missing_ok=True)


def _alive(path: Path) -> bool:
    """Whether the program that keeps a file still runs, that is, holds its lock."""
    lock = _lock_of(path)
    if lock in _held:
        return True
    try:
        with lock.open("rb") as file:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return True
    except FileNotFoundError:
        return False
    return False
