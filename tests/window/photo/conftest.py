"""The window for a photograph, with one of known geometry."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from gearplan.window.frame.workbench import Workbench
from gearplan.window.photo.dialog import PhotoDialog
from tests.photo.pictures import Scene
from tests.window.photo.drawn import photograph

SCENE = Scene(leftward=True, focal=50.0, distance=3.4, tilt=(0.06, -0.03, 0.012))


@pytest.fixture(scope="session")
def shot(qapp: QApplication, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The photograph as a file."""
    return photograph(SCENE, tmp_path_factory.mktemp("photo") / "bike.jpg")


@pytest.fixture
def dialog(window: Workbench, qapp: QApplication, qtbot: QtBot) -> Iterator[PhotoDialog]:
    """The window as it comes from the Bike page."""
    window.show_page("Bike")
    qapp.processEvents()
    window.bike_page.photo_button.click()
    made = window.bike_page.photo
    assert made is not None
    qtbot.waitExposed(made)
    made.resize(1280, 800)
    qapp.processEvents()
    yield made
    made.close()


@pytest.fixture
def opened(dialog: PhotoDialog, shot: Path, qapp: QApplication) -> PhotoDialog:
    """The same with the photograph open."""
    assert dialog.open_picture(shot)
    qapp.processEvents()
    return dialog
