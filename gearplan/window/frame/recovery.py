"""Unsaved work is kept aside while it is being done, so that a power cut or a crash loses at most a moment.

Each running program keeps one file, named by its process; files of processes that are gone are offered at the
next start.
"""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

from gearplan.bike.files import bikefile
from gearplan.bike.files.atomic import replace_file
from gearplan.bike.profile import Bike

if TYPE_CHECKING:
    from gearplan.bike.circuit import Circuit


def state_folder() -> Path:
    """$XDG_STATE_HOME/gearplan, by the desktop's convention."""
    base = os.environ.get("XDG_STATE_HOME", "")
    root = Path(base) if base.startswith("/") else Path.home() / ".local" / "state"
    return root / "gearplan"


def _own_file() -> Path:
    return state_folder() / "unsaved" / f"{os.getpid()}.bike.toml"


def keep(bike: Bike) -> None:
    """Keep the profile aside; OSError if that cannot be done."""
    path = _own_file()
    path.parent.mkdir(parents=True, exist_ok=True)
    replace_file(path, bikefile.text_with(bike, "").encode())


def keep_circuit(circuit: Circuit) -> None:
    """Keep a circuit aside, beside the profile; OSError if that cannot be done."""
    from gearplan.bike.files.circuitfile import circuit_text

    path = circuit_beside(_own_file())
    path.parent.mkdir(parents=True, exist_ok=True)
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


def left_behind() -> list[Path]:
    """Files of programs that ended without saving, newest first."""
    try:
        kept = (state_folder() / "unsaved").glob("*.toml")
        found = [path for path in kept if path.name.endswith((".bike.toml", ".circuit.toml")) and not _alive(path)]
        return sorted(found, key=lambda path: -path.stat().st_mtime)
    except OSError:
        return []


def _alive(path: Path) -> bool:
    number = path.name.split(".")[0]
    return number.isdigit() and (int(number) == os.getpid() or Path(f"/proc/{number}").exists())
