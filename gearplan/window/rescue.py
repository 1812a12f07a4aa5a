"""Unsaved work is kept aside while it is being done, so that a power cut or a crash loses at most a moment.

Each running program keeps one file, named by its process; files of processes that are gone are offered at the
next start.
"""

from __future__ import annotations

import os
from pathlib import Path

from gearplan.bike import bikefile
from gearplan.bike.atomic import replace_file
from gearplan.bike.profile import Bike


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


def forget() -> None:
    """The work is saved or given up: nothing to keep."""
    _own_file().unlink(missing_ok=True)


def left_behind() -> list[Path]:
    """Files of programs that ended without saving, newest first."""
    try:
        found = [path for path in (state_folder() / "unsaved").glob("*.bike.toml") if not _alive(path)]
        return sorted(found, key=lambda path: -path.stat().st_mtime)
    except OSError:
        return []


def _alive(path: Path) -> bool:
    number = path.name.split(".")[0]
    return number.isdigit() and (int(number) == os.getpid() or Path(f"/proc/{number}").exists())
