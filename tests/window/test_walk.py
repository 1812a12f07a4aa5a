"""One walk through the window: every page shows the set that is tried, and nothing of it is cut off."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtWidgets import QApplication

from gearplan.plan.set.evaluate import evaluate
from gearplan.plan.set.verdict import verdict
from gearplan.window.frame.pagehost import PAGES
from gearplan.window.frame.workbench import Workbench
from tests.window.clipping import cut


def test_every_page_shows_and_holds_the_set_that_is_tried(window: Workbench, qapp: QApplication) -> None:
    bike = window.document.bike
    for name, rear in zip(PAGES, range(40, 51), strict=True):
        window.show_page(name)
        chosen = replace(window.document.chosen, rear=rear)
        window.document.propose(chosen, "p")
        for _ in range(30):
            qapp.processEvents()
        assert window.stack.currentWidget() is window.page(name)
        assert window.page(name).isVisible()
        assert cut(window) == [], name
        window.show_page("Speed")
        assert window.bar.proposed_teeth.text() == f"{chosen.front}/{rear}"
        assert window.bar.verdict.word.text() == verdict(evaluate(bike, chosen)).head
    for _ in PAGES:
        window.document.undo()
    assert window.document.chosen.rear == bike.final_drive.rear
