"""The application itself: its icon, and what the file that it is started with may be."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QSize
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QApplication

from gearplan.bike.demo import demo_bike
from gearplan.bike.files.circuitfile import circuit_text, demo_circuit
from gearplan.window.frame import application
from gearplan.window.frame.workbench import Workbench


def test_the_window_shows_an_icon_of_its_own(qapp: QApplication) -> None:
    icon = qapp.windowIcon()
    for size in (16, 48, 256):
        picture = icon.pixmap(QSize(size, size), 1.0).toImage()
        assert picture.size() == QSize(size, size)
        # Round corners let the desktop through, the middle does not.
        assert picture.pixelColor(0, 0).alpha() == 0
        assert picture.pixelColor(size // 2, size // 8).alpha() == 255
    assert QGuiApplication.desktopFileName() == "gearplan"


def test_a_circuit_s_file_opens_on_its_page(window: Workbench, tmp_path: Path) -> None:
    path = tmp_path / "home.circuit.toml"
    path.write_text(circuit_text(demo_circuit("Marlpit Lane").circuit, ""), encoding="utf-8")
    application.fill(window, str(path))
    assert window.document.circuit_path == path
    assert window.in_sight == "Circuit"
    assert window.document.bike == demo_bike().bike


def test_a_circuit_that_cannot_be_read_is_told(window: Workbench, tmp_path: Path) -> None:
    path = tmp_path / "broken.circuit.toml"
    path.write_text("[[section]]\n", encoding="utf-8")
    before = window.in_sight
    application.fill(window, str(path))
    assert window.in_sight == before
    assert window.document.circuit_path is None
    assert "broken.circuit.toml" in window.message.text.text()
