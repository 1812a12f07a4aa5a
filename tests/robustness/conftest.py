"""The application for tests that need Qt without a window of the program."""

from __future__ import annotations

import pytest
from PySide6.QtWidgets import QApplication

from gearplan.window.application import prepared_application


@pytest.fixture(scope="session")
def qapp() -> QApplication:
    return prepared_application()
