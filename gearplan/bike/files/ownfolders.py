"""Where the program keeps what is its own: what somebody has set, and what it needs between starts."""

from __future__ import annotations

import os
from pathlib import Path


def settings_file() -> Path:
    """Where the settings live: $XDG_CONFIG_HOME/gearplan, by the desktop's convention."""
    return _folder("XDG_CONFIG_HOME", ".config") / "settings.toml"


def state_folder() -> Path:
    """$XDG_STATE_HOME/gearplan, by the desktop's convention."""
    return _folder("XDG_STATE_HOME", ".local/state")


def _folder(variable: str, usual: str) -> Path:
    base = os.environ.get(variable, "")
    root = Path(base) if base.startswith("/") else Path.home() / usual
    return root / "gearplan"
