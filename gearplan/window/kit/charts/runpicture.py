"""The chain run to scale with the adjuster's slot below it, where a large screen has room for a second picture."""

from __future__ import annotations

from PySide6.QtWidgets import QVBoxLayout, QWidget

from gearplan.bike.profile import Bike
from gearplan.plan.set.adjuster import adjuster
from gearplan.plan.set.evaluate import SetResult
from gearplan.plan.set.sideview import side_view
from gearplan.window.kit import theme
from gearplan.window.kit.charts.sideview import SideViewChart
from gearplan.window.kit.plaintext import PlainLabel
from gearplan.window.kit.slotview import SlotView


class RunPicture(QWidget):
    """Shows what the Chain page shows, to be looked at only; `title` stands above it."""

    def __init__(self, title: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(theme.UNIT // 2)
        head = PlainLabel(title)
        head.setProperty("role", "title")
        column.addWidget(head)
        self.drawing = SideViewChart(still=True)
        column.addWidget(self.drawing, 1)
        self.slot = SlotView()
        column.addWidget(self.slot)
        self.lacking = PlainLabel()
        self.lacking.setWordWrap(True)
        self.lacking.setProperty("role", "quiet")
        column.addWidget(self.lacking, 1)

    def show_sets(self, bike: Bike, on: SetResult | None, proposed: SetResult, lacking: str) -> None:
        """Draw a set, and the fitted one behind it if one is given; `lacking` says why there is no drawing."""
        drawn, place = side_view(bike, proposed), adjuster(bike, proposed)
        self.drawing.show_views(None if on is None else side_view(bike, on), drawn)
        self.drawing.setVisible(drawn is not None)
        self.slot.show_adjuster(place)
        self.slot.setVisible(place is not None)
        self.lacking.setText("" if drawn is not None else lacking)
        self.lacking.setVisible(drawn is None)

    def recolour(self) -> None:
        """Take the colours of the current theme."""
        self.drawing.recolour()
