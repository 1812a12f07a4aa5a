"""A real window for each test, closed and collected afterwards; real events, no display needed."""

from __future__ import annotations

import gc
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from PySide6.QtCore import QCoreApplication, QEvent
from PySide6.QtWidgets import QApplication, QMenu, QWidget
from pytestqt.qtbot import QtBot

from gearplan.bike.demo import demo_bike
from gearplan.bike.text.unitset import METRIC
from gearplan.window.circuit.page import CircuitPage
from gearplan.window.frame import settings
from gearplan.window.frame.opening import saving
from gearplan.window.frame.workbench import Workbench
from gearplan.window.kit import shownunits, theme
from tests.window.circuit.laps import ranked

#: Milliseconds that a test waits for what must come; only a hang lasts as long, whatever else the machine does.
PATIENCE = 600_000


# A save of the tests is waited for, however busy the disk is, as if it were done at once.
saving.AT_ONCE = PATIENCE / 1000


class PatientBot(QtBot):
    """Waits for a condition, not for a time."""

    def waitUntil(self, callback: Callable[[], bool | None], *, timeout: int = PATIENCE) -> None:
        super().waitUntil(callback, timeout=timeout)

    def waitExposed(self, widget: QWidget, *, timeout: int = PATIENCE) -> Any:
        return super().waitExposed(widget, timeout=timeout)


@pytest.fixture
def qtbot(qapp: QApplication, request: pytest.FixtureRequest) -> QtBot:
    return PatientBot(request)


@pytest.fixture(autouse=True)
def _nothing_left_open(qapp: QApplication) -> Iterator[None]:
    """A window that a test built for itself ends with it: else each later change of the theme repaints it too."""
    shownunits.take(METRIC)
    before = set(qapp.topLevelWidgets())
    yield
    left = [widget for widget in qapp.topLevelWidgets() if widget not in before]
    for widget in left:
        # The menus of charts go with their charts.
        if not isinstance(widget, QMenu):
            widget.deleteLater()
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete.value)
    if left:
        del left, widget
        gc.collect()


@pytest.fixture
def window(qapp: QApplication, qtbot: QtBot) -> Iterator[Workbench]:
    theme.apply(qapp, theme.LIGHT)
    made = Workbench(settings.Settings())
    made.make_pages()
    made.files.start_with(demo_bike(), None)
    made.show()
    qtbot.waitExposed(made)
    assert made.speed_page.chart is not None
    qapp.processEvents()
    yield made
    made.document.start(demo_bike(), None)
    # What a test left unsaved is not asked about.
    made.circuits.may_leave = lambda: True  # type: ignore[method-assign]
    made.close()
    made.deleteLater()
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete.value)


@pytest.fixture
def circuit_page(window: Workbench, qapp: QApplication) -> CircuitPage:
    """The Circuit page without a circuit."""
    window.show_page("Circuit")
    qapp.processEvents()
    page: CircuitPage = window.circuit_page
    return page


@pytest.fixture
def lapped(window: Workbench, circuit_page: CircuitPage, qtbot: QtBot) -> CircuitPage:
    """The Circuit page with a demo circuit whose sets are ranked."""
    window.circuits.open_demo("Marlpit Lane")
    ranked(circuit_page, qtbot)
    return circuit_page
