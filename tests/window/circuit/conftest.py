"""The Circuit page by itself, which is made in a third of the time of a whole window."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from gearplan.bike.demo import demo_bike
from gearplan.bike.files.bikefile import BikeFile
from gearplan.bike.files.circuitfile import demo_circuit
from gearplan.bike.text.unitset import METRIC
from gearplan.window.circuit.page import CircuitPage
from gearplan.window.document.document import Document
from gearplan.window.kit import theme
from gearplan.window.kit.view import View
from tests.window.circuit.cells import SECTIONS_TAB


@pytest.fixture
def document() -> Document:
    """A demo bike on a demo circuit."""
    made = Document()
    made.start(BikeFile(demo_bike().bike, ""), None)
    made.open_circuit(demo_circuit("Marlpit Lane"), None)
    return made


@pytest.fixture
def view() -> View:
    """Speeds in km/h."""
    return View(METRIC)


@pytest.fixture
def marlpit(
    qapp: QApplication, qtbot: QtBot, document: Document, view: View, monkeypatch: pytest.MonkeyPatch
) -> Iterator[CircuitPage]:
    """The sections of the demo circuit; nobody waits for a ranking."""
    theme.apply(qapp, theme.LIGHT)
    page = CircuitPage(document, view)
    # Nor for one behind the window.
    monkeypatch.setattr(page.ranker, "ask", lambda *_: None)
    monkeypatch.setattr(page.ranker, "ahead", lambda *_: None)
    document.changed.connect(page.refresh)
    view.changed.connect(page.refresh)
    qtbot.addWidget(page)
    page.resize(1100, 640)
    page.show()
    qtbot.waitExposed(page)
    page.tabs.setCurrentIndex(SECTIONS_TAB)
    page.refresh()
    qapp.processEvents()
    yield page
    page.finish()
