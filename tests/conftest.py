"""What every test stands on: nothing of a test reaches the user's own folders."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

# Before any Qt: the tests need no display, and do not open windows on one.
os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")


@pytest.fixture(autouse=True)
def _own_folders(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> None:
    home = tmp_path_factory.mktemp("home")
    monkeypatch.setenv("HOME", str(home))
    monkeypatch.setenv("XDG_CONFIG_HOME", str(home / "config"))
    monkeypatch.setenv("XDG_STATE_HOME", str(home / "state"))


@pytest.fixture
def reference() -> Path:
    """The folder of published values."""
    return Path(__file__).parent / "reference"
