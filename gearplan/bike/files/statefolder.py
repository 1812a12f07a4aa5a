"""Where the program keeps what it needs between starts and nobody edits."""

from __future__ import annotations

import os
from pathlib import Path


def state_folder() -> Path:
    """$XDG_STATE_HOME/gearplan, by the desktop's convention."""
    base = os.environ.get("XDG_STATE_HOME", "")
    root = Path(base) if base.startswith("/") else Path.home() / ".local" / "state"
    return root / "gearplan"
