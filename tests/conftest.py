"""What every test stands on: nothing of a test reaches the user's own folders."""

from __future__ import annotations

import gc
import os
from typing import TYPE_CHECKING

import pytest
from hypothesis import HealthCheck, settings

# Before any Qt: the tests need no display, and do not open windows on one.
os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
# Before any text is told, here and in what the tests start: they read English on any machine; those that look at
# the layout alone hold in other languages too.
os.environ["LANGUAGE"] = os.environ.get("TESTS_SPEAK", "en")

# A slow or busy machine must give the same answer as a quick one: no deadline, no complaint about slow generation,
# the same examples each time. HYPOTHESIS_PROFILE=searching looks for new ones.
_PATIENT = [HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.function_scoped_fixture]
settings.register_profile("steady", deadline=None, suppress_health_check=_PATIENT, derandomize=True, database=None)
settings.register_profile("searching", deadline=None, suppress_health_check=_PATIENT, max_examples=1000)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "steady"))

if TYPE_CHECKING:
    from PySide6.QtWidgets import QApplication


def pytest_collection_finish() -> None:
    """What is there now stays to the end: whoever looks for garbage need not go through it each time."""
    gc.collect()
    gc.freeze()


@pytest.fixture(autouse=True)
def _own_folders(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> None:
    home = tmp_path_factory.mktemp("home")
    monkeypatch.setenv("HOME", str(home))
    monkeypatch.setenv("XDG_CONFIG_HOME", str(home / "config"))
    monkeypatch.setenv("XDG_STATE_HOME", str(home / "state"))


@pytest.fixture(scope="session")
def qapp() -> QApplication:
    """The one application; there can be no second in a process, of whatever kind."""
    from gearplan.window.frame.application import prepared_application

    return prepared_application()
