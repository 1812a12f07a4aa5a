"""Whatever a file may hold can be shown on every page."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st
from PySide6.QtWidgets import QApplication

from gearplan.bike.files.bikefile import BikeFile
from gearplan.bike.profile import Bike
from gearplan.plan.driveset import refusal
from gearplan.window.frame.pagehost import PAGES
from gearplan.window.frame.workbench import Workbench
from tests.bike.strategies import bikes


@given(bikes(), st.integers(9, 60), st.integers(9, 150), st.integers(20, 400))
@settings(max_examples=25)
def test_any_bike_on_every_page(
    window: Workbench, qapp: QApplication, bike: Bike, front: int, rear: int, links: int
) -> None:
    window.files.start_with(BikeFile(bike, ""), None)
    for name in PAGES:
        window.show_page(name)
        qapp.processEvents()
    chosen = replace(window.document.chosen, front=front, rear=rear, links=links)
    assert refusal(chosen) is None
    window.document.propose(chosen, "p")
    for tab in range(window.chain_page.tabs.count()):
        window.show_page("Chain")
        window.chain_page.tabs.setCurrentIndex(tab)
    window.show_page("Pull")
    window.pull_page.tabs.setCurrentIndex(1)
    window.pull_page.tabs.setCurrentIndex(0)
    window.view.set_speed_unit("mph" if window.view.speed_unit == "km/h" else "km/h")
    window.show_page("Speed")
    qapp.processEvents()
    window.document.undo()
    assert window.document.bike == bike
